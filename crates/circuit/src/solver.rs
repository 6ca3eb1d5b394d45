//! Solves a circuit: settled, from switch-on, and through its slow warm-up.
//!
//! Inside: volts, amperes, seconds, kelvin. Keeps apart the problem (the circuit,
//! fixed), the options, the state ([`SetState`]) and the work done ([`Work`]).
//! A result is never given when the equations are not met: every failure is a
//! [`CircuitError`] with its evidence.

use crate::cycle::{CycleModel, CycleRun, Grid, Samples};
use crate::element::Circuit;
use crate::error::CircuitError;
use crate::fold::Folded;
use crate::newton::{Inverse, Span};
use crate::record::CycleRecord;
use crate::state::{SetState, Work, group_drive, thermal_ports};

/// How finely to solve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SolverOptions {
    /// Steps a cycle for first guesses and for the warm-up. Default 32: B+ within
    /// about half a percent.
    pub coarse_steps: usize,
    /// Steps a cycle for results. Default 96: B+ within about a twentieth of a percent.
    pub fine_steps: usize,
    /// Room temperature, kelvin. Default 298.
    pub ambient_kelvin: f64,
}

impl Default for SolverOptions {
    fn default() -> SolverOptions {
        SolverOptions {
            coarse_steps: 32,
            fine_steps: 96,
            ambient_kelvin: 298.0,
        }
    }
}

/// A circuit made ready for solving.
#[derive(Debug)]
pub struct Solver<'a> {
    model: CycleModel<'a>,
    coarse: Grid,
    fine: Grid,
    options: SolverOptions,
}

/// Where a settled solution is looked for.
#[derive(Debug, Clone, Copy)]
pub enum Start<'s> {
    /// From everything warm: right where nothing but the line limits the heaters.
    Warm,
    /// From cold, through the warm-up in a few long strides: right behind a lamp
    /// or a thermistor, where more than one settled state can exist.
    Cold,
    /// From the solution of nearly the same circuit.
    Near(&'s SettledState),
}

/// A settled state that later solutions can start from.
#[derive(Debug, Clone)]
pub struct SettledState {
    /// The state at the start of a cycle.
    pub state: SetState,
    pub(crate) inverse: Option<Inverse>,
}

/// A settled solution.
#[derive(Debug, Clone)]
pub struct Settled<'a> {
    /// Where it stands; a start for neighbours.
    pub at: SettledState,
    /// One recorded cycle.
    pub record: CycleRecord<'a>,
    /// What it took.
    pub work: Work,
}

/// A moment of the warm-up.
pub struct WarmMoment<'r, 'a> {
    /// Seconds since switch-on.
    pub seconds: f64,
    /// The state.
    pub state: &'r SetState,
    /// The cycle that begins there.
    pub record: CycleRecord<'a>,
}

/// What the observer of a run wants next.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum GoOn {
    /// Carry on.
    Yes,
    /// Enough was seen.
    Enough,
}

/// Intervals, in seconds, of the strides from cold to settled.
const STRIDES: [f64; 7] = [0.05, 0.2, 0.8, 3.0, 9.0, 25.0, 80.0];

/// Iterations allowed for one Newton attempt.
const MOST: usize = 25;

impl<'a> Solver<'a> {
    /// Checks the circuit, finds its order and solves its linear part for both grids.
    pub fn new(circuit: &'a Circuit, options: SolverOptions) -> Result<Solver<'a>, CircuitError> {
        let model = CycleModel::new(circuit)?;
        let coarse = Grid::new(circuit, &model.layout, options.coarse_steps.max(8))?;
        let fine = Grid::new(circuit, &model.layout, options.fine_steps.max(8))?;
        Ok(Solver {
            model,
            coarse,
            fine,
            options,
        })
    }

    pub(crate) fn model(&self) -> &CycleModel<'a> {
        &self.model
    }

    pub(crate) fn fine_steps(&self) -> usize {
        self.fine.steps
    }

    /// The set discharged and at room temperature.
    pub fn cold(&self) -> SetState {
        SetState::cold(&self.model, self.options.ambient_kelvin)
    }

