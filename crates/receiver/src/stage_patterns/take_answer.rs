//! Takes one answer: judges it and enters what it says.
//!
//! Each row is put into the sheet as it stands so far and read by the checker;
//! what that finds in the row is the answer's fault. An answer that is refused
//! leaves nothing behind. Units: bench notation.

use parts::Catalogue;

use super::answer::{is_nothing, read_part};
use super::interview::AnswerFault;
use super::pattern::{End, PatternQuestion, QuestionForm, StagePattern, TubeNeed};
use super::progress::{EndState, Further, Progress, StageTube, place_names, units_for};
use super::references::{is_reference, letters, next_free};
use crate::sheet::PartKind;
use crate::sheet_edit::{NewRow, RowGroup, SheetList, insert_rows, new_faults};

/// Takes the answer to the present question; what is worth saying comes back.
pub(super) fn take_answer(
    progress: &mut Progress,
    pattern: &StagePattern,
    catalogue: &Catalogue,
    text: &str,
) -> Result<Vec<String>, AnswerFault> {
    if let Some(further) = progress.further.first().cloned() {
        match &further {
            Further::Section { tube } => section(progress, pattern, tube, text)?,
            Further::Pin {
                tube,
                element,
                pins,
            } => pin(progress, catalogue, tube, element, pins, text)?,
        }
        progress.further.remove(0);
        return Ok(Vec::new());
    }
    let Some(question) = pattern.questions.get(progress.at) else {
        return Err(AnswerFault::new(
            "every question is answered".to_string(),
            "write the lines, or go back".to_string(),
        ));
    };
    let said = match &question.form {
        _ if is_nothing(text) => {
            progress.leave_out(&question.name, "no answer");
            progress.named.insert(question.name.clone(), None);
            Vec::new()
        }
        QuestionForm::Tube { need, job } => {
            tube(progress, pattern, catalogue, question, *need, job, text)?
        }
        QuestionForm::Place => place(progress, catalogue, question, text)?,
        QuestionForm::Part {
            kinds,
            from,
            to,
            third,
        } => {
            let ends = [Some(from), Some(to), third.as_ref()];
            part(progress, catalogue, kinds, ends, text)?
        }
        QuestionForm::Wire { from, to } => wire(progress, catalogue, question, [from, to], text)?,
        QuestionForm::Transformer => transformer(progress, question, text)?,
        QuestionForm::Winding {
            transformer,
            name,
            start,
            end,
        } => {
            let transformer = progress.named.get(transformer).cloned().flatten();
            let row = NewRow::Cells {
                list: SheetList::Windings,
                cells: vec![
                    transformer.unwrap_or_default(),
                    name.clone(),
                    text.trim().to_string(),
                    known(progress, start)?,
                    known(progress, end)?,
                ],
            };
            enter(progress, catalogue, row, 0)?;
            Vec::new()
        }
        QuestionForm::Heaters {
            from,
            to,
            in_series,
        } => {
            let words = text.split(|c: char| c == ',' || c.is_whitespace());
            let row = NewRow::Heaters {
                from: known(progress, from)?,
                to: known(progress, to)?,
                in_series: *in_series,
                tubes: words
                    .filter(|word| !word.is_empty())
                    .map(str::to_string)
                    .collect(),
            };
            enter(progress, catalogue, row, 0)?;
            Vec::new()
        }
    };
    progress.at += 1;
    Ok(said)
}

/// Puts a row into the sheet so far, or tells what is wrong with it. `value_at`: characters of the answer before the value.
fn enter(
    progress: &mut Progress,
    catalogue: &Catalogue,
    row: NewRow,
    value_at: usize,
) -> Result<(), AnswerFault> {
    let text = tried(progress, &row)?;
    if let Some(fault) = first_fault(progress, catalogue, &text, row.list(), value_at) {
        return Err(fault);
    }
    progress.text = text;
    progress.references = crate::sheet_edit::SheetOutline::of(&progress.text)
        .map(|outline| outline.references())
        .unwrap_or_default();
    progress.rows.push(row);
    Ok(())
}

fn tried(progress: &Progress, row: &NewRow) -> Result<String, AnswerFault> {
    let group = RowGroup {
        heading: String::new(),
        rows: vec![row.clone()],
    };
    insert_rows(&progress.text, &group)
        .map(|inserted| inserted.text)
        .map_err(|error| {
            AnswerFault::new(
                format!("the row cannot be written: {error}"),
                "leave it out with `?` and write it by hand".to_string(),
            )
        })
}

