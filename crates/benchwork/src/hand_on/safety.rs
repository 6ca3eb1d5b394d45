//! Whether the set was proven safe at the end, as far as its restoration tells.
//!
//! No units. A restoration keeps no safety proof of its own form yet, so none is ever said to be
//! there. Nothing here fails.

use logbook::StandingFact;

use crate::view::SafetyView;

/// The safety proof among the facts.
pub(super) fn handed(_facts: &[StandingFact<'_>]) -> SafetyView {
    SafetyView {
        written_down: false,
        text: "Nothing of a safety proof is written down: leakage from exposed metal, insulation, cord, fuse and bleed times were not entered. Have it tested by somebody who is licensed to before it is used.".to_owned(),
        points: Vec::new(),
    }
}
