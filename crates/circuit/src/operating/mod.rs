//! The direct-current operating point of a whole set: every node's volts at rest.
//!
//! Inside: volts against node 0, amperes, siemens; no tube types. A [`Network`] of
//! resistances, sources, tubes and things with two ends is made ready once by
//! [`Operating::new`] (elimination order, place of every stamp) and solved for any number of
//! samples ([`Figure`]s): [`Operating::solve`] for one, [`Operating::solve_many`] for many
//! draws, eight side by side. The unknowns are the node volts; the equations are Kirchhoff's
//! current law at each node with the tube laws exact; the method is Newton's with each device
//! held back by itself (`lanes`), and what is tried when that fails stands in `robust`.
//! [`Response`] gives how every node answers to every figure at a point found.
//!
//! Signals play no part here: capacitors are open, coils are copper. A stage whose direct
//! volts depend on its own oscillation belongs to a running state, not to this module.
//!
//! Fails with [`CircuitError::NoOperatingPoint`] (node, what is left over, work, what was
//! tried), [`CircuitError::NeonUndecided`], or with the branch whose figure no part can have.
//! A network may have several operating points (stages that hold one another); one is given.
//!
//! A triode at 250 volts, 47000 ohms in the plate lead, 1000 ohms in the cathode lead:
//!
//! ```
//! use std::sync::Arc;
//! use circuit::operating::{Branch, Figure, Network, Operating};
//! use circuit::tube::{GridCurrent, TriodeLaw, TubeLaw, TubeState};
//!
//! # fn main() -> Result<(), circuit::CircuitError> {
//! let law = TubeLaw::Triode(TriodeLaw {
//!     perveance: 2e-3,
//!     mu: 20.0,
//!     offset_volts: 0.0,
//!     spread: 0.02,
//!     softness: 0.02,
//!     low_plate_volts: 5.0,
//!     grid: GridCurrent::NONE,
//!     emission_amperes: 0.2,
//! });
//! let mut network = Network::new();
//! let (supply, plate, grid, cathode) =
//!     (network.node(), network.node(), network.node(), network.node());
//! network.add(Branch::Source { a: supply, b: 0 });
//! let load = network.add(Branch::Resistance { a: supply, b: plate });
//! network.add(Branch::Resistance { a: grid, b: 0 });
//! network.add(Branch::Resistance { a: cathode, b: 0 });
//! network.add(Branch::Tube {
//!     cathode,
//!     electrodes: [Some(plate), Some(grid), None, None],
//!     law: Arc::new(law),
//! });
//! let figures = [
//!     Figure::Source { volts: 250.0, siemens: 0.01 },
//!     Figure::Siemens(1.0 / 47e3),
//!     Figure::Siemens(1e-6),
//!     Figure::Siemens(1e-3),
//!     Figure::Tube(TubeState::default()),
//! ];
//! let operating = Operating::new(&network)?;
//! let point = operating.solve(&figures, None)?;
//! let amperes = operating.branch_amperes(&figures, &point, load)?;
//! // What flows through the load flows out of the cathode.
//! assert!((point.volts[cathode] - 1e3 * amperes).abs() < 1e-5);
//! assert!(point.balance_amperes < 1e-10);
//! # Ok(())
//! # }
//! ```

mod lanes;
mod network;
pub(crate) mod plan;
mod point;
mod response;
mod robust;

pub use network::{
    Branch, Figure, HOLD_SIEMENS, Network, OPEN_SIEMENS, SHORT_SIEMENS, check_figures,
};
pub use point::{Method, Point};
pub use response::{Parameter, Quantity, Response};

use rayon::prelude::*;

use crate::error::CircuitError;
use lanes::{Lane, Lanes, Move};
use plan::Plan;

/// Samples solved side by side.
const LANES: usize = 8;
/// Iterations side by side before a lane is solved by itself.
const SIDE_BY_SIDE: usize = robust::PLAIN_NEARBY;

/// A network made ready.
#[derive(Clone, Debug)]
pub struct Operating {
    network: Network,
    plan: Plan,
}

impl Operating {
    /// Checks the network and finds the order of elimination.
    ///
    /// # Errors
    /// Those of [`Network::check`].
    pub fn new(network: &Network) -> Result<Operating, CircuitError> {
        network.check()?;
        Ok(Operating {
            network: network.clone(),
            plan: Plan::new(network),
        })
    }

    /// The network.
    pub fn network(&self) -> &Network {
        &self.network
    }

    pub(crate) fn plan(&self) -> &Plan {
        &self.plan
    }

