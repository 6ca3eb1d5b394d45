//! Starts a restoration's file, and takes the set sheet into it.
//!
//! A sheet with faults is not taken in; all of them are told. Every version that is taken in
//! is kept whole. A file that is there already is never written over.

use std::path::Path;

use logbook::Logbook;

use crate::check_sheet::sound_sheet;
use crate::read_sheet_file::SheetFile;
use crate::restoration::{Entering, open, trouble};
use crate::trouble::Trouble;
use crate::view::RecordedView;

/// Makes the file and takes in the first sheet. Without a name it bears that of the sheet.
pub fn start_restoration(
    entering: &Entering<'_>,
    sheet_file: &SheetFile,
    name: Option<&str>,
) -> Result<RecordedView, Trouble> {
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
    let (_, notices) = sound_sheet(sheet_file)?;
    let mut open = open(entering)?;
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
}