/// The first thing that the checker finds wrong with the sheet once the row is in it.
fn first_fault(
    progress: &Progress,
    catalogue: &Catalogue,
    text: &str,
    list: SheetList,
    value_at: usize,
) -> Option<AnswerFault> {
    let found = new_faults(&progress.text, text, catalogue);
    let first = found.first()?;
    let value_column = match list {
        SheetList::Parts | SheetList::Windings => 2,
        SheetList::Tubes | SheetList::Heaters => usize::MAX,
    };
    let column = match first.at {
        Some((_, _, column, inside)) if column == value_column => Some(value_at + inside + 1),
        _ => None,
    };
    let rest: Vec<String> = found
        .iter()
        .skip(1)
        .map(|other| other.fault.text.clone())
        .collect();
    let text = std::iter::once(first.fault.text.clone())
        .chain(rest)
        .collect::<Vec<_>>()
        .join("; ");
    Some(AnswerFault {
        text,
        hint: first.fault.hint.clone(),
        column,
    })
}

fn known(progress: &mut Progress, end: &End) -> Result<String, AnswerFault> {
    match progress.end(end) {
        EndState::Known(place) => Ok(place),
        EndState::Absent(because) | EndState::Unknown(because) => Err(AnswerFault::new(
            because,
            "leave it out with `?`".to_string(),
        )),
    }
}

/// Refuses a reference that is taken.
fn free(progress: &Progress, reference: &str, letters: &str) -> Result<(), AnswerFault> {
    let taken = progress
        .references
        .iter()
        .find(|one| one.reference.eq_ignore_ascii_case(reference));
    match taken {
        None => Ok(()),
        Some(taken) => Err(AnswerFault::new(
            format!(
                "{} stands {} already, as a {}",
                taken.reference,
                progress.where_it_stands(&taken.reference),
                taken.list.row_word()
            ),
            format!(
                "the next free one is {}; `?` leaves the part out if that line is this part",
                next_free(letters, &progress.references)
            ),
        )),
    }
}

fn part(
    progress: &mut Progress,
    catalogue: &Catalogue,
    kinds: &[PartKind],
    ends: [Option<&End>; 3],
    text: &str,
) -> Result<Vec<String>, AnswerFault> {
    let answer = read_part(text, kinds)?;
    let letters = letters(answer.kind);
    let reference = match answer.reference {
        Some(reference) => reference,
        None => next_free(letters, &progress.references),
    };
    free(progress, &reference, letters)?;
    let mut places = [answer.from, answer.to, answer.third];
    for (place, end) in places.iter_mut().zip(ends) {
        if let (None, Some(end)) = (&place, end) {
            *place = Some(known(progress, end)?);
        }
    }
    let [from, to, third] = places.map(Option::unwrap_or_default);
    let third = if answer.kind.may_have_third_place() {
        third
    } else {
        String::new()
    };
    let row = NewRow::part([
        &reference,
        answer.kind.name(),
        &answer.value,
        &from,
        &to,
        &third,
    ]);
    enter(progress, catalogue, row, answer.value_at)?;
    Ok(Vec::new())
}

fn wire(
    progress: &mut Progress,
    catalogue: &Catalogue,
    question: &PatternQuestion,
    [from, to]: [&End; 2],
    text: &str,
) -> Result<Vec<String>, AnswerFault> {
    let word = text.trim();
    let reference = match word.to_ascii_lowercase().as_str() {
        "yes" | "y" => next_free("W", &progress.references),
        "no" | "n" => {
            progress.leave_out(&question.name, "no such wire");
            return Ok(Vec::new());
        }
        _ if is_reference(word) => word.to_string(),
        _ => {
            return Err(AnswerFault::new(
                format!("`{word}` is neither yes nor no"),
                "expected `yes`, `no`, or a reference for the wire such as `W5`".to_string(),
            ));
        }
    };
    free(progress, &reference, "W")?;
    let (from, to) = (known(progress, from)?, known(progress, to)?);
    let row = NewRow::part([&reference, PartKind::Wire.name(), "", &from, &to, ""]);
    enter(progress, catalogue, row, 0)?;
    Ok(Vec::new())
}

fn place(
    progress: &mut Progress,
    catalogue: &Catalogue,
    question: &PatternQuestion,
    text: &str,
) -> Result<Vec<String>, AnswerFault> {
    let name = text.split_whitespace().collect::<Vec<_>>().join(" ");
    probe(progress, catalogue, &name)?;
    let said = new_place_remark(progress, &name);
    progress.named.insert(question.name.clone(), Some(name));
    Ok(said)
}

