//! The currents of the rectifiers at one moment.
//!
//! Inside: volts, amperes. Newton's method on the rectifiers' volts against the
//! solved network; where full steps swing, steps that a convex function keeps in
//! check. Fails with the volts left over when no balance is found.

use crate::dense::{add_scaled, dense_solve, dot};
use crate::element::{Circuit, Element};
use crate::error::CircuitError;
use crate::fold::Folded;
use crate::layout::Layout;
use crate::rectifier::RectifierLaw;

/// Tries with full Newton steps. They nearly always suffice: the laws rise and mostly
/// bend upwards.
const TRIES: usize = 12;

/// Relative and absolute accuracy of a rectifier's volts before the last step.
const VOLTS_RELATIVE: f64 = 1e-8;
const VOLTS_ABSOLUTE: f64 = 1e-6;

/// Tries by the careful way.
const CAREFUL_TRIES: usize = 200;

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
            if !self.step(folded) {
                break;
            }
            for (volts, step) in volts.iter_mut().zip(&self.left) {
                *volts += step;
            }
        }
        self.find_carefully(folded, laws, emission, open, volts)
            .map_err(|left| CircuitError::Rectifier {
                seconds,
                iterations: TRIES + CAREFUL_TRIES,
                volts: left,
            })
    }

    /// The way that always leads there, from no current at all. The volts that fit the
    /// network are `open + coupling * j` for some currents `j`; those that fit the laws
    /// too are where a strictly convex function of `j` is least, for every law rises and
    /// the network is passive. So each Newton step is cut where that function stops
    /// falling. Gives the tries made, or the volts left over.
    fn find_carefully(
        &mut self,
        folded: &Folded,
        laws: &[RectifierLaw],
        emission: &[f64],
        open: &[f64],
        volts: &mut [f64],
    ) -> Result<usize, f64> {
        let k = folded.k;
        let mut carried = vec![0.0; k];
        let mut step = vec![0.0; k];
        let mut trial = vec![0.0; k];
        let mut left = f64::INFINITY;
        for tries in 1..=CAREFUL_TRIES {
            for (row, volts) in volts.iter_mut().enumerate() {
                *volts = open[row] + dot(folded.coupling(row), &carried);
            }
            self.begin(laws, emission, volts);
            if self.leave(folded, open, volts) <= 1.0 {
                return Ok(TRIES + tries);
            }
            left = self
                .left
                .iter()
                .fold(0.0, |most: f64, left| most.max(left.abs()));
            let mut square = vec![0.0; k * k];
            for row in 0..k {
                for (column, coupling) in folded.coupling(row).iter().enumerate() {
                    square[row * k + column] =
                        f64::from(u8::from(row == column)) - self.slopes[row] * coupling;
                }
                step[row] = self.amperes[row] - carried[row];
            }
            if dense_solve(&mut square, &mut step, k, 1).is_err() {
                break;
            }
            let along: Vec<f64> = (0..k).map(|row| dot(folded.coupling(row), &step)).collect();
            let mut fall = |share: f64| -> f64 {
                for row in 0..k {
                    trial[row] = volts[row] + share * along[row];
                }
                (0..k)
                    .map(|row| {
                        let base = laws[row].base_siemens() * trial[row];
                        let current = laws[row].current(trial[row], emission[row]).0 - base;
                        along[row] * (current - carried[row] - share * step[row])
                    })
                    .sum()
            };
            let steepness = fall(0.0).abs();
            let mut share = 1.0;
            if fall(1.0) > 0.1 * steepness {
                let (mut low, mut high) = (0.0, 1.0);
                for _ in 0..60 {
                    share = 0.5 * (low + high);
                    let here = fall(share);
                    if here.abs() <= 0.1 * steepness {
                        break;
                    }
                    if here > 0.0 {
                        high = share;
                    } else {
                        low = share;
                    }
                }
            }
            for (carried, step) in carried.iter_mut().zip(&step) {
                *carried += share * step;
            }
        }
        Err(left)
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
