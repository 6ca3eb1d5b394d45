//! Incandescent lamps used as a current limiter.
//!
//! Watts, volts, ohms, seconds. Hot ohms follow from the rating; cold ohms
//! were read for the 100 W lamp only and scaled for the others. A size that
//! the table lacks is made up by the same scaling and marked as estimated.
//! Range of that scaling: 5 to 500 W at 100 to 250 V; outside it, `None`.

use crate::fault::DataFault;
use crate::standing::{Provenance, Standing};
use crate::table::{read_table, unique};

/// An incandescent lamp.
#[derive(Clone, Debug, PartialEq)]
pub struct LampType {
    /// Its name in the table.
    pub name: String,
    /// Rated watts.
    pub watts: f64,
    /// Rated volts.
    pub volts: f64,
    /// Resistance at rated volts, ohms.
    pub hot_ohms: f64,
    /// Resistance in a room of about 20 C, ohms.
    pub cold_ohms: f64,
    /// Seconds until the current has settled when switched on at rated volts.
    /// This is a settling time, not a time constant.
    pub settle_seconds: Option<f64>,
    /// Where the figures come from.
    pub provenance: Provenance,
}

impl LampType {
    /// Rated amperes.
    pub fn amperes(&self) -> f64 {
        self.watts / self.volts
    }
}

const HEADINGS: [&str; 11] = [
    "part",
    "watts",
    "rated_v",
    "hot_ohm",
    "cold_ohm",
    "settle_s",
    "source",
    "standing",
    "read_fields",
    "doubt_fields",
    "notes",
];

/// Reads the table of lamps, smallest first.
pub(crate) fn read_lamps(file: &str, text: &str, faults: &mut Vec<DataFault>) -> Vec<LampType> {
    let rows = read_table(file, text, &HEADINGS, faults, |fields| {
        let lamp = LampType {
            name: fields.required("part"),
            watts: fields.required_number("watts", 1.0, 1000.0),
            volts: fields.required_number("rated_v", 1.0, 300.0),
            hot_ohms: fields.required_number("hot_ohm", 1.0, 20_000.0),
            cold_ohms: fields.required_number("cold_ohm", 0.1, 2000.0),
            settle_seconds: fields.number("settle_s", 0.001, 5.0),
            provenance: fields.provenance(),
        };
        let by_rating = lamp.volts * lamp.volts / lamp.watts;
        if fields.faults.is_empty() && (lamp.hot_ohms / by_rating - 1.0).abs() > 0.02 {
            fields.fault(
                "hot_ohm",
                format!(
                    "{} read, {by_rating:.1} expected from the rating",
                    lamp.hot_ohms
                ),
                "volts squared over watts",
            );
        }
        Some(lamp)
    });
    let mut lamps = unique(file, rows, "part", |lamp| lamp.name.clone(), faults);
    lamps.sort_by(|one, other| one.watts.total_cmp(&other.watts));
    lamps
}

/// A lamp of any usual rating: the listed one, or the 100 W lamp scaled. Cold
/// over hot stays; the settling time goes with the filament's diameter, that
/// is with the 2/3 power of the current at rated volts. `None` outside 5 to
/// 500 W and 100 to 250 V.
pub(crate) fn lamp_of_rating(lamps: &[LampType], watts: f64, volts: f64) -> Option<LampType> {
    let listed = lamps
        .iter()
        .find(|lamp| (lamp.watts - watts).abs() < 1e-6 && (lamp.volts - volts).abs() < 1e-6);
    if let Some(lamp) = listed {
        return Some(lamp.clone());
    }
    if !(5.0..=500.0).contains(&watts) || !(100.0..=250.0).contains(&volts) {
        return None;
    }
    let model = lamps.iter().find(|lamp| lamp.watts == 100.0)?;
    let hot_ohms = volts * volts / watts;
    let current_ratio = (watts / volts) / model.amperes();
    Some(LampType {
        name: format!("lamp-{watts}W-{volts}V"),
        watts,
        volts,
        hot_ohms,
        cold_ohms: hot_ohms * model.cold_ohms / model.hot_ohms,
        settle_seconds: model
            .settle_seconds
            .map(|seconds| seconds * current_ratio.powf(2.0 / 3.0)),
        provenance: Provenance {
            source: model.provenance.source.clone(),
            standing: Standing::Estimated,
            read_fields: Vec::new(),
            doubt_fields: vec!["cold_ohm".to_string(), "settle_s".to_string()],
            notes: "scaled from the 100 W 120 V lamp of the table".to_string(),
        },
    })
}
