//! A sheet that has been read and holds no fault: what the restorer knows about one set.
//!
//! Units: SI (volts rms for windings and line, ohms, amperes, watts), lines of
//! the text from 1. Source: the sheet alone, with tube types from the catalogue
//! or from the sheet's own descriptions. What the sheet does not say is `None`.

use std::collections::HashSet;

use parts::TubeType;

use super::part_kind::PartValue;
use super::place::Place;
use crate::conditions::Meter;

/// One television set, as its sheet tells it.
#[derive(Debug, Clone)]
pub struct Sheet {
    /// Name of the set; empty if the sheet gives none.
    pub name: String,
    /// Year of make.
    pub made: Option<u16>,
    /// Line volts rms at which the maker's figures hold.
    pub line_volts: f64,
    /// Frequency of the line.
    pub line_hertz: f64,
    /// The tubes, in the order of the sheet.
    pub tubes: Vec<SheetTube>,
    /// The windings of its transformers.
    pub windings: Vec<SheetWinding>,
    /// Every other part.
    pub parts: Vec<SheetPart>,
    /// How the heaters are fed.
    pub heaters: Vec<HeaterRow>,
    /// The maker's own readings.
    pub chart: Option<Chart>,
    /// What the restorer has on the bench.
    pub bench: Option<Bench>,
    /// What has been replaced, measured, cut loose.
    pub state: State,
    /// Whether the sheet has a `[state]` at all.
    pub state_given: bool,
}

/// A tube and its type.
#[derive(Debug, Clone)]
pub struct SheetTube {
    /// Reference, "V9".
    pub reference: String,
    /// Its type, from the catalogue or from the sheet's own description; a tapped heater is rated
    /// as the set feeds it.
    pub kind: TubeType,
    /// What it does; empty if the sheet does not say.
    pub job: String,
    /// Line of its row.
    pub line: usize,
}

/// One winding of a transformer.
#[derive(Debug, Clone, PartialEq)]
pub struct SheetWinding {
    /// Reference of the transformer, "T1".
    pub transformer: String,
    /// Name of the winding, "plates 1".
    pub name: String,
    /// Volts rms, transformer unloaded, at the sheet's line volts.
    pub volts: Option<f64>,
    /// Ohms of its copper.
    pub ohms: Option<f64>,
    /// Rated current.
    pub rated_amperes: Option<f64>,
    /// Current of the unloaded transformer, at this winding.
    pub idle_amperes: Option<f64>,
    /// Watts of the unloaded transformer.
    pub idle_watts: Option<f64>,
    /// The end that swings together with the other windings' starts.
    pub start: Place,
    /// The other end.
    pub end: Place,
    /// Line of its row.
    pub line: usize,
}

/// A part between places.
#[derive(Debug, Clone, PartialEq)]
pub struct SheetPart {
    /// Reference, "R31".
    pub reference: String,
    /// Its kind and value.
    pub value: PartValue,
    /// One end; + of an electrolytic, a.c. end of a metal rectifier.
    pub from: Place,
    /// The other end.
    pub to: Place,
    /// Wiper or tap.
    pub third: Option<Place>,
    /// Line of its row.
    pub line: usize,
}

/// How the heaters of a row share their feed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum HeaterArrangement {
    /// Each across the feed.
    Parallel,
    /// One after the other, in the order of the row.
    Series,
}

/// One row of `heaters`.
#[derive(Debug, Clone, PartialEq)]
pub struct HeaterRow {
    /// One end of the feed.
    pub from: Place,
    /// The other end.
    pub to: Place,
    /// Parallel or series.
    pub arrangement: HeaterArrangement,
    /// References of the tubes, as their rows spell them; in a string, from `from` to `to`.
    pub tubes: Vec<String>,
    /// Line of the row.
    pub line: usize,
}

/// The maker's own readings and how he took them.
#[derive(Debug, Clone, PartialEq)]
pub struct Chart {
    /// Line volts during the readings; `None` means the sheet's.
    pub line_volts: Option<f64>,
    /// The meter, as far as its words could be read.
    pub meter: Option<Meter>,
    /// The words about the meter.
    pub meter_text: String,
    /// Signal and controls during the readings.
    pub conditions: String,
    /// Readings in volts, d.c.
    pub volts: Vec<ChartReading>,
    /// Readings in ohms, cold and unplugged; infinity where the maker found the place open.
    pub ohms: Vec<ChartReading>,
}

/// One reading of the maker's chart.
#[derive(Debug, Clone, PartialEq)]
pub struct ChartReading {
    /// Where the one lead was.
    pub at: Place,
    /// Where the other was.
    pub to: Place,
    /// Volts or ohms.
    pub value: f64,
    /// Line of its row.
    pub line: usize,
}

