//! Keeping the restoration: a checked copy of its file, and everything in it as readable files in a folder.
//!
//! The copy is made beside nothing and handed to the browser; the folder is written at the laptop. Fails where a
//! file cannot be written, and for a folder that has anything in it, in words.

use std::path::Path;
use std::sync::Arc;

use axum::Router;
use axum::extract::{Query, State};
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use benchwork::view::KeptView;
use benchwork::{Trouble, back_up_restoration, export_restoration};
use maud::{Markup, html};

use super::plain;
use super::report::file;
use crate::bench::Bench;
use crate::entry::{Sent, ended_badly, hidden, shown};
use crate::pieces::{send, status_of, text};

/// The routes of this page.
pub fn routes() -> Router<Arc<Bench>> {
    Router::new()
        .route("/keep", get(keep))
        .route("/keep/copy.restoration", get(copy))
        .route("/keep/export", post(export))
}

async fn keep(
    State(bench): State<Arc<Bench>>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Response {
    let asked = Sent::of(asked);
    shown(bench, move |bench| page(bench, None, &asked, None)).await
}

fn page(bench: &Bench, refused: Option<&Trouble>, typed: &Sent, kept: Option<&KeptView>) -> Markup {
    let main = html! {
        (plain::refused(refused))
        @if let Some(kept) = kept {
            section .verdict role="status" {
                p .head { "Written" }
                p { (kept.to) ": " (kept.entries) " entries" @if let Some(count) = kept.photographs { ", " (count) " photographs" } }
            }
        }
        p { "The whole restoration is one file at the laptop: " b { (bench.file().display()) } "." }
        h2 { "A copy" }
        p { "Checked whole before it is handed over, also while the file is in use." }
        p { a .button href="/keep/copy.restoration" download="" { "Take a copy on this device" } }
        h2 { "Readable without this program" }
        p { "Facts, sheets and photographs as plain files in a folder at the laptop." }
        form method="post" action="/keep/export" {
            (hidden(bench))
            (text("folder", "A new folder at the laptop, whole path", typed.text("folder"), ""))
            (send("Write it out"))
        }
    };
    plain::page(bench, "Keeping", "/keep", main)
}

async fn copy(State(bench): State<Arc<Bench>>) -> Response {
    let own = Arc::clone(&bench);
    match tokio::task::spawn_blocking(move || copied(&own)).await {
        Ok(Ok(bytes)) => {
            let name = bench.file().file_name().map(|name| name.to_string_lossy());
            let name = name.unwrap_or_default().replace(['"', '\\'], "_");
            let name: String = name
                .chars()
                .map(|letter| if letter.is_ascii() { letter } else { '_' })
                .collect();
            file("application/octet-stream", &name, bytes)
        }
        Ok(Err(trouble)) => {
            let page = page(&bench, Some(&trouble), &Sent::default(), None);
            (status_of(&trouble), page).into_response()
        }
        Err(_) => ended_badly(),
    }
}

/// The bytes of a checked copy.
fn copied(bench: &Bench) -> Result<Vec<u8>, Trouble> {
    let fault = |error: std::io::Error| Trouble::File {
        name: "a copy for this device".to_owned(),
        text: error.to_string(),
        hint: "make room in the folder for files that go away, or use `firstraster backup`"
            .to_owned(),
    };
    let folder = tempfile::tempdir().map_err(fault)?;
    let copy = folder.path().join("copy.restoration");
    back_up_restoration(bench.file(), &copy)?;
    std::fs::read(&copy).map_err(fault)
}

async fn export(State(bench): State<Arc<Bench>>, sent: Sent) -> Response {
    let own = Arc::clone(&bench);
    let typed = sent.clone();
    let work = move || match typed.text("folder") {
        "" => Err(Trouble::input(
            "no folder is named",
            "type the whole path of a new folder at the laptop",
        )),
        folder => export_restoration(own.file(), Path::new(folder)),
    };
    match tokio::task::spawn_blocking(work).await {
        Ok(Ok(kept)) => page(&bench, None, &Sent::default(), Some(&kept)).into_response(),
        Ok(Err(trouble)) => {
            let page = page(&bench, Some(&trouble), &sent, None);
            (status_of(&trouble), page).into_response()
        }
        Err(_) => ended_badly(),
    }
}
