//! How the weights of the suspects came about: after each reading that counts, as picture and as rows.
//!
//! Weights of a hundred, readings as at the bench. Worked out apart; nothing is entered here. Fails as the ranking does,
//! in words.

use std::sync::Arc;

use axum::Router;
use axum::extract::State;
use axum::response::Response;
use axum::routing::get;
use benchwork::hunt_words::{of_hundred, place_of, value_of};
use benchwork::tell_as_read;
use benchwork::view::{AfterReadingView, AsReadView};
use maud::{Markup, html};

use crate::bench::Bench;
use crate::entry::shown;
use crate::later;
use crate::pages::kept_answer::keepable;
use crate::pages::plain::{self, table};
use crate::pieces::{notices, picture};

const QUESTION: &str = "/later/suspects/as-read/weights";

/// The routes of this page.
pub fn routes() -> Router<Arc<Bench>> {
    Router::new()
        .route("/suspects/as-read", get(as_read))
        .route(QUESTION, get(told))
}

async fn as_read(State(bench): State<Arc<Bench>>) -> Response {
    shown(bench, |bench| {
        let main = html! {
            (later::place(QUESTION, "the weights after each reading"))
            p { a .button href="/suspects" { "All suspects" } }
        };
        plain::page(
            bench,
            "The suspects, reading by reading",
            "/suspects/as-read",
            main,
        )
    })
    .await
}

async fn told(State(bench): State<Arc<Bench>>) -> Markup {
    later::answer(&bench, QUESTION, |bench, work| {
        let answer = weights(&tell_as_read(bench.file(), work)?);
        Ok(keepable(
            bench,
            QUESTION,
            "the suspects, reading by reading",
            &answer,
        ))
    })
    .await
}

fn weights(view: &AsReadView) -> Markup {
    let mut heads = vec!["reading"];
    heads.extend(view.parts.iter().map(String::as_str));
    heads.extend(["nothing is wrong", "not listed"]);
    let figures: Vec<usize> = (1..heads.len()).collect();
    let rows: Vec<Vec<String>> = view.steps.iter().map(row).collect();
    html! {
        @match pictures::as_read::svg(view) {
            Err(_) => p { "No reading counts yet. Enter readings, the line and the B+ lines first." },
            Ok(svg) => {
                (picture(&svg, "How the weights came about, reading by reading"))
                p { "Of a hundred sets that read so, how many have the fault there. What was noticed counts from the beginning." }
                @if view.not_told > 0 { p { (view.not_told) " earlier readings stand before the first row." } }
                (table("Weights after each reading, of 100", &heads, &figures, &rows))
            }
        }
        (notices(&view.notices))
    }
}

fn row(step: &AfterReadingView) -> Vec<String> {
    let read = match &step.reading {
        None => "none yet".to_owned(),
        Some(own) => format!("{} {}", place_of(own), value_of(own)),
    };
    let weights = step.weights.iter().chain([&step.healthy, &step.not_listed]);
    std::iter::once(read)
        .chain(weights.copied().map(of_hundred))
        .collect()
}
