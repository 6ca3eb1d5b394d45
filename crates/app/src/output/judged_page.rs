//! The lines under a reading: how it stands to its band, what it narrows, what to read next.
//!
//! Units as at the bench.

use benchwork::view::JudgedView;

use super::danger_part::stop;
use super::lists::{indented, table};
use benchwork::figures::figure;

/// The lines; `entry` is the number under which the reading is kept.
pub fn lines(judged: &JudgedView, entry: u64) -> String {
    let told =
        |value: Option<f64>| value.map_or_else(String::new, |value| figure(judged.what, value));
    let band = format!(
        "{} to {}, expected {}",
        told(judged.low),
        told(judged.high),
        told(judged.expected)
    );
    // Where the plug comes out first, nobody looks again with it in.
    let again = if judged.danger.is_some() {
        ""
    } else {
        " Look again."
    };
    let first = match judged.verdict {
        "inside" if judged.low.is_none() => "Inside: a healthy set reads open there.".to_owned(),
        "inside" => format!("Inside its band ({band})."),
        "low" if judged.low.is_none() => format!("LOW: a healthy set reads open there.{again}"),
        "low" => format!("LOW: nine of ten healthy sets read {band}.{again}"),
        "high" => format!("HIGH: nine of ten healthy sets read {band}.{again}"),
        _ => {
            let because = judged.because.trim_end_matches('.');
            let mark = if because.ends_with('?') { "" } else { "." };
            format!("Says nothing here: {because}{mark}")
        }
    };
    let mut page = String::new();
    if let Some(danger) = &judged.danger {
        page.push_str(&stop(danger));
    }
    page.push_str(&indented(&first, "", "  "));
    if let Some(meant) = &judged.meant_as {
        let value = figure(judged.what, meant.value);
        let (question, field) = match meant.kind {
            "leads_exchanged" => (
                format!("Were the leads exchanged? {value} would be inside."),
                format!("value = {value}"),
            ),
            "other_pin" => (
                format!("Was it {}? {value} would be inside there.", meant.at),
                format!("place = {}", meant.at),
            ),
            _ => (
                format!("Is it {value}? That would be inside."),
                format!("value = {value}"),
            ),
        };
        page.push_str(&indented(
            &format!(
                "{question} If so: `firstraster correct FILE {entry} \"{field}\"`; what was typed first stays in the file."
            ),
            "",
            "  ",
        ));
    }
    if !judged.narrows.is_empty() {
        page.push_str("\nIt narrows\n");
        let volts = |value: f64| figure("dc_volts", value);
        let rows = judged
            .narrows
            .iter()
            .map(|own| {
                vec![
                    own.at.clone(),
                    volts(own.before_low),
                    volts(own.before_high),
                    volts(own.low),
                    volts(own.high),
                ]
            })
            .collect();
        page.push_str(&table(
            &["at", "low before", "high before", "low", "high"],
            &[1, 2, 3, 4],
            rows,
        ));
    }
    if let Some(next) = &judged.next {
        let volts = |value: f64| figure("dc_volts", value);
        page.push_str(&indented(
            &format!(
                "Next: d.c. volts at {} ({} to {}): {}.",
                next.at,
                volts(next.low),
                volts(next.high),
                next.because
            ),
            "",
            "  ",
        ));
    }
    page
}
