//! Stages that a signal drives, with a screen that stands elsewhere than in the healthy set.
//!
//! Volts, amperes, siemens. What plate and screen of such a stage take on average was found in the healthy set. With the
//! screen's feed open or its bypass leaky it takes far less: a tetrode's current goes with the power of three halves
//! of its screen volts (closed form of the three-halves law; at the same drive over the screen's). What moves with the
//! whole supply is left to the drives that go with it. Nothing here fails; a set without a point stays without.

use circuit::CircuitError;
use circuit::operating::{Figure, Operating, Point};

use crate::wiring::SetModel;

use super::couple::WholeSet;
use super::direct::Direct;
use super::running::{Hold, Running, supply_of};

/// Share by which a screen has moved beyond the supply when plate and screen currents go with it.
const SCREEN_FAR: f64 = 0.1;
/// Rounds in which they do.
pub(super) const SCREEN_ROUNDS: usize = 4;
/// Share of its screen volts below which a screen counts as gone.
const LEAST_SCREEN: f64 = 1e-3;

/// Stages with a screen that a signal drives: position, junctions of screen and cathode.
fn screened(model: &SetModel<'_>, running: &[Running]) -> Vec<(usize, usize, usize)> {
    let stages = model.stages.complete.iter().zip(running).enumerate();
    stages
        .filter_map(|(number, (stage, running))| {
            let screen = stage.electrodes[2].filter(|screen| stage.electrodes[0] != Some(*screen));
            matches!(running, Running::Driven { .. }).then_some((number, screen?, stage.cathode))
        })
        .collect()
}

/// Solves sets again where the screen of a stage that runs stands elsewhere than the supply alone would bring it: what
/// its plate and screen take goes with the screen. `sets` and `points` belong to one network.
pub(super) fn let_screens_rule(
    model: &SetModel<'_>,
    healthy: &WholeSet,
    (direct, operating): (&Direct, &Operating),
    sets: &mut [Vec<Figure>],
    points: &mut [Result<Point, CircuitError>],
) {
    let healthy_supply = supply_of(model, &healthy.volts);
    let screens = screened(model, &direct.running);
    if screens.is_empty() || healthy_supply <= 0.0 {
        return;
    }
    let mut taken = vec![vec![1.0; screens.len()]; points.len()];
    for _ in 0..SCREEN_ROUNDS {
        let mut moved: Vec<usize> = Vec::new();
        for (at, point) in points.iter().enumerate() {
            let Ok(point) = point else { continue };
            let volts = direct.volts(point);
            let share = supply_of(model, &volts) / healthy_supply;
            if share <= SCREEN_FAR {
                continue;
            }
            let mut is_moved = false;
            for ((stage, screen, cathode), taken) in screens.iter().zip(&mut taken[at]) {
                let across = |volts: &[f64]| volts[*screen] - volts[*cathode];
                let before = across(&healthy.volts);
                if before <= 1.0 {
                    continue;
                }
                let now = (across(&volts) / before / share).clamp(LEAST_SCREEN, 2.0);
                if (now / *taken - 1.0).abs() > SCREEN_FAR {
                    direct.scale_draws(&mut sets[at], *stage, now / *taken, healthy.scale * share);
                    *taken = now;
                    is_moved = true;
                }
            }
            if is_moved {
                moved.push(at);
            }
        }
        if moved.is_empty() {
            return;
        }
        let own: Vec<&[Figure]> = moved.iter().map(|at| &sets[*at][..]).collect();
        let starts: Vec<f64> = healthy.point.volts.clone();
        let anew = operating.solve_many(&own, Some(&starts));
        for (at, point) in moved.into_iter().zip(anew) {
            points[at] = point;
        }
    }
}

/// The volts of a set whose driven stages are known.
#[derive(Clone, Copy)]
pub(super) struct Known<'a> {
    /// By junction.
    pub volts: &'a [f64],
    /// Whether stages that were calculated as they run follow their screens by themselves.
    pub has_run_anew: bool,
}

/// Lets what driven stages take go with their screens, as [`let_screens_rule`] does for sets of one network; `volts` are
/// those with the stages `running`, `taken` what was taken over so far by stage. Whether anything has moved.
pub(super) fn let_screens_hold(
    model: &SetModel<'_>,
    known: Known<'_>,
    volts: &[f64],
    running: &mut [Running],
    taken: &mut Vec<f64>,
) -> bool {
    taken.resize(running.len(), 1.0);
    let supply = supply_of(model, known.volts);
    let share = supply_of(model, volts) / supply;
    if supply <= 0.0 || share <= SCREEN_FAR {
        return false;
    }
    let mut is_moved = false;
    for (stage, screen, cathode) in screened(model, running) {
        let at = |volts: &[f64], junction: usize| volts.get(junction).copied().unwrap_or(0.0);
        let across = |volts: &[f64]| at(volts, screen) - at(volts, cathode);
        let before = across(known.volts);
        let Some(Running::Driven { holds, known: how }) = running.get_mut(stage) else {
            continue;
        };
        if before <= 1.0 || (known.has_run_anew && matches!(how, super::Known::Running { .. })) {
            continue;
        }
        let now = (across(volts) / before / share).clamp(LEAST_SCREEN, 2.0);
        let more = now / taken[stage];
        if (more - 1.0).abs() <= SCREEN_FAR {
            continue;
        }
        for electrode in [0, 2] {
            let power = if electrode == 2 { 0.5 } else { 1.5 };
            match &mut holds[electrode] {
                Hold::Draws { siemens } => *siemens *= more.powf(power),
                Hold::Takes { amperes, .. } => *amperes *= more.powf(1.5),
                _ => {}
            }
        }
        taken[stage] = now;
        is_moved = true;
    }
    is_moved
}

impl Direct {
    /// Lets plate and screen of a driven stage take what they do with `screen` times its screen volts: a current goes
    /// with their power of three halves (the law of a tetrode; closed form). `scale` is that of the drives here.
    fn scale_draws(&self, figures: &mut [Figure], stage: usize, screen: f64, scale: f64) {
        let Some(Running::Driven { holds, .. }) = self.running.get(stage) else {
            return;
        };
        for electrode in [0, 2] {
            let Some(branch) = self.branch_of_hold(stage, electrode) else {
                continue;
            };
            let Some(Figure::Source { volts, siemens }) = figures.get_mut(branch) else {
                continue;
            };
            match (holds[electrode], electrode) {
                // Its volts have moved already by the first power.
                (Hold::Draws { .. }, 2) => *siemens *= screen.sqrt(),
                (Hold::Draws { .. }, _) => *siemens *= screen.powf(1.5),
                (Hold::Takes { at, .. }, _) => {
                    *volts = at * scale - screen.powf(1.5) * (at * scale - *volts);
                }
                _ => {}
            }
        }
    }
}
