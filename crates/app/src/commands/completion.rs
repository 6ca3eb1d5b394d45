//! `firstraster completion SHELL`: the completion script of a shell, on standard output.

use clap::CommandFactory;
use serde::Serialize;

use crate::cli::{Cli, CompletionArguments};
use crate::commands::DONE;
use crate::output::{Screen, Stop};

/// The answer for scripts.
#[derive(Serialize)]
struct Completion {
    format: u32,
    shell: String,
    script: String,
}

/// Runs the command.
pub fn run(arguments: &CompletionArguments, screen: &mut Screen) -> Result<u8, Stop> {
    let mut script = Vec::new();
    clap_complete::generate(
        arguments.shell,
        &mut Cli::command(),
        "firstraster",
        &mut script,
    );
    let script = String::from_utf8_lossy(&script).into_owned();
    if screen.json {
        let shell = arguments.shell.to_string();
        screen.answer(&Completion {
            format: benchwork::FORMAT,
            shell,
            script,
        })?;
    } else {
        screen.say(&script)?;
    }
    Ok(DONE)
}
