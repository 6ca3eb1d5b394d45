//! What a meter should show: under conditions of the bench, cold, and beside the maker's chart.
//!
//! Units as on the bench. Everything is worked out apart; nothing is entered here. What was typed and cannot be
//! understood is told where the answer would stand.

mod bands;
mod chart;

use std::sync::Arc;

use axum::Router;
use axum::extract::{Query, State};
use axum::response::Response;
use axum::routing::get;
use benchwork::bench_words::{TypedConditions, conditions};
use benchwork::{cold_ohms, expect_readings, read_set_file};
use maud::{Markup, html};

use super::kept_answer::keepable;
use super::plain;
use crate::bench::Bench;
use crate::entry::{Sent, shown};
use crate::later;
use crate::pieces::{send, text};
use crate::words::in_address;

/// The fields of the conditions, with their labels.
const FIELDS: [(&str, &str); 10] = [
    ("line", "Line volts, if not the sheet's own"),
    ("lamp", "Limiter lamp, watts; 100+60 for two in parallel"),
    ("pulled", "Tubes out of their sockets, such as V14, V12"),
    ("open", "Switches and plugs that are open, such as J2"),
    ("without", "Parts cut loose, such as C40"),
    (
        "seconds",
        "Seconds after switch-on from cold; settled if empty",
    ),
    ("meter", "The meter, such as 10M or 20k/V 500 V"),
    ("to", "Where the other lead is, if not on the chassis"),
    ("ahead", "Ohms of a transformer ahead of the set"),
    ("dc", "Plug out, a d.c. source: B+ main 300 V 47k"),
];

/// The routes of these pages.
pub fn routes() -> Router<Arc<Bench>> {
    Router::new()
        .route("/expect", get(expect))
        .route("/later/expect", get(told))
        .route("/ohms", get(ohms))
        .route("/later/ohms", get(told_ohms))
        .merge(chart::routes())
}

/// What was asked, as an address has it.
fn address(at: &str, asked: &Sent, fields: &[(&str, &str)]) -> String {
    let said: Vec<String> = fields
        .iter()
        .filter_map(|(name, _)| Some(format!("{name}={}", in_address(&asked.some(name)?))))
        .collect();
    match said.is_empty() {
        true => at.to_owned(),
        false => format!("{at}?{}", said.join("&")),
    }
}

/// The form that asks anew.
fn form(at: &str, asked: &Sent, fields: &[(&str, &str)], is_open: bool) -> Markup {
    html! {
        details open[is_open] {
            summary { "How the set stands" }
            form .quiet method="get" action=(at) {
                @for (name, label) in fields { (text(name, label, asked.text(name), "")) }
                (send("Show it so"))
            }
        }
    }
}

async fn expect(
    State(bench): State<Arc<Bench>>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Response {
    let asked = Sent::of(asked);
    shown(bench, move |bench| {
        let question = address("/later/expect", &asked, &FIELDS);
        let main = html! {
            (form("/expect", &asked, &FIELDS, false))
            (later::place(&question, "what a meter should show"))
        };
        plain::page(bench, "What a meter should show", "/expect", main)
    })
    .await
}

async fn told(
    State(bench): State<Arc<Bench>>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Markup {
    let asked = Sent::of(asked);
    let question = address("/later/expect", &asked, &FIELDS);
    let own = question.clone();
    later::answer(&bench, &question, move |bench, _| {
        let conditions = conditions(&TypedConditions {
            line: asked.text("line"),
            lamp: asked.text("lamp"),
            source_ohms: asked.text("ahead"),
            pulled: asked.text("pulled"),
            open: asked.text("open"),
            fitted_without: asked.text("without"),
            seconds: asked.text("seconds"),
            meter: asked.text("meter"),
            direct_source: asked.text("dc"),
            to: asked.text("to"),
        })?;
        let file = read_set_file(bench.file())?;
        let answer = bands::readings(&expect_readings(&file, &conditions)?);
        Ok(keepable(bench, &own, "what a meter should show", &answer))
    })
    .await
}

const OHMS: [(&str, &str); 2] = [
    ("to", "Where the other lead is, if not on the chassis"),
    ("pulled", "Tubes out of their sockets, such as V14, V12"),
];

async fn ohms(
    State(bench): State<Arc<Bench>>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Response {
    let asked = Sent::of(asked);
    shown(bench, move |bench| {
        let question = address("/later/ohms", &asked, &OHMS);
        let main = html! {
            ul .cautions { li { "Plug out, and every capacitor proved empty with the meter." } }
            (form("/ohms", &asked, &OHMS, false))
            (later::place(&question, "the cold resistances"))
        };
        plain::page(bench, "Cold resistances", "/ohms", main)
    })
    .await
}

async fn told_ohms(
    State(bench): State<Arc<Bench>>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Markup {
    let asked = Sent::of(asked);
    let question = address("/later/ohms", &asked, &OHMS);
    let own = question.clone();
    later::answer(&bench, &question, move |bench, _| {
        let file = read_set_file(bench.file())?;
        let to = asked.some("to");
        let view = cold_ohms(&file, to.as_deref(), &asked.list("pulled"))?;
        let answer = bands::readings(&view);
        Ok(keepable(bench, &own, "cold resistances", &answer))
    })
    .await
}
