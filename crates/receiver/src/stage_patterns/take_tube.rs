//! Takes the answers about a tube: which it is, which section, which pins.
//!
//! A tube of the sheet is known by its reference alone; a new one needs its type
//! and gets a row. Pins come from the catalogue's pin map; what that leaves open
//! was asked, and is judged here. Fails with what is wrong with the answer.

use parts::Catalogue;

use super::answer::is_nothing;
use super::interview::AnswerFault;
use super::pattern::{PatternQuestion, StagePattern, TubeNeed};
use super::progress::{Progress, StageTube, units_for};
use super::references::{is_reference, next_free};
use super::try_row::{enter, free, probe};
use crate::sheet_edit::{NewRow, SheetList};

pub(super) fn tube(
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

pub(super) fn section(
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

pub(super) fn pin(
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
