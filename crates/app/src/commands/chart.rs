//! `firstraster chart SHEET`: the maker's chart beside the prediction.
//!
//! The share of the search that is done is shown on a terminal while it runs. With
//! `--picture` a picture is drawn besides; it fails as a file does.

use std::io::{IsTerminal, Write};

use benchwork::{lay_chart, read_set_as_taken_in};

use crate::cli::ChartArguments;
use crate::commands::DONE;
use crate::commands::keep::keeping;
use crate::draw;
use crate::output::{Screen, Stop, chart_page};

/// Runs the command.
pub fn run(arguments: &ChartArguments, screen: &mut Screen) -> Result<u8, Stop> {
    let file = read_set_as_taken_in(&arguments.sheet)?;
    let keeping = keeping(&arguments.keep, &arguments.sheet, &file)?;
    let mut notes = std::io::stderr();
    let is_watched = !screen.json && notes.is_terminal();
    let view = lay_chart(&file, &mut |share| {
        if is_watched {
            // Whether anybody sees it changes nothing.
            let _ = write!(notes, "\rlooking for slips: {:3.0}%", 100.0 * share);
        }
        true
    })?;
    if is_watched {
        let _ = write!(notes, "\r{:24}\r", "");
    }
    if let Some(path) = &arguments.picture {
        draw::draw_chart(&view, path)?;
    }
    let page = chart_page::page(&view, arguments.all);
    if screen.json {
        screen.answer(&view)?;
    } else {
        screen.say(&page)?;
    }
    keeping.keep(&page, screen)?;
    Ok(DONE)
}
