//! An operating point, and what flows in its branches.
//!
//! Volts against node 0, amperes. A point is only handed out when the currents at each node
//! add up; what is left over at the worst node is in it, so that doubt can be seen.

use super::network::{Branch, Figure};
use super::{Operating, network::HOLD_SIEMENS};
use crate::element::Node;
use crate::error::CircuitError;
use crate::tube::ELECTRODES;
use crate::two_terminal::NeonState;

/// How a point was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Method {
    /// Newton steps, each device held back by itself.
    Newton,
    /// Damped Newton steps.
    Damped,
    /// A pseudo-transient.
    Transient,
    /// Sources stepped up from nothing.
    SteppedUp,
}

/// The volts at which the currents of all nodes add up.
#[derive(Clone, Debug, PartialEq)]
pub struct Point {
    /// By node; node 0 is 0.
    pub volts: Vec<f64>,
    /// Nodes that no resistance and no source ties to the reference. What stands in `volts`
    /// for them is set by tubes and by [`HOLD_SIEMENS`] of insulation: not a
    /// reading to rely on.
    pub floating: Vec<Node>,
    /// Branches of the neon lamps that are lit.
    pub lit: Vec<usize>,
    /// With neon lamps that could as well be lit, the point with these lit. The first point
    /// is the one reached from darkness.
    pub other: Option<Box<Point>>,
    /// How it was found.
    pub method: Method,
    /// Newton iterations in all.
    pub iterations: usize,
    /// Matrices factored in all.
    pub factorisations: usize,
    /// What is left over at the worst node, amperes.
    pub balance_amperes: f64,
    /// That node.
    pub balance_node: Node,
}

impl Operating {
    /// Amperes through a branch from `a` to `b`; of a tube, out of its cathode.
    ///
    /// # Errors
    /// [`CircuitError::Missing`] when there is no such branch, [`CircuitError::Figure`] when
    /// the figures are not those of the network.
    pub fn branch_amperes(
        &self,
        figures: &[Figure],
        point: &Point,
        branch: usize,
    ) -> Result<f64, CircuitError> {
        let volts = |node: Node| point.volts.get(node).copied().unwrap_or(0.0);
        Ok(match (self.branch(branch)?, figures.get(branch)) {
            (Branch::Resistance { a, b }, Some(Figure::Siemens(siemens))) => {
                siemens * (volts(*a) - volts(*b))
            }
            (
                Branch::Source { a, b },
                Some(Figure::Source {
                    volts: source,
                    siemens,
                }),
            ) => siemens * (volts(*a) - volts(*b) - source),
            (Branch::Current { .. }, Some(Figure::Amperes(amperes))) => *amperes,
            (Branch::TwoTerminal { a, b, law }, Some(Figure::TwoTerminal { scale })) => {
                let lit = point.lit.contains(&branch);
                scale * law.current(volts(*a) - volts(*b), NeonState { lit }).0
            }
            (Branch::Tube { .. }, Some(Figure::Tube(_))) => {
                self.electrode_amperes(figures, point, branch)?.iter().sum()
            }
            _ => return Err(self.unfit(figures, branch)),
        })
    }

    /// Amperes into each electrode of a tube; those of an electrode at the cathode are 0.
    ///
    /// # Errors
    /// As [`Operating::branch_amperes`]; a branch that is no tube is [`CircuitError::Figure`].
    pub fn electrode_amperes(
        &self,
        figures: &[Figure],
        point: &Point,
        branch: usize,
    ) -> Result<[f64; ELECTRODES], CircuitError> {
        let volts = |node: Node| point.volts.get(node).copied().unwrap_or(0.0);
        let (
            Branch::Tube {
                cathode,
                electrodes,
                law,
            },
            Some(Figure::Tube(state)),
        ) = (self.branch(branch)?, figures.get(branch))
        else {
            return Err(self.unfit(figures, branch));
        };
        let at = electrodes.map(|node| volts(node.unwrap_or(*cathode)) - volts(*cathode));
        let mut amperes = law.currents(at, state).amperes;
        for (amperes, node) in amperes.iter_mut().zip(electrodes) {
            if node.is_none_or(|node| node == *cathode) {
                *amperes = 0.0;
            }
        }
        Ok(amperes)
    }

    /// What is left over at each node, amperes: the sum of all currents that leave it, the
    /// insulation of floating nodes included.
    ///
    /// # Errors
    /// [`CircuitError::Figure`] when the figures are not those of the network.
    pub fn balance(&self, figures: &[Figure], point: &Point) -> Result<Vec<f64>, CircuitError> {
        let mut left = vec![0.0; self.network().nodes];
        for (index, branch) in self.network().branches.iter().enumerate() {
            match branch {
                Branch::Resistance { a, b }
                | Branch::Source { a, b }
                | Branch::Current { a, b }
                | Branch::TwoTerminal { a, b, .. } => {
                    let amperes = self.branch_amperes(figures, point, index)?;
                    left[*a] += amperes;
                    left[*b] -= amperes;
                }
                Branch::Tube {
                    cathode,
                    electrodes,
                    ..
                } => {
                    let amperes = self.electrode_amperes(figures, point, index)?;
                    for (amperes, node) in amperes.iter().zip(electrodes) {
                        if let Some(node) = node {
                            left[*node] += amperes;
                            left[*cathode] -= amperes;
                        }
                    }
                }
            }
        }
        for group in self.plan().loose(figures) {
            let amperes = HOLD_SIEMENS * point.volts.get(group[0]).copied().unwrap_or(0.0);
            left[group[0]] += amperes;
            left[0] -= amperes;
        }
        Ok(left)
    }

    fn branch(&self, branch: usize) -> Result<&Branch, CircuitError> {
        self.network()
            .branches
            .get(branch)
            .ok_or(CircuitError::Missing {
                element: branch,
                what: "branch",
                index: branch,
            })
    }
}
