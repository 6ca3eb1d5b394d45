//! `firstraster export FILE FOLDER`: writes a restoration out into a folder of readable files.
//!
//! Status 1 where the folder has anything in it.

use benchwork::export_restoration;

use crate::cli_restoration::ExportArguments;
use crate::output::{Screen, Stop, story_page};

/// Runs the command.
pub fn run(arguments: &ExportArguments, screen: &mut Screen) -> Result<u8, Stop> {
    let kept = export_restoration(&arguments.file, &arguments.folder)?;
    story_page::show_kept(&kept, screen)
}
