//! `firstraster silicon FILE`: selenium to silicon, and silicon in place of a rectifier tube.
//!
//! Status 1 for a line that no set of the time was made for; 4 where no settled state was found.

use benchwork::tell_silicon;

use crate::cli_renew::SiliconArguments;
use crate::commands::DONE;
use crate::draw;
use crate::output::{Screen, Stop, silicon_page, watched::watched};

/// Runs the command.
pub fn run(arguments: &SiliconArguments, screen: &mut Screen) -> Result<u8, Stop> {
    let view = watched(screen, |work| {
        tell_silicon(&arguments.file, arguments.line, work)
    })?;
    if let Some(path) = &arguments.picture {
        draw::draw_silicon(&view, path)?;
    }
    if screen.json {
        screen.answer(&view)?;
    } else {
        screen.say(&silicon_page::page(&view))?;
    }
    Ok(DONE)
}
