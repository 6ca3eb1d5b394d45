//! One reading set against its band: inside, low, high, or nothing said.
//!
//! Units of the reading's kind. The band is that of [`crate::expect`] or [`crate::ohms`] under
//! the conditions in which the meter was read, narrowed by the d.c. readings taken before in
//! the same conditions that lay inside their own. Outside a band means look again, never
//! stop. A value far outside that would fit as a tenth, as ten times itself, with the leads
//! exchanged or at another pin of the same tube is asked about. What to measure next follows a
//! plain rule: beside what is outside, its neighbours through one part; otherwise the supply
//! line, then the place, of which least is known. Fails as the predictions do.

use std::collections::HashSet;

use quantity::Band;

use crate::conditions::{BenchConditions, KnownReading};
use crate::expect::{ExpectError, Predictor};
use crate::foresight::Foresight;
use crate::ohms::reads_open;
use crate::reading::{Reading, Unknown, What};
use crate::sheet::Place;
use crate::wiring::SetModel;

/// A reading as it was taken.
#[derive(Debug, Clone, PartialEq)]
pub struct TakenReading {
    /// Place, tube or part; `line` or `lamp`.
    pub at: String,
    /// Where the other lead was; `None` is the chassis.
    pub to: Option<String>,
    /// What was read.
    pub what: What,
    /// The value in the unit of `what`; infinite for an open place.
    pub value: f64,
}

/// How a reading stands to its band.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ReadingVerdict {
    /// Nine of ten healthy sets read so.
    Inside,
    /// Below the band.
    Low,
    /// Above it.
    High,
    /// No band tells.
    SaysNothing {
        /// Why.
        because: String,
    },
}

/// What a value far outside may have been meant as.
#[derive(Debug, Clone, PartialEq)]
pub enum MeantAs {
    /// The value times this factor lies inside.
    Times(f64),
    /// The value with the other sign does.
    LeadsExchanged,
    /// The value lies inside the band of this pin of the same tube.
    OtherPin(String),
}

/// A band that the reading narrows.
#[derive(Debug, Clone, PartialEq)]
pub struct Narrowed {
    /// The place; d.c. volts to chassis.
    pub at: String,
    /// Low and high before.
    pub before: (f64, f64),
    /// Low and high with the reading.
    pub after: (f64, f64),
}

/// What to read next.
#[derive(Debug, Clone, PartialEq)]
pub struct NextReading {
    /// The place; d.c. volts to chassis.
    pub at: String,
    /// Its band.
    pub band: Band,
    /// Why there.
    pub because: String,
}

/// A reading judged.
#[derive(Debug, Clone, PartialEq)]
pub struct Judgement {
    /// How it stands.
    pub verdict: ReadingVerdict,
    /// The band it is held against.
    pub band: Option<Band>,
    /// What it may have been meant as, where it must be a slip.
    pub meant_as: Option<MeantAs>,
    /// The bands that it narrows most.
    pub narrows: Vec<Narrowed>,
    /// What to read next.
    pub next: Option<NextReading>,
}

/// How many widths of the band beyond it a value must lie to be taken for a slip, at least.
const SLIP_WIDTHS: f64 = 1.0;
/// And how far beyond it as a share of the end that it passes.
const SLIP_SHARE: f64 = 0.5;
/// How many widths beyond its band a value may lie that a slip would bring home.
const NEAR_WIDTHS: f64 = 0.5;
/// Width left over, as a share, below which a band counts as narrowed.
const NARROWED: f64 = 0.85;
/// Narrowed bands that are told.
const MOST_NARROWED: usize = 6;
/// Volts below which no next reading is asked for.
const LEAST_VOLTS: f64 = 0.3;

/// Judges one reading. `before` are the readings taken earlier in the same conditions.
///
/// # Errors
/// Those of [`Predictor::expect`].
pub fn judge_reading(
    predictor: &Predictor<'_, '_>,
    conditions: &BenchConditions,
    taken: &TakenReading,
    before: &[TakenReading],
) -> Result<Judgement, ExpectError> {
    let foresight = foresight_for(predictor, conditions, taken)?;
    Ok(judge_by(predictor.model, &foresight, taken, before))
}

