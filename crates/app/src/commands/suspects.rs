//! `firstraster suspects FILE [WHAT]`: which part explains the readings, and what came of it.
//!
//! Without a word the ranking; `explain` and `what-if` look at one part; `noticed`, `signal`, `glow`, `pulled`,
//! `warms`, `exchanged`, `bridged`, `loose-end`, `cleared` and `condemned` make an entry. Status 1 for a part or a fault that the sheet has not.

use benchwork::{
    Entering, NewLooseEnd, NewNotice, NewOutcome, NewTrial, TriedHow, Trouble, explain_suspect,
    record_loose_end, record_notice, record_outcome, record_trial, tell_as_read, tell_next,
    tell_suspects, tell_symptoms, tell_what_if,
};
use serde::Serialize;

use crate::cli_suspects::{CheckArguments, NoteArguments, SuspectsArguments, SuspectsTask};
use crate::clock::time;
use crate::commands::DONE;
use crate::commands::keep::keeping_in;
use crate::draw;
use crate::output::{
    Screen, Stop, as_read_page, noticed_page, offers_page, story_page, suspect_case_page,
    suspects_page, watched::watched, what_if_page,
};

/// Runs the command.
pub fn run(arguments: &SuspectsArguments, screen: &mut Screen) -> Result<u8, Stop> {
    let (file, all) = (&arguments.file, arguments.all);
    match &arguments.task {
        None => {
            let view = watched(screen, |work| tell_suspects(file, work))?;
            if let Some(path) = &arguments.picture {
                draw::draw_suspects(&view, path)?;
            }
            answer(arguments, &view, &suspects_page::page(&view, all), screen)
        }
        Some(SuspectsTask::Explain { part }) => {
            refuse_picture(arguments)?;
            let view = watched(screen, |work| explain_suspect(file, part, work))?;
            answer(arguments, &view, &suspect_case_page::page(&view), screen)
        }
        Some(SuspectsTask::WhatIf { part, fault }) => {
            let view = watched(screen, |work| {
                tell_what_if(file, part, fault.as_deref(), work)
            })?;
            if let Some(path) = &arguments.picture {
                draw::draw_what_if(&view, path)?;
            }
            answer(arguments, &view, &what_if_page::page(&view, all), screen)
        }
        Some(SuspectsTask::AsRead) => {
            let view = watched(screen, |work| tell_as_read(file, work))?;
            if let Some(path) = &arguments.picture {
                draw::draw_as_read(&view, path)?;
            }
            answer(arguments, &view, &as_read_page::page(&view), screen)
        }
        Some(SuspectsTask::Next { efforts, elsewhere }) => {
            refuse_picture(arguments)?;
            let view = watched(screen, |work| {
                tell_next(file, efforts.as_deref(), *elsewhere, work)
            })?;
            answer(arguments, &view, &offers_page::page(&view, all), screen)
        }
        Some(SuspectsTask::Noticed {
            symptom: None,
            not: false,
            ..
        }) => {
            refuse_picture(arguments)?;
            let view = tell_symptoms()?;
            answer(arguments, &view, &noticed_page::list(&view), screen)
        }
        Some(SuspectsTask::Noticed { symptom, not, more }) => {
            let name = symptom.clone().unwrap_or_default();
            let new = NewNotice::Symptom { name, shown: !not };
            notice(arguments, new, more, screen)
        }
        Some(SuspectsTask::Signal {
            came,
            watched,
            fed,
            volts,
            maker,
            more,
        }) => {
            let new = NewNotice::Signal {
                from: fed.clone(),
                end: watched.clone(),
                came: came.clone(),
                volts: volts.clone().zip(maker.clone()),
            };
            notice(arguments, new, more, screen)
        }
        Some(SuspectsTask::Glow { tube, how, more }) => {
            let new = NewNotice::Glow {
                tube: tube.clone(),
                how: how.clone(),
            };
            notice(arguments, new, more, screen)
        }
        Some(SuspectsTask::Pulled {
            tube,
            then,
            watched,
            more,
        }) => {
            let new = NewNotice::Pulled {
                tube: tube.clone(),
                end: watched.clone(),
                then: then.clone(),
            };
            notice(arguments, new, more, screen)
        }
        Some(SuspectsTask::Warms { how, more }) => {
            notice(arguments, NewNotice::Warms(how.clone()), more, screen)
        }
        Some(SuspectsTask::Exchanged { part, then, more }) => {
            trial(arguments, part, TriedHow::Exchanged, then, more, screen)
        }
        Some(SuspectsTask::Bridged { part, then, more }) => {
            trial(arguments, part, TriedHow::Bridged, then, more, screen)
        }
        Some(SuspectsTask::LooseEnd {
            part,
            volts,
            other_end,
            meter,
            more,
        }) => {
            let new = NewLooseEnd {
                part: part.clone(),
                volts: volts.clone(),
                other_end: other_end.clone(),
                meter: meter.clone(),
                note: more.note.clone(),
            };
            story_page::show(&record_loose_end(&entering(arguments)?, new)?, screen)
        }
        Some(SuspectsTask::Cleared { part, how }) => enter(arguments, part, None, how, screen),
        Some(SuspectsTask::Condemned { part, found, how }) => {
            enter(arguments, part, Some(found), how, screen)
        }
    }
}

/// Shows an answer, and keeps its page where that is wished.
fn answer(
    arguments: &SuspectsArguments,
    view: &impl Serialize,
    page: &str,
    screen: &mut Screen,
) -> Result<u8, Stop> {
    let keeping = keeping_in(&arguments.keep(), &arguments.file)?;
    if screen.json {
        screen.answer(view)?;
    } else {
        screen.say(page)?;
    }
    keeping.keep(page, screen)?;
    Ok(DONE)
}

fn notice(
    arguments: &SuspectsArguments,
    new: NewNotice,
    more: &NoteArguments,
    screen: &mut Screen,
) -> Result<u8, Stop> {
    let entering = entering(arguments)?;
    story_page::show(&record_notice(&entering, new, more.note.clone())?, screen)
}

fn trial(
    arguments: &SuspectsArguments,
    part: &str,
    how: TriedHow,
    then: &str,
    more: &NoteArguments,
    screen: &mut Screen,
) -> Result<u8, Stop> {
    let new = NewTrial {
        part: part.to_owned(),
        how,
        then: then.to_owned(),
        note: more.note.clone(),
    };
    story_page::show(&record_trial(&entering(arguments)?, new)?, screen)
}

/// The file and the time of an entry, to which no picture and no kept answer belong.
fn entering(arguments: &SuspectsArguments) -> Result<Entering<'_>, Stop> {
    refuse_picture(arguments)?;
    if arguments.keep {
        return Err(Stop::Trouble(Trouble::input(
            "an entry is kept as it is; --keep is for answers",
            "leave --keep out here",
        )));
    }
    Ok(Entering::new(&arguments.file, time(arguments.at.clone())?))
}

fn enter(
    arguments: &SuspectsArguments,
    part: &str,
    found: Option<&String>,
    how: &CheckArguments,
    screen: &mut Screen,
) -> Result<u8, Stop> {
    let entering = entering(arguments)?;
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
        "a picture is drawn of the ranking, of as-read and of what-if",
        "leave --picture out here",
    ))
}
