//! The currents of the rectifiers at one moment.
//!
//! Inside: volts, amperes. Newton's method on the rectifiers' volts against the
//! solved network; near a corner the step is cut there. Fails with the volts left
//! over when no balance is found.

use crate::dense::dense_solve;
use crate::element::{Circuit, Element};
use crate::error::CircuitError;
use crate::fold::Folded;
use crate::rectifier::RectifierLaw;
use crate::stage::Layout;

/// Newton tries for the rectifiers of one stage.
const TRIES: usize = 60;

/// Relative and absolute accuracy of a rectifier's volts.
const VOLTS_RELATIVE: f64 = 1e-9;
const VOLTS_ABSOLUTE: f64 = 1e-9;

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
    square: Vec<f64>,
}

impl Rectified {
    /// Room for `k` rectifiers.
    pub fn new(k: usize) -> Rectified {
        Rectified {
            amperes: vec![0.0; k],
            slopes: vec![0.0; k],
            left: vec![0.0; k],
            square: vec![0.0; k * k],
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
        let k = folded.k;
        let mut last = f64::INFINITY;
        for tries in 1..=TRIES {
            for row in 0..k {
                let (current, slope) = laws[row].current(volts[row], emission[row]);
                let base = laws[row].base_siemens();
                self.amperes[row] = current - base * volts[row];
                self.slopes[row] = slope - base;
            }
            let mut worst = 0.0f64;
            for row in 0..k {
                let coupling = folded.coupling(row);
                let mut left = open[row] - volts[row];
                for column in 0..k {
                    left += coupling[column] * self.amperes[column];
                }
                self.left[row] = left;
                let allowed = VOLTS_ABSOLUTE + VOLTS_RELATIVE * volts[row].abs();
                worst = worst.max(left.abs() / allowed);
            }
            if worst <= 1.0 {
                return Ok(tries);
            }
            if !worst.is_finite() {
                break;
            }
            last = worst;
            if tries > FULL_STEPS && tries % 2 == 1 {
                self.settle_worst(folded, laws, emission, volts);
                continue;
            }
            if !self.step(folded) {
                break;
            }
            let share = if tries <= FULL_STEPS {
                1.0
            } else if k == 1 {
                step_share(tries)
            } else {
                share_to_corner(laws, volts, &self.left) * step_share(tries)
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

    /// Brings the rectifier with the most left over into balance by itself, the others
    /// held. Its equation rises throughout, so halving the interval always ends it;
    /// this gets Newton off a plateau of the emission limit behind a high resistance.
    fn settle_worst(
        &self,
        folded: &Folded,
        laws: &[RectifierLaw],
        emission: &[f64],
        volts: &mut [f64],
    ) {
        let worst = (0..folded.k)
            .max_by(|&a, &b| self.left[a].abs().total_cmp(&self.left[b].abs()))
            .unwrap_or(0);
        let own = folded.coupling(worst)[worst];
        let base = laws[worst].base_siemens();
        // volts = rest + own * current(volts), with own below zero.
        let rest = self.left[worst] + volts[worst] - own * self.amperes[worst];
        let (mut low, mut high) = (rest.min(0.0), rest.max(0.0));
        for _ in 0..80 {
            let middle = 0.5 * (low + high);
            let current = laws[worst].current(middle, emission[worst]).0 - base * middle;
            if middle - rest - own * current > 0.0 {
                high = middle;
            } else {
                low = middle;
            }
        }
        volts[worst] = 0.5 * (low + high);
    }

    /// Turns what is left over into Newton's step; false where there is none.
    fn step(&mut self, folded: &Folded) -> bool {
        let k = folded.k;
        match k {
            1 => {
                self.left[0] /= 1.0 - folded.coupling(0)[0] * self.slopes[0];
                true
            }
            2 => {
                let (one, two) = (folded.coupling(0), folded.coupling(1));
                let (a, b) = (1.0 - one[0] * self.slopes[0], -one[1] * self.slopes[1]);
                let (c, d) = (-two[0] * self.slopes[0], 1.0 - two[1] * self.slopes[1]);
                let over = 1.0 / (a * d - b * c);
                let (x, y) = (self.left[0], self.left[1]);
                self.left[0] = (d * x - b * y) * over;
                self.left[1] = (a * y - c * x) * over;
                over.is_finite()
            }
            _ => {
                for row in 0..k {
                    for (column, coupling) in folded.coupling(row).iter().enumerate() {
                        self.square[row * k + column] =
                            f64::from(u8::from(row == column)) - coupling * self.slopes[column];
                    }
                }
                dense_solve(&mut self.square, &mut self.left, k, 1).is_ok()
            }
        }
    }
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
