//! What came of a suspect: cleared or condemned, put into the restoration as a fact of testing.
//!
//! The part as the sheet spells it; a name that it has not is kept as it was typed, and told. Fails
//! for a find without words, for a way of checking that does not suit the part, and where the file cannot be opened or written; nothing is written
//! then.

use logbook::{TestResult, Tested};

use super::outcomes::{CLEARED, CONDEMNED, CheckedBy};
use crate::record::put_test;
use crate::restoration::Entering;
use crate::sent_once::enter;
use crate::suits_part::check_suits;
use crate::trouble::Trouble;
use crate::view::RecordedView;

/// What came of a suspect, as it is typed.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct NewOutcome {
    /// The part.
    pub part: String,
    /// What was found; `None` clears it.
    pub found: Option<String>,
    /// How it was checked, if said.
    pub by: Option<CheckedBy>,
    /// Anything else.
    pub note: String,
}

/// Records that a part is cleared, or what was found of it.
pub fn record_outcome(entering: &Entering<'_>, new: NewOutcome) -> Result<RecordedView, Trouble> {
    let verdict = match new.found.as_deref().map(str::trim) {
        None => CLEARED.to_owned(),
        Some("") => {
            return Err(Trouble::input(
                "nothing was said of what was found",
                "say it in a few words, such as \"leaky, 200k at 300 volts\"",
            ));
        }
        Some(found) => format!("{CONDEMNED}{found}"),
    };
    let tester = new.by.map_or("", CheckedBy::words);
    enter(entering, |open| {
        if let (Some(sheet), Some(by)) = (&open.sheet, new.by) {
            check_suits(sheet, &new.part, by, new.found.is_none())?;
        }
        put_test(
            open,
            Tested {
                part: new.part,
                section: String::new(),
                type_number: String::new(),
                tester: tester.to_owned(),
                result: TestResult::Verdict(verdict),
                note: new.note,
            },
        )
    })
}
