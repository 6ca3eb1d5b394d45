//! A possible slip in plain words.
//!
//! Units as at the bench. Nothing here fails.

use quantity::{Unit, bench};

use crate::reading::What;

use super::rows::ChartRow;
use super::slips::{End, SlipChange};

/// A figure of the chart as it is said at the bench.
pub(super) fn figure(what: What, value: f64) -> String {
    let unit = if what == What::Ohms {
        Unit::Ohms
    } else {
        Unit::Volts
    };
    bench(value, unit)
}

/// The change as a sentence.
pub(super) fn sentence(change: &SlipChange, or_at: &[String], rows: &[ChartRow]) -> String {
    let at = |row: usize| rows.get(row).map_or("?", |row| row.at.as_str());
    match change {
        SlipChange::Figure { row, would_be } => {
            let Some(row) = rows.get(*row) else {
                return String::new();
            };
            format!(
                "the chart's {} at {} (line {}) would be right as {}",
                figure(row.what, row.charted),
                row.at,
                row.line,
                figure(row.what, *would_be)
            )
        }
        SlipChange::FiguresExchanged { one, other } => format!(
            "the chart's figures at {} and {} (lines {} and {}) would be right in each other's place",
            at(*one),
            at(*other),
            rows.get(*one).map_or(0, |row| row.line),
            rows.get(*other).map_or(0, |row| row.line),
        ),
        SlipChange::PartOhms {
            reference,
            line,
            written,
            would_be,
        } => format!(
            "{reference} (line {line}) is written as {}: as {} it would be right",
            bench(*written, Unit::Ohms),
            bench(*would_be, Unit::Ohms)
        ),
        SlipChange::PartEnd {
            reference,
            line,
            end,
            written,
            would_be,
        } => {
            let or_at = if or_at.is_empty() {
                String::new()
            } else {
                format!(" (or at {})", or_at.join(", "))
            };
            format!(
                "{reference} (line {line}) has its {} at {written}: at {would_be} it would be right{or_at}",
                match end {
                    End::From => "first end",
                    End::To => "second end",
                    End::Third => "wiper or tap",
                }
            )
        }
        SlipChange::PinsExchanged {
            tube,
            one,
            other,
            lines,
        } => {
            let lines: Vec<String> = lines.iter().map(ToString::to_string).collect();
            format!(
                "the parts at {tube}.{one} and {tube}.{other} (lines {}) would be right on each other's pin",
                lines.join(", ")
            )
        }
    }
}
