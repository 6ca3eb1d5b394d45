//! Newton's method for several samples of one network side by side.
//!
//! Volts, amperes, siemens; one value of each sample in an array. Every step evaluates the
//! laws, adds up the currents that leave each node, factors by replay and solves for the
//! change of the volts. A tube or diode whose volts would change too far at once is evaluated
//! part of the way and its straight line carried on from there: the limit holds one device
//! back, never the others. A lane is done when its last change was within
//! [`VOLTS_ABSOLUTE`] and [`VOLTS_RELATIVE`], nothing was held back, and what is left over at
//! each node is within [`AMPERES_ABSOLUTE`], [`AMPERES_RELATIVE`] and rounding. It then idles.
//! A lane whose pivot vanishes or whose volts are no numbers stops and says so.

// One index runs through many arrays at once; iterators would hide that.
#![allow(clippy::needless_range_loop)]

use super::network::{Figure, HOLD_SIEMENS};
use super::plan::{Ends, Plan};
use crate::element::Node;
use crate::error::CircuitError;
use crate::tube::{ELECTRODES, TubeState};
use crate::two_terminal::{NeonRule, NeonState, TwoTerminalLaw};

/// A last change of this many volts is noise: far below what any meter shows, and the next
/// one would be its square.
pub(crate) const VOLTS_ABSOLUTE: f64 = 1e-6;
/// And this share of the volts.
pub(crate) const VOLTS_RELATIVE: f64 = 1e-8;
/// Amperes left over that are noise: 10 microvolts on a grid leak of 10 megohms.
pub(crate) const AMPERES_ABSOLUTE: f64 = 1e-12;
/// Left over against the sum of all currents at a node.
pub(crate) const AMPERES_RELATIVE: f64 = 1e-9;
/// Roundings of the volts at both ends of a conductance that count as noise.
const ROUNDINGS: f64 = 4.0 * f64::EPSILON;

/// Volts, against the cathode, at which tubes are first taken: on, and not far on.
const FIRST_VOLTS: [f64; ELECTRODES] = [100.0, -1.0, 100.0, 0.0];
/// A grid may move this far at once, and this share of its volts.
const GRID_STEP: (f64, f64) = (2.0, 0.5);
/// A plate or screen may move this far at once, and this share of its volts.
const PLATE_STEP: (f64, f64) = (100.0, 1.0);
/// A crystal may move this far at once in its forward direction, and this share.
const CRYSTAL_STEP: (f64, f64) = (0.3, 0.5);
/// A voltage-dependent resistor may move this share of its volts at one milliampere, and
/// this share of its own.
const VARISTOR_STEP: (f64, f64) = (0.3, 0.3);

/// A tube in all lanes: where it was evaluated last and what that gave.
#[derive(Clone, Debug)]
struct TubeLanes<const LANES: usize> {
    state: [TubeState; LANES],
    held: [[f64; ELECTRODES]; LANES],
    amperes: [[f64; LANES]; ELECTRODES],
    slopes: [[[f64; LANES]; ELECTRODES]; ELECTRODES],
}

/// A thing with two ends in all lanes.
#[derive(Clone, Debug)]
struct ThingLanes<const LANES: usize> {
    scale: [f64; LANES],
    lit: [NeonState; LANES],
    held: [f64; LANES],
    amperes: [f64; LANES],
    siemens: [f64; LANES],
}

/// What is left over in one lane.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Balance {
    pub(crate) node: Node,
    pub(crate) amperes: f64,
    pub(crate) good: bool,
}

/// How a lane came out of [`Lanes::newton`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Lane {
    /// Still at work, or out of iterations.
    Busy,
    /// The currents add up.
    Done,
    /// A pivot vanished or volts were no numbers.
    Broken,
    /// Neon lamps struck and went out in turns.
    Undecided,
    /// Not in use.
    Idle,
}

