//! A sweep that gives less than usual: worn tubes, and a boosted line that is loaded beyond what it can give.
//!
//! Amperes. What the sweep output draws flows through the damper, and hardly more can: what else hangs on the boosted line is paid from
//! the same pulses. A short there, or a damper's heater that touches its cathode, ends the sweep: no pulses, no lift, no high voltage;
//! the damper is a plain diode (common practice). Where the line falls from full to nothing in between, no sheet tells; the
//! bound is judgement. Nothing here fails.

use circuit::operating::{Figure, Point};
use circuit::thermal::{USUAL_EMISSION_RESERVE, space_charge_share, worn_currents};

use crate::stages::Drive;
use crate::wiring::{Figure as SetFigure, SetModel, Variation};

use super::Usual;
use super::direct::Direct;
use super::known::Known;
use super::running::{Running, sweep_outputs};

/// Over what the damper carries in the maker's set, from which on the sweep stands still (judgement).
const OVERLOAD: f64 = 2.0;
/// Turns after the end of the sweep in which its damper is a diode by the tube's law.
pub(super) const BY_LAW_TURNS: usize = 2;
/// Supply below which nothing is judged: what the stages draw goes no longer with it.
const LEAST_SCALE: f64 = 0.2;

/// What each damper carries while the sweep lifts it, by stage; zero for all others.
pub(super) fn carried(
    model: &SetModel<'_>,
    direct: &Direct,
    figures: &[Figure],
    point: &Point,
) -> Vec<f64> {
    (0..model.stages.complete.len())
        .map(|stage| {
            if !direct.lifts(stage) {
                return 0.0;
            }
            let amperes = direct.stage_amperes(figures, point, stage);
            amperes.map_or(0.0, |amperes| amperes[0])
        })
        .collect()
}

/// Share of its usual currents that a stage driven by a signal gives with a worn cathode; 1 where the stage was calculated with it.
pub(super) fn given(
    model: &SetModel<'_>,
    running: &[Running],
    variation: &Variation,
    stage: usize,
) -> f64 {
    let is_calculated = matches!(
        running.get(stage),
        Some(Running::Driven {
            known: Known::Running { .. },
            ..
        })
    );
    let own = model.stages.complete.get(stage);
    let (emission, worn) = own.map_or((1.0, 1.0), |own| {
        let factor = |figure: SetFigure| variation.factor(figure);
        (
            factor(SetFigure::StageEmission(own.tube)),
            factor(SetFigure::Worn(own.tube)),
        )
    });
    match emission * worn == 1.0 || is_calculated {
        true => 1.0,
        false => space_charge_share(emission * worn, USUAL_EMISSION_RESERVE) * worn_currents(worn),
    }
}

/// Share of the usual lift that worn outputs and a worn damper leave: it goes with the current that the coils are swung by, and with
/// what the damper returns of it (common practice: either worn, the boosted line is low and the picture narrow; that it goes in
/// proportion is judgement).
pub(super) fn lift_left(
    model: &SetModel<'_>,
    running: &[Running],
    variation: &Variation,
    damper: usize,
) -> f64 {
    let is_worn =
        |figure: SetFigure| matches!(figure, SetFigure::StageEmission(_) | SetFigure::Worn(_));
    if !variation.figures().any(is_worn) {
        return 1.0;
    }
    let outputs = sweep_outputs(model, &model.stages.complete);
    let outputs = outputs.into_iter().chain([damper]);
    outputs
        .map(|stage| given(model, running, variation, stage))
        .product()
}

/// Whether a damper carries more than its sweep can give with the supply at `scale` of the maker's.
pub(super) fn is_overloaded(
    model: &SetModel<'_>,
    usual: &Usual,
    (direct, figures, point): (&Direct, &[Figure], &Point),
    scale: f64,
) -> bool {
    scale > LEAST_SCALE
        && usual.carried.iter().any(|usually| *usually > 0.0)
        && carried(model, direct, figures, point)
            .iter()
            .zip(&usual.carried)
            .any(|(now, usually)| *usually > 0.0 && *now > OVERLOAD * usually * scale)
}

/// Stages that the sweep's pulses drive, which end with it.
pub(super) fn ended<'m>(model: &'m SetModel<'_>) -> impl Iterator<Item = usize> + 'm {
    let stages = model.stages.complete.iter().enumerate();
    stages
        .filter(|(_, stage)| stage.drive == Drive::Pulsed || stage.is_damper())
        .map(|(number, _)| number)
}

/// Lets the dampers among stages that run without sweep be what the supply's cycle finds them to be.
pub(super) fn rectify(model: &SetModel<'_>, running: &mut [Running]) {
    let stages = model.stages.complete.iter().zip(running);
    for (_, running) in stages.filter(|(stage, _)| stage.is_damper()) {
        if *running == Running::AtRest {
            *running = Running::Rectifies;
        }
    }
}
