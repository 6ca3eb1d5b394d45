//! `firstraster picture FILE|TYPE [WHAT ...]`: a picture tube judged; what is found of it entered.
//!
//! A subject that is a file, or ends as one of ours does, is a restoration; anything else is a
//! type. Status 1 for what cannot be understood; nothing is written then.

use std::path::Path;

use benchwork::{Entering, Trouble, judge_picture_tube, record_findings, tell_picture_type};

use crate::cli_picture::{PictureArguments, PictureEntry, SvgOf};
use crate::clock::time;
use crate::commands::DONE;
use crate::draw;
use crate::output::{Screen, Stop, picture_page};

/// Runs the command.
pub fn run(arguments: &PictureArguments, screen: &mut Screen) -> Result<u8, Stop> {
    let subject = Path::new(&arguments.subject);
    let is_file = subject.exists() || subject.extension().is_some_and(|end| end == "restoration");
    if let Some(entry) = &arguments.entry {
        return enter(arguments, entry, screen);
    }
    let view = if is_file {
        judge_picture_tube(subject, &arguments.ask())?
    } else {
        tell_picture_type(&arguments.subject, &arguments.ask())?
    };
    if let Some(path) = &arguments.svg {
        let is_read = !view.emission.is_empty();
        let of = arguments.svg_of.unwrap_or(if is_read {
            SvgOf::Emission
        } else {
            SvgOf::Bench
        });
        draw::draw_tube(&view, of, path)?;
    }
    if screen.json {
        screen.answer(&view)?;
    } else {
        screen.say(&picture_page::page(&view))?;
    }
    Ok(DONE)
}

fn enter(
    arguments: &PictureArguments,
    entry: &PictureEntry,
    screen: &mut Screen,
) -> Result<u8, Stop> {
    if arguments.svg.is_some() {
        return Err(Stop::Trouble(Trouble::input(
            "a picture is drawn of what is kept, not while something is entered",
            "enter first, then ask for the picture",
        )));
    }
    let of = entry.of();
    let entering = Entering::new(Path::new(&arguments.subject), time(of.at.clone())?);
    let said = |text: &Option<String>| text.clone().unwrap_or_default();
    let found = record_findings(
        &entering,
        &arguments.ask(),
        (&said(&of.with), &said(&of.note)),
        &entry.finding(),
    )?;
    if screen.json {
        screen.answer(&found)?;
    } else {
        screen.say(&picture_page::found(&found))?;
    }
    Ok(DONE)
}
