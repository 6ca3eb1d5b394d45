//! Sets drawn at random that are taken through a whole plan, healthy or with a fault.
//!
//! Volts, amperes, ohms, seconds. One drawn set keeps its parts, tubes and lamps in every
//! step. Spreads are those that the prediction states ([`receiver::causes`]); the laws are
//! those of [`crate::other_laws`], the rectifiers' power drawn between 1.35 and 1.6. The
//! meter has an error of its own at each reading, as the causes state it.
#![allow(dead_code)]

use circuit::solver::GoOn;
use circuit::thermal::HeaterShares;
use circuit::{Element, Solver, SolverOptions, Start};
use rand_pcg::Pcg64;
use rayon::prelude::*;
use receiver::causes::{Cause, causes};
use receiver::conditions::BenchConditions;
use receiver::expect::Predictor;
use receiver::plan::bench_facts::bench_facts;
use receiver::plan::faults::{LikelyFault, likely_faults};
use receiver::plan::powered::{PoweredStep, powered_steps};
use receiver::plan::watch::Watch;
use receiver::plan::{Limit, PlanWork, StopRule};
use receiver::probes::Probe;
use receiver::sheet::read_sheet;
use receiver::wiring::{FaultKind, Figure, SetModel, Variation, Wired};

use crate::other_laws::{
    HeatersTogether, OWN_AMPERES, OWN_SECONDS, bell, between, departures, heaters_together,
    other_heaters, other_rectifiers, random, reserve,
};

/// The sets in `examples/` that are taken through their plans.
pub const EXAMPLES: [&str; 2] = ["larkfield_12t.toml", "merrow_17s.toml"];

/// An example with its plan worked out.
pub struct Planned {
    pub name: &'static str,
    pub predictor: Predictor<'static, 'static>,
    pub faults: Vec<LikelyFault>,
    pub steps: Vec<PoweredStep>,
    causes: Vec<Cause>,
}

/// Works out the energised steps of an example.
pub fn plan(name: &'static str) -> Planned {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../examples")
        .join(name);
    let text = std::fs::read_to_string(path).expect("the example is there");
    let catalogue = parts::catalogue().expect("the tables are sound");
    // One example of each kind for the life of the test program.
    let sheet = Box::leak(Box::new(
        read_sheet(&text, catalogue).sheet.expect("no fault"),
    ));
    let model: &'static SetModel<'static> = Box::leak(Box::new(SetModel::new(sheet, catalogue)));
    let predictor = Predictor::new(model);
    let faults = likely_faults(model);
    let steps = powered_steps(
        &predictor,
        &bench_facts(model),
        &faults,
        &mut PlanWork::default(),
        &mut |_| {},
    )
    .expect("the examples can be solved")
    .steps;
    Planned {
        name,
        predictor,
        faults,
        steps,
        causes: every_cause(model),
    }
}

/// Every cause that any step's state can feel, each once.
fn every_cause(model: &SetModel<'_>) -> Vec<Cause> {
    let cold = BenchConditions {
        // The plan names the line of each step, so the line itself is not drawn.
        line_volts: Some(model.sheet.line_volts),
        lamps: vec![100.0],
        seconds: Some(1.0),
        ..BenchConditions::default()
    };
    let settled = BenchConditions {
        seconds: None,
        ..cold.clone()
    };
    let mut found = causes(model, &cold);
    for cause in causes(model, &settled) {
        if !found.iter().any(|own| own.figure == cause.figure) {
            found.push(cause);
        }
    }
    found
}

/// One set of a sheet with everything that makes it differ from its sheet.
#[derive(Debug, Clone)]
pub struct DrawnSet {
    /// Departures from the sheet, a fault included.
    variation: Variation,
    /// Power of the tube rectifiers' law.
    power: f64,
    /// Emission of the loads' tubes over what they need, by part.
    reserves: Vec<f64>,
    /// Heater current and warm-up time over the published ones, by tube.
    heaters: Vec<(f64, f64)>,
    /// What the heaters at each place have in common.
    places: Vec<HeatersTogether>,
    pub meter: Pcg64,
}

/// Seconds after switch-on, infinite once settled, and what each probe shows.
pub type Row = (f64, Vec<Option<f64>>);

/// Standard deviation of a meter's error, relative (as `causes` has it).
pub const METER_SIGMA: f64 = 0.015;

impl DrawnSet {
    /// Draws the healthy set of this number.
    pub fn healthy(planned: &Planned, seed: u64, number: u64) -> DrawnSet {
        let model = planned.predictor.model;
        let random = &mut random(seed, number);
        let variation = departures(&planned.causes, random, |_| false);
        DrawnSet {
            variation,
            power: between(random, 1.35, 1.6),
            reserves: (0..model.sheet.parts.len())
                .map(|_| reserve(random))
                .collect(),
            heaters: (0..model.sheet.tubes.len())
                .map(|_| (bell(random, OWN_AMPERES), bell(random, OWN_SECONDS)))
                .collect(),
            places: (0..model.heater_places().len())
                .map(|_| heaters_together(random))
                .collect(),
            meter: random.clone(),
        }
    }

