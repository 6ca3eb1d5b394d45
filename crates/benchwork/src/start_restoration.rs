//! Starts a restoration's file, and takes the set sheet into it.
//!
//! A sheet with faults is not taken in; all of them are told. Every version that is taken in
//! is kept whole. A file that is there already is never written over.

use std::path::Path;

use logbook::{Logbook, check_sending_id};

use crate::check_sheet::sound_sheet;
use crate::read_sheet_file::SheetFile;
use crate::restoration::{Entering, trouble};
use crate::sent_once::{enter, told_before};
use crate::trouble::Trouble;
use crate::view::RecordedView;

/// Makes the file and takes in the first sheet. Without a name it bears that of the sheet.
pub fn start_restoration(
    entering: &Entering<'_>,
    sheet_file: &SheetFile,
    name: Option<&str>,
) -> Result<RecordedView, Trouble> {
    if let Some(id) = entering.once {
        check_sending_id(id).map_err(|error| trouble(entering.file, error))?;
    }
    // A file that is there may have been started by this very sending.
    if let Ok(Some(told)) = told_before(entering) {
        return Ok(told);
    }
    let (sheet, _) = sound_sheet(sheet_file)?;
    let name = name.map(str::trim).unwrap_or(sheet.name.trim());
    if name.is_empty() {
        return Err(Trouble::input(
            "the sheet has no name, and none was given",
            "put `name = \"...\"` into the sheet, or give one with --name",
        ));
    }
    Logbook::start(entering.file, name).map_err(|error| trouble(entering.file, error))?;
    take_in_sheet(entering, sheet_file)
}

/// Takes in a new version of the sheet; the one that is there already is told and not taken again.
pub fn take_in_sheet(
    entering: &Entering<'_>,
    sheet_file: &SheetFile,
) -> Result<RecordedView, Trouble> {
    enter(entering, |mut open| {
        let (_, notices) = sound_sheet(sheet_file)?;
        open.notices = notices;
        let text = sheet_file.text();
        // Where on this computer the file stood says nothing about the set.
        let name = Path::new(&sheet_file.name).file_name();
        let name = name.map_or_else(
            || sheet_file.name.clone(),
            |name| name.to_string_lossy().into_owned(),
        );
        let at = entering.at.clone();
        open.with(|book| book.take_sheet(&at, &name, &text))
    })
}
