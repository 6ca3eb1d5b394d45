//! The equations of a running stage: `d(S x)/dt + f(x, t) = 0`.
//!
//! `x` holds the volts of all nodes (entry 0 is the reference, 0) and after them the amperes
//! of all coils. `S` is constant: farads in the rows of nodes, henries in those of coils. `f`
//! is what leaves a node but for its capacitances, amperes; in the row of a coil `r i` less
//! the volts across it. A coil whose copper is open has the equation `i = 0`. Every node has
//! its stray capacitance, so that the volts cannot jump and `S` has an inverse. The places of
//! all stamps are those of the operating point's plan with one row more for each coil.
//! Nothing here fails.

// One index runs through several arrays at once; iterators would hide that.
#![allow(clippy::needless_range_loop)]

use super::drive::Waveform;
use super::network::{RunningFigures, RunningNetwork};
use crate::element::Node;
use crate::factor::Pattern;
use crate::operating::plan::Plan;
use crate::operating::{Figure, HOLD_SIEMENS, OPEN_SIEMENS};
use crate::tube::{ELECTRODES, TubeState};
use crate::two_terminal::NeonState;

/// One value of each row, with the reference first.
pub(super) type Values = Vec<f64>;

/// What a drive moves.
#[derive(Clone, Copy, Debug)]
enum Target {
    Line(usize),
    Feed(usize),
}

/// An entry of `S`.
#[derive(Clone, Copy, Debug)]
struct Store {
    row: usize,
    column: usize,
    place: usize,
    size: f64,
}

/// One capacitance.
#[derive(Clone, Copy, Debug)]
struct Gap {
    a: Node,
    b: Node,
    farads: f64,
}

/// A network with one sample, ready to be stepped.
#[derive(Clone, Debug)]
pub(super) struct System<'a> {
    pub(super) plan: &'a Plan,
    pub(super) nodes: usize,
    /// Nodes and coils, the reference included.
    pub(super) size: usize,
    siemens: Vec<f64>,
    source_volts: Vec<f64>,
    feeds: Vec<f64>,
    tubes: Vec<TubeState>,
    pub(super) things: Vec<(f64, NeonState)>,
    drives: Vec<(Target, &'a Waveform)>,
    pub(super) period: Option<f64>,
    /// Times within the period at which a drive bends, ascending.
    pub(super) breaks: Vec<f64>,
    /// Ends and ohms of each coil; no ohms where the copper is open.
    coils: Vec<(Node, Node, Option<f64>)>,
    gaps: Vec<Gap>,
    stray: f64,
    holds: Vec<Node>,
    stores: Vec<Store>,
    base: Values,
}

