//! `firstraster tube TYPE`: what the catalogue knows of a tube, and what comes near it.

use benchwork::tell_tube;

use crate::cli::TubeArguments;
use crate::commands::DONE;
use crate::draw;
use crate::output::{Screen, Stop, tube_page};

/// Runs the command.
pub fn run(arguments: &TubeArguments, screen: &mut Screen) -> Result<u8, Stop> {
    let answer = tell_tube(&arguments.number, arguments.like, arguments.own.as_deref())?;
    if let Some(path) = &arguments.svg {
        draw::draw_base(&answer, path)?;
    }
    if screen.json {
        screen.answer(&answer)?;
    } else {
        screen.say(&tube_page::page(&answer))?;
    }
    Ok(DONE)
}
