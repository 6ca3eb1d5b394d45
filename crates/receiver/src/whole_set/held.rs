//! What a signal holds in the direct-current network: drives, lifts, the branches that stand for them.
//!
//! Volts, amperes, siemens. Nothing here fails.

use circuit::Node;
use circuit::operating::{Branch, Figure};

use crate::wiring::{Rectifying, SetModel};

use super::direct::{Direct, Role};
use super::running::Running;

impl Direct {
    /// Lets what signals drive go with the supply; the rectifiers' ways stay as they are.
    pub(super) fn scale_drives(&self, figures: &mut [Figure], share: f64) {
        let goes = |role: &Role| matches!(role, Role::Held(..) | Role::Lift(_) | Role::HighVoltage);
        for (_, figure) in self.branches().zip(figures).filter(|own| goes(own.0.1)) {
            if let Figure::Source { volts, .. } = figure {
                *volts *= share;
            }
        }
    }

    /// Whether the sweep lifts this stage's cathode.
    pub(super) fn lifts(&self, stage: usize) -> bool {
        matches!(self.running.get(stage), Some(Running::Lifts { .. }))
    }

    /// The lift of a stage as a current into its cathode and out of its plate, with their nodes.
    pub(super) fn lift_sends(&self, figures: &[Figure], stage: usize) -> Option<(Node, Node, f64)> {
        let own = Role::Lift(stage);
        let (at, (branch, _)) = self
            .branches()
            .enumerate()
            .find(|(_, (_, role))| **role == own)?;
        match (branch, figures.get(at)?) {
            (Branch::Source { a, b }, Figure::Source { volts, siemens }) => {
                Some((*a, *b, volts * siemens))
            }
            _ => None,
        }
    }

    /// The branch that stands for an electrode of a stage that runs.
    pub(super) fn branch_of_hold(&self, stage: usize, electrode: usize) -> Option<usize> {
        let own = Role::Held(stage, electrode);
        self.branches().position(|(_, role)| *role == own)
    }

    /// Whether a branch is the way of a damper whose sweep has ended.
    pub(super) fn is_way_of_damper(&self, model: &SetModel<'_>, branch: usize) -> bool {
        let Some((_, Role::Way(way))) = self.branches().nth(branch) else {
            return false;
        };
        let own = model.rectifying().get(*way);
        matches!(own, Some(Rectifying::Tube { damper: true, .. }))
    }

    /// Whether this stage's tube is out or left out.
    pub(super) fn is_absent(&self, stage: usize) -> bool {
        matches!(self.running.get(stage), Some(Running::Absent))
    }
}
