//! The page of `expect` and `ohms`: one table for each kind of reading.
//!
//! A junction known under several names stands in one row with all of them. What
//! cannot be told stands below with its reason, never as a number.

use benchwork::view::{ExpectationView, ReadingView, UnknownView};

use super::lists::{heading, indented, paragraph, sentence, table, title};
use super::trouble_page::notices;
use benchwork::figures::{KINDS, figure, percent};
use benchwork::reading_rows::{by_other_lead, is_nothing, merged, named, reasons};

/// How much of the answer is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Extent {
    /// All of it.
    Whole,
    /// What a restorer reads first, and how much more there is.
    Short,
}

/// The kinds of reading in a short page.
const READ_FIRST: &[&str] = &[
    "line_watts",
    "line_amps_rms",
    "lamp_volts_rms",
    "heater_volts_rms",
    "dc_volts",
    "ohms",
];

/// The reasons in a short page.
const REASONS_FIRST: usize = 4;

/// The whole page.
pub fn page(name: &str, view: &ExpectationView, extent: Extent) -> String {
    let mut page = title(name);
    let bands = if view.conditions.bands {
        " Nine of ten healthy sets lie between low and high."
    } else {
        ""
    };
    page.push_str(&paragraph(&format!(
        "{}.{bands}",
        sentence(&view.conditions.in_words())
    )));
    page.push('\n');
    page.push_str(&tables(&view.readings, view.conditions.bands, extent));
    page.push_str(&not_predictable(&view.unknown, extent));
    if !view.notices.is_empty() {
        page.push_str(&heading("Worth knowing"));
        page.push_str(&notices(&view.notices));
    }
    page
}

/// One table for each kind of reading, in the order in which a restorer looks.
fn tables(readings: &[ReadingView], bands: bool, extent: Extent) -> String {
    let mut page = String::new();
    let mut kept_back = 0;
    for kind in KINDS {
        let of_kind: Vec<&ReadingView> = readings
            .iter()
            .filter(|reading| reading.what == kind.what)
            .collect();
        if extent == Extent::Short && !READ_FIRST.contains(&kind.what) {
            kept_back += of_kind.len();
            continue;
        }
        for (to, readings) in by_other_lead(&of_kind) {
            let to = to.map(|to| format!(", to {to}")).unwrap_or_default();
            page.push_str(&heading(&format!("{}{to}", kind.heading)));
            let rows = merged(&readings)
                .into_iter()
                .map(|(names, reading)| row(names, reading, bands))
                .collect();
            page.push_str(&if bands {
                table(
                    &["at", "low", "expected", "high", "width mostly from"],
                    &[1, 2, 3],
                    rows,
                )
            } else {
                table(&["at", "expected"], &[1], rows)
            });
            page.push('\n');
        }
    }
    if kept_back > 0 {
        page.push_str(&paragraph(&format!(
            "({kept_back} more readings are told: ripple, currents, and the heat in each part.)"
        )));
        page.push('\n');
    }
    page
}

/// What cannot be told, the same reason said once.
pub fn not_predictable(unknown: &[UnknownView], extent: Extent) -> String {
    if unknown.is_empty() {
        return String::new();
    }
    let reasons = reasons(unknown);
    let shown = if extent == Extent::Short {
        REASONS_FIRST
    } else {
        reasons.len()
    };
    let mut page = heading("Not predictable");
    for (because, names) in reasons.iter().take(shown) {
        let names: Vec<String> = names.iter().map(|(at, kinds)| named(at, kinds)).collect();
        page.push_str(&indented(
            &format!("{}: {because}", names.join(", ")),
            "  - ",
            "    ",
        ));
    }
    if reasons.len() > shown {
        let more: usize = reasons
            .iter()
            .skip(shown)
            .map(|(_, names)| names.len())
            .sum();
        page.push_str(&indented(
            &format!("and {more} more places and parts, each with its reason"),
            "  - ",
            "    ",
        ));
    }
    page.push('\n');
    page
}

fn row(names: Vec<&str>, reading: &ReadingView, bands: bool) -> Vec<String> {
    let lead = reading.lead.map(|sign| format!(" ({sign} lead)"));
    let mut cells = vec![names.join(", ") + &lead.unwrap_or_default()];
    if bands {
        cells.extend(
            [reading.low, reading.expected, reading.high].map(|value| figure(reading.what, value)),
        );
        let cause = reading.made_of.first().filter(|_| !is_nothing(reading));
        cells.push(
            cause
                .map(|share| format!("{} {}", share.cause, percent(share.share)))
                .unwrap_or_default(),
        );
    } else {
        cells.push(figure(reading.what, reading.expected));
    }
    cells
}

#[cfg(test)]
mod tests {
    use super::*;
    use benchwork::view::ShareView;

    fn volts(at: &str, expected: f64) -> ReadingView {
        ReadingView {
            at: at.to_owned(),
            to: Some("chassis".to_owned()),
            what: "dc_volts",
            lead: None,
            low: expected - 10.0,
            expected,
            high: expected + 10.0,
            made_of: vec![ShareView {
                cause: "the line".to_owned(),
                share: 0.6,
            }],
        }
    }

    #[test]
    fn one_junction_stands_in_one_row() {
        let page = tables(
            &[
                volts("B+ main", 345.0),
                volts("V9.5", 140.0),
                volts("R30", 345.0),
            ],
            true,
            Extent::Whole,
        );
        assert!(page.contains("B+ main, R30"), "{page}");
        assert_eq!(page.matches("345 V").count(), 1, "{page}");
        assert!(page.contains("the line 60 %"), "{page}");
    }

    #[test]
    fn both_leads_of_an_ohmmeter_stand_apart() {
        let ohms = |at: &str, lead| ReadingView {
            what: "ohms",
            lead,
            ..volts(at, 4700.0)
        };
        let page = tables(
            &[
                ohms("top", Some("+")),
                ohms("V1.1", Some("+")),
                ohms("top", Some("-")),
                ohms("other", None),
            ],
            true,
            Extent::Whole,
        );
        assert!(page.contains("top, V1.1 (+ lead)"), "{page}");
        assert!(page.contains("top (- lead)"), "{page}");
        assert!(page.contains("\n other  "), "{page}");
    }

    #[test]
    fn without_bands_there_is_one_figure() {
        let page = tables(&[volts("B+ main", 345.0)], false, Extent::Whole);
        assert!(page.contains("345 V") && !page.contains("335 V"), "{page}");
    }

    #[test]
    fn the_same_reason_is_said_once() {
        let unknown = |at: &str| UnknownView {
            at: at.to_owned(),
            what: "dc_volts",
            because: "nothing feeds it".to_owned(),
        };
        let page = not_predictable(&[unknown("V9.1"), unknown("V9.2")], Extent::Whole);
        assert_eq!(page.matches("nothing feeds it").count(), 1, "{page}");
    }
}
