//! One line cycle of a circuit: from a state to the state a cycle later.
//!
//! Inside: volts, amperes, seconds. Method: a two-stage singly diagonally
//! implicit Runge-Kutta scheme, stiffly accurate, second order and L-stable
//! (Alexander, SIAM J. Numer. Anal. 14 (1977) 1006; from memory). Both stages
//! share one matrix and no earlier rate is needed, so a cycle is a function of
//! its first state alone. Its derivative is carried along on request.
//! Within a cycle the conductances of lamps, heaters and loads are held.
//! Fails when the rectifiers of a step find no balance.

use crate::element::Circuit;
use crate::error::CircuitError;
use crate::fold::{Folded, Scratch, dot, laws};
use crate::rectifier::RectifierLaw;
use crate::stage::{Alpha, Layout, SOURCES, Stage};

/// The scheme's one constant, `1 - 1/sqrt(2)`.
pub(crate) const GAMMA: f64 = 1.0 - std::f64::consts::FRAC_1_SQRT_2;

/// Weight of the first stage in the history of the second: `(1 - gamma) / gamma`.
pub(crate) const CARRY: f64 = (1.0 - GAMMA) / GAMMA;

/// A time grid over one cycle with its solved stage.
#[derive(Debug, Clone)]
pub(crate) struct Grid {
    pub steps: usize,
    pub step_seconds: f64,
    pub stage: Stage,
    /// Sine and cosine at the two stages of each step.
    sources: Vec<[[f64; 2]; 2]>,
}

impl Grid {
    pub fn new(circuit: &Circuit, layout: &Layout, steps: usize) -> Result<Grid, CircuitError> {
        let step_seconds = 1.0 / (circuit.hertz * steps as f64);
        let stage = Stage::new(circuit, layout, Alpha::Seconds(GAMMA * step_seconds))?;
        let turn = std::f64::consts::TAU / steps as f64;
        let sources = (0..steps)
            .map(|step| {
                [step as f64 + GAMMA, step as f64 + 1.0].map(|place| {
                    let (sine, cosine) = (turn * place).sin_cos();
                    [sine, cosine]
                })
            })
            .collect();
        Ok(Grid {
            steps,
            step_seconds,
            stage,
            sources,
        })
    }
}

/// Everything about a circuit that a cycle needs and that never changes.
#[derive(Debug)]
pub(crate) struct CycleModel<'a> {
    pub circuit: &'a Circuit,
    pub layout: Layout,
    pub laws: Vec<RectifierLaw>,
}

/// The derivative of a cycle by its first state and by the slow conductances.
#[derive(Debug, Clone)]
pub(crate) struct Sensitivity {
    /// Columns: states, then slow ports.
    pub columns: usize,
    /// Last state, m rows.
    pub states: Vec<f64>,
    /// Mean-square volts of the slow ports, q rows.
    pub drive: Vec<f64>,
}

/// What a cycle is run with.
pub(crate) struct CycleRun<'a> {
    pub grid: &'a Grid,
    pub folded: &'a Folded,
    /// Emission share of each rectifier.
    pub emission: &'a [f64],
    /// Steps to run: first and one past the last.
    pub from: usize,
    pub until: usize,
}

/// Every step of a recorded cycle.
#[derive(Debug, Clone, Default)]
pub(crate) struct Samples {
    /// Histories, sources, rectifier currents, slow currents for each sample.
    pub columns: Vec<f64>,
    /// Volts of rectifiers, then slow ports.
    pub ports: Vec<f64>,
    /// States after each sample.
    pub states: Vec<f64>,
    /// Weight of each sample in a mean over the cycle.
    pub weights: Vec<f64>,
    /// Time of each sample from the start of the cycle, seconds.
    pub seconds: Vec<f64>,
}

impl Samples {
    /// Forgets all samples, keeps the room.
    pub fn clear(&mut self) {
        for values in [
            &mut self.columns,
            &mut self.ports,
            &mut self.states,
            &mut self.weights,
            &mut self.seconds,
        ] {
            values.clear();
        }
    }
}

