//! The parts of the sheet as a list for a spreadsheet, and a changed list taken back in.
//!
//! A list that comes is first shown with all that it would change, and taken in only by a second form. That form bears
//! the list's own text, so that nothing waits at the laptop and nothing is lost with it, and the mark of the version it
//! was held against: where another was taken in since, nothing is written, and what the list would change in that one is
//! shown. Cells in bench notation. Fails with every fault of the list at once, nothing taken in.

mod show;

use std::sync::Arc;

use axum::Router;
use axum::extract::{DefaultBodyLimit, Query, State};
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use benchwork::{
    PartsIn, PresentSheet, SheetFile, Trouble, hold_list, list_parts, present_sheet,
    sheet_file_sent, take_in_list,
};
use maud::Markup;

use crate::bench::Bench;
use crate::entry::{Sent, ended_badly, entered, shown};
use crate::pages::plain;
use crate::pages::report::file as as_file;
use crate::pieces::{self, status_of};
use crate::with_file::{SentFile, WithFile};

const AT: &str = "/sheet/list";

/// The largest list that is taken, bytes: two thousand lines of five hundred letters. It goes to the browser and back.
const MOST_BYTES: usize = 1 << 20;

/// The largest text of a field: a list that was shown, with the line ends that a browser gives it.
const MOST_TEXT: usize = 2 << 20;

/// The largest body that is read to its end, bytes.
const MOST_READ: usize = 64 << 20;

/// The routes of this page.
pub fn routes() -> Router<Arc<Bench>> {
    let page = get(ask).post(sent).layer(DefaultBodyLimit::max(MOST_READ));
    Router::new()
        .route(AT, page)
        .route("/sheet/list/parts.csv", get(out))
}

async fn ask(
    State(bench): State<Arc<Bench>>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Response {
    let asked = Sent::of(asked);
    shown(bench, move |bench| {
        let main = match present_sheet(bench.file()).and_then(|sheet| parts_of(&sheet)) {
            Ok(parts) => show::both_ways(bench, parts, asked.entry("made")),
            Err(own) => pieces::trouble(&own),
        };
        page(bench, main)
    })
    .await
}

/// How many parts the sheet has.
fn parts_of(sheet: &PresentSheet) -> Result<usize, Trouble> {
    Ok(list_parts(&sheet.file(), false)?.view.parts.len())
}

/// The list as a file.
async fn out(
    State(bench): State<Arc<Bench>>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Response {
    let semicolons = Sent::of(asked).ticked("semicolons");
    let own = Arc::clone(&bench);
    let work = move || {
        let sheet = present_sheet(own.file())?;
        list_parts(&sheet.file(), semicolons)
    };
    match tokio::task::spawn_blocking(work).await {
        Ok(Ok(parts)) => {
            let bytes = parts.for_a_file().into_bytes();
            as_file("text/csv; charset=utf-8", "parts.csv", bytes)
        }
        Ok(Err(trouble)) => {
            let page = page(&bench, pieces::trouble(&trouble));
            (status_of(&trouble), page).into_response()
        }
        Err(_) => ended_badly(),
    }
}

async fn sent(State(bench): State<Arc<Bench>>, form: WithFile<MOST_BYTES, MOST_TEXT>) -> Response {
    let WithFile { sent, file } = form;
    let sent = match sent.of_this_book(&bench) {
        Ok(sent) => sent,
        Err(refused) => return refused,
    };
    match sent.text("do") {
        "take" => take(bench, sent).await,
        _ => look(bench, sent, file).await,
    }
}

/// Shows what the list would change; writes nothing.
async fn look(bench: Arc<Bench>, sent: Sent, file: Option<SentFile>) -> Response {
    let own = Arc::clone(&bench);
    let work = move || {
        let list = match sent.some("list") {
            Some(_) => kept_list(&sent),
            None => list_of(file),
        };
        let held = list.and_then(|list| Held::of(&own, list, sent.ticked("remove")));
        match held {
            Ok(held) => page(&own, show::what_changes(&own, &held)).into_response(),
            Err(trouble) => {
                let main = show::refused(&own, &trouble, sent.ticked("remove"));
                (status_of(&trouble), page(&own, main)).into_response()
            }
        }
    };
    match tokio::task::spawn_blocking(work).await {
        Ok(answer) => answer,
        Err(_) => ended_badly(),
    }
}

async fn take(bench: Arc<Bench>, sent: Sent) -> Response {
    let typed = sent.clone();
    entered(
        bench,
        AT.to_owned(),
        move |bench| {
            let list = kept_list(&sent)?;
            let remove = sent.ticked("remove");
            take_in_list(&sent.entering(bench)?, sent.text("sheet"), &list, remove)
        },
        move |bench, refused| {
            let remove = typed.ticked("remove");
            let held = kept_list(&typed).and_then(|list| Held::of(bench, list, remove));
            let main = match held {
                Ok(held) => show::not_taken(bench, &refused, &held),
                Err(_) => show::refused(bench, &refused, remove),
            };
            page(bench, main)
        },
    )
    .await
}

/// A list held against the sheet as it is now.
struct Held {
    sheet: PresentSheet,
    list: SheetFile,
    remove_missing: bool,
    taken: PartsIn,
}

impl Held {
    fn of(bench: &Bench, list: SheetFile, remove_missing: bool) -> Result<Held, Trouble> {
        let sheet = present_sheet(bench.file())?;
        let taken = hold_list(&sheet, &list, remove_missing)?;
        Ok(Held {
            sheet,
            list,
            remove_missing,
            taken,
        })
    }
}

/// The list that came as a file.
fn list_of(file: Option<SentFile>) -> Result<SheetFile, Trouble> {
    let Some(file) = file else {
        return Err(Trouble::input(
            "no list came with the form, or an empty one",
            "choose the file that the spreadsheet saved as CSV, then send it",
        ));
    };
    match file.bytes {
        Some(bytes) => sheet_file_sent(&file.name, bytes),
        None => Err(Trouble::input(
            format!(
                "{} is larger than the {} megabyte that a list of parts may have",
                file.name,
                MOST_BYTES >> 20
            ),
            "choose the list itself, saved by the spreadsheet as CSV in UTF-8",
        )),
    }
}

/// The list as the form of what it changes bears it.
fn kept_list(sent: &Sent) -> Result<SheetFile, Trouble> {
    let name = sent.some("called").unwrap_or_else(|| "the list".to_owned());
    sheet_file_sent(&name, sent.whole_text("list").into_bytes())
}

fn page(bench: &Bench, main: Markup) -> Markup {
    plain::page(bench, "Parts for a spreadsheet", AT, main)
}
