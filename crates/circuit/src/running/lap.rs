//! A stretch of time, step by step, with its sums.
//!
//! Seconds, volts, amperes, joules. Steps follow the error, or a grid of shares of the
//! stretch that an earlier one found; on the same grid the end is a smooth function of the
//! begin, which the search for a period needs. Steps end where a drive bends. Fails with
//! [`CircuitError::StepTooSmall`] or, when the steps allowed are used up, with
//! [`CircuitError::NotSettled`].

use super::step::Stepper;
use super::tableau::{AT, WHOLE};
use crate::error::CircuitError;

/// Steps that a stretch has at least.
const LEAST_STEPS: f64 = 24.0;
/// How often a step of a grid may be halved.
const MOST_HALVINGS: usize = 14;

/// What was met on the way.
#[derive(Clone, Debug, Default)]
pub(super) struct Lap {
    pub(super) seconds: Vec<f64>,
    states: Vec<f64>,
    size: usize,
    /// Integral of each row over time, and of its square.
    pub(super) sums: Vec<f64>,
    pub(super) squares: Vec<f64>,
    /// Joules that sources gave.
    pub(super) delivered: f64,
    /// Joules that flowed into the network and were not stored.
    pub(super) energy: f64,
    /// Largest error of a step.
    pub(super) worst: f64,
}

impl Lap {
    fn new(stepper: &Stepper<'_>) -> Lap {
        let size = stepper.system.size;
        let mut lap = Lap {
            size,
            sums: vec![0.0; size],
            squares: vec![0.0; size],
            ..Lap::default()
        };
        lap.push(stepper);
        lap
    }

    fn push(&mut self, stepper: &Stepper<'_>) {
        self.seconds.push(stepper.seconds);
        self.states.extend_from_slice(&stepper.x);
    }

    pub(super) fn duration(&self) -> f64 {
        match (self.seconds.first(), self.seconds.last()) {
            (Some(first), Some(last)) => last - first,
            _ => 0.0,
        }
    }

    pub(super) fn state(&self, sample: usize) -> &[f64] {
        &self.states[sample * self.size..(sample + 1) * self.size]
    }

    /// Shares of the stretch at which steps ended.
    pub(super) fn grid(&self) -> Vec<f64> {
        let begin = self.seconds.first().copied().unwrap_or(0.0);
        let duration = self.duration();
        self.seconds
            .iter()
            .map(|at| (at - begin) / duration)
            .collect()
    }

    /// Lowest and highest value of a row; between samples by the parabola.
    pub(super) fn extremes(&self, row: usize) -> (f64, f64) {
        let at = |sample: usize| self.states[sample * self.size + row];
        let count = self.seconds.len();
        let (mut low, mut high) = (0, 0);
        for sample in 1..count {
            if at(sample) < at(low) {
                low = sample;
            }
            if at(sample) > at(high) {
                high = sample;
            }
        }
        let refined = |sample: usize| {
            let own = at(sample);
            if sample == 0 || sample + 1 >= count {
                return own;
            }
            let before = self.seconds[sample] - self.seconds[sample - 1];
            let after = self.seconds[sample + 1] - self.seconds[sample];
            let (rise, fall) = (
                (own - at(sample - 1)) / before,
                (at(sample + 1) - own) / after,
            );
            let bend = (fall - rise) / (before + after);
            let slope = rise + bend * before;
            if bend == 0.0 || !bend.is_finite() {
                return own;
            }
            let more = -0.25 * slope * slope / bend;
            // Where the steps are too long for a parabola, the sample itself counts.
            let most = 0.25
                * (own - at(sample - 1))
                    .abs()
                    .max((own - at(sample + 1)).abs());
            own + more.clamp(-most, most)
        };
        (refined(low), refined(high))
    }

    /// Adds the sums of the step that is about to be accepted.
    fn add(&mut self, stepper: &Stepper<'_>, step: f64) {
        let system = stepper.system;
        let (mut lines, mut feeds) = (Vec::new(), Vec::new());
        for (stage, share) in WHOLE.iter().enumerate() {
            let weight = step * share;
            if weight == 0.0 {
                continue;
            }
            let (x, flow) = (&stepper.stages[stage], &stepper.flows[stage]);
            let mut power = 0.0;
            for row in 1..self.size {
                self.sums[row] += weight * x[row];
                self.squares[row] += weight * x[row] * x[row];
                power += x[row] * flow[row];
            }
            self.energy += weight * power;
            let at = stepper.seconds + AT[stage] * step;
            system.sources(at, &mut lines, &mut feeds);
            self.delivered += weight * system.delivered_watts(x, &lines, &feeds);
        }
    }
}