impl<'a> System<'a> {
    /// Puts a sample into the network; both were checked. `holds` are nodes that nothing ties.
    pub(super) fn new(
        network: &RunningNetwork,
        plan: &'a Plan,
        figures: &'a RunningFigures,
        holds: Vec<Node>,
    ) -> System<'a> {
        let nodes = network.network.nodes;
        let size = nodes + network.coils.len();
        let figure = |branch: usize| figures.figures[branch];
        let lines = plan.lines.iter().map(|line| {
            if network.coils.contains(&line.branch) {
                return (0.0, 0.0);
            }
            match figure(line.branch) {
                Figure::Siemens(siemens) => (siemens, 0.0),
                Figure::Source { volts, siemens } => (siemens, volts),
                _ => (0.0, 0.0),
            }
        });
        let (siemens, source_volts): (Vec<f64>, Vec<f64>) = lines.unzip();
        let feeds = plan.feeds.iter().map(|feed| match figure(feed.branch) {
            Figure::Amperes(amperes) => amperes,
            _ => 0.0,
        });
        let tubes = plan.tubes.iter().map(|tube| match figure(tube.branch) {
            Figure::Tube(state) => state,
            _ => TubeState::default(),
        });
        let things = plan.things.iter().map(|(ends, _)| {
            let scale = match figure(ends.branch) {
                Figure::TwoTerminal { scale } => scale,
                _ => 0.0,
            };
            (scale, NeonState::default())
        });
        let target = |branch: usize| {
            let line = plan.lines.iter().position(|line| line.branch == branch);
            let feed = plan.feeds.iter().position(|feed| feed.branch == branch);
            line.map(Target::Line).or(feed.map(Target::Feed))
        };
        let drives: Vec<(Target, &Waveform)> = network
            .drives
            .iter()
            .zip(&figures.drives)
            .filter_map(|(&branch, wave)| Some((target(branch)?, wave)))
            .collect();
        let period = (!drives.is_empty()).then_some(figures.period_seconds);
        let mut breaks: Vec<f64> = drives
            .iter()
            .flat_map(|(_, wave)| wave.breaks())
            .map(|share| share * figures.period_seconds)
            .collect();
        breaks.sort_by(f64::total_cmp);
        breaks.dedup();
        let coils = network
            .coils
            .iter()
            .map(|&branch| {
                let ends = plan.lines.iter().find(|line| line.branch == branch);
                let (a, b) = ends.map_or((0, 0), |line| (line.a, line.b));
                let ohms = match figure(branch) {
                    Figure::Siemens(siemens) if siemens > OPEN_SIEMENS => Some(1.0 / siemens),
                    _ => None,
                };
                (a, b, ohms)
            })
            .collect();
        let gaps = network
            .capacitances
            .iter()
            .zip(&figures.farads)
            .map(|(&(a, b), &farads)| Gap { a, b, farads })
            .collect();
        let mut system = System {
            plan,
            nodes,
            size,
            siemens,
            source_volts,
            feeds: feeds.collect(),
            tubes: tubes.collect(),
            things: things.collect(),
            drives,
            period,
            breaks,
            coils,
            gaps,
            stray: figures.stray_farads,
            holds,
            stores: Vec::new(),
            base: Vec::new(),
        };
        system.stamp_stores(&network.inductances(figures));
        system.stamp_base();
        system
    }

    pub(super) fn pattern(&self) -> &'a Pattern {
        &self.plan.pattern
    }

    fn place(&self, row: usize, column: usize) -> usize {
        let spare = self.plan.pattern.places();
        if row == 0 || column == 0 {
            return spare;
        }
        self.plan
            .pattern
            .place(row - 1, column - 1)
            .unwrap_or(spare)
    }

    fn stamp_stores(&mut self, inductances: &[f64]) {
        let mut stores: Vec<Store> = Vec::new();
        let mut add = |system: &System<'_>, row: usize, column: usize, size: f64| {
            if row == 0 || column == 0 || size == 0.0 {
                return;
            }
            match stores
                .iter_mut()
                .find(|s| s.row == row && s.column == column)
            {
                Some(store) => store.size += size,
                None => stores.push(Store {
                    row,
                    column,
                    place: system.place(row, column),
                    size,
                }),
            }
        };
        for node in 1..self.nodes {
            add(self, node, node, self.stray);
        }
        for gap in &self.gaps {
            add(self, gap.a, gap.a, gap.farads);
            add(self, gap.b, gap.b, gap.farads);
            add(self, gap.a, gap.b, -gap.farads);
            add(self, gap.b, gap.a, -gap.farads);
        }
        let count = self.coils.len();
        for row in 0..count {
            for column in 0..count {
                let both = self.coils[row].2.is_some() && self.coils[column].2.is_some();
                if both {
                    let henries = inductances[row * count + column];
                    add(self, self.nodes + row, self.nodes + column, henries);
                }
            }
        }
        self.stores = stores;
    }

    fn stamp_base(&mut self) {
        let mut base = vec![0.0; self.plan.pattern.places() + 1];
        for (siemens, line) in self.siemens.iter().zip(&self.plan.lines) {
            stamp(&mut base, &line.places, *siemens);
        }
        for &node in &self.holds {
            base[self.plan.diagonal[node]] += HOLD_SIEMENS;
        }
        for (coil, &(a, b, ohms)) in self.coils.iter().enumerate() {
            let row = self.nodes + coil;
            let Some(ohms) = ohms else {
                base[self.place(row, row)] += 1.0;
                continue;
            };
            base[self.place(row, row)] += ohms;
            for (node, sign) in [(a, 1.0), (b, -1.0)] {
                base[self.place(node, row)] += sign;
                base[self.place(row, node)] -= sign;
            }
        }
        self.base = base;
    }

    /// `base + rate S` into `values`.
    pub(super) fn stamp_rate(&self, rate: f64, values: &mut Values) {
        values.clear();
        values.extend_from_slice(&self.base);
        for store in &self.stores {
            values[store.place] += rate * store.size;
        }
    }

    /// `S` itself, with 1 for coils whose copper is open.
    pub(super) fn stored(&self) -> Vec<[f64; 1]> {
        let mut values = vec![[0.0]; self.plan.pattern.places() + 1];
        for store in &self.stores {
            values[store.place][0] += store.size;
        }
        for (coil, (_, _, ohms)) in self.coils.iter().enumerate() {
            if ohms.is_none() {
                values[self.plan.diagonal[self.nodes + coil]][0] = 1.0;
            }
        }
        values
    }

    /// Adds `rate S (to - from)` to `out`; by differences, so that large capacitances between
    /// high volts lose nothing.
    pub(super) fn add_stored(&self, rate: f64, from: &[f64], to: &[f64], out: &mut [f64]) {
        for gap in &self.gaps {
            let amperes =
                rate * gap.farads * ((to[gap.a] - from[gap.a]) - (to[gap.b] - from[gap.b]));
            out[gap.a] += amperes;
            out[gap.b] -= amperes;
        }
        let stray = rate * self.stray;
        for node in 1..self.nodes {
            out[node] += stray * (to[node] - from[node]);
        }
        for store in &self.stores {
            if store.row >= self.nodes {
                out[store.row] += rate * store.size * (to[store.column] - from[store.column]);
            }
        }
    }

    /// Adds `rate S x` to `out` for several columns side by side.
    pub(super) fn add_stored_wide<const WIDE: usize>(
        &self,
        rate: f64,
        x: &[[f64; WIDE]],
        out: &mut [[f64; WIDE]],
    ) {
        for store in &self.stores {
            let size = rate * store.size;
            let from = &x[store.column];
            let to = &mut out[store.row];
            for lane in 0..WIDE {
                to[lane] += size * from[lane];
            }
        }
    }

    /// Value of a drive, added to its branch.
    fn driven(&self, seconds: f64, lines: &mut [f64], feeds: &mut [f64]) {
        let Some(period) = self.period else { return };
        for (target, wave) in &self.drives {
            let value = wave.at(seconds / period);
            match *target {
                Target::Line(line) => lines[line] += value,
                Target::Feed(feed) => feeds[feed] += value,
            }
        }
    }

    /// Sources and currents at a time, drives included.
    pub(super) fn sources(&self, seconds: f64, lines: &mut Values, feeds: &mut Values) {
        lines.clear();
        lines.extend_from_slice(&self.source_volts);
        feeds.clear();
        feeds.extend_from_slice(&self.feeds);
        self.driven(seconds, lines, feeds);
    }

    /// Adds `f` to `out` and its slopes, but for the base, to `values`.
    pub(super) fn add_flow(
        &self,
        x: &[f64],
        lines: &[f64],
        feeds: &[f64],
        out: &mut [f64],
        values: Option<&mut [f64]>,
    ) {
        for ((siemens, source), line) in self.siemens.iter().zip(lines).zip(&self.plan.lines) {
            let amperes = siemens * (x[line.a] - x[line.b] - source);
            out[line.a] += amperes;
            out[line.b] -= amperes;
        }
        for (amperes, feed) in feeds.iter().zip(&self.plan.feeds) {
            out[feed.a] += amperes;
            out[feed.b] -= amperes;
        }
        for &node in &self.holds {
            out[node] += HOLD_SIEMENS * x[node];
        }
        for (coil, &(a, b, ohms)) in self.coils.iter().enumerate() {
            let row = self.nodes + coil;
            match ohms {
                Some(ohms) => {
                    out[a] += x[row];
                    out[b] -= x[row];
                    out[row] += ohms * x[row] - (x[a] - x[b]);
                }
                None => out[row] += x[row],
            }
        }
        let mut nowhere = Vec::new();
        let (values, wanted) = match values {
            Some(values) => (values, true),
            None => (nowhere.as_mut_slice(), false),
        };
        for ((scale, state), (ends, law)) in self.things.iter().zip(&self.plan.things) {
            let (amperes, siemens) = law.current(x[ends.a] - x[ends.b], *state);
            out[ends.a] += scale * amperes;
            out[ends.b] -= scale * amperes;
            if wanted {
                stamp(values, &ends.places, scale * siemens);
            }
        }
        for (state, tube) in self.tubes.iter().zip(&self.plan.tubes) {
            let cathode = x[tube.cathode];
            let mut at = [0.0; ELECTRODES];
            for &(electrode, node) in &tube.electrodes {
                at[electrode] = x[node] - cathode;
            }
            let found = tube.law.currents(at, state);
            let count = tube.electrodes.len();
            let mut sum = 0.0;
            for &(electrode, node) in &tube.electrodes {
                out[node] += found.amperes[electrode];
                sum += found.amperes[electrode];
            }
            out[tube.cathode] -= sum;
            if !wanted {
                continue;
            }
            let mut below = [0.0; ELECTRODES + 1];
            for (row, &(electrode, _)) in tube.electrodes.iter().enumerate() {
                let places = &tube.places[row * (count + 1)..];
                let mut all = 0.0;
                for (column, &(other, _)) in tube.electrodes.iter().enumerate() {
                    let slope = found.slopes[electrode][other];
                    values[places[column]] += slope;
                    all += slope;
                    below[column] += slope;
                }
                values[places[count]] -= all;
                below[count] -= all;
            }
            let places = &tube.places[count * (count + 1)..];
            for (column, below) in below[..=count].iter().enumerate() {
                values[places[column]] -= below;
            }
        }
    }

    /// Watts that sources and currents put in at these volts.
    pub(super) fn delivered_watts(&self, x: &[f64], lines: &[f64], feeds: &[f64]) -> f64 {
        let mut watts = 0.0;
        for ((siemens, source), line) in self.siemens.iter().zip(lines).zip(&self.plan.lines) {
            watts -= source * siemens * (x[line.a] - x[line.b] - source);
        }
        for (amperes, feed) in feeds.iter().zip(&self.plan.feeds) {
            watts -= amperes * (x[feed.a] - x[feed.b]);
        }
        watts
    }

    /// Amperes of a coil at rest, from the volts of its ends.
    pub(super) fn coils_at_rest(&self, x: &mut [f64]) {
        for (coil, &(a, b, ohms)) in self.coils.iter().enumerate() {
            x[self.nodes + coil] = ohms.map_or(0.0, |ohms| (x[a] - x[b]) / ohms);
        }
    }
}

fn stamp(values: &mut [f64], places: &[usize; 4], siemens: f64) {
    values[places[0]] += siemens;
    values[places[1]] += siemens;
    values[places[2]] -= siemens;
    values[places[3]] -= siemens;
}
