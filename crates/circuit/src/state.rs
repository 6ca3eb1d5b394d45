//! The state of a whole set at the start of a line cycle.
//!
//! Inside: volts, amperes, siemens, kelvin (inside the thermal groups). Plain
//! data; nothing here can fail.

use crate::cycle::CycleModel;
use crate::element::{BodyRef, Element};
use crate::stage::LEAST_LOAD_SIEMENS;
use crate::thermal::{Arrangement, GroupState, space_charge_share};

/// State of a set at the start of a cycle.
#[derive(Debug, Clone)]
pub struct SetState {
    /// Capacitor volts and coil amperes in the order of the elements.
    pub electrical: Vec<f64>,
    /// Temperatures of the thermal groups.
    pub groups: Vec<GroupState>,
    /// Conductance of each lamp, heater group and load.
    pub(crate) siemens: Vec<f64>,
    /// Emission share of each rectifier.
    pub(crate) emission: Vec<f64>,
    /// The rectifiers' volts, a first guess for the next step.
    pub(crate) volts: Vec<f64>,
    /// What drives each thermal group: mean-square volts over the last cycle.
    pub(crate) drive: Vec<f64>,
}

/// Work done, in counts that do not depend on the machine.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Work {
    /// Time steps.
    pub steps: usize,
    /// The same in cycles of the fine grid.
    pub cycles: f64,
    /// Newton tries of the rectifiers.
    pub rectifier_tries: usize,
    /// Newton iterations on the cycle.
    pub iterations: usize,
    /// Solved linear networks.
    pub factorisations: usize,
}

impl Work {
    /// Adds the work of another run.
    pub fn add(&mut self, other: &Work) {
        self.steps += other.steps;
        self.cycles += other.cycles;
        self.rectifier_tries += other.rectifier_tries;
        self.iterations += other.iterations;
        self.factorisations += other.factorisations;
    }
}

impl SetState {
    /// Everything discharged and at room temperature.
    pub(crate) fn cold(model: &CycleModel<'_>, ambient_kelvin: f64) -> SetState {
        let groups = model.circuit.cold(ambient_kelvin);
        let mut state = SetState {
            electrical: vec![0.0; model.layout.states.len()],
            siemens: vec![0.0; model.layout.slow.len()],
            emission: vec![1.0; model.layout.rectifiers.len()],
            volts: vec![0.0; model.layout.rectifiers.len()],
            drive: vec![0.0; model.layout.thermal.len()],
            groups,
        };
        state.take_temperatures(model);
        state.follow_warm_up(model);
        state
    }

    /// Sets the conductance of lamps and heaters from the temperatures.
    pub(crate) fn take_temperatures(&mut self, model: &CycleModel<'_>) {
        for (siemens, port) in self.siemens.iter_mut().zip(&model.layout.slow) {
            if let Some(group) = port.group {
                *siemens = model.circuit.groups[group].siemens(&self.groups[group]);
            }
        }
    }

    /// Sets loads and emissions from the temperatures; returns the largest
    /// relative change of a load.
    pub(crate) fn follow_warm_up(&mut self, model: &CycleModel<'_>) -> f64 {
        let mut change = 0.0f64;
        for (now, port) in self.siemens.iter_mut().zip(&model.layout.slow) {
            if let Some((siemens, warm)) = load_siemens(model, &self.groups, port.element) {
                change = change.max((siemens - *now).abs() / warm);
                *now = siemens;
            }
        }
        for (emission, &index) in self.emission.iter_mut().zip(&model.layout.rectifiers) {
            // Only an emission near what is drawn matters; that shows as a change of states.
            if let Some(now) = emission_share(model, &self.groups, index) {
                *emission = now;
            }
        }
        change
    }
}

/// What a load draws at these temperatures, and when warm, siemens.
pub(crate) fn load_siemens(
    model: &CycleModel<'_>,
    groups: &[GroupState],
    element: usize,
) -> Option<(f64, f64)> {
    let Element::Load {
        siemens,
        warmed_by: Some(body),
        reserve,
        ..
    } = &model.circuit.elements[element]
    else {
        return None;
    };
    let share = space_charge_share(emission_of(model, groups, *body), *reserve);
    Some((
        (siemens * share).max(LEAST_LOAD_SIEMENS),
        siemens.max(LEAST_LOAD_SIEMENS),
    ))
}

/// Share of its rated emission that a heated rectifier has at these temperatures.
pub(crate) fn emission_share(
    model: &CycleModel<'_>,
    groups: &[GroupState],
    element: usize,
) -> Option<f64> {
    match &model.circuit.elements[element] {
        Element::Rectifier {
            heated_by: Some(body),
            ..
        } => Some(emission_of(model, groups, *body)),
        _ => None,
    }
}

fn emission_of(model: &CycleModel<'_>, groups: &[GroupState], body: BodyRef) -> f64 {
    model.circuit.groups[body.group].bodies[body.body]
        .emission_ratio(&groups[body.group].bodies[body.body])
        // A body without a cathode limits nothing.
        .unwrap_or(1.0)
}

/// What drives a thermal group: mean-square volts, or amperes for a string.
pub(crate) fn group_drive(arrangement: Arrangement, siemens: f64, mean_square_volts: f64) -> f64 {
    match arrangement {
        Arrangement::Parallel => mean_square_volts,
        Arrangement::Series => siemens * siemens * mean_square_volts,
    }
}