    /// The same set with a fault in it.
    pub fn with(&self, fault: &LikelyFault, severity: f64) -> DrawnSet {
        let mut faulty = self.clone();
        let planted = fault.variation(severity);
        // A wrong or worn part is so many times what this set's part would be.
        let figure = match fault.kind {
            FaultKind::OhmsTimes(part) => Some(Figure::Ohms(part)),
            FaultKind::SeleniumResistive(part) => Some(Figure::Drop(part)),
            _ => None,
        };
        if let Some(figure) = figure {
            let ratio = self.variation.factor(figure) * planted.factor(figure);
            faulty.variation.set(figure, ratio);
        }
        faulty.variation.changes.extend(planted.changes);
        faulty
    }

    /// The set as it stands in a step, with the other laws in it.
    fn wire(&self, model: &SetModel<'_>, conditions: &BenchConditions) -> Wired {
        let wired = model.wire(conditions, &self.variation);
        self.with_other_laws(model, wired.expect("the plan's conditions fit"))
    }

    /// The set with its plug out.
    pub fn wire_unplugged(&self, model: &SetModel<'_>) -> Wired {
        let wired = model.wire_unplugged(&BenchConditions::default(), &self.variation);
        self.with_other_laws(model, wired.expect("nothing is pulled or opened"))
    }

    fn with_other_laws(&self, model: &SetModel<'_>, mut wired: Wired) -> Wired {
        other_rectifiers(&mut wired, self.power);
        for (part, elements) in wired.parts.iter().enumerate() {
            for &element in elements {
                if let Some(Element::Load { reserve, .. }) = wired.circuit.elements.get_mut(element)
                {
                    *reserve = self.reserves[part];
                }
            }
        }
        let shares = HeaterShares {
            contact: 0.45,
            support: 0.3,
            filament_end: 0.2,
            wire_capacity: 0.22,
        };
        let warm_up = self.variation.factor(Figure::WarmUp);
        other_heaters(
            model,
            &mut wired,
            shares,
            warm_up,
            &self.places,
            |tube, _| self.heaters[tube],
        );
        wired
    }

    /// What the meters show in a step: at each moment of its warm-up and, last, settled.
    /// Each reading has the error of the meter that reads it. `None` with the reason
    /// where the set could not be solved.
    pub fn read(
        &self,
        planned: &Planned,
        step: usize,
        probes: &[Probe],
        moments: &[f64],
    ) -> Result<Vec<Row>, String> {
        let wired = self.wire(planned.predictor.model, &planned.steps[step].conditions);
        let solver = Solver::new(&wired.circuit, SolverOptions::default())
            .map_err(|error| error.to_string())?;
        let mut meter = self.meter.clone();
        let errors: Vec<f64> = (0..=step)
            .map(|_| {
                probes
                    .iter()
                    .map(|_| bell(&mut meter, METER_SIGMA))
                    .collect::<Vec<f64>>()
            })
            .next_back()
            .unwrap_or_default();
        let mut rows = Vec::new();
        solver
            .warm_up(moments, &mut |moment| {
                let values = probes
                    .iter()
                    .zip(&errors)
                    .map(|(probe, error)| {
                        probe
                            .read(&wired, &moment.record, &moment.state.groups)
                            .map(|value| error * value)
                    })
                    .collect();
                rows.push((moment.seconds, values));
                GoOn::Yes
            })
            .map_err(|error| error.to_string())?;
        let settled = solver
            .settled(Start::Cold)
            .map_err(|error| error.to_string())?;
        rows.push((
            f64::INFINITY,
            probes
                .iter()
                .zip(&errors)
                .map(|(probe, error)| {
                    probe
                        .read(&wired, &settled.record, &settled.at.state.groups)
                        .map(|value| error * value)
                })
                .collect(),
        ));
        Ok(rows)
    }
}

/// A rule that a set passed, and when.
#[derive(Debug, Clone, PartialEq)]
pub struct Stop {
    pub step: usize,
    pub rule: usize,
    pub seconds: f64,
    pub value: f64,
}

/// Whether a reading is beyond a limit.
pub fn beyond(limit: Limit, value: f64) -> bool {
    match limit {
        Limit::Above(most) => value > most,
        Limit::Below(least) => value < least,
    }
}

