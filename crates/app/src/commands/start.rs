//! `firstraster start FILE SHEET`: starts a restoration's file with its first sheet.
//!
//! Status 1 for a sheet with faults and for a file that is there already.

use benchwork::{read_sheet_file, start_restoration};

use crate::cli_restoration::StartArguments;
use crate::clock::entering;
use crate::output::{Screen, Stop, story_page};

/// Runs the command.
pub fn run(arguments: &StartArguments, screen: &mut Screen) -> Result<u8, Stop> {
    let sheet = read_sheet_file(&arguments.sheet)?;
    let entering = entering(&arguments.entry)?;
    let made = start_restoration(&entering, &sheet, arguments.name.as_deref())?;
    story_page::show(&made, screen)
}
