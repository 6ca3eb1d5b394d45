//! The begin that a period returns to: Newton's method on a whole lap.
//!
//! Seconds, volts, amperes. A lap carries how its end answers to every entry of its begin; so
//! one Newton step wipes out all that is slow (coupling and bypass capacitors) at once (T. J.
//! Aprille and T. N. Trick, Proc. IEEE 60 (1972) 108; for stages that drive themselves, with
//! the period as an unknown more and the begin held on a plane across the path, IEEE Trans.
//! Circuit Theory 19 (1972) 354; from memory). Once near, all laps use the same grid, so that
//! the search ends in rounding, not in the noise of step lengths. Gives nothing where it does
//! not come to rest; the caller then follows the stage for longer.

// One index runs through several arrays at once; iterators would hide that.
#![allow(clippy::needless_range_loop)]

use super::lap::{Lap, follow, follow_grid};
use super::rest::growth;
use super::step::{Stepper, WIDE};
use crate::dense::dense_solve;

/// Laps at most.
const MOST_LAPS: usize = 16;
/// Laps that may pass without halving what the best of them missed.
const IDLE_LAPS: usize = 4;
/// And after the last lap still this counts: change against one volt plus the volts of a node.
/// It is what the timing of soft edges leaves, a tenth of what a good meter shows.
const GOOD_ENOUGH: f64 = 1e-3;
/// Longest change at once, as a share of [`room`], and of the period.
const LONGEST: f64 = 0.5;
const LONGEST_PERIOD: f64 = 0.2;
/// Largest error of a step on a grid that is kept.
const GRID_ERROR: f64 = 4.0;
/// A driven state in which disturbances grow by more in a period does not last. That of a
/// stage that drives itself is held against what was followed instead: its own shift in time
/// is 1 and only told as well as its edges are timed.
const MOST_GROWTH: f64 = 1.01;

/// Where a search begins.
#[derive(Clone, Debug)]
pub(super) struct Guess {
    pub(super) seconds: f64,
    pub(super) x: Vec<f64>,
    pub(super) period: f64,
    /// Normal of the plane that holds the begin of a stage that drives itself, by row.
    pub(super) plane: Option<Vec<f64>>,
    /// How far each row swings.
    pub(super) ranges: Vec<f64>,
    /// How far the first lap may miss its begin at most, as a share of [`room`].
    pub(super) reach: f64,
}

/// A period that returns.
#[derive(Clone, Debug)]
pub(super) struct Found {
    pub(super) lap: Lap,
    pub(super) missed: f64,
    pub(super) growth: f64,
}

/// Ranges that are never so small that rounding counts.
pub(super) fn widened(ranges: &mut [f64], nodes: usize, at: &[f64]) {
    for (row, range) in ranges.iter_mut().enumerate() {
        let least = if row < nodes {
            1e-3 * (1.0 + at[row].abs())
        } else {
            1e-3 * (1e-4 + at[row].abs())
        };
        *range = range.max(least);
    }
}

/// How far a row may go at once or lie off, in volts or amperes: a node that swings little may
/// have far to go. `widest` is the swing of the node that swings most; none for a coil.
fn room(range: f64, widest: Option<f64>) -> f64 {
    range + widest.map_or(4.0 * range, |widest| 0.5 * widest)
}

