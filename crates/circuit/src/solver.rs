//! Solves a circuit: settled, from switch-on, and through its slow warm-up.
//!
//! Inside: volts, amperes, seconds, kelvin. Keeps apart the problem (the circuit,
//! fixed), the options, the state ([`SetState`]) and the work done ([`Work`]).
//! A result is never given when the equations are not met: every failure is a
//! [`CircuitError`] with its evidence.

use std::sync::OnceLock;

use crate::cycle::{CycleModel, Grid, Room};
use crate::element::Circuit;
use crate::error::CircuitError;
use crate::newton::{Ask, Attempt, Derivative, Linear, Span};
use crate::record::CycleRecord;
use crate::state::{SetState, Work, group_drive};
use crate::thermal::{Arrangement, ThermalGroup};

/// How finely to solve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SolverOptions {
    /// Steps a cycle for first guesses and for the warm-up. Default 32: B+ within
    /// about half a percent.
    pub coarse_steps: usize,
    /// Steps a cycle for results. Default 96: B+ within about a twentieth of a percent.
    pub fine_steps: usize,
    /// How far the guess of an interval of the warm-up may be off, relative to size.
    /// Default 0.006: readings on the way within a percent.
    pub guess_error: f64,
    /// Room temperature, kelvin. Default 298.
    pub ambient_kelvin: f64,
}

impl Default for SolverOptions {
    fn default() -> SolverOptions {
        SolverOptions {
            coarse_steps: 32,
            fine_steps: 96,
            guess_error: 0.006,
            ambient_kelvin: 298.0,
        }
    }
}

/// A circuit made ready for solving.
#[derive(Debug)]
pub struct Solver<'a> {
    model: CycleModel<'a>,
    /// Made when first asked for: near a solution known already only the fine one is.
    coarse: OnceLock<Result<Grid, CircuitError>>,
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
    pub(crate) inverse: Option<Linear>,
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
    /// Largest difference between end and start of the recorded cycle, relative to the
    /// size of the state that shows it; never above [`MOST_RETURN_ERROR`].
    pub return_error: f64,
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

/// Seconds after which lamps and heaters no longer move.
const WAITED_SECONDS: f64 = 900.0;
/// Iterations allowed for one Newton attempt.
const MOST: usize = 25;
/// How far a result may still move in the iteration that ends the search, relative to
/// its size: a tenth of what the fine grid itself is off by.
const RELATIVE: f64 = 5e-5;
/// The same on the coarse grid, whose own error is larger.
const COARSE_RELATIVE: f64 = 2e-3;
/// Largest difference between end and start of a settled cycle, relative to size.
/// The search ends far below it; this is the last check before a result is given.
pub const MOST_RETURN_ERROR: f64 = 1e-4;

impl<'a> Solver<'a> {
    /// Checks the circuit, finds its order and solves its linear part for the fine grid.
    pub fn new(circuit: &'a Circuit, options: SolverOptions) -> Result<Solver<'a>, CircuitError> {
        Solver::build(CycleModel::new(circuit)?, options)
    }

    /// The same for a circuit that differs from another one in figures only: the order
    /// found for that one serves again. A circuit of another shape is made ready anew.
    pub fn new_like(
        other: &Solver<'_>,
        circuit: &'a Circuit,
        options: SolverOptions,
    ) -> Result<Solver<'a>, CircuitError> {
        Solver::build(
            CycleModel::like(circuit, Some(&other.model.layout))?,
            options,
        )
    }

    fn build(model: CycleModel<'a>, options: SolverOptions) -> Result<Solver<'a>, CircuitError> {
        let fine = Grid::new(model.circuit, &model.layout, options.fine_steps.max(8))?;
        Ok(Solver {
            model,
            coarse: OnceLock::new(),
            fine,
            options,
        })
    }

    pub(crate) fn model(&self) -> &CycleModel<'a> {
        &self.model
    }

    pub(crate) fn options(&self) -> &SolverOptions {
        &self.options
    }

