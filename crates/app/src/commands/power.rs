//! `firstraster power FILE [WHAT]`: the first power-up, live.
//!
//! Each word makes one entry and shows the verdict; `talk` goes through all of it in a conversation
//! with the clock running. Status 1 where an entry would break the order; nothing is written then.

use benchwork::{PowerSession, Trouble};

use crate::cli_power::{PowerArguments, PowerTask};
use crate::clock;
use crate::commands::DONE;
use crate::commands::power_talk;
use crate::output::{Screen, Stop, power_page};

/// Runs the command.
pub fn run(arguments: &PowerArguments, screen: &mut Screen) -> Result<u8, Stop> {
    let mut session = PowerSession::of(&arguments.file);
    if matches!(arguments.task, Some(PowerTask::Talk)) {
        if screen.json || arguments.at.is_some() {
            return Err(Stop::from(Trouble::input(
                "a conversation has the clock of this computer and no JSON",
                "use the single words: begin, read, done, skip, stop, leave",
            )));
        }
        return power_talk::talk(&mut session, &arguments.file, screen);
    }
    let at = clock::time(arguments.at.clone())?;
    let view = match &arguments.task {
        None | Some(PowerTask::Talk) => session.tell(&at)?,
        Some(PowerTask::Begin) => session.begin(&at)?,
        Some(PowerTask::Read(reading)) => session.read(&at, reading.reading())?,
        Some(PowerTask::Done(why)) => session.done(&at, &why.because)?,
        Some(PowerTask::Skip(why)) => session.skip(&at, &why.because)?,
        Some(PowerTask::Stop { noticed }) => session.stop(&at, noticed)?,
        Some(PowerTask::Leave(why)) => session.leave(&at, &why.because)?,
    };
    if screen.json {
        screen.answer(&view)?;
    } else if arguments.task.is_none() {
        screen.say(&power_page::page(&view))?;
    } else {
        screen.say(&power_page::after_entry(&view))?;
    }
    Ok(DONE)
}
