//! What the supply feels of driven stages that nothing tells of.
//!
//! Volts, amperes, siemens. Source: shares of the resting current (judgement) and trade
//! numbers. The readings of such stages stay unknown. Nothing here fails.

use std::collections::HashMap;

use circuit::tube::ELECTRODES;

use crate::conditions::BenchConditions;
use crate::stages::{Drive, TubeStage};
use crate::wiring::{SetModel, Variation};

use super::super::cycle::Cycle;
use super::super::direct::{Direct, Supply};
use super::{Hold, Known, Running, sweep_outputs};

/// Share of the cathode current that the screen of a driven beam tube takes (from memory:
/// data sheets of sweep tubes give 6 to 15 of 100).
pub(super) const SCREEN_SHARE: f64 = 0.1;
/// What a running stage draws of what it would draw at rest, where nothing tells
/// (judgement; its band is wide).
const RUNNING_SHARE: f64 = 0.5;

/// Plate and screen currents of the driven stages if no signal drove them.
pub(super) fn resting_currents(
    model: &SetModel<'_>,
    conditions: &BenchConditions,
    cycle: &Cycle,
    supply: &Supply<'_>,
) -> HashMap<usize, [f64; ELECTRODES]> {
    let all: Vec<Running> = model
        .stages
        .complete
        .iter()
        .map(|stage| {
            if model.is_pulled(stage.tube, conditions) {
                Running::Absent
            } else {
                Running::AtRest
            }
        })
        .collect();
    let mut found = HashMap::new();
    let Ok(direct) = Direct::new(model, &cycle.wired, &all) else {
        return found;
    };
    let figures = direct.figures(model, &cycle.wired, &Variation::none(), supply);
    if let Ok(point) = direct.operating.solve(&figures, None) {
        for number in 0..all.len() {
            if let Some(amperes) = direct.stage_amperes(&figures, &point, number) {
                found.insert(number, amperes);
            }
        }
    }
    found
}

/// Cathode current of a horizontal output tube, amperes: trade numbers of the catalogue
/// (70 to 120 mA in sets of 17 to 21 inches, 45 to 90 mA in smaller ones; from memory).
pub(super) const SWEEP_AMPERES: f64 = 0.085;

/// What the supply feels of a driven stage that nothing tells of.
pub(super) fn usual(
    model: &SetModel<'_>,
    stage: &TubeStage,
    volts: &[f64],
    at_rest: Option<&[f64; ELECTRODES]>,
) -> Running {
    let reference = &model.sheet.tubes[stage.tube].reference;
    let stages = &model.stages.complete;
    let is_output = sweep_outputs(model, stages)
        .iter()
        .any(|&number| std::ptr::eq(&stages[number], stage));
    let mut holds = [Hold::Nothing; ELECTRODES];
    let at = |junction: usize| volts.get(junction).copied().unwrap_or(0.0);
    for electrode in [0, 2] {
        let Some(junction) = stage.electrodes[electrode] else {
            continue;
        };
        let amperes = if is_output {
            SWEEP_AMPERES
                * match (electrode, stage.electrodes[2]) {
                    (2, _) => SCREEN_SHARE,
                    _ => 1.0 - SCREEN_SHARE,
                }
        } else {
            at_rest.map_or(0.0, |amperes| RUNNING_SHARE * amperes[electrode])
        };
        let across = at(junction) - at(stage.cathode);
        if across > 1.0 && amperes > 0.0 {
            holds[electrode] = Hold::Draws {
                siemens: amperes / across,
            };
        }
    }
    let what = match &stage.drive {
        Drive::Oscillates { .. } => "its own oscillation makes its volts",
        Drive::Pulsed => "the sweep's pulses make its volts",
        _ => "the signal at its grid makes its volts",
    };
    Running::Driven {
        holds,
        known: Known::Unknown {
            because: format!(
                "{reference} is driven: {what}, and the maker's chart does not give them"
            ),
        },
    }
}