/// Searches from a guess.
pub(super) fn shoot(stepper: &mut Stepper<'_>, guess: &Guess, most_steps: usize) -> Option<Found> {
    let count = stepper.system.size - 1;
    let (mut x, mut period) = (guess.x.clone(), guess.period);
    let mut grid: Option<Vec<f64>> = None;
    let mut best: Option<Found> = None;
    let (mut least, mut idle, mut cut_short) = (f64::INFINITY, 0, false);
    let nodes = stepper.system.nodes;
    let widest = guess.ranges[1..nodes].iter().fold(0.0f64, |a, b| a.max(*b));
    let rooms: Vec<f64> = (0..=count)
        .map(|row| room(guess.ranges[row], (row < nodes).then_some(widest)))
        .collect();
    for turn in 0..MOST_LAPS {
        stepper.work.laps += 1;
        stepper.begin(guess.seconds, &x, true);
        let kept = grid
            .take()
            .and_then(|grid| follow_grid(stepper, period, &grid, GRID_ERROR));
        let lap = match kept {
            Some(lap) => lap,
            None => {
                stepper.begin(guess.seconds, &x, true);
                follow(stepper, period, 1e-3 * period, most_steps).ok()?
            }
        };
        let missed = stepper.measure(|row| stepper.x[row] - x[row], &x);
        if missed.is_nan() {
            return None;
        }
        if missed < 0.5 * least || cut_short {
            least = missed.min(least);
            idle = 0;
        } else {
            idle += 1;
        }
        let last = turn + 1 == MOST_LAPS || idle == IDLE_LAPS;
        let good = missed < stepper.done || missed * stepper.tolerance < GOOD_ENOUGH;
        if good && best.as_ref().is_none_or(|best| missed < best.missed) {
            best = Some(Found {
                growth: growth(stepper, &guess.ranges),
                lap: lap.clone(),
                missed,
            });
        }
        if missed < stepper.done || last {
            return best.filter(|best| guess.plane.is_some() || best.growth < MOST_GROWTH);
        }
        let far = (1..=count)
            .map(|row| ((stepper.x[row] - x[row]) / guess.ranges[row]).abs())
            .fold(0.0f64, f64::max);
        let beyond =
            (1..=count).any(|row| (stepper.x[row] - x[row]).abs() > guess.reach * rooms[row]);
        if turn == 0 && beyond {
            return None;
        }
        if far < 0.05 {
            grid = Some(lap.grid());
        }
        let change = newton(stepper, guess, &x, period)?;
        let most = (1..=count)
            .map(|row| (change[row - 1] * guess.ranges[row] / rooms[row]).abs())
            .fold(0.0f64, f64::max);
        let in_time = change.get(count).map_or(0.0, |time| time.abs());
        let share = 1.0f64
            .min(LONGEST / most.max(1e-300))
            .min(LONGEST_PERIOD / in_time.max(1e-300));
        cut_short = share < 1.0;
        for row in 1..=count {
            x[row] += share * change[row - 1] * guess.ranges[row];
        }
        if let Some(time) = change.get(count) {
            period *= 1.0 + share * time;
        }
    }
    None
}

/// Changes of the begin in ranges, and of the period as a share.
fn newton(stepper: &Stepper<'_>, guess: &Guess, x: &[f64], period: f64) -> Option<Vec<f64>> {
    let count = stepper.system.size - 1;
    let all = count + usize::from(guess.plane.is_some());
    let mut square = vec![0.0; all * all];
    let mut right = vec![0.0; all];
    let ranges = &guess.ranges;
    for (block, columns) in stepper.columns.iter().enumerate() {
        for lane in 0..WIDE {
            let column = block * WIDE + lane;
            if column >= count {
                break;
            }
            for row in 0..count {
                square[row * all + column] =
                    -columns[row + 1][lane] * ranges[column + 1] / ranges[row + 1];
            }
        }
    }
    for row in 0..count {
        square[row * all + row] += 1.0;
        right[row] = (stepper.x[row + 1] - x[row + 1]) / ranges[row + 1];
    }
    if let Some(plane) = &guess.plane {
        let slope = stepper.slope();
        for row in 0..count {
            square[row * all + count] = -slope[row + 1] * period / ranges[row + 1];
            square[count * all + row] = plane[row + 1] * ranges[row + 1];
            right[count] -= plane[row + 1] * (x[row + 1] - guess.x[row + 1]);
        }
    }
    dense_solve(&mut square, &mut right, all, 1).ok()?;
    right.iter().all(|value| value.is_finite()).then_some(right)
}