    pub(crate) fn coarse(&self) -> Result<&Grid, CircuitError> {
        let (model, steps) = (&self.model, self.options.coarse_steps.max(8));
        let grid = self
            .coarse
            .get_or_init(|| Grid::new(model.circuit, &model.layout, steps));
        grid.as_ref().map_err(Clone::clone)
    }

    pub(crate) fn fine(&self) -> &Grid {
        &self.fine
    }

    pub(crate) fn fine_steps(&self) -> usize {
        self.fine.steps
    }

    /// The set discharged and at room temperature.
    pub fn cold(&self) -> SetState {
        SetState::cold(&self.model, self.options.ambient_kelvin)
    }

    /// The periodic state at line frequency, lamps and heaters included. Where the
    /// search from `start` fails, it is made again from cold through long strides.
    pub fn settled(&self, start: Start<'_>) -> Result<Settled<'a>, CircuitError> {
        let mut work = Work {
            factorisations: 2,
            ..Work::default()
        };
        let mut room = Room::new(&self.model.layout);
        let mut inverse = None;
        let first = match start {
            Start::Warm => self.settle_from_warm(&mut inverse, &mut room, &mut work),
            Start::Near(near) if self.fits(&near.state) => {
                inverse.clone_from(&near.inverse);
                let mut state = near.state.clone();
                state.follow_warm_up(&self.model);
                Ok(Some(state))
            }
            Start::Near(_) => self.settle_from_warm(&mut inverse, &mut room, &mut work),
            Start::Cold => Ok(None),
        };
        if let Ok(Some(state)) = first
            && let Ok(settled) = self.refine(state, inverse.take(), &mut room, &mut work)
        {
            return Ok(settled);
        }
        let cold = self
            .settle_from_cold(&mut inverse, &mut room, &mut work)
            .and_then(|state| self.refine(state, inverse.take(), &mut room, &mut work));
        match cold {
            Err(CircuitError::NotSettled { .. }) => self.settle_by_waiting(&mut room, &mut work),
            other => other,
        }
    }

    /// The settled state from where the set stands after a long time, where no shorter way
    /// leads to it.
    fn settle_by_waiting(
        &self,
        room: &mut Room,
        work: &mut Work,
    ) -> Result<Settled<'a>, CircuitError> {
        let mut state = self.cold();
        work.add(&self.warm_up_from(&mut state, &[WAITED_SECONDS], &mut |_| GoOn::Yes)?);
        let mut inverse = None;
        let attempt = self.coarsely(&mut state, &mut inverse, room, work)?;
        if !attempt.converged {
            return Err(not_settled(&attempt, work));
        }
        self.refine(state, inverse, room, work)
    }

    /// Whether a state belongs to a circuit of this shape.
    fn fits(&self, state: &SetState) -> bool {
        let layout = &self.model.layout;
        let groups = &self.model.circuit.groups;
        state.electrical.len() == layout.states.len()
            && state.siemens.len() == layout.slow.len()
            && state.volts.len() == layout.rectifiers.len()
            && state.drive.len() == layout.thermal.len()
            && state.groups.len() == groups.len()
            && state
                .groups
                .iter()
                .zip(groups)
                .all(|(state, group)| state.bodies.len() == group.bodies.len())
    }

    fn coarsely(
        &self,
        state: &mut SetState,
        inverse: &mut Option<Linear>,
        room: &mut Room,
        work: &mut Work,
    ) -> Result<Attempt, CircuitError> {
        let ask = Ask {
            grid: self.coarse()?,
            span: Span::Settled,
            derivative: Derivative::AsNeeded,
            relative: COARSE_RELATIVE,
            return_error: f64::INFINITY,
            most: MOST,
            with_samples: false,
        };
        self.newton(&ask, state, inverse, room, work)
    }

    /// Settled on the coarse grid, looked for from everything warm.
    fn settle_from_warm(
        &self,
        inverse: &mut Option<Linear>,
        room: &mut Room,
        work: &mut Work,
    ) -> Result<Option<SetState>, CircuitError> {
        let mut state = self.warm_guess(room, work)?;
        let attempt = self.coarsely(&mut state, inverse, room, work)?;
        Ok(attempt.converged.then_some(state))
    }

