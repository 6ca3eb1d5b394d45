//! How node volts answer to figures at an operating point: slopes, both ways round.
//!
//! Volts per unit of the figure. At a point the currents that leave the nodes are `F(v, p) =
//! 0`, so a small change of a figure p moves the volts by `-J^-1 dF/dp`. One solution with
//! the factors gives how all nodes answer to one figure ([`Response::of_figure`]); one with
//! them transposed gives how one node answers to all figures ([`Response::of_node`]), which
//! is the cheap way to bands (the adjoint network of circuit theory: S. W. Director and R. A.
//! Rohrer, IEEE Trans. Circuit Theory 16 (1969) 318; from memory). Each solution is refined
//! once with the matrix itself. Slopes against the state of a tube are central differences of
//! its law, good to about seven digits; all others are exact.
//! Fails where the point is none of these figures or a pivot vanishes.

use super::Operating;
use super::lanes::{Lane, Lanes, Move};
use super::network::{Branch, Figure, check_figures};
use super::point::Point;
use crate::element::Node;
use crate::error::CircuitError;
use crate::tube::{ELECTRODES, TubeLaw, TubeState};
use crate::two_terminal::NeonState;

/// One number of a figure.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Quantity {
    /// Conductance of a resistance or behind a source, siemens.
    Siemens,
    /// Volts of a source.
    Volts,
    /// Amperes of a current.
    Amperes,
    /// [`TubeState::emission`].
    Emission,
    /// [`TubeState::strength`].
    Strength,
    /// [`TubeState::cutoff`].
    Cutoff,
    /// [`TubeState::contact_volts`].
    ContactVolts,
    /// Factor of a thing with two ends.
    Scale,
}

/// A number of a figure: which branch, which of its numbers.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub struct Parameter {
    /// The branch.
    pub branch: usize,
    /// Which of its numbers.
    pub quantity: Quantity,
}

/// The currents that a figure moves, amperes per unit, by node.
#[derive(Clone, Debug)]
struct Pull {
    parameter: Parameter,
    amperes: Vec<(Node, f64)>,
}

/// The factored network at one operating point.
#[derive(Clone, Debug)]
pub struct Response<'a> {
    lanes: Lanes<'a, 1>,
    /// The matrix before it was factored, by place.
    matrix: Vec<(usize, usize, f64)>,
    pulls: Vec<Pull>,
}

impl Operating {
    /// Factors the network at a point found with these figures.
    ///
    /// # Errors
    /// Those of [`check_figures`]; [`CircuitError::NoOperatingPoint`] when the currents do not
    /// add up at the point; [`CircuitError::Singular`] when a pivot vanishes.
    pub fn response(
        &self,
        figures: &[Figure],
        point: &Point,
    ) -> Result<Response<'_>, CircuitError> {
        check_figures(self.network(), figures)?;
        let mut lanes = Lanes::<1>::new(self.plan());
        lanes.load(0, figures);
        lanes.start(0, Some(&point.volts));
        lanes.light_these(0, &point.lit);
        lanes.stamp_base();
        lanes.evaluate(Move::Exact);
        lanes.add_up();
        let [balance] = lanes.balance();
        if !balance.good {
            return Err(CircuitError::NoOperatingPoint {
                node: balance.node,
                amperes: balance.amperes,
                iterations: 0,
                factorisations: 0,
                tried: "nothing: the point given is none of these figures",
            });
        }
        lanes.stamp();
        let matrix = entries(&lanes);
        lanes.lanes[0] = Lane::Busy;
        if !lanes.factor()[0] {
            return Err(CircuitError::Singular {
                node: balance.node,
                pivot: 0.0,
            });
        }
        let mut pulls = Vec::new();
        for (index, (branch, figure)) in self.network().branches.iter().zip(figures).enumerate() {
            collect(&mut pulls, index, branch, figure, point);
        }
        Ok(Response {
            lanes,
            matrix,
            pulls,
        })
    }
}

