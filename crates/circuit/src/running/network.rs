//! A stage that runs: a network at direct current with its capacitors, coils and drives.
//!
//! Farads, henries, seconds beside the volts, amperes and siemens of [`operating`]. The
//! network of the operating point stays as it is; a [`RunningNetwork`] only says where
//! capacitances lie, which resistances are the copper of coils, which coils are coupled and
//! which sources carry a wave. One sample gives [`RunningFigures`]. Coils whose couplings no
//! windings can have (energy below 0) are refused, as is what names a missing place.
//!
//! [`operating`]: crate::operating

use super::drive::Waveform;
use crate::element::Node;
use crate::error::CircuitError;
use crate::operating::{Branch, Figure, Network, check_figures};

/// Capacitance of every place against the reference unless another is stated, farads: wiring
/// and electrodes, some picofarads (common practice).
pub const STRAY_FARADS: f64 = 5e-12;

/// A network with what stores charge and flux, and what drives it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct RunningNetwork {
    /// What direct current sees.
    pub network: Network,
    /// Capacitances between two nodes.
    pub capacitances: Vec<(Node, Node)>,
    /// Coils: branches of the network that are a resistance, the copper. Their current runs
    /// from the branch's `a` to its `b`.
    pub coils: Vec<usize>,
    /// Coils that share flux, by their index in `coils`.
    pub couplings: Vec<(usize, usize)>,
    /// Branches of the network, sources or currents, that carry a wave.
    pub drives: Vec<usize>,
}

/// One sample of a [`RunningNetwork`].
#[derive(Clone, Debug, PartialEq)]
pub struct RunningFigures {
    /// One a branch, as for the operating point.
    pub figures: Vec<Figure>,
    /// One a capacitance, farads; 0 is open.
    pub farads: Vec<f64>,
    /// One a coil, henries.
    pub henries: Vec<f64>,
    /// One a coupling: share of the flux, from -0.9999 to 0.9999; negative where the windings
    /// run against each other.
    pub couplings: Vec<f64>,
    /// One a drive.
    pub drives: Vec<Waveform>,
    /// Period of the drives, seconds; without drives it is not read.
    pub period_seconds: f64,
    /// Capacitance of every node against the reference, farads, above 0.
    pub stray_farads: f64,
}

impl RunningFigures {
    /// Figures of a stage that drives itself, with [`STRAY_FARADS`] and no coupling.
    pub fn new(figures: Vec<Figure>, farads: Vec<f64>, henries: Vec<f64>) -> RunningFigures {
        RunningFigures {
            figures,
            farads,
            henries,
            couplings: Vec::new(),
            drives: Vec::new(),
            period_seconds: 0.0,
            stray_farads: STRAY_FARADS,
        }
    }
}

impl RunningNetwork {
    /// Whether all places exist and all branches named are of the kind that is needed.
    ///
    /// # Errors
    /// Those of [`Network::check`], [`CircuitError::Missing`], [`CircuitError::Figure`].
    pub fn check(&self) -> Result<(), CircuitError> {
        self.network.check()?;
        let missing = |element, what, index| {
            Err(CircuitError::Missing {
                element,
                what,
                index,
            })
        };
        for (element, &(a, b)) in self.capacitances.iter().enumerate() {
            if let Some(index) = [a, b].into_iter().find(|&node| node >= self.network.nodes) {
                return missing(element, "node", index);
            }
        }
        for (element, &branch) in self.coils.iter().enumerate() {
            match self.network.branches.get(branch) {
                None => return missing(element, "branch", branch),
                Some(Branch::Resistance { .. }) => {}
                Some(_) => {
                    return Err(CircuitError::Figure {
                        branch,
                        found: "of another kind of branch",
                        expected: "the resistance of a coil's copper",
                    });
                }
            }
            if self.coils[..element].contains(&branch) {
                return Err(CircuitError::Figure {
                    branch,
                    found: "the copper of two coils",
                    expected: "the copper of one",
                });
            }
        }
        for (element, &(one, other)) in self.couplings.iter().enumerate() {
            if let Some(index) = [one, other].into_iter().find(|&c| c >= self.coils.len()) {
                return missing(element, "coil", index);
            }
            if one == other {
                return missing(element, "second coil, other than", one);
            }
        }
        for (element, &branch) in self.drives.iter().enumerate() {
            match self.network.branches.get(branch) {
                None => return missing(element, "branch", branch),
                Some(Branch::Source { .. } | Branch::Current { .. }) => {}
                Some(_) => {
                    return Err(CircuitError::Figure {
                        branch,
                        found: "of another kind of branch",
                        expected: "a source or a current, for a wave",
                    });
                }
            }
        }
        Ok(())
    }

