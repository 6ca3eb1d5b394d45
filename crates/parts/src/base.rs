//! Tube bases: how many pins each has and where they stand, from `data/bases.csv`.
//!
//! Angles are in degrees, seen from below (the side of the pins), clockwise
//! from the mark at the bottom: key, gap or pair of thick pins. Source: the
//! published outlines of the trade, in which pins stand at even steps with one
//! mark; where the true steps are uneven or judged, the row names its pitch as
//! doubtful. A base is found by its name or another usual writing, ignoring
//! case. An unknown base is `None`; nothing is assumed about its pins.

use crate::fault::DataFault;
use crate::table::{read_table, unique};

/// A tube base.
#[derive(Clone, Debug, PartialEq)]
pub struct Base {
    /// The name used in the tables.
    pub name: String,
    /// Places for pins, counted from 1; not all need be fitted.
    pub pin_count: u8,
    /// Degrees from one pin to the next.
    pub pitch_degrees: f64,
    /// Degrees from the mark to pin 1, clockwise seen from below.
    pub first_pin_degrees: f64,
    /// What tells where the counting begins.
    pub mark: BaseMark,
    /// Whether the steps between pins are doubtful; the order of pins is not.
    pub steps_are_doubtful: bool,
    /// Other writings of the name.
    pub also_written: Vec<String>,
    /// What it is.
    pub meaning: String,
    /// Remarks on the outline; may be empty.
    pub notes: String,
}

/// What tells where the counting of pins begins.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BaseMark {
    /// A key on the post, between the last pin and the first.
    Key,
    /// A place left out between the last pin and the first.
    Gap,
    /// The first pin and the last are thicker than the others.
    ThickPins,
    /// No mark of its own.
    None,
}

impl BaseMark {
    const WORDS: [(&'static str, BaseMark); 4] = [
        ("key", BaseMark::Key),
        ("gap", BaseMark::Gap),
        ("thick pins", BaseMark::ThickPins),
        ("none", BaseMark::None),
    ];

    /// The word of the table.
    pub fn word(self) -> &'static str {
        Self::WORDS
            .iter()
            .find(|(_, mark)| *mark == self)
            .map_or("none", |(word, _)| word)
    }
}

impl Base {
    /// Where the pin stands: degrees clockwise from the mark at the bottom,
    /// seen from below. `None` for a pin that the base has not.
    pub fn pin_degrees(&self, pin: u8) -> Option<f64> {
        let steps = pin.checked_sub(1)?;
        (pin <= self.pin_count)
            .then(|| self.first_pin_degrees + f64::from(steps) * self.pitch_degrees)
    }
}

const HEADINGS: [&str; 11] = [
    "base",
    "pin_count",
    "pitch_deg",
    "first_pin_deg",
    "mark",
    "also_written",
    "meaning",
    "source",
    "standing",
    "doubt_fields",
    "notes",
];

/// Reads the table of bases.
pub(crate) fn read_bases(file: &str, text: &str, faults: &mut Vec<DataFault>) -> Vec<Base> {
    let rows = read_table(file, text, &HEADINGS, faults, |fields| {
        let provenance = fields.provenance();
        let name = fields.required("base");
        let pin_count = fields.required_number("pin_count", 2.0, 20.0) as u8;
        let pitch_degrees = fields.required_number("pitch_deg", 10.0, 120.0);
        let first_pin_degrees = fields.required_number("first_pin_deg", 5.0, 90.0);
        let last = first_pin_degrees + f64::from(pin_count.saturating_sub(1)) * pitch_degrees;
        if last > 355.0 {
            fields.fault(
                "pitch_deg",
                format!("the last pin stands at {last:.0} degrees, past the first"),
                "check pitch, first pin and count",
            );
        }
        let mark = fields.choice("mark", &BaseMark::WORDS);
        if mark.is_none() {
            fields.required("mark");
        }
        Some(Base {
            name,
            pin_count,
            pitch_degrees,
            first_pin_degrees,
            mark: mark.unwrap_or(BaseMark::None),
            steps_are_doubtful: provenance.is_doubtful("pitch_deg"),
            also_written: fields.list("also_written"),
            meaning: fields.required("meaning"),
            notes: provenance.notes,
        })
    });
    unique(file, rows, "base", |base| base.name.clone(), faults)
}

/// The base of that name or other writing.
pub(crate) fn find_base<'a>(bases: &'a [Base], name: &str) -> Option<&'a Base> {
    let asked = name.trim();
    bases.iter().find(|base| {
        base.name.eq_ignore_ascii_case(asked)
            || base
                .also_written
                .iter()
                .any(|other| other.eq_ignore_ascii_case(asked))
    })
}
