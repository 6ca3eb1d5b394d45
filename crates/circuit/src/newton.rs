//! Newton's method on the cycle: settled states and long intervals alike.
//!
//! Inside: volts, amperes, siemens, seconds. Unknown are the electrical state at
//! the start of a cycle and the conductance of every lamp and heater. Settled:
//! the cycle returns to its start, and each conductance is the one that its own
//! power settles to. Over an interval of many cycles the same equations hold with
//! the change spread over the interval (implicit Euler in cycles, envelope
//! following; Petzold, SIAM J. Numer. Anal. 18 (1981) 455, from memory).
//! Fails with the state that moves most when no solution was found.

use crate::cycle::{CycleRun, Grid, Samples, Sensitivity};
use crate::error::CircuitError;
use crate::fold::{Folded, dense_solve};
use crate::solver::Solver;
use crate::state::{SetState, Work, group_drive, thermal_ports};
use crate::thermal::Arrangement;

/// How far the unknowns may still move, relative to their size. Newton's next step
/// would be far smaller, so results are good to about a tenth of this.
const RELATIVE: f64 = 2e-5;
/// Volts or amperes below which an electrical state is noise.
const ABSOLUTE: f64 = 2e-6;

/// The interval that is solved for.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Span<'s> {
    /// Until nothing changes any more.
    Settled,
    /// From a state over a number of cycles.
    Cycles { from: &'s SetState, cycles: f64 },
}

/// The inverse of the equations' derivative, kept for later iterations.
#[derive(Debug, Clone)]
pub(crate) struct Inverse {
    size: usize,
    values: Vec<f64>,
}

/// How an attempt ended.
pub(crate) struct Attempt {
    pub converged: bool,
    /// The state that the recorded samples belong to.
    pub recorded: Option<SetState>,
    pub worst_state: usize,
    pub relative_change: f64,
}

impl Solver<'_> {
    /// Iterates from the guess in `state`. With `inverse` given, that derivative is
    /// kept; otherwise a new one is made at every iteration and left in `inverse`.
    pub(crate) fn newton(
        &self,
        grid: &Grid,
        span: Span<'_>,
        state: &mut SetState,
        inverse: &mut Option<Inverse>,
        keep: bool,
        most: usize,
        mut samples: Option<&mut Samples>,
        work: &mut Work,
    ) -> Result<Attempt, CircuitError> {
        let model = self.model();
        let m = model.layout.states.len();
        let q = model.layout.slow.len();
        let thermal = thermal_ports(&model.layout);
        let size = m + thermal.len();
        let mut sensitivity = Sensitivity::new(m, q);
        let mut attempt = Attempt {
            converged: false,
            recorded: None,
            worst_state: 0,
            relative_change: f64::INFINITY,
        };
        for _ in 0..most {
            work.iterations += 1;
            let folded = Folded::new(&model.layout, &grid.stage, &state.siemens)?;
            let mut end = state.electrical.clone();
            let make = !(keep && inverse.is_some());
            sensitivity.clear();
            if let Some(samples) = samples.as_deref_mut() {
                samples.clear();
            }
            let held = samples.is_some().then(|| state.clone());
            work.rectifier_tries += model.run(
                &CycleRun {
                    grid,
                    folded: &folded,
                    emission: &state.emission,
                    from: 0,
                    until: grid.steps,
                },
                &mut end,
                &mut state.volts,
                &mut state.drive,
                make.then_some(&mut sensitivity),
                samples.as_deref_mut(),
            )?;
            work.steps += grid.steps;
            work.cycles += grid.steps as f64 / self.fine_steps() as f64;
            let mut left = vec![0.0; size];
            let spread = match span {
                Span::Settled => 0.0,
                Span::Cycles { cycles, .. } => 1.0 / cycles,
            };
            for index in 0..m {
                left[index] = end[index] - state.electrical[index];
                if let Span::Cycles { from, .. } = span {
                    left[index] += spread * (from.electrical[index] - state.electrical[index]);
                }
            }
            let mut slope = vec![0.0; thermal.len()];
            for (number, &(port, group)) in thermal.iter().enumerate() {
                let law = &model.circuit.groups[group];
                let siemens = state.siemens[port];
                let drive = group_drive(law.arrangement, siemens, state.drive[port]);
                let response = match span {
                    Span::Settled => law.settled(drive),
                    Span::Cycles { from, cycles } => {
                        law.advance(&from.groups[group], drive, cycles / model.circuit.hertz)
                    }
                };
                left[m + number] = response.siemens - siemens;
                slope[number] = response.siemens_per_drive;
                state.groups[group] = response.state;
            }
            let loads = state.follow_warm_up(model);
            if make {
                let mut square = vec![0.0; size * size];
                for row in 0..m {
                    let from = &sensitivity.states[row * (m + q)..(row + 1) * (m + q)];
                    for column in 0..m {
                        square[row * size + column] = -from[column];
                    }
                    square[row * size + row] += 1.0 + spread;
                    for (number, &(port, _)) in thermal.iter().enumerate() {
                        square[row * size + m + number] = -from[m + port];
                    }
                }
                for (number, &(port, group)) in thermal.iter().enumerate() {
                    let row = m + number;
                    let siemens = state.siemens[port];
                    let (gain, own) = match model.circuit.groups[group].arrangement {
                        Arrangement::Parallel => (slope[number], 0.0),
                        Arrangement::Series => (
                            slope[number] * siemens * siemens,
                            slope[number] * 2.0 * siemens * state.drive[port],
                        ),
                    };
                    let from = &sensitivity.drive[port * (m + q)..(port + 1) * (m + q)];
                    for column in 0..m {
                        square[row * size + column] = -gain * from[column];
                    }
                    for (other, &(other_port, _)) in thermal.iter().enumerate() {
                        square[row * size + m + other] = -gain * from[m + other_port];
                    }
                    square[row * size + row] += 1.0 - own;
                }
                let mut values = vec![0.0; size * size];
                for index in 0..size {
                    values[index * size + index] = 1.0;
                }
                dense_solve(&mut square, &mut values, size, size)
                    .map_err(|pivot| CircuitError::Singular { node: 0, pivot })?;
                *inverse = Some(Inverse { size, values });
            }
            let Some(inverse) = inverse.as_ref().filter(|inverse| inverse.size == size) else {
                return Ok(attempt);
            };
            let mut worst = 0.0f64;
            for (row, share) in inverse.values.chunks_exact(size.max(1)).enumerate() {
                let change = crate::fold::dot(share, &left);
                let relative = if row < m {
                    let value = &mut state.electrical[row];
                    *value += change;
                    change.abs() / (value.abs() + ABSOLUTE / RELATIVE)
                } else {
                    let value = &mut state.siemens[thermal[row - m].0];
                    let before = *value;
                    // A conductance may at most halve or double in one iteration.
                    *value = (before + change).clamp(0.5 * before, 2.0 * before);
                    change.abs() / before
                };
                if !relative.is_finite() {
                    return Ok(attempt);
                }
                if relative > worst {
                    worst = relative;
                    attempt.worst_state = row;
                }
            }
            attempt.relative_change = worst.max(loads);
            if worst <= RELATIVE && loads <= 1e-5 {
                attempt.converged = true;
                attempt.recorded = held;
                return Ok(attempt);
            }
        }
        Ok(attempt)
    }
}
