//! `firstraster backup FILE COPY`: copies a restoration's file, also while it is in use.
//!
//! The copy is checked whole. Status 1 where something stands under its name already.

use benchwork::back_up_restoration;

use crate::cli_restoration::BackupArguments;
use crate::output::{Screen, Stop, story_page};

/// Runs the command.
pub fn run(arguments: &BackupArguments, screen: &mut Screen) -> Result<u8, Stop> {
    let kept = back_up_restoration(&arguments.file, &arguments.copy)?;
    story_page::show_kept(&kept, screen)
}