/// What the set foresees for such a reading under these conditions. It is the same for all
/// readings of one kind (with power or cold) that share conditions and the other lead.
///
/// # Errors
/// Those of [`Predictor::expect`].
pub fn foresight_for(
    predictor: &Predictor<'_, '_>,
    conditions: &BenchConditions,
    taken: &TakenReading,
) -> Result<Foresight, ExpectError> {
    let conditions = BenchConditions {
        to: taken.to.clone(),
        ..conditions.clone()
    };
    if taken.what == What::Ohms {
        Foresight::cold(predictor, &conditions)
    } else {
        Foresight::under_power(predictor, &conditions)
    }
}

/// Judges one reading by what was foreseen for it.
pub fn judge_by(
    model: &SetModel<'_>,
    foresight: &Foresight,
    taken: &TakenReading,
    before: &[TakenReading],
) -> Judgement {
    let nothing = |because: String| Judgement {
        verdict: ReadingVerdict::SaysNothing { because },
        band: None,
        meant_as: None,
        narrows: Vec::new(),
        next: None,
    };
    if taken.value.is_nan() {
        return nothing("the value is no number".to_string());
    }
    let unknown = &foresight.unknown;
    if taken.what == What::Ohms {
        return match told(&foresight.readings, unknown, taken) {
            Told::Band(band) => on_its_own(band, taken, &foresight.readings),
            Told::Open => Judgement {
                verdict: if taken.value.is_infinite() {
                    ReadingVerdict::Inside
                } else {
                    ReadingVerdict::Low
                },
                ..nothing(String::new())
            },
            Told::Nothing(because) => nothing(because),
        };
    }
    // What is read against another place is no volts to chassis, which the known readings are.
    let to_chassis = taken.to.is_none() && foresight.narrows();
    let mut known = if to_chassis {
        known_among(foresight, before)
    } else {
        Vec::new()
    };
    let readings = foresight.with(&known);
    let band = match told(&readings, unknown, taken) {
        Told::Band(band) => band,
        Told::Open => return nothing("nothing ties the place to the other lead".to_string()),
        Told::Nothing(because) => return nothing(because),
    };
    let mut judged = on_its_own(band, taken, &readings);
    let outside = judged.verdict != ReadingVerdict::Inside;
    if !outside && taken.what == What::DcVolts && to_chassis {
        known.push(KnownReading {
            place: taken.at.clone(),
            volts: taken.value,
        });
        let after = foresight.with(&known);
        judged.narrows = narrows(model, &readings, &after, taken);
        judged.next = next(model, foresight, &after, taken, before, false);
        return judged;
    }
    judged.next = next(model, foresight, &readings, taken, before, outside);
    judged
}

/// The earlier d.c. readings to chassis that lay inside their bands; of several at one place the
/// last holds.
fn known_among(foresight: &Foresight, before: &[TakenReading]) -> Vec<KnownReading> {
    let mut seen = HashSet::new();
    let mut known: Vec<KnownReading> = before
        .iter()
        .rev()
        .filter(|own| own.what == What::DcVolts && own.to.is_none())
        .filter(|own| seen.insert(own.at.to_lowercase()))
        .filter(
            |own| match told(&foresight.readings, &foresight.unknown, own) {
                Told::Band(band) => verdict(&band, own.what, own.value) == ReadingVerdict::Inside,
                _ => false,
            },
        )
        .map(|own| KnownReading {
            place: own.at.clone(),
            volts: own.value,
        })
        .collect();
    known.reverse();
    known
}

enum Told {
    Band(Band),
    Open,
    Nothing(String),
}

