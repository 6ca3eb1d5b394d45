//! `firstraster hand-on FILE`: the report of a restoration for the next owner, and the folder that
//! can be read without this program.
//!
//! Everything is made before anything is written. How far the photographs are is shown on a
//! terminal. Status 1 where there is nothing to hand on, and where a file cannot be written.

use std::io::{IsTerminal, Write};
use std::sync::Mutex;

use benchwork::view::HandingOnView;
use benchwork::{HandOnAsk, HandedFile, Trouble, hand_on, write_folder, write_made};
use paper::{Paged, to_html, to_pdf};
use report::{Pictured, document, size};

use crate::cli_hand_on::HandOnArguments;
use crate::clock::time;
use crate::commands::DONE;
use crate::output::hand_on_page::{Written, page};
use crate::output::{Screen, Stop};

/// Runs the command.
pub fn run(arguments: &HandOnArguments, screen: &mut Screen) -> Result<u8, Stop> {
    let ask = HandOnAsk {
        file: &arguments.file,
        at: time(arguments.at.clone())?,
        restored_by: arguments.by.clone(),
    };
    let view = hand_on(&ask)?;
    let mut written = Written::default();
    if arguments.pdf.is_some() || arguments.html.is_some() || arguments.folder.is_some() {
        write(arguments, &view, screen, &mut written)?;
    }
    if screen.json {
        screen.answer(&view)?;
    } else {
        screen.say(&page(&view, &written))?;
    }
    Ok(DONE)
}

fn write(
    arguments: &HandOnArguments,
    view: &HandingOnView,
    screen: &Screen,
    written: &mut Written,
) -> Result<(), Stop> {
    let notes = Mutex::new(std::io::stderr());
    let is_watched = !screen.json && std::io::stderr().is_terminal();
    let pictured = Pictured::of(&arguments.file, view, &|done, of| {
        if is_watched && let Ok(mut notes) = notes.lock() {
            // Whether anybody sees it changes nothing.
            let _ = write!(notes, "\rphotographs: {done} of {of}");
        }
    })?;
    if is_watched {
        eprint!("\r{:32}\r", "");
    }
    written.lacking = pictured.lacking();
    let made = |beside: bool| pictured.made(beside, arguments.paper.into());
    let alone = document(view, &made(false));
    // Made once, whether it goes into a file, into the folder, or into both.
    let needs_pdf = arguments.pdf.is_some() || arguments.folder.is_some();
    let paged = match needs_pdf {
        true => Some(to_pdf(&alone).map_err(|error| Trouble::ours(error.to_string()))?),
        false => None,
    };
    if let Some(paged) = &paged {
        written.missing.clone_from(&paged.missing);
    }
    if let (Some(folder), Some(paged)) = (&arguments.folder, &paged) {
        let pages = pages_of_folder(view, &document(view, &made(true)), paged)?;
        let kept = write_folder(&arguments.file, folder, &pages)?;
        written.files.push(format!(
            "{}: the report, and everything that it rests on",
            kept.to
        ));
    }
    if let (Some(path), Some(paged)) = (&arguments.pdf, &paged) {
        write_made(path, &paged.bytes)?;
        written.files.push(format!(
            "{}: {} pages, {}",
            path.display(),
            paged.pages,
            size(paged.bytes.len())
        ));
    }
    if let Some(path) = &arguments.html {
        let html = to_html(&alone);
        write_made(path, html.as_bytes())?;
        written.files.push(format!(
            "{}: one page, {}",
            path.display(),
            size(html.len())
        ));
    }
    Ok(())
}

/// The pages that go into the folder.
fn pages_of_folder(
    view: &HandingOnView,
    beside: &paper::Document,
    paged: &Paged,
) -> Result<Vec<HandedFile>, Trouble> {
    let json = serde_json::to_vec_pretty(view)
        .map_err(|error| Trouble::ours(format!("the answer cannot be written as JSON: {error}")))?;
    Ok(vec![
        HandedFile {
            name: "index.html",
            bytes: to_html(beside).into_bytes(),
        },
        HandedFile {
            name: "report.pdf",
            bytes: paged.bytes.clone(),
        },
        HandedFile {
            name: "report.json",
            bytes: json,
        },
    ])
}
