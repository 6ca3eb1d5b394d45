//! `firstraster take FILE SHEET`: takes a new version of the sheet into a restoration.
//!
//! Status 1 for a sheet with faults; nothing is written then.

use benchwork::{read_sheet_file, take_in_sheet};

use crate::cli_restoration::TakeArguments;
use crate::clock::entering;
use crate::output::{Screen, Stop, story_page};

/// Runs the command.
pub fn run(arguments: &TakeArguments, screen: &mut Screen) -> Result<u8, Stop> {
    let sheet = read_sheet_file(&arguments.sheet)?;
    let made = take_in_sheet(&entering(&arguments.entry)?, &sheet)?;
    story_page::show(&made, screen)
}
