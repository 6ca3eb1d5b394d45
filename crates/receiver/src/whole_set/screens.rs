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
const SCREEN_ROUNDS: usize = 4;
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

/// The same for one set in a network of its own.
///
/// # Errors
/// Those of the network.
pub(super) fn screens_ruling(
    model: &SetModel<'_>,
    healthy: &WholeSet,
    direct: &Direct,
    (figures, point): (Vec<Figure>, Point),
) -> Result<(Vec<Figure>, Point), CircuitError> {
    let (mut sets, mut points) = ([figures], [Ok(point)]);
    let network = (direct, &direct.operating);
    let_screens_rule(model, healthy, network, &mut sets, &mut points);
    let ([figures], [point]) = (sets, points);
    Ok((figures, point?))
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
