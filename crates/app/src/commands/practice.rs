//! `firstraster practice FILE [WHAT]`: a hidden fault in an example set, looked for.
//!
//! Each measurement makes an entry, judged as every reading is. Status 1 for what the sheet has not, for
//! a place where no meter may go, and for a practice that has ended.

use benchwork::{
    Entering, begin_practice, give_up, name_part, practice_check, practice_reading,
    practice_signal, tell_practice,
};

use crate::cli_practice::{PracticeArguments, PracticeTask};
use crate::clock::time;
use crate::commands::DONE;
use crate::output::{Screen, Stop, practice_page, story_page};

/// Runs the command.
pub fn run(arguments: &PracticeArguments, screen: &mut Screen) -> Result<u8, Stop> {
    let file = &arguments.file;
    let Some(task) = &arguments.task else {
        return show(&tell_practice(file)?, screen);
    };
    let at = time(arguments.at.clone())?;
    let entering = Entering::new(file, at);
    match task {
        PracticeTask::Begin(begin) => {
            let told = begin_practice(&entering, begin.set.into(), begin.number, begin.faults)?;
            show(&told, screen)
        }
        PracticeTask::Read(read) => {
            let conditions = read.conditions();
            let made = practice_reading(&entering, &read.place, &read.to, &read.meter, conditions)?;
            story_page::show(&made, screen)
        }
        PracticeTask::Ohms(ohms) => {
            let made = practice_reading(&entering, &ohms.place, &ohms.to, "", ohms.conditions())?;
            story_page::show(&made, screen)
        }
        PracticeTask::Signal { watched, fed } => story_page::show(
            &practice_signal(&entering, fed.as_deref(), watched)?,
            screen,
        ),
        PracticeTask::Check { part } => story_page::show(&practice_check(&entering, part)?, screen),
        PracticeTask::Name { part } => show(&name_part(&entering, part)?, screen),
        PracticeTask::GiveUp => show(&give_up(&entering)?, screen),
    }
}

fn show(told: &benchwork::view::PracticeView, screen: &mut Screen) -> Result<u8, Stop> {
    if screen.json {
        screen.answer(told)?;
    } else {
        screen.say(&practice_page::page(told))?;
    }
    Ok(DONE)
}
