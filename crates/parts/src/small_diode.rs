//! Small diodes without a heater: germanium detectors and selenium phase diodes.
//!
//! Volts, milliamperes, microamperes as named, at room temperature. The figures are
//! from memory of makers' sheets. A sheet gives the least forward current at 1 V and
//! the most reverse current; a common diode passes about twice as much forward and a
//! fraction back. A general row stands for a diode whose type is not known and says
//! that it is estimated. Fails only when the table is read.

use crate::fault::DataFault;
use crate::standing::Provenance;
use crate::table::{read_table, unique};

/// The row that stands for a germanium diode of unknown type.
pub const GENERAL_GERMANIUM_DIODE: &str = "germanium-general";

/// The row that stands for one half of a twin selenium phase diode.
pub const GENERAL_SELENIUM_DIODE: &str = "selenium-diode-general";

/// What a small diode is made of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum DiodeMaterial {
    /// Germanium with a point contact.
    Germanium,
    /// A small selenium plate.
    Selenium,
}

impl DiodeMaterial {
    const WORDS: [(&'static str, DiodeMaterial); 2] = [
        ("germanium", DiodeMaterial::Germanium),
        ("selenium", DiodeMaterial::Selenium),
    ];
}

/// A germanium detector or one half of a selenium phase diode.
#[derive(Clone, Debug, PartialEq)]
pub struct SmallDiodeType {
    /// Its type number or name.
    pub name: String,
    /// What it is made of.
    pub material: DiodeMaterial,
    /// Highest steady inverse volts.
    pub max_inverse_volts: Option<f64>,
    /// Inverse volts at which a new one breaks down at the earliest.
    pub peak_inverse_volts: Option<f64>,
    /// Rated average current, milliamperes.
    pub rated_milliamperes: Option<f64>,
    /// Least forward current of a new one at 1 V, milliamperes.
    pub forward_milliamperes_at_1_volt: Option<f64>,
    /// Most reverse current, microamperes.
    pub reverse_microamperes: Option<f64>,
    /// Volts at which that reverse current holds.
    pub reverse_volts: Option<f64>,
    /// What it was sold for.
    pub job: String,
    /// Where the figures come from.
    pub provenance: Provenance,
}

impl SmallDiodeType {
    /// Whether the row stands for diodes of unknown type instead of being one.
    pub fn is_general(&self) -> bool {
        [GENERAL_GERMANIUM_DIODE, GENERAL_SELENIUM_DIODE].contains(&self.name.as_str())
    }
}

const HEADINGS: [&str; 14] = [
    "part",
    "material",
    "max_inverse_v",
    "piv_v",
    "max_dc_ma",
    "forward_ma_at_1_v",
    "reverse_ua",
    "reverse_v_at",
    "job",
    "source",
    "standing",
    "read_fields",
    "doubt_fields",
    "notes",
];

/// Reads the table of small diodes.
pub(crate) fn read_small_diodes(
    file: &str,
    text: &str,
    faults: &mut Vec<DataFault>,
) -> Vec<SmallDiodeType> {
    let rows = read_table(file, text, &HEADINGS, faults, |fields| {
        let name = fields.required("part");
        if fields.text("material").is_none() {
            fields.fault("material", "empty, but needed", "germanium or selenium");
        }
        let material = fields.choice("material", &DiodeMaterial::WORDS);
        let max_inverse_volts = fields.number("max_inverse_v", 2.0, 500.0);
        let peak_inverse_volts = fields.number("piv_v", 2.0, 500.0);
        if let (Some(steady), Some(peak)) = (max_inverse_volts, peak_inverse_volts)
            && peak < steady
        {
            fields.fault(
                "piv_v",
                "the peak is below the steady inverse volts",
                "exchange the two",
            );
        }
        let reverse_microamperes = fields.number("reverse_ua", 0.01, 10_000.0);
        let reverse_volts = fields.number("reverse_v_at", 0.5, 500.0);
        if reverse_microamperes.is_some() != reverse_volts.is_some() {
            fields.fault(
                "reverse_v_at",
                "a reverse current and its volts go together",
                "fill in both or neither",
            );
        }
        let rated_milliamperes = fields.number("max_dc_ma", 0.1, 500.0);
        let forward_milliamperes_at_1_volt = fields.number("forward_ma_at_1_v", 0.05, 200.0);
        let provenance = fields.provenance();
        Some(SmallDiodeType {
            name,
            material: material?,
            max_inverse_volts,
            peak_inverse_volts,
            rated_milliamperes,
            forward_milliamperes_at_1_volt,
            reverse_microamperes,
            reverse_volts,
            job: fields.owned("job"),
            provenance,
        })
    });
    unique(file, rows, "part", |row| row.name.clone(), faults)
}