/// The state of all lanes.
#[derive(Clone, Debug)]
pub(crate) struct Lanes<'a, const LANES: usize> {
    pub(crate) plan: &'a Plan,
    /// By node.
    pub(crate) volts: Vec<[f64; LANES]>,
    /// Currents that leave each node; after the solution the change of its volts.
    pub(crate) left: Vec<[f64; LANES]>,
    siemens: Vec<[f64; LANES]>,
    source_volts: Vec<[f64; LANES]>,
    feeds: Vec<[f64; LANES]>,
    tubes: Vec<TubeLanes<LANES>>,
    things: Vec<ThingLanes<LANES>>,
    holds: Vec<(Node, usize)>,
    /// Stamps that do not change within a solution.
    pub(crate) base: Vec<[f64; LANES]>,
    pub(crate) values: Vec<[f64; LANES]>,
    diagonal: Vec<[f64; LANES]>,
    pub(crate) lanes: [Lane; LANES],
    pub(crate) loose: [Vec<Node>; LANES],
    pub(crate) iterations: [usize; LANES],
    pub(crate) factorisations: [usize; LANES],
    /// What was left over when a lane was done.
    pub(crate) found: [Balance; LANES],
    flips: [usize; LANES],
    /// Factor of all sources and currents, for stepping them up.
    pub(crate) supply: f64,
}

impl<'a, const LANES: usize> Lanes<'a, LANES> {
    pub(crate) fn new(plan: &'a Plan) -> Self {
        let none = [0.0; LANES];
        Lanes {
            plan,
            volts: vec![none; plan.nodes],
            left: vec![none; plan.nodes],
            siemens: vec![none; plan.lines.len()],
            source_volts: vec![none; plan.lines.len()],
            feeds: vec![none; plan.feeds.len()],
            tubes: vec![
                TubeLanes {
                    state: [TubeState::default(); LANES],
                    held: [FIRST_VOLTS; LANES],
                    amperes: [none; ELECTRODES],
                    slopes: [[none; ELECTRODES]; ELECTRODES],
                };
                plan.tubes.len()
            ],
            things: vec![
                ThingLanes {
                    scale: [1.0; LANES],
                    lit: [NeonState::default(); LANES],
                    held: none,
                    amperes: none,
                    siemens: none,
                };
                plan.things.len()
            ],
            holds: Vec::new(),
            base: vec![none; plan.pattern.places() + 1],
            values: vec![none; plan.pattern.places() + 1],
            diagonal: Vec::with_capacity(plan.nodes),
            lanes: [Lane::Idle; LANES],
            loose: std::array::from_fn(|_| Vec::new()),
            iterations: [0; LANES],
            factorisations: [0; LANES],
            found: [Balance::default(); LANES],
            flips: [0; LANES],
            supply: 1.0,
        }
    }

    /// Forgets all samples, keeping the room.
    pub(crate) fn clear(&mut self) {
        self.holds.clear();
        self.lanes = [Lane::Idle; LANES];
        self.supply = 1.0;
    }

    /// Puts one sample into a lane.
    pub(crate) fn load(&mut self, lane: usize, figures: &[Figure]) {
        let plan = self.plan;
        for (index, line) in plan.lines.iter().enumerate() {
            let (siemens, volts) = match figures[line.branch] {
                Figure::Siemens(siemens) => (siemens, 0.0),
                Figure::Source { volts, siemens } => (siemens, volts),
                _ => (0.0, 0.0),
            };
            self.siemens[index][lane] = siemens;
            self.source_volts[index][lane] = volts;
        }
        for (feed, ends) in self.feeds.iter_mut().zip(&plan.feeds) {
            if let Figure::Amperes(amperes) = figures[ends.branch] {
                feed[lane] = amperes;
            }
        }
        for (tube, of) in self.tubes.iter_mut().zip(&plan.tubes) {
            if let Figure::Tube(state) = figures[of.branch] {
                tube.state[lane] = state;
            }
            tube.held[lane] = FIRST_VOLTS;
        }
        for (thing, (ends, _)) in self.things.iter_mut().zip(&plan.things) {
            if let Figure::TwoTerminal { scale } = figures[ends.branch] {
                thing.scale[lane] = scale;
            }
            thing.lit[lane] = NeonState::default();
            thing.held[lane] = 0.0;
        }
        self.loose[lane].clear();
        for group in plan.loose(figures) {
            self.holds.push((group[0], lane));
            self.loose[lane].extend(group);
        }
        self.lanes[lane] = Lane::Busy;
        self.iterations[lane] = 0;
        self.factorisations[lane] = 0;
        self.flips[lane] = 0;
    }

