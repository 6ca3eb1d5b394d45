//! On which terms a group of stages that drive themselves is calculated.
//!
//! Shares of what is usual, steps. Nothing here fails.

/// On which terms a group is calculated: what windings have beside turns and copper, which no
/// sheet tells, over what is usual, and how exactly.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::whole_set) struct Terms {
    /// Capacitance.
    pub(super) farads: f64,
    /// Resonance over loss.
    pub(super) quality: f64,
    /// Error of a step against one volt plus the volts of the place.
    pub(super) tolerance: f64,
    /// Miss of a lap that counts as none, in tolerances.
    pub(super) missed: f64,
    /// Time steps at most.
    pub(super) most_steps: usize,
    /// Steps for a cycle that is told though it does not return.
    pub(super) last_steps: usize,
    /// Whether a wave beside the neighbour's alone is looked for, and how far it may lie.
    pub(super) only_beside: Option<f64>,
    /// Whether only a movement is wanted: then cycles need not be alike.
    pub(super) moved: bool,
}

impl Terms {
    /// As usual.
    pub(in crate::whole_set) const USUAL: Terms = Terms {
        farads: 1.0,
        quality: 1.0,
        tolerance: 1e-4,
        missed: 0.05,
        most_steps: 100_000,
        last_steps: 0,
        only_beside: None,
        moved: false,
    };
    /// As far off as such windings may well be (judgement).
    pub(super) const LOSSY: Terms = Terms {
        farads: 2.5,
        quality: 0.4,
        ..Terms::USUAL
    };
    /// For what a tenth or two of a part changes: a neighbour's wave is near.
    pub(in crate::whole_set) const MOVED: Terms = Terms {
        missed: 2.0,
        most_steps: 25_000,
        moved: true,
        ..Terms::USUAL
    };
    /// For a fault, which moves more than any doubt of a percent.
    pub(super) const FAULTY: Terms = Terms {
        tolerance: 1e-3,
        missed: 10.0,
        most_steps: 1000,
        last_steps: 600,
        moved: true,
        ..Terms::USUAL
    };
    /// For one that has no milder form to come from.
    pub(super) const FAULTY_ALONE: Terms = Terms {
        most_steps: 4000,
        ..Terms::FAULTY
    };
    /// For the next step of a fault that grows.
    pub(super) const GROWN: Terms = Terms {
        tolerance: 3e-4,
        missed: 25.0,
        last_steps: 0,
        only_beside: Some(0.6),
        ..Terms::FAULTY
    };
    /// The same where edges are too sharp for that.
    pub(super) const GROWN_FINE: Terms = Terms {
        tolerance: 1e-4,
        missed: 60.0,
        ..Terms::GROWN
    };

    /// Whether it is for a fault.
    pub(super) fn is_faulty(self) -> bool {
        [
            Terms::FAULTY,
            Terms::FAULTY_ALONE,
            Terms::GROWN,
            Terms::GROWN_FINE,
        ]
        .contains(&self)
    }
}
