//! The program `firstraster`: command line in, tables or JSON out.
//!
//! Only this crate knows the terminal. Each command is one file in [`commands`],
//! asks `benchwork` one question and shows the view it gets. Exit status: 0 done;
//! 1 the sheet or the input is at fault; 2 wrong usage; 3 a fault of ours; 4 no
//! settled state was found. A reader that closes the pipe ends the program quietly.

mod cli;
mod cli_bench;
mod cli_hand_on;
mod cli_keep;
mod cli_picture;
mod cli_power;
mod cli_practice;
mod cli_prove;
mod cli_reform;
mod cli_renew;
mod cli_restoration;
mod cli_serve;
mod cli_suspects;
mod clock;
mod commands;
mod draw;
#[cfg(test)]
mod in_the_manual;
mod one_store;
mod output;
mod own_folder;

use std::panic;
use std::process::ExitCode;

use clap::Parser;

use cli::Cli;
use output::{Screen, Stop};

fn main() -> ExitCode {
    let cli = match Cli::try_parse() {
        Ok(cli) => cli,
        Err(shown) => {
            // Help and version come this way as well; clap knows their status and stream.
            let status = if shown.use_stderr() { 2 } else { 0 };
            let _ = shown.print();
            return ExitCode::from(status);
        }
    };
    panic::set_hook(Box::new(output::remember_panic));
    let json = cli.json;
    let outcome = panic::catch_unwind(move || {
        let mut screen = Screen::new(json);
        let done =
            commands::run(cli, &mut screen).and_then(|status| screen.finish().map(|()| status));
        match done {
            Ok(status) => status,
            Err(Stop::PipeClosed) => 0,
            Err(Stop::Write(error)) => output::tell_write_fault(&error),
            Err(Stop::Trouble(trouble)) => output::tell_trouble(&trouble, json),
        }
    });
    let status = outcome.unwrap_or_else(|cause| output::tell_panic(cause.as_ref(), json));
    ExitCode::from(status)
}
