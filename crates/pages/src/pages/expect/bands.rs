//! Readings with their bands, one table for each kind; what cannot be told with its reason.
//!
//! Units as on the bench. Nothing here fails.

use benchwork::figures::{KINDS, figure, percent, sentence};
use benchwork::reading_rows::{by_other_lead, is_nothing, merged, named, reasons};
use benchwork::view::{ExpectationView, ReadingView};
use maud::{Markup, html};

use crate::pages::plain::{folded, table};
use crate::pieces::notices;

/// The kinds that stand open.
const READ_FIRST: [&str; 6] = [
    "line_watts",
    "line_amps_rms",
    "lamp_volts_rms",
    "heater_volts_rms",
    "dc_volts",
    "ohms",
];

/// All readings.
pub fn readings(view: &ExpectationView) -> Markup {
    html! {
        p { (sentence(&view.conditions.in_words())) "." @if view.conditions.bands { " Nine of ten healthy sets lie between low and high." } }
        (notices(&view.notices))
        @for kind in KINDS {
            @let own: Vec<&ReadingView> = view.readings.iter().filter(|own| own.what == kind.what).collect();
            @for (to, own) in by_other_lead(&own) {
                @let head = match to { Some(to) => format!("{}, to {to}", kind.heading), None => kind.heading.to_owned() };
                details open[READ_FIRST.contains(&kind.what)] {
                    summary { (head) }
                    (one(&head, &own))
                }
            }
        }
        (folded("Not predictable", &reasons(&view.unknown).iter().map(|(because, places)| {
            let names: Vec<String> = places.iter().map(|(at, kinds)| named(at, kinds)).collect();
            format!("{}: {because}", names.join(", "))
        }).collect::<Vec<_>>()))
    }
}

/// A table of readings of one kind.
fn one(head: &str, own: &[&ReadingView]) -> Markup {
    let rows: Vec<Vec<String>> = merged(own)
        .into_iter()
        .map(|(names, reading)| {
            let lead = reading.lead.map(|sign| format!(" ({sign} lead)"));
            let told = |value: f64| figure(reading.what, value);
            let cause = reading.made_of.first().filter(|_| !is_nothing(reading));
            vec![
                names.join(", ") + &lead.unwrap_or_default(),
                told(reading.low),
                told(reading.expected),
                told(reading.high),
                cause.map_or_else(String::new, |share| {
                    format!("{} {}", share.cause, percent(share.share))
                }),
            ]
        })
        .collect();
    let heads = ["at", "low", "expected", "high", "width mostly from"];
    table(head, &heads, &[1, 2, 3], &rows)
}
