//! Whether the set was proven at the end, as its restoration tells: the check list with its answers.
//!
//! Figures in the unit of each item. The list is worked out only where something was entered for it.
//! Nothing here says that a set is safe. A list that cannot be worked out is told with its reason;
//! nothing here fails.

use std::path::Path;

use logbook::{Fact, StandingFact};

use crate::long_work::LongWork;
use crate::prove::tell_proof;
use crate::view::{ProofView, SafetyView};

/// The check list, where anything was entered for it.
pub(super) fn handed(file: &Path, facts: &[StandingFact<'_>]) -> SafetyView {
    if !facts.iter().any(|one| matches!(one.fact, Fact::OfProof(_))) {
        return SafetyView {
            written_down: false,
            text: "Nothing of a safety proof is written down: leakage from exposed metal, insulation, cord, fuse and bleed times were not entered. Have it tested by somebody who is licensed to before it is used.".to_owned(),
            proof: None,
        };
    }
    match tell_proof(file, LongWork::untold()) {
        Ok(proof) => SafetyView {
            written_down: true,
            text: in_words(&proof),
            proof: Some(Box::new(proof)),
        },
        Err(trouble) => SafetyView {
            written_down: true,
            text: format!(
                "Answers to a check list were entered (the story has them), but the list cannot be worked out: {trouble}. Take the set as not proven."
            ),
            proof: None,
        },
    }
}

fn in_words(proof: &ProofView) -> String {
    let counts = &proof.counts;
    let asked = counts.met + counts.failed + counts.open;
    let signed = match &proof.signature {
        None => "The list is not signed.".to_owned(),
        Some(own) if own.stands => format!(
            "Signed by {} on {}; nothing was entered since.",
            own.by,
            own.at.get(..10).unwrap_or_default()
        ),
        Some(own) => format!(
            "Signed by {} on {}, but what was entered since is not covered by it.",
            own.by,
            own.at.get(..10).unwrap_or_default()
        ),
    };
    format!(
        "Of {asked} items of the check list: {} done with nothing beyond its figure, {} beyond a figure, {} open. {signed}",
        counts.met, counts.failed, counts.open
    )
}