    /// Sets the volts of a lane; without a start they are 0.
    pub(crate) fn start(&mut self, lane: usize, start: Option<&[f64]>) {
        for (node, volts) in self.volts.iter_mut().enumerate() {
            volts[lane] = start
                .and_then(|start| start.get(node).copied())
                .filter(|volts| volts.is_finite() && node > 0)
                .unwrap_or(0.0);
        }
    }

    /// Sets all neon lamps of a lane.
    pub(crate) fn light(&mut self, lane: usize, lit: bool) {
        for thing in &mut self.things {
            thing.lit[lane] = NeonState { lit };
        }
        self.flips[lane] = 0;
    }

    /// Lights these lamps of a lane, by branch, and no others.
    pub(crate) fn light_these(&mut self, lane: usize, lit: &[usize]) {
        for (thing, (ends, _)) in self.things.iter_mut().zip(&self.plan.things) {
            thing.lit[lane] = NeonState {
                lit: lit.contains(&ends.branch),
            };
        }
    }

    /// Branches of the lamps that are lit in a lane.
    pub(crate) fn lit(&self, lane: usize) -> Vec<usize> {
        let plan = self.plan;
        let is_neon = |law: &TwoTerminalLaw| matches!(law, TwoTerminalLaw::Neon { .. });
        self.things
            .iter()
            .zip(&plan.things)
            .filter(|(thing, (_, law))| is_neon(law) && thing.lit[lane].lit)
            .map(|(_, (ends, _))| ends.branch)
            .collect()
    }

    /// The lamp that was to change last when no lamps could decide.
    pub(crate) fn undecided(&self) -> CircuitError {
        let neon = self
            .plan
            .things
            .iter()
            .zip(&self.things)
            .find(|((ends, law), thing)| {
                let volts = self.volts[ends.a][0] - self.volts[ends.b][0];
                let (amperes, _) = law.current(volts, thing.lit[0]);
                law.neon_rule(thing.lit[0], volts, amperes) != NeonRule::Holds
            });
        let (branch, volts, amperes) = neon.map_or((0, 0.0, 0.0), |((ends, law), thing)| {
            let volts = self.volts[ends.a][0] - self.volts[ends.b][0];
            (ends.branch, volts, law.current(volts, thing.lit[0]).0)
        });
        CircuitError::NeonUndecided {
            branch,
            volts,
            amperes,
        }
    }

    /// Stamps all that does not change within a solution.
    pub(crate) fn stamp_base(&mut self) {
        self.base.fill([0.0; LANES]);
        for (siemens, line) in self.siemens.iter().zip(&self.plan.lines) {
            stamp_ends(&mut self.base, &line.places, siemens);
        }
        for &(node, lane) in &self.holds {
            self.base[self.plan.diagonal[node]][lane] += HOLD_SIEMENS;
        }
    }

    /// Evaluates all laws in the busy lanes. `First` takes them where they are held; `Limited`
    /// moves them towards the volts of the nodes, `Exact` to these. Tells which lanes hold a
    /// device back.
    pub(crate) fn evaluate(&mut self, how: Move) -> [bool; LANES] {
        let plan = self.plan;
        let mut back = [false; LANES];
        for (tube, of) in self.tubes.iter_mut().zip(&plan.tubes) {
            for lane in 0..LANES {
                if self.lanes[lane] != Lane::Busy {
                    continue;
                }
                let cathode = self.volts[of.cathode][lane];
                let mut wanted = [0.0; ELECTRODES];
                for &(electrode, node) in &of.electrodes {
                    wanted[electrode] = self.volts[node][lane] - cathode;
                }
                let mut held = wanted;
                match how {
                    Move::Exact => {}
                    Move::First => {
                        for &(electrode, _) in &of.electrodes {
                            held[electrode] = tube.held[lane][electrode];
                        }
                    }
                    Move::Limited => {
                        for &(electrode, _) in &of.electrodes {
                            let (least, share) = if electrode % 2 == 0 {
                                PLATE_STEP
                            } else {
                                GRID_STEP
                            };
                            let from = tube.held[lane][electrode];
                            let most = least + share * from.abs();
                            held[electrode] = wanted[electrode].clamp(from - most, from + most);
                        }
                    }
                }
                let mut found = of.law.currents(held, &tube.state[lane]);
                if held != wanted {
                    back[lane] = true;
                    for (amperes, slopes) in found.amperes.iter_mut().zip(&found.slopes) {
                        for electrode in 0..ELECTRODES {
                            *amperes += slopes[electrode] * (wanted[electrode] - held[electrode]);
                        }
                    }
                }
                tube.held[lane] = held;
                for row in 0..ELECTRODES {
                    tube.amperes[row][lane] = found.amperes[row];
                    for column in 0..ELECTRODES {
                        tube.slopes[row][column][lane] = found.slopes[row][column];
                    }
                }
            }
        }
        for (thing, (ends, law)) in self.things.iter_mut().zip(&plan.things) {
            for lane in 0..LANES {
                if self.lanes[lane] != Lane::Busy {
                    continue;
                }
                let wanted = self.volts[ends.a][lane] - self.volts[ends.b][lane];
                let held = match how {
                    Move::Exact => wanted,
                    Move::First => thing.held[lane],
                    Move::Limited => limited(law, thing.held[lane], wanted),
                };
                let (amperes, siemens) = law.current(held, thing.lit[lane]);
                thing.held[lane] = held;
                thing.siemens[lane] = siemens * thing.scale[lane];
                thing.amperes[lane] =
                    amperes * thing.scale[lane] + thing.siemens[lane] * (wanted - held);
                back[lane] |= held != wanted;
            }
        }
        back
    }

