//! Which part explains the readings: the ranking, one part's case, what to measure next, what was noticed.
//!
//! Weights of a hundred. The ranking is worked out apart; what is entered here is stored at once. Fails with the
//! trouble of the asked function in words; nothing is entered then.

mod as_read;
mod case;
mod noticed;
mod outcome;
mod ranking;
mod to_measure;

use std::sync::Arc;

use axum::Router;
use axum::extract::{Query, State};
use axum::response::Response;
use axum::routing::get;
use benchwork::tell_suspects;
use maud::{Markup, html};

use super::kept_answer::keepable;
use super::plain;
use crate::bench::Bench;
use crate::entry::{Sent, shown};
use crate::later;
use crate::pieces::made;

/// The routes of these pages.
pub fn routes() -> Router<Arc<Bench>> {
    Router::new()
        .route("/suspects", get(suspects))
        .route("/later/suspects", get(told))
        .merge(as_read::routes())
        .merge(case::routes())
        .merge(noticed::routes())
        .merge(to_measure::routes())
}

async fn suspects(
    State(bench): State<Arc<Bench>>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Response {
    let asked = Sent::of(asked);
    shown(bench, move |bench| {
        let links = [
            (
                "/next".to_owned(),
                "What to measure next".to_owned(),
                "the most told for the least effort and danger".to_owned(),
            ),
            (
                "/suspects/as-read".to_owned(),
                "Reading by reading".to_owned(),
                "how the weights came about".to_owned(),
            ),
            (
                "/suspects/noticed".to_owned(),
                "What picture, sound, nose and hand tell".to_owned(),
                "enter what the set shows, and what it does not".to_owned(),
            ),
        ];
        let main = html! {
            (made(bench, asked.entry("made")))
            (later::place("/later/suspects", "which part explains the readings"))
            (plain::rows(&links))
        };
        plain::page(bench, "Suspects", "/suspects", main)
    })
    .await
}

async fn told(State(bench): State<Arc<Bench>>) -> Markup {
    later::answer(&bench, "/later/suspects", |bench, work| {
        let answer = ranking::ranking(bench, &tell_suspects(bench.file(), work)?);
        Ok(keepable(bench, "/later/suspects", "suspects", &answer))
    })
    .await
}
