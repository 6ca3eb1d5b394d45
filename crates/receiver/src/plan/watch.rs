//! What is watched in an energised step, and the solved sets behind it.
//!
//! Units of the readings; seconds, watts. One [`Watch`] holds the probes of a step
//! and solves variations of the set for them, settled and at early moments.
//! A variation that does not settle gives nothing, with the evidence kept.

use circuit::solver::{GoOn, SettledState};
use circuit::{CircuitError, Solver, SolverOptions, Start};

use crate::conditions::BenchConditions;
use crate::expect::{ExpectError, Predictor};
use crate::probes::{Probe, Spot};
use crate::reading::What;
use crate::sheet::HeaterArrangement;
use crate::wiring::{Rectifying, SetModel, Variation, Wired, WiringError};

use super::faults::Endangered;

/// How far an interval's guess may be off where a few percent do no harm.
const ROUGH_GUESS_ERROR: f64 = 0.02;

/// The probes of a step.
#[derive(Debug, Clone)]
pub struct Watch<'p> {
    /// The set.
    pub predictor: &'p Predictor<'p, 'p>,
    /// How it stands on the bench.
    pub conditions: BenchConditions,
    /// What is read.
    pub probes: Vec<Probe>,
}

/// One solved variation.
#[derive(Debug, Clone)]
pub struct Seen {
    /// One value for each probe.
    pub values: Vec<Option<f64>>,
    /// Heat in the part that the fault put in, watts.
    pub fault_watts: Option<f64>,
    /// Heat in each transformer, watts, in the order of the sheet's transformers.
    pub transformer_watts: Vec<f64>,
    /// Heater volts of each tube, by position.
    pub heater_volts: Vec<Option<f64>>,
    /// Where to start for neighbours.
    pub near: Option<SettledState>,
}

