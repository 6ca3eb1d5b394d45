//! The supply's line cycle, settled, with what the direct-current network takes from it.
//!
//! Volts, amperes, siemens. Source: the periodic solution of the wired circuit. Fails as
//! the solver does.

use circuit::solver::SettledState;
use circuit::{Element, Solver, SolverOptions, Start};

use crate::conditions::BenchConditions;
use crate::expect::ExpectError;
use crate::probes::Probe;
use crate::wiring::{SetModel, StageLoad, Variation, Wired};

use super::expecting::is_direct;

/// Mean volts and current of one way of a rectifier.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Way {
    /// Cathode over plate, mean volts.
    pub volts: f64,
    /// Mean amperes from plate to cathode.
    pub amperes: f64,
}

/// The settled cycle of one set.
pub(super) struct Cycle {
    /// The circuit.
    pub wired: Wired,
    /// Readings of the probes; `None` for those that the direct-current network gives.
    pub values: Vec<Option<f64>>,
    /// Mean volts by junction.
    pub volts: Vec<f64>,
    /// Highest momentary volts by junction, without sign; none where they were not asked for.
    pub peaks: Vec<f64>,
    /// Each way of a rectifier, in the order of [`SetModel::rectifying`].
    pub ways: Vec<Option<Way>>,
    /// Emission over its rated value by tube; `None` where nothing heats it.
    pub emission: Vec<Option<f64>>,
    /// Conductance held by each lamp and heater, share of its conductance that each load
    /// holds; 0 for other elements.
    pub held: Vec<f64>,
    /// A start for neighbours.
    pub near: SettledState,
}

/// What is to be told of a cycle beside its means.
#[derive(Clone, Copy, Default)]
pub(super) struct Asked<'p> {
    /// Readings.
    pub probes: &'p [Probe],
    /// Whether the highest volts of every junction are told.
    pub peaks: bool,
}

/// Solves the cycle with these loads in place of the stages.
pub(super) fn solve(
    model: &SetModel<'_>,
    conditions: &BenchConditions,
    variation: &Variation,
    loads: &[StageLoad],
    asked: Asked<'_>,
    near: Option<&SettledState>,
) -> Result<Cycle, ExpectError> {
    let wired = model.wire_with_loads(conditions, variation, loads)?;
    let start = match near {
        Some(near) => Start::Near(near),
        None if conditions.lamps.is_empty() && !model.has_thermistor() => Start::Warm,
        None => Start::Cold,
    };
    let settled = Solver::new(&wired.circuit, SolverOptions::default())?.settled(start)?;
    let record = &settled.record;
    let groups = &settled.at.state.groups;
    let values = asked
        .probes
        .iter()
        .map(|probe| match is_direct(model, probe) {
            true => None,
            false => probe.read(&wired, record, groups),
        })
        .collect();
    let ways = wired
        .rectifiers
        .iter()
        .map(|element| {
            let element = (*element)?;
            let Element::Rectifier { anode, cathode, .. } = wired.circuit.elements.get(element)?
            else {
                return None;
            };
            Some(Way {
                volts: record.volts(*cathode, *anode).mean(),
                amperes: record.amperes(element).mean(),
            })
        })
        .collect();
    let mut emission = vec![None; model.sheet.tubes.len()];
    for heaters in wired.heaters.iter().flatten() {
        for (body, &tube) in heaters.tubes.iter().enumerate() {
            emission[tube] = wired
                .circuit
                .groups
                .get(heaters.group)
                .and_then(|group| group.bodies.get(body))
                .zip(
                    groups
                        .get(heaters.group)
                        .and_then(|group| group.bodies.get(body)),
                )
                .and_then(|(body, state)| body.emission_ratio(state));
        }
    }
    let held = wired
        .circuit
        .elements
        .iter()
        .enumerate()
        .map(|(index, element)| match element {
            Element::Warm { .. } => record.siemens(index),
            Element::Load { siemens, .. } if *siemens > 0.0 => record.siemens(index) / siemens,
            _ => 0.0,
        })
        .collect();
    let nodes = wired.nodes.iter();
    let volts = nodes.map(|&node| record.mean_volts(node)).collect();
    let peak = |&node: &circuit::Node| {
        let wave = record.volts(node, 0);
        wave.highest().max(-wave.lowest())
    };
    let peaks = match asked.peaks {
        true => wired.nodes.iter().map(peak).collect(),
        false => Vec::new(),
    };
    let near = settled.at;
    drop(settled.record);
    Ok(Cycle {
        values,
        volts,
        peaks,
        ways,
        emission,
        held,
        near,
        wired,
    })
}