impl<'a> CycleModel<'a> {
    pub fn new(circuit: &'a Circuit) -> Result<CycleModel<'a>, CircuitError> {
        let layout = Layout::new(circuit)?;
        let laws = laws(circuit, &layout);
        Ok(CycleModel {
            circuit,
            layout,
            laws,
        })
    }

    /// Runs steps of a cycle. `state` is advanced, `volts` holds the rectifiers'
    /// last volts as a first guess, `drive` receives the mean-square volts of each
    /// slow port over the steps run. Returns the Newton tries made.
    pub fn run(
        &self,
        run: &CycleRun<'_>,
        state: &mut [f64],
        volts: &mut [f64],
        drive: &mut [f64],
        mut sensitivity: Option<&mut Sensitivity>,
        mut samples: Option<&mut Samples>,
    ) -> Result<usize, CircuitError> {
        let Folded { m, k, q, .. } = *run.folded;
        let folded = run.folded;
        let first = m + SOURCES;
        let mut known = vec![0.0; first + k];
        let mut next = vec![0.0; m];
        let mut amperes = vec![0.0; k];
        let mut slopes = vec![0.0; k];
        let mut scratch = Scratch::new(k);
        let mut slow = vec![0.0; q];
        let mut carried = sensitivity.as_ref().map(|_| Carried::new(m, k, q));
        let span = 1.0 / (run.until - run.from).max(1) as f64;
        let mut tries = 0;
        drive.fill(0.0);
        for step in run.from..run.until {
            known[..m].copy_from_slice(state);
            for half in 0..2 {
                let [sine, cosine] = run.grid.sources[step][half];
                known[m] = 1.0;
                known[m + 1] = sine;
                known[m + 2] = cosine;
                if half == 1 {
                    for index in 0..m {
                        known[index] = state[index] + CARRY * (next[index] - state[index]);
                    }
                }
                let part = if half == 0 { GAMMA } else { 1.0 };
                let seconds = (step as f64 + part) * run.grid.step_seconds;
                if k > 0 {
                    tries += folded.rectify(
                        &self.laws,
                        run.emission,
                        &known[..first],
                        volts,
                        &mut amperes,
                        &mut slopes,
                        &mut scratch,
                        seconds,
                    )?;
                    known[first..].copy_from_slice(&amperes);
                }
                for (index, value) in next.iter_mut().enumerate() {
                    *value = dot(folded.row(k + index), &known);
                }
                let weight = span * if half == 0 { 1.0 - GAMMA } else { GAMMA };
                for (index, volts) in slow.iter_mut().enumerate() {
                    *volts = dot(folded.row(k + m + index), &known);
                    drive[index] += weight * *volts * *volts;
                }
                if let (Some(carried), Some(sensitivity)) =
                    (carried.as_mut(), sensitivity.as_deref_mut())
                {
                    carried.stage(folded, half, &slopes, &slow, weight, sensitivity);
                }
                if let Some(samples) = samples.as_deref_mut() {
                    samples.columns.extend_from_slice(&known);
                    samples.columns.extend(
                        slow.iter()
                            .zip(&folded.excess)
                            .map(|(volts, excess)| volts * excess),
                    );
                    samples.ports.extend_from_slice(volts);
                    samples.ports.extend_from_slice(&slow);
                    samples.states.extend_from_slice(&next);
                    samples.weights.push(weight);
                    samples.seconds.push(seconds);
                }
            }
            state.copy_from_slice(&next);
        }
        Ok(tries)
    }
}

/// Derivatives on their way through the stages of a cycle.
struct Carried {
    columns: usize,
    /// Of the state at the start of the step, and of the first stage.
    start: Vec<f64>,
    stage: Vec<f64>,
    history: Vec<f64>,
    amperes: Vec<f64>,
    square: Vec<f64>,
}

impl Carried {
    fn new(m: usize, k: usize, q: usize) -> Carried {
        let columns = m + q;
        let mut start = vec![0.0; m * columns];
        for index in 0..m {
            start[index * columns + index] = 1.0;
        }
        Carried {
            columns,
            stage: start.clone(),
            history: start.clone(),
            start,
            amperes: vec![0.0; k * columns],
            square: vec![0.0; k * k],
        }
    }

    fn stage(
        &mut self,
        folded: &Folded,
        half: usize,
        slopes: &[f64],
        slow: &[f64],
        weight: f64,
        sensitivity: &mut Sensitivity,
    ) {
        let Folded { m, k, q, .. } = *folded;
        let columns = self.columns;
        let first = m + SOURCES;
        if half == 0 {
            self.history.copy_from_slice(&self.start);
        } else {
            for ((target, start), stage) in
                self.history.iter_mut().zip(&self.start).zip(&self.stage)
            {
                *target = start + CARRY * (stage - start);
            }
        }
        // volts change = row * history + forced + coupling * slopes * volts change
        let row_change = |target: &mut [f64], row: usize, history: &[f64]| {
            target.fill(0.0);
            for (share, from) in folded.row(row)[..m]
                .iter()
                .zip(history.chunks_exact(columns.max(1)))
            {
                for (target, value) in target.iter_mut().zip(from) {
                    *target += share * value;
                }
            }
            for index in 0..q {
                target[m + index] += folded.forced[row * q + index] * slow[index];
            }
        };
        for row in 0..k {
            row_change(
                &mut self.amperes[row * columns..(row + 1) * columns],
                row,
                &self.history,
            );
        }
        if k > 0 {
            for row in 0..k {
                let coupling = &folded.row(row)[first..];
                for column in 0..k {
                    self.square[row * k + column] =
                        f64::from(u8::from(row == column)) - coupling[column] * slopes[column];
                }
            }
            // A vanishing pivot cannot occur where the Newton solution just converged.
            let _ = crate::fold::dense_solve(&mut self.square, &mut self.amperes, k, columns);
            for row in 0..k {
                for value in &mut self.amperes[row * columns..(row + 1) * columns] {
                    *value *= slopes[row];
                }
            }
        }
        let add_rectified = |target: &mut [f64], row: usize, amperes: &[f64]| {
            for (share, from) in folded.row(row)[first..]
                .iter()
                .zip(amperes.chunks_exact(columns.max(1)))
            {
                for (target, value) in target.iter_mut().zip(from) {
                    *target += share * value;
                }
            }
        };
        for index in 0..m {
            let target = &mut self.stage[index * columns..(index + 1) * columns];
            row_change(target, k + index, &self.history);
            add_rectified(target, k + index, &self.amperes);
        }
        let mut change = vec![0.0; columns];
        for index in 0..q {
            row_change(&mut change, k + m + index, &self.history);
            add_rectified(&mut change, k + m + index, &self.amperes);
            let factor = 2.0 * weight * slow[index];
            for (target, value) in sensitivity.drive[index * columns..(index + 1) * columns]
                .iter_mut()
                .zip(&change)
            {
                *target += factor * value;
            }
        }
        if half == 1 {
            self.start.copy_from_slice(&self.stage);
            sensitivity.states.copy_from_slice(&self.stage);
        }
    }
}

impl Sensitivity {
    pub fn new(m: usize, q: usize) -> Sensitivity {
        Sensitivity {
            columns: m + q,
            states: vec![0.0; m * (m + q)],
            drive: vec![0.0; q * (m + q)],
        }
    }

    pub fn clear(&mut self) {
        self.states.fill(0.0);
        self.drive.fill(0.0);
    }
}
