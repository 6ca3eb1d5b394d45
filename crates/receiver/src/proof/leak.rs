//! The leakage that a healthy set itself gives: its own circuit solved with the measuring network on.
//!
//! Milliamperes rms. The network lies between a place and the blade that is ground that way round, the
//! set running or switched off. Its line capacitors are taken at their marks, and all at the low and all
//! at the high end of their tolerance (20 percent where none is marked). What passes between the windings of a
//! transformer and across an insulator is not on a sheet and not in it. Fails where no settled state is
//! found.

use circuit::{Element, Solver, SolverOptions, Start};

use super::network::{NETWORK_FARADS, NETWORK_OHMS, network_milliamperes};
use crate::conditions::BenchConditions;
use crate::expect::{ExpectError, Predictor};
use crate::plan::situation::line_capacitors;
use crate::sheet::PartValue;
use crate::wiring::{Figure, Variation};

/// Tolerance of a capacitor that bears none (trade number "paper capacitor tolerance then").
const USUAL_TOLERANCE: f64 = 0.2;
/// What ties a floating part of the circuit in this calculation; it passes a tenth of a microampere.
const TIED_OHMS: f64 = 1e9;

/// How plug and switch stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct LeakState {
    /// True where line b is ground, false for the other way of the plug.
    pub line_b_is_ground: bool,
    /// Whether the set is switched on.
    pub switched_on: bool,
}

impl LeakState {
    /// All four.
    pub const ALL: [LeakState; 4] = [
        LeakState {
            line_b_is_ground: true,
            switched_on: true,
        },
        LeakState {
            line_b_is_ground: true,
            switched_on: false,
        },
        LeakState {
            line_b_is_ground: false,
            switched_on: true,
        },
        LeakState {
            line_b_is_ground: false,
            switched_on: false,
        },
    ];
}

/// Leakage from a junction, or the chassis, through the network: low, marked, high.
///
/// # Errors
/// No settled state.
pub fn computed_leakage(
    predictor: &Predictor<'_, '_>,
    junction: Option<usize>,
    line_volts: f64,
    state: LeakState,
) -> Result<[f64; 3], ExpectError> {
    let model = predictor.model;
    let line_parts = line_capacitors(model);
    let mut found = [0.0; 3];
    for (slot, end) in [-1.0, 0.0, 1.0].into_iter().enumerate() {
        let mut variation = Variation::none();
        for &part in &line_parts {
            let share = match &model.sheet.parts[part].value {
                PartValue::Capacitor {
                    tolerance: Some(tolerance),
                    ..
                } => (tolerance.high(1.0) - 1.0).max(1.0 - tolerance.low(1.0)),
                _ => USUAL_TOLERANCE,
            };
            variation.set(Figure::Farads(part), 1.0 + end * share);
        }
        found[slot] = one(predictor, junction, line_volts, state, &variation)?;
    }
    found.sort_by(f64::total_cmp);
    Ok(found)
}

fn one(
    predictor: &Predictor<'_, '_>,
    junction: Option<usize>,
    line_volts: f64,
    state: LeakState,
    variation: &Variation,
) -> Result<f64, ExpectError> {
    let model = predictor.model;
    let open = if state.switched_on {
        Vec::new()
    } else {
        model
            .sheet
            .parts
            .iter()
            .filter(|part| matches!(part.value, PartValue::Switch { .. }))
            .map(|part| part.reference.clone())
            .collect()
    };
    let conditions = BenchConditions {
        line_volts: Some(line_volts),
        open,
        ..BenchConditions::default()
    };
    let mut wired = model.wire(&conditions, variation)?;
    let Some((blade_a, blade_b)) = wired.blades else {
        return Ok(0.0);
    };
    let ground = if state.line_b_is_ground {
        blade_b
    } else {
        blade_a
    };
    let point = junction.map_or(0, |junction| wired.node(junction));
    for &tie in &wired.ties {
        if let Some(Element::Resistor { ohms, .. }) = wired.circuit.elements.get_mut(tie) {
            *ohms = TIED_OHMS;
        }
    }
    wired.circuit.resistor(point, ground, NETWORK_OHMS);
    wired.circuit.add(Element::Capacitor {
        a: point,
        b: ground,
        farads: NETWORK_FARADS,
        series_ohms: 0.0,
        leak_siemens: 0.0,
    });
    let solver = Solver::new(&wired.circuit, SolverOptions::default())?;
    let start = if model.has_thermistor() {
        Start::Cold
    } else {
        Start::Warm
    };
    let settled = solver.settled(start)?;
    let volts = settled.record.volts(point, ground);
    let mean = volts.mean();
    let rms = volts.rms();
    // The meter reads alternating volts; what is direct has its own check.
    let alternating = (rms * rms - mean * mean).max(0.0).sqrt();
    Ok(network_milliamperes(alternating, model.sheet.line_hertz))
}
