//! Neon lamps.
//!
//! Volts d.c., milliamperes, ohms. The figures are from memory of makers' lists: the
//! volts at which a common lamp strikes, the most that a new one may want, and what it
//! holds while it burns. A lamp strikes higher in the dark and after years of use.
//! Unknown stays `None`. Fails only when the table is read.

use crate::fault::DataFault;
use crate::standing::Provenance;
use crate::table::{read_table, unique};

/// A neon lamp.
#[derive(Clone, Debug, PartialEq)]
pub struct NeonLampType {
    /// Its type number.
    pub name: String,
    /// D.c. volts at which a common one strikes.
    pub strike_volts: Option<f64>,
    /// D.c. volts at which any new one has struck.
    pub strike_max_volts: Option<f64>,
    /// D.c. volts that it holds while it burns.
    pub burning_volts: Option<f64>,
    /// Current it is made for, milliamperes.
    pub burning_milliamperes: Option<f64>,
    /// Resistor inside its base, ohms; `None` where it has none or this is not known.
    pub base_ohms: Option<f64>,
    /// Usual resistor outside it on a line of 105 to 125 V, ohms.
    pub line_series_ohms: Option<f64>,
    /// Its base.
    pub base: String,
    /// Where the figures come from.
    pub provenance: Provenance,
}

const HEADINGS: [&str; 13] = [
    "part",
    "strike_v",
    "strike_max_v",
    "burning_v",
    "burning_ma",
    "base_ohm",
    "line_series_ohm",
    "base",
    "source",
    "standing",
    "read_fields",
    "doubt_fields",
    "notes",
];

/// Reads the table of neon lamps.
pub(crate) fn read_neon_lamps(
    file: &str,
    text: &str,
    faults: &mut Vec<DataFault>,
) -> Vec<NeonLampType> {
    let rows = read_table(file, text, &HEADINGS, faults, |fields| {
        let name = fields.required("part");
        let strike_volts = fields.number("strike_v", 40.0, 500.0);
        let strike_max_volts = fields.number("strike_max_v", 40.0, 500.0);
        let burning_volts = fields.number("burning_v", 30.0, 400.0);
        if let (Some(usual), Some(most)) = (strike_volts, strike_max_volts)
            && most < usual
        {
            fields.fault(
                "strike_max_v",
                "the highest striking volts are below the usual ones",
                "exchange the two",
            );
        }
        if let (Some(strike), Some(burning)) = (strike_volts, burning_volts)
            && burning >= strike
        {
            fields.fault(
                "burning_v",
                "a lamp burns at fewer volts than it strikes at",
                "exchange the two",
            );
        }
        Some(NeonLampType {
            name,
            strike_volts,
            strike_max_volts,
            burning_volts,
            burning_milliamperes: fields.number("burning_ma", 0.01, 50.0),
            base_ohms: fields.number("base_ohm", 100.0, 1e6),
            line_series_ohms: fields.number("line_series_ohm", 100.0, 1e7),
            base: fields.owned("base"),
            provenance: fields.provenance(),
        })
    });
    unique(file, rows, "part", |row| row.name.clone(), faults)
}