/// Moments at which the meters of a step are read: what the rules ask for, some between,
/// and half as long again as the plan waits.
pub fn moments(step: &PoweredStep) -> Vec<f64> {
    let mut found: Vec<f64> = [2.0, 4.0, 7.0, 10.0, 15.0, 20.0, 30.0, 45.0, 60.0, 90.0]
        .into_iter()
        .filter(|seconds| *seconds < step.wait_seconds)
        .chain(step.limits.rules.iter().map(|rule| rule.after_seconds))
        .chain([step.wait_seconds, (1.5 * step.wait_seconds).round()])
        .filter(|seconds| *seconds > 0.0)
        .collect();
    found.sort_by(f64::total_cmp);
    found.dedup();
    found
}

/// The place among a step's probes that a rule reads.
pub fn probe_of(watch: &Watch<'_>, rule: &StopRule) -> Option<usize> {
    watch
        .probes
        .iter()
        .position(|probe| probe.at == rule.at && probe.to == rule.to && probe.what == rule.what)
}

/// Takes a set through one step; every rule counts from its time on, at every moment
/// read, and once settled. Every rule that is passed is told at its first moment.
pub fn stops_in(planned: &Planned, set: &DrawnSet, step: usize) -> Result<Vec<Stop>, String> {
    let own = &planned.steps[step];
    let watch = Watch::new(&planned.predictor, own.conditions.clone());
    let rows = set.read(planned, step, &watch.probes, &moments(own))?;
    let mut found = Vec::new();
    for (number, rule) in own.limits.rules.iter().enumerate() {
        let place = probe_of(&watch, rule).expect("a rule reads a watched probe");
        let passed = rows
            .iter()
            .filter(|(seconds, _)| *seconds > rule.after_seconds - 0.05)
            .find_map(|(seconds, values)| {
                let value = values[place]?;
                beyond(rule.limit, value).then_some((*seconds, value))
            });
        if let Some((seconds, value)) = passed {
            found.push(Stop {
                step,
                rule: number,
                seconds,
                value,
            });
        }
    }
    found.sort_by(|a, b| a.seconds.total_cmp(&b.seconds));
    Ok(found)
}

/// Which healthy sets are stopped anywhere in the plan, each with all rules it passed.
pub fn false_stops(planned: &Planned, seed: u64, sets: u64) -> Vec<(u64, Vec<Stop>)> {
    (0..sets)
        .into_par_iter()
        .filter_map(|number| {
            let set = DrawnSet::healthy(planned, seed, number);
            let stops: Vec<Stop> = (0..planned.steps.len())
                .flat_map(|step| stops_in(planned, &set, step).expect("a healthy set settles"))
                .collect();
            (!stops.is_empty()).then_some((number, stops))
        })
        .collect()
}

/// From when on the plan says that it tells a fault: the step and the severity, the
/// slightest of all steps.
pub fn told(planned: &Planned, fault: usize) -> Option<(usize, f64)> {
    let severities = &planned.faults[fault].severities;
    let rung = |severity: f64| severities.iter().position(|own| *own == severity);
    planned
        .steps
        .iter()
        .enumerate()
        .flat_map(|(step, own)| {
            own.limits
                .told
                .iter()
                .filter(|told| told.fault == fault)
                .map(move |told| (step, told.severity))
        })
        .min_by_key(|(step, severity)| (rung(*severity), *step))
}

/// What came of planting one fault.
#[derive(Debug, Clone)]
pub struct Planted {
    pub fault: usize,
    pub cases: usize,
    pub stopped: usize,
    /// Severities that passed unstopped, with the reason where the set was not solved.
    pub missed: Vec<(f64, Option<String>)>,
}

/// Plants every fault that the plan tells into healthy-drawn sets, beyond the severity
/// from which on it is told, and takes them through the plan up to the step that tells it.
pub fn planted(planned: &Planned, seed: u64, cases: u64) -> Vec<Planted> {
    let jobs: Vec<(usize, usize, f64)> = (0..planned.faults.len())
        .filter_map(|fault| told(planned, fault).map(|(step, from)| (fault, step, from)))
        .collect();
    jobs.into_par_iter()
        .map(|(fault, last, from)| {
            let own = &planned.faults[fault];
            let gross = own.severities[own.severities.len() - 1];
            let mut missed = Vec::new();
            for case in 0..cases {
                let number = 1000 * fault as u64 + case;
                let severity = between(&mut random(seed ^ 0xFA, number), from, gross);
                let set = DrawnSet::healthy(planned, seed, number).with(own, severity);
                let mut because = None;
                // The step that tells it first: most cases end there.
                let stopped = std::iter::once(last).chain(0..last).any(|step| {
                    match stops_in(planned, &set, step) {
                        Ok(stops) => !stops.is_empty(),
                        Err(error) => {
                            because = Some(error);
                            false
                        }
                    }
                });
                if !stopped {
                    missed.push((severity, because));
                }
            }
            Planted {
                fault,
                cases: cases as usize,
                stopped: cases as usize - missed.len(),
                missed,
            }
        })
        .collect()
}
