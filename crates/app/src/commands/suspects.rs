//! `firstraster suspects FILE [WHAT]`: which part explains the readings, and what came of it.
//!
//! Without a word the ranking; `explain` and `what-if` look at one part; `cleared` and `condemned`
//! make an entry. Status 1 for a part or a fault that the sheet has not.

use benchwork::{
    Entering, NewOutcome, Trouble, explain_suspect, record_outcome, tell_suspects, tell_what_if,
};

use crate::cli_suspects::{CheckArguments, SuspectsArguments, SuspectsTask};
use crate::clock::time;
use crate::commands::DONE;
use crate::output::{Screen, Stop, story_page, suspects_page, what_if_page};
use crate::pictures;

/// Runs the command.
pub fn run(arguments: &SuspectsArguments, screen: &mut Screen) -> Result<u8, Stop> {
    let (file, all) = (&arguments.file, arguments.all);
    let picture = arguments.picture.as_deref();
    match &arguments.task {
        None => {
            let view = tell_suspects(file)?;
            if let Some(path) = picture {
                pictures::draw_suspects(&view, path)?;
            }
            if screen.json {
                screen.answer(&view)?;
            } else {
                screen.say(&suspects_page::page(&view, all))?;
            }
            Ok(DONE)
        }
        Some(SuspectsTask::Explain { part }) => {
            refuse_picture(arguments)?;
            let view = explain_suspect(file, part)?;
            if screen.json {
                screen.answer(&view)?;
            } else {
                screen.say(&suspects_page::case(&view))?;
            }
            Ok(DONE)
        }
        Some(SuspectsTask::WhatIf { part, fault }) => {
            let view = tell_what_if(file, part, fault.as_deref())?;
            if let Some(path) = picture {
                pictures::draw_what_if(&view, path)?;
            }
            if screen.json {
                screen.answer(&view)?;
            } else {
                screen.say(&what_if_page::page(&view, all))?;
            }
            Ok(DONE)
        }
        Some(SuspectsTask::Cleared { part, how }) => enter(arguments, part, None, how, screen),
        Some(SuspectsTask::Condemned { part, found, how }) => {
            enter(arguments, part, Some(found), how, screen)
        }
    }
}

fn enter(
    arguments: &SuspectsArguments,
    part: &str,
    found: Option<&String>,
    how: &CheckArguments,
    screen: &mut Screen,
) -> Result<u8, Stop> {
    refuse_picture(arguments)?;
    let entering = Entering {
        file: &arguments.file,
        at: time(how.at.clone())?,
    };
    let outcome = NewOutcome {
        part: part.to_owned(),
        found: found.cloned(),
        by: how.by.map(Into::into),
        note: how.note.clone(),
    };
    story_page::show(&record_outcome(&entering, outcome)?, screen)
}

fn refuse_picture(arguments: &SuspectsArguments) -> Result<(), Trouble> {
    if arguments.picture.is_none() {
        return Ok(());
    }
    Err(Trouble::input(
        "a picture is drawn of the ranking and of what-if",
        "leave --picture out here",
    ))
}
