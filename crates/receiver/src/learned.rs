//! What readings tell of single parts and windings: figures that take the place of the sheet's.
//!
//! Ohms, volts rms. A part that was cut loose reads itself. In the circuit a reading between two
//! places tells of the one part or winding that lies between them, where the sheet's own figures say
//! that everything beside it changes the reading by less than a twentieth. Volts of a winding count
//! while every other tube is out, so that nothing loads it; they are set against what the sheet
//! predicts in the same state and shared between meter and sheet by their doubts. What is more than
//! three times off is taken for a slip or a fault and not used. Nothing here fails: what cannot be
//! solved is not used, with the reason.

use std::collections::HashSet;

use quantity::{Unit, bench};

use crate::conditions::BenchConditions;
use crate::expect::Predictor;
use crate::judge_reading::TakenReading;
use crate::ohms::{USUAL_OHMMETER, network_of};
use crate::probes::{Probe, Spot};
use crate::reading::What;
use crate::sheet::{PartValue, SheetTube};
use crate::wiring::{SetModel, Variation};

/// A reading with how the set stood.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadingTaken {
    /// Number of its entry.
    pub entry: u64,
    /// The reading.
    pub taken: TakenReading,
    /// How the set stood.
    pub conditions: BenchConditions,
    /// Whether the plug was out.
    pub plug_out: bool,
}

impl ReadingTaken {
    /// Whether anything can be learned from it at all.
    pub fn is_of_use(&self) -> bool {
        match self.taken.what {
            What::Ohms => self.plug_out,
            What::AcVoltsRms => !self.plug_out && !self.conditions.pulled.is_empty(),
            _ => false,
        }
    }
}

/// What a figure belongs to.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum OfWhat {
    /// A part, by its reference.
    Part(String),
    /// The copper of a winding: transformer and winding.
    WindingOhms(String, String),
    /// Its volts, unloaded, at the sheet's line.
    WindingVolts(String, String),
}

/// A figure that was learned.
#[derive(Debug, Clone, PartialEq)]
pub struct Learned {
    /// Of what.
    pub of: OfWhat,
    /// Ohms or volts.
    pub value: f64,
    /// Number of the entry that tells it.
    pub entry: u64,
}

impl Learned {
    /// In words.
    pub fn in_words(&self) -> String {
        let entry = self.entry;
        match &self.of {
            OfWhat::Part(part) => {
                format!(
                    "{part} measured {} (entry {entry})",
                    bench(self.value, Unit::Ohms)
                )
            }
            OfWhat::WindingOhms(transformer, winding) => format!(
                "{transformer} {winding} measured {} of copper (entry {entry})",
                bench(self.value, Unit::Ohms)
            ),
            OfWhat::WindingVolts(transformer, winding) => format!(
                "{transformer} {winding} taken as {:.4} V unloaded (entry {entry})",
                self.value
            ),
        }
    }
}

/// What the readings told; of several readings of one figure the last holds.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct AllLearned {
    /// The figures.
    pub figures: Vec<Learned>,
    /// What was not used, and why.
    pub not_used: Vec<String>,
}

/// Share by which what lies beside a part may change a reading across it.
const BESIDE: f64 = 0.05;
/// Times off from which a reading counts as a slip or a fault.
const SLIP: f64 = 3.0;
/// Spread of winding volts on a sheet, and of a meter on a.c. with the line read beside it
/// (judgement: 1.2 and 1.5 percent, standard deviations).
const SHEET_SIGMA: f64 = 0.012;
const METER_SIGMA: f64 = 0.015;
/// The same behind a limiter lamp, of which lamp and idle draw decide too.
const LAMP_SIGMA: f64 = 0.03;
/// Winding volts further off than so many doubts of the reading are the winding's own, not the
/// spread of a sheet's figure; and than so many a fault to be found, not a figure.
const OTHER_WINDING: f64 = 2.7;
const NO_SUCH_WINDING: f64 = 10.0;

