//! Cycle after cycle, step by step: the plain method.
//!
//! Inside: volts, amperes, seconds, kelvin. Starts every run from cold and serves as
//! the reference for the settled state and the warm-up. Fails when the rectifiers
//! find no balance or, in [`Solver::marched`], when the time given does not suffice.

use crate::cycle::{CycleRun, Grid, Room};
use crate::error::CircuitError;
use crate::record::CycleRecord;
use crate::solver::{GoOn, Solver, WarmMoment};
use crate::state::{SetState, Work, group_drive};

impl<'a> Solver<'a> {
    /// Runs whole cycles step by step, with the temperatures brought up to date
    /// `parts` times a cycle.
    pub(crate) fn march(
        &self,
        state: &mut SetState,
        grid: &Grid,
        (cycles, parts): (usize, usize),
        room: &mut Room,
        work: &mut Work,
    ) -> Result<(), CircuitError> {
        let model = self.model();
        let mut drive = vec![0.0; state.drive.len()];
        let mut whole = drive.clone();
        for _ in 0..cycles {
            whole.fill(0.0);
            for part in 0..parts {
                let from = grid.steps * part / parts;
                let until = grid.steps * (part + 1) / parts;
                room.folded
                    .fold(&model.layout, &grid.stage, &state.siemens, false)?;
                self.run_plain(state, grid, (from, until), &mut drive, room, work)?;
                let share = (until - from) as f64 / grid.steps as f64;
                for (whole, part) in whole.iter_mut().zip(&drive) {
                    *whole += share * part;
                }
                let seconds = (until - from) as f64 * grid.step_seconds;
                for (number, &(port, group)) in model.layout.thermal.iter().enumerate() {
                    let law = &model.circuit.groups[group];
                    let now = group_drive(law.arrangement, state.siemens[port], drive[number]);
                    law.advance_in_place(&mut state.groups[group], now, seconds);
                    state.siemens[port] = law.siemens(&state.groups[group]);
                }
                state.follow_warm_up(model);
            }
            state.drive.copy_from_slice(&whole);
        }
        Ok(())
    }

    /// One coarse cycle with all temperatures held.
    pub(crate) fn hold_and_march(
        &self,
        state: &mut SetState,
        room: &mut Room,
        work: &mut Work,
    ) -> Result<(), CircuitError> {
        let grid = self.coarse()?;
        room.folded
            .fold(&self.model().layout, &grid.stage, &state.siemens, false)?;
        let mut drive = vec![0.0; state.drive.len()];
        self.run_plain(state, grid, (0, grid.steps), &mut drive, room, work)?;
        state.drive = drive;
        Ok(())
    }

    fn run_plain(
        &self,
        state: &mut SetState,
        grid: &Grid,
        (from, until): (usize, usize),
        drive: &mut [f64],
        room: &mut Room,
        work: &mut Work,
    ) -> Result<(), CircuitError> {
        work.rectifier_tries += self.model().run(
            &CycleRun {
                grid,
                emission: &state.emission,
                from,
                until,
                derivative: None,
                with_samples: false,
            },
            room,
            &mut state.electrical,
            &mut state.volts,
            drive,
        )?;
        work.steps += until - from;
        work.cycles += (until - from) as f64 / self.fine_steps() as f64;
        Ok(())
    }

    /// Records the cycle that begins at a state.
    pub(crate) fn record(
        &self,
        state: &SetState,
        grid: &Grid,
        room: &mut Room,
        work: &mut Work,
    ) -> Result<CycleRecord<'a>, CircuitError> {
        let model = self.model();
        room.folded
            .fold(&model.layout, &grid.stage, &state.siemens, false)?;
        let mut electrical = state.electrical.clone();
        let mut volts = state.volts.clone();
        let mut drive = state.drive.clone();
        work.rectifier_tries += model.run(
            &CycleRun {
                grid,
                emission: &state.emission,
                from: 0,
                until: grid.steps,
                derivative: None,
                with_samples: true,
            },
            room,
            &mut electrical,
            &mut volts,
            &mut drive,
        )?;
        work.steps += grid.steps;
        work.cycles += grid.steps as f64 / self.fine_steps() as f64;
        Ok(CycleRecord::new(
            model,
            grid,
            room,
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
        let mut room = Room::new(&self.model().layout);
        let second = self.model().circuit.hertz.round().max(1.0) as usize;
        let mut seconds = 0.0;
        loop {
            let before = state.clone();
            self.march(&mut state, self.fine(), (second, 1), &mut room, &mut work)?;
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
        let mut room = Room::new(&self.model().layout);
        let mut state = self.cold();
        let cycle = 1.0 / self.model().circuit.hertz;
        let mut cycles = 0.0;
        for &moment in moments {
            while (cycles + 0.5) * cycle < moment {
                self.march(&mut state, self.fine(), (1, 8), &mut room, &mut work)?;
                cycles += 1.0;
            }
            let record = self.record(&state, self.fine(), &mut room, &mut work)?;
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
}
