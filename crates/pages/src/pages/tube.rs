//! What the catalogue knows of a tube type: base from below, heater, ratings, published points, near types.
//!
//! Units as the heads of the columns say; `?` behind a figure that its row names as doubtful. Fails for a number that
//! the catalogue has not, with the nearest ones in words.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Path, Query, State};
use axum::response::{IntoResponse, Redirect, Response};
use axum::routing::get;
use benchwork::figures::sentence;
use benchwork::tell_tube;
use benchwork::view::{
    ContactView, HeaterView, NearTubeView, SectionView, TubeAnswerView, TubeTypeView,
};
use maud::{Markup, html};

use super::plain::{self, cautions, table};
use crate::bench::Bench;
use crate::entry::{Sent, shown};
use crate::pieces::{picture, send, text, trouble};
use crate::words::in_address;

/// The routes of these pages.
pub fn routes() -> Router<Arc<Bench>> {
    Router::new()
        .route("/tube", get(asking))
        .route("/tube/{number}", get(tube))
}

async fn asking(
    State(bench): State<Arc<Bench>>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Response {
    let asked = Sent::of(asked);
    match asked.some("type") {
        Some(number) => Redirect::to(&format!("/tube/{}", in_address(&number))).into_response(),
        None => {
            shown(bench, |bench| {
                plain::page(bench, "A tube", "/tube", ask(""))
            })
            .await
        }
    }
}

fn ask(typed: &str) -> Markup {
    html! {
        form .quiet method="get" action="/tube" {
            (text("type", "Its number, such as 6AU6", typed, ""))
            (send("Show the tube"))
        }
    }
}

async fn tube(
    State(bench): State<Arc<Bench>>,
    Path(number): Path<String>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Response {
    let is_near = Sent::of(asked).ticked("near");
    shown(bench, move |bench| {
        let at = format!("/tube/{}", in_address(&number));
        let main = match tell_tube(&number, is_near, bench.tables().types.as_deref()) {
            Ok(view) => answer(&at, &view),
            Err(own) => html! { (trouble(&own)) },
        };
        let main = html! { (main) (ask(&number)) };
        plain::page(bench, &number, &at, main)
    })
    .await
}

fn answer(at: &str, view: &TubeAnswerView) -> Markup {
    html! {
        @if let Some(note) = &view.note { p { (sentence(note)) "." } }
        @for tube in &view.types { (one(tube)) }
        @match &view.near {
            None => { p { a .button href={ (at) "?near=yes" } { "What comes near it" } } },
            Some(near) => {
                h2 { "What comes near it" }
                (cautions(&view.cautions))
                @if near.is_empty() { p { "Nothing that the catalogue holds." } }
                @for own in near { (near_one(own)) }
            },
        }
    }
}

fn near_one(own: &NearTubeView) -> Markup {
    html! {
        details {
            summary { (own.name) ": " (own.verdict) }
            ul { @for change in &own.changes { li { (change.text) } } }
            p { a .button href={ "/tube/" (in_address(&own.name)) } { "Show " (own.name) } }
        }
    }
}

fn one(tube: &TubeTypeView) -> Markup {
    html! {
        h2 { (tube.name) ": " (tube.what) @if tube.origin == "own" { " (your own row)" } }
        @if !tube.other_numbers.is_empty() { p { "Other numbers: " (tube.other_numbers.join(", ")) "." } }
        @if let Some(from) = &tube.derived_from { p { "The figures are taken from the row of " (from) "." } }
        @match &tube.base {
            None => { p { "The base is not known." } },
            Some(base) => {
                h3 { "Base " (base.name) @if let Some(code) = &tube.basing_code { ", basing " (code) } ", seen from below" }
                @if let Ok(svg) = pictures::base::svg(tube) { (picture(&svg, "The base seen from below, with what each pin carries")) }
                p { (sentence(&base.meaning)) "." }
                @if !base.pins_are_recorded { p { "What the pins carry is not recorded: read it from a data sheet." } }
                @if base.pins_are_doubtful { p { b { "The record of the pins is doubtful: prove it with the ohmmeter." } } }
                @if base.steps_are_doubtful { p { "The order of the pins is sure, the steps between them are not." } }
                (table("Pins", &["pin", "carries"], &[], &base.contacts.iter().map(pin).collect::<Vec<_>>()))
            },
        }
        h3 { "Heater" }
        p { (heater(&tube.heater)) "." }
        @for section in &tube.sections { (ratings(section)) }
        @if let Some(own) = &tube.picture_tube {
            h3 { "As a picture tube" }
            p { "Ion trap: " (match own.ion_trap {
                Some("none") => "none: no magnet on the neck",
                Some("single") => "one magnet; never run without it",
                Some("double") => "two magnets; never run without them",
                _ => "not known: look for a bent gun before any high voltage",
            }) "." }
            @if own.envelope == Some("metal") { p { b { "The cone itself is at anode volts." } } }
        }
        p .hint { "Source: " (tube.source.source) " (" (tube.source.standing) ")." }
    }
}

fn pin(own: &ContactView) -> Vec<String> {
    let carries = match own.elements.is_empty() {
        true => "-".to_owned(),
        false => own.elements.join(", "),
    };
    vec![own.contact.clone(), carries]
}

fn heater(own: &HeaterView) -> String {
    let mut said = match (own.volts, own.amperes) {
        (Some(volts), Some(amperes)) => format!("{volts} V, {amperes} A"),
        (Some(volts), None) => format!("{volts} V; its amperes are not known"),
        _ => "not known".to_owned(),
    };
    if own.doubtful {
        said.push_str(" (doubtful)");
    }
    match own.heating {
        Some("direct") => said.push_str(", a filament that is itself the cathode"),
        Some(_) => said.push_str(", indirectly heated"),
        None => {}
    }
    if let Some(seconds) = own.warm_up_seconds {
        said.push_str(&format!(", controlled warm-up {seconds} s"));
    }
    if own.has_tap {
        said.push_str("; has a tap");
    }
    said
}

fn ratings(own: &SectionView) -> Markup {
    let most = [
        ("plate", own.max_plate_volts, "V", "max_plate_v"),
        ("plate dissipation", own.max_plate_watts, "W", "max_plate_w"),
        (
            "screen dissipation",
            own.max_screen_watts,
            "W",
            "max_screen_w",
        ),
        (
            "cathode current",
            own.max_cathode_milliamperes,
            "mA",
            "max_cathode_ma",
        ),
    ];
    let rows: Vec<Vec<String>> = most
        .into_iter()
        .filter_map(|(what, value, unit, column)| {
            let doubt = if own.source.doubts(column) { "?" } else { "" };
            Some(vec![what.to_owned(), format!("{}{doubt} {unit}", value?)])
        })
        .collect();
    let told = |value: Option<f64>| value.map_or_else(String::new, |value| value.to_string());
    let points: Vec<Vec<String>> = own
        .operating_points
        .iter()
        .map(|point| {
            vec![
                told(point.plate_volts),
                told(point.screen_volts),
                told(point.grid_volts),
                told(point.plate_milliamperes),
                told(point.screen_milliamperes),
                told(point.transconductance_micromhos),
                point.source.standing.clone(),
            ]
        })
        .collect();
    html! {
        h3 { (sentence(&own.section)) ", " (own.kind) }
        @if !rows.is_empty() { (table("Highest ratings", &["at most", "figure"], &[1], &rows)) }
        @if !points.is_empty() {
            details {
                summary { "Published points (" (points.len()) ")" }
                (table("Published points of operation",
                    &["plate V", "screen V", "grid V", "plate mA", "screen mA", "micromhos", "standing"], &[1, 2, 3, 4, 5], &points))
            }
        }
        p .hint { "Source: " (own.source.source) " (" (own.source.standing) ")." }
    }
}
