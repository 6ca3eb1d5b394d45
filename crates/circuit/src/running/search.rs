//! From a push to a period: the stage is followed until its cycles are alike.
//!
//! Seconds, volts, amperes. The node that swings most is watched: its crossings of the middle
//! of its range, with a wide margin against ringing, cut the time into cycles. When the means
//! of all nodes and the length of one cycle (or of two to four together) are those of the one
//! before within some percent, `shoot` takes over from the slowest point of the last cycle.
//! A stage whose nodes no longer move while steps grow long rests. Fails with
//! [`CircuitError::NotSettled`] when the steps allowed are used up.

use super::lap::{Pace, follow};
use super::shoot::{Found, Guess, shoot, widened};
use super::step::Stepper;
use super::wave::{Reading, Wave};
use crate::error::CircuitError;

/// Steps between two looks.
const LOOK_EVERY: usize = 150;
/// Cycles that may make up one period.
const MOST_CYCLES: usize = 4;
/// How alike two periods must be: length, and means and ranges over the range.
const ALIKE_LENGTH: f64 = 0.03;
const ALIKE: f64 = 0.05;
/// Swing that counts as none, in tolerances.
const STILL: f64 = 20.0;
/// How near to what was followed the period found must be: length and swings.
const NEAR: f64 = 0.2;
/// The same beside the wave of a neighbour in a row that grows step by step.
const NEAR_GROWN: f64 = 0.5;
/// How far, as a share of the room of each row, the first lap from a neighbour's wave may miss
/// its begin, so that laps are shorter work than following the stage (found by trial).
const REACH: f64 = 0.1;
/// Steps that the laps beside a neighbour's wave may take, over those of the wave (found by
/// trial): beyond, following the stage is shorter work.
const BESIDE_STEPS: usize = 5;
/// Volts of swing below which a stage is not said to run.
const LEAST_SWING: f64 = 0.05;
/// Periods of a driven stage between two searches at most.
const MOST_PERIODS: usize = 64;

/// What became of a push.
pub(super) enum End {
    /// A period that returns.
    Period(Box<Found>),
    /// The stage stands still.
    Still(Vec<f64>),
}

/// What has been followed.
#[derive(Default)]
struct Trace {
    seconds: Vec<f64>,
    states: Vec<f64>,
    size: usize,
}

/// A stretch between two samples, by sums.
struct Cycle {
    length: f64,
    means: Vec<f64>,
    lowest: Vec<f64>,
    highest: Vec<f64>,
}

impl Trace {
    fn push(&mut self, stepper: &Stepper<'_>) {
        self.seconds.push(stepper.seconds);
        self.states.extend_from_slice(&stepper.x);
    }

    fn at(&self, sample: usize, row: usize) -> f64 {
        self.states[sample * self.size + row]
    }

    fn state(&self, sample: usize) -> &[f64] {
        &self.states[sample * self.size..(sample + 1) * self.size]
    }

