//! Whether the set is worth the work: the three parts that cannot be bought again, what it takes, the test to make first.
//!
//! Money as the restorer counts it, evenings, chances of a hundred. Nothing is entered here.

use std::sync::Arc;

use axum::Router;
use axum::extract::State;
use axum::response::Response;
use axum::routing::get;
use benchwork::view::{NextTestView, SpreadView, WorthView};
use benchwork::{WorthAsk, tell_worth};
use maud::{Markup, html};

use crate::bench::Bench;
use crate::entry::shown;
use crate::later;
use crate::pages::plain::{self, sentence, table};
use crate::pieces::notices;

/// The routes of this page.
pub fn routes() -> Router<Arc<Bench>> {
    Router::new()
        .route("/worth", get(worth))
        .route("/later/worth", get(told))
}

async fn worth(State(bench): State<Arc<Bench>>) -> Response {
    shown(bench, |bench| {
        let main = later::place("/later/worth", "whether the set is worth the work");
        plain::page(bench, "Is it worth the work?", "/worth", main)
    })
    .await
}

async fn told(State(bench): State<Arc<Bench>>) -> Markup {
    later::answer(&bench, "/later/worth", |bench, work| {
        let ask = WorthAsk {
            figures: bench.tables().figures.clone(),
            prices: bench.tables().prices.clone(),
        };
        Ok(all(&tell_worth(bench.file(), &ask, work)?))
    })
    .await
}

fn all(view: &WorthView) -> Markup {
    let three: Vec<Vec<String>> = view
        .three
        .iter()
        .map(|own| {
            let chance = match (own.good, own.low, own.high) {
                (Some(good), Some(low), Some(high)) => {
                    format!("{} ({} to {})", hundred(good), hundred(low), hundred(high))
                }
                _ => "none".to_owned(),
            };
            vec![
                own.called.to_owned(),
                own.parts.join(" "),
                chance,
                own.because.join("; "),
            ]
        })
        .collect();
    let row = |name: &str, own: SpreadView| {
        vec![
            name.to_owned(),
            format!("{:.0}", own.expected),
            format!("{:.0} to {:.0}", own.low, own.high),
        ]
    };
    let takes = [
        row("parts and tubes, money", view.parts_money),
        row(
            "another of the three where needed, money",
            view.irreplaceable_money,
        ),
        row("evenings", view.evenings),
    ];
    let figures: Vec<Vec<String>> = view
        .figures
        .iter()
        .map(|own| {
            vec![
                own.name.clone(),
                format!("{} / {} / {}", own.low, own.typical, own.high),
                own.unit.clone(),
                own.standing.clone(),
            ]
        })
        .collect();
    html! {
        p .word { (match view.advice {
            "go_on" => "By these figures: yes.",
            _ => "By these figures: no, unless it is worth more to you.",
        }) }
        @if !view.because.is_empty() { ul { @for because in &view.because { li { (because) } } } }
        @if !view.next_tests.is_empty() {
            h2 { "Tests, the one to make first on top" }
            @for own in &view.next_tests { (test(own)) }
        }
        h2 { "The three that cannot be bought again" }
        (table("The three", &["", "on the sheet", "good, of 100", "because"], &[], &three))
        @if !view.missing.is_empty() { p { "Missing: " (view.missing.join("; ")) "." } }
        h2 { "What it takes" }
        (table("What it takes", &["", "expected", "eight of ten"], &[1], &takes))
        details {
            summary { "The figures that were used (" (view.figures.len()) ")" }
            (table("The figures", &["name", "low / usual / high", "unit", "standing"], &[], &figures))
            p .hint { "Tables of your own are named when the pages are begun: --figures and --prices." }
        }
        p { "Chances are judgement, nobody has counted. Tests with the set unplugged and discharged; the picture tube's anode charges itself up again." }
        (notices(&view.notices))
    }
}

fn hundred(share: f64) -> String {
    format!("{:.0}", 100.0 * share)
}

fn test(own: &NextTestView) -> Markup {
    let then = |word: &str| match word {
        "go_on" => "go on",
        _ => "stop",
    };
    html! {
        details {
            summary { (sentence(&own.test)) ", " (format!("{:.0}", own.minutes)) " minutes" }
            p { (sentence(&own.how)) "." }
            p { "Passes in " (hundred(own.passes)) " of 100; good then " (hundred(own.good_if_passed)) " of 100, after failing "
                (hundred(own.good_if_failed)) "." }
            p {
                @if own.changes { "Passed: " (then(own.if_passed)) ". Failed: " (then(own.if_failed)) "." }
                @else { "Either way: " (then(own.if_passed)) "." }
            }
        }
    }
}
