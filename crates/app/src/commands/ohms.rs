//! `firstraster ohms SHEET`: cold resistances, the set unplugged.

use benchwork::{cold_ohms, read_sheet_file};

use crate::cli::{OhmsArguments, names};
use crate::commands::DONE;
use crate::output::readings_page::Extent;
use crate::output::{Screen, Stop, readings_page};

/// Runs the command.
pub fn run(arguments: OhmsArguments, screen: &mut Screen) -> Result<u8, Stop> {
    let file = read_sheet_file(&arguments.sheet)?;
    let view = cold_ohms(&file, arguments.to.as_deref(), &names(arguments.pulled))?;
    if screen.json {
        screen.answer(&view)?;
    } else {
        screen.say(&readings_page::page(
            "Cold resistances, plug out, every capacitor proved empty",
            &view,
            Extent::Whole,
        ))?;
    }
    Ok(DONE)
}
