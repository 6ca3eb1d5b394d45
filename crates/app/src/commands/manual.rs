//! `firstraster manual DIR`: writes the manual pages, one for each command.
//!
//! The folder is made if it is not there; one that cannot be written is a fault
//! of the input.

use std::fs;
use std::path::Path;

use benchwork::Trouble;
use clap::CommandFactory;
use serde::Serialize;

use crate::cli::{Cli, ManualArguments};
use crate::commands::DONE;
use crate::output::{Screen, Stop};

/// The answer for scripts.
#[derive(Serialize)]
struct Manual {
    format: u32,
    pages: Vec<String>,
}

/// Runs the command.
pub fn run(arguments: &ManualArguments, screen: &mut Screen) -> Result<u8, Stop> {
    let folder = &arguments.folder;
    fs::create_dir_all(folder).map_err(|error| trouble(folder, &error))?;
    let mut program = Cli::command().disable_help_subcommand(true);
    program.build();
    let mut pages = vec![write(folder, "firstraster.1", program.clone())?];
    for command in program.get_subcommands() {
        let name = format!("firstraster-{}", command.get_name());
        pages.push(write(folder, &format!("{name}.1"), command.clone())?);
    }
    if screen.json {
        screen.answer(&Manual {
            format: benchwork::FORMAT,
            pages,
        })?;
    } else {
        screen.say(&format!("wrote {}\n", pages.join("\nwrote ")))?;
    }
    Ok(DONE)
}

fn write(folder: &Path, name: &str, command: clap::Command) -> Result<String, Stop> {
    let path = folder.join(name);
    let mut page = Vec::new();
    clap_mangen::Man::new(command)
        .render(&mut page)
        .map_err(|error| trouble(&path, &error))?;
    fs::write(&path, page).map_err(|error| trouble(&path, &error))?;
    Ok(path.display().to_string())
}

fn trouble(path: &Path, error: &std::io::Error) -> Trouble {
    Trouble::File {
        name: path.display().to_string(),
        text: format!("cannot be written: {error}"),
        hint: "name a folder that you may write to".to_owned(),
    }
}
