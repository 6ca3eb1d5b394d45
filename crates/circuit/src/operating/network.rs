//! The network of a whole set at direct current: nodes, branches and their figures.
//!
//! Volts, amperes, siemens. A [`Network`] says what is joined to what and by which law; it
//! never changes. The [`Figure`]s, one a branch, are one sample of it: a set of parts, a
//! line voltage, a fault. An open part is a conductance of 0, a short one of 1000 siemens, a
//! pulled tube has no emission. [`Network::check`] refuses nodes that do not exist and laws
//! that no part has; [`check_figures`] refuses figures of the wrong kind or size.

use std::sync::Arc;

use crate::element::Node;
use crate::error::CircuitError;
use crate::tube::{ELECTRODES, TubeLaw, TubeState};
use crate::two_terminal::TwoTerminalLaw;

/// What joins nodes.
#[derive(Clone, Debug, PartialEq)]
pub enum Branch {
    /// A resistance; its current runs from `a` to `b`.
    Resistance {
        /// One end.
        a: Node,
        /// The other end.
        b: Node,
    },
    /// Volts behind a conductance; `a` is the + end. Its current runs from `a` to `b`
    /// through it, so that a source that delivers has a negative current.
    Source {
        /// The + end.
        a: Node,
        /// The - end.
        b: Node,
    },
    /// A current that flows from `a` to `b` through the branch.
    Current {
        /// Where it leaves the network.
        a: Node,
        /// Where it comes back.
        b: Node,
    },
    /// One section of a tube.
    Tube {
        /// The cathode.
        cathode: Node,
        /// Plate, grids 1 to 3, in the order of [`crate::tube::Electrode`]; `None` is at the
        /// cathode.
        electrodes: [Option<Node>; ELECTRODES],
        /// Its law.
        law: Arc<TubeLaw>,
    },
    /// A crystal, neon lamp or voltage-dependent resistor.
    TwoTerminal {
        /// First end: the one from which a crystal conducts.
        a: Node,
        /// Second end.
        b: Node,
        /// Its law.
        law: TwoTerminalLaw,
    },
}

/// Nodes and branches.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Network {
    /// Number of nodes; node 0 is the reference.
    pub nodes: usize,
    /// The branches, in the order of their figures.
    pub branches: Vec<Branch>,
}

/// What one sample gives to a branch.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Figure {
    /// Of a resistance, siemens; 0 is open.
    Siemens(f64),
    /// Of a source.
    Source {
        /// Volts of `a` over `b` without load.
        volts: f64,
        /// Conductance behind which they stand, siemens.
        siemens: f64,
    },
    /// Of a current.
    Amperes(f64),
    /// Of a tube: how the sample departs from its law. No emission stands for a pulled tube.
    Tube(TubeState),
    /// Of a thing with two ends.
    TwoTerminal {
        /// Factor of its current; 0 is open.
        scale: f64,
    },
}

/// Conductance of a dead short, siemens.
pub const SHORT_SIEMENS: f64 = 1e3;

/// At and below this a conductance ties nothing, siemens.
pub const OPEN_SIEMENS: f64 = 1e-12;

/// What holds a group of nodes that no resistance or source ties to the reference, siemens: a
/// thousand megohms, the order of an old socket's insulation (from memory).
pub const HOLD_SIEMENS: f64 = 1e-9;

impl Figure {
    fn kind(&self) -> &'static str {
        match self {
            Figure::Siemens(_) => "a conductance",
            Figure::Source { .. } => "volts behind a conductance",
            Figure::Amperes(_) => "a current",
            Figure::Tube(_) => "the state of a tube",
            Figure::TwoTerminal { .. } => "a factor of current",
        }
    }
}

impl Branch {
    fn wants(&self) -> &'static str {
        match self {
            Branch::Resistance { .. } => "a conductance",
            Branch::Source { .. } => "volts behind a conductance",
            Branch::Current { .. } => "a current",
            Branch::Tube { .. } => "the state of a tube",
            Branch::TwoTerminal { .. } => "a factor of current",
        }
    }

    /// All nodes that it touches, those of a tube with the cathode last.
    pub fn nodes(&self) -> Vec<Node> {
        match self {
            Branch::Resistance { a, b }
            | Branch::Source { a, b }
            | Branch::Current { a, b }
            | Branch::TwoTerminal { a, b, .. } => vec![*a, *b],
            Branch::Tube {
                cathode,
                electrodes,
                ..
            } => {
                let mut nodes: Vec<Node> = electrodes.iter().flatten().copied().collect();
                nodes.push(*cathode);
                nodes
            }
        }
    }
}