fn told(readings: &[Reading], unknown: &[Unknown], taken: &TakenReading) -> Told {
    let same = |at: &str| at.eq_ignore_ascii_case(&taken.at);
    let off = |band: &Band| {
        (band.low - taken.value)
            .max(taken.value - band.high)
            .max(0.0)
    };
    let found = readings
        .iter()
        .filter(|reading| reading.what == taken.what && same(&reading.at))
        // Where the leads matter the nearer one counts: nobody notes them.
        .min_by(|one, other| off(&one.band).total_cmp(&off(&other.band)));
    if let Some(reading) = found {
        return Told::Band(reading.band.clone());
    }
    let unknown = unknown
        .iter()
        .find(|unknown| unknown.what == taken.what && same(&unknown.at));
    match unknown {
        Some(unknown) if taken.what == What::Ohms && reads_open(unknown) => Told::Open,
        Some(unknown) => Told::Nothing(unknown.because.clone()),
        None => Told::Nothing(format!(
            "the sheet predicts no such reading at {}",
            taken.at
        )),
    }
}

/// Ohms that leads, clips and the zero of an ordinary ohmmeter may add (common practice: some tenths
/// of an ohm; below this it shows a short and no more).
pub(crate) const LEADS_OHMS: f64 = 1.0;

/// Up to which value a reading of this kind counts as inside a band: its upper end, for ohms at least what leads
/// and clips add.
pub fn inside_up_to(band: &Band, what: What) -> f64 {
    match what {
        What::Ohms => band.high.max(LEADS_OHMS),
        _ => band.high,
    }
}

/// How a value stands to its band, as an ordinary meter reads it.
pub(crate) fn verdict(band: &Band, what: What, value: f64) -> ReadingVerdict {
    if value < band.low {
        ReadingVerdict::Low
    } else if value > inside_up_to(band, what) {
        ReadingVerdict::High
    } else {
        ReadingVerdict::Inside
    }
}

fn on_its_own(band: Band, taken: &TakenReading, readings: &[Reading]) -> Judgement {
    let verdict = verdict(&band, taken.what, taken.value);
    let meant_as = (verdict != ReadingVerdict::Inside)
        .then(|| slip(&band, taken, readings))
        .flatten();
    Judgement {
        verdict,
        band: Some(band),
        meant_as,
        narrows: Vec::new(),
        next: None,
    }
}

/// What a value far outside its band would fit as: a tenth, ten or a thousand times itself, with the
/// leads exchanged, or at another pin of the same tube among `readings`. Nothing where it may well be
/// true. `band` and value in the unit of the reading.
pub fn slip(band: &Band, taken: &TakenReading, readings: &[Reading]) -> Option<MeantAs> {
    let value = taken.value;
    if !value.is_finite() || value == 0.0 {
        return None;
    }
    let width = band.high - band.low;
    let (end, beyond) = if value > band.high {
        (band.high, value - band.high)
    } else {
        (band.low, band.low - value)
    };
    if beyond < SLIP_WIDTHS * width || beyond < SLIP_SHARE * end.abs() {
        return None;
    }
    let near = |value: f64| {
        (band.low - NEAR_WIDTHS * width..=band.high + NEAR_WIDTHS * width).contains(&value)
    };
    // A band about nothing holds whatever is small.
    if band.low * band.high > 0.0 {
        if near(-value) {
            return Some(MeantAs::LeadsExchanged);
        }
        if let Some(factor) = [0.1, 10.0, 1e-3, 1e3]
            .into_iter()
            .find(|factor| near(factor * value))
        {
            return Some(MeantAs::Times(factor));
        }
    }
    let tube = |at: &str| at.split_once('.').map(|(tube, _)| tube.to_string());
    let own = tube(&taken.at)?;
    readings
        .iter()
        .filter(|other| other.what == taken.what && !other.at.eq_ignore_ascii_case(&taken.at))
        .filter(|other| tube(&other.at).is_some_and(|other| other.eq_ignore_ascii_case(&own)))
        .find(|other| {
            other.band.expected.abs() > LEAST_VOLTS
                && (other.band.low..=other.band.high).contains(&value)
        })
        .map(|other| MeantAs::OtherPin(other.at.clone()))
}

fn is_direct(reading: &Reading) -> bool {
    reading.what == What::DcVolts && reading.to.as_deref().is_none_or(|to| to == "chassis")
}

