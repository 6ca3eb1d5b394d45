//! The plan of the first power-up read beforehand: each step whole, B+ while it warms up and over the line as pictures.
//!
//! Units of the readings. Worked out apart, and each step is told as it stands; the power-up itself is done on its
//! own page. Nothing is entered here.

use std::sync::Arc;

use axum::Router;
use axum::extract::State;
use axum::response::Response;
use axum::routing::get;
use benchwork::curves::{curves_over_line, curves_over_time};
use benchwork::figures::{called, figure, sentence, time};
use benchwork::view::{PlanView, StepView, StopView};
use benchwork::{Trouble, plan_first_power_up, read_set_file};
use maud::{Markup, html};

use super::kept_answer::keepable;
use super::plain::{self, cautions, folded, listed, table};
use crate::bench::Bench;
use crate::entry::shown;
use crate::later;
use crate::pieces::{notices, picture};

const QUESTION: &str = "/later/wake";

/// The routes of this page.
pub fn routes() -> Router<Arc<Bench>> {
    Router::new()
        .route("/wake", get(wake))
        .route(QUESTION, get(told))
}

async fn wake(State(bench): State<Arc<Bench>>) -> Response {
    shown(bench, |bench| {
        let main = html! {
            p { "The voltages in this set can kill. Never work alone or tired; one hand in the pocket while anything is live. \
                Do the steps in their order, and go on only when a step shows what it should." }
            p { a .button href="/power" { "Do it, step by step" } }
            (later::place(QUESTION, "the plan"))
        };
        plain::page(bench, "The plan of the first power-up", "/wake", main)
    })
    .await
}

async fn told(State(bench): State<Arc<Bench>>) -> Markup {
    later::answer(&bench, QUESTION, |bench, work| {
        let file = read_set_file(bench.file())?;
        let plan = plan_first_power_up(&file, &mut |step| {
            // A plan is made in one go.
            let _ = work.comes_to(&format!("Step {} stands: {}", step.step, step.title));
        })?;
        work.comes_to("B+ while the set warms up, and over the line")?;
        let conditions = plan.conditions_of(None)?;
        let drawn = |svg: Result<String, String>, words: &str| {
            let svg = svg.map_err(|because| Trouble::input(because, "look at the plan in words"));
            svg.map(|svg| picture(&svg, words))
        };
        let warm_up = pictures::line_plot::svg(&curves_over_time(&file, conditions)?);
        let over_line = pictures::line_plot::svg(&curves_over_line(&file, conditions)?);
        let answer = html! {
            (all(&plan.view))
            h2 { "While it warms up" }
            (drawn(warm_up, "B+ and heaters against seconds from switch-on, in the last step of the plan")?)
            h2 { "Over the line" }
            (drawn(over_line, "B+ against line volts, without the lamp and with it")?)
        };
        Ok(keepable(bench, QUESTION, "the plan of the first power-up", &answer))
    })
    .await
}

fn all(plan: &PlanView) -> Markup {
    html! {
        (notices(&plan.notices))
        h2 { "The steps" }
        @for own in &plan.steps {
            details { summary { (own.step) ". " (own.title) @if own.energised { " (power)" } } (step(own)) }
        }
        (folded("Not guarded by any reading of this plan", &plan.unguarded.iter().map(|own| {
            format!("{}: {}", own.fault, own.because)
        }).collect::<Vec<_>>()))
    }
}

fn step(own: &StepView) -> Markup {
    let plug = match (own.conditions.dc.is_some(), own.energised) {
        (true, _) => "Switch the source off at once",
        (false, true) => "Pull the plug at once",
        (false, false) => "Go no further",
    };
    let expected: Vec<Vec<String>> = own
        .expect
        .iter()
        .map(|one| {
            vec![
                one.at.clone(),
                called(one.what).to_owned(),
                figure(one.what, one.low),
                figure(one.what, one.high),
            ]
        })
        .collect();
    let charged: Vec<String> = own
        .charged
        .iter()
        .map(|one| {
            let left = match one.seconds_to_10_volts {
                Some(seconds) => format!("10 V left after {}", time(Some(seconds))),
                None => "never safe by time alone".to_owned(),
            };
            format!("{}: {}, {left}", one.at, figure("dc_volts", one.volts))
        })
        .collect();
    html! {
        p { b { @if own.energised { "With power: " } @else { "No power: " } } (own.conditions.in_words()) "." }
        (cautions(&own.cautions))
        @if !own.live.is_empty() { p .live { b { "Live: " } (own.live.join(", ")) } }
        @if !own.acts.is_empty() { h3 { "Do" } ol .acts { @for act in &own.acts { li { (act) } } } }
        (listed(&format!("{plug} when you notice"), &own.stop_signs))
        (listed(&format!("{plug} when the meter goes beyond"), &own.stop.iter().map(limit).collect::<Vec<_>>()))
        @if !expected.is_empty() {
            h3 { @if own.wait_seconds > 0.0 { "After " (time(Some(own.wait_seconds))) " a healthy set shows" } @else { "A healthy set shows" } }
            (table("What a healthy set shows", &["at", "what", "low", "high"], &[2, 3], &expected))
        }
        (listed("Still charged with the plug out: through a resistor, then prove it", &charged))
        @if let Some(lamp) = &own.lamp { @if !lamp.remark.is_empty() { p { "The lamp: " (lamp.remark) } } }
        p .because { (sentence(&own.because)) }
    }
}

fn limit(own: &StopView) -> String {
    let side = match (own.above, own.below) {
        (Some(value), _) => format!("above {}", figure(own.what, value)),
        (_, Some(value)) => format!("below {}", figure(own.what, value)),
        _ => String::new(),
    };
    let from = match own.after_seconds > 0.0 {
        true => format!(" from {:.0} s", own.after_seconds),
        false => String::new(),
    };
    let tells = match own.tells.is_empty() {
        true => String::new(),
        false => format!(": {}", own.tells.join("; ")),
    };
    format!("{} {} {side}{from}{tells}", own.at, called(own.what))
}
