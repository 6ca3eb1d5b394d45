//! `firstraster bench FILE`: the bench pages, until Ctrl-C.
//!
//! Says the address once it answers. Status 1 for a file that is no restoration and for a port that is taken.

use std::io::Write;
use std::sync::Arc;

use benchwork::Trouble;
use pages::{Bench, Opening, ServeError, Serving, serve};
use serde::Serialize;

use crate::cli_serve::ServeArguments;
use crate::clock;
use crate::commands::DONE;
use crate::output::{Screen, Stop};

/// The pages answer.
#[derive(Serialize)]
struct Answering {
    /// Where.
    address: String,
}

/// Runs the command.
pub fn run(arguments: &ServeArguments, screen: &mut Screen) -> Result<u8, Stop> {
    let bench = Bench::open(Opening {
        file: arguments.file.clone(),
        clock: Arc::new(|| clock::time(None)),
        sound: Arc::new(bell),
    })?;
    let mut said = Ok(());
    let done = serve(
        bench,
        Serving {
            port: arguments.port,
        },
        |address| {
            let told = match screen.json {
                true => screen.answer(&Answering {
                    address: format!("http://{address}/"),
                }),
                false => screen.say(&format!(
                    "The bench pages are at http://{address}/\n\
                     Ctrl-C ends them; every entry is on the disk.\n"
                )),
            };
            said = told.and_then(|()| screen.show_now());
        },
    );
    said?;
    done.map_err(|error| match error {
        ServeError::Address { .. } => Trouble::input(
            error.to_string(),
            "another program has the port: end it, or give another one with --port",
        ),
        ServeError::Ended { .. } => Trouble::ours(error.to_string()),
    })?;
    Ok(DONE)
}

/// The terminal's bell (BEL of ISO/IEC 6429).
fn bell() {
    let mut out = std::io::stderr().lock();
    let _ = out.write_all(b"\x07").and_then(|()| out.flush());
}
