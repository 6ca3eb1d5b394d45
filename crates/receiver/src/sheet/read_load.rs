//! The tubes that a load stands for: `"95 mA at 330 V for V16 V17"`.
//!
//! Plain references. What stands behind the word `for` is cut off before the value's
//! notation is read; each reference has to be a tube of the sheet. Every one that is not
//! is a fault at its own place, with the nearest right spelling.

use super::messages::shown;
use super::names::{Named, Names};
use super::part_kind::PartValue;
use super::reader::{Cell, Reader};

/// The cell without its tubes, and the tubes with where each stands in the text.
pub(super) fn without_tubes(cell: &Cell) -> (Cell, Vec<(String, usize)>) {
    let mut tubes = Vec::new();
    let mut cut = None;
    for (start, word) in words(&cell.text) {
        if cut.is_some() {
            let bare = word.trim_matches(',');
            if !bare.is_empty() && !bare.eq_ignore_ascii_case("and") {
                tubes.push((bare.to_string(), start));
            }
        } else if word.eq_ignore_ascii_case("for") {
            cut = Some(start);
        }
    }
    let text = match cut {
        Some(cut) => cell.text.get(..cut).unwrap_or_default().to_string(),
        None => cell.text.clone(),
    };
    let span = cell.span.clone();
    (Cell { text, span }, tubes)
}

/// The words of a text with the byte at which each begins.
fn words(text: &str) -> impl Iterator<Item = (usize, &str)> {
    text.split(|letter: char| letter.is_whitespace() || letter == ',')
        .filter(|word| !word.is_empty())
        .map(move |word| (word.as_ptr() as usize - text.as_ptr() as usize, word))
}

/// Enters the tubes into a load's value; `None` if one of them is not on the sheet.
pub(super) fn with_tubes(
    reader: &mut Reader<'_>,
    names: &Names,
    cell: &Cell,
    tubes: &[(String, usize)],
    mut value: PartValue,
) -> Option<PartValue> {
    let PartValue::Load { stands_for, .. } = &mut value else {
        return Some(value);
    };
    let mut good = true;
    for (read, offset) in tubes {
        match names.find(read) {
            Some((spelled, Named::Tube(_))) => stands_for.push(spelled.to_string()),
            _ => {
                good = false;
                let near = reader
                    .speller
                    .did_you_mean(read, names.tubes.iter().map(|tube| tube.reference.as_str()));
                let at = cell.inside(reader.text, *offset);
                reader.findings.fault(
                    at,
                    format!("the sheet has no tube {}", shown(read)),
                    format!("{near}behind `for` stand the tubes whose current the load is: `95 mA at 330 V for V16 V17`"),
                );
            }
        }
    }
    good.then_some(value)
}
