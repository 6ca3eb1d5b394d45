//! Newton's method on the cycle: settled states and long intervals alike.
//!
//! Inside: volts, amperes, siemens, seconds. Unknown are the electrical state at
//! the start of a cycle and the conductance of every lamp and heater. Settled:
//! the cycle returns to its start, and each conductance is the one that its own
//! power settles to. Over an interval of many cycles the same equations hold with
//! the change spread over the interval (implicit Euler in cycles, envelope
//! following; Petzold, SIAM J. Numer. Anal. 18 (1981) 455, from memory), while
//! each temperature follows the drive, taken as a straight line over the interval.
//! The derivative is made when the unknowns still move far and is otherwise kept
//! and corrected from what was seen (C. G. Broyden, Math. Comp. 19 (1965) 577,
//! from memory). Fails with the state that moves most when no solution was found.

use crate::cycle::{CycleRun, Grid, Room};
use crate::dense::{dense_solve, dot};
use crate::error::CircuitError;
use crate::solver::Solver;
use crate::state::{SetState, Work, group_drive};
use crate::thermal::Arrangement;

/// Size below which the movement of a volt or ampere is noise against the relative
/// tolerance.
const FLOOR: f64 = 0.1;
/// Movement of a load or an emission that still counts, as a multiple of the tolerance.
const LOADS_SHARE: f64 = 0.5;
/// Movement in one iteration above which the next one makes a new derivative.
const FAR: f64 = 0.05;
/// Movement over that of the iteration before above which a kept derivative is given up.
const SLOW: f64 = 0.5;

/// The interval that is solved for.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Span<'s> {
    /// Until nothing changes any more.
    Settled,
    /// From a state over a number of cycles.
    Cycles { from: &'s SetState, cycles: f64 },
}

/// When a new derivative is made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Derivative {
    /// When there is none, and when the last movement was far or fell slowly.
    AsNeeded,
    /// Never: the one at hand is corrected.
    Kept,
}

/// What is to be solved, and how closely.
pub(crate) struct Ask<'s> {
    pub grid: &'s Grid,
    pub span: Span<'s>,
    pub derivative: Derivative,
    /// How far the unknowns may still move, relative to their size.
    pub relative: f64,
    /// Iterations allowed.
    pub most: usize,
    /// Whether the last cycle is left recorded in the room.
    pub with_samples: bool,
}

/// The inverse of the equations' derivative, kept for later iterations.
#[derive(Debug, Clone)]
pub(crate) struct Inverse {
    size: usize,
    values: Vec<f64>,
}

/// How an attempt ended.
#[derive(Debug, Default)]
pub(crate) struct Attempt {
    pub converged: bool,
    pub worst_state: usize,
    /// Largest movement of the last iteration.
    pub relative_change: f64,
    /// Largest difference between end and start of the last cycle, relative to size.
    pub return_error: f64,
    /// The state that the last cycle was run with.
    pub ran: Option<SetState>,
}

/// Shares of an interval and the place in it whose drive stands for each share.
/// Each is a midpoint; the last share is short, so that what is quick ends near
/// what drives it then.
const PIECES: [(f64, f64); 3] = [(0.6, 0.3), (0.3, 0.75), (0.1, 0.95)];

