//! Selenium stacks and silicon rectifiers.
//!
//! Volts, milliamperes, ohms, amperes as named. Selenium ratings are from
//! memory of makers' sheets; the drop is for a new stack: about 1 V a plate at
//! rated current. A stack whose size the table lacks is made up from the
//! single cell and says so. Fails only when the table is read.

use crate::fault::DataFault;
use crate::standing::{Provenance, Standing};
use crate::table::{read_table, unique};

/// A selenium stack, as new.
#[derive(Clone, Debug, PartialEq)]
pub struct SeleniumType {
    /// Its name in the table.
    pub name: String,
    /// Plates in series; `None` for the general row about aged stacks.
    pub plates: Option<u32>,
    /// Highest a.c. input, volts rms.
    pub max_input_volts_rms: Option<f64>,
    /// Highest inverse volts, peak.
    pub max_inverse_volts: Option<f64>,
    /// Rated d.c., milliamperes.
    pub rated_milliamperes: Option<f64>,
    /// Forward volts of the new stack, averaged over the conducting time.
    pub drop_volts: Option<f64>,
    /// D.c. at which that drop holds; `None` means at rated current.
    pub drop_milliamperes: Option<f64>,
    /// Usual surge resistor ahead of it, ohms.
    pub surge_ohms: Option<f64>,
    /// How it usually fails.
    pub usual_failures: String,
    /// Where the figures come from.
    pub provenance: Provenance,
}

impl SeleniumType {
    /// Forward volts of one plate when new; `None` when unknown.
    pub fn drop_volts_per_plate(&self) -> Option<f64> {
        Some(self.drop_volts? / f64::from(self.plates?))
    }
}

/// A silicon rectifier.
#[derive(Clone, Debug, PartialEq)]
pub struct SiliconType {
    /// Its type number or name.
    pub name: String,
    /// Highest repetitive inverse volts, peak.
    pub max_inverse_volts: Option<f64>,
    /// Highest reverse volts, rms of a sine.
    pub max_input_volts_rms: Option<f64>,
    /// Rated average current, milliamperes.
    pub rated_milliamperes: Option<f64>,
    /// One surge of 8.3 ms, amperes.
    pub surge_amperes: Option<f64>,
    /// Forward volts.
    pub drop_volts: Option<f64>,
    /// Current at which that drop holds, milliamperes.
    pub drop_milliamperes: Option<f64>,
    /// Reverse leakage at 25 C, microamperes.
    pub leakage_microamperes_at_25_c: Option<f64>,
    /// Reverse leakage at 100 C, microamperes.
    pub leakage_microamperes_at_100_c: Option<f64>,
    /// How it usually fails.
    pub usual_failures: String,
    /// Where the figures come from.
    pub provenance: Provenance,
}

const SELENIUM_HEADINGS: [&str; 14] = [
    "part",
    "plates",
    "max_input_v_rms",
    "piv_v",
    "max_dc_ma",
    "drop_v_at",
    "drop_ma_at",
    "surge_ohm",
    "usual_failures",
    "source",
    "standing",
    "read_fields",
    "doubt_fields",
    "notes",
];

const SILICON_HEADINGS: [&str; 15] = [
    "part",
    "piv_v",
    "max_input_v_rms",
    "max_dc_ma",
    "surge_a",
    "drop_v_at",
    "drop_ma_at",
    "leakage_ua_at_25_c",
    "leakage_ua_at_100_c",
    "usual_failures",
    "source",
    "standing",
    "read_fields",
    "doubt_fields",
    "notes",
];

/// Reads the table of selenium stacks.
pub(crate) fn read_selenium(
    file: &str,
    text: &str,
    faults: &mut Vec<DataFault>,
) -> Vec<SeleniumType> {
    let rows = read_table(file, text, &SELENIUM_HEADINGS, faults, |fields| {
        Some(SeleniumType {
            name: fields.required("part"),
            plates: fields.whole("plates", 1, 40),
            max_input_volts_rms: fields.number("max_input_v_rms", 5.0, 1000.0),
            max_inverse_volts: fields.number("piv_v", 10.0, 3000.0),
            rated_milliamperes: fields.number("max_dc_ma", 1.0, 5000.0),
            drop_volts: fields.number("drop_v_at", 0.3, 50.0),
            drop_milliamperes: fields.number("drop_ma_at", 1.0, 5000.0),
            surge_ohms: fields.number("surge_ohm", 0.5, 200.0),
            usual_failures: fields.owned("usual_failures"),
            provenance: fields.provenance(),
        })
    });
    unique(file, rows, "part", |row| row.name.clone(), faults)
}

