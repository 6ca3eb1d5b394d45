//! Thermistors in heater strings and as inrush limiters.
//!
//! Ohms, milliamperes rms, kelvin, seconds. The modern limiters were read in
//! their sheet; for the parts of the period only a British one was, and the
//! general kind carries ratios instead of ohms. Unknown stays `None`.

use crate::fault::DataFault;
use crate::standing::Provenance;
use crate::table::{read_table, unique};

/// A thermistor whose resistance falls as it warms.
#[derive(Clone, Debug, PartialEq)]
pub struct ThermistorType {
    /// Its name in the table.
    pub name: String,
    /// Resistance at 25 C, ohms.
    pub cold_ohms: Option<f64>,
    /// Resistance at rated current, ohms.
    pub hot_ohms: Option<f64>,
    /// Highest steady current, milliamperes rms.
    pub rated_milliamperes: Option<f64>,
    /// Known resistances when settled: milliamperes and ohms, current rising.
    pub settled_points: Vec<(f64, f64)>,
    /// Constant of R = R25 exp(B (1/T - 1/298 K)), kelvin.
    pub b_kelvin: Option<f64>,
    /// Cold over hot resistance, where only the ratio is known.
    pub falls_by: Option<f64>,
    /// Thermal time constant in still air, seconds.
    pub time_constant_seconds: Option<f64>,
    /// Where the figures come from.
    pub provenance: Provenance,
}

impl ThermistorType {
    /// Cold over hot resistance, from the ohms or as stated.
    pub fn cold_over_hot(&self) -> Option<f64> {
        match (self.cold_ohms, self.hot_ohms) {
            (Some(cold), Some(hot)) => Some(cold / hot),
            _ => self.falls_by,
        }
    }
}

/// The row that stands for a heater-string thermistor of unknown type.
pub const GENERAL_HEATER_STRING: &str = "heater-string-general";

const HEADINGS: [&str; 15] = [
    "part",
    "cold_ohm",
    "hot_ohm",
    "rated_ma",
    "ohm_at_25_percent",
    "ohm_at_50_percent",
    "ohm_at_75_percent",
    "b_kelvin",
    "falls_by",
    "time_constant_s",
    "source",
    "standing",
    "read_fields",
    "doubt_fields",
    "notes",
];

/// Reads the table of thermistors.
pub(crate) fn read_thermistors(
    file: &str,
    text: &str,
    faults: &mut Vec<DataFault>,
) -> Vec<ThermistorType> {
    let rows = read_table(file, text, &HEADINGS, faults, |fields| {
        let name = fields.required("part");
        let cold_ohms = fields.number("cold_ohm", 0.5, 100_000.0);
        let hot_ohms = fields.number("hot_ohm", 0.01, 10_000.0);
        let rated = fields.number("rated_ma", 10.0, 50_000.0);
        let mut settled_points = Vec::new();
        for (column, share) in [
            ("ohm_at_25_percent", 0.25),
            ("ohm_at_50_percent", 0.5),
            ("ohm_at_75_percent", 0.75),
        ] {
            match (fields.number(column, 0.01, 10_000.0), rated) {
                (Some(ohms), Some(rated)) => settled_points.push((rated * share, ohms)),
                (Some(_), None) => fields.fault(column, "rated_ma is empty", "give the rating"),
                _ => {}
            }
        }
        if let (Some(hot), Some(rated)) = (hot_ohms, rated) {
            settled_points.push((rated, hot));
        }
        if settled_points.windows(2).any(|pair| match pair {
            [one, other] => other.1 >= one.1,
            _ => false,
        }) {
            fields.fault(
                "hot_ohm",
                "the ohms do not fall as the current rises",
                "check them",
            );
        }
        if let (Some(cold), Some(hot)) = (cold_ohms, hot_ohms)
            && hot >= cold
        {
            fields.fault("hot_ohm", "hot is not below cold", "exchange the two");
        }
        Some(ThermistorType {
            name,
            cold_ohms,
            hot_ohms,
            rated_milliamperes: rated,
            settled_points,
            b_kelvin: fields.number("b_kelvin", 1000.0, 8000.0),
            falls_by: fields.number("falls_by", 2.0, 1000.0),
            time_constant_seconds: fields.number("time_constant_s", 0.1, 1000.0),
            provenance: fields.provenance(),
        })
    });
    unique(file, rows, "part", |row| row.name.clone(), faults)
}
