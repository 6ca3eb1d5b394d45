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
use crate::sensitivity::{Gains, Sensitivity};
use crate::solver::Solver;
use crate::stage::LEAST_LOAD_SIEMENS;
use crate::state::{SetState, Work, emission_share, group_drive, load_siemens};
use crate::thermal::{Arrangement, GroupState};

/// Size below which the movement of a volt or ampere is noise against the relative
/// tolerance.
const FLOOR: f64 = 0.1;
/// Movement of a load or an emission that still counts, as a multiple of the tolerance.
const LOADS_SHARE: f64 = 0.5;
/// Movement in one iteration above which the next one makes a new derivative.
const FAR: f64 = 0.4;
/// Movement over that of the iteration before above which a kept derivative is given up.
const SLOW: f64 = 0.7;

/// Share by which a drive is shifted to see what follows it.
const SHIFT: f64 = 1e-3;
/// Highest power by which a load or an emission is taken to follow its group.
const MOST_GAIN: f64 = 300.0;

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
    /// How far the last cycle's end may be from its start, relative to size.
    pub return_error: f64,
    /// Iterations allowed.
    pub most: usize,
    /// Whether the last cycle is left recorded in the room.
    pub with_samples: bool,
}

/// The equations' derivative in the form that the iteration needs, kept for later ones.
#[derive(Debug, Clone)]
pub(crate) struct Linear {
    size: usize,
    /// The inverse; empty before it is made.
    values: Vec<f64>,
    /// Change of each group's conductance with its drive.
    slope: Vec<f64>,
    /// Power by which each slow port follows its group's conductance.
    slow_gain: Vec<f64>,
    /// The same for each rectifier's emission.
    emission_gain: Vec<f64>,
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
        kept: &mut Option<Linear>,
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
        let mut reached = vec![0.0; t];
        let mut ran_with = state.siemens.clone();
        let mut fall = 0.0;
        let mut linear = match kept.take() {
            Some(linear) if linear.size == size => linear,
            _ => {
                let mut linear = Linear {
                    size,
                    values: Vec::new(),
                    slope: vec![0.0; t],
                    slow_gain: vec![0.0; layout.slow.len()],
                    emission_gain: vec![0.0; layout.rectifiers.len()],
                };
                // How loads follow is needed before the first cycle is run.
                let mut trial = state.clone();
                for number in 0..t {
                    self.respond(ask.span, &mut trial, number, Some(&mut linear));
                }
                linear
            }
        };
        for iteration in 0..ask.most {
            work.iterations += 1;
            let make = match ask.derivative {
                Derivative::AsNeeded => {
                    linear.values.is_empty()
                        || (iteration > 0 && attempt.relative_change > FAR)
                        || (iteration > 1 && fall > SLOW)
                }
                Derivative::Kept => linear.values.is_empty(),
            };
            let gains = make.then(|| self.gains(state, &linear));
            room.folded
                .fold(layout, &ask.grid.stage, &state.siemens, make)?;
            ran_with.copy_from_slice(&state.siemens);
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
                    derivative: gains.as_ref(),
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
            for (number, &(port, _)) in layout.thermal.iter().enumerate() {
                let siemens = self.respond(ask.span, state, number, make.then_some(&mut linear));
                reached[number] = siemens;
                left[m + number] = siemens - state.siemens[port];
                let relative = left[m + number].abs() / siemens.abs().max(1e-12);
                attempt.return_error = attempt.return_error.max(relative);
            }
            state.follow_warm_up(model);
            if make {
                self.derive(state, &room.sensitivity, spread, &mut linear)?;
            } else if iteration > 0 {
                linear.correct(&step, &left_before, &left, |row| {
                    if row < m {
                        state.electrical[row].abs() + FLOOR
                    } else {
                        state.siemens[layout.thermal[row - m].0]
                    }
                });
            }
            let mut worst = 0.0f64;
            for (row, share) in linear.values.chunks_exact(size.max(1)).enumerate() {
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
            let loads = self.move_followers(state, &reached, &ran_with, &linear);
            let moved = worst.max(loads);
            fall = moved / attempt.relative_change;
            attempt.relative_change = moved;
            let returned = attempt.return_error <= ask.return_error;
            if worst <= ask.relative && loads <= LOADS_SHARE * ask.relative && returned {
                attempt.converged = true;
                break;
            }
        }
        *kept = Some(linear);
        Ok(attempt)
    }

    /// Conductance that a thermal group comes to over the span under a drive; `state` is
    /// left where it gets.
    fn follow(&self, span: Span<'_>, number: usize, drive: f64, state: &mut GroupState) -> f64 {
        let model = self.model();
        let (port, group) = model.layout.thermal[number];
        let law = &model.circuit.groups[group];
        match span {
            Span::Settled => {
                let response = law.settled(drive);
                *state = response.state;
                response.siemens
            }
            Span::Cycles { from, cycles } => {
                let seconds = cycles / model.circuit.hertz;
                let before = group_drive(law.arrangement, from.siemens[port], from.drive[number]);
                state.clone_from(&from.groups[group]);
                for (share, place) in PIECES {
                    let there = before + place * (drive - before);
                    law.advance_in_place(state, there, share * seconds);
                }
                law.siemens(state)
            }
        }
    }

