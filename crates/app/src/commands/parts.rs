//! `firstraster parts SHEET`: the parts as a list for a spreadsheet, and such a list taken back.
//!
//! The list alone goes to standard output, so that it can be piped. Status 1 for a list
//! or a sheet with faults; then nothing is written.

use benchwork::{PartsIn, list_parts, read_sheet_file, write_list};

use crate::cli::PartsArguments;
use crate::commands::DONE;
use crate::output::{Screen, Stop, parts_page};

/// Runs the command.
pub fn run(arguments: &PartsArguments, screen: &mut Screen) -> Result<u8, Stop> {
    if let Some(list) = &arguments.take {
        let mut taken = PartsIn::read(&arguments.sheet, list, arguments.remove_missing)?;
        if !arguments.only_show {
            taken.write()?;
        }
        if screen.json {
            screen.answer(&taken.view)?;
        } else {
            screen.say(&parts_page::taken(&taken.view))?;
        }
        return Ok(DONE);
    }
    let file = read_sheet_file(&arguments.sheet)?;
    let parts = list_parts(&file, arguments.semicolons)?;
    if let Some(path) = &arguments.into {
        write_list(&parts, path)?;
    }
    if screen.json {
        screen.answer(&parts.view)?;
    } else if let Some(path) = &arguments.into {
        let count = parts.view.parts.len();
        screen.say(&parts_page::written(count, &path.display().to_string()))?;
    } else {
        screen.say(&parts.csv)?;
    }
    Ok(DONE)
}
