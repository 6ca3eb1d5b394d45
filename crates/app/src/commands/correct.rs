//! `firstraster correct FILE NUMBER CHANGES`: tells an entry anew, by an entry of its own.
//!
//! Status 1 for fields that the entry has not and values that cannot be understood.

use benchwork::correct_entry;

use crate::cli_restoration::CorrectArguments;
use crate::clock::entering;
use crate::output::{Screen, Stop, story_page};

/// Runs the command.
pub fn run(arguments: &CorrectArguments, screen: &mut Screen) -> Result<u8, Stop> {
    let because = arguments.because.as_deref().unwrap_or_default();
    let entering = entering(&arguments.entry)?;
    let made = correct_entry(&entering, arguments.number, &arguments.changes, because)?;
    story_page::show(&made, screen)
}