/// What the restorer has on the bench.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Bench {
    /// Incandescent lamps, each by its watts at 120 V.
    pub lamps: Vec<f64>,
    /// Volt-amperes of an isolation transformer.
    pub isolation_volt_amperes: Option<f64>,
    /// Whether there is a variable transformer; `None` if the sheet does not say.
    pub variable_transformer: Option<bool>,
    /// The meters.
    pub meters: Vec<BenchMeter>,
    /// Line volts rms at the outlet, as measured.
    pub line_volts: Option<f64>,
    /// A separate d.c. source for re-forming and leakage.
    pub dc_source: Option<DcSource>,
}

/// A meter of the bench.
#[derive(Debug, Clone, PartialEq)]
pub struct BenchMeter {
    /// As the sheet writes it.
    pub text: String,
    /// What it puts across a place.
    pub meter: Meter,
}

/// A separate d.c. source.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DcSource {
    /// Lowest volts.
    pub low_volts: f64,
    /// Highest volts.
    pub high_volts: f64,
    /// Highest current, if told.
    pub amperes: Option<f64>,
}

/// What has been done to the set and measured on it. References are spelled as their rows do.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct State {
    /// Replaced by new parts.
    pub replaced: Vec<String>,
    /// Electrolytics that were re-formed.
    pub re_formed: Vec<String>,
    /// One end lifted or cut.
    pub cut_loose: Vec<String>,
    /// Known to be as the maker fitted them.
    pub original: Vec<String>,
    /// Measured values.
    pub measured: Vec<Measured>,
    /// What testers said of tubes, the last of each; no part of the sheet's text.
    pub tested: Vec<crate::stages::TestedTube>,
}

/// One measured value.
#[derive(Debug, Clone, PartialEq)]
pub struct Measured {
    /// Reference of the part, or of the transformer.
    pub reference: String,
    /// Name of the winding, if it is one of a transformer's.
    pub winding: Option<String>,
    /// The value.
    pub value: MeasuredValue,
    /// Line of the entry.
    pub line: usize,
}

/// A measured value in the unit that was measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum MeasuredValue {
    /// Resistance; of a capacitor its leakage as resistance.
    Ohms(f64),
    /// Capacitance.
    Farads(f64),
    /// Inductance.
    Henries(f64),
}

impl State {
    /// The last measured resistance of a part.
    pub fn measured_ohms(&self, reference: &str) -> Option<f64> {
        self.measured
            .iter()
            .rev()
            .find_map(|measured| match measured.value {
                MeasuredValue::Ohms(ohms)
                    if measured.reference == reference && measured.winding.is_none() =>
                {
                    Some(ohms)
                }
                _ => None,
            })
    }

    /// The last measured capacitance of a part, farads.
    pub fn measured_farads(&self, reference: &str) -> Option<f64> {
        self.measured
            .iter()
            .rev()
            .find_map(|measured| match measured.value {
                MeasuredValue::Farads(farads) if measured.reference == reference => Some(farads),
                _ => None,
            })
    }

    /// The last measured resistance of a winding.
    pub fn measured_winding_ohms(&self, transformer: &str, winding: &str) -> Option<f64> {
        self.measured
            .iter()
            .rev()
            .find_map(|measured| match measured.value {
                MeasuredValue::Ohms(ohms)
                    if measured.reference == transformer
                        && measured.winding.as_deref() == Some(winding) =>
                {
                    Some(ohms)
                }
                _ => None,
            })
    }
}

impl Sheet {
    /// The tube of this reference, in any case.
    pub fn tube(&self, reference: &str) -> Option<&SheetTube> {
        self.tubes
            .iter()
            .find(|tube| tube.reference.eq_ignore_ascii_case(reference.trim()))
    }

    /// The part of this reference, in any case.
    pub fn part(&self, reference: &str) -> Option<&SheetPart> {
        self.parts
            .iter()
            .find(|part| part.reference.eq_ignore_ascii_case(reference.trim()))
    }

    /// The windings of this transformer, in the order of the sheet.
    pub fn windings_of<'a>(
        &'a self,
        transformer: &'a str,
    ) -> impl Iterator<Item = &'a SheetWinding> {
        self.windings
            .iter()
            .filter(move |winding| winding.transformer.eq_ignore_ascii_case(transformer.trim()))
    }

    /// The transformers, in the order of the sheet.
    pub fn transformers(&self) -> Vec<&str> {
        let mut seen = Vec::new();
        let mut known = HashSet::new();
        for winding in &self.windings {
            if known.insert(winding.transformer.as_str()) {
                seen.push(winding.transformer.as_str());
            }
        }
        seen
    }
}
