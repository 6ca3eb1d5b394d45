//! `firstraster see [FILE [THING FOUND]]`: the things to look at, what has been noted of them,
//! or one thing noted.

use benchwork::{Entering, Seen, note_seen, tell_seen_of, tell_things_to_see};

use crate::cli_restoration::SeeArguments;
use crate::clock::time;
use crate::commands::DONE;
use crate::output::{Screen, Stop, see_page, story_page};

/// Runs the command.
pub fn run(arguments: SeeArguments, screen: &mut Screen) -> Result<u8, Stop> {
    let own = arguments.own.as_deref();
    if let (Some(file), Some(thing), Some(found)) =
        (&arguments.file, arguments.thing, arguments.found)
    {
        let seen = Seen {
            thing,
            found,
            part: arguments.part.unwrap_or_default(),
            note: arguments.note.unwrap_or_default(),
            ..Seen::default()
        };
        let at = time(arguments.at)?;
        let made = note_seen(&Entering::new(file, at), seen, own)?;
        return story_page::show(&made, screen);
    }
    let list = match &arguments.file {
        Some(file) => tell_seen_of(file, own)?,
        None => tell_things_to_see(own)?,
    };
    if screen.json {
        screen.answer(&list)?;
    } else {
        screen.say(&see_page::page(&list))?;
    }
    Ok(DONE)
}