/// Reads the table of silicon rectifiers.
pub(crate) fn read_silicon(
    file: &str,
    text: &str,
    faults: &mut Vec<DataFault>,
) -> Vec<SiliconType> {
    let rows = read_table(file, text, &SILICON_HEADINGS, faults, |fields| {
        Some(SiliconType {
            name: fields.required("part"),
            max_inverse_volts: fields.number("piv_v", 10.0, 5000.0),
            max_input_volts_rms: fields.number("max_input_v_rms", 5.0, 3000.0),
            rated_milliamperes: fields.number("max_dc_ma", 1.0, 20_000.0),
            surge_amperes: fields.number("surge_a", 1.0, 1000.0),
            drop_volts: fields.number("drop_v_at", 0.3, 5.0),
            drop_milliamperes: fields.number("drop_ma_at", 1.0, 20_000.0),
            leakage_microamperes_at_25_c: fields.number("leakage_ua_at_25_c", 0.0, 10_000.0),
            leakage_microamperes_at_100_c: fields.number("leakage_ua_at_100_c", 0.0, 10_000.0),
            usual_failures: fields.owned("usual_failures"),
            provenance: fields.provenance(),
        })
    });
    unique(file, rows, "part", |row| row.name.clone(), faults)
}

/// The stack of so many plates and that rating: the row of the table, or one
/// made up from the single cell and marked as estimated. Without a rating the
/// stack has no rated current. `None` for no plates or a rating that is no
/// positive number.
pub(crate) fn find_selenium(
    table: &[SeleniumType],
    plates: u32,
    rated_milliamperes: Option<f64>,
) -> Option<SeleniumType> {
    if plates == 0 || rated_milliamperes.is_some_and(|rated| !rated.is_finite() || rated <= 0.0) {
        return None;
    }
    let listed = table.iter().find(|row| {
        row.plates == Some(plates)
            && match (rated_milliamperes, row.rated_milliamperes) {
                (Some(asked), Some(listed)) => (asked - listed).abs() < 0.5,
                (None, None) => plates > 1,
                _ => false,
            }
    });
    if let Some(row) = listed {
        return Some(row.clone());
    }
    let cell = table.iter().find(|row| row.plates == Some(1))?;
    let times = |value: Option<f64>| value.map(|value| value * f64::from(plates));
    let near = rated_milliamperes.and_then(|rated| {
        table
            .iter()
            .filter_map(|row| Some((row.surge_ohms?, row.rated_milliamperes?)))
            .min_by(|one, other| {
                let off = |listed: f64| (listed / rated).ln().abs();
                off(one.1).total_cmp(&off(other.1))
            })
            .map(|(ohms, _)| ohms)
    });
    Some(SeleniumType {
        name: match rated_milliamperes {
            Some(rated) => format!("selenium-{plates}-plate-{rated}mA"),
            None => format!("selenium-{plates}-plate"),
        },
        plates: Some(plates),
        max_input_volts_rms: times(cell.max_input_volts_rms),
        max_inverse_volts: times(cell.max_inverse_volts),
        rated_milliamperes,
        drop_volts: times(cell.drop_volts),
        drop_milliamperes: rated_milliamperes,
        surge_ohms: near,
        usual_failures: cell.usual_failures.clone(),
        provenance: Provenance {
            source: cell.provenance.source.clone(),
            standing: Standing::Estimated,
            read_fields: Vec::new(),
            doubt_fields: vec![
                "max_input_v_rms".to_string(),
                "piv_v".to_string(),
                "drop_v_at".to_string(),
                "surge_ohm".to_string(),
            ],
            notes: format!("made up as {plates} times the single cell of the table"),
        },
    })
}
