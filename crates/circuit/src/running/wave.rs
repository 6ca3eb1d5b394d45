//! What a running stage does: one period of it, with averages, extremes and the work done.
//!
//! Seconds, volts, amperes, watts. Averages and effective values are integrals by the weights
//! of the time step, of fourth order like the step itself; extremes are those of the parabola
//! through the highest three samples. A wave is handed out only when it returns to its begin;
//! by how much it misses, and what is left over of the energy, stand in it, so that doubt can
//! be seen. Nothing here fails.

use super::lap::Lap;
use crate::element::Node;

/// Work done, in counts.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Work {
    /// Time steps accepted.
    pub steps: usize,
    /// Time steps refused.
    pub refused: usize,
    /// Newton iterations of stages.
    pub iterations: usize,
    /// Matrices factored.
    pub factorisations: usize,
    /// Periods followed with their answers, to meet their own begin.
    pub laps: usize,
}

/// What a meter or an oscilloscope shows at one place.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Reading {
    /// Mean over a period: what a d.c. meter shows.
    pub average: f64,
    /// Lowest value.
    pub lowest: f64,
    /// Highest value.
    pub highest: f64,
    /// Effective value, direct part included.
    pub effective: f64,
}

impl Reading {
    /// From lowest to highest.
    pub fn peak_to_peak(&self) -> f64 {
        self.highest - self.lowest
    }
}

/// One period of a stage that runs.
#[derive(Clone, Debug, PartialEq)]
pub struct Wave {
    /// The period, seconds. Of a driven stage it is that of the drives, or a multiple where
    /// the stage divides.
    pub period_seconds: f64,
    /// By node: volts against node 0.
    pub volts: Vec<Reading>,
    /// By coil: amperes from its `a` to its `b`.
    pub coil_amperes: Vec<Reading>,
    /// Times of the samples from 0 to the period, not evenly spaced.
    pub seconds: Vec<f64>,
    /// By sample: volts of all nodes, then amperes of all coils.
    pub samples: Vec<Vec<f64>>,
    /// Largest difference between begin and end, in tolerances (see [`super::Limits`]).
    pub missed: f64,
    /// Energy per period that sources gave and nothing took up, over what they gave: error
    /// of the time steps.
    pub energy_missed: f64,
    /// Watts that sources and currents gave on average.
    pub delivered_watts: f64,
    /// By how much a small disturbance is larger after a period, at most; below 1 it dies. Of
    /// a stage that drives itself it is about 1: a shift in time stays. How far it is from 1
    /// there tells how sharply the steps time its edges.
    pub growth: f64,
    /// Work done in all.
    pub work: Work,
}

impl Wave {
    /// All volts and amperes in proportion, as a begin for a network on another supply.
    pub fn scale(&mut self, share: f64) {
        for value in self.samples.iter_mut().flatten() {
            *value *= share;
        }
        for reading in self.volts.iter_mut().chain(&mut self.coil_amperes) {
            reading.average *= share;
            reading.lowest *= share;
            reading.highest *= share;
            reading.effective *= share;
        }
    }

    pub(super) fn new(lap: &Lap, nodes: usize, size: usize) -> Wave {
        let period = lap.duration();
        let reading = |row: usize| {
            let (lowest, highest) = lap.extremes(row);
            Reading {
                average: lap.sums[row] / period,
                lowest,
                highest,
                effective: (lap.squares[row] / period).max(0.0).sqrt(),
            }
        };
        let begin = lap.seconds.first().copied().unwrap_or(0.0);
        Wave {
            period_seconds: period,
            volts: (0..nodes).map(reading).collect(),
            coil_amperes: (nodes..size).map(reading).collect(),
            seconds: lap.seconds.iter().map(|at| at - begin).collect(),
            samples: (0..lap.seconds.len())
                .map(|sample| lap.state(sample).to_vec())
                .collect(),
            missed: 0.0,
            energy_missed: lap.energy / lap.delivered.abs().max(1e-12),
            delivered_watts: lap.delivered / period,
            growth: 0.0,
            work: Work::default(),
        }
    }

    /// Cycles in a second.
    pub fn frequency(&self) -> f64 {
        1.0 / self.period_seconds
    }

    /// Volts of a node at a share of the period, by straight lines between samples.
    pub fn volts_at(&self, node: Node, share: f64) -> f64 {
        let at = (share - share.floor()) * self.period_seconds;
        let after = self.seconds.partition_point(|seconds| *seconds <= at);
        let value = |sample: usize| {
            let state = self.samples.get(sample)?;
            Some((*self.seconds.get(sample)?, *state.get(node)?))
        };
        match (after.checked_sub(1).and_then(value), value(after)) {
            (Some((from_at, from)), Some((to_at, to))) if to_at > from_at => {
                from + (to - from) * (at - from_at) / (to_at - from_at)
            }
            (Some((_, one)), _) | (_, Some((_, one))) => one,
            _ => 0.0,
        }
    }
}

/// A stage that does not run.
#[derive(Clone, Debug, PartialEq)]
pub struct Rest {
    /// By node: the volts at which it stands still.
    pub volts: Vec<f64>,
    /// Whether it comes back there after a small push. Where it does not, it stands still
    /// only because nothing was found that runs: doubt this.
    pub holds: bool,
    /// Seconds that were followed from the last push until it stood still.
    pub seconds: f64,
    /// The pushes that died out.
    pub pushes: usize,
    /// Work done in all.
    pub work: Work,
}
