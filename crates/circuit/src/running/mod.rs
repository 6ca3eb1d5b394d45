//! The repeating state of stages whose direct volts depend on their own signal.
//!
//! Inside: seconds, volts against node 0, amperes, farads, henries; no tube types.
//! Multivibrators, blocking oscillators, and stages driven through a coupling capacitor with
//! a grid leak (sync separators, sweep outputs, dampers) rest at volts that no operating point
//! shows. A [`RunningNetwork`] is the [`operating`] network with capacitances, coils and
//! drives; [`Running::settle`] follows one sample in time (`step`: implicit, error controlled)
//! from a push until it repeats, finds the exact period (`shoot`), and gives a [`Wave`]: by
//! node average, lowest, highest, effective volts and the samples of one period. A stage that
//! falls back to rest gives a [`Rest`] with the evidence; that is a result, not an error.
//!
//! Tubes follow the laws of [`tube`]; coils do not saturate; neon lamps keep the state of
//! [`NeonState::default`], dark. The method stands in docs/theory/running_stages.md.
//! Fails with the errors of the figures, [`CircuitError::NotSettled`] (periods followed, what
//! still changes) or [`CircuitError::StepTooSmall`].
//!
//! A neutral example: 100 volts through 10,000 ohms into 0.1 mfd, the source a sawtooth.
//!
//! ```
//! use circuit::operating::{Branch, Figure, Network};
//! use circuit::running::{Limits, Running, RunningFigures, RunningNetwork, Settled, Waveform};
//!
//! # fn main() -> Result<(), circuit::CircuitError> {
//! let mut network = Network::new();
//! let (input, output) = (network.node(), network.node());
//! let source = network.add(Branch::Source { a: input, b: 0 });
//! network.add(Branch::Resistance { a: input, b: output });
//! let running = Running::new(&RunningNetwork {
//!     network,
//!     capacitances: vec![(output, 0)],
//!     drives: vec![source],
//!     ..RunningNetwork::default()
//! })?;
//! let mut figures = RunningFigures::new(
//!     vec![Figure::Source { volts: 100.0, siemens: 1.0 }, Figure::Siemens(1e-4)],
//!     vec![0.1e-6],
//!     vec![],
//! );
//! figures.drives = vec![Waveform::sawtooth(40.0, 0.1)];
//! figures.period_seconds = 63.5e-6;
//! let Settled::Repeats(wave) = running.settle(&figures, None, Limits::default())? else {
//!     panic!("a driven stage always repeats or fails");
//! };
//! // A capacitor passes no direct current: the mean is that of the source.
//! assert!((wave.volts[output].average - 100.0).abs() < 0.01);
//! assert!(wave.volts[output].peak_to_peak() < 1.0);
//! # Ok(())
//! # }
//! ```
//!
//! [`operating`]: crate::operating
//! [`tube`]: crate::tube
//! [`NeonState::default`]: crate::two_terminal::NeonState

mod drive;
mod lap;
mod network;
mod rest;
mod search;
mod shoot;
mod step;
mod system;
mod tableau;
mod wave;

pub use drive::{Form, LineSignal, Waveform};
pub use network::{RunningFigures, RunningNetwork, STRAY_FARADS};
pub use wave::{Reading, Rest, Wave, Work};

use rayon::prelude::*;

use crate::element::Node;
use crate::error::CircuitError;
use crate::operating::plan::Plan;
use crate::operating::{Branch, Figure, Operating};
use lap::Lap;
use search::End;
use shoot::{Found, Guess, shoot, widened};
use step::Stepper;
use system::System;

/// Smallest and largest push, volts, and its share of the highest volts at rest.
const PUSH: (f64, f64, f64) = (0.5, 20.0, 0.05);

/// How exactly, and for how long.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// Error of one step against one volt plus the volts of the node (a tenth of a
    /// milliampere plus the current of a coil); from 1e-8 to 1e-2.
    pub tolerance: f64,
    /// A lap that misses its begin by less, in tolerances, is taken to return; 0.05 where the
    /// tolerance itself is to be kept, up to 100 where a neighbour's movement is wanted.
    pub missed: f64,
    /// Time steps at most.
    pub most_steps: usize,
    /// Of a stage that drives itself from the wave of a neighbour: steps for one cycle more when the others are used up, which is then told
    /// though it does not return; where it comes to rest that is told, and no other push is tried. 0 where only what returns is wanted.
    pub last_steps: usize,
    /// Of a stage that drives itself from the wave of a neighbour: look for a period beside that wave alone, the first lap missing
    /// its begin by this share of its swing at most (0.1 to 1), and do not follow the stage where there is none.
    pub only_beside: Option<f64>,
}