impl Response<'_> {
    /// All numbers of all figures, in the order of [`Response::of_node`].
    pub fn parameters(&self) -> impl Iterator<Item = Parameter> + '_ {
        self.pulls.iter().map(|pull| pull.parameter)
    }

    /// How all nodes answer to one number, volts per unit; `None` when there is no such number.
    pub fn of_figure(&self, parameter: Parameter) -> Option<Vec<f64>> {
        let pull = self.pulls.iter().find(|pull| pull.parameter == parameter)?;
        let mut side = vec![0.0; self.lanes.plan.nodes];
        for &(node, amperes) in &pull.amperes {
            side[node] -= amperes;
        }
        Some(self.solved(&side, false))
    }

    /// How one node answers to all numbers, in the order of [`Response::parameters`].
    pub fn of_node(&self, node: Node) -> Vec<f64> {
        let weights = self.to_node(node);
        self.pulls
            .iter()
            .map(|pull| {
                let sum: f64 = pull
                    .amperes
                    .iter()
                    .map(|&(node, amperes)| weights[node] * amperes)
                    .sum();
                -sum
            })
            .collect()
    }

    /// How all nodes answer to a small current put in at one: volts per ampere. The entry of
    /// the node itself is the resistance at which a meter sees it.
    pub fn of_current(&self, node: Node) -> Vec<f64> {
        let mut side = vec![0.0; self.lanes.plan.nodes];
        if let Some(own) = side.get_mut(node) {
            *own = 1.0;
        }
        self.solved(&side, false)
    }

    /// How one node answers to a small current put in at each: volts per ampere by node. The same as entry `node` of
    /// [`Response::of_current`] of every node, by one solution.
    pub fn to_node(&self, node: Node) -> Vec<f64> {
        let mut side = vec![0.0; self.lanes.plan.nodes];
        if let Some(own) = side.get_mut(node)
            && node > 0
        {
            *own = 1.0;
        }
        self.solved(&side, true)
    }

    /// How all nodes answer to small currents put in at all nodes at once.
    ///
    /// `amperes` is by node, into the node; entry 0 belongs to the reference and moves
    /// nothing; entries that are missing are 0, further ones are left out. The answer is the
    /// change of the volts by node, exact for currents so small that tubes stay straight.
    pub fn of_currents(&self, amperes: &[f64]) -> Vec<f64> {
        let mut side = vec![0.0; self.lanes.plan.nodes];
        for (own, amperes) in side.iter_mut().zip(amperes) {
            *own = *amperes;
        }
        self.solved(&side, false)
    }

    /// Solves by the factors and refines once; entry 0 of the answer is 0.
    fn solved(&self, side: &[f64], transposed: bool) -> Vec<f64> {
        let pattern = &self.lanes.plan.pattern;
        let solve = |side: &mut [[f64; 1]]| {
            if transposed {
                pattern.solve_transposed_side_by_side(&self.lanes.values, side);
            } else {
                pattern.solve_side_by_side(&self.lanes.values, side);
            }
        };
        let mut found: Vec<[f64; 1]> = side.iter().map(|&value| [value]).collect();
        if found.len() < 2 {
            return vec![0.0; found.len()];
        }
        solve(&mut found[1..]);
        let mut rest: Vec<[f64; 1]> = side.iter().map(|&value| [value]).collect();
        for &(row, column, value) in &self.matrix {
            if transposed {
                rest[column + 1][0] -= value * found[row + 1][0];
            } else {
                rest[row + 1][0] -= value * found[column + 1][0];
            }
        }
        solve(&mut rest[1..]);
        let mut answer: Vec<f64> = found
            .iter()
            .zip(&rest)
            .map(|([value], [more])| value + more)
            .collect();
        answer[0] = 0.0;
        answer
    }
}

/// Rows, columns and values of what was stamped.
fn entries(lanes: &Lanes<'_, 1>) -> Vec<(usize, usize, f64)> {
    let rows = lanes.plan.pattern.size();
    let mut entries = Vec::new();
    for row in 0..rows {
        for column in 0..rows {
            if let Some(place) = lanes.plan.pattern.place(row, column)
                && lanes.values[place][0] != 0.0
            {
                entries.push((row, column, lanes.values[place][0]));
            }
        }
    }
    entries
}

