//! `firstraster order FILE`: what to buy, grouped and counted, and as CSV.
//!
//! Status 1 for prices with faults and for a file that is there already; nothing is half written.

use benchwork::{OrderAsk, Trouble, order_list, write_file};

use crate::cli_renew::OrderArguments;
use crate::commands::DONE;
use crate::output::{Screen, Stop, order_page, watched::watched};

/// Runs the command.
pub fn run(arguments: &OrderArguments, screen: &mut Screen) -> Result<u8, Stop> {
    let ask = OrderAsk {
        with_tests: arguments.with_tests,
        spares_percent: arguments.spares,
        prices: arguments.prices.clone(),
    };
    if let Some(path) = arguments.csv.as_ref().filter(|path| path.exists()) {
        return Err(Stop::Trouble(Trouble::File {
            name: path.display().to_string(),
            text: "this file is there already".to_owned(),
            hint: "name another one, or move it away".to_owned(),
        }));
    }
    let out = watched(screen, |work| order_list(&arguments.file, &ask, work))?;
    if let Some(path) = &arguments.csv {
        write_file(path, &out.csv)?;
    }
    if screen.json {
        screen.answer(&out.view)?;
    } else {
        screen.say(&order_page::page(&out.view))?;
    }
    Ok(DONE)
}
