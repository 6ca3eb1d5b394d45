//! `firstraster check SHEET`: what the sheet says and lacks.
//!
//! Status 0 for a sheet that can be used, 1 for one with faults; both are answers.

use benchwork::{check_sheet, read_set_file};

use crate::cli::CheckArguments;
use crate::commands::{AT_FAULT, DONE};
use crate::output::{Screen, Stop, check_page};

/// Runs the command.
pub fn run(arguments: &CheckArguments, screen: &mut Screen) -> Result<u8, Stop> {
    let file = read_set_file(&arguments.sheet)?;
    let report = check_sheet(&file)?;
    if screen.json {
        screen.answer(&report)?;
    } else {
        screen.say(&check_page::page(&report, &file))?;
    }
    Ok(if report.ok { DONE } else { AT_FAULT })
}