/// Reads a place as the sheet would, in a row that is thrown away.
fn probe(progress: &Progress, catalogue: &Catalogue, name: &str) -> Result<(), AnswerFault> {
    let row = NewRow::part(["stage-probe", "wire", "", name, "stage probe", ""]);
    let text = tried(progress, &row)?;
    match first_fault(progress, catalogue, &text, SheetList::Tubes, 0) {
        Some(fault) => Err(fault),
        None => Ok(()),
    }
}

fn new_place_remark(progress: &Progress, name: &str) -> Vec<String> {
    let lower = name.to_ascii_lowercase();
    if ["chassis", "line a", "line b"].contains(&lower.as_str()) || name.contains('.') {
        return Vec::new();
    }
    let names = place_names(&progress.text);
    if names.is_empty() || names.iter().any(|known| known == name) {
        return Vec::new();
    }
    let near = names
        .iter()
        .map(|known| (strsim::osa_distance(&known.to_lowercase(), &lower), known))
        .filter(|(distance, _)| *distance <= 2)
        .min_by_key(|(distance, _)| *distance);
    vec![match near {
        Some((_, near)) => {
            format!("`{name}` is new to this sheet; if you meant `{near}`, go back")
        }
        None => format!("`{name}` is a new place of this sheet"),
    }]
}

fn transformer(
    progress: &mut Progress,
    question: &PatternQuestion,
    text: &str,
) -> Result<Vec<String>, AnswerFault> {
    let reference = text.trim();
    if !is_reference(reference) {
        return Err(AnswerFault::new(
            format!("`{reference}` is no reference"),
            "expected a reference like `T1`".to_string(),
        ));
    }
    let taken = progress.references.iter().find(|one| {
        one.reference.eq_ignore_ascii_case(reference) && one.list != SheetList::Windings
    });
    if taken.is_some() {
        free(progress, reference, "T")?;
    }
    progress
        .named
        .insert(question.name.clone(), Some(reference.to_string()));
    Ok(Vec::new())
}

fn tube(
    progress: &mut Progress,
    pattern: &StagePattern,
    catalogue: &Catalogue,
    question: &PatternQuestion,
    need: TubeNeed,
    job: &str,
    text: &str,
) -> Result<Vec<String>, AnswerFault> {
    let text = text.trim();
    let (first, rest) = text.split_once(char::is_whitespace).unwrap_or((text, ""));
    let (reference, typed) = if is_reference(first) {
        (first.to_string(), rest.trim().to_string())
    } else {
        (next_free("V", &progress.references), text.to_string())
    };
    let known = progress
        .references
        .iter()
        .find(|one| one.reference.eq_ignore_ascii_case(&reference))
        .cloned();
    let mut stage_tube = StageTube {
        reference: reference.clone(),
        type_name: typed.clone(),
        kind: None,
        units: Vec::new(),
        unit: None,
        places: Default::default(),
        absent: Vec::new(),
    };
    match known {
        Some(known) if known.list == SheetList::Tubes => {
            let written = type_on_sheet(progress, &known.reference);
            if !typed.is_empty() && folded(&typed) != folded(&written) {
                return Err(AnswerFault::new(
                    format!(
                        "{} is a {written} {}",
                        known.reference,
                        progress.where_it_stands(&known.reference)
                    ),
                    format!(
                        "the next free tube is {}",
                        next_free("V", &progress.references)
                    ),
                ));
            }
            stage_tube.reference = known.reference;
            stage_tube.type_name = written;
            stage_tube.kind = kind_of(progress, catalogue, &stage_tube);
            meets(&stage_tube, need)?;
        }
        Some(_) => free(progress, &reference, "V")?,
        None if typed.is_empty() => {
            return Err(AnswerFault::new(
                format!("{reference} is not on the sheet yet, and its type is not told"),
                format!("write the type behind it, such as `{}`", question.example),
            ));
        }
        None => {
            stage_tube.kind = kind_of(progress, catalogue, &stage_tube);
            meets(&stage_tube, need)?;
            let row = NewRow::Cells {
                list: SheetList::Tubes,
                cells: vec![reference, typed, job.to_string()],
            };
            enter(progress, catalogue, row, 0)?;
            if stage_tube.kind.is_none() {
                // A type that the sheet itself describes is known once a row uses it.
                stage_tube.kind = kind_of(progress, catalogue, &stage_tube);
                meets(&stage_tube, need)?;
            }
        }
    }
    stage_tube.units = units_for(stage_tube.kind.as_ref(), need);
    progress.enter_tube(pattern, &question.name, stage_tube);
    Ok(pins_remark(progress, &question.name))
}

