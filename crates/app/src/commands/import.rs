//! `firstraster import FOLDER FILE`: takes such a folder back into a new file.
//!
//! Status 1 where the folder does not fit together; all of that is told and nothing written.

use benchwork::import_restoration;

use crate::cli_restoration::ImportArguments;
use crate::output::{Screen, Stop, story_page};

/// Runs the command.
pub fn run(arguments: &ImportArguments, screen: &mut Screen) -> Result<u8, Stop> {
    let kept = import_restoration(&arguments.folder, &arguments.file)?;
    story_page::show_kept(&kept, screen)
}
