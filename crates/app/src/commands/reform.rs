//! `firstraster reform FILE|VALUE [PART] [WHAT ...]`: an electrolytic formed anew outside the set.
//!
//! A subject that is a file, or ends as one of ours does, is a restoration or a sheet; anything else is
//! a value. Status 1 for what cannot be understood; nothing is written then.

use std::path::Path;

use benchwork::{Entering, Trouble, record_forming, tell_forming, tell_forming_of, tell_formings};

use crate::cli_reform::{ReformArguments, ReformEntry};
use crate::clock::time;
use crate::commands::DONE;
use crate::draw;
use crate::output::{Screen, Stop, reform_page};

/// Runs the command.
pub fn run(arguments: &ReformArguments, screen: &mut Screen) -> Result<u8, Stop> {
    let subject = Path::new(&arguments.subject);
    let ends_as_ours = subject
        .extension()
        .is_some_and(|end| end == "restoration" || end == "toml");
    let is_file = subject.exists() || ends_as_ours || arguments.subject == "-";
    if let Some(entry) = &arguments.entry {
        return enter(arguments, entry, screen);
    }
    let view = match (&arguments.part, is_file) {
        (None, true) => {
            let list = tell_formings(subject)?;
            if arguments.svg.is_some() {
                return Err(Stop::Trouble(Trouble::input(
                    "a picture is drawn of one section",
                    "name it behind the file, such as C1A",
                )));
            }
            if screen.json {
                screen.answer(&list)?;
            } else {
                screen.say(&reform_page::list(&list))?;
            }
            return Ok(DONE);
        }
        (Some(part), true) => tell_forming(subject, part, &arguments.ask())?,
        (None, false) => tell_forming_of(&arguments.subject, &arguments.ask())?,
        (Some(_), false) => {
            return Err(Stop::Trouble(Trouble::input(
                format!("{}: there is no such file", arguments.subject),
                "name a restoration's file or a sheet before the part, or a value alone",
            )));
        }
    };
    if let Some(path) = &arguments.svg {
        draw::draw_forming(&view, path)?;
    }
    if screen.json {
        screen.answer(&view)?;
    } else {
        screen.say(&reform_page::page(&view))?;
    }
    Ok(DONE)
}

fn enter(
    arguments: &ReformArguments,
    entry: &ReformEntry,
    screen: &mut Screen,
) -> Result<u8, Stop> {
    if arguments.svg.is_some() {
        return Err(Stop::Trouble(Trouble::input(
            "a picture is drawn of what is kept, not while something is entered",
            "enter first, then ask for the picture",
        )));
    }
    let Some(part) = &arguments.part else {
        return Err(Stop::Trouble(Trouble::input(
            "no section is named for the entry",
            "name it behind the file, such as C1A",
        )));
    };
    let with = entry.with();
    let entering = Entering::new(Path::new(&arguments.subject), time(with.at.clone())?);
    let said = |text: &Option<String>| text.clone().unwrap_or_default();
    let recorded = record_forming(
        &entering,
        part,
        &arguments.ask(),
        (&said(&with.with), &said(&with.note)),
        &entry.finding(),
    )?;
    if screen.json {
        screen.answer(&recorded)?;
    } else {
        screen.say(&reform_page::recorded(&recorded))?;
    }
    Ok(DONE)
}