    /// Adds up what leaves each node.
    pub(crate) fn add_up(&mut self) {
        let plan = self.plan;
        let (volts, left) = (&self.volts, &mut self.left);
        left.fill([0.0; LANES]);
        let mut carry = |ends: &Ends, amperes: [f64; LANES]| {
            for lane in 0..LANES {
                left[ends.a][lane] += amperes[lane];
            }
            for lane in 0..LANES {
                left[ends.b][lane] -= amperes[lane];
            }
        };
        for (index, line) in plan.lines.iter().enumerate() {
            let (a, b) = (&volts[line.a], &volts[line.b]);
            let (siemens, source) = (&self.siemens[index], &self.source_volts[index]);
            let mut amperes = [0.0; LANES];
            for lane in 0..LANES {
                amperes[lane] = siemens[lane] * (a[lane] - b[lane] - source[lane] * self.supply);
            }
            carry(line, amperes);
        }
        for (feed, ends) in self.feeds.iter().zip(&plan.feeds) {
            let mut amperes = *feed;
            for amperes in &mut amperes {
                *amperes *= self.supply;
            }
            carry(ends, amperes);
        }
        for (thing, (ends, _)) in self.things.iter().zip(&plan.things) {
            carry(ends, thing.amperes);
        }
        for (tube, of) in self.tubes.iter().zip(&plan.tubes) {
            let mut sum = [0.0; LANES];
            for &(electrode, node) in &of.electrodes {
                let amperes = &tube.amperes[electrode];
                let left = &mut left[node];
                for lane in 0..LANES {
                    left[lane] += amperes[lane];
                    sum[lane] += amperes[lane];
                }
            }
            let left = &mut left[of.cathode];
            for lane in 0..LANES {
                left[lane] -= sum[lane];
            }
        }
        for &(node, lane) in &self.holds {
            left[node][lane] += HOLD_SIEMENS * volts[node][lane];
        }
    }

    /// What is left over in each lane against what is noise there. Needs [`Lanes::add_up`].
    pub(crate) fn balance(&self) -> [Balance; LANES] {
        let plan = self.plan;
        let volts = &self.volts;
        let mut noise = vec![[AMPERES_ABSOLUTE; LANES]; plan.nodes];
        for (index, line) in plan.lines.iter().enumerate() {
            let (a, b) = (&volts[line.a], &volts[line.b]);
            for lane in 0..LANES {
                let source = self.source_volts[index][lane] * self.supply;
                let share = self.siemens[index][lane]
                    * (AMPERES_RELATIVE * (a[lane] - b[lane] - source).abs()
                        + ROUNDINGS * (a[lane].abs() + b[lane].abs() + source.abs()));
                noise[line.a][lane] += share;
                noise[line.b][lane] += share;
            }
        }
        for (tube, of) in self.tubes.iter().zip(&plan.tubes) {
            for &(electrode, node) in &of.electrodes {
                for lane in 0..LANES {
                    let share = AMPERES_RELATIVE * tube.amperes[electrode][lane].abs();
                    noise[node][lane] += share;
                    noise[of.cathode][lane] += share;
                }
            }
        }
        for (thing, (ends, _)) in self.things.iter().zip(&plan.things) {
            for lane in 0..LANES {
                // A crystal is so steep that the rounding of its volts shows.
                let across = volts[ends.a][lane].abs() + volts[ends.b][lane].abs();
                let share = AMPERES_RELATIVE * thing.amperes[lane].abs()
                    + ROUNDINGS * thing.siemens[lane] * across;
                noise[ends.a][lane] += share;
                noise[ends.b][lane] += share;
            }
        }
        std::array::from_fn(|lane| {
            let mut worst = Balance {
                node: 0,
                amperes: 0.0,
                good: true,
            };
            for node in 1..plan.nodes {
                let left = self.left[node][lane].abs();
                if left > worst.amperes || left.is_nan() {
                    worst.amperes = left;
                    worst.node = node;
                }
                worst.good &= left <= noise[node][lane];
            }
            worst
        })
    }