    fn bounds(&self, from: usize, row: usize) -> (f64, f64) {
        (from..self.seconds.len())
            .map(|sample| self.at(sample, row))
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| {
                (low.min(value), high.max(value))
            })
    }

    /// Nothing has moved for most of the time followed.
    fn still(&self, stepper: &Stepper<'_>) -> bool {
        let count = self.seconds.len();
        let (Some(first), Some(last)) = (self.seconds.first(), self.seconds.last()) else {
            return false;
        };
        let from = self
            .seconds
            .partition_point(|at| *at < first + 0.1 * (last - first));
        if count - from < 8 {
            return false;
        }
        stepper.measure(
            |row| {
                let (low, high) = self.bounds(from, row);
                (high - low) / STILL
            },
            &stepper.x,
        ) < 1.0
    }

    /// Samples after which the node that swings most crosses its middle upward, with the
    /// exact times.
    fn crossings(&self, nodes: usize) -> Vec<(usize, f64)> {
        let count = self.seconds.len();
        let from = count / 2;
        let mut widest = (1, 0.0, 0.0);
        for node in 1..nodes {
            let (low, high) = self.bounds(from, node);
            if high - low > widest.2 - widest.1 {
                widest = (node, low, high);
            }
        }
        let (node, low, high) = widest;
        let middle = 0.5 * (low + high);
        let margin = 0.2 * (high - low);
        let mut armed = false;
        let mut found = Vec::new();
        for sample in from..count - 1 {
            let (one, two) = (self.at(sample, node), self.at(sample + 1, node));
            armed |= one < middle - margin;
            if armed && one <= middle && two > middle {
                armed = false;
                let share = (middle - one) / (two - one);
                let span = self.seconds[sample + 1] - self.seconds[sample];
                found.push((sample, self.seconds[sample] + share * span));
            }
        }
        found
    }

    fn cycle(&self, from: (usize, f64), to: (usize, f64)) -> Cycle {
        let length = self.seconds[to.0] - self.seconds[from.0];
        let mut cycle = Cycle {
            length: to.1 - from.1,
            means: vec![0.0; self.size],
            lowest: vec![f64::INFINITY; self.size],
            highest: vec![f64::NEG_INFINITY; self.size],
        };
        for sample in from.0..to.0 {
            let span = self.seconds[sample + 1] - self.seconds[sample];
            for row in 0..self.size {
                let (one, two) = (self.at(sample, row), self.at(sample + 1, row));
                cycle.means[row] += 0.5 * span * (one + two) / length;
                cycle.lowest[row] = cycle.lowest[row].min(two);
                cycle.highest[row] = cycle.highest[row].max(two);
            }
        }
        cycle
    }

    /// The last period, where it is like the one before.
    fn period(&self, stepper: &Stepper<'_>) -> Option<Guess> {
        let nodes = stepper.system.nodes;
        let crossings = self.crossings(nodes);
        let last = crossings.len().checked_sub(1)?;
        for cycles in 1..=MOST_CYCLES {
            let before = last.checked_sub(2 * cycles)?;
            let middle = last - cycles;
            let old = self.cycle(crossings[before], crossings[middle]);
            let new = self.cycle(crossings[middle], crossings[last]);
            let mut ranges: Vec<f64> = (0..self.size)
                .map(|row| (new.highest[row] - new.lowest[row]).max(0.0))
                .collect();
            let still = (1..nodes)
                .all(|row| ranges[row] < STILL * stepper.tolerance * (1.0 + new.means[row].abs()));
            if still {
                return None;
            }
            widened(&mut ranges, nodes, &new.means);
            let alike = (old.length / new.length - 1.0).abs() < ALIKE_LENGTH
                && (1..self.size).all(|row| {
                    let range = ranges[row];
                    (old.means[row] - new.means[row]).abs() < ALIKE * range
                        && ((old.highest[row] - old.lowest[row])
                            - (new.highest[row] - new.lowest[row]))
                            .abs()
                            < ALIKE * range
                });
            if alike {
                return slowest(
                    crossings[middle].0..crossings[last].0,
                    &self.seconds,
                    |sample| self.state(sample),
                    new.length,
                    ranges,
                );
            }
        }
        None
    }
}

/// The sample at which all rows together move least, as a begin.
fn slowest<'a>(
    samples: std::ops::Range<usize>,
    seconds: &[f64],
    state: impl Fn(usize) -> &'a [f64],
    period: f64,
    ranges: Vec<f64>,
) -> Option<Guess> {
    let size = ranges.len();
    let slope = |sample: usize, row: usize| {
        let span = seconds[sample + 1] - seconds[sample - 1];
        (state(sample + 1)[row] - state(sample - 1)[row]) / span
    };
    let speed = |sample: usize| {
        (1..size)
            .map(|row| (slope(sample, row) / ranges[row]).abs())
            .fold(0.0f64, f64::max)
    };
    let sample = samples
        .filter(|&sample| sample > 0 && sample + 1 < seconds.len())
        .min_by(|&one, &other| speed(one).total_cmp(&speed(other)))?;
    let mut plane: Vec<f64> = (0..size)
        .map(|row| match row {
            0 => 0.0,
            _ => slope(sample, row) / (ranges[row] * ranges[row]),
        })
        .collect();
    let length = (1..size)
        .map(|row| (plane[row] * ranges[row]).powi(2))
        .sum::<f64>()
        .sqrt();
    if length == 0.0 {
        return None;
    }
    for value in &mut plane {
        *value /= length;
    }
    Some(Guess {
        seconds: 0.0,
        x: state(sample).to_vec(),
        period,
        plane: Some(plane),
        ranges,
        reach: f64::INFINITY,
    })
}

/// The period of a stage that drives itself, straight from the wave of a neighbour; `None`
/// where the two are too far apart: further than `reach` or what is usual.
pub(super) fn beside(
    stepper: &mut Stepper<'_>,
    wave: &Wave,
    most_steps: usize,
    reach: Option<f64>,
) -> Option<Found> {
    let nodes = stepper.system.nodes;
    let readings = wave.volts.iter().chain(&wave.coil_amperes);
    let mut ranges: Vec<f64> = readings.map(Reading::peak_to_peak).collect();
    widened(&mut ranges, nodes, wave.samples.first()?);
    let mut guess = slowest(
        0..wave.seconds.len(),
        &wave.seconds,
        |sample| &wave.samples[sample],
        wave.period_seconds,
        ranges,
    )?;
    guess.reach = reach.unwrap_or(REACH);
    let taken = stepper.work.steps + stepper.work.refused;
    let most_steps = most_steps.min(taken + BESIDE_STEPS * wave.samples.len());
    let near = reach.map_or(NEAR, |_| NEAR_GROWN);
    shoot(stepper, &guess, most_steps).filter(|found| keeps(found, &guess, nodes, near))
}

