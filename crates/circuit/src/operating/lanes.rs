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

mod steps;

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
