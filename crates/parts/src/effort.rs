//! What measurements cost: minutes at the bench, and how much danger weighs.
//!
//! Minutes; danger is a factor of at least 1 by which they count more. Source:
//! `data/efforts.csv`, all of it judgement upon common practice; a restorer may write a table of
//! the same form with his own figures. A table at fault gives every fault at once.

use std::sync::OnceLock;

use crate::fault::DataFault;
use crate::standing::Standing;
use crate::table::{read_table, unique};

/// What one kind of measurement costs.
#[derive(Clone, Debug, PartialEq)]
pub struct Effort {
    /// Its short name, such as `dc-volts`.
    pub measurement: String,
    /// In words.
    pub what: String,
    /// Minutes at the bench.
    pub minutes: f64,
    /// Factor by which they count more for the danger; at least 1.
    pub danger: f64,
    /// The source in words.
    pub source: String,
    /// How far to trust the row.
    pub standing: Standing,
    /// What else there is to say; may be empty.
    pub notes: String,
}

impl Effort {
    /// Minutes with the danger in them.
    pub fn weight(&self) -> f64 {
        self.minutes * self.danger
    }
}

/// Every kind of measurement that has a row.
pub const MEASUREMENTS: [&str; 22] = [
    "dc-volts",
    "ripple-volts",
    "ac-volts",
    "line-watts",
    "heater-volts",
    "ohms",
    "line",
    "lamp",
    "pull-tube",
    "open-part",
    "part-ohms",
    "part-leakage",
    "part-capacitance",
    "loose-end",
    "capacitor-bridge",
    "capacitor-exchange",
    "tube-exchange",
    "tube-tester",
    "signal",
    "signal-watched",
    "glow",
    "part-in-place",
];

const HEADINGS: [&str; 7] = [
    "measurement",
    "what",
    "minutes",
    "danger",
    "source",
    "standing",
    "notes",
];

/// The rows of `data/efforts.csv`.
///
/// # Errors
/// Every fault of the table.
pub fn efforts() -> Result<&'static [Effort], &'static [DataFault]> {
    static READ: OnceLock<Result<Vec<Effort>, Vec<DataFault>>> = OnceLock::new();
    READ.get_or_init(|| read_efforts("efforts.csv", include_str!("../../../data/efforts.csv")))
        .as_ref()
        .map(Vec::as_slice)
        .map_err(Vec::as_slice)
}

/// Reads a table of the same form; each measurement of [`MEASUREMENTS`] has one row.
///
/// # Errors
/// Every fault of the table, with line and column.
pub fn read_efforts(file: &str, text: &str) -> Result<Vec<Effort>, Vec<DataFault>> {
    let mut faults = Vec::new();
    let rows = read_table(file, text, &HEADINGS, &mut faults, |fields| {
        let words = MEASUREMENTS.map(|own| (own, own));
        let measurement = fields.choice("measurement", &words);
        if fields.text("measurement").is_none() {
            fields.required("measurement");
        }
        Some(Effort {
            measurement: measurement.unwrap_or_default().to_string(),
            what: fields.required("what"),
            minutes: fields.required_number("minutes", 0.1, 600.0),
            danger: fields.required_number("danger", 1.0, 100.0),
            source: fields.required("source"),
            standing: fields.provenance().standing,
            notes: fields.owned("notes"),
        })
    });
    let rows = unique(
        file,
        rows,
        "measurement",
        |row| row.measurement.clone(),
        &mut faults,
    );
    if faults.is_empty() {
        for own in MEASUREMENTS {
            if rows.iter().all(|row| row.measurement != own) {
                faults.push(DataFault {
                    file: file.to_string(),
                    line: 1,
                    column: "measurement".to_string(),
                    text: format!("no row for {own}"),
                    hint: "add one, with its minutes and its danger".to_string(),
                });
            }
        }
    }
    if faults.is_empty() {
        Ok(rows)
    } else {
        Err(faults)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_part_cut_loose_costs_more_than_a_reading() {
        let rows = efforts().expect("sound");
        let weight = |name: &str| {
            let own = rows.iter().find(|row| row.measurement == name);
            own.map_or(f64::NAN, Effort::weight)
        };
        assert_eq!(rows.len(), MEASUREMENTS.len());
        assert!(weight("part-ohms") > 3.0 * weight("dc-volts"));
        assert!(weight("part-ohms") > 3.0 * weight("part-in-place"));
        assert!(weight("part-leakage") > weight("part-ohms"));
    }

    #[test]
    fn all_faults_of_an_own_table_come_at_once() {
        let own = include_str!("../../../data/efforts.csv");
        let text = own
            .replacen(
                "dc-volts,direct volts at a place with the set on,1,1.5",
                "dc-volts,volts,0,0.5",
                1,
            )
            .replacen("tube-tester", "tube-checker", 1);
        let faults = read_efforts("mine.csv", &text).expect_err("faults");
        let places: Vec<(u64, &str)> = faults
            .iter()
            .map(|fault| (fault.line, fault.column.as_str()))
            .collect();
        assert_eq!(places, [(2, "minutes"), (2, "danger"), (19, "measurement")]);
        let short: Vec<&str> = own.lines().take(18).collect();
        let faults = read_efforts("mine.csv", &short.join("\n")).expect_err("faults");
        assert!(faults[0].text.contains("tube-tester"), "{faults:?}");
    }
}