fn narrows(
    model: &SetModel<'_>,
    before: &[Reading],
    after: &[Reading],
    taken: &TakenReading,
) -> Vec<Narrowed> {
    let junction_of = |at: &str| model.junction(model.places.find(at).ok()?);
    // One junction under several names is told once.
    let mut told = vec![junction_of(&taken.at)];
    let mut found: Vec<(f64, Narrowed)> = Vec::new();
    // Both are the same readings in the same order.
    for (old, new) in before.iter().zip(after) {
        if !is_direct(old) || old.band == new.band {
            continue;
        }
        let junction = junction_of(&old.at);
        if told.contains(&junction) || old.band.expected.abs() < LEAST_VOLTS {
            continue;
        }
        told.push(junction);
        let (wide, narrow) = (old.band.high - old.band.low, new.band.high - new.band.low);
        let share = narrow / wide.max(1e-9);
        if share < NARROWED {
            found.push((
                share,
                Narrowed {
                    at: old.at.clone(),
                    before: (old.band.low, old.band.high),
                    after: (new.band.low, new.band.high),
                },
            ));
        }
    }
    found.sort_by(|one, other| one.0.total_cmp(&other.0));
    found.truncate(MOST_NARROWED);
    found.into_iter().map(|(_, narrowed)| narrowed).collect()
}

/// The next place to read, if there is one that a common meter may touch.
fn next(
    model: &SetModel<'_>,
    foresight: &Foresight,
    readings: &[Reading],
    taken: &TakenReading,
    before: &[TakenReading],
    outside: bool,
) -> Option<NextReading> {
    let junction_of = |at: &str| model.junction(model.places.find(at).ok()?);
    let read: Vec<usize> = before
        .iter()
        .chain([taken])
        .filter(|own| own.what == What::DcVolts)
        .filter_map(|own| junction_of(&own.at))
        .collect();
    let candidates: Vec<(&Reading, usize)> = readings
        .iter()
        .filter(|reading| is_direct(reading) && reading.band.expected.abs() > LEAST_VOLTS)
        .filter(|reading| foresight.safe.contains(&reading.at))
        .filter_map(|reading| Some((reading, junction_of(&reading.at)?)))
        .filter(|(_, junction)| !read.contains(junction))
        .collect();
    let told = |reading: &Reading, because: String| NextReading {
        at: reading.at.clone(),
        band: reading.band.clone(),
        because,
    };
    if outside && let Some(own) = junction_of(&taken.at) {
        let neighbour = candidates
            .iter()
            .filter_map(|(reading, junction)| Some((reading, joined_by(model, own, *junction)?)))
            .max_by(|one, other| {
                one.0
                    .band
                    .expected
                    .abs()
                    .total_cmp(&other.0.band.expected.abs())
            });
        if let Some((reading, part)) = neighbour {
            return Some(told(
                reading,
                format!(
                    "it stands on the other side of {part} from {}: right there, the fault lies at {} or in {part}",
                    taken.at, taken.at
                ),
            ));
        }
    }
    let supply = model.supply_places();
    let doubt = |reading: &Reading| {
        (reading.band.high - reading.band.low) / reading.band.expected.abs().max(1.0)
    };
    let widest = |only_supply: bool| {
        candidates
            .iter()
            .filter(|(_, junction)| !only_supply || supply.contains(junction))
            .max_by(|one, other| doubt(one.0).total_cmp(&doubt(other.0)))
    };
    if let Some((reading, _)) = widest(true) {
        return Some(told(
            reading,
            "a supply line comes first: all that hangs on it follows it".to_string(),
        ));
    }
    widest(false).map(|(reading, _)| {
        told(
            reading,
            "of all places that a common meter may touch, least is known there".to_string(),
        )
    })
}

/// A part that joins two junctions, if there is one.
fn joined_by(model: &SetModel<'_>, one: usize, other: usize) -> Option<String> {
    model.sheet.parts.iter().find_map(|part| {
        let ends: Vec<usize> = [Some(&part.from), Some(&part.to), part.third.as_ref()]
            .into_iter()
            .flatten()
            .filter_map(|place: &Place| model.junction(place))
            .collect();
        (ends.contains(&one) && ends.contains(&other)).then(|| part.reference.clone())
    })
}
