//! `firstraster photo FILE PICTURE`: adds a photograph; its file is kept as it is.
//!
//! Status 1 for a file that is no photograph or too large; nothing is written then.

use benchwork::add_photograph;

use crate::cli_restoration::PhotoArguments;
use crate::clock::entering;
use crate::output::{Screen, Stop, story_page};

/// Runs the command.
pub fn run(arguments: &PhotoArguments, screen: &mut Screen) -> Result<u8, Stop> {
    let shows = arguments.shows.as_deref().unwrap_or_default();
    let note = arguments.note.as_deref().unwrap_or_default();
    let entering = entering(&arguments.entry)?;
    let made = add_photograph(&entering, &arguments.picture, shows, note)?;
    story_page::show(&made, screen)
}