/// Follows a stage that drives itself from `x`, for so many steps at most; where they are used up, the last cycle is told
/// though it does not return, if the second number, steps for one cycle more, allows it.
pub(super) fn free(
    stepper: &mut Stepper<'_>,
    x: &[f64],
    (most_steps, last_steps): (usize, usize),
) -> Result<End, CircuitError> {
    stepper.begin(0.0, x, false);
    let mut trace = Trace {
        size: stepper.system.size,
        ..Trace::default()
    };
    trace.push(stepper);
    let mut pace = Pace::new(1e-10);
    let mut wait = LOOK_EVERY;
    loop {
        for _ in 0..wait {
            let step = pace.advance(stepper, f64::INFINITY, f64::INFINITY, most_steps, None);
            if let Err(error) = step {
                let last = last_cycle(stepper, &trace, last_steps);
                return last.map(End::Period).ok_or(error);
            }
            trace.push(stepper);
            if pace.step > 1e6 {
                break;
            }
        }
        if trace.still(stepper) || pace.step > 1e6 {
            return Ok(End::Still(stepper.x.clone()));
        }
        wait = LOOK_EVERY;
        let Some(guess) = trace.period(stepper) else {
            continue;
        };
        let (seconds, state) = (stepper.seconds, stepper.x.clone());
        if let Some(found) = shoot(stepper, &guess, most_steps)
            && keeps(&found, &guess, stepper.system.nodes, NEAR)
        {
            return Ok(End::Period(Box::new(found)));
        }
        // Not yet: go on where the stage was left, and look again much later.
        stepper.begin(seconds, &state, false);
        wait = trace.seconds.len().max(LOOK_EVERY);
    }
}

/// One cycle more from where the stage was left, as long as the last one that was followed.
fn last_cycle(stepper: &mut Stepper<'_>, trace: &Trace, last_steps: usize) -> Option<Box<Found>> {
    let crossings = trace.crossings(stepper.system.nodes);
    let [.., before, last] = crossings[..] else {
        return None;
    };
    if last_steps == 0 {
        return None;
    }
    let period = last.1 - before.1;
    let x = stepper.x.clone();
    let most_steps = stepper.work.steps + stepper.work.refused + last_steps;
    stepper.begin(stepper.seconds, &x, false);
    let lap = follow(stepper, period, 1e-3 * period, most_steps).ok()?;
    let missed = stepper.measure(|row| stepper.x[row] - x[row], &x);
    Some(Box::new(Found {
        lap,
        missed,
        growth: 1.0,
    }))
}

/// Whether the period found is what the stage did: rest repeats as well, and so may a cycle
/// that no stage stays in.
fn keeps(found: &Found, guess: &Guess, nodes: usize, near: f64) -> bool {
    let length = found.lap.duration() / guess.period;
    let swing = |row: usize| {
        let (low, high) = found.lap.extremes(row);
        high - low
    };
    let widest = guess.ranges[1..nodes].iter().fold(0.0f64, |a, b| a.max(*b));
    (length - 1.0).abs() < near
        && widest > LEAST_SWING
        && (1..nodes)
            .filter(|&row| guess.ranges[row] > 0.1 * widest)
            .all(|row| (swing(row) - guess.ranges[row]).abs() < near * guess.ranges[row])
}

/// Follows a driven stage from `x` at the begin of its period.
pub(super) fn driven(
    stepper: &mut Stepper<'_>,
    x: &[f64],
    most_steps: usize,
) -> Result<Found, CircuitError> {
    let period = stepper.system.period.unwrap_or(1.0);
    let mut state = x.to_vec();
    let mut wait = 1;
    let mut done = 0usize;
    let mut change = f64::NAN;
    loop {
        let mut ranges = vec![0.0; stepper.system.size];
        for _ in 0..wait {
            stepper.begin(0.0, &state, false);
            let lap = follow(stepper, period, 1e-4 * period, most_steps)
                .map_err(|error| told(error, done, change))?;
            for (row, range) in ranges.iter_mut().enumerate() {
                let (low, high) = lap.extremes(row);
                *range = high - low;
            }
            change = stepper.measure(|row| stepper.x[row] - state[row], &state) * stepper.tolerance;
            state.copy_from_slice(&stepper.x);
            done += 1;
        }
        widened(&mut ranges, stepper.system.nodes, &state);
        // A stage may repeat after two or three periods of its drive only.
        let multiples = if wait < 4 { 1 } else { 3 };
        for multiple in 1..=multiples {
            let guess = Guess {
                seconds: 0.0,
                x: state.clone(),
                period: f64::from(multiple) * period,
                plane: None,
                ranges: ranges.clone(),
                reach: f64::INFINITY,
            };
            if let Some(found) = shoot(stepper, &guess, most_steps) {
                return Ok(found);
            }
        }
        wait = (2 * wait).min(MOST_PERIODS);
    }
}

/// The evidence of a search that came to no end.
fn told(error: CircuitError, cycles: usize, change: f64) -> CircuitError {
    match error {
        CircuitError::NotSettled { worst_state, .. } => CircuitError::NotSettled {
            cycles: cycles as f64,
            worst_state,
            relative_change: change,
        },
        other => other,
    }
}