impl Solver<'_> {
    /// Iterates from the guess in `state`.
    pub(crate) fn newton(
        &self,
        ask: &Ask<'_>,
        state: &mut SetState,
        inverse: &mut Option<Inverse>,
        room: &mut Room,
        work: &mut Work,
    ) -> Result<Attempt, CircuitError> {
        let model = self.model();
        let layout = &model.layout;
        let m = layout.states.len();
        let t = layout.thermal.len();
        let size = m + t;
        let spread = match ask.span {
            Span::Settled => 0.0,
            Span::Cycles { cycles, .. } => 1.0 / cycles,
        };
        let mut attempt = Attempt {
            relative_change: f64::INFINITY,
            ..Attempt::default()
        };
        let mut end = vec![0.0; m];
        let mut left = vec![0.0; size];
        let mut left_before = vec![0.0; size];
        let mut step = vec![0.0; size];
        let mut slope = vec![0.0; t];
        let mut fall = 0.0;
        if inverse.as_ref().is_some_and(|inverse| inverse.size != size) {
            *inverse = None;
        }
        for iteration in 0..ask.most {
            work.iterations += 1;
            let make = match ask.derivative {
                Derivative::AsNeeded => {
                    inverse.is_none()
                        || (iteration > 0 && attempt.relative_change > FAR)
                        || (iteration > 1 && fall > SLOW)
                }
                Derivative::Kept => inverse.is_none(),
            };
            room.folded.fold(layout, &ask.grid.stage, &state.siemens)?;
            if ask.with_samples {
                match &mut attempt.ran {
                    Some(ran) => ran.clone_from(state),
                    None => attempt.ran = Some(state.clone()),
                }
            }
            end.copy_from_slice(&state.electrical);
            work.rectifier_tries += model.run(
                &CycleRun {
                    grid: ask.grid,
                    emission: &state.emission,
                    from: 0,
                    until: ask.grid.steps,
                    with_derivative: make,
                    with_samples: ask.with_samples,
                },
                room,
                &mut end,
                &mut state.volts,
                &mut state.drive,
            )?;
            work.steps += ask.grid.steps;
            work.cycles += ask.grid.steps as f64 / self.fine_steps() as f64;
            std::mem::swap(&mut left, &mut left_before);
            attempt.return_error = 0.0;
            for index in 0..m {
                let moved = end[index] - state.electrical[index];
                left[index] = moved;
                let relative = moved.abs() / (state.electrical[index].abs() + FLOOR);
                attempt.return_error = attempt.return_error.max(relative);
                if let Span::Cycles { from, .. } = ask.span {
                    left[index] += spread * (from.electrical[index] - state.electrical[index]);
                }
            }
            for (number, &(port, group)) in layout.thermal.iter().enumerate() {
                let siemens = self.respond(ask.span, state, number, make.then_some(&mut slope));
                left[m + number] = siemens - state.siemens[port];
                let relative = left[m + number].abs() / siemens.abs().max(1e-12);
                attempt.return_error = attempt.return_error.max(relative);
                debug_assert!(group < state.groups.len());
            }
            let loads = state.follow_warm_up(model);
            if make {
                *inverse = Some(self.derivative(state, &room.sensitivity, &slope, spread)?);
            } else if iteration > 0
                && let Some(inverse) = inverse.as_mut()
            {
                inverse.correct(&step, &left_before, &left, |row| {
                    if row < m {
                        state.electrical[row].abs() + FLOOR
                    } else {
                        state.siemens[layout.thermal[row - m].0]
                    }
                });
            }
            let Some(inverse) = inverse.as_ref() else {
                return Ok(attempt);
            };
            let mut worst = 0.0f64;
            for (row, share) in inverse.values.chunks_exact(size.max(1)).enumerate() {
                let change = dot(share, &left);
                let (value, now, scale) = if row < m {
                    let value = &mut state.electrical[row];
                    let now = *value + change;
                    (value, now, now.abs() + FLOOR)
                } else {
                    let value = &mut state.siemens[layout.thermal[row - m].0];
                    let before = *value;
                    // A conductance may at most halve or double in one iteration.
                    let now = (before + change).clamp(0.5 * before, 2.0 * before);
                    (value, now, before)
                };
                let relative = change.abs() / scale;
                if !relative.is_finite() {
                    attempt.worst_state = row;
                    return Ok(attempt);
                }
                step[row] = now - *value;
                *value = now;
                if relative > worst {
                    worst = relative;
                    attempt.worst_state = row;
                }
            }
            let moved = worst.max(loads);
            fall = moved / attempt.relative_change;
            attempt.relative_change = moved;
            if worst <= ask.relative && loads <= LOADS_SHARE * ask.relative {
                attempt.converged = true;
                return Ok(attempt);
            }
        }
        Ok(attempt)
    }

    /// Lets a thermal group follow its drive over the span. Gives its conductance at
    /// the end and, on request, puts the change of that with the drive into `slope`.
    fn respond(
        &self,
        span: Span<'_>,
        state: &mut SetState,
        number: usize,
        slope: Option<&mut Vec<f64>>,
    ) -> f64 {
        let model = self.model();
        let (port, group) = model.layout.thermal[number];
        let law = &model.circuit.groups[group];
        let drive = group_drive(law.arrangement, state.siemens[port], state.drive[number]);
        match span {
            Span::Settled => {
                let response = law.settled(drive);
                if let Some(slope) = slope {
                    slope[number] = response.siemens_per_drive;
                }
                state.groups[group] = response.state;
                response.siemens
            }
            Span::Cycles { from, cycles } => {
                let seconds = cycles / model.circuit.hertz;
                let before = group_drive(law.arrangement, from.siemens[port], from.drive[number]);
                let mut follow = |drive: f64| {
                    let reached = &mut state.groups[group];
                    reached.clone_from(&from.groups[group]);
                    for (share, place) in PIECES {
                        let there = before + place * (drive - before);
                        law.advance_in_place(reached, there, share * seconds);
                    }
                    law.siemens(reached)
                };
                if let Some(slope) = slope {
                    let shift = 1e-3 * drive + 1e-9;
                    let above = follow(drive + shift);
                    let here = follow(drive);
                    slope[number] = (above - here) / shift;
                    here
                } else {
                    follow(drive)
                }
            }
        }
    }

    /// The inverse of the derivative of what is left over.
    fn derivative(
        &self,
        state: &SetState,
        sensitivity: &crate::sensitivity::Sensitivity,
        slope: &[f64],
        spread: f64,
    ) -> Result<Inverse, CircuitError> {
        let layout = &self.model().layout;
        let m = layout.states.len();
        let size = m + layout.thermal.len();
        let wide = sensitivity.wide.max(1);
        let mut square = vec![0.0; size * size];
        let mut rows = square.chunks_exact_mut(size.max(1));
        for (row, (target, from)) in rows
            .by_ref()
            .zip(sensitivity.states.chunks_exact(wide))
            .enumerate()
            .take(m)
        {
            for (target, value) in target.iter_mut().zip(from) {
                *target = -value;
            }
            target[row] += 1.0 + spread;
        }
        for (number, (&(port, group), from)) in layout
            .thermal
            .iter()
            .zip(sensitivity.drive.chunks_exact(wide))
            .enumerate()
        {
            let siemens = state.siemens[port];
            let (gain, own) = match self.model().circuit.groups[group].arrangement {
                Arrangement::Parallel => (slope[number], 0.0),
                Arrangement::Series => (
                    slope[number] * siemens * siemens,
                    slope[number] * 2.0 * siemens * state.drive[number],
                ),
            };
            let row = m + number;
            let target = &mut square[row * size..(row + 1) * size];
            for (target, value) in target.iter_mut().zip(from) {
                *target = -gain * value;
            }
            target[row] += 1.0 - own;
        }
        let mut values = vec![0.0; size * size];
        for index in 0..size {
            values[index * size + index] = 1.0;
        }
        dense_solve(&mut square, &mut values, size, size)
            .map_err(|pivot| CircuitError::Singular { node: 0, pivot })?;
        Ok(Inverse { size, values })
    }
}

impl Inverse {
    /// Broyden's correction after `step`, which took what is left over from `before`
    /// to `after`; `scale` is the size of each unknown.
    fn correct(
        &mut self,
        step: &[f64],
        before: &[f64],
        after: &[f64],
        scale: impl Fn(usize) -> f64,
    ) {
        let size = self.size;
        let fallen: Vec<f64> = before.iter().zip(after).map(|(a, b)| a - b).collect();
        let mut weighted = vec![0.0; size];
        let mut missed = vec![0.0; size];
        let mut along = 0.0;
        let mut whole = 0.0;
        for (row, share) in self.values.chunks_exact(size.max(1)).enumerate() {
            let one = scale(row);
            let toward = step[row] / (one * one);
            let predicted = dot(share, &fallen);
            missed[row] = step[row] - predicted;
            along += toward * predicted;
            whole += toward * step[row];
            crate::dense::add_scaled(&mut weighted, toward, share);
        }
        // A step along which next to nothing fell teaches nothing.
        if !(along > 0.1 * whole && along.is_finite()) {
            return;
        }
        for (row, share) in self.values.chunks_exact_mut(size.max(1)).enumerate() {
            crate::dense::add_scaled(share, missed[row] / along, &weighted);
        }
    }
}
