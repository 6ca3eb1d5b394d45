//! A list of parts taken into the present sheet of a restoration, as a new version.
//!
//! The list is held against the version that its maker saw, known by its mark: where another was taken in since,
//! nothing is written and that is told. Fails as [`PartsIn::held`] does, with every fault of the list at once, for a list
//! that changes nothing, and as taking in a sheet does.

use crate::exchange_parts::PartsIn;
use crate::present_sheet::{PresentSheet, take_in_changed};
use crate::read_sheet_file::SheetFile;
use crate::restoration::Entering;
use crate::trouble::Trouble;
use crate::view::RecordedView;

/// Holds a list against the sheet; writes nothing.
pub fn hold_list(
    sheet: &PresentSheet,
    list: &SheetFile,
    remove_missing: bool,
) -> Result<PartsIn, Trouble> {
    PartsIn::held(sheet.file(), list, remove_missing)
}

/// Takes the list into the sheet that has this mark. What is new to notice comes back with the entry.
pub fn take_in_list(
    entering: &Entering<'_>,
    made_from: &str,
    list: &SheetFile,
    remove_missing: bool,
) -> Result<RecordedView, Trouble> {
    take_in_changed(entering, made_from, |sheet| {
        let taken = hold_list(sheet, list, remove_missing)?;
        if !taken.changes_anything() {
            return Err(Trouble::input(
                "the list says what the sheet says; there is nothing to take in",
                "change the list first",
            ));
        }
        Ok((taken.sheet_text().to_owned(), taken.view.notices))
    })
}
