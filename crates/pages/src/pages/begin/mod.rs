//! A restoration begun on the pages: with a sheet as text or as a file, with the name and the line alone, as a
//! practice, or from the readable files that one was written out into.
//!
//! Stands in place of every other page until the file is there; nothing is written before its sheet has no fault, and
//! a file that somebody else made meanwhile is never written over. Fails with every fault in its place, all that was
//! typed still there.

mod show;

use std::path::Path;
use std::sync::Arc;

use axum::Router;
use axum::extract::{DefaultBodyLimit, Query, Request, State};
use axum::http::{Method, StatusCode};
use axum::middleware::Next;
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::{get, post};
use benchwork::{
    Entering, LARGEST_SHEET_BYTES, PracticeSet, SheetFile, Trouble, begin_practice,
    import_restoration, sheet_file_sent, smallest_sheet, start_restoration,
};

use crate::bench::Bench;
use crate::entry::{Sent, entered, shown};
use crate::pieces::problem;
use crate::with_file::{SentFile, WithFile};

/// Where it is begun.
const AT: &str = "/begin";

/// What is answered before anything is begun: this page, and what every page rests on.
const BEFORE: &[&str] = &[
    AT,
    "/begin/open",
    "/live",
    "/pair",
    "/certificate",
    "/devices",
    "/devices/code",
    "/devices/back",
    "/devices/leave",
];

/// The largest body that is read to its end, bytes.
const MOST_READ: usize = 64 << 20;

const MOST: usize = LARGEST_SHEET_BYTES as usize;

/// The name of a sheet that came as text.
const TYPED: &str = "sheet.toml";

/// The routes of this page.
pub fn routes() -> Router<Arc<Bench>> {
    Router::new()
        .route(
            AT,
            get(begin)
                .post(begun)
                .layer(DefaultBodyLimit::max(MOST_READ)),
        )
        .route("/begin/open", post(opened))
}

/// Before anything is begun every other address leads to this page, and no form is taken there.
pub async fn first(State(bench): State<Arc<Bench>>, request: Request, next: Next) -> Response {
    let path = request.uri().path();
    if bench.is_begun() || BEFORE.contains(&path) || path.starts_with("/own/") {
        return next.run(request).await;
    }
    match *request.method() {
        Method::GET | Method::HEAD => Redirect::to(AT).into_response(),
        _ => problem(
            StatusCode::CONFLICT,
            "Nothing is begun yet",
            "The laptop has a file open that is still to be begun. Nothing was entered.",
            "Begin the restoration first, or open the pages of the other one.",
        ),
    }
}

async fn begin(
    State(bench): State<Arc<Bench>>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Response {
    let asked = Sent::of(asked);
    shown(bench, move |bench| {
        show::page(bench, asked.text("how"), None, &asked)
    })
    .await
}

async fn begun(State(bench): State<Arc<Bench>>, form: WithFile<MOST, MOST>) -> Response {
    let WithFile { sent, file } = form;
    let file = file.map(Arc::new);
    // A file that has faults comes back as a text that can be corrected.
    let bytes = file.as_ref().and_then(|file| file.bytes.as_deref());
    let text = bytes.map(|bytes| String::from_utf8_lossy(bytes).into_owned());
    let typed = match (&text, &file) {
        (Some(text), Some(file)) => sent.with(&[("text", text.as_str()), ("called", &file.name)]),
        _ => sent.clone(),
    };
    if sent.text("do").starts_with("check") {
        return shown(bench, move |bench| show::checked(bench, &typed)).await;
    }
    let to = match sent.text("how") {
        "practice" => "/practice",
        _ => "/",
    };
    entered(
        bench,
        to.to_owned(),
        move |bench| {
            make(bench, &sent, file.as_deref())?;
            bench.take_up()
        },
        move |bench, refused| show::page(bench, typed.text("how"), Some(&refused), &typed),
    )
    .await
}

/// Makes the file.
fn make(bench: &Bench, sent: &Sent, file: Option<&SentFile>) -> Result<(), Trouble> {
    let entering = Entering {
        once: sent.once(),
        ..bench.entering()?
    };
    let (sheet, name) = match sent.text("how") {
        "folder" => return bench.take_back(sent.once(), |own| take_back(own, sent)),
        "practice" => {
            let (number, faults) = practice_numbers(sent)?;
            begin_practice(&entering, show::set_of(sent), number, faults)?;
            return Ok(());
        }
        "empty" => {
            let (name, volts) = (sent.text("name"), sent.text("volts"));
            let text = smallest_sheet(name, volts, sent.text("hertz"))?;
            (SheetFile::in_memory(TYPED, text), None)
        }
        "file" => (sheet_of(file)?, sent.some("name")),
        _ => {
            let called = sent.some("called");
            let called = called.unwrap_or_else(|| TYPED.to_owned());
            let text = sent.whole_text("text");
            (SheetFile::in_memory(called, text), sent.some("name"))
        }
    };
    start_restoration(&entering, &sheet, name.as_deref())?;
    Ok(())
}

/// Makes the file of what a folder at the laptop holds.
fn take_back(file: &Path, sent: &Sent) -> Result<(), Trouble> {
    let folder = Path::new(sent.text("folder"));
    if !folder.is_absolute() {
        let read = match sent.text("folder") {
            "" => "no folder is named".to_owned(),
            typed => format!("`{typed}` is no whole path"),
        };
        return Err(Trouble::input(
            read,
            "type the whole path of the folder at the laptop, from its first sign on",
        ));
    }
    import_restoration(folder, file).map(|_| ())
}

fn sheet_of(file: Option<&SentFile>) -> Result<SheetFile, Trouble> {
    let file = file.ok_or_else(|| {
        Trouble::input(
            "no file came with the form",
            "choose the sheet's file, then send it",
        )
    })?;
    let Some(bytes) = &file.bytes else {
        return Err(Trouble::input(
            format!(
                "{} is larger than the {} megabytes that a sheet may have",
                file.name,
                MOST >> 20
            ),
            "choose the sheet itself, a text file that ends in .toml",
        ));
    };
    sheet_file_sent(&file.name, bytes.clone())
}

fn practice_numbers(sent: &Sent) -> Result<(u64, usize), Trouble> {
    let typed = sent.text("number");
    let number = typed.parse().map_err(|_| {
        Trouble::input(
            format!("number of the hidden set: `{typed}` read, a whole number expected"),
            format!("type one from 1 to {}", PracticeSet::LARGEST_NUMBER),
        )
    })?;
    let faults = match sent.text("faults") {
        "2" => 2,
        _ => 1,
    };
    Ok((number, faults))
}

/// Takes up the file that somebody else made meanwhile.
async fn opened(State(bench): State<Arc<Bench>>) -> Response {
    entered(
        bench,
        "/".to_owned(),
        |bench| bench.take_up(),
        |bench, refused| show::page(bench, "", Some(&refused), &Sent::default()),
    )
    .await
}
