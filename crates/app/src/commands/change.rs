//! `firstraster change FILE WHAT`: notes a change that is no replaced part.

use benchwork::{Changed, note_changed};

use crate::cli_restoration::ChangeArguments;
use crate::clock::entering;
use crate::output::{Screen, Stop, story_page};

/// Runs the command.
pub fn run(arguments: ChangeArguments, screen: &mut Screen) -> Result<u8, Stop> {
    let changed = Changed {
        what: arguments.what,
        was: arguments.was.unwrap_or_default(),
        is: arguments.is.unwrap_or_default(),
        note: arguments.note.unwrap_or_default(),
    };
    let made = note_changed(&entering(&arguments.entry)?, changed)?;
    story_page::show(&made, screen)
}