/// What the readings tell of parts and windings, in their order.
pub fn learned(model: &SetModel<'_>, readings: &[ReadingTaken]) -> AllLearned {
    let mut all = AllLearned::default();
    let place = |own: &ReadingTaken| {
        let to = own.taken.to.clone().unwrap_or_default().to_lowercase();
        (
            own.taken.at.to_lowercase(),
            to,
            own.taken.what,
            own.plug_out,
        )
    };
    let mut seen = HashSet::new();
    let of_use = readings.iter().rev().filter(|own| own.is_of_use());
    let mut last: Vec<&ReadingTaken> = of_use.collect();
    last.retain(|own| seen.insert(place(own)));
    for reading in last.into_iter().rev() {
        let value = reading.taken.value;
        if !(value.is_finite() && value > 0.0) {
            continue;
        }
        let found = match reading.taken.what {
            What::Ohms if reading.plug_out => ohms(model, reading),
            What::AcVoltsRms if !reading.plug_out => winding_volts(model, reading),
            _ => None,
        };
        match found {
            Some(Ok(learned)) => {
                all.figures.retain(|own| own.of != learned.of);
                all.figures.push(learned);
            }
            Some(Err(because)) => all
                .not_used
                .push(format!("entry {}: {because}", reading.entry)),
            None => {}
        }
    }
    all
}

type Found = Option<Result<Learned, String>>;

/// A resistance as it stands on the sheet.
struct OnSheet {
    of: OfWhat,
    ohms: f64,
}

fn ohms(model: &SetModel<'_>, reading: &ReadingTaken) -> Found {
    let taken = &reading.taken;
    if let Some(part) = model.part_index(&taken.at) {
        let reference = &model.sheet.parts.get(part)?.reference;
        let is_loose = reading
            .conditions
            .fitted_without
            .iter()
            .any(|own| own.eq_ignore_ascii_case(reference));
        let has_ohms = matches!(
            model.sheet.parts.get(part)?.value,
            PartValue::Resistor { .. } | PartValue::Control { .. } | PartValue::Coil { .. }
        );
        if !is_loose || !has_ohms {
            return None;
        }
        let on_sheet = OnSheet {
            of: OfWhat::Part(reference.clone()),
            ohms: model.ohms(part)?,
        };
        return Some(told(on_sheet, taken.value, reading.entry));
    }
    let ends = ends_of(model, taken)?;
    let on_sheet = alone_between(model, ends)?;
    let conditions = &reading.conditions;
    let (network, wired) = network_of(model, conditions, &Variation::none()).ok()?;
    let seen = network
        .ohms(wired.node(ends.0), wired.node(ends.1), USUAL_OHMMETER)
        .ok()?;
    if !seen.is_finite() || (seen / on_sheet.ohms - 1.0).abs() > BESIDE {
        return None;
    }
    let own = taken.value * on_sheet.ohms / seen;
    Some(told(on_sheet, own, reading.entry))
}

fn told(on_sheet: OnSheet, ohms: f64, entry: u64) -> Result<Learned, String> {
    let times = ohms / on_sheet.ohms;
    if !(1.0 / SLIP..=SLIP).contains(&times) {
        let name = match &on_sheet.of {
            OfWhat::Part(part) => part.clone(),
            OfWhat::WindingOhms(transformer, winding)
            | OfWhat::WindingVolts(transformer, winding) => format!("{transformer} {winding}"),
        };
        return Err(format!(
            "{name} reads {} and is {} on the sheet: not used, find out why",
            bench(ohms, Unit::Ohms),
            bench(on_sheet.ohms, Unit::Ohms)
        ));
    }
    Ok(Learned {
        of: on_sheet.of,
        value: ohms,
        entry,
    })
}

/// The junctions of the two leads.
fn ends_of(model: &SetModel<'_>, taken: &TakenReading) -> Option<(usize, usize)> {
    let junction = |name: &str| model.junction(model.places.find(name).ok()?);
    let one = junction(&taken.at)?;
    let other = junction(taken.to.as_deref().unwrap_or("chassis"))?;
    (one != other).then_some((one, other))
}

