//! The maker's chart beside the sheet: the picture with its bands, what disagrees first, possible slips of the pen.
//!
//! Volts and ohms as on the bench. Worked out apart, and how far the search is is told meanwhile.

use std::sync::Arc;

use axum::Router;
use axum::extract::State;
use axum::response::Response;
use axum::routing::get;
use benchwork::figures::figure;
use benchwork::view::{ChartRowView, ChartView};
use benchwork::{lay_chart, read_set_as_taken_in};
use maud::{Markup, html};

use crate::bench::Bench;
use crate::entry::shown;
use crate::later;
use crate::pages::kept_answer::keepable;
use crate::pages::plain::{self, folded, table};
use crate::pieces::{notices, picture};

const QUESTION: &str = "/later/chart";

/// The routes of this page.
pub fn routes() -> Router<Arc<Bench>> {
    Router::new()
        .route("/chart", get(chart))
        .route(QUESTION, get(told))
}

async fn chart(State(bench): State<Arc<Bench>>) -> Response {
    shown(bench, |bench| {
        let main = later::place(QUESTION, "the maker's chart beside the sheet");
        plain::page(bench, "The maker's chart", "/chart", main)
    })
    .await
}

async fn told(State(bench): State<Arc<Bench>>) -> Markup {
    later::answer(&bench, QUESTION, |bench, work| {
        let file = read_set_as_taken_in(bench.file())?;
        let (mut last, mut is_waited_for) = (-1, true);
        let view = lay_chart(&file, &mut |share| {
            // Each whole percent is told once.
            let percent = (100.0 * share) as i32;
            if percent > last {
                last = percent;
                let words = format!("Looking for slips of the pen: {percent} %");
                is_waited_for = work.comes_to(&words).is_ok();
            }
            is_waited_for
        })?;
        Ok(keepable(bench, QUESTION, "the maker's chart", &all(&view)))
    })
    .await
}

fn all(view: &ChartView) -> Markup {
    let counts = &view.counts;
    let meter = match view.meter.as_str() {
        "" => "an ideal meter".to_owned(),
        meter => format!("the meter \"{meter}\""),
    };
    let of = |verdict: &str| -> Vec<&ChartRowView> {
        let own = view.rows.iter();
        own.filter(|row| row.verdict.starts_with(verdict)).collect()
    };
    let outside = of("chart_");
    html! {
        p { "The set as it left the maker, at " (figure("dc_volts", view.line_volts)) ", with " (meter) "." }
        p .lead { "Of " (counts.agrees + counts.disagrees) " figures that a prediction covers " (counts.agrees) " agree and "
            (counts.disagrees) " do not." }
        (notices(&view.notices))
        (picture(&pictures::chart::svg(view), "The maker's figures upon the bands of the sheet, tube by tube"))
        @if !outside.is_empty() {
            h2 { "Where they disagree" }
            (rows("Where chart and sheet disagree", &outside))
            h2 { "Slips of the pen" }
            @if view.slips.is_empty() {
                p { "None was found in " (view.tried) " changes that were tried. What is left may be parts that were never of their marked value, another tube, or a control set otherwise." }
            } @else {
                p { "Changes that would bring figures home, the likeliest first. Look at the set before you change the sheet:" }
                ul { @for slip in &view.slips { li {
                    (slip.text) ". Brings home " (slip.brings_home.join(", "))
                    @if !slip.drives_out.is_empty() { "; drives out " (slip.drives_out.join(", ")) } "."
                } } }
            }
        }
        @let agree = of("agrees");
        @if !agree.is_empty() {
            details { summary { "Where they agree (" (agree.len()) ")" } (rows("Where chart and sheet agree", &agree)) }
        }
        (folded("Figures that prove nothing: a signal makes the volts there", &of("rests_on_chart").iter().map(|row| row.at.clone()).collect::<Vec<_>>()))
        (folded("Not covered by a prediction", &of("not_covered").iter().map(|row| {
            format!("{}: {}", row.at, row.because.as_deref().unwrap_or("not told"))
        }).collect::<Vec<_>>()))
    }
}

fn rows(words: &str, rows: &[&ChartRowView]) -> Markup {
    let lines: Vec<Vec<String>> = rows
        .iter()
        .map(|row| {
            let told = |value: Option<f64>| {
                value.map_or_else(|| "open".to_owned(), |value| figure(row.what, value))
            };
            let at = match row.to.as_str() {
                "chassis" => row.at.clone(),
                to => format!("{} to {to}", row.at),
            };
            let verdict = match row.verdict {
                "chart_high" => "chart is higher",
                "chart_low" => "chart is lower",
                _ => "",
            };
            vec![
                at,
                told(row.charted),
                told(row.low),
                told(row.expected),
                told(row.high),
                verdict.to_owned(),
                row.line.to_string(),
            ]
        })
        .collect();
    let heads = ["at", "maker", "low", "expected", "high", "", "line"];
    table(words, &heads, &[1, 2, 3, 4, 6], &lines)
}
