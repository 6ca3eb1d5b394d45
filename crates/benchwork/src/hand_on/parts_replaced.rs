//! What was replaced, with what was there before; what is original, and what was not touched.
//!
//! Values in bench notation, as they were typed. That a part was not touched does not make it the
//! maker's: the two stand apart. Nothing here fails.

use logbook::{Fact, Fitted, StandingFact};
use receiver::sheet::PartKind;

use super::Handed;
use crate::view::{OriginalView, PartLineView, ReplacedView};

/// Parts replaced, in the order of the entries; those that only the sheet names come last.
pub(super) fn replaced(handed: &Handed<'_>) -> Vec<ReplacedView> {
    let fitted: Vec<(&StandingFact<'_>, &Fitted)> = handed
        .facts
        .iter()
        .filter_map(|one| match one.fact {
            Fact::Fitted(fitted) => Some((one, fitted)),
            _ => None,
        })
        .collect();
    let same = |one: &str, other: &str| one.trim().eq_ignore_ascii_case(other.trim());
    let mut rows: Vec<ReplacedView> = Vec::new();
    for (number, (one, own)) in fitted.iter().enumerate() {
        let later = fitted.iter().skip(number + 1);
        let again = later
            .filter(|(_, later)| same(&later.part, &own.part))
            .map(|(later, _)| later.number)
            .next();
        rows.push(ReplacedView {
            old: own.old.trim().to_owned(),
            new: own.new.trim().to_owned(),
            rating: own.rating.trim().to_owned(),
            at: Some(one.at.to_string()),
            entry: Some(one.number),
            note: own.note.trim().to_owned(),
            again,
            ..by_sheet_alone(handed, &own.part)
        });
    }
    for part in &handed.so_far.sheet.state.replaced {
        if !rows.iter().any(|row| same(&row.part, part)) {
            rows.push(by_sheet_alone(handed, part));
        }
    }
    rows
}

fn by_sheet_alone(handed: &Handed<'_>, name: &str) -> ReplacedView {
    let sheet = &handed.so_far.sheet;
    let name = name.trim();
    let part = handed.reference(name).unwrap_or_else(|| name.to_owned());
    let (kind, place) = if let Some(own) = sheet.part(&part) {
        (
            own.value.kind().to_string(),
            format!("{} to {}", own.from, own.to),
        )
    } else if let Some(tube) = sheet.tube(&part) {
        ("tube".to_owned(), tube.job.clone())
    } else {
        (String::new(), String::new())
    };
    ReplacedView {
        by_sheet: handed.by_sheet(&part),
        part,
        kind,
        place,
        old: String::new(),
        new: String::new(),
        rating: String::new(),
        at: None,
        entry: None,
        note: String::new(),
        again: None,
    }
}

/// What is original, and what was not touched.
pub(super) fn original(handed: &Handed<'_>) -> OriginalView {
    let sheet = &handed.so_far.sheet;
    let state = &sheet.state;
    let line = |part: &str, kind: String| PartLineView {
        value: handed.by_sheet(part),
        part: part.to_owned(),
        kind,
    };
    let kind_of = |part: &str| match (sheet.part(part), sheet.tube(part)) {
        (Some(part), _) => part.value.kind().to_string(),
        (None, Some(_)) => "tube".to_owned(),
        (None, None) => "transformer".to_owned(),
    };
    let known = state
        .original
        .iter()
        .map(|part| line(part, kind_of(part)))
        .collect();
    let tubes = sheet.tubes.iter().map(|tube| tube.reference.as_str());
    let transformers = sheet.transformers().into_iter();
    let parts = sheet
        .parts
        .iter()
        .filter(|part| !matches!(part.value.kind(), PartKind::Wire | PartKind::Load))
        .map(|part| part.reference.as_str());
    let lists = [
        &state.original,
        &state.replaced,
        &state.re_formed,
        &state.cut_loose,
    ];
    let changed: Vec<String> = handed
        .facts
        .iter()
        .filter_map(|one| match one.fact {
            Fact::Changed(changed) => {
                Some(format!("{} {} {}", changed.what, changed.was, changed.is))
            }
            Fact::Fitted(fitted) => Some(fitted.part.clone()),
            _ => None,
        })
        .collect();
    let not_touched = tubes
        .chain(transformers)
        .chain(parts)
        .filter(|part| {
            let is_listed = |list: &&Vec<String>| list.iter().any(|own| own == part);
            !lists.iter().any(is_listed) && !changed.iter().any(|text| names(text, part))
        })
        .map(|part| line(part, kind_of(part)))
        .collect();
    OriginalView { known, not_touched }
}

/// Whether words name a part: as a word of its own, in any case.
fn names(text: &str, part: &str) -> bool {
    text.split(|letter: char| !letter.is_alphanumeric())
        .any(|word| word.eq_ignore_ascii_case(part))
}

#[cfg(test)]
mod tests {
    use super::names;

    #[test]
    fn a_part_is_named_by_a_word_of_its_own() {
        for (text, is_named) in [
            ("C12", true),
            ("the joint of c12 was soldered anew", true),
            ("C12, C13: new leads", true),
            ("C121", false),
            ("RC12", false),
            ("", false),
        ] {
            assert_eq!(names(text, "C12"), is_named, "{text}");
        }
    }
}
