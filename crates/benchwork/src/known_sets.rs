//! What was learned of sets by earlier questions, while the program runs.
//!
//! How a set runs at its own line, and how its stages run with a fault among them, takes some seconds to find and hangs on the sheet alone. A bench
//! asks of one set again and again; each question takes over what an earlier one of an equal sheet learned, and leaves what it learned itself.
//! Answers are the same with it and without. Sheets are equal where all that was read from them is. Nothing here fails.

use std::collections::VecDeque;
use std::sync::{Arc, Mutex, PoisonError};

use receiver::whole_set::Usual;
use receiver::wiring::SetModel;

/// Sets kept at most: the one at the bench, and one beside it.
const MOST_SETS: usize = 2;

/// The sheet as read, and what was learned of it; the last asked for comes last.
static KNOWN: Mutex<VecDeque<(String, Arc<Usual>)>> = Mutex::new(VecDeque::new());

/// All that was read from the sheet of a model.
fn sheet_of(model: &SetModel<'_>) -> String {
    format!("{:?}", model.sheet)
}

/// Takes over what an earlier question learned of an equal sheet.
pub(crate) fn take_over(model: &SetModel<'_>) {
    let sheet = sheet_of(model);
    let known = KNOWN.lock().unwrap_or_else(PoisonError::into_inner);
    if let Some((_, usual)) = known.iter().find(|own| own.0 == sheet) {
        model.take_usual(Arc::clone(usual));
    }
}

/// Leaves what was learned for the next question.
pub(crate) fn keep(model: &SetModel<'_>) {
    let Some(usual) = model.learned_usual() else {
        return;
    };
    let sheet = sheet_of(model);
    let mut known = KNOWN.lock().unwrap_or_else(PoisonError::into_inner);
    known.retain(|own| own.0 != sheet);
    known.push_back((sheet, usual));
    while known.len() > MOST_SETS {
        known.pop_front();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use receiver::sheet::read_sheet;

    #[test]
    fn an_equal_sheet_takes_over_and_another_does_not() {
        let catalogue = parts::catalogue().expect("data");
        let read = |text: &str| read_sheet(text, catalogue).sheet.expect("a sheet");
        let (one, same) = (read(crate::EXAMPLE_SHEET), read(crate::EXAMPLE_SHEET));
        let other = read(&crate::EXAMPLE_SHEET.replacen("117", "118", 1));
        let [one, same, other] = [&one, &same, &other].map(|own| SetModel::new(own, catalogue));
        take_over(&one);
        one.usual();
        keep(&one);
        for own in [&same, &other] {
            take_over(own);
        }
        let learned = one.learned_usual().expect("learned");
        assert!(
            same.learned_usual()
                .is_some_and(|own| Arc::ptr_eq(&own, &learned))
        );
        assert!(other.learned_usual().is_none());
    }
}
