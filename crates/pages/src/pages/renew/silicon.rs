//! Silicon for selenium: the resistor, the diode, and every way of running the set; a rectifier tube against silicon.
//!
//! Volts, amperes, ohms, watts. Fails for a line that no set of the time was made for, in words.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Query, State};
use axum::response::Response;
use axum::routing::get;
use benchwork::tell_silicon;
use benchwork::view::{RunView, SeleniumGroupView, SiliconView, TubeAgainstView};
use maud::{Markup, html};

use crate::bench::Bench;
use crate::entry::{Sent, shown};
use crate::later;
use crate::pages::plain::{self, cautions, table};
use crate::pieces::{number, picture, send};
use crate::words::in_address;

/// The routes of this page.
pub fn routes() -> Router<Arc<Bench>> {
    Router::new()
        .route("/silicon", get(silicon))
        .route("/later/silicon", get(told))
}

fn question(asked: &Sent) -> String {
    match asked.text("line") {
        "" => "/later/silicon".to_owned(),
        line => format!("/later/silicon?line={}", in_address(line)),
    }
}

async fn silicon(
    State(bench): State<Arc<Bench>>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Response {
    let asked = Sent::of(asked);
    shown(bench, move |bench| {
        let main = html! {
            (later::place(&question(&asked), "silicon in this set"))
            details {
                summary { "At another line" }
                form .quiet method="get" action="/silicon" {
                    (number("line", "Line volts at the outlet, as a meter shows them", asked.text("line"), &[]))
                    (send("Work it out so"))
                }
            }
        };
        plain::page(bench, "Silicon for selenium", "/silicon", main)
    })
    .await
}

async fn told(
    State(bench): State<Arc<Bench>>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Markup {
    let asked = Sent::of(asked);
    let question = question(&asked);
    later::answer(&bench, &question, move |bench, work| {
        let line = asked.number("line", "Line volts")?;
        Ok(all(&tell_silicon(bench.file(), line, work)?))
    })
    .await
}

fn all(view: &SiliconView) -> Markup {
    html! {
        p { "Line of today: " (volts(view.line_volts)) ", " (view.line_from) "." }
        @if view.groups.is_empty() { p { "This set has no selenium in its supply." } }
        @if let Ok(svg) = pictures::silicon::svg(view) { (picture(&svg, "B+ and heaters of each way of running the set")) }
        @for own in &view.groups { (group(own)) }
        @for own in &view.tubes { (against(own)) }
        h2 { "Mind" }
        (cautions(&view.cautions))
    }
}

fn volts(value: f64) -> String {
    format!("{value:.0} V")
}

fn group(own: &SeleniumGroupView) -> Markup {
    html! {
        h2 { (own.parts.join(", ")) ", " (own.circuit) }
        p { "The maker's set has " (volts(own.wanted_volts)) " at " (own.place) " on " (volts(own.makers_line_volts)) " of line, with good selenium." }
        @if let Some(resistor) = &own.resistor {
            p .lead { (own.diode) " with " b { (resistor.each_ohms) " ohm, " (resistor.rated_watts) " W" } ", in series with each rectifier." }
            p { (format!("{:.1}", resistor.each_watts)) " W of heat in each. The surge resistor and the fuse stay." }
            @if let (Some(ohms), Some(watts), true) = (resistor.common_ohms, resistor.common_watts, own.parts.len() > 1) {
                p { "Or one of " (ohms) " ohm in the common lead from the line, " (format!("{watts:.1}")) " W of heat: rated three times that." }
            }
            @if let Some(rule) = resistor.rule_ohms {
                p .hint { "Exactly " (format!("{:.1}", resistor.exact_ohms)) " ohm; the plain rule, difference of the drops over the current, would say "
                    (format!("{rule:.0}")) ": it knows neither today's line nor the pulses of the current." }
            }
        } @else if !own.diode.is_empty() { p .lead { (own.diode) " without a resistor." } }
        @if !own.bears.is_empty() { ul { @for line in &own.bears { li { (line) } } } }
        @if !own.notices.is_empty() { ul .notices { @for line in &own.notices { li { (line) } } } }
        (table("Ways of running the set", &["", "line", "B+", "heaters", "line current", "first surge"], &[1, 2, 3, 4, 5],
            &own.runs.iter().map(run).collect::<Vec<_>>()))
        @for run in own.runs.iter().filter(|run| !run.remarks.is_empty()) {
            details { summary { (run.name) } ul { @for line in &run.remarks { li { (line) } } } }
        }
        p { "After fitting: behind the lamp first, then measure B+ at the line of the day and correct the resistor by it." }
    }
}

fn run(own: &RunView) -> Vec<String> {
    let heaters = match (own.heaters_low_percent, own.heaters_high_percent) {
        (Some(low), Some(high)) if high - low >= 0.5 => format!("{low:.0} to {high:.0} %"),
        (Some(low), _) => format!("{low:.1} %"),
        _ => String::new(),
    };
    vec![
        own.name.clone(),
        volts(own.line_volts),
        volts(own.b_plus_volts),
        heaters,
        format!("{:.2} A", own.line_amps_rms),
        own.surge_amps
            .map_or_else(String::new, |own| format!("{own:.1} A")),
    ]
}

fn against(own: &TubeAgainstView) -> Markup {
    let mut rows = vec![
        vec![
            format!("{} running", own.place),
            volts(own.tube_volts),
            volts(own.silicon_volts),
        ],
        vec![
            "highest on a filter from switch-on".to_owned(),
            volts(own.tube_highest_volts),
            volts(own.silicon_highest_volts),
        ],
    ];
    rows.extend(own.exceeded.iter().map(|over| {
        vec![
            format!("{}, marked {}", over.part, volts(over.marked_volts)),
            String::new(),
            volts(over.volts),
        ]
    }));
    html! {
        h2 { (own.tube) " against silicon" }
        p { (own.says) "." }
        (table("At the top of the line", &["at the top of the line", "tube", "silicon"], &[1, 2], &rows))
    }
}