    /// The periodic state at line frequency, lamps and heaters included.
    pub fn settled(&self, start: Start<'_>) -> Result<Settled<'a>, CircuitError> {
        let mut work = Work {
            factorisations: 2,
            ..Work::default()
        };
        let mut inverse = None;
        let mut state = match start {
            Start::Warm => self.warm_guess(&mut work)?,
            Start::Cold => self.strides(&mut work)?,
            Start::Near(near) => {
                let mut state = near.state.clone();
                let fits = state.electrical.len() == self.model.layout.states.len()
                    && state.siemens.len() == self.model.layout.slow.len()
                    && state.volts.len() == self.model.layout.rectifiers.len();
                if fits {
                    inverse = near.inverse.clone();
                    state.follow_warm_up(&self.model);
                    state
                } else {
                    state = self.warm_guess(&mut work)?;
                    state
                }
            }
        };
        if inverse.is_none() {
            let attempt = self.newton(
                &self.coarse,
                Span::Settled,
                &mut state,
                &mut inverse,
                false,
                MOST,
                None,
                &mut work,
            );
            let found = matches!(&attempt, Ok(attempt) if attempt.converged);
            if !found {
                state = self.strides(&mut work)?;
                let attempt = self.newton(
                    &self.coarse,
                    Span::Settled,
                    &mut state,
                    &mut inverse,
                    false,
                    MOST,
                    None,
                    &mut work,
                )?;
                if !attempt.converged {
                    return Err(CircuitError::NotSettled {
                        cycles: work.cycles,
                        worst_state: attempt.worst_state,
                        relative_change: attempt.relative_change,
                    });
                }
            }
        }
        let kept = state.clone();
        let mut samples = Samples::default();
        let mut attempt = self.newton(
            &self.fine,
            Span::Settled,
            &mut state,
            &mut inverse,
            true,
            8,
            Some(&mut samples),
            &mut work,
        );
        if !matches!(&attempt, Ok(attempt) if attempt.converged) {
            state = kept;
            attempt = self.newton(
                &self.fine,
                Span::Settled,
                &mut state,
                &mut inverse,
                false,
                MOST,
                Some(&mut samples),
                &mut work,
            );
        }
        let attempt = attempt?;
        let Some(recorded) = attempt.recorded else {
            return Err(CircuitError::NotSettled {
                cycles: work.cycles,
                worst_state: attempt.worst_state,
                relative_change: attempt.relative_change,
            });
        };
        let record = CycleRecord::new(
            &self.model,
            &self.fine,
            samples,
            &recorded.emission,
            &recorded.siemens,
        );
        Ok(Settled {
            at: SettledState { state, inverse },
            record,
            work,
        })
    }

    /// A first guess with everything warm.
    fn warm_guess(&self, work: &mut Work) -> Result<SetState, CircuitError> {
        let mut state = self.cold();
        for _ in 0..3 {
            self.march(&mut state, &self.coarse, 1, 1, work)?;
            for &(port, group) in &thermal_ports(&self.model.layout) {
                let law = &self.model.circuit.groups[group];
                let drive = group_drive(law.arrangement, state.siemens[port], state.drive[port]);
                let response = law.settled(drive);
                // Half way in the logarithm: a plain substitution can swing.
                state.siemens[port] = (state.siemens[port] * response.siemens).sqrt();
                state.groups[group] = response.state;
            }
            state.follow_warm_up(&self.model);
        }
        Ok(state)
    }

    /// From cold towards settled in long strides.
    fn strides(&self, work: &mut Work) -> Result<SetState, CircuitError> {
        let mut state = self.cold();
        self.march(&mut state, &self.coarse, 3, 4, work)?;
        for seconds in STRIDES {
            self.stride(&mut state, seconds, work)?;
        }
        Ok(state)
    }

    /// One long interval, halved where it does not converge.
    pub(crate) fn stride(
        &self,
        state: &mut SetState,
        seconds: f64,
        work: &mut Work,
    ) -> Result<(), CircuitError> {
        let mut left = seconds;
        let mut now = seconds;
        let hertz = self.model.circuit.hertz;
        while left > 1e-9 {
            now = now.min(left);
            let mut next = state.clone();
            let mut inverse = None;
            let attempt = self.newton(
                &self.coarse,
                Span::Cycles {
                    from: state,
                    cycles: now * hertz,
                },
                &mut next,
                &mut inverse,
                false,
                12,
                None,
                work,
            );
            match attempt {
                Ok(attempt) if attempt.converged => {
                    *state = next;
                    left -= now;
                    now *= 2.0;
                }
                _ => {
                    now *= 0.25;
                    if now * hertz < 1.0 {
                        self.march(state, &self.coarse, 1, 4, work)?;
                        left -= 1.0 / hertz;
                        now = 2.0 / hertz;
                    }
                }
            }
        }
        Ok(())
    }

    /// Runs whole cycles step by step, with the temperatures brought up to date
    /// `parts` times a cycle.
    pub(crate) fn march(
        &self,
        state: &mut SetState,
        grid: &Grid,
        cycles: usize,
        parts: usize,
        work: &mut Work,
    ) -> Result<(), CircuitError> {
        let ports = thermal_ports(&self.model.layout);
        let mut drive = vec![0.0; state.drive.len()];
        for _ in 0..cycles {
            let mut whole = vec![0.0; state.drive.len()];
            for part in 0..parts {
                let from = grid.steps * part / parts;
                let until = grid.steps * (part + 1) / parts;
                let folded = Folded::new(&self.model.layout, &grid.stage, &state.siemens)?;
                work.rectifier_tries += self.model.run(
                    &CycleRun {
                        grid,
                        folded: &folded,
                        emission: &state.emission,
                        from,
                        until,
                    },
                    &mut state.electrical,
                    &mut state.volts,
                    &mut drive,
                    None,
                    None,
                )?;
                work.steps += until - from;
                work.cycles += (until - from) as f64 / self.fine.steps as f64;
                let share = (until - from) as f64 / grid.steps as f64;
                for (whole, part) in whole.iter_mut().zip(&drive) {
                    *whole += share * part;
                }
                let seconds = (until - from) as f64 * grid.step_seconds;
                for &(port, group) in &ports {
                    let law = &self.model.circuit.groups[group];
                    let now = group_drive(law.arrangement, state.siemens[port], drive[port]);
                    law.advance_in_place(&mut state.groups[group], now, seconds);
                    state.siemens[port] = law.siemens(&state.groups[group]);
                }
                state.follow_warm_up(&self.model);
            }
            state.drive = whole;
        }
        Ok(())
    }

    /// Records the cycle that begins at a state.
    fn record(
        &self,
        state: &SetState,
        grid: &Grid,
        work: &mut Work,
    ) -> Result<CycleRecord<'a>, CircuitError> {
        let folded = Folded::new(&self.model.layout, &grid.stage, &state.siemens)?;
        let mut samples = Samples::default();
        let mut electrical = state.electrical.clone();
        let mut volts = state.volts.clone();
        let mut drive = state.drive.clone();
        work.rectifier_tries += self.model.run(
            &CycleRun {
                grid,
                folded: &folded,
                emission: &state.emission,
                from: 0,
                until: grid.steps,
            },
            &mut electrical,
            &mut volts,
            &mut drive,
            None,
            Some(&mut samples),
        )?;
        work.steps += grid.steps;
        work.cycles += grid.steps as f64 / self.fine.steps as f64;
        Ok(CycleRecord::new(
            &self.model,
            grid,
            samples,
            &state.emission,
            &state.siemens,
        ))
    }

