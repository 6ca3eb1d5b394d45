//! Whether a stage stays at rest, and in which direction it leaves.
//!
//! Volts, amperes; `S dx/dt = -J x` near a rest. Its modes grow or die by `exp(m t)`. The
//! Cayley transform `(s S + J)^-1 (s S - J)` has the eigenvalues `(s + m)/(s - m)`, which lie
//! outside the unit circle just where a mode grows; squared again and again it keeps only the
//! strongest of them (power iteration: G. H. Golub and C. F. Van Loan, Matrix Computations;
//! from memory). Where a matrix has no inverse nothing is said.

// One index runs through several arrays at once; iterators would hide that.
#![allow(clippy::needless_range_loop)]

use super::step::Stepper;
use super::system::System;
use crate::dense::{dense_solve, dot};

/// The `s` above: between field and line rate. Any would do; rounding decides.
const RATE: f64 = 1e4;
/// How far outside the circle a mode must lie to stand out from rounding.
const OUTSIDE: f64 = 1e-7;
/// Squarings.
const SQUARINGS: usize = 45;

/// Size of the strongest eigenvalue of a square matrix, and its direction.
pub(super) fn strongest(mut square: Vec<f64>, count: usize) -> (f64, Vec<f64>) {
    let mut log = 0.0;
    let mut turns = 1.0;
    let mut product = vec![0.0; count * count];
    let mut column = vec![0.0; count];
    for turn in 0..=SQUARINGS {
        let size = square
            .iter()
            .fold(0.0f64, |most, value| most.max(value.abs()));
        if size == 0.0 || !size.is_finite() {
            return (0.0, vec![0.0; count]);
        }
        log += size.ln() / turns;
        for value in &mut square {
            *value /= size;
        }
        if turn == SQUARINGS {
            break;
        }
        for right in 0..count {
            for (row, value) in column.iter_mut().enumerate() {
                *value = square[row * count + right];
            }
            for left in 0..count {
                product[left * count + right] =
                    dot(&square[left * count..(left + 1) * count], &column);
            }
        }
        std::mem::swap(&mut square, &mut product);
        turns *= 2.0;
    }
    let best = (0..count)
        .max_by(|&one, &other| {
            let size = |column: usize| {
                (0..count)
                    .map(|row| square[row * count + column].abs())
                    .fold(0.0f64, f64::max)
            };
            size(one).total_cmp(&size(other))
        })
        .unwrap_or(0);
    let direction = (0..count).map(|row| square[row * count + best]).collect();
    (log.exp(), direction)
}

/// The direction in which a stage leaves a rest, by row with the reference first; `None`
/// where it comes back.
pub(super) fn leaves(system: &System<'_>, x: &[f64]) -> Option<Vec<f64>> {
    let count = system.size - 1;
    let (mut lines, mut feeds, mut values) = (Vec::new(), Vec::new(), Vec::new());
    system.sources(0.0, &mut lines, &mut feeds);
    let mut out = vec![0.0; system.size];
    let mut dense = |rate: f64, sign: f64| {
        system.stamp_rate(0.0, &mut values);
        out.fill(0.0);
        system.add_flow(x, &lines, &feeds, &mut out, Some(&mut values));
        let slopes = values.clone();
        system.stamp_rate(rate, &mut values);
        let mut base = Vec::new();
        system.stamp_rate(0.0, &mut base);
        let mut square = vec![0.0; count * count];
        for row in 0..count {
            for column in 0..count {
                if let Some(place) = system.pattern().place(row, column) {
                    square[row * count + column] =
                        (values[place] - base[place]) + sign * slopes[place];
                }
            }
        }
        square
    };
    let mut left = dense(RATE, 1.0);
    let mut right = dense(RATE, -1.0);
    dense_solve(&mut left, &mut right, count, count).ok()?;
    let (size, direction) = strongest(right, count);
    if size <= 1.0 + OUTSIDE {
        return None;
    }
    let most = direction[..system.nodes - 1]
        .iter()
        .fold(0.0f64, |most, volts| most.max(volts.abs()));
    if most == 0.0 {
        return None;
    }
    Some(
        std::iter::once(0.0)
            .chain(direction.iter().map(|value| value / most))
            .collect(),
    )
}

/// Size of the strongest answer after a lap, in units of `ranges`.
pub(super) fn growth(stepper: &Stepper<'_>, ranges: &[f64]) -> f64 {
    let count = stepper.system.size - 1;
    let mut square = vec![0.0; count * count];
    for (block, columns) in stepper.columns.iter().enumerate() {
        for lane in 0..super::step::WIDE {
            let column = block * super::step::WIDE + lane;
            if column >= count {
                break;
            }
            for row in 0..count {
                square[row * count + column] =
                    columns[row + 1][lane] * ranges[column + 1] / ranges[row + 1];
            }
        }
    }
    strongest(square, count).0
}
