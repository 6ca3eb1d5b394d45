//! The photographs: taken by the camera of whatever shows the page, kept with their original bytes, shown reduced.
//!
//! The form comes as `multipart/form-data` (RFC 7578); at most [`MOST_BYTES`] of a file are taken, and what is
//! larger is read to its end and thrown away, so that the page can still say so. One photograph is decoded at a
//! time. Pictures are found by their hash, so a browser may keep them for good. Fails for a file that is no
//! photograph, too large, or broken, in words; nothing is entered then.

use std::sync::Arc;

use axum::Router;
use axum::extract::{DefaultBodyLimit, Path, Query, State};
use axum::http::{StatusCode, header};
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use benchwork::view::EntryView;
use benchwork::{PhotographForm, Trouble, add_photograph_bytes, photograph};
use maud::{Markup, html};
use tokio::sync::Semaphore;

use crate::bench::Bench;
use crate::entry::{Sent, ended_badly, entered, hidden, shown};
use crate::frame::{Page, framed};
use crate::pieces::{self, problem};
use crate::with_file::WithFile;
use crate::words::when;

/// The largest photograph that is taken, bytes.
const MOST_BYTES: usize = 40 << 20;

/// The largest body that is read to its end, bytes; behind it nobody waits for an answer any more.
const MOST_READ: usize = 600 << 20;

/// The largest text of a field, bytes.
const MOST_TEXT: usize = 64 << 10;

/// A decoded photograph may take hundreds of megabytes: one at a time.
static ONE_AT_A_TIME: Semaphore = Semaphore::const_new(1);

/// The routes of these pages.
pub fn routes() -> Router<Arc<Bench>> {
    Router::new()
        .route(
            "/photographs",
            get(photographs)
                .post(add)
                .layer(DefaultBodyLimit::max(MOST_READ)),
        )
        .route("/photographs/{hash}", get(one))
        .route("/photographs/{hash}/upright", get(upright))
        .route("/photographs/{hash}/original", get(original))
}

async fn photographs(
    State(bench): State<Arc<Bench>>,
    Query(chosen): Query<Vec<(String, String)>>,
) -> Response {
    let chosen = Sent::of(chosen);
    shown(bench, move |bench| page(bench, None, &chosen)).await
}

/// A form with at most one photograph.
type WithPhotograph = WithFile<MOST_BYTES, MOST_TEXT>;

async fn add(State(bench): State<Arc<Bench>>, form: WithPhotograph) -> Response {
    let WithFile { sent, file } = form;
    let sent = match sent.of_this_book(&bench) {
        Ok(sent) => sent,
        Err(refused) => return refused,
    };
    let typed = sent.clone();
    let Ok(_turn) = ONE_AT_A_TIME.acquire().await else {
        return ended_badly();
    };
    entered(
        bench,
        "/photographs".to_owned(),
        move |bench| {
            let file = file.ok_or_else(|| {
                Trouble::input(
                    "no photograph came with the form",
                    "take one or choose one, then send it",
                )
            })?;
            let bytes = file.bytes.ok_or_else(|| too_large(&file.name))?;
            let entering = sent.entering(bench)?;
            add_photograph_bytes(
                &entering,
                &file.name,
                bytes,
                sent.text("shows"),
                sent.text("note"),
            )
        },
        move |bench, refused| page(bench, Some(refused), &typed),
    )
    .await
}

fn too_large(name: &str) -> Trouble {
    Trouble::input(
        format!(
            "{name} is larger than the {} megabytes that are taken of one photograph",
            MOST_BYTES >> 20
        ),
        "let the camera take it at a smaller size, or cut out what matters",
    )
}

fn page(bench: &Bench, refused: Option<Trouble>, typed: &Sent) -> Markup {
    let main = html! {
        @if let Some(refused) = &refused { (pieces::trouble(refused)) }
        (pieces::made(bench, typed.entry("made")))
        form #take method="post" action="/photographs" enctype="multipart/form-data" data-keep="" {
            (hidden(bench))
            label for="f-photograph" { "Take a photograph, or choose one" }
            input #f-photograph type="file" name="photograph" accept="image/*" capture="environment";
            label for="f-other" { "Or one that is on this device already" }
            input #f-other type="file" name="photograph" accept="image/*";
            (pieces::text("shows", "What does it show?", typed.text("shows"), ""))
            (pieces::remark(typed.text("note")))
            (pieces::send("Keep the photograph"))
        }
        (kept(bench))
    };
    framed(
        bench,
        Page {
            title: "Photographs",
            at: "/photographs",
            main,
        },
    )
}