    /// The operating point with these figures, one a branch. `start` holds the volts of a
    /// point nearby, by node; without it the solution begins from cold.
    ///
    /// # Errors
    /// [`CircuitError::Figure`], [`CircuitError::Value`], [`CircuitError::NoOperatingPoint`],
    /// [`CircuitError::NeonUndecided`].
    pub fn solve(&self, figures: &[Figure], start: Option<&[f64]>) -> Result<Point, CircuitError> {
        check_figures(&self.network, figures)?;
        let mut lanes = Lanes::<1>::new(&self.plan);
        let mut point = self.solve_alone(&mut lanes, figures, (start, false), false)?;
        if self.plan.has_neon {
            let other = self.solve_alone(&mut lanes, figures, (Some(&point.volts), false), true);
            point.other = other
                .ok()
                .filter(|other| other.lit != point.lit)
                .map(Box::new);
        }
        Ok(point)
    }

    /// The operating points of many draws, all from the same start, eight side by side on as
    /// many threads as there are cores. The results stand in the order of the draws and do
    /// not depend on the threads. [`Point::other`] is not looked for.
    pub fn solve_many<F: AsRef<[Figure]> + Sync>(
        &self,
        draws: &[F],
        start: Option<&[f64]>,
    ) -> Vec<Result<Point, CircuitError>> {
        let batches: Vec<Vec<Result<Point, CircuitError>>> = draws
            .par_chunks(LANES)
            .map_init(
                || Lanes::<LANES>::new(&self.plan),
                |lanes, draws| self.solve_batch(lanes, draws, start),
            )
            .collect();
        batches.into_iter().flatten().collect()
    }

    fn solve_batch<F: AsRef<[Figure]>>(
        &self,
        lanes: &mut Lanes<'_, LANES>,
        draws: &[F],
        start: Option<&[f64]>,
    ) -> Vec<Result<Point, CircuitError>> {
        lanes.clear();
        let checked: Vec<Result<(), CircuitError>> = draws
            .iter()
            .map(|figures| check_figures(&self.network, figures.as_ref()))
            .collect();
        for (lane, (checked, figures)) in checked.iter().zip(draws).enumerate() {
            if checked.is_ok() {
                lanes.load(lane, figures.as_ref());
                lanes.start(lane, start);
            }
        }
        let first = if start.is_some() {
            Move::Exact
        } else {
            Move::First
        };
        lanes.newton(first, SIDE_BY_SIDE);
        let mut alone: Option<Lanes<'_, 1>> = None;
        checked
            .into_iter()
            .enumerate()
            .map(|(lane, checked)| {
                checked?;
                if lanes.lanes[lane] == Lane::Done {
                    return Ok(taken(lanes, lane, Method::Newton));
                }
                let alone = alone.get_or_insert_with(|| Lanes::new(&self.plan));
                // A lane that did not settle has taken the plain steps from this start.
                let is_busy = lanes.lanes[lane] == Lane::Busy;
                let begin = (start, start.is_some() && is_busy);
                let mut point = self.solve_alone(alone, draws[lane].as_ref(), begin, false)?;
                point.iterations += lanes.iterations[lane];
                point.factorisations += lanes.factorisations[lane];
                Ok(point)
            })
            .collect()
    }

    fn solve_alone(
        &self,
        lanes: &mut Lanes<'_, 1>,
        figures: &[Figure],
        (start, are_plain_taken): (Option<&[f64]>, bool),
        lit: bool,
    ) -> Result<Point, CircuitError> {
        lanes.clear();
        lanes.load(0, figures);
        lanes.light(0, lit);
        match robust::solve(lanes, start, are_plain_taken) {
            Ok(method) => Ok(taken(lanes, 0, method)),
            Err(Lane::Undecided) => Err(lanes.undecided()),
            Err(_) => {
                lanes.lanes[0] = Lane::Busy;
                lanes.evaluate(Move::Exact);
                lanes.add_up();
                let [balance] = lanes.balance();
                Err(CircuitError::NoOperatingPoint {
                    node: balance.node,
                    amperes: balance.amperes,
                    iterations: lanes.iterations[0],
                    factorisations: lanes.factorisations[0],
                    tried: robust::TRIED,
                })
            }
        }
    }

    fn unfit(&self, figures: &[Figure], branch: usize) -> CircuitError {
        check_figures(&self.network, figures)
            .err()
            .unwrap_or(CircuitError::Figure {
                branch,
                found: "of another kind of branch",
                expected: "the state of a tube",
            })
    }
}

/// Takes the point out of a lane that is done.
fn taken<const LANES: usize>(lanes: &Lanes<'_, LANES>, lane: usize, method: Method) -> Point {
    let balance = lanes.found[lane];
    Point {
        volts: lanes.volts.iter().map(|volts| volts[lane]).collect(),
        floating: lanes.loose[lane].clone(),
        lit: lanes.lit(lane),
        other: None,
        method,
        iterations: lanes.iterations[lane],
        factorisations: lanes.factorisations[lane],
        balance_amperes: balance.amperes,
        balance_node: balance.node,
    }
}
