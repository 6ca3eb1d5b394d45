//! `firstraster undo FILE [NUMBER]`: takes an entry back, by an entry of its own.
//!
//! Status 1 where there is no such entry or it is undone already.

use benchwork::undo_entry;

use crate::cli_restoration::UndoArguments;
use crate::clock::entering;
use crate::output::{Screen, Stop, story_page};

/// Runs the command.
pub fn run(arguments: &UndoArguments, screen: &mut Screen) -> Result<u8, Stop> {
    let because = arguments.because.as_deref().unwrap_or_default();
    let made = undo_entry(&entering(&arguments.entry)?, arguments.number, because)?;
    story_page::show(&made, screen)
}