/// A photograph of the story.
struct Kept<'s> {
    entry: &'s EntryView,
    hash: &'s str,
    /// What it shows, or the name of its file.
    words: &'s str,
}

fn kept_of(entry: &EntryView) -> Option<Kept<'_>> {
    let says = |key: &str| entry.says.get(key).and_then(|own| own.as_str());
    let hash = says("photograph").filter(|_| entry.kind == "photographed")?;
    let words = says("shows").filter(|own| !own.is_empty()).or(says("name"));
    Some(Kept {
        entry,
        hash,
        words: words.unwrap_or("a photograph"),
    })
}

fn kept(bench: &Bench) -> Markup {
    let story = match bench.story() {
        Ok(story) => story,
        Err(own) => return pieces::trouble(&own),
    };
    let kept: Vec<Kept<'_>> = story.entries.iter().rev().filter_map(kept_of).collect();
    html! {
        section #kept data-live="" {
            h2 { @match kept.len() { 0 => "None is kept yet", 1 => "One is kept", many => { (many) " are kept" } } }
            ul .photographs {
                @for own in &kept {
                    li { a .row href={ "/photographs/" (own.hash) } {
                        img src={ "/photographs/" (own.hash) "/upright" } alt="" loading="lazy" decoding="async";
                        span { (own.words) }
                    } }
                }
            }
        }
    }
}

async fn one(State(bench): State<Arc<Bench>>, Path(hash): Path<String>) -> Response {
    shown(bench, move |bench| {
        let main = match bench.story() {
            Ok(story) => {
                let mut kept = story.entries.iter().rev().filter_map(kept_of);
                match kept.find(|own| own.hash == hash) {
                    Some(own) => large(&own),
                    None => pieces::trouble(&Trouble::input(
                        "no such photograph stands in this restoration",
                        "it may have been undone; the list shows what is kept",
                    )),
                }
            }
            Err(own) => pieces::trouble(&own),
        };
        framed(
            bench,
            Page {
                title: "Photograph",
                at: "/photographs",
                main,
            },
        )
    })
    .await
}

fn large(own: &Kept<'_>) -> Markup {
    html! {
        figure .photograph {
            img src={ "/photographs/" (own.hash) "/upright" } alt=(own.words);
            figcaption { (own.entry.text) ", entered " (when(&own.entry.at)) }
        }
        ul .rows {
            li { a .row href={ "/photographs/" (own.hash) "/original" } { b { "The original" } span { "every byte as the camera wrote it" } } }
            li { a .row href={ "/story/" (own.entry.number) } { b { "Its entry" } span { "to correct or undo it" } } }
            li { a .row href="/photographs" { b { "All photographs" } } }
        }
    }
}

async fn upright(State(bench): State<Arc<Bench>>, Path(hash): Path<String>) -> Response {
    bytes(bench, hash, PhotographForm::Upright).await
}

async fn original(State(bench): State<Arc<Bench>>, Path(hash): Path<String>) -> Response {
    bytes(bench, hash, PhotographForm::Original).await
}

async fn bytes(bench: Arc<Bench>, hash: String, form: PhotographForm) -> Response {
    let read = tokio::task::spawn_blocking(move || photograph(bench.file(), &hash, form)).await;
    match read {
        Ok(Ok(own)) => {
            let kept = "private, max-age=31536000, immutable";
            let kind = (header::CONTENT_TYPE, own.media_type);
            ([kind, (header::CACHE_CONTROL, kept)], own.bytes).into_response()
        }
        Ok(Err(own)) => problem(
            StatusCode::NOT_FOUND,
            "No such photograph",
            &own.to_string(),
            "Load the page of the photographs anew.",
        ),
        Err(_) => ended_badly(),
    }
}
