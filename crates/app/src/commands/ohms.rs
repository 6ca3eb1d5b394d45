//! `firstraster ohms SHEET`: cold resistances, the set unplugged.

use benchwork::{cold_ohms, read_set_file};

use crate::cli::OhmsArguments;
use crate::cli_bench::names;
use crate::commands::DONE;
use crate::commands::keep::keeping;
use crate::output::readings_page::Extent;
use crate::output::{Screen, Stop, readings_page};

/// Runs the command.
pub fn run(arguments: OhmsArguments, screen: &mut Screen) -> Result<u8, Stop> {
    let file = read_set_file(&arguments.sheet)?;
    let keeping = keeping(&arguments.keep, &arguments.sheet, &file)?;
    let view = cold_ohms(&file, arguments.to.as_deref(), &names(arguments.pulled))?;
    let title = "Cold resistances, plug out, every capacitor proved empty";
    let page = readings_page::page(title, &view, Extent::Whole);
    if screen.json {
        screen.answer(&view)?;
    } else {
        screen.say(&page)?;
    }
    keeping.keep(&page, screen)?;
    Ok(DONE)
}
