//! Stop limits, found by solving a step with each of the likely faults in it.
//!
//! Units of the readings; seconds. For each reading of the step it is worked out what
//! healthy sets show, from switch-on on; a limit stands well outside of that at every
//! moment from its time on, so that a whole plan stops at most two of a hundred healthy
//! sets. Each fault is then solved from gross to
//! slight: from the severity at which nineteen of twenty such sets pass a limit,
//! the reading tells the fault. Where no severity does, it says so.
//! A faulty set that does not settle is named as not told.

mod bounds;
mod early;
mod needed;
mod search;

use circuit::solver::SettledState;
use quantity::Band;
use rayon::prelude::*;

use crate::bands::movements;
use crate::causes::{Cause, Coolness};
use crate::wiring::{FaultKind, Variation};

use super::course::Course;
use super::faults::{Endangered, LikelyFault};
use super::watch::{NotSeen, Seen, Watch};
use super::{PlanWork, StopRule};

pub(super) use bounds::least_size;
use bounds::{rule, settled_bounds};
use early::early;
use needed::keep_what_is_needed;
use search::{Outcome, Search, search};

/// What one step's limits came to.
#[derive(Debug, Clone)]
pub struct StepLimits {
    /// Healthy bands of the probes once settled.
    pub bands: Vec<Option<Band>>,
    /// The rules, settled and early.
    pub rules: Vec<StopRule>,
    /// How many of the rules, from the first, are the settled ones found.
    settled_rules: usize,
    /// Faults told in this step.
    pub told: Vec<Told>,
    /// Faults that work in this step but that no reading tells, with the reason.
    pub untold: Vec<(usize, String)>,
    /// Faults that this step does not feel.
    pub idle: Vec<usize>,
    /// The healthy set, settled.
    pub healthy: Seen,
    /// Each fault's gross state as solved.
    pub gross: Vec<Option<Seen>>,
}

/// A fault told by a reading.
#[derive(Debug, Clone, PartialEq)]
pub struct Told {
    /// Position among the likely faults.
    pub fault: usize,
    /// The slightest severity that is told.
    pub severity: f64,
    /// The rule that tells it.
    pub rule: usize,
}

/// The faults that a step is solved with.
pub struct Faults<'f> {
    /// The likely faults.
    pub all: &'f [LikelyFault],
    /// Where each settles at its grossest in this step, as far as that was found already.
    pub gross: Vec<Option<SettledState>>,
}

/// What the limits of a step are wanted for.
pub struct Wanted<'w> {
    /// The likely faults.
    pub faults: &'w Faults<'w>,
    /// The causes of spread.
    pub causes: &'w [Cause],
    /// How far the tubes of the healthy set stand below their rated emission.
    pub coolness: Option<Coolness>,
    /// Seconds after switch-on of the early limits.
    pub early_seconds: &'w [f64],
    /// Seconds after which the settled limits count.
    pub settled_seconds: f64,
}

/// Finds the limits of one step.
pub fn find_limits(
    watch: &Watch<'_>,
    wanted: &Wanted<'_>,
    work: &mut PlanWork,
) -> Result<StepLimits, NotSeen> {
    let healthy = watch.settled(&Variation::none(), None)?;
    work.solved_states += 1;
    let moved = movements(wanted.causes, healthy.values.clone(), |variation| {
        watch
            .settled(variation, healthy.near.as_ref())
            .ok()
            .map(|seen| seen.values)
    });
    work.solved_states += moved.solved;
    let bands = moved.bands();
    let course = Course::of(watch, wanted, &healthy, &bands, work);
    let bounds = settled_bounds(watch, &course, wanted.early_seconds);
    let searched: Vec<(usize, Search)> = wanted
        .faults
        .all
        .par_iter()
        .enumerate()
        .map(|(number, fault)| {
            let gross = wanted.faults.gross.get(number).and_then(Option::as_ref);
            (number, search(watch, fault, gross, &healthy, &bounds))
        })
        .collect();
    let mut limits = StepLimits {
        bands,
        rules: bounds.iter().map(|bound| rule(watch, bound)).collect(),
        settled_rules: bounds.len(),
        told: Vec::new(),
        untold: Vec::new(),
        idle: Vec::new(),
        gross: vec![None; wanted.faults.all.len()],
        healthy,
    };
    for (number, found) in searched {
        work.solved_states += found.solved;
        let reaches = found
            .gross
            .as_ref()
            .and_then(|gross| picture_heater_in_words(watch, &wanted.faults.all[number], gross))
            .unwrap_or_default();
        limits.gross[number] = found.gross;
        match found.outcome {
            Outcome::Told { severity, by } => {
                for (bound, from) in by {
                    let words = wanted.faults.all[number].in_words(from);
                    limits.rules[bound].tells.push(words + &reaches);
                    if from == severity {
                        limits.told.push(Told {
                            fault: number,
                            severity,
                            rule: bound,
                        });
                    }
                }
            }
            Outcome::Untold(because) => limits.untold.push((number, because + &reaches)),
            Outcome::Idle => limits.idle.push(number),
        }
    }
    if !wanted.early_seconds.is_empty() {
        early(watch, wanted, &course, &bounds, &mut limits, work);
    }
    keep_what_is_needed(wanted.faults.all, &mut limits);
    Ok(limits)
}

/// Heater volts over rated ones from which an overfed picture tube is told.
const WORTH_TELLING: f64 = 1.05;

/// The volts that a fault at its grossest leaves at the picture tube's heater, where it
/// endangers that.
fn picture_heater_in_words(watch: &Watch<'_>, fault: &LikelyFault, gross: &Seen) -> Option<String> {
    let Some(Endangered::PictureTube(tube)) = fault.endangers else {
        return None;
    };
    let volts = gross.heater_volts.get(tube).copied().flatten()?;
    let tube = watch.predictor.model.sheet.tubes.get(tube)?;
    let rated = tube.kind.heater.as_ref()?.volts;
    let feeds_it = matches!(
        fault.kind,
        FaultKind::OhmsTimes(_) | FaultKind::ThermistorShorted(_)
    );
    (feeds_it || volts > WORTH_TELLING * rated).then(|| {
        format!(
            "; at its grossest {} then has {volts:.1} V at its heater of {rated} V",
            tube.reference
        )
    })
}
