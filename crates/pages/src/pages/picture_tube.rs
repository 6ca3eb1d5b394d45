//! The picture tube: its verdict, the emission as it creeps up, and what is found of it entered one by one.
//!
//! Cautions stand first: the glass and its charge. Emission is entered with the minute of its sitting. Units as typed. Fails with the trouble of the entry in words.

mod show;

use std::sync::Arc;

use axum::Router;
use axum::extract::{Path, Query, State};
use axum::response::{IntoResponse, Response};
use axum::routing::get;
use benchwork::view::{PictureView, RecordedView};
use benchwork::{NewFinding, NewNeedle, PictureAsk, Trouble, judge_picture_tube, record_findings};
use maud::{Markup, html};

use crate::bench::Bench;
use crate::entry::{Sent, entered, shown};
use crate::frame::{Page, framed};
use crate::later;
use crate::pieces;

/// What can be entered: its address, its name, what it is.
const FINDINGS: &[(&str, &str, &str)] = &[
    ("heater", "Heater", "cold ohms, volts and amperes, glow"),
    (
        "leak",
        "Shorts and leaks",
        "ohms between two elements, the socket off",
    ),
    ("emission", "Emission", "a reading now, while it creeps up"),
    ("cut-off", "Cut-off", "volts at which the beam goes out"),
    (
        "life",
        "Life test",
        "readings after the heater was reduced or cut",
    ),
    (
        "current",
        "Currents without a tester",
        "volts and cathode current on the bench",
    ),
    (
        "running",
        "In the running set",
        "picture and cathode current",
    ),
    ("tried", "A cure that was tried", "and what it gained"),
];

/// The routes of these pages.
pub fn routes() -> Router<Arc<Bench>> {
    Router::new()
        .route("/picture", get(picture))
        .route("/later/picture", get(judged))
        .route("/picture/{finding}", get(form).post(enter))
}

async fn picture(
    State(bench): State<Arc<Bench>>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Response {
    let asked = Sent::of(asked);
    shown(bench, move |bench| {
        let main = html! {
            (pieces::made(bench, asked.entry("made")))
            (later::place("/later/picture", "the verdict on the picture tube"))
            h2 { "Enter what was found" }
            ul .rows {
                @for (at, name, words) in FINDINGS {
                    li { a .row href={ "/picture/" (at) } { b { (name) } span { (words) } } }
                }
            }
        };
        framed(
            bench,
            Page {
                title: "Picture tube",
                at: "/picture",
                main,
            },
        )
    })
    .await
}

fn judge(bench: &Bench) -> Result<PictureView, Trouble> {
    judge_picture_tube(bench.file(), &PictureAsk::default())
}

async fn judged(State(bench): State<Arc<Bench>>) -> Response {
    later::answer(&bench, "/later/picture", |bench, _| {
        Ok(show::verdict(&judge(bench)?))
    })
    .await
    .into_response()
}

async fn form(State(bench): State<Arc<Bench>>, Path(finding): Path<String>) -> Response {
    shown(bench, move |bench| {
        page(bench, &finding, None, &Sent::default())
    })
    .await
}

fn page(bench: &Bench, finding: &str, refused: Option<&Trouble>, typed: &Sent) -> Markup {
    let Some((at, name, words)) = FINDINGS.iter().find(|(at, _, _)| *at == finding) else {
        let main = pieces::trouble(&Trouble::input(
            format!("`{finding}` is nothing that is found of a picture tube"),
            "choose one of the list",
        ));
        return framed(
            bench,
            Page {
                title: "Picture tube",
                at: "/picture",
                main,
            },
        );
    };
    let main = html! {
        @if let Some(refused) = refused { (pieces::trouble(refused)) }
        p .lead { (words) }
        (show::form(bench, at, typed))
        p { a .button href="/picture" { "The picture tube" } }
    };
    framed(
        bench,
        Page {
            title: name,
            at: "/picture",
            main,
        },
    )
}

async fn enter(
    State(bench): State<Arc<Bench>>,
    Path(finding): Path<String>,
    sent: Sent,
) -> Response {
    let (typed, again) = (sent.clone(), finding.clone());
    entered(
        bench,
        "/picture".to_owned(),
        move |bench| {
            let new = found(&finding, &sent)?;
            let ask = PictureAsk {
                tube: sent.some("tube"),
                type_number: sent.some("type"),
                ..PictureAsk::default()
            };
            let words = (sent.text("with"), sent.text("note"));
            let found = record_findings(&sent.entering(bench)?, &ask, words, &new)?;
            RecordedView::of_found(found)
                .ok_or_else(|| Trouble::ours("nothing was entered, and nothing was refused"))
        },
        move |bench, refused| page(bench, &again, Some(&refused), &typed),
    )
    .await
}

/// What was found, as it was typed.
fn found(finding: &str, sent: &Sent) -> Result<NewFinding, Trouble> {
    let needle = || NewNeedle {
        sitting: sent.some("sitting"),
        unit: sent.some("unit"),
        scale_end: sent.some("scale_end"),
        needle_percent: sent.some("needle"),
        heater: sent.some("heater"),
    };
    let pair = |first: &str, second: &str| format!("{}={}", sent.text(first), sent.text(second));
    Ok(match finding {
        "heater" => NewFinding::Heater {
            cold: sent.some("cold"),
            volts: sent.some("volts"),
            amperes: sent.some("amperes"),
            glow: sent.some("glow"),
        },
        "leak" => NewFinding::Leak {
            plus: sent.owned("plus"),
            minus: sent.owned("minus"),
            ohms: sent.owned("ohms"),
            hot: sent.ticked("hot"),
        },
        "cut-off" => NewFinding::CutOff {
            volts: sent.some("volts"),
            reached: sent.some("reached"),
            second_grid: sent.some("second_grid"),
        },
        "emission" => NewFinding::Emission {
            readings: vec![pair("minutes", "value")],
            needle: needle(),
        },
        "life" => NewFinding::LifeTest {
            readings: vec![pair("seconds", "value")],
            needle: needle(),
        },
        "current" => NewFinding::BenchCurrent {
            readings: vec![pair("volts", "value")],
        },
        "running" => NewFinding::RunningSet {
            picture: sent.some("picture"),
            current: sent.some("current"),
        },
        "tried" => NewFinding::Tried {
            cure: sent.owned("cure"),
            gained: sent.owned("gained"),
        },
        other => {
            return Err(Trouble::input(
                format!("`{other}` is nothing that is found of a picture tube"),
                "choose one of the list",
            ));
        }
    })
}
