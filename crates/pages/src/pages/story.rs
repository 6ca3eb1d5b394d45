//! The story so far, the last entry first; each may be told anew or taken back.
//!
//! Nothing is ever thrown away: an undo and a correction are entries themselves. A page that was left open while
//! somebody else changed an entry changes nothing unseen. Fails with the trouble of the entry in words.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Path, Query, State};
use axum::response::Response;
use axum::routing::{get, post};
use benchwork::view::EntryView;
use benchwork::{Trouble, correct_entry, tell_entry, undo_entry};
use maud::{Markup, html};
use serde_json::Value;

use crate::bench::Bench;
use crate::entry::{Sent, entered, hidden, shown};
use crate::frame::{Page, framed};
use crate::pieces::{self, entry_line};
use crate::words::when;

/// Entries on one page.
const MOST: usize = 60;

/// The routes of these pages.
pub fn routes() -> Router<Arc<Bench>> {
    Router::new()
        .route("/story", get(story))
        .route("/story/{number}", get(one))
        .route("/story/{number}/undo", post(undo))
        .route("/story/{number}/correct", post(correct))
}

async fn story(
    State(bench): State<Arc<Bench>>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Response {
    let asked = Sent::of(asked);
    shown(bench, move |bench| {
        let main = whole(bench, &asked);
        framed(
            bench,
            Page {
                title: "Story",
                at: "/story",
                main,
            },
        )
    })
    .await
}

fn whole(bench: &Bench, asked: &Sent) -> Markup {
    let story = match bench.story() {
        Ok(story) => story,
        Err(own) => return pieces::trouble(&own),
    };
    let before = asked.entry("before").unwrap_or(u64::MAX);
    let earlier: Vec<&EntryView> = story
        .entries
        .iter()
        .rev()
        .filter(|entry| entry.number < before)
        .collect();
    html! {
        (pieces::made(bench, asked.entry("made")))
        section #entries data-live="" {
            p { (story.entries.len()) " entries stand; " (story.entered) " were made." }
            ul .rows {
                @for entry in earlier.iter().take(MOST) {
                    li { a .row.entry href={ "/story/" (entry.number) } { (entry_line(entry)) } }
                }
            }
        }
        @if let Some(last) = earlier.get(MOST - 1).filter(|_| earlier.len() > MOST) {
            p { a .button href={ "/story?before=" (last.number) } { "Earlier entries" } }
        }
    }
}

async fn one(State(bench): State<Arc<Bench>>, Path(number): Path<u64>) -> Response {
    shown(bench, move |bench| {
        page(bench, number, None, &Sent::default())
    })
    .await
}

fn page(bench: &Bench, number: u64, refused: Option<Trouble>, typed: &Sent) -> Markup {
    let main = match tell_entry(bench.file(), number) {
        Err(own) => pieces::trouble(&own),
        Ok(None) => pieces::trouble(&Trouble::input(
            format!("there is no entry {number}"),
            "the story shows what there is",
        )),
        Ok(Some(entry)) => of_entry(bench, &entry, refused.as_ref(), typed),
    };
    framed(
        bench,
        Page {
            title: "An entry",
            at: "/story",
            main,
        },
    )
}

fn of_entry(bench: &Bench, entry: &EntryView, refused: Option<&Trouble>, typed: &Sent) -> Markup {
    let stands = entry.standing != "undone";
    html! {
        @if let Some(refused) = refused { (pieces::trouble(refused)) }
        p .lead { (entry.text) }
        p .hint { "Entry " (entry.number) ", " (when(&entry.at)) }
        @match (entry.standing, entry.by) {
            ("corrected", Some(by)) => { p { a .button href={ "/story/" (by) } { "Told anew by entry " (by) } } },
            ("undone", Some(by)) => { p { a .button href={ "/story/" (by) } { "Taken back by entry " (by) } } },
            _ => {},
        }
        @if stands && !matches!(entry.kind, "undone" | "corrected" | "advised") {
            h2 { "Tell it anew" }
            form method="post" action={ "/story/" (entry.number) "/correct" } data-keep="" {
                (hidden(bench))
                @for (key, value) in &entry.says {
                    @if let Some(text) = as_text(value) {
                        @let name = format!("field-{key}");
                        (pieces::text(&name, &key.replace('_', " "), typed.some(&name).as_deref().unwrap_or(&text), ""))
                        input type="hidden" name={ "was-" (key) } value=(text);
                    }
                }
                (pieces::text("because", "Why", typed.text("because"), ""))
                (pieces::send("Enter the correction"))
            }
        }
        @if stands && entry.kind != "undone" {
            h2 { "Take it back" }
            form .quiet method="post" action={ "/story/" (entry.number) "/undo" } data-keep="" {
                (hidden(bench))
                p { "The entry stays in the file and no longer counts." }
                (pieces::send("Take entry back"))
            }
        }
        p { a .button href="/story" { "The whole story" } }
    }
}

/// A field as a text, where it is one that can be typed.
fn as_text(value: &Value) -> Option<String> {
    match value {
        Value::String(text) => Some(text.clone()),
        Value::Number(number) => Some(number.to_string()),
        Value::Array(list) => {
            let texts: Option<Vec<String>> = list.iter().map(as_text).collect();
            texts.map(|texts| texts.join(", "))
        }
        _ => None,
    }
}

async fn undo(State(bench): State<Arc<Bench>>, Path(number): Path<u64>, sent: Sent) -> Response {
    let typed = sent.clone();
    entered(
        bench,
        "/story".to_owned(),
        move |bench| undo_entry(&sent.entering(bench)?, Some(number), sent.text("because")),
        move |bench, refused| page(bench, number, Some(refused), &typed),
    )
    .await
}

async fn correct(State(bench): State<Arc<Bench>>, Path(number): Path<u64>, sent: Sent) -> Response {
    let typed = sent.clone();
    entered(
        bench,
        "/story".to_owned(),
        move |bench| {
            correct_entry(
                &sent.entering(bench)?,
                number,
                &sent.changes(),
                sent.text("because"),
            )
        },
        move |bench, refused| page(bench, number, Some(refused), &typed),
    )
    .await
}
