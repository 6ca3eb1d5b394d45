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
    /// Readings of the probes.
    pub values: Vec<Option<f64>>,
    /// Mean volts by junction.
    pub volts: Vec<f64>,
    /// Highest momentary volts by junction, without sign.
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

/// Solves the cycle with these loads in place of the stages.
pub(super) fn solve(
    model: &SetModel<'_>,
    conditions: &BenchConditions,
    variation: &Variation,
    loads: &[StageLoad],
    probes: &[Probe],
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
    let values = probes
        .iter()
        .map(|probe| probe.read(&wired, record, groups))
        .collect();
    let waves: Vec<_> = wired
        .nodes
        .iter()
        .map(|&node| record.volts(node, 0))
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
    let volts = waves.iter().map(|wave| wave.mean()).collect();
    let peaks = waves
        .iter()
        .map(|wave| wave.highest().max(-wave.lowest()))
        .collect();
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
