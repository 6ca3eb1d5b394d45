//! `[bench]` of the sheet: what the restorer has, one field each.
//!
//! Watts at 120 V, volts, volt-amperes, as the sheet has them. The changed text is checked and taken in as a new
//! version; comments and order stay. A fault stands beside its field; nothing is written then.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Query, State};
use axum::response::Response;
use axum::routing::get;
use benchwork::view::FaultView;
use benchwork::{
    BenchField, PresentSheet, Trouble, bench_fields, bench_of_faults, change_bench, present_sheet,
};
use maud::{Markup, html};

use super::made_from;
use super::rows::{Column, cell, column, refusal};
use crate::bench::Bench;
use crate::entry::{Sent, entered, hidden, shown};
use crate::pages::plain;
use crate::pieces;

const AT: &str = "/sheet/bench";

/// The fields by their keys in the sheet.
static FIELDS: [(&str, Column); 6] = [
    (
        "lamps",
        column(
            "Lamps for the limiter",
            "Watts at 120 V, such as: 40, 60, 100",
            "",
        ),
    ),
    (
        "line_volts",
        column(
            "Volts at your outlet",
            "As measured, such as: 121. Empty if not known",
            "",
        ),
    ),
    (
        "isolation_va",
        column(
            "Isolation transformer",
            "Volt-amperes on its plate, such as: 250. Empty if there is none",
            "",
        ),
    ),
    (
        "variable_transformer",
        Column {
            label: "A variable transformer?",
            such_as: "",
            list: "",
            choices: &[
                ("true", "There is one"),
                ("false", "There is none"),
                ("", "Not said"),
            ],
        },
    ),
    (
        "meters",
        column(
            "Meters",
            "Input resistance, or ohms per volt, such as: 10M, 20k/V",
            "",
        ),
    ),
    (
        "dc_source",
        column(
            "Source of direct current",
            "For re-forming and leakage, such as: 0-450 V 20 mA. Empty if there is none",
            "",
        ),
    ),
];

/// The routes of this page.
pub fn routes() -> Router<Arc<Bench>> {
    Router::new().route(AT, get(ask).post(make))
}

async fn ask(
    State(bench): State<Arc<Bench>>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Response {
    let asked = Sent::of(asked);
    shown(bench, move |bench| {
        let main = match fields_of(bench) {
            Ok((sheet, now)) => html! {
                (pieces::made(bench, asked.entry("made")))
                (form(bench, &sheet, &now, None, None))
            },
            Err(own) => pieces::trouble(&own),
        };
        page(bench, main)
    })
    .await
}

async fn make(State(bench): State<Arc<Bench>>, sent: Sent) -> Response {
    let typed = sent.clone();
    entered(
        bench,
        AT.to_owned(),
        move |bench| {
            let entering = sent.entering(bench)?;
            change_bench(&entering, sent.text("sheet"), |key| sent.owned(key))
        },
        move |bench, refused| {
            let main = match fields_of(bench) {
                Ok((sheet, now)) => form(bench, &sheet, &now, Some(&refused), Some(&typed)),
                Err(own) => pieces::trouble(&own),
            };
            page(bench, main)
        },
    )
    .await
}

fn fields_of(bench: &Bench) -> Result<(PresentSheet, Vec<BenchField>), Trouble> {
    let sheet = present_sheet(bench.file())?;
    let fields = bench_fields(&sheet)?;
    Ok((sheet, fields))
}

fn page(bench: &Bench, main: Markup) -> Markup {
    plain::page(bench, "Your bench", AT, main)
}

/// The form. `typed` is what was refused with `refused`.
fn form(
    bench: &Bench,
    sheet: &PresentSheet,
    now: &[BenchField],
    refused: Option<&Trouble>,
    typed: Option<&Sent>,
) -> Markup {
    let faults = refused.map_or_else(Vec::new, bench_of_faults);
    let is_newer = typed.is_some_and(|typed| typed.text("sheet") != sheet.mark);
    let said = |key: &str| {
        let own = now.iter().find(|(own, _)| *own == key);
        own.map_or("", |(_, text)| text.as_str())
    };
    html! {
        @if let Some(refused) = refused { (refusal(refused, &faults)) }
        p { "What you have. The plan of the power-up uses it, and names what to get where something lacks." }
        form method="post" action=(AT) data-keep="" {
            (hidden(bench))
            (made_from(sheet))
            @for (key, column) in &FIELDS {
                @let value = typed.map_or(said(key), |typed| typed.text(key));
                @let own: Vec<&FaultView> = faults.iter().filter(|(place, _)| *place == Some(*key)).map(|(_, fault)| fault).collect();
                (cell(column, key, value, &own, is_newer.then(|| said(key))))
            }
            (pieces::send("Take it into the sheet"))
        }
        p { a .button.wide href="/sheet" { "The whole sheet" } }
    }
}