impl Default for Limits {
    fn default() -> Limits {
        Limits {
            tolerance: 1e-5,
            missed: 0.05,
            most_steps: 200_000,
            last_steps: 0,
            only_beside: None,
        }
    }
}

/// What a stage does after a push.
#[derive(Clone, Debug, PartialEq)]
pub enum Settled {
    /// It repeats.
    Repeats(Box<Wave>),
    /// It stands still.
    Rests(Box<Rest>),
}

/// A network made ready.
#[derive(Clone, Debug)]
pub struct Running {
    network: RunningNetwork,
    operating: Operating,
    plan: Plan,
}

impl Running {
    /// Checks the network and finds the order of elimination.
    ///
    /// # Errors
    /// Those of [`RunningNetwork::check`].
    pub fn new(network: &RunningNetwork) -> Result<Running, CircuitError> {
        network.check()?;
        let mut wide = network.network.clone();
        let nodes = wide.nodes;
        wide.nodes += network.coils.len();
        let mut pairs = network.capacitances.clone();
        for (coil, &branch) in network.coils.iter().enumerate() {
            if let Some(Branch::Resistance { a, b }) = network.network.branches.get(branch) {
                pairs.push((*a, nodes + coil));
                pairs.push((*b, nodes + coil));
            }
        }
        for &(one, other) in &network.couplings {
            pairs.push((nodes + one, nodes + other));
        }
        Ok(Running {
            operating: Operating::new(&network.network)?,
            plan: Plan::with_pairs(&wide, &pairs),
            network: network.clone(),
        })
    }

    /// The network.
    pub fn network(&self) -> &RunningNetwork {
        &self.network
    }

    /// The repeating state of one sample. `start` is the wave of a sample nearby; without it
    /// the stage is pushed from its rest, or switched on where rest would hold it.
    ///
    /// # Errors
    /// Those of [`RunningNetwork::check_figures`]; [`CircuitError::Value`] for limits out of
    /// range; [`CircuitError::NotSettled`]; [`CircuitError::StepTooSmall`].
    pub fn settle(
        &self,
        figures: &RunningFigures,
        start: Option<&Wave>,
        limits: Limits,
    ) -> Result<Settled, CircuitError> {
        self.network.check_figures(figures)?;
        if !(1e-8..=1e-2).contains(&limits.tolerance) {
            return Err(CircuitError::Value {
                element: 0,
                field: "tolerance",
                value: limits.tolerance,
                expected: "from 1e-8 to 1e-2",
            });
        }
        if !(1e-6..=100.0).contains(&limits.missed) {
            return Err(CircuitError::Value {
                element: 0,
                field: "missed",
                value: limits.missed,
                expected: "from 1e-6 to 100",
            });
        }
        if let Some(reach) = limits.only_beside
            && !(0.1..=1.0).contains(&reach)
        {
            return Err(CircuitError::Value {
                element: 0,
                field: "only_beside",
                value: reach,
                expected: "from 0.1 to 1",
            });
        }
        let holds = self.loose(&figures.figures);
        let system = System::new(&self.network, &self.plan, figures, holds);
        let mut stepper = Stepper::new(&system, limits.tolerance, limits.missed);
        let start = start.filter(|start| start.samples.iter().all(|x| x.len() == system.size));
        if let Some(start) = start {
            match from_wave(&mut stepper, start, limits) {
                Some(End::Period(found)) => return Ok(repeats(&stepper, &found)),
                Some(End::Still(x)) if limits.last_steps > 0 => {
                    let holds = rest::leaves(&system, &x).is_none();
                    return Ok(rests(&stepper, x, holds, stepper.seconds, 1));
                }
                _ => {}
            }
        }
        if limits.only_beside.is_some() {
            return Err(CircuitError::NotSettled {
                cycles: stepper.work.laps as f64,
                worst_state: 0,
                relative_change: f64::NAN,
            });
        }
        let rest = self.rest(&system, figures);
        if system.period.is_some() {
            let x = rest.unwrap_or_else(|| vec![0.0; system.size]);
            let found = search::driven(&mut stepper, &x, limits.most_steps)?;
            return Ok(repeats(&stepper, &found));
        }
        free(&mut stepper, rest.as_deref(), limits.most_steps)
    }

    /// Many samples, all from the same start, on as many threads as there are cores; in the
    /// order of the samples.
    pub fn settle_many(
        &self,
        samples: &[RunningFigures],
        start: Option<&Wave>,
        limits: Limits,
    ) -> Vec<Result<Settled, CircuitError>> {
        samples
            .par_iter()
            .map(|figures| self.settle(figures, start, limits))
            .collect()
    }

