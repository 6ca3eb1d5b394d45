//! The clock of this computer, read once for an entry and handed in.
//!
//! To the second, with the offset of the place. A clock that shows a year before 1946 was never
//! set; that is told, with what to do.

use benchwork::{Entering, Stamp, Trouble};

use crate::cli_restoration::EntryArguments;

/// The file and the time of an entry: the one given, or now.
pub fn entering(arguments: &EntryArguments) -> Result<Entering<'_>, Trouble> {
    Ok(Entering::new(&arguments.file, time(arguments.at.clone())?))
}

/// The time given, or now.
pub fn time(given: Option<Stamp>) -> Result<Stamp, Trouble> {
    if let Some(given) = given {
        return Ok(given);
    }
    let now = jiff::ZonedDateTime::now()
        .strftime("%Y-%m-%dT%H:%M:%S%:z")
        .to_string();
    // An offset with seconds, as places had before standard time, has a longer form.
    Stamp::read(now.get(..25).unwrap_or(&now)).map_err(|_| {
        Trouble::input(
            format!("the clock of this computer shows {now}"),
            "set the clock, or give the time with --at",
        )
    })
}
