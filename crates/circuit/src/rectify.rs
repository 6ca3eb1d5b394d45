//! The currents of the rectifiers at one moment.
//!
//! Inside: volts, amperes. Newton's method on the rectifiers' volts against the
//! solved network; near a corner the step is cut there. Fails with the volts left
//! over when no balance is found.

use crate::dense::{add_scaled, dense_solve, dot};
use crate::element::{Circuit, Element};
use crate::error::CircuitError;
use crate::fold::Folded;
use crate::rectifier::RectifierLaw;
use crate::stage::Layout;

/// Newton tries for the rectifiers of one stage.
const TRIES: usize = 60;

/// Relative and absolute accuracy of a rectifier's volts before the last step.
const VOLTS_RELATIVE: f64 = 1e-8;
const VOLTS_ABSOLUTE: f64 = 1e-6;

/// Tries with full Newton steps. They nearly always suffice: the laws rise and
/// mostly bend upwards.
const FULL_STEPS: usize = 10;

/// The rectifiers' currents and the room to find them.
#[derive(Debug, Clone, Default)]
pub(crate) struct Rectified {
    /// Currents less the leak that stands in the network.
    pub amperes: Vec<f64>,
    /// Their slopes.
    pub slopes: Vec<f64>,
    left: Vec<f64>,
    active: Vec<usize>,
    square: Vec<f64>,
    right: Vec<f64>,
}

impl Rectified {
    /// Room for `k` rectifiers.
    pub fn new(k: usize) -> Rectified {
        Rectified {
            amperes: vec![0.0; k],
            slopes: vec![0.0; k],
            left: vec![0.0; k],
            active: Vec::with_capacity(k),
            square: Vec::with_capacity(k * k),
            right: Vec::with_capacity(k),
        }
    }

    /// Finds the currents. `open` holds the rectifiers' volts without any current;
    /// `volts` the last volts as a first guess, and the result. Gives the tries made.
    pub fn find(
        &mut self,
        folded: &Folded,
        laws: &[RectifierLaw],
        emission: &[f64],
        open: &[f64],
        volts: &mut [f64],
        seconds: f64,
    ) -> Result<usize, CircuitError> {
        let mut last = f64::INFINITY;
        // The slopes of the moment before make the first step.
        self.leave(folded, open, volts);
        if self.step(folded) {
            for (volts, step) in volts.iter_mut().zip(&self.left) {
                *volts += step;
            }
        }
        for tries in 1..=TRIES {
            self.begin(laws, emission, volts);
            let worst = self.leave(folded, open, volts);
            if worst <= 1.0 {
                // What is left is so small that a last straight step ends it: the network
                // is met exactly, the laws up to its square.
                if worst > 0.0 && self.step(folded) {
                    for (row, step) in self.left.iter().enumerate() {
                        volts[row] += step;
                        self.amperes[row] += self.slopes[row] * step;
                    }
                }
                return Ok(tries);
            }
            if !worst.is_finite() {
                break;
            }
            last = worst;
            if !self.step(folded) {
                break;
            }
            let share = if tries <= FULL_STEPS {
                1.0
            } else if folded.k == 1 {
                step_share(tries)
            } else {
                share_to_corner(laws, volts, &self.left)
            };
            for (volts, step) in volts.iter_mut().zip(&self.left) {
                *volts += share * step;
            }
        }
        Err(CircuitError::Rectifier {
            seconds,
            iterations: TRIES,
            volts: last,
        })
    }

    /// Currents and slopes at these volts.
    pub fn begin(&mut self, laws: &[RectifierLaw], emission: &[f64], volts: &[f64]) {
        for (row, law) in laws.iter().enumerate() {
            let (current, slope) = law.current(volts[row], emission[row]);
            let base = law.base_siemens();
            self.amperes[row] = current - base * volts[row];
            self.slopes[row] = slope - base;
        }
    }

    /// Volts left over at each rectifier; gives the largest as a multiple of the allowed.
    fn leave(&mut self, folded: &Folded, open: &[f64], volts: &[f64]) -> f64 {
        let mut worst = 0.0f64;
        for (row, (open, volts)) in open.iter().zip(volts).enumerate() {
            let left = open - volts + dot(folded.coupling(row), &self.amperes);
            self.left[row] = left;
            let allowed = VOLTS_ABSOLUTE + VOLTS_RELATIVE * volts.abs();
            worst = if left.is_nan() {
                f64::INFINITY
            } else {
                worst.max(left.abs() / allowed)
            };
        }
        worst
    }

    /// Turns what is left over into Newton's step; false where there is none.
    fn step(&mut self, folded: &Folded) -> bool {
        solve_active(
            folded,
            &self.slopes,
            &mut self.left,
            1,
            &mut self.active,
            &mut self.square,
            &mut self.right,
        )
    }
}

/// Solves `(1 - coupling * slopes) x = right` for the rectifiers' rows, `width` numbers
/// each; `right` becomes the solution. Rectifiers that do not conduct only follow the
/// others. False where there is no solution.
pub(crate) fn solve_active(
    folded: &Folded,
    slopes: &[f64],
    right: &mut [f64],
    width: usize,
    active: &mut Vec<usize>,
    square: &mut Vec<f64>,
    reduced: &mut Vec<f64>,
) -> bool {
    active.clear();
    active.extend((0..folded.k).filter(|&row| slopes[row] != 0.0));
    if active.is_empty() || width == 0 {
        return true;
    }
    square.clear();
    reduced.clear();
    for &row in active.iter() {
        let coupling = folded.coupling(row);
        square.extend(
            active.iter().map(|&column| {
                f64::from(u8::from(row == column)) - coupling[column] * slopes[column]
            }),
        );
        reduced.extend_from_slice(&right[row * width..(row + 1) * width]);
    }
    if dense_solve(square, reduced, active.len(), width).is_err() {
        return false;
    }
    for (row, target) in right.chunks_exact_mut(width).enumerate() {
        if slopes[row] != 0.0 {
            continue;
        }
        let coupling = folded.coupling(row);
        for (&column, solved) in active.iter().zip(reduced.chunks_exact(width)) {
            add_scaled(target, coupling[column] * slopes[column], solved);
        }
    }
    for (&row, solved) in active.iter().zip(reduced.chunks_exact(width)) {
        right[row * width..(row + 1) * width].copy_from_slice(solved);
    }
    true
}

/// How much of a step may be taken before the first rectifier passes its corner.
/// Two rectifiers that feed one choke can otherwise hand the current to and fro
/// for ever; stopping at each corner ends that (the path that Katzenelson follows,
/// Bell System Tech. J. 44 (1965) 1605, from memory).
fn share_to_corner(laws: &[RectifierLaw], volts: &[f64], step: &[f64]) -> f64 {
    let mut share = 1.0f64;
    for ((law, &volts), &step) in laws.iter().zip(volts).zip(step) {
        let (corner, width) = law.corner();
        let away = corner - volts;
        if away.abs() > width && step * away > 0.0 && step.abs() > away.abs() {
            share = share.min(away / step);
        }
    }
    share
}

/// A single rectifier needs only shorter steps near its emission limit.
fn step_share(tries: usize) -> f64 {
    match tries {
        0..=12 => 1.0,
        13..=30 => 0.5,
        _ => 0.25,
    }
}

/// The laws of a circuit's rectifiers in the layout's order.
pub(crate) fn laws(circuit: &Circuit, layout: &Layout) -> Vec<RectifierLaw> {
    layout
        .rectifiers
        .iter()
        .filter_map(|&index| match &circuit.elements[index] {
            Element::Rectifier { law, .. } => Some(*law),
            _ => None,
        })
        .collect()
}
