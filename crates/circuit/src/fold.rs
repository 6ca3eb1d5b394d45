//! A solved stage with its slow ports folded in, ready for time steps.
//!
//! Inside: volts, amperes, siemens. While the conductances of lamps, heaters and
//! loads are held, their ports are eliminated from the stage once; what remains
//! per step is one small product for the histories and one small Newton solution
//! for the rectifiers. Fails when the rectifiers find no balance.

use crate::element::{Circuit, Element};
use crate::error::CircuitError;
use crate::rectifier::RectifierLaw;
use crate::stage::{Layout, SOURCES, Stage};

/// Newton tries for the rectifiers of one stage.
const TRIES: usize = 60;

/// Relative and absolute accuracy of a rectifier's volts.
const VOLTS_RELATIVE: f64 = 1e-9;
const VOLTS_ABSOLUTE: f64 = 1e-9;

/// A stage with held conductances.
#[derive(Debug, Clone)]
pub(crate) struct Folded {
    /// States.
    pub m: usize,
    /// Rectifiers.
    pub k: usize,
    /// Slow ports.
    pub q: usize,
    /// Columns: histories, sources, rectifiers.
    pub columns: usize,
    /// Rows: rectifier volts (k), states (m), slow volts (q).
    pub rows: Vec<f64>,
    /// Response of every row to one ampere more through each slow port (rows x q).
    pub forced: Vec<f64>,
    /// Conductance of each slow port less its base.
    pub excess: Vec<f64>,
}

impl Folded {
    /// Folds slow ports of these conductances (siemens, in the layout's order) into a stage.
    pub fn new(layout: &Layout, stage: &Stage, siemens: &[f64]) -> Result<Folded, CircuitError> {
        let m = layout.states.len();
        let k = layout.rectifiers.len();
        let q = layout.slow.len();
        let columns = m + SOURCES + k;
        let all = stage.columns;
        let excess: Vec<f64> = siemens
            .iter()
            .zip(&layout.slow)
            .map(|(siemens, port)| siemens - port.base_siemens)
            .collect();
        // volts = direct + Z (excess * volts)  =>  (1 - Z excess) volts = direct
        let slow_rows = &stage.ports[k * all..];
        let mut solve = vec![0.0; q * q];
        let mut right = vec![0.0; q * (columns + q)];
        let width = columns + q;
        for row in 0..q {
            let from = &slow_rows[row * all..(row + 1) * all];
            for column in 0..q {
                solve[row * q + column] =
                    f64::from(u8::from(row == column)) - from[columns + column] * excess[column];
            }
            right[row * width..row * width + columns].copy_from_slice(&from[..columns]);
            right[row * width + columns..(row + 1) * width].copy_from_slice(&from[columns..]);
        }
        dense_solve(&mut solve, &mut right, q, width)
            .map_err(|pivot| CircuitError::Singular { node: 0, pivot })?;
        let mut rows = Vec::with_capacity((k + m + q) * columns);
        let mut forced = Vec::with_capacity((k + m + q) * q);
        for source in [&stage.ports[..k * all], &stage.states[..]] {
            for from in source.chunks_exact(all) {
                let start = rows.len();
                rows.extend_from_slice(&from[..columns]);
                let forced_start = forced.len();
                forced.extend_from_slice(&from[columns..]);
                for slow in 0..q {
                    let gain = from[columns + slow] * excess[slow];
                    let volts = &right[slow * width..(slow + 1) * width];
                    for (target, value) in rows[start..].iter_mut().zip(&volts[..columns]) {
                        *target += gain * value;
                    }
                    for (target, value) in forced[forced_start..].iter_mut().zip(&volts[columns..])
                    {
                        *target += gain * value;
                    }
                }
            }
        }
        for row in right.chunks_exact(width.max(1)).take(q) {
            rows.extend_from_slice(&row[..columns]);
            forced.extend_from_slice(&row[columns..]);
        }
        Ok(Folded {
            m,
            k,
            q,
            columns,
            rows,
            forced,
            excess,
        })
    }

    /// One row: rectifiers first, then states, then slow ports.
    #[inline]
    pub fn row(&self, row: usize) -> &[f64] {
        &self.rows[row * self.columns..(row + 1) * self.columns]
    }

