//! `firstraster worth FILE`: whether the set is worth the work, and the next test.
//!
//! Status 1 for tables of figures or prices with faults; 4 where no settled state was found.

use benchwork::{WorthAsk, tell_worth};

use crate::cli_renew::WorthArguments;
use crate::commands::DONE;
use crate::output::{Screen, Stop, watched::watched, worth_page};

/// Runs the command.
pub fn run(arguments: &WorthArguments, screen: &mut Screen) -> Result<u8, Stop> {
    let ask = WorthAsk {
        figures: arguments.figures.clone(),
        prices: arguments.prices.clone(),
    };
    let view = watched(screen, |work| tell_worth(&arguments.file, &ask, work))?;
    if screen.json {
        screen.answer(&view)?;
    } else {
        screen.say(&worth_page::page(&view, arguments.all))?;
    }
    Ok(DONE)
}
