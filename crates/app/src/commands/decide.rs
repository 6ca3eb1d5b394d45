//! `firstraster decide FILE WHAT`: notes a decision and its reason.

use benchwork::{Decided, note_decided};

use crate::cli_restoration::DecideArguments;
use crate::clock::entering;
use crate::output::{Screen, Stop, story_page};

/// Runs the command.
pub fn run(arguments: DecideArguments, screen: &mut Screen) -> Result<u8, Stop> {
    let decided = Decided {
        what: arguments.what,
        because: arguments.because.unwrap_or_default(),
    };
    let made = note_decided(&entering(&arguments.entry)?, decided)?;
    story_page::show(&made, screen)
}