    /// Puts base and slopes together.
    pub(crate) fn stamp(&mut self) {
        let plan = self.plan;
        self.values.copy_from_slice(&self.base);
        let values = &mut self.values;
        for (thing, (ends, _)) in self.things.iter().zip(&plan.things) {
            stamp_ends(values, &ends.places, &thing.siemens);
        }
        for (tube, of) in self.tubes.iter().zip(&plan.tubes) {
            let count = of.electrodes.len();
            let mut columns = [[0.0; LANES]; ELECTRODES];
            let mut all = [0.0; LANES];
            for (row, &(electrode, _)) in of.electrodes.iter().enumerate() {
                let places = &of.places[row * (count + 1)..(row + 1) * (count + 1)];
                let mut sum = [0.0; LANES];
                for (column, &(other, _)) in of.electrodes.iter().enumerate() {
                    let slope = &tube.slopes[electrode][other];
                    let value = &mut values[places[column]];
                    for lane in 0..LANES {
                        value[lane] += slope[lane];
                        sum[lane] += slope[lane];
                        columns[column][lane] += slope[lane];
                    }
                }
                let value = &mut values[places[count]];
                for lane in 0..LANES {
                    value[lane] -= sum[lane];
                    all[lane] += sum[lane];
                }
            }
            let places = &of.places[count * (count + 1)..];
            for (column, &place) in columns.iter().zip(&places[..count]) {
                for lane in 0..LANES {
                    values[place][lane] -= column[lane];
                }
            }
            for lane in 0..LANES {
                values[places[count]][lane] += all[lane];
            }
        }
    }

    /// Factors what was stamped. Lanes without a pivot are told.
    pub(crate) fn factor(&mut self) -> [bool; LANES] {
        for lane in 0..LANES {
            if self.lanes[lane] == Lane::Busy {
                self.factorisations[lane] += 1;
            }
        }
        self.plan
            .pattern
            .factor_side_by_side(&mut self.values, &mut self.diagonal)
    }

    /// Turns what is left over into the change of volts, sign not yet turned.
    pub(crate) fn solve(&mut self) {
        self.plan
            .pattern
            .solve_side_by_side(&self.values, &mut self.left[1..]);
    }

    /// Newton's method until every lane is done or broken or `most` iterations are made.
    pub(crate) fn newton(&mut self, first: Move, most: usize) {
        self.stamp_base();
        let mut how = first;
        let mut close = [false; LANES];
        for _ in 0..most {
            let back = self.evaluate(how);
            how = Move::Limited;
            self.add_up();
            if (0..LANES).any(|lane| close[lane] && self.lanes[lane] == Lane::Busy) {
                let balance = self.balance();
                for lane in 0..LANES {
                    if self.lanes[lane] == Lane::Busy
                        && close[lane]
                        && !back[lane]
                        && balance[lane].good
                    {
                        self.found[lane] = balance[lane];
                        self.lanes[lane] = self.decide(lane);
                    }
                }
            }
            if !self.lanes.contains(&Lane::Busy) {
                return;
            }
            self.stamp();
            let kept = self.factor();
            self.solve();
            let mut within = [true; LANES];
            let mut finite = [true; LANES];
            for (change, volts) in self.left[1..].iter().zip(&mut self.volts[1..]) {
                for lane in 0..LANES {
                    // Done lanes stand still.
                    let busy = self.lanes[lane] == Lane::Busy;
                    let change = if busy { change[lane] } else { 0.0 };
                    volts[lane] -= change;
                    let noise = VOLTS_ABSOLUTE + VOLTS_RELATIVE * volts[lane].abs();
                    within[lane] &= change.abs() <= noise;
                    finite[lane] &= change.is_finite();
                }
            }
            for lane in 0..LANES {
                if self.lanes[lane] == Lane::Busy {
                    self.iterations[lane] += 1;
                    close[lane] = within[lane];
                    if !kept[lane] || !finite[lane] {
                        self.lanes[lane] = Lane::Broken;
                    }
                }
            }
        }
    }