fn meets(tube: &StageTube, need: TubeNeed) -> Result<(), AnswerFault> {
    match &tube.kind {
        Some(kind) if !need.is_met_by(kind) => Err(AnswerFault::new(
            format!("{} has not what this stage uses", kind.name),
            format!("expected {}", need.in_words()),
        )),
        _ => Ok(()),
    }
}

fn type_on_sheet(progress: &Progress, reference: &str) -> String {
    crate::sheet_edit::SheetOutline::of(&progress.text)
        .ok()
        .and_then(|outline| {
            let row = outline.row_of(SheetList::Tubes, reference)?;
            Some(row.cell(1).to_string())
        })
        .unwrap_or_default()
}

fn folded(type_name: &str) -> String {
    type_name
        .chars()
        .filter(char::is_ascii_alphanumeric)
        .map(|letter| letter.to_ascii_uppercase())
        .collect()
}

/// The type, from the sheet's own description or from the catalogue.
fn kind_of(
    progress: &Progress,
    catalogue: &Catalogue,
    tube: &StageTube,
) -> Option<parts::TubeType> {
    let described = progress.sheet(catalogue).and_then(|sheet| {
        sheet
            .tubes
            .into_iter()
            .find(|own| folded(&own.kind.name) == folded(&tube.type_name))
            .map(|own| own.kind)
    });
    described.or_else(|| {
        let found = catalogue.tube_match(&tube.type_name)?;
        Some(found.tube.clone())
    })
}

fn pins_remark(progress: &Progress, question: &str) -> Vec<String> {
    let Some(tube) = progress.tubes.get(question) else {
        return Vec::new();
    };
    let pins: Vec<String> = tube
        .places
        .iter()
        .filter_map(|(element, place)| {
            let pin = place.as_ref()?.rsplit('.').next()?;
            Some(format!("{element} {pin}"))
        })
        .collect();
    if pins.is_empty() {
        return Vec::new();
    }
    vec![format!(
        "{} {}, by the catalogue: {}",
        tube.reference,
        tube.type_name,
        pins.join(", ")
    )]
}

fn section(
    progress: &mut Progress,
    pattern: &StagePattern,
    question: &str,
    text: &str,
) -> Result<(), AnswerFault> {
    let Some(tube) = progress.tubes.get_mut(question) else {
        return Ok(());
    };
    if is_nothing(text) {
        progress.leave_out(&format!("{question} section"), "no answer");
        return Ok(());
    }
    let labels: Vec<&str> = tube.units.iter().map(|unit| unit.label.as_str()).collect();
    let chosen = tube
        .units
        .iter()
        .find(|unit| unit.label.eq_ignore_ascii_case(text.trim()))
        .cloned();
    let Some(chosen) = chosen else {
        return Err(AnswerFault::new(
            format!("`{}` is no section of {}", text.trim(), tube.type_name),
            format!("expected {}", labels.join(" or ")),
        ));
    };
    tube.unit = Some(chosen);
    progress.find_pins(pattern, question);
    Ok(())
}

fn pin(
    progress: &mut Progress,
    catalogue: &Catalogue,
    question: &str,
    element: &str,
    pins: &[String],
    text: &str,
) -> Result<(), AnswerFault> {
    let Some(tube) = progress.tubes.get(question) else {
        return Ok(());
    };
    let place = if is_nothing(text) {
        None
    } else {
        let pin = text.trim().rsplit('.').next().unwrap_or("").trim();
        let place = format!("{}.{pin}", tube.reference);
        if !pins.is_empty() && !pins.iter().any(|own| own.eq_ignore_ascii_case(pin)) {
            return Err(AnswerFault::new(
                format!("the {element} of {} is not on pin {pin}", tube.reference),
                format!("expected {}", pins.join(" or ")),
            ));
        }
        probe(progress, catalogue, &place)?;
        Some(place)
    };
    if place.is_none() {
        progress.leave_out(&format!("{question} {element}"), "no answer");
    }
    if let Some(tube) = progress.tubes.get_mut(question) {
        tube.places.insert(element.to_string(), place);
    }
    Ok(())
}
