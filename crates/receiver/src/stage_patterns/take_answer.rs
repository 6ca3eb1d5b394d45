//! Takes one answer: judges it and enters what it says.
//!
//! Each row is tried in the sheet as it stands so far (`try_row`); answers about
//! tubes are taken in `take_tube`. An answer that is refused leaves nothing
//! behind. Units: bench notation.

use parts::Catalogue;

use super::answer::{is_nothing, read_part};
use super::interview::AnswerFault;
use super::pattern::{End, PatternQuestion, QuestionForm, StagePattern};
use super::progress::{Further, Progress, place_names};
use super::references::{is_reference, letters, next_free};
use super::take_tube::{pin, section, tube};
use super::try_row::{enter, free, known, probe};
use crate::sheet::PartKind;
use crate::sheet_edit::{NewRow, SheetList};

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
