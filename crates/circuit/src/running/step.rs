//! One time step: five implicit stages by Newton's method, the error, and how the end answers
//! to the begin.
//!
//! Seconds, volts, amperes; the coefficients stand in `tableau`. Each stage solves
//! `S (X - x0) / (g h) + sum(a K) / g + f(X) = 0` with full Newton steps; its flow `K` is then
//! taken from that equation, not from the laws, so that charge is kept to rounding. The error
//! is the difference to the embedded solution, smoothed by the matrix of the last stage. All
//! sizes are measured against the tolerance times one volt plus the volts of the node; amperes
//! of coils against a tenth of a milliampere plus theirs. A step whose stages do not settle is
//! told, never used.

// One index runs through several arrays at once; iterators would hide that.
#![allow(clippy::needless_range_loop)]

use super::system::{System, Values};
use super::tableau::{AT, BEFORE, EMBEDDED, OWN, STAGES, WHOLE};
use super::wave::Work;

/// How much may grow in a step, as the power of e.
const MOST_GROWTH: f64 = 1.0;
/// Columns carried side by side.
pub(super) const WIDE: usize = 8;
/// Newton steps a stage may take.
const MOST_ITERATIONS: usize = 8;
/// A stage is done when what is still to come is below this share of the tolerance.
const STAGE_SHARE: f64 = 0.01;
/// Volts beside which the relative tolerance counts.
const LEAST_VOLTS: f64 = 1.0;
/// Amperes of a coil beside which the relative tolerance counts.
const LEAST_AMPERES: f64 = 1e-4;

/// How the state answers to the state at the begin: blocks of [`WIDE`] columns.
pub(super) type Columns = Vec<Vec<[f64; WIDE]>>;

/// The state and the room for a step.
#[derive(Clone, Debug)]
pub(super) struct Stepper<'a> {
    pub(super) system: &'a System<'a>,
    pub(super) tolerance: f64,
    /// A lap that misses its begin by less, in tolerances, is done.
    pub(super) done: f64,
    pub(super) seconds: f64,
    pub(super) x: Values,
    /// Stages of the step tried last.
    pub(super) stages: [Values; STAGES],
    pub(super) flows: [Values; STAGES],
    /// Slope of `x` at its time, for the first guess; 0 where unknown.
    slope: Values,
    scale: Values,
    rated: Values,
    factored: Vec<Vec<[f64; 1]>>,
    /// `S` factored.
    stores: Vec<[f64; 1]>,
    side: Vec<[f64; 1]>,
    out: Values,
    before: Values,
    diagonal: Vec<[f64; 1]>,
    pub(super) lines: Values,
    pub(super) feeds: Values,
    pub(super) work: Work,
    /// Present answers to the begin, and those of the flow.
    pub(super) columns: Columns,
    flow_columns: Columns,
}

