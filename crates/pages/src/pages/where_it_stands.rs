//! Where the restoration stands, and what to do next.
//!
//! Stored facts at once; what is reasoned follows. Fails for a file that cannot be read any more, in words.

use std::sync::Arc;

use axum::Router;
use axum::extract::State;
use axum::response::Response;
use axum::routing::get;
use maud::{Markup, html};

use crate::bench::Bench;
use crate::entry::shown;
use crate::frame::{Page, framed};
use crate::pieces::{entry_line, trouble};

/// How many of the last entries are shown.
const LAST: usize = 5;

/// The route of this page.
pub fn routes() -> Router<Arc<Bench>> {
    Router::new().route("/", get(where_it_stands))
}

async fn where_it_stands(State(bench): State<Arc<Bench>>) -> Response {
    shown(bench, |bench| {
        let main = main(bench);
        framed(
            bench,
            Page {
                title: "Where it stands",
                at: "/",
                main,
            },
        )
    })
    .await
}

fn main(bench: &Bench) -> Markup {
    let story = match bench.story() {
        Ok(story) => story,
        Err(own) => return trouble(&own),
    };
    let standing = match benchwork::tell_standing(bench.file(), bench.power_is_finished()) {
        Ok(standing) => standing,
        Err(own) => return trouble(&own),
    };
    html! {
        section #standing data-live="" {
            @if let Some(next) = &standing.next {
                a .next href=(page_of(next.key)) {
                    span { "Next" }
                    b { (next.text) }
                    span { (next.because) }
                }
            }
            h2 { "The job" }
            ul .rows {
                @for stage in &standing.stages {
                    li { a .row href=(page_of(stage.key)) { b { (stage.name) } span { (stage.text) } } }
                }
            }
        }
        section #last-entries data-live="" {
            h2 { "Last entries" }
            ol .entries {
                @for entry in story.entries.iter().rev().filter(|entry| entry.kind != "advised").take(LAST) {
                    li { (entry_line(entry)) }
                }
            }
        }
    }
}

/// The page of a part of the job.
fn page_of(key: &str) -> &'static str {
    match key {
        "sheet" => "/sheet",
        "look" => "/look",
        "picture_tube" => "/picture",
        "readings" => "/readings",
        "parts" => "/renew",
        "proof" => "/prove",
        _ => "/power",
    }
}