    /// Marches the circuit from cold, cycle by cycle with temperatures brought up to
    /// date, until no state moves by more than `relative` between two seconds. The
    /// plain method, kept as the reference for the others.
    pub fn marched(
        &self,
        relative: f64,
        most_seconds: f64,
    ) -> Result<(SetState, Work), CircuitError> {
        let mut state = self.cold();
        let mut work = Work::default();
        let second = self.model.circuit.hertz.round().max(1.0) as usize;
        let mut seconds = 0.0;
        loop {
            let before = state.clone();
            self.march(&mut state, &self.fine, second, 1, &mut work)?;
            seconds += 1.0;
            let largest = before.electrical.iter().fold(0.0f64, |a, b| a.max(b.abs()));
            let electrical = state
                .electrical
                .iter()
                .zip(&before.electrical)
                .map(|(now, then)| (now - then).abs() / (now.abs() + 1e-6 * largest));
            let thermal = state
                .siemens
                .iter()
                .zip(&before.siemens)
                .map(|(now, then)| (now - then).abs() / now.abs());
            // What still moves by this much in a second, with the slowest time
            // constants near ten seconds, is ten times as far from its end.
            if electrical.chain(thermal).fold(0.0, f64::max) <= 0.1 * relative {
                return Ok((state, work));
            }
            if seconds > most_seconds {
                return Err(CircuitError::NotSettled {
                    cycles: work.cycles,
                    worst_state: 0,
                    relative_change: f64::NAN,
                });
            }
        }
    }

