//! `firstraster expect SHEET`: what a meter should show under given conditions.
//!
//! With `--picture` a picture is drawn besides; it fails as a file does.

use benchwork::{expect_readings, read_set_file};

use crate::cli::{ExpectArguments, PictureOf};
use crate::commands::DONE;
use crate::commands::keep::keeping;
use crate::draw;
use crate::output::readings_page::Extent;
use crate::output::{Screen, Stop, readings_page};

/// Runs the command.
pub fn run(arguments: ExpectArguments, screen: &mut Screen) -> Result<u8, Stop> {
    let file = read_set_file(&arguments.sheet)?;
    let keeping = keeping(&arguments.keep, &arguments.sheet, &file)?;
    let conditions = arguments.bench.conditions();
    let view = expect_readings(&file, &conditions)?;
    if let Some(path) = &arguments.picture {
        let usual = if conditions.seconds.is_some() {
            PictureOf::Seconds
        } else {
            PictureOf::Line
        };
        let picture_of = arguments.picture_of.unwrap_or(usual);
        draw::draw(&file, &conditions, picture_of, path)?;
    }
    let page = readings_page::page("What a meter should show", &view, Extent::Whole);
    if screen.json {
        screen.answer(&view)?;
    } else {
        screen.say(&page)?;
    }
    keeping.keep(&page, screen)?;
    Ok(DONE)
}