    /// Settled on the coarse grid, reached from cold.
    fn settle_from_cold(
        &self,
        inverse: &mut Option<Linear>,
        room: &mut Room,
        work: &mut Work,
    ) -> Result<SetState, CircuitError> {
        let mut state = self.strides(room, work)?;
        *inverse = None;
        let attempt = self.coarsely(&mut state, inverse, room, work)?;
        if attempt.converged {
            Ok(state)
        } else {
            Err(not_settled(&attempt, work))
        }
    }

    /// The settled state on the fine grid, from a good guess.
    fn refine(
        &self,
        guess: SetState,
        mut inverse: Option<Linear>,
        room: &mut Room,
        work: &mut Work,
    ) -> Result<Settled<'a>, CircuitError> {
        let mut ask = Ask {
            grid: &self.fine,
            span: Span::Settled,
            derivative: Derivative::Kept,
            relative: RELATIVE,
            return_error: MOST_RETURN_ERROR,
            most: 10,
            with_samples: true,
        };
        let mut state = guess.clone();
        let mut attempt = self.newton(&ask, &mut state, &mut inverse, room, work);
        if !matches!(&attempt, Ok(attempt) if attempt.converged) {
            state = guess;
            inverse = None;
            ask.derivative = Derivative::AsNeeded;
            ask.most = MOST;
            attempt = self.newton(&ask, &mut state, &mut inverse, room, work);
        }
        let mut attempt = attempt?;
        let Some(ran) = attempt.ran.take().filter(|_| attempt.converged) else {
            return Err(not_settled(&attempt, work));
        };
        if attempt.return_error.is_nan() || attempt.return_error > MOST_RETURN_ERROR {
            return Err(not_settled(&attempt, work));
        }
        Ok(Settled {
            at: SettledState { state, inverse },
            record: CycleRecord::new(&self.model, &self.fine, room, &ran.emission, &ran.siemens),
            work: *work,
            return_error: attempt.return_error,
        })
    }

    /// A first guess with everything warm.
    fn warm_guess(&self, room: &mut Room, work: &mut Work) -> Result<SetState, CircuitError> {
        let mut state = self.cold();
        let layout = &self.model.layout;
        for &(port, group) in &layout.thermal {
            let law = &self.model.circuit.groups[group];
            if let Some(drive) = rated_drive(law) {
                let response = law.settled(drive);
                state.siemens[port] = response.siemens;
                state.groups[group] = response.state;
            }
        }
        state.follow_warm_up(&self.model);
        for turn in 0..2 {
            self.hold_and_march(&mut state, room, work)?;
            for (number, &(port, group)) in layout.thermal.iter().enumerate() {
                let law = &self.model.circuit.groups[group];
                let drive = group_drive(law.arrangement, state.siemens[port], state.drive[number]);
                let response = law.settled(drive);
                // Half way in the logarithm: a plain substitution can swing.
                state.siemens[port] = (state.siemens[port] * response.siemens).sqrt();
                if turn > 0 {
                    state.groups[group] = response.state;
                }
            }
            state.follow_warm_up(&self.model);
        }
        Ok(state)
    }
}

fn not_settled(attempt: &Attempt, work: &Work) -> CircuitError {
    CircuitError::NotSettled {
        cycles: work.cycles,
        worst_state: attempt.worst_state,
        relative_change: attempt.relative_change.max(attempt.return_error),
    }
}

/// The drive at which the first rated body of a group stands at its rating.
fn rated_drive(group: &ThermalGroup) -> Option<f64> {
    group.bodies.iter().find_map(|body| {
        let rated = match group.arrangement {
            Arrangement::Parallel => body.rated_volts(),
            Arrangement::Series => body.rated_amperes(),
        };
        rated.map(|rated| rated * rated)
    })
}
