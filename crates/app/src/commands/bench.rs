//! `firstraster bench FILE`: the bench pages, until Ctrl-C.
//!
//! Says the addresses once they answer. A file that is not there yet is begun on the
//! pages. Status 1 for a file that is no restoration, for a folder that is not there, for a port that is taken, and for
//! a home network that cannot be opened.

use std::io::Write;
use std::sync::Arc;

use benchwork::Trouble;
use pages::{Answering, AtHome, Bench, Opening, OwnTables, ServeError, Serving, serve};
use serde::Serialize;

use crate::cli_serve::ServeArguments;
use crate::clock;
use crate::commands::DONE;
use crate::one_store::with_one_store;
use crate::output::{Screen, Stop, bench_page};
use crate::own_folder::devices_folder;

/// The pages answer.
#[derive(Serialize)]
struct AnsweringView {
    /// On this computer.
    address: String,
    /// There is no such file yet: the pages begin the restoration.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    begins: bool,
    /// On the home network.
    #[serde(skip_serializing_if = "Option::is_none")]
    home: Option<HomeView>,
}

/// How a device of the home network gets in.
#[derive(Serialize)]
struct HomeView {
    addresses: Vec<String>,
    words: String,
    minutes: u64,
    certificate_sha256: String,
}

/// Runs the command.
pub fn run(arguments: &ServeArguments, screen: &mut Screen) -> Result<u8, Stop> {
    with_one_store();
    let bench = Bench::open(Opening {
        file: arguments.file.clone(),
        clock: Arc::new(|| clock::time(None)),
        sound: Arc::new(bell),
        tables: OwnTables {
            prices: arguments.prices.clone(),
            figures: arguments.figures.clone(),
            efforts: arguments.efforts.clone(),
            types: arguments.own.clone(),
        },
    })?;
    let home = match arguments.home {
        true => Some(AtHome {
            port: arguments.home_port,
            addresses: arguments.address.clone(),
            folder: devices_folder(&arguments.kept)?,
            tell: Arc::new(remark),
        }),
        false => None,
    };
    let serving = Serving {
        port: arguments.port,
        home,
    };
    let mut said = Ok(());
    let done = serve(bench, serving, |answering| {
        let told = match screen.json {
            true => screen.answer(&view(answering)),
            false => screen.say(&bench_page::page(&answering)),
        };
        said = told.and_then(|()| screen.show_now());
    });
    said?;
    done.map_err(|error| match error {
        ServeError::Address { .. } => Trouble::input(
            error.to_string(),
            "another program has the port: end it, or give another one with --port or --home-port",
        ),
        ServeError::Home(trouble) => trouble,
        ServeError::Ended { .. } => Trouble::ours(error.to_string()),
    })?;
    Ok(DONE)
}

fn view(answering: Answering) -> AnsweringView {
    AnsweringView {
        address: format!("http://{}/", answering.here),
        begins: answering.begins,
        home: answering.home.map(|home| HomeView {
            addresses: home.pages,
            words: home.words,
            minutes: home.minutes,
            certificate_sha256: home.print,
        }),
    }
}

/// The terminal's bell (BEL of ISO/IEC 6429).
fn bell() {
    let mut out = std::io::stderr().lock();
    let _ = out.write_all(b"\x07").and_then(|()| out.flush());
}

/// What happens at the door, on standard error. Nobody may be left to read it.
fn remark(text: &str) {
    let _ = writeln!(std::io::stderr().lock(), "{text}");
}