impl Network {
    /// An empty network with its reference.
    pub fn new() -> Network {
        Network {
            nodes: 1,
            branches: Vec::new(),
        }
    }

    /// Adds a node.
    pub fn node(&mut self) -> Node {
        self.nodes += 1;
        self.nodes - 1
    }

    /// Adds a branch and gives back its index.
    pub fn add(&mut self, branch: Branch) -> usize {
        self.branches.push(branch);
        self.branches.len() - 1
    }

    /// Whether all nodes exist and all laws are such as a part can have.
    ///
    /// # Errors
    /// [`CircuitError::Missing`] and the errors of the laws.
    pub fn check(&self) -> Result<(), CircuitError> {
        for (element, branch) in self.branches.iter().enumerate() {
            if let Some(&index) = branch.nodes().iter().find(|&&node| node >= self.nodes) {
                return Err(CircuitError::Missing {
                    element,
                    what: "node",
                    index,
                });
            }
            match branch {
                Branch::Tube { law, .. } => law.check()?,
                Branch::TwoTerminal { law, .. } => law.check()?,
                _ => {}
            }
        }
        Ok(())
    }
}

/// Whether the figures belong to the branches and are such as parts can have.
///
/// # Errors
/// [`CircuitError::Figure`] for a wrong kind or number of figures, [`CircuitError::Value`]
/// for a size that no part has.
pub fn check_figures(network: &Network, figures: &[Figure]) -> Result<(), CircuitError> {
    if figures.len() != network.branches.len() {
        let branch = figures.len().min(network.branches.len());
        return Err(CircuitError::Figure {
            branch,
            found: figures.get(branch).map_or("missing", Figure::kind),
            expected: network.branches.get(branch).map_or("none", Branch::wants),
        });
    }
    for (element, (branch, figure)) in network.branches.iter().zip(figures).enumerate() {
        let value = |field, value: f64, good: bool, expected| {
            if good && value.is_finite() {
                Ok(())
            } else {
                Err(CircuitError::Value {
                    element,
                    field,
                    value,
                    expected,
                })
            }
        };
        let conductance = "a finite number from 0 to 1e6";
        match (branch, figure) {
            (Branch::Resistance { .. }, Figure::Siemens(siemens)) => {
                value(
                    "siemens",
                    *siemens,
                    (0.0..=1e6).contains(siemens),
                    conductance,
                )?;
            }
            (Branch::Source { .. }, Figure::Source { volts, siemens }) => {
                value(
                    "siemens",
                    *siemens,
                    (0.0..=1e6).contains(siemens),
                    conductance,
                )?;
                value("volts", *volts, volts.abs() <= 1e5, "within 100 kV")?;
            }
            (Branch::Current { .. }, Figure::Amperes(amperes)) => {
                value("amperes", *amperes, amperes.abs() <= 1e3, "within 1000 A")?;
            }
            (Branch::Tube { .. }, Figure::Tube(state)) => {
                let above = "a finite number above 0";
                value(
                    "emission",
                    state.emission,
                    state.emission >= 0.0,
                    "0 or more",
                )?;
                value("strength", state.strength, state.strength > 0.0, above)?;
                value("cutoff", state.cutoff, state.cutoff > 0.0, above)?;
                let contact = state.contact_volts;
                value(
                    "contact_volts",
                    contact,
                    contact.abs() <= 100.0,
                    "within 100 V",
                )?;
            }
            (Branch::TwoTerminal { .. }, Figure::TwoTerminal { scale }) => {
                value("scale", *scale, (0.0..=1e6).contains(scale), "0 or more")?;
            }
            _ => {
                return Err(CircuitError::Figure {
                    branch: element,
                    found: figure.kind(),
                    expected: branch.wants(),
                });
            }
        }
    }
    Ok(())
}