    /// One node of each group that nothing ties to the reference.
    fn loose(&self, figures: &[Figure]) -> Vec<Node> {
        let groups = self.operating.plan().loose(figures);
        groups
            .iter()
            .filter_map(|group| group.first().copied())
            .collect()
    }

    /// The operating point with the drives at the begin of their period.
    fn rest(&self, system: &System<'_>, figures: &RunningFigures) -> Option<Vec<f64>> {
        let mut at_rest = figures.figures.clone();
        for (&branch, wave) in self.network.drives.iter().zip(&figures.drives) {
            match at_rest.get_mut(branch) {
                Some(Figure::Source { volts, .. }) => *volts += wave.at(0.0),
                Some(Figure::Amperes(amperes)) => *amperes += wave.at(0.0),
                _ => {}
            }
        }
        let point = self.operating.solve(&at_rest, None).ok()?;
        let mut x = point.volts;
        x.resize(system.size, 0.0);
        system.coils_at_rest(&mut x);
        Some(x)
    }
}

/// Searches from the wave of a neighbour: a lap that returns is mostly near at hand. Where it
/// is not, a stage that drives itself is followed from there.
fn from_wave(stepper: &mut Stepper<'_>, start: &Wave, limits: Limits) -> Option<End> {
    let x = start.samples.first()?;
    let most_steps = limits.most_steps;
    let Some(own) = stepper.system.period else {
        if let Some(found) = search::beside(stepper, start, most_steps, limits.only_beside) {
            return Some(End::Period(Box::new(found)));
        }
        if limits.only_beside.is_some() {
            return None;
        }
        let steps = match limits.last_steps {
            0 => most_steps / 4,
            _ => most_steps,
        };
        return search::free(stepper, x, (steps, limits.last_steps)).ok();
    };
    let readings = start.volts.iter().chain(&start.coil_amperes);
    let mut ranges: Vec<f64> = readings.map(Reading::peak_to_peak).collect();
    widened(&mut ranges, stepper.system.nodes, x);
    let guess = Guess {
        seconds: 0.0,
        x: x.clone(),
        period: (start.period_seconds / own).round().max(1.0) * own,
        plane: None,
        ranges,
        reach: f64::INFINITY,
    };
    let found = shoot(stepper, &guess, most_steps)?;
    Some(End::Period(Box::new(found)))
}

/// Pushes a stage that drives itself until it repeats, or has come to rest from all pushes.
fn free(
    stepper: &mut Stepper<'_>,
    rest: Option<&[f64]>,
    most_steps: usize,
) -> Result<Settled, CircuitError> {
    let size = stepper.system.size;
    let mut pushes: Vec<Vec<f64>> = Vec::new();
    if let Some(rest) = rest
        && let Some(direction) = rest::leaves(stepper.system, rest)
    {
        let highest = rest[..stepper.system.nodes]
            .iter()
            .fold(0.0f64, |most, volts| most.max(volts.abs()));
        let push = (PUSH.2 * highest).clamp(PUSH.0, PUSH.1);
        for sign in [push, -push] {
            let pushed = rest.iter().zip(&direction);
            pushes.push(pushed.map(|(at, way)| at + sign * way).collect());
        }
    }
    // Switched on with everything empty.
    pushes.push(vec![0.0; size]);
    let mut still: Option<(Vec<f64>, bool, f64)> = None;
    for push in &pushes {
        match search::free(stepper, push, (most_steps, 0))? {
            End::Period(found) => return Ok(repeats(stepper, &found)),
            End::Still(x) => {
                let holds = rest::leaves(stepper.system, &x).is_none();
                // A rest that does not hold is no answer while there are other pushes.
                if still.as_ref().is_none_or(|(_, held, _)| holds || !held) {
                    still = Some((x, holds, stepper.seconds));
                }
            }
        }
    }
    let (volts, holds, seconds) = still.unwrap_or((vec![0.0; size], false, 0.0));
    Ok(rests(stepper, volts, holds, seconds, pushes.len()))
}

fn rests(
    stepper: &Stepper<'_>,
    mut volts: Vec<f64>,
    holds: bool,
    seconds: f64,
    pushes: usize,
) -> Settled {
    volts.truncate(stepper.system.nodes);
    Settled::Rests(Box::new(Rest {
        volts,
        holds,
        seconds,
        pushes,
        work: stepper.work,
    }))
}

fn repeats(stepper: &Stepper<'_>, found: &Found) -> Settled {
    let lap: &Lap = &found.lap;
    let mut wave = Wave::new(lap, stepper.system.nodes, stepper.system.size);
    wave.missed = found.missed;
    wave.growth = found.growth;
    wave.work = stepper.work;
    Settled::Repeats(Box::new(wave))
}
