//! The commands, one file each. Each asks `benchwork` one question and shows the answer.
//!
//! A command gives the exit status of its answer, or says why it stopped.

mod backup;
mod bench;
mod change;
mod chart;
mod check;
mod completion;
mod correct;
mod decide;
mod demo;
mod devices;
mod expect;
mod export;
mod fit;
mod hand_on;
mod import;
mod keep;
mod labels;
mod manual;
mod ohms;
mod order;
mod parts;
mod photo;
mod picture;
mod power;
mod power_talk;
mod practice;
mod prove;
mod reading;
mod reform;
mod renew;
mod see;
mod silicon;
mod stage;
mod start;
mod story;
mod suspects;
mod take;
mod test;
mod tube;
mod undo;
mod wake;
mod worth;

use crate::cli::{Cli, Command};
use crate::output::{Screen, Stop};

/// Exit status of a command that did what was asked.
pub const DONE: u8 = 0;

/// Exit status where the sheet or the input is at fault.
pub const AT_FAULT: u8 = 1;

/// Runs what was asked for.
pub fn run(cli: Cli, screen: &mut Screen) -> Result<u8, Stop> {
    match cli.command {
        Command::Check(arguments) => check::run(&arguments, screen),
        Command::Expect(arguments) => expect::run(*arguments, screen),
        Command::Wake(arguments) => wake::run(&arguments, screen),
        Command::Ohms(arguments) => ohms::run(arguments, screen),
        Command::Chart(arguments) => chart::run(&arguments, screen),
        Command::Tube(arguments) => tube::run(&arguments, screen),
        Command::Stage(arguments) => stage::run(&arguments, screen),
        Command::Parts(arguments) => parts::run(&arguments, screen),
        Command::Start(arguments) => start::run(&arguments, screen),
        Command::Take(arguments) => take::run(&arguments, screen),
        Command::See(arguments) => see::run(arguments, screen),
        Command::Reading(arguments) => reading::run(&arguments, screen),
        Command::Power(arguments) => power::run(&arguments, screen),
        Command::Fit(arguments) => fit::run(arguments, screen),
        Command::Test(arguments) => test::run(arguments, screen),
        Command::Picture(arguments) => picture::run(&arguments, screen),
        Command::Reform(arguments) => reform::run(&arguments, screen),
        Command::Prove(arguments) => prove::run(&arguments, screen),
        Command::Suspects(arguments) => suspects::run(&arguments, screen),
        Command::Worth(arguments) => worth::run(&arguments, screen),
        Command::Renew(arguments) => renew::run(&arguments, screen),
        Command::Silicon(arguments) => silicon::run(&arguments, screen),
        Command::Order(arguments) => order::run(&arguments, screen),
        Command::Practice(arguments) => practice::run(&arguments, screen),
        Command::Photo(arguments) => photo::run(&arguments, screen),
        Command::Change(arguments) => change::run(arguments, screen),
        Command::Decide(arguments) => decide::run(arguments, screen),
        Command::Undo(arguments) => undo::run(&arguments, screen),
        Command::Correct(arguments) => correct::run(&arguments, screen),
        Command::Story(arguments) => story::run(&arguments, screen),
        Command::Backup(arguments) => backup::run(&arguments, screen),
        Command::Export(arguments) => export::run(&arguments, screen),
        Command::Import(arguments) => import::run(&arguments, screen),
        Command::Bench(arguments) => bench::run(&arguments, screen),
        Command::Devices(arguments) => devices::run(&arguments, screen),
        Command::HandOn(arguments) => hand_on::run(&arguments, screen),
        Command::Labels(arguments) => labels::run(&arguments, screen),
        Command::Demo => demo::run(screen),
        Command::Completion(arguments) => completion::run(&arguments, screen),
        Command::Manual(arguments) => manual::run(&arguments, screen),
    }
}
