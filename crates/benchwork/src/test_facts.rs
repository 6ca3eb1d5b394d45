//! Facts as a restoration would hold them, for tests: numbered from 1, all of them standing.
//!
//! Nothing here fails.

use logbook::{Fact, Stamp, StandingFact};

/// Does work on these facts.
pub(crate) fn with_standing<T>(facts: &[Fact], work: impl FnOnce(&[StandingFact<'_>]) -> T) -> T {
    let at = Stamp::read("2026-11-29T08:49:51+01:00").expect("a time");
    let standing: Vec<StandingFact<'_>> = (1..)
        .zip(facts)
        .map(|(number, fact)| StandingFact {
            number,
            at: &at,
            fact,
        })
        .collect();
    work(&standing)
}