fn is_between(ends: (usize, usize), from: Option<usize>, to: Option<usize>) -> bool {
    let (one, other) = (Some(ends.0), Some(ends.1));
    (from, to) == (one, other) || (from, to) == (other, one)
}

/// The one part or winding between two junctions; `None` where there are several, or one
/// whose reading says nothing of a resistance of its own.
fn alone_between(model: &SetModel<'_>, ends: (usize, usize)) -> Option<OnSheet> {
    let mut found = Vec::new();
    for (index, part) in model.sheet.parts.iter().enumerate() {
        let [from, to, _] = model.part_junctions(index);
        if !is_between(ends, from, to) {
            continue;
        }
        match part.value {
            PartValue::Capacitor { .. } => {}
            PartValue::Resistor { .. } | PartValue::Coil { .. } => found.push(OnSheet {
                of: OfWhat::Part(part.reference.clone()),
                ohms: model.ohms(index)?,
            }),
            _ => return None,
        }
    }
    for winding in &model.sheet.windings {
        let (start, end) = (model.junction(&winding.start), model.junction(&winding.end));
        if is_between(ends, start, end) {
            found.push(OnSheet {
                of: OfWhat::WindingOhms(winding.transformer.clone(), winding.name.clone()),
                ohms: winding.ohms?,
            });
        }
    }
    if found.len() == 1 { found.pop() } else { None }
}

fn winding_volts(model: &SetModel<'_>, reading: &ReadingTaken) -> Found {
    let sheet = model.sheet;
    let out = |tube: &str| {
        let pulled = &reading.conditions.pulled;
        pulled.iter().any(|own| own.eq_ignore_ascii_case(tube))
    };
    let is_picture = |tube: &SheetTube| tube.kind.picture.is_some();
    // A tube that the flyback lights takes nothing from the transformer.
    let loads_nothing = |(index, tube): (usize, &SheetTube)| {
        out(&tube.reference) || is_picture(tube) || !model.is_heated(index)
    };
    if !sheet.tubes.iter().enumerate().all(loads_nothing) {
        return None;
    }
    let ends = ends_of(model, &reading.taken)?;
    let mut between = sheet
        .windings
        .iter()
        .enumerate()
        .filter(|(index, winding)| {
            let (start, end) = (model.junction(&winding.start), model.junction(&winding.end));
            !model.is_primary(*index) && is_between(ends, start, end)
        });
    let (_, winding) = between.next()?;
    let rated = winding.volts?;
    if between.next().is_some() {
        return None;
    }
    let probe = Probe {
        at: reading.taken.at.clone(),
        to: reading.taken.to.clone(),
        what: What::AcVoltsRms,
        spot: Spot::Between(ends.0, ends.1),
    };
    let conditions = BenchConditions {
        bands: false,
        known: Vec::new(),
        ..reading.conditions.clone()
    };
    let solved = Predictor::new(model)
        .solve(&conditions, &Variation::none(), &[probe], None)
        .ok()?;
    let foreseen = solved.values.first().copied().flatten()?;
    let off = reading.taken.value / foreseen - 1.0;
    let name = format!("{} {}", winding.transformer, winding.name);
    let doubt = if conditions.lamps.is_empty() {
        METER_SIGMA
    } else {
        LAMP_SIGMA
    };
    if off.abs() > NO_SUCH_WINDING * doubt {
        return Some(Err(format!(
            "{name} reads {:.0} percent off what the sheet's figure gives: not used, find out why",
            100.0 * off
        )));
    }
    let weight = if off.abs() > OTHER_WINDING * doubt {
        1.0
    } else {
        let sheet = SHEET_SIGMA * SHEET_SIGMA;
        sheet / (sheet + doubt * doubt)
    };
    let learned = Learned {
        of: OfWhat::WindingVolts(winding.transformer.clone(), winding.name.clone()),
        value: rated * (1.0 + weight * off),
        entry: reading.entry,
    };
    Some(Ok(learned))
}