/// Why a variation was not seen.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum NotSeen {
    /// The conditions do not fit the sheet.
    #[error("{0}")]
    Wiring(#[from] WiringError),
    /// Supply and stages do not meet.
    #[error("{0}")]
    Apart(ExpectError),
    /// It did not settle.
    #[error("{0}")]
    Circuit(#[from] CircuitError),
}

/// Probes that a restorer can read in an energised step with ordinary meters.
pub fn step_probes(model: &SetModel<'_>, conditions: &BenchConditions) -> Vec<Probe> {
    let mut probes = Vec::new();
    let mut push = |at: String, to: Option<String>, what: What, spot: Spot| {
        probes.push(Probe { at, to, what, spot });
    };
    if conditions.lamps.is_empty() {
        push("line".into(), None, What::LineAmpsRms, Spot::Line);
    } else {
        push("lamp".into(), None, What::LampVoltsRms, Spot::Lamp);
    }
    push("line".into(), None, What::LineWatts, Spot::Line);
    let chassis = || Some("chassis".to_string());
    for junction in model.supply_places() {
        push(
            model.junction_name(junction),
            chassis(),
            What::DcVolts,
            Spot::ToChassis(junction),
        );
    }
    for junction in model.bias_places() {
        push(
            model.junction_name(junction),
            chassis(),
            What::DcVolts,
            Spot::ToChassis(junction),
        );
    }
    let all_pulled = |tubes: &[usize]| {
        tubes.iter().all(|&tube| {
            conditions
                .pulled
                .iter()
                .any(|pulled| pulled.eq_ignore_ascii_case(&model.sheet.tubes[tube].reference))
        })
    };
    for place in model.heater_places() {
        if all_pulled(&place.tubes) {
            continue;
        }
        let series = place.arrangement == HeaterArrangement::Series;
        let tube = if series {
            place
                .tubes
                .iter()
                .copied()
                .find(|&tube| model.sheet.tubes[tube].kind.is_picture_tube)
                .or(place.tubes.first().copied())
        } else {
            place.tubes.iter().copied().find(|&tube| {
                !conditions
                    .pulled
                    .iter()
                    .any(|pulled| pulled.eq_ignore_ascii_case(&model.sheet.tubes[tube].reference))
            })
        };
        if let Some(tube) = tube {
            push(
                model.sheet.tubes[tube].reference.clone(),
                None,
                What::HeaterVoltsRms,
                Spot::Heater(tube),
            );
        }
    }
    for (index, winding) in model.sheet.windings.iter().enumerate() {
        // A winding whose tubes are out is read by itself.
        let (Some(start), Some(end)) =
            (model.junction(&winding.start), model.junction(&winding.end))
        else {
            continue;
        };
        let loaded = model.heater_places().iter().any(|place| {
            (place.from == start && place.to == end || place.from == end && place.to == start)
                && !all_pulled(&place.tubes)
        });
        if !loaded && !model.is_primary(index) && winding.volts.is_some() {
            push(
                winding.start.to_string(),
                Some(winding.end.to_string()),
                What::AcVoltsRms,
                Spot::Between(start, end),
            );
        }
    }
    for &(junction, ref name) in &first_filters(model) {
        push(
            name.clone(),
            chassis(),
            What::RippleVoltsPeakToPeak,
            Spot::ToChassis(junction),
        );
    }
    probes
}

/// The first filter places: rectifier cathodes with an electrolytic on them.
fn first_filters(model: &SetModel<'_>) -> Vec<(usize, String)> {
    let mut found: Vec<(usize, String)> = Vec::new();
    for rectifying in model.rectifying() {
        let junction = match rectifying {
            Rectifying::Tube {
                cathode,
                damper: false,
                ..
            } => Some(*cathode),
            Rectifying::Metal { part } => model.part_junctions(*part)[1],
            Rectifying::Tube { .. } => None,
        };
        if let Some(junction) = junction
            && model.has_ripple(junction)
            && model.supply_places().contains(&junction)
            && !found.iter().any(|(own, _)| *own == junction)
        {
            found.push((junction, model.junction_name(junction)));
        }
    }
    found
}

impl<'p> Watch<'p> {
    /// Watches the usual probes of a step.
    pub fn new(predictor: &'p Predictor<'p, 'p>, conditions: BenchConditions) -> Watch<'p> {
        let probes = step_probes(predictor.model, &conditions);
        Watch {
            predictor,
            conditions,
            probes,
        }
    }

    /// Solves one variation, settled.
    pub fn settled(
        &self,
        variation: &Variation,
        near: Option<&SettledState>,
    ) -> Result<Seen, NotSeen> {
        let model = self.predictor.model;
        let wired = model.wire(&self.conditions, variation)?;
        let solver = Solver::new(&wired.circuit, SolverOptions::default())?;
        let start = match near {
            Some(near) => Start::Near(near),
            None if self.conditions.lamps.is_empty() && !model.has_thermistor() => Start::Warm,
            None => Start::Cold,
        };
        let settled = solver.settled(start)?;
        let mut seen = self.see(&wired, &settled.record, &settled.at.state.groups);
        seen.near = Some(settled.at);
        Ok(seen)
    }

    /// Solves one variation from switch-on and reads it at these moments.
    pub fn at_moments(
        &self,
        variation: &Variation,
        moments: &[f64],
    ) -> Result<Vec<(f64, Seen)>, NotSeen> {
        self.follow(variation, moments, SolverOptions::default())
    }

    /// The same within a few percent: for gross faults, and for what widens a doubt.
    pub fn roughly_at_moments(
        &self,
        variation: &Variation,
        moments: &[f64],
    ) -> Result<Vec<(f64, Seen)>, NotSeen> {
        let options = SolverOptions {
            guess_error: ROUGH_GUESS_ERROR,
            ..SolverOptions::default()
        };
        self.follow(variation, moments, options)
    }

    fn follow(
        &self,
        variation: &Variation,
        moments: &[f64],
        options: SolverOptions,
    ) -> Result<Vec<(f64, Seen)>, NotSeen> {
        let wired = self.predictor.model.wire(&self.conditions, variation)?;
        let solver = Solver::new(&wired.circuit, options)?;
        let mut found = Vec::new();
        solver.warm_up(moments, &mut |moment| {
            found.push((
                moment.seconds,
                self.see(&wired, &moment.record, &moment.state.groups),
            ));
            GoOn::Yes
        })?;
        Ok(found)
    }

    fn see(
        &self,
        wired: &Wired,
        record: &circuit::record::CycleRecord<'_>,
        groups: &[circuit::thermal::GroupState],
    ) -> Seen {
        let tubes = self.predictor.model.sheet.tubes.len();
        Seen {
            values: self
                .probes
                .iter()
                .map(|probe| probe.read(wired, record, groups))
                .collect(),
            fault_watts: (!wired.fault_elements.is_empty()).then(|| {
                wired
                    .fault_elements
                    .iter()
                    .map(|&element| record.watts(element))
                    .sum()
            }),
            transformer_watts: wired
                .transformers
                .iter()
                .map(|(element, _)| record.watts(*element))
                .collect(),
            heater_volts: (0..tubes)
                .map(|tube| {
                    Probe {
                        at: String::new(),
                        to: None,
                        what: What::HeaterVoltsRms,
                        spot: Spot::Heater(tube),
                    }
                    .read(wired, record, groups)
                })
                .collect(),
            near: None,
        }
    }
}

impl Seen {
    /// Heat in the part that a fault endangers, watts above nothing: a transformer's
    /// whole heat, or the picture tube's heater.
    pub fn endangered_watts(&self, model: &SetModel<'_>, endangered: &Endangered) -> Option<f64> {
        match endangered {
            Endangered::Transformer(name) => {
                let position = model
                    .transformer_names()
                    .iter()
                    .position(|own| own == name)?;
                self.transformer_watts.get(position).copied()
            }
            Endangered::PictureTube(tube) => {
                let volts = self.heater_volts.get(*tube).copied().flatten()?;
                let rating = model.sheet.tubes.get(*tube)?.kind.heater.as_ref()?;
                Some(volts * rating.amperes * (volts / rating.volts).powf(0.55))
            }
        }
    }
}

impl SetModel<'_> {
    /// Names of the transformers, in the order in which they are wired.
    pub fn transformer_names(&self) -> Vec<String> {
        self.resolved
            .transformers
            .iter()
            .map(|transformer| transformer.name.clone())
            .collect()
    }
}
