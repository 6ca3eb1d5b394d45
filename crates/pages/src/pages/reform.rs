//! An electrolytic formed anew outside the set: the verdict first, one reading at a time, when to stop, how it ends.
//!
//! Minutes since the volts were put on, milliamperes or volts across the resistor, degrees Celsius. Nothing is solved
//! here, so a page is told whole. Fails as the recording does; nothing is entered then.

mod show;

use std::sync::Arc;

use axum::Router;
use axum::extract::{Path, Query, State};
use axum::response::Response;
use axum::routing::get;
use benchwork::view::RecordedView;
use benchwork::{
    FormingAsk, NewForming, NewFormingReading, Trouble, record_forming, tell_forming, tell_formings,
};
use maud::{Markup, html};

use super::plain;
use crate::bench::Bench;
use crate::entry::{Sent, entered, shown};
use crate::pieces::{Unit, made, trouble};
use crate::words::in_address;

/// The routes of these pages.
pub fn routes() -> Router<Arc<Bench>> {
    Router::new()
        .route("/reform", get(reform))
        .route("/reform/{part}", get(one).post(enter))
}

async fn reform(State(bench): State<Arc<Bench>>) -> Response {
    shown(bench, |bench| {
        let main = match tell_formings(bench.file()) {
            Ok(view) => html! { section #formings data-live="" { (show::list(&view)) } },
            Err(own) => trouble(&own),
        };
        plain::page(bench, "Re-forming", "/reform", main)
    })
    .await
}

async fn one(
    State(bench): State<Arc<Bench>>,
    Path(part): Path<String>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Response {
    let asked = Sent::of(asked);
    shown(bench, move |bench| page(bench, &part, None, &asked)).await
}

/// The bench of a forming, where it is not that of the sheet.
fn ask(typed: &Sent) -> FormingAsk {
    FormingAsk {
        marked: typed.some("marked"),
        source: typed.some("source"),
        to: typed.some("to"),
        discharge: typed.some("discharge"),
    }
}

fn page(bench: &Bench, part: &str, refused: Option<&Trouble>, typed: &Sent) -> Markup {
    let at = format!("/reform/{}", in_address(part));
    let main = html! {
        (plain::refused(refused))
        (made(bench, typed.entry("made")))
        @match tell_forming(bench.file(), part, &ask(typed)) {
            Ok(view) => { (show::forming(bench, &at, &view, typed)) },
            Err(own) if refused.is_none() => { (trouble(&own)) },
            Err(_) => {},
        }
        (show::other_bench(&at, typed))
        p { a .button href="/reform" { "All electrolytics" } }
    };
    plain::page(bench, &format!("Re-forming {part}"), &at, main)
}

async fn enter(State(bench): State<Arc<Bench>>, Path(part): Path<String>, sent: Sent) -> Response {
    let (typed, own) = (sent.clone(), part.clone());
    let bench_of = ["marked", "source", "to", "discharge"].map(|name| (name, sent.owned(name)));
    let said: Vec<String> = bench_of
        .iter()
        .filter(|(_, text)| !text.is_empty())
        .map(|(name, text)| format!("{name}={}", in_address(text)))
        .collect();
    let to = match said.is_empty() {
        true => format!("/reform/{}", in_address(&part)),
        false => format!("/reform/{}?{}", in_address(&part), said.join("&")),
    };
    entered(
        bench,
        to,
        move |bench| record(bench, &part, &sent),
        move |bench, refused| page(bench, &own, Some(&refused), &typed),
    )
    .await
}

fn record(bench: &Bench, part: &str, sent: &Sent) -> Result<RecordedView, Trouble> {
    let new = match sent.text("came") {
        "discharged" => NewForming::Discharged {
            left: Unit::completed(sent.text("left"), &[Unit::VOLTS]),
            seconds: sent.some("seconds"),
            through: sent.some("through"),
        },
        "ended" => NewForming::Ended {
            end: sent.owned("end"),
            because: sent.owned("because"),
        },
        _ => {
            let leak = Unit::completed(sent.text("leak"), show::LEAK);
            let minutes = sent.text("minutes");
            let volts = |name: &str| {
                sent.some(name)
                    .map(|text| Unit::completed(&text, &[Unit::VOLTS]))
            };
            NewForming::Readings(NewFormingReading {
                readings: vec![format!("{minutes}={leak}")],
                source_volts: volts("source_volts"),
                across: volts("across"),
                resistor: sent.some("resistor"),
                case: sent.some("case"),
                looks: sent.some("looks"),
            })
        }
    };
    let (with, note) = (sent.text("with"), sent.text("note"));
    let entering = sent.entering(bench)?;
    let own = record_forming(&entering, part, &ask(sent), (with, note), &new)?;
    RecordedView::of_forming(own)
        .ok_or_else(|| Trouble::ours("nothing was entered, and nothing was refused"))
}