    /// Finds the rectifier currents for given histories and sources.
    ///
    /// `known` holds histories and sources; `volts` the last volts as a first
    /// guess, and the result; `amperes` and `slopes` are filled.
    #[allow(clippy::too_many_arguments)]
    pub fn rectify(
        &self,
        laws: &[RectifierLaw],
        emission: &[f64],
        known: &[f64],
        volts: &mut [f64],
        amperes: &mut [f64],
        slopes: &mut [f64],
        scratch: &mut Scratch,
        seconds: f64,
    ) -> Result<usize, CircuitError> {
        let k = self.k;
        let first = self.m + SOURCES;
        for row in 0..k {
            scratch.open[row] = dot(&self.row(row)[..first], known);
        }
        if k == 1 {
            return self.rectify_one(laws, emission, volts, amperes, slopes, scratch, seconds);
        }
        let mut last = f64::INFINITY;
        for tries in 1..=TRIES {
            for row in 0..k {
                let (current, slope) = laws[row].current(volts[row], emission[row]);
                let base = laws[row].base_siemens();
                amperes[row] = current - base * volts[row];
                slopes[row] = slope - base;
            }
            let mut worst = 0.0f64;
            for row in 0..k {
                let coupling = &self.row(row)[first..];
                let mut left = scratch.open[row] - volts[row];
                for column in 0..k {
                    left += coupling[column] * amperes[column];
                    scratch.square[row * k + column] =
                        f64::from(u8::from(row == column)) - coupling[column] * slopes[column];
                }
                scratch.left[row] = left;
                worst =
                    worst.max(left.abs() / (VOLTS_ABSOLUTE + VOLTS_RELATIVE * volts[row].abs()));
            }
            if worst <= 1.0 {
                return Ok(tries);
            }
            last = worst;
            if dense_solve(&mut scratch.square, &mut scratch.left, k, 1).is_err() {
                break;
            }
            let share = if tries <= FULL_STEPS {
                1.0
            } else {
                share_to_corner(laws, volts, &scratch.left)
            };
            for row in 0..k {
                volts[row] += share * scratch.left[row];
            }
        }
        Err(CircuitError::Rectifier {
            seconds,
            iterations: TRIES,
            volts: last,
        })
    }

    #[allow(clippy::too_many_arguments)]
    fn rectify_one(
        &self,
        laws: &[RectifierLaw],
        emission: &[f64],
        volts: &mut [f64],
        amperes: &mut [f64],
        slopes: &mut [f64],
        scratch: &Scratch,
        seconds: f64,
    ) -> Result<usize, CircuitError> {
        let open = scratch.open[0];
        let coupling = self.row(0)[self.m + SOURCES];
        let base = laws[0].base_siemens();
        let mut left = 0.0;
        for tries in 1..=TRIES {
            let (current, slope) = laws[0].current(volts[0], emission[0]);
            amperes[0] = current - base * volts[0];
            slopes[0] = slope - base;
            left = open + coupling * amperes[0] - volts[0];
            if left.abs() <= VOLTS_ABSOLUTE + VOLTS_RELATIVE * volts[0].abs() {
                return Ok(tries);
            }
            volts[0] += step_share(tries) * left / (1.0 - coupling * slopes[0]);
        }
        Err(CircuitError::Rectifier {
            seconds,
            iterations: TRIES,
            volts: left,
        })
    }
}

/// Tries with full Newton steps. They nearly always suffice: the laws rise and
/// mostly bend upwards.
const FULL_STEPS: usize = 10;

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

/// Room for one stage's solution.
#[derive(Debug, Clone)]
pub(crate) struct Scratch {
    pub open: Vec<f64>,
    pub left: Vec<f64>,
    pub square: Vec<f64>,
}

impl Scratch {
    pub fn new(k: usize) -> Scratch {
        Scratch {
            open: vec![0.0; k],
            left: vec![0.0; k],
            square: vec![0.0; k * k],
        }
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

/// Sum of products.
#[inline]
pub(crate) fn dot(row: &[f64], column: &[f64]) -> f64 {
    row.iter().zip(column).map(|(a, b)| a * b).sum()
}

/// Solves a small dense system with row exchange; both arguments are overwritten
/// and `right` (n rows of `width`) becomes the solution. The failing pivot is returned.
pub(crate) fn dense_solve(
    square: &mut [f64],
    right: &mut [f64],
    n: usize,
    width: usize,
) -> Result<(), f64> {
    for turn in 0..n {
        let mut best = turn;
        for row in turn + 1..n {
            if square[row * n + turn].abs() > square[best * n + turn].abs() {
                best = row;
            }
        }
        let pivot = square[best * n + turn];
        if pivot == 0.0 || !pivot.is_finite() {
            return Err(pivot);
        }
        if best != turn {
            for column in 0..n {
                square.swap(best * n + column, turn * n + column);
            }
            for column in 0..width {
                right.swap(best * width + column, turn * width + column);
            }
        }
        let inverse = 1.0 / pivot;
        for row in turn + 1..n {
            let factor = square[row * n + turn] * inverse;
            if factor == 0.0 {
                continue;
            }
            for column in turn + 1..n {
                square[row * n + column] -= factor * square[turn * n + column];
            }
            for column in 0..width {
                right[row * width + column] -= factor * right[turn * width + column];
            }
        }
    }
    for turn in (0..n).rev() {
        let inverse = 1.0 / square[turn * n + turn];
        for column in 0..width {
            let mut value = right[turn * width + column];
            for later in turn + 1..n {
                value -= square[turn * n + later] * right[later * width + column];
            }
            right[turn * width + column] = value * inverse;
        }
    }
    Ok(())
}
