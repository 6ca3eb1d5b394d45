//! `firstraster reading FILE PLACE VALUE`: records what a meter showed, and how the set stood.
//!
//! Status 1 for a value that cannot be understood; nothing is written then.

use benchwork::{NewReading, record_reading};

use crate::cli_restoration::ReadingArguments;
use crate::clock::entering;
use crate::output::{Screen, Stop, story_page};

/// Runs the command.
pub fn run(arguments: &ReadingArguments, screen: &mut Screen) -> Result<u8, Stop> {
    let new = NewReading {
        place: arguments.place.clone(),
        value: arguments.value.clone(),
        to: arguments.to.clone().unwrap_or_default(),
        what: arguments.what.clone(),
        meter: arguments.meter.clone().unwrap_or_default(),
        conditions: arguments.conditions(),
        note: arguments.note.clone().unwrap_or_default(),
    };
    let made = record_reading(&entering(&arguments.entry)?, new)?;
    story_page::show(&made, screen)
}
