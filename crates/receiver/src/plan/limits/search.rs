//! One fault solved from gross to slight, until no bound tells it.
//!
//! Units of the readings; watts. A faulty set that does not settle is named as not told.

use circuit::solver::SettledState;

use crate::plan::faults::LikelyFault;
use crate::plan::watch::{Seen, Watch};

use super::bounds::{Bound, passes};

pub(super) enum Outcome {
    /// Told from this severity on, by these bounds each from its own severity.
    Told {
        severity: f64,
        by: Vec<(usize, f64)>,
    },
    /// It works, but nothing tells it.
    Untold(String),
    /// It does nothing here.
    Idle,
}

pub(super) struct Search {
    pub outcome: Outcome,
    pub solved: usize,
    pub gross: Option<Seen>,
}

/// Least heat, watts, above the healthy set's, that makes a fault worth telling.
const FELT_WATTS: f64 = 0.5;

pub(super) fn search(
    watch: &Watch<'_>,
    fault: &LikelyFault,
    gross: Option<&SettledState>,
    healthy: &Seen,
    bounds: &[Bound],
) -> Search {
    let rungs = fault.severities.len();
    let mut solved = 0;
    let mut seen: Vec<Option<Option<Seen>>> = vec![None; rungs];
    let mut evidence = None;
    let mut look = |rung: usize, seen: &mut Vec<Option<Option<Seen>>>| {
        if seen[rung].is_none() {
            solved += 1;
            let near = gross.filter(|_| rung + 1 == rungs);
            let found = watch.settled(&fault.variation(fault.severities[rung]), near);
            if let Err(error) = &found {
                evidence = Some(error.to_string());
            }
            seen[rung] = Some(found.ok());
        }
    };
    let last = rungs - 1;
    look(last, &mut seen);
    let Some(Some(gross)) = seen[last].clone() else {
        return Search {
            outcome: Outcome::Untold(format!(
                "the set with this fault could not be solved ({})",
                evidence.unwrap_or_default()
            )),
            solved,
            gross: None,
        };
    };
    let passing: Vec<usize> = (0..bounds.len())
        .filter(|&bound| passes(&bounds[bound], &gross.values))
        .collect();
    if passing.is_empty() {
        let outcome = if felt(&gross, healthy) {
            Outcome::Untold("it changes no reading by more than healthy sets differ".to_string())
        } else {
            Outcome::Idle
        };
        return Search {
            outcome,
            solved,
            gross: Some(gross),
        };
    }
    // The slightest rung that any bound still tells, by halving.
    let told_at = |rung: usize, seen: &Vec<Option<Option<Seen>>>| {
        seen[rung]
            .as_ref()
            .and_then(Option::as_ref)
            .is_some_and(|seen| {
                passing
                    .iter()
                    .any(|&bound| passes(&bounds[bound], &seen.values))
            })
    };
    let (mut untold, mut told) = (-1isize, last as isize);
    while told - untold > 1 {
        let middle = ((told + untold) / 2) as usize;
        look(middle, &mut seen);
        if told_at(middle, &seen) {
            told = middle as isize;
        } else {
            untold = middle as isize;
        }
    }
    let severity = fault.severities[told as usize];
    let by = passing
        .iter()
        .filter_map(|&bound| {
            // Each bound speaks from the slightest rung that was solved and passes it.
            (0..rungs)
                .find(|&rung| {
                    seen[rung]
                        .as_ref()
                        .and_then(Option::as_ref)
                        .is_some_and(|seen| passes(&bounds[bound], &seen.values))
                })
                .map(|rung| (bound, fault.severities[rung]))
        })
        .collect();
    Search {
        outcome: Outcome::Told { severity, by },
        solved,
        gross: Some(gross),
    }
}

/// Whether a fault does anything in this step.
fn felt(gross: &Seen, healthy: &Seen) -> bool {
    let own = gross.fault_watts.unwrap_or(0.0);
    let more: f64 = gross
        .transformer_watts
        .iter()
        .zip(&healthy.transformer_watts)
        .map(|(now, then)| now - then)
        .sum();
    let readings = gross
        .values
        .iter()
        .zip(&healthy.values)
        .any(|(now, then)| match (now, then) {
            (Some(now), Some(then)) => {
                (now - then).abs() > 0.01 * then.abs() && (now - then).abs() > 0.05
            }
            _ => false,
        });
    own > FELT_WATTS || more > FELT_WATTS || readings
}