impl<'a> Stepper<'a> {
    pub(super) fn new(system: &'a System<'a>, tolerance: f64, done: f64) -> Stepper<'a> {
        let none = vec![0.0; system.size];
        let places = system.pattern().places() + 1;
        let mut stores = system.stored();
        system
            .pattern()
            .factor_side_by_side(&mut stores, &mut Vec::new());
        Stepper {
            stores,
            system,
            tolerance,
            done,
            seconds: 0.0,
            x: none.clone(),
            stages: std::array::from_fn(|_| none.clone()),
            flows: std::array::from_fn(|_| none.clone()),
            slope: none.clone(),
            scale: none.clone(),
            rated: Vec::with_capacity(places),
            factored: vec![vec![[0.0]; places]; STAGES],
            side: vec![[0.0]; system.size],
            out: none.clone(),
            before: none.clone(),
            diagonal: Vec::with_capacity(system.size),
            lines: Vec::new(),
            feeds: Vec::new(),
            work: Work::default(),
            columns: Vec::new(),
            flow_columns: Vec::new(),
        }
    }

    /// Begins at a state; with `answers`, every entry of it becomes a column.
    pub(super) fn begin(&mut self, seconds: f64, x: &[f64], answers: bool) {
        self.seconds = seconds;
        self.x.copy_from_slice(x);
        self.slope.fill(0.0);
        self.refresh_flow();
        self.columns.clear();
        self.flow_columns.clear();
        if !answers {
            return;
        }
        let count = self.system.size - 1;
        let mut values = Vec::new();
        self.system.stamp_rate(0.0, &mut values);
        self.out.fill(0.0);
        self.system.add_flow(
            &self.x,
            &self.lines,
            &self.feeds,
            &mut self.out,
            Some(&mut values),
        );
        for first in (0..count).step_by(WIDE) {
            let mut block = vec![[0.0; WIDE]; self.system.size];
            let mut flow = vec![[0.0; WIDE]; self.system.size];
            for lane in 0..WIDE.min(count - first) {
                let column = first + lane + 1;
                block[column][lane] = 1.0;
                for (row, flow) in flow.iter_mut().enumerate().skip(1) {
                    if let Some(place) = self.system.pattern().place(row - 1, column - 1) {
                        flow[lane] = values[place];
                    }
                }
            }
            self.columns.push(block);
            self.flow_columns.push(flow);
        }
    }

    /// Takes the flow from the laws at the present state.
    fn refresh_flow(&mut self) {
        self.system
            .sources(self.seconds, &mut self.lines, &mut self.feeds);
        self.flows[0].fill(0.0);
        self.system
            .add_flow(&self.x, &self.lines, &self.feeds, &mut self.flows[0], None);
    }

    /// Size of a change against the tolerance; not a number where the change is none.
    pub(super) fn measure(&self, change: impl Fn(usize) -> f64, at: &[f64]) -> f64 {
        let mut worst = 0.0f64;
        for row in 1..self.system.size {
            let size = (change(row) / scale_of(self.system.nodes, self.tolerance, row, at)).abs();
            if size.is_nan() {
                return f64::NAN;
            }
            worst = worst.max(size);
        }
        worst
    }

    /// Tries a step; the error against the tolerance, or `None` where a stage does not settle.
    pub(super) fn attempt(&mut self, step: f64) -> Option<f64> {
        let system = self.system;
        let rate = 1.0 / (OWN * step);
        system.stamp_rate(rate, &mut self.rated);
        for row in 1..system.size {
            self.scale[row] = scale_of(system.nodes, self.tolerance, row, &self.x);
        }
        self.stages[0].copy_from_slice(&self.x);
        for stage in 1..STAGES {
            self.guess(stage, step);
            self.before.fill(0.0);
            for (earlier, weight) in BEFORE[stage][..stage].iter().enumerate() {
                let weight = weight / OWN;
                if weight != 0.0 {
                    for (sum, flow) in self.before.iter_mut().zip(&self.flows[earlier]) {
                        *sum += weight * flow;
                    }
                }
            }
            let at = self.seconds + AT[stage] * step;
            system.sources(at, &mut self.lines, &mut self.feeds);
            if !self.settle_stage(stage, rate) {
                return None;
            }
            // The flow from the equation of the stage.
            self.out.copy_from_slice(&self.before);
            system.add_stored(rate, &self.x, &self.stages[stage], &mut self.out);
            for (flow, out) in self.flows[stage].iter_mut().zip(&self.out) {
                *flow = -out;
            }
        }
        for (row, side) in self.side.iter_mut().enumerate() {
            side[0] = (0..STAGES)
                .map(|stage| (WHOLE[stage] - EMBEDDED[stage]) / OWN * self.flows[stage][row])
                .sum();
        }
        self.system
            .pattern()
            .solve_side_by_side(&self.stores, &mut self.side[1..]);
        let mut worst = 0.0f64;
        for row in 1..system.size {
            let error = (self.side[row][0] * OWN * step / self.scale[row]).abs();
            if error.is_nan() {
                return None;
            }
            worst = worst.max(error);
        }
        (worst > 1.0 || self.follows_growth(step)).then_some(worst)
    }

    /// Whether nothing grows by more than e to the [`MOST_GROWTH`] in a step: the determinant
    /// of `S MOST_GROWTH / h + J` changes its sign where one mode does. An implicit step damps
    /// what grows faster than it can follow, and the error does not show it; a stage would sit
    /// on its unstable balance instead of switching over.
    fn follows_growth(&mut self, step: f64) -> bool {
        let system = self.system;
        system.stamp_rate(MOST_GROWTH / step, &mut self.rated);
        // Room that the first stage, which is explicit, does not need.
        let values = &mut self.factored[0];
        for (to, from) in values.iter_mut().zip(&self.rated) {
            to[0] = *from;
        }
        self.out.fill(0.0);
        system.add_flow(
            &self.stages[STAGES - 1],
            &self.lines,
            &self.feeds,
            &mut self.out,
            Some(values.as_flattened_mut()),
        );
        self.work.factorisations += 1;
        system
            .pattern()
            .factor_side_by_side(values, &mut self.diagonal)[0]
            && system.pattern().is_positive(values)
    }

    /// Newton's method on one stage.
    fn settle_stage(&mut self, stage: usize, rate: f64) -> bool {
        let system = self.system;
        let mut last = f64::INFINITY;
        for iteration in 0..MOST_ITERATIONS {
            self.work.iterations += 1;
            self.out.copy_from_slice(&self.before);
            system.add_stored(rate, &self.x, &self.stages[stage], &mut self.out);
            let factored = &mut self.factored[stage];
            // The same storage first holds the plain values, then the factors.
            for (to, from) in factored.iter_mut().zip(&self.rated) {
                to[0] = *from;
            }
            system.add_flow(
                &self.stages[stage],
                &self.lines,
                &self.feeds,
                &mut self.out,
                Some(factored.as_flattened_mut()),
            );
            self.work.factorisations += 1;
            if !system
                .pattern()
                .factor_side_by_side(factored, &mut self.diagonal)[0]
            {
                return false;
            }
            for (side, out) in self.side.iter_mut().zip(&self.out) {
                side[0] = *out;
            }
            system
                .pattern()
                .solve_side_by_side(factored, &mut self.side[1..]);
            let mut size = 0.0f64;
            for row in 1..system.size {
                let change = self.side[row][0];
                self.stages[stage][row] -= change;
                let part = (change / self.scale[row]).abs();
                if part.is_nan() {
                    return false;
                }
                size = size.max(part);
            }
            // What is still to come: the step times its shrinking.
            let shrinking = size / last;
            if size < STAGE_SHARE || (iteration > 0 && shrinking * size < STAGE_SHARE) {
                return true;
            }
            if iteration > 1 && shrinking > 0.9 {
                return false;
            }
            last = size;
        }
        false
    }

    /// First guess of a stage: a parabola through what is known.
    fn guess(&mut self, stage: usize, step: f64) {
        let (known, target) = self.stages.split_at_mut(stage);
        let target = &mut target[0];
        match stage {
            1 => {
                for ((target, x), slope) in target.iter_mut().zip(&self.x).zip(&self.slope) {
                    *target = x + AT[1] * step * slope;
                }
            }
            2 => {
                // Begin, its slope and the middle.
                let at = AT[2] / AT[1];
                for (row, target) in target.iter_mut().enumerate() {
                    let rise = self.slope[row] * step * AT[1];
                    let bend = known[1][row] - self.x[row] - rise;
                    *target = self.x[row] + rise * at + bend * at * at;
                }
            }
            _ => {
                let through = match stage {
                    3 => [0, 2, 1],
                    4 => [2, 1, 3],
                    _ => [1, 3, 4],
                };
                let weights = parabola(through.map(|stage| AT[stage]), AT[stage]);
                for (row, target) in target.iter_mut().enumerate() {
                    *target = (0..3).map(|i| weights[i] * known[through[i]][row]).sum();
                }
            }
        }
    }

    /// Makes the step tried last the present one.
    pub(super) fn accept(&mut self, step: f64) {
        self.work.steps += 1;
        if !self.columns.is_empty() {
            self.factor_again(step);
            self.carry_columns(step);
        }
        for row in 0..self.system.size {
            self.slope[row] = self.end_slope(row, step);
        }
        self.seconds += step;
        let (first, last) = self.flows.split_at_mut(STAGES - 1);
        first[0].copy_from_slice(&last[0]);
        self.x.copy_from_slice(&self.stages[STAGES - 1]);
    }

    /// After a bend of a drive the old slope says nothing.
    pub(super) fn forget_slope(&mut self) {
        self.slope.fill(0.0);
    }

    /// Slope of the present state per second, from the last step.
    pub(super) fn slope(&self) -> &[f64] {
        &self.slope
    }

    fn end_slope(&self, row: usize, step: f64) -> f64 {
        // The parabola through the last three stages, at its end.
        let [one, two, three] = [AT[3], AT[4], AT[5]];
        let weights = [
            (three - two) / ((one - two) * (one - three)),
            (three - one) / ((two - one) * (two - three)),
            (2.0 * three - one - two) / ((three - one) * (three - two)),
        ];
        let at = |stage: usize| self.stages[stage][row];
        (weights[0] * at(3) + weights[1] * at(4) + weights[2] * at(5)) / step
    }

    /// Factors every stage where it came to rest: the last factors are of the volts before.
    fn factor_again(&mut self, step: f64) {
        let rate = 1.0 / (OWN * step);
        self.system.stamp_rate(rate, &mut self.rated);
        for stage in 1..STAGES {
            let at = self.seconds + AT[stage] * step;
            self.system.sources(at, &mut self.lines, &mut self.feeds);
            let factored = &mut self.factored[stage];
            for (to, from) in factored.iter_mut().zip(&self.rated) {
                to[0] = *from;
            }
            self.out.fill(0.0);
            self.system.add_flow(
                &self.stages[stage],
                &self.lines,
                &self.feeds,
                &mut self.out,
                Some(factored.as_flattened_mut()),
            );
            self.work.factorisations += 1;
            self.system
                .pattern()
                .factor_side_by_side(factored, &mut self.diagonal);
        }
    }

    fn carry_columns(&mut self, step: f64) {
        let system = self.system;
        let rate = 1.0 / (OWN * step);
        let size = system.size;
        let mut stage_flows: [Vec<[f64; WIDE]>; STAGES] = std::array::from_fn(|_| Vec::new());
        let mut moved = vec![[0.0; WIDE]; size];
        let mut side = vec![[0.0; WIDE]; size];
        for (block, flow) in self.columns.iter_mut().zip(&mut self.flow_columns) {
            std::mem::swap(&mut stage_flows[0], flow);
            for stage in 1..STAGES {
                side.fill([0.0; WIDE]);
                system.add_stored_wide(rate, block, &mut side);
                for (earlier, weight) in BEFORE[stage][..stage].iter().enumerate() {
                    let weight = weight / OWN;
                    for (side, flow) in side.iter_mut().zip(&stage_flows[earlier]) {
                        for lane in 0..WIDE {
                            side[lane] -= weight * flow[lane];
                        }
                    }
                }
                moved.copy_from_slice(&side);
                system
                    .pattern()
                    .solve_wide(&self.factored[stage], &mut moved[1..]);
                moved[0] = [0.0; WIDE];
                system.add_stored_wide(-rate, &moved, &mut side);
                stage_flows[stage].clear();
                stage_flows[stage].extend_from_slice(&side);
            }
            block.copy_from_slice(&moved);
            std::mem::swap(flow, &mut stage_flows[STAGES - 1]);
        }
    }
}

/// What counts as one tolerance in a row.
fn scale_of(nodes: usize, tolerance: f64, row: usize, at: &[f64]) -> f64 {
    let least = if row < nodes {
        LEAST_VOLTS
    } else {
        LEAST_AMPERES
    };
    tolerance * (least + at[row].abs())
}

/// Weights of three values on the parabola through them.
fn parabola(known: [f64; 3], at: f64) -> [f64; 3] {
    std::array::from_fn(|own| {
        (0..3)
            .filter(|&other| other != own)
            .map(|other| (at - known[other]) / (known[own] - known[other]))
            .product()
    })
}
