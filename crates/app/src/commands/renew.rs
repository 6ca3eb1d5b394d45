//! `firstraster renew FILE [part PART ... | fitted PART]`: what to replace, with what, in which order.
//!
//! Without a word the plan. Status 1 for a part that the sheet has not; 4 where no settled state was found.

use benchwork::{Entering, RenewAsk, keep_plan, tell_renewal, tick_off};

use crate::cli_renew::{RenewArguments, RenewTask};
use crate::clock::time;
use crate::commands::DONE;
use crate::output::{Screen, Stop, renew_page, story_page, watched::watched};

/// Runs the command.
pub fn run(arguments: &RenewArguments, screen: &mut Screen) -> Result<u8, Stop> {
    let ask = match &arguments.task {
        Some(RenewTask::Fitted { part, new, note }) => {
            let entering = Entering::new(&arguments.file, time(arguments.at.clone())?);
            let made = tick_off(&entering, part, new.as_deref(), note)?;
            return story_page::show(&made, screen);
        }
        Some(RenewTask::Part { parts }) => RenewAsk {
            parts: parts.clone(),
        },
        None => RenewAsk::default(),
    };
    let view = watched(screen, |work| tell_renewal(&arguments.file, &ask, work))?;
    // Kept first: where that cannot be done nothing is told as if it were.
    let mut kept = None;
    if arguments.keep {
        let entering = Entering::new(&arguments.file, time(arguments.at.clone())?);
        kept = Some(keep_plan(&entering, &view)?.0);
    }
    if screen.json {
        screen.answer(&view)?;
    } else if ask.parts.is_empty() {
        screen.say(&renew_page::page(&view, arguments.all))?;
    } else {
        screen.say(&renew_page::parts(&view))?;
    }
    if let Some(first) = kept.filter(|_| !screen.json) {
        screen.say(&format!("\nKept as entry {first}.\n"))?;
    }
    Ok(DONE)
}