    /// The plain method from switch-on: every cycle step by step on the fine grid with
    /// temperatures brought up to date eight times a cycle. The reference for
    /// [`Solver::warm_up`].
    pub fn marched_moments(
        &self,
        moments: &[f64],
        observe: &mut dyn FnMut(WarmMoment<'_, 'a>) -> GoOn,
    ) -> Result<Work, CircuitError> {
        let mut work = Work::default();
        let mut state = self.cold();
        let cycle = 1.0 / self.model.circuit.hertz;
        let mut cycles = 0.0;
        for &moment in moments {
            while (cycles + 0.5) * cycle < moment {
                self.march(&mut state, &self.fine, 1, 8, &mut work)?;
                cycles += 1.0;
            }
            let record = self.record(&state, &self.fine, &mut work)?;
            let wants = observe(WarmMoment {
                seconds: cycles * cycle,
                state: &state,
                record,
            });
            if wants == GoOn::Enough {
                break;
            }
        }
        Ok(work)
    }

    /// From switch-on at cold through the warm-up. The first cycles are run step by
    /// step; afterwards whole intervals are solved at once. `observe` sees the cycle
    /// at each of `moments` (seconds, rising) and may end the run.
    pub fn warm_up(
        &self,
        moments: &[f64],
        observe: &mut dyn FnMut(WarmMoment<'_, 'a>) -> GoOn,
    ) -> Result<Work, CircuitError> {
        let mut state = self.cold();
        self.warm_up_from(&mut state, moments, observe)
    }

    /// The same from a given state.
    pub fn warm_up_from(
        &self,
        state: &mut SetState,
        moments: &[f64],
        observe: &mut dyn FnMut(WarmMoment<'_, 'a>) -> GoOn,
    ) -> Result<Work, CircuitError> {
        let mut work = Work::default();
        let cycle = 1.0 / self.model.circuit.hertz;
        let mut seconds = 0.0;
        let mut stride = cycle;
        for &moment in moments {
            while seconds + 0.5 * cycle < moment {
                if stride < 3.0 * cycle {
                    let before = state.clone();
                    self.march(state, &self.coarse, 1, 8, &mut work)?;
                    seconds += cycle;
                    if moved(&before, state) < 0.02 {
                        stride *= 1.5;
                    } else {
                        stride = cycle;
                    }
                } else {
                    let now = stride.min(moment - seconds);
                    let before = state.clone();
                    self.stride(state, now, &mut work)?;
                    let movement = moved(&before, state);
                    if movement > MOST_MOVEMENT && now > 3.0 * cycle {
                        *state = before;
                        stride = (now * 0.5).max(3.0 * cycle);
                        continue;
                    }
                    seconds += now;
                    if movement < 0.5 * MOST_MOVEMENT {
                        stride = (now * 1.6).max(stride);
                    }
                }
            }
            let record = self.record(state, &self.coarse, &mut work)?;
            let wants = observe(WarmMoment {
                seconds,
                state,
                record,
            });
            if wants == GoOn::Enough {
                break;
            }
        }
        Ok(work)
    }
}

/// Largest relative movement that one interval of the warm-up may bring.
const MOST_MOVEMENT: f64 = 0.06;

/// Largest relative movement between two states.
fn moved(before: &SetState, after: &SetState) -> f64 {
    let largest = after
        .electrical
        .iter()
        .chain(&before.electrical)
        .fold(0.0f64, |a, b| a.max(b.abs()));
    let electrical = after
        .electrical
        .iter()
        .zip(&before.electrical)
        .map(|(now, then)| (now - then).abs() / (largest + 1e-9));
    let slow = after
        .siemens
        .iter()
        .zip(&before.siemens)
        .map(|(now, then)| (now - then).abs() / (now.abs() + then.abs() + 1e-6));
    electrical.chain(slow).fold(0.0, f64::max)
}