    /// A lane whose currents add up is done unless a neon lamp is in the wrong state; the one
    /// that is most wrong is changed.
    pub(crate) fn decide(&mut self, lane: usize) -> Lane {
        if !self.plan.has_neon {
            return Lane::Done;
        }
        let mut worst: Option<(usize, f64)> = None;
        for (index, (thing, (ends, law))) in self.things.iter().zip(&self.plan.things).enumerate() {
            let volts = self.volts[ends.a][lane] - self.volts[ends.b][lane];
            let (amperes, _) = law.current(volts, thing.lit[lane]);
            let TwoTerminalLaw::Neon {
                strike_volts,
                least_amperes,
                ..
            } = law
            else {
                continue;
            };
            let by = match law.neon_rule(thing.lit[lane], volts, amperes) {
                NeonRule::Holds => continue,
                NeonRule::Strikes => volts.abs() / strike_volts,
                NeonRule::GoesOut => 2.0 - amperes.abs() / least_amperes.max(1e-12),
            };
            if thing.scale[lane] > 0.0 && worst.is_none_or(|(_, other)| by > other) {
                worst = Some((index, by));
            }
        }
        let Some((index, _)) = worst else {
            return Lane::Done;
        };
        self.flips[lane] += 1;
        if self.flips[lane] > 4 + 3 * self.things.len() {
            return Lane::Undecided;
        }
        let state = &mut self.things[index].lit[lane];
        state.lit = !state.lit;
        // The new law has to be seen before the next change of volts.
        let (ends, law) = &self.plan.things[index];
        let thing = &mut self.things[index];
        let volts = self.volts[ends.a][lane] - self.volts[ends.b][lane];
        let (amperes, siemens) = law.current(volts, thing.lit[lane]);
        let before = thing.amperes[lane];
        thing.amperes[lane] = amperes * thing.scale[lane];
        thing.siemens[lane] = siemens * thing.scale[lane];
        let more = thing.amperes[lane] - before;
        self.left[ends.a][lane] += more;
        self.left[ends.b][lane] -= more;
        Lane::Busy
    }
}

/// Where the laws are evaluated.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Move {
    /// Where each device is held now, whatever the nodes say.
    First,
    /// Towards the volts of the nodes, within the limits.
    Limited,
    /// At the volts of the nodes.
    Exact,
}

fn stamp_ends<const LANES: usize>(
    values: &mut [[f64; LANES]],
    places: &[usize; 4],
    siemens: &[f64; LANES],
) {
    for &place in &places[..2] {
        for lane in 0..LANES {
            values[place][lane] += siemens[lane];
        }
    }
    for &place in &places[2..] {
        for lane in 0..LANES {
            values[place][lane] -= siemens[lane];
        }
    }
}

/// How far a thing with two ends may go at once.
fn limited(law: &TwoTerminalLaw, from: f64, wanted: f64) -> f64 {
    match law {
        TwoTerminalLaw::Crystal { .. } => {
            let (least, share) = CRYSTAL_STEP;
            wanted.min(from.max(0.0) * (1.0 + share) + least)
        }
        TwoTerminalLaw::VoltageDependent {
            volts_at_one_ampere,
            beta,
        } => {
            let (least, share) = VARISTOR_STEP;
            let one_milliampere = volts_at_one_ampere * 1e-3f64.powf(*beta);
            let most = least * one_milliampere + share * from.abs();
            wanted.clamp(from - most, from + most)
        }
        TwoTerminalLaw::Neon { .. } => wanted,
    }
}
