//! One line cycle of a circuit: from a state to the state a cycle later.
//!
//! Inside: volts, amperes, seconds. Method: a two-stage singly diagonally
//! implicit Runge-Kutta scheme, stiffly accurate, second order and L-stable
//! (Alexander, SIAM J. Numer. Anal. 14 (1977) 1006; from memory). Both stages
//! share one matrix and no earlier rate is needed, so a cycle is a function of
//! its first state alone. Its derivative is carried along on request
//! ([`crate::sensitivity`]).
//! Within a cycle the conductances of lamps, heaters and loads are held.
//! Fails when the rectifiers of a step find no balance.

use crate::element::Circuit;
use crate::error::CircuitError;
use crate::fold::Folded;
use crate::layout::Layout;
use crate::rectifier::RectifierLaw;
use crate::rectify::{Rectified, laws};
use crate::sensitivity::{Gains, Moment, Sensitivity};
use crate::stage::{Alpha, Stage};

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

/// What a cycle is run with. The conductances are those folded into the room.
pub(crate) struct CycleRun<'a> {
    pub grid: &'a Grid,
    /// Emission share of each rectifier.
    pub emission: &'a [f64],
    /// Steps to run: first and one past the last.
    pub from: usize,
    pub until: usize,
    /// What follows the thermal groups, where the derivative is wanted.
    pub derivative: Option<&'a Gains>,
    /// Whether every stage is to be recorded.
    pub with_samples: bool,
}

/// Room for cycles of one circuit, used again and again.
#[derive(Debug, Clone)]
pub(crate) struct Room {
    pub folded: Folded,
    pub sensitivity: Sensitivity,
    pub samples: Samples,
    known: Vec<f64>,
    out: Vec<f64>,
    rectified: Rectified,
}

impl Room {
    pub fn new(layout: &Layout) -> Room {
        let (m, k, t) = (
            layout.states.len(),
            layout.rectifiers.len(),
            layout.thermal.len(),
        );
        Room {
            folded: Folded::default(),
            sensitivity: Sensitivity::new(m, k, t),
            samples: Samples::default(),
            known: Vec::new(),
            out: Vec::new(),
            rectified: Rectified::new(k),
        }
    }
}

/// Every stage of a recorded cycle.
#[derive(Debug, Clone, Default)]
pub(crate) struct Samples {
    /// Histories, sources, rectifier currents; then, once
    /// [`Samples::complete`] is called, slow currents.
    pub columns: Vec<f64>,
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
            &mut self.states,
            &mut self.weights,
            &mut self.seconds,
        ] {
            values.clear();
        }
    }

    /// Adds the currents of the slow ports above their base to each sample.
    pub fn complete(&mut self, folded: &Folded) {
        let mut columns =
            Vec::with_capacity(self.weights.len() * (folded.columns + folded.excess.len()));
        for sample in self.columns.chunks_exact(folded.columns) {
            folded.complete(sample, &mut columns);
        }
        self.columns = columns;
    }
}

impl<'a> CycleModel<'a> {
    pub fn new(circuit: &'a Circuit) -> Result<CycleModel<'a>, CircuitError> {
        CycleModel::like(circuit, None)
    }

    /// The same, taking the elimination order from a circuit of the same shape.
    pub fn like(
        circuit: &'a Circuit,
        like: Option<&Layout>,
    ) -> Result<CycleModel<'a>, CircuitError> {
        let layout = Layout::new(circuit, like)?;
        let laws = laws(circuit, &layout);
        Ok(CycleModel {
            circuit,
            layout,
            laws,
        })
    }

    /// Runs steps of a cycle. `state` is advanced, `volts` holds the rectifiers'
    /// last volts as a first guess, `drive` receives the mean-square volts of each
    /// thermal group over the steps run. Returns the Newton tries made.
    pub fn run(
        &self,
        run: &CycleRun<'_>,
        room: &mut Room,
        state: &mut [f64],
        volts: &mut [f64],
        drive: &mut [f64],
    ) -> Result<usize, CircuitError> {
        let Room {
            folded,
            sensitivity,
            samples,
            known,
            out,
            rectified,
        } = room;
        let Folded { m, k, first, .. } = *folded;
        known.resize(first, 0.0);
        out.resize(folded.height, 0.0);
        let span = 1.0 / (run.until - run.from).max(1) as f64;
        let mut tries = 0;
        drive.fill(0.0);
        if run.derivative.is_some() {
            sensitivity.begin();
        }
        rectified.begin(&self.laws, run.emission, volts);
        if run.with_samples {
            samples.clear();
        }
        for step in run.from..run.until {
            known[..m].copy_from_slice(state);
            for half in 0..2 {
                let [sine, cosine] = run.grid.sources[step][half];
                known[m] = 1.0;
                known[m + 1] = sine;
                known[m + 2] = cosine;
                if half == 1 {
                    for ((known, start), stage) in known.iter_mut().zip(&*state).zip(&out[k..k + m])
                    {
                        *known = start + CARRY * (stage - start);
                    }
                }
                let part = if half == 0 { GAMMA } else { 1.0 };
                let seconds = (step as f64 + part) * run.grid.step_seconds;
                folded.open(known, out);
                if k > 0 {
                    tries += rectified.find(
                        folded,
                        &self.laws,
                        run.emission,
                        &out[..k],
                        volts,
                        seconds,
                    )?;
                    folded.add_rectified(&rectified.amperes, out);
                }
                let weight = span * if half == 0 { 1.0 - GAMMA } else { GAMMA };
                let thermal = &out[k + m..];
                for (drive, volts) in drive.iter_mut().zip(thermal) {
                    *drive += weight * volts * volts;
                }
                if let Some(gains) = run.derivative {
                    let moment = Moment {
                        known,
                        rectified,
                        thermal,
                        half,
                        weight,
                    };
                    sensitivity.stage(
                        folded,
                        &moment,
                        |index| {
                            let follows = gains.emission.get(index).copied().flatten();
                            follows.map(|(group, gain)| {
                                let law = &self.laws[index];
                                (
                                    group,
                                    gain * law.emission_slope(volts[index], run.emission[index]),
                                )
                            })
                        },
                        &gains.slow,
                    );
                }
                if run.with_samples {
                    samples.columns.extend_from_slice(known);
                    samples.columns.extend_from_slice(&rectified.amperes);
                    samples.states.extend_from_slice(&out[k..k + m]);
                    samples.weights.push(weight);
                    samples.seconds.push(seconds);
                }
            }
            state.copy_from_slice(&out[k..k + m]);
        }
        Ok(tries)
    }
}
