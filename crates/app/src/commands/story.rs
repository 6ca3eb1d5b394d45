//! `firstraster story FILE`: the restoration so far, entry by entry.

use benchwork::tell_story;

use crate::cli_restoration::StoryArguments;
use crate::commands::DONE;
use crate::output::{Screen, Stop, story_page};

/// Runs the command.
pub fn run(arguments: &StoryArguments, screen: &mut Screen) -> Result<u8, Stop> {
    let story = tell_story(&arguments.file, arguments.all)?;
    if screen.json {
        screen.answer(&story)?;
    } else {
        screen.say(&story_page::page(&story))?;
    }
    Ok(DONE)
}