/// Adds what each number of one branch moves.
fn collect(pulls: &mut Vec<Pull>, index: usize, branch: &Branch, figure: &Figure, point: &Point) {
    let volts = |node: Node| point.volts.get(node).copied().unwrap_or(0.0);
    let mut through = |quantity, a: Node, b: Node, amperes: f64| {
        pulls.push(Pull {
            parameter: Parameter {
                branch: index,
                quantity,
            },
            amperes: vec![(a, amperes), (b, -amperes)],
        });
    };
    match (branch, figure) {
        (Branch::Resistance { a, b }, Figure::Siemens(_)) => {
            through(Quantity::Siemens, *a, *b, volts(*a) - volts(*b));
        }
        (
            Branch::Source { a, b },
            Figure::Source {
                volts: source,
                siemens,
            },
        ) => {
            through(Quantity::Volts, *a, *b, -siemens);
            through(Quantity::Siemens, *a, *b, volts(*a) - volts(*b) - source);
        }
        (Branch::Current { a, b }, Figure::Amperes(_)) => {
            through(Quantity::Amperes, *a, *b, 1.0);
        }
        (Branch::TwoTerminal { a, b, law }, Figure::TwoTerminal { .. }) => {
            let lit = point.lit.contains(&index);
            let (amperes, _) = law.current(volts(*a) - volts(*b), NeonState { lit });
            through(Quantity::Scale, *a, *b, amperes);
        }
        (
            Branch::Tube {
                cathode,
                electrodes,
                law,
            },
            Figure::Tube(state),
        ) => {
            let at = electrodes.map(|node| volts(node.unwrap_or(*cathode)) - volts(*cathode));
            for (quantity, change) in TUBE_QUANTITIES {
                let slopes = state_slopes(law, at, state, change);
                let mut amperes = Vec::with_capacity(2 * ELECTRODES);
                for (slope, node) in slopes.into_iter().zip(electrodes) {
                    if let Some(node) = node {
                        amperes.push((*node, slope));
                        amperes.push((*cathode, -slope));
                    }
                }
                pulls.push(Pull {
                    parameter: Parameter {
                        branch: index,
                        quantity,
                    },
                    amperes,
                });
            }
        }
        _ => {}
    }
}

/// Moves one number of a tube's state by a share; gives the new state and the change.
type Change = fn(&TubeState, f64) -> (TubeState, f64);

const TUBE_QUANTITIES: [(Quantity, Change); 4] = [
    (Quantity::Emission, |state, share| {
        let by = share * state.emission;
        let emission = state.emission + by;
        (TubeState { emission, ..*state }, by)
    }),
    (Quantity::Strength, |state, share| {
        let by = share * state.strength;
        let strength = state.strength + by;
        (TubeState { strength, ..*state }, by)
    }),
    (Quantity::Cutoff, |state, share| {
        let by = share * state.cutoff;
        let cutoff = state.cutoff + by;
        (TubeState { cutoff, ..*state }, by)
    }),
    (Quantity::ContactVolts, |state, share| {
        let contact_volts = state.contact_volts + share;
        (
            TubeState {
                contact_volts,
                ..*state
            },
            share,
        )
    }),
];

/// Share by which a state is moved for its slopes: about the cube root of the rounding.
const SHARE: f64 = 1e-5;

fn state_slopes(
    law: &TubeLaw,
    volts: [f64; ELECTRODES],
    state: &TubeState,
    change: Change,
) -> [f64; ELECTRODES] {
    let (more, up) = change(state, SHARE);
    let (less, down) = change(state, -SHARE);
    if up == down {
        return [0.0; ELECTRODES];
    }
    let above = law.currents(volts, &more).amperes;
    let below = law.currents(volts, &less).amperes;
    std::array::from_fn(|electrode| (above[electrode] - below[electrode]) / (up - down))
}
