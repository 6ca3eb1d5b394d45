//! The case of one part: what speaks for it and against it, what would change if it were bad, what came of it.
//!
//! Weights of a hundred, readings as at the bench. Fails for a part that the sheet has not, in words.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Path, Query, State};
use axum::response::Response;
use axum::routing::get;
use benchwork::figures::{called, figure};
use benchwork::hunt_words::{of_hundred, place_of, times, value_of};
use benchwork::view::{BesideView, ExplainView, WhatIfView};
use benchwork::{Trouble, explain_suspect, tell_what_if};
use maud::{Markup, html};

use super::outcome;
use crate::bench::Bench;
use crate::entry::{Sent, entered, shown};
use crate::later;
use crate::pages::kept_answer::keepable;
use crate::pages::plain::{self, folded, table};
use crate::pieces::{made, on_the_chassis, picture};
use crate::words::in_address;

/// Rows of a fault that are shown; the others are folded away.
const MOST_ROWS: usize = 12;

/// The routes of this page.
pub fn routes() -> Router<Arc<Bench>> {
    Router::new()
        .route("/suspects/{part}", get(case).post(enter))
        .route("/later/suspects/{part}", get(told))
        .route("/later/what-if/{part}", get(what_if))
}

async fn case(
    State(bench): State<Arc<Bench>>,
    Path(part): Path<String>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Response {
    let asked = Sent::of(asked);
    shown(bench, move |bench| page(bench, &part, None, &asked)).await
}

fn page(bench: &Bench, part: &str, refused: Option<&Trouble>, typed: &Sent) -> Markup {
    let at = format!("/suspects/{}", in_address(part));
    let fault = typed.some("fault").map_or_else(String::new, |fault| {
        format!("?fault={}", in_address(&fault))
    });
    let main = html! {
        (plain::refused(refused))
        (made(bench, typed.entry("made")))
        (later::place(&format!("/later{at}"), &format!("the case of {part}")))
        h2 { "What came of it" }
        (outcome::forms(bench, &at, part, typed, refused.is_some()))
        h2 { "What would change if it were bad" }
        (later::place(&format!("/later/what-if/{}{fault}", in_address(part)), &format!("what {part} would change")))
        p { a .button href="/suspects" { "All suspects" } }
    };
    plain::page(bench, part, &at, main)
}

async fn enter(State(bench): State<Arc<Bench>>, Path(part): Path<String>, sent: Sent) -> Response {
    let (typed, own) = (sent.clone(), part.clone());
    entered(
        bench,
        format!("/suspects/{}", in_address(&part)),
        move |bench| outcome::record(bench, &part, &sent),
        move |bench, refused| page(bench, &own, Some(&refused), &typed),
    )
    .await
}

async fn told(State(bench): State<Arc<Bench>>, Path(part): Path<String>) -> Markup {
    let question = format!("/later/suspects/{}", in_address(&part));
    let own = question.clone();
    later::answer(&bench, &question, move |bench, work| {
        let view = explain_suspect(bench.file(), &part, work)?;
        let answer = explained(&view);
        let answer = keepable(bench, &own, &format!("the case of {}", view.part), &answer);
        Ok(html! { (on_the_chassis(bench, &[(view.part.clone(), None)])) (answer) })
    })
    .await
}

fn explained(view: &ExplainView) -> Markup {
    let spoken = |speaks: &str| -> Vec<String> {
        let own = view.readings.iter().filter(|own| own.speaks == speaks);
        own.map(beside).collect()
    };
    let noticed = |is_for: bool| {
        let own = view
            .noticed
            .iter()
            .filter(move |own| (own.times > 1.0) == is_for);
        own.map(|own| format!("{} ({}, entry {})", own.text, times(own.times), own.entry))
    };
    let mut is_for = spoken("for");
    is_for.extend(noticed(true));
    let mut against = spoken("against");
    against.extend(noticed(false));
    against.extend(view.told_of_heat());
    html! {
        h2 { (view.part) ", " (view.kind) }
        p .lead {
            @match view.place {
                Some(place) => { (of_hundred(view.weight)) " of 100, place " (place) " among the suspects." },
                None if view.ways.is_empty() => { "No fault of it is followed: it is cut loose, or its kind is not calculated yet." },
                None => { "Nothing read or noticed tells anything of it." },
            }
        }
        @if !view.beside.is_empty() {
            p { "As it explains best: " b { (view.beside) } "." }
            @if is_for.is_empty() { p { "Nothing speaks for it." } }
            (plain::listed("For it", &is_for))
            (plain::listed("Against it", &against))
            (folded("Neither for nor against", &spoken("neither")))
        }
        @if !view.ways.is_empty() {
            details {
                summary { "How it may have failed (" (view.ways.len()) ")" }
                (table("How it may have failed", &["fault", "of 100", "before, of 100", "known by"], &[1, 2],
                    &view.ways.iter().map(|way| vec![
                        way.text.clone(),
                        match way.state {
                            "weighed" => of_hundred(way.weight),
                            "silent" => "cannot be found so".to_owned(),
                            _ => "could not be solved".to_owned(),
                        },
                        of_hundred(way.chance),
                        way.standing.clone(),
                    ]).collect::<Vec<_>>()))
            }
        }
        (plain::listed("Found of it by itself", &view.found.iter().map(|own| {
            format!("{}: {} (entry {})", own.verdict, own.words, own.entry)
        }).collect::<Vec<_>>()))
    }
}

fn beside(own: &BesideView) -> String {
    let reading = &own.reading;
    let told = |value: Option<f64>| {
        value.map_or_else(
            || "not known".to_owned(),
            |value| figure(reading.what, value),
        )
    };
    format!(
        "{} {}; healthy {} to {}, with it {} (entry {})",
        place_of(reading),
        value_of(reading),
        told(reading.low),
        told(reading.high),
        told(own.with_fault),
        reading.entry
    )
}

async fn what_if(
    State(bench): State<Arc<Bench>>,
    Path(part): Path<String>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Markup {
    let fault = Sent::of(asked).some("fault");
    let question = match &fault {
        Some(fault) => format!(
            "/later/what-if/{}?fault={}",
            in_address(&part),
            in_address(fault)
        ),
        None => format!("/later/what-if/{}", in_address(&part)),
    };
    later::answer(&bench, &question, move |bench, work| {
        let view = tell_what_if(bench.file(), &part, fault.as_deref(), work)?;
        Ok(changed(&view))
    })
    .await
}

fn changed(view: &WhatIfView) -> Markup {
    let is_spread = !view.half_way.is_empty();
    let rows: Vec<Vec<String>> = view
        .rows
        .iter()
        .map(|own| {
            let told = |value: f64| figure(own.what, value);
            let mut at = own.at.clone();
            if own.what != "dc_volts" {
                at.push_str(&format!(", {}", called(own.what)));
            }
            let mut cells = vec![at, format!("{} to {}", told(own.low), told(own.high))];
            if is_spread {
                cells.push(own.half_way.map_or_else(String::new, told));
            }
            cells.push(told(own.at_worst));
            cells
        })
        .collect();
    let heads: &[&str] = match is_spread {
        true => &["at", "healthy", "half way", "at worst"],
        false => &["at", "healthy", "with it"],
    };
    let (first, rest) = rows.split_at(rows.len().min(MOST_ROWS));
    html! {
        p { "Fault: " b { (view.fault) } ". Of " (view.rows.len() + view.stay) " readings " (view.conditions.behind()) ", "
            (view.rows.len()) " would leave what nine of ten healthy sets read."
            @if is_spread { " Half way along its severities it is \"" (view.half_way) "\"; readings move most with \"" (view.at_worst) "\"." }
        }
        @if rows.is_empty() {
            p { (view.none_leaves()) }
        } @else {
            (picture(&pictures::what_if::svg(view), "What would leave its healthy band, tube by tube over the chassis"))
            (table("What would change, largest first", heads, &[1, 2, 3], first))
            @if !rest.is_empty() {
                details { summary { (rest.len()) " more" } (table("What would change besides", heads, &[1, 2, 3], rest)) }
            }
        }
        @if !view.other_faults.is_empty() {
            h3 { "It may also be" }
            (plain::rows(&view.other_faults.iter().map(|fault| (
                format!("/suspects/{}?fault={}", in_address(&view.part), in_address(fault)),
                fault.clone(),
                String::new(),
            )).collect::<Vec<_>>()))
        }
    }
}
