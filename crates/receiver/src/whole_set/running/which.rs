//! Which stages run under given conditions.
//!
//! Volts, emission over its rated value. A driven stage runs while it is fitted, warm and
//! supplied, and while what feeds it runs. Nothing here fails.

use circuit::tube::ELECTRODES;

use crate::conditions::BenchConditions;
use crate::stages::{Drive, TubeStage};
use crate::wiring::SetModel;

use super::{Hold, Known, Running, sweep_outputs};

/// Below this a plate has no supply that a stage could run on, volts (judgement).
pub(in crate::whole_set) const LEAST_SUPPLY: f64 = 15.0;
/// Below this emission over its rated value a cathode runs no oscillation (judgement).
pub(in crate::whole_set) const LEAST_EMISSION: f64 = 0.05;

/// Every stage as it would be without any signal; driven ones absent.
pub(in crate::whole_set) fn without_signals(
    model: &SetModel<'_>,
    conditions: &BenchConditions,
) -> Vec<Running> {
    model
        .stages
        .complete
        .iter()
        .map(|stage| {
            // A damper without sweep is a plain diode, and feeds what hangs on it.
            let driven = stage.drive.is_signal() && !stage.is_damper();
            if model.is_pulled(stage.tube, conditions) || driven {
                Running::Absent
            } else {
                Running::AtRest
            }
        })
        .collect()
}
/// Which stages run under these conditions, given how they run in the maker's set and which
/// are known to stand still.
pub(in crate::whole_set) fn under(
    model: &SetModel<'_>,
    conditions: &BenchConditions,
    usual: &[Running],
    plain_volts: &[f64],
    emission: &[Option<f64>],
    stopped: &[usize],
) -> Vec<Running> {
    let stages = &model.stages.complete;
    let fitted = |number: usize| {
        let tube = stages[number].tube;
        !model.is_pulled(tube, conditions)
    };
    let warm = |number: usize| {
        emission
            .get(stages[number].tube)
            .copied()
            .flatten()
            .is_some_and(|emission| emission > LEAST_EMISSION)
    };
    let supplied = |stage: &TubeStage| {
        stage.electrodes[0].is_some_and(|plate| {
            let cathode = plain_volts.get(stage.cathode).copied().unwrap_or(0.0);
            plain_volts.get(plate).copied().unwrap_or(0.0) - cathode.min(0.0) > LEAST_SUPPLY
        })
    };
    let mut runs: Vec<bool> = stages
        .iter()
        .enumerate()
        .map(|(number, stage)| {
            stage.drive.is_signal()
                && fitted(number)
                && warm(number)
                && supplied(stage)
                && !stopped.contains(&number)
        })
        .collect();
    // What feeds a stage has to run as well; and so on along the chain.
    let mut again = true;
    while again {
        again = false;
        for (number, stage) in stages.iter().enumerate() {
            if !runs[number] {
                continue;
            }
            let fed = match &stage.drive {
                Drive::AtRest => false,
                Drive::Oscillates { with } => {
                    with.is_empty() || with.iter().any(|&other| runs[other])
                }
                Drive::Driven { by } => by.is_empty() || by.iter().any(|&other| runs[other]),
                Drive::Pulsed => sweep_outputs(model, stages)
                    .iter()
                    .any(|&output| runs[output]),
            };
            if !fed {
                runs[number] = false;
                again = true;
            }
        }
    }
    stages
        .iter()
        .enumerate()
        .map(|(number, stage)| {
            if !fitted(number) {
                Running::Absent
            } else if runs[number] {
                usual.get(number).cloned().unwrap_or(Running::Driven {
                    holds: [Hold::Nothing; ELECTRODES],
                    known: Known::Unknown {
                        because: format!(
                            "a signal makes the volts of {}",
                            model.sheet.tubes[stage.tube].reference
                        ),
                    },
                })
            } else {
                Running::AtRest
            }
        })
        .collect()
}