    /// Lets a thermal group follow its drive over the span. Gives its conductance at
    /// the end and, on request, the change of that with the drive and of all that
    /// follows the group.
    fn respond(
        &self,
        span: Span<'_>,
        state: &mut SetState,
        number: usize,
        linear: Option<&mut Linear>,
    ) -> f64 {
        let model = self.model();
        let layout = &model.layout;
        let (port, group) = layout.thermal[number];
        let arrangement = model.circuit.groups[group].arrangement;
        let drive = group_drive(arrangement, state.siemens[port], state.drive[number]);
        let Some(linear) = linear else {
            return self.follow(span, number, drive, &mut state.groups[group]);
        };
        let shift = SHIFT * drive + 1e-12;
        let above = self.follow(span, number, drive + shift, &mut state.groups[group]);
        let shifted: Vec<Option<f64>> = self.followers(&state.groups, number);
        let here = self.follow(span, number, drive, &mut state.groups[group]);
        let plain = self.followers(&state.groups, number);
        linear.slope[number] = (above - here) / shift;
        let way = (above / here).ln();
        let mut places = linear.slow_gain.iter_mut().chain(&mut linear.emission_gain);
        for (shifted, plain) in shifted.iter().zip(&plain) {
            let Some(place) = places.next() else { break };
            if let (Some(shifted), Some(plain)) = (shifted, plain) {
                let gain = (shifted / plain).ln() / way;
                // What the group hardly shows cannot be told from it.
                *place = if way.abs() > 1e-8 && gain.is_finite() {
                    gain.clamp(-MOST_GAIN, MOST_GAIN)
                } else {
                    0.0
                };
            }
        }
        here
    }

    /// Loads, then emissions, at these temperatures: those that follow one thermal group.
    fn followers(&self, groups: &[GroupState], number: usize) -> Vec<Option<f64>> {
        let model = self.model();
        let layout = &model.layout;
        let mine = |follows: &Option<usize>| *follows == Some(number);
        let loads = layout.slow.iter().zip(&layout.slow_follows);
        let loads = loads.map(|(port, follows)| {
            mine(follows)
                .then(|| load_siemens(model, groups, port.element).map(|(now, _)| now))
                .flatten()
        });
        let emissions = layout.rectifiers.iter().zip(&layout.emission_follows);
        let emissions = emissions.map(|(&index, follows)| {
            mine(follows)
                .then(|| emission_share(model, groups, index))
                .flatten()
        });
        loads.chain(emissions).collect()
    }

    /// Powers by which loads and emissions follow their groups, as derivatives.
    fn gains(&self, state: &SetState, linear: &Linear) -> Gains {
        let layout = &self.model().layout;
        let of_group = |number: usize| state.siemens[layout.thermal[number].0];
        let ports = layout.slow.iter().zip(&layout.slow_follows);
        let slow = ports
            .zip(linear.slow_gain.iter().zip(&state.siemens))
            .map(|((port, follows), (gain, siemens))| match *follows {
                Some(number) if port.group.is_some() => (number, 1.0),
                Some(number) => (number, gain * siemens / of_group(number)),
                None => (0, 0.0),
            })
            .collect();
        let emission = layout
            .emission_follows
            .iter()
            .zip(&linear.emission_gain)
            .map(|(follows, gain)| follows.map(|number| (number, gain / of_group(number))))
            .collect();
        Gains { slow, emission }
    }

    /// Moves loads and emissions along with the groups, whose conductance goes from
    /// what they came to (`reached`) to what is now expected. Gives the largest
    /// movement of a load against `ran_with`, as a share of what it draws when warm.
    fn move_followers(
        &self,
        state: &mut SetState,
        reached: &[f64],
        ran_with: &[f64],
        linear: &Linear,
    ) -> f64 {
        let layout = &self.model().layout;
        let ways: Vec<f64> = layout
            .thermal
            .iter()
            .zip(reached)
            .map(|(&(port, _), reached)| (state.siemens[port] / reached).ln())
            .collect();
        let factor = |number: usize, gain: f64| (gain * ways[number]).clamp(-1.5, 1.5).exp();
        let mut moved = 0.0f64;
        for (index, port) in layout.slow.iter().enumerate() {
            if port.group.is_some() {
                continue;
            }
            if let Some(number) = layout.slow_follows[index] {
                let least = state.siemens[index] * factor(number, linear.slow_gain[index]);
                state.siemens[index] = least.clamp(LEAST_LOAD_SIEMENS, 1.05 * port.base_siemens);
            }
            let change = state.siemens[index] - ran_with[index];
            moved = moved.max(change.abs() / port.base_siemens);
        }
        for (index, follows) in layout.emission_follows.iter().enumerate() {
            if let Some(number) = *follows {
                state.emission[index] *= factor(number, linear.emission_gain[index]);
            }
        }
        moved
    }

    /// Makes the inverse of the derivative of what is left over.
    fn derive(
        &self,
        state: &SetState,
        sensitivity: &Sensitivity,
        spread: f64,
        linear: &mut Linear,
    ) -> Result<(), CircuitError> {
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
                Arrangement::Parallel => (linear.slope[number], 0.0),
                Arrangement::Series => (
                    linear.slope[number] * siemens * siemens,
                    linear.slope[number] * 2.0 * siemens * state.drive[number],
                ),
            };
            let row = m + number;
            let target = &mut square[row * size..(row + 1) * size];
            for (target, value) in target.iter_mut().zip(from) {
                *target = -gain * value;
            }
            target[row] += 1.0 - own;
        }
        linear.values.clear();
        linear.values.resize(size * size, 0.0);
        for index in 0..size {
            linear.values[index * size + index] = 1.0;
        }
        dense_solve(&mut square, &mut linear.values, size, size)
            .map_err(|pivot| CircuitError::Singular { node: 0, pivot })
    }
}

impl Linear {
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
