//! `firstraster labels FILE [PART ...]`: labels for the bags of old parts.
//!
//! With `--pdf` as sheets to print and cut. Status 1 where nothing was replaced, for a part that was
//! not, and where the file cannot be written.

use benchwork::{tell_labels, write_made};

use crate::cli_hand_on::LabelsArguments;
use crate::clock::time;
use crate::commands::DONE;
use crate::output::hand_on_page::labels_page;
use crate::output::{Screen, Stop};

/// Runs the command.
pub fn run(arguments: &LabelsArguments, screen: &mut Screen) -> Result<u8, Stop> {
    let view = tell_labels(&arguments.file, &arguments.parts)?;
    let mut written = None;
    if let Some(path) = &arguments.pdf {
        let at = time(arguments.at.clone())?;
        let (paged, on_one) = report::labels(&view, at.as_str(), arguments.paper.into())?;
        write_made(path, &paged.bytes)?;
        written = Some((path.display().to_string(), paged.pages, on_one));
    }
    if screen.json {
        screen.answer(&view)?;
    } else {
        screen.say(&labels_page(&view, written.as_ref()))?;
    }
    Ok(DONE)
}
