//! `firstraster fit FILE PART NEW`: records a part that was replaced.

use benchwork::{Fitted, record_fitted};

use crate::cli_restoration::FitArguments;
use crate::clock::entering;
use crate::output::{Screen, Stop, story_page};

/// Runs the command.
pub fn run(arguments: FitArguments, screen: &mut Screen) -> Result<u8, Stop> {
    let fitted = Fitted {
        part: arguments.part,
        new: arguments.new,
        old: arguments.old.unwrap_or_default(),
        rating: arguments.rating.unwrap_or_default(),
        note: arguments.note.unwrap_or_default(),
    };
    let made = record_fitted(&entering(&arguments.entry)?, fitted)?;
    story_page::show(&made, screen)
}