    /// Whether the figures belong to the network and are such as parts can have.
    ///
    /// # Errors
    /// Those of [`check_figures`], [`CircuitError::Value`], [`CircuitError::Figure`].
    pub fn check_figures(&self, figures: &RunningFigures) -> Result<(), CircuitError> {
        check_figures(&self.network, &figures.figures)?;
        let counts = [
            (figures.farads.len(), self.capacitances.len(), "farads"),
            (figures.henries.len(), self.coils.len(), "henries"),
            (figures.couplings.len(), self.couplings.len(), "couplings"),
            (figures.drives.len(), self.drives.len(), "drives"),
        ];
        for (found, wanted, field) in counts {
            if found != wanted {
                return Err(CircuitError::Value {
                    element: found.min(wanted),
                    field,
                    value: found as f64,
                    expected: "as many as the network has",
                });
            }
        }
        let value = |element, field, value: f64, good: bool, expected| {
            if good {
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
        for (element, &farads) in figures.farads.iter().enumerate() {
            let good = (0.0..=1.0).contains(&farads);
            value(element, "farads", farads, good, "from 0 to 1")?;
        }
        for (element, &henries) in figures.henries.iter().enumerate() {
            let good = (1e-9..=1e4).contains(&henries);
            value(element, "henries", henries, good, "from 1e-9 to 1e4")?;
        }
        for (element, &share) in figures.couplings.iter().enumerate() {
            let good = (-0.9999..=0.9999).contains(&share);
            value(element, "couplings", share, good, "from -0.9999 to 0.9999")?;
        }
        for (element, wave) in figures.drives.iter().enumerate() {
            wave.check(element)?;
        }
        if !self.drives.is_empty() {
            let period = figures.period_seconds;
            let good = (1e-9..=1e3).contains(&period);
            value(0, "period_seconds", period, good, "from 1e-9 to 1000")?;
        }
        let stray = figures.stray_farads;
        let good = (1e-15..=1e-6).contains(&stray);
        value(0, "stray_farads", stray, good, "from 1e-15 to 1e-6")?;
        self.check_flux(figures)
    }

    /// Inductances of all coils against one another, row by row, henries.
    pub(super) fn inductances(&self, figures: &RunningFigures) -> Vec<f64> {
        let count = self.coils.len();
        let mut square = vec![0.0; count * count];
        for (coil, henries) in figures.henries.iter().enumerate() {
            square[coil * count + coil] = *henries;
        }
        for (&(one, other), share) in self.couplings.iter().zip(&figures.couplings) {
            let mutual = share * (figures.henries[one] * figures.henries[other]).sqrt();
            square[one * count + other] += mutual;
            square[other * count + one] += mutual;
        }
        square
    }

    /// The energy of the coils must be above 0 for all currents (Cholesky).
    fn check_flux(&self, figures: &RunningFigures) -> Result<(), CircuitError> {
        let count = self.coils.len();
        let mut square = self.inductances(figures);
        for coil in 0..count {
            let own = figures.henries[coil];
            let left = square[coil * count + coil];
            if left <= 1e-12 * own {
                return Err(CircuitError::Value {
                    element: coil,
                    field: "couplings",
                    value: left / own,
                    expected: "couplings that leave every coil some flux of its own",
                });
            }
            for row in coil + 1..count {
                let factor = square[row * count + coil] / left;
                for column in coil + 1..count {
                    square[row * count + column] -= factor * square[coil * count + column];
                }
            }
        }
        Ok(())
    }
}