/// Follows `duration` seconds by the error of the steps; `first` is the first step to try.
pub(super) fn follow(
    stepper: &mut Stepper<'_>,
    duration: f64,
    first: f64,
    most_steps: usize,
) -> Result<Lap, CircuitError> {
    let mut lap = Lap::new(stepper);
    let end = stepper.seconds + duration;
    let longest = duration / LEAST_STEPS;
    let mut pace = Pace::new(first.min(longest));
    while end - stepper.seconds > 1e-12 * duration {
        pace.advance(stepper, end, longest, most_steps, Some(&mut lap))?;
    }
    Ok(lap)
}

/// Follows `duration` seconds on a grid of shares; steps of a larger error than `most` are
/// halved, so that the lap's own grid is finer. `None` where steps do not settle, or where
/// edges have moved so far that the grid no longer serves.
pub(super) fn follow_grid(
    stepper: &mut Stepper<'_>,
    duration: f64,
    grid: &[f64],
    most: f64,
) -> Option<Lap> {
    let mut lap = Lap::new(stepper);
    let begin = stepper.seconds;
    let mut halved = 0;
    for pair in grid.windows(2) {
        let (mut from, mut ends) = (pair[0], vec![pair[1]]);
        while let Some(&to) = ends.last() {
            let step = (to - from) * duration;
            match stepper.attempt(step) {
                Some(error) if error <= most => lap.worst = lap.worst.max(error),
                _ => {
                    stepper.work.refused += 1;
                    halved += 1;
                    if ends.len() > MOST_HALVINGS || halved > grid.len() {
                        return None;
                    }
                    ends.push(0.5 * (from + to));
                    continue;
                }
            }
            lap.add(stepper, step);
            stepper.accept(step);
            stepper.seconds = begin + to * duration;
            lap.push(stepper);
            from = to;
            ends.pop();
        }
    }
    Some(lap)
}

/// The length of the next step.
#[derive(Clone, Copy, Debug)]
pub(super) struct Pace {
    pub(super) step: f64,
    refused_last: bool,
}

impl Pace {
    pub(super) fn new(step: f64) -> Pace {
        Pace {
            step,
            refused_last: false,
        }
    }

    /// Makes one step, as long as the error allows, not beyond `end`.
    pub(super) fn advance(
        &mut self,
        stepper: &mut Stepper<'_>,
        end: f64,
        longest: f64,
        most_steps: usize,
        mut lap: Option<&mut Lap>,
    ) -> Result<(), CircuitError> {
        let bend = next_bend(stepper);
        let stop = bend.map_or(end, |bend| bend.min(end));
        loop {
            if stepper.work.steps + stepper.work.refused >= most_steps {
                return Err(CircuitError::NotSettled {
                    cycles: 0.0,
                    worst_state: 0,
                    relative_change: f64::NAN,
                });
            }
            let left = stop - stepper.seconds;
            let wanted = self.step.min(longest);
            let reaches = left <= 1.1 * wanted;
            let step = if reaches {
                left
            } else if left < 2.0 * wanted {
                0.5 * left
            } else {
                wanted
            };
            let least = 1e-18f64.max(1e-15 * stepper.seconds.abs());
            if step.is_nan() || step <= least {
                return Err(CircuitError::StepTooSmall {
                    seconds: stepper.seconds,
                    step_seconds: step,
                });
            }
            let Some(error) = stepper.attempt(step) else {
                stepper.work.refused += 1;
                self.step = 0.25 * step;
                self.refused_last = true;
                continue;
            };
            let factor = 0.9 * error.max(1e-8).powf(-0.25);
            if error > 1.0 {
                stepper.work.refused += 1;
                self.step = step * factor.clamp(0.1, 0.9);
                self.refused_last = true;
                continue;
            }
            if let Some(lap) = lap.as_mut() {
                lap.add(stepper, step);
                lap.worst = lap.worst.max(error);
            }
            stepper.accept(step);
            let most = if self.refused_last { 1.0 } else { 5.0 };
            let next = step * factor.clamp(0.2, most);
            // A step cut short by a bend says little of what comes.
            self.step = if reaches { next.max(self.step) } else { next };
            self.refused_last = false;
            if reaches && bend.is_some_and(|bend| bend <= end) {
                stepper.seconds = stop;
                stepper.forget_slope();
                if let Some(bend) = next_bend(stepper) {
                    self.step = self.step.min(0.05 * (bend - stop));
                }
            }
            if let Some(lap) = lap {
                lap.push(stepper);
            }
            return Ok(());
        }
    }
}

/// The next time at which a drive bends.
fn next_bend(stepper: &Stepper<'_>) -> Option<f64> {
    let period = stepper.system.period?;
    let breaks = &stepper.system.breaks;
    let first = breaks.first()?;
    let turn = (stepper.seconds / period).floor();
    let near = 1e-9 * period;
    let within = stepper.seconds - turn * period;
    let next = breaks.iter().find(|at| **at > within + near);
    Some(match next {
        Some(at) => turn * period + at,
        None if within + near >= period => (turn + 1.0) * period + breaks.get(1).unwrap_or(first),
        None => (turn + 1.0) * period + first,
    })
}
