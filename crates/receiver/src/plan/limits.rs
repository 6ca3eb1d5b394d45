//! Stop limits, found by solving a step with each of the likely faults in it.
//!
//! Units of the readings; seconds. For each reading of the step it is worked out what
//! healthy sets show, from switch-on on; a limit stands well outside of that at every
//! moment from its time on, so that a whole plan stops at most two of a hundred healthy
//! sets. Each fault is then solved from gross to
//! slight: from the severity at which nineteen of twenty such sets pass a limit,
//! the reading tells the fault. Where no severity does, it says so.
//! A faulty set that does not settle is named as not told.

use circuit::solver::SettledState;
use quantity::Band;
use rayon::prelude::*;

use crate::bands::movements;
use crate::causes::{Cause, Coolness};
use crate::reading::What;
use crate::wiring::Variation;

use super::course::{Course, HALF_WIDTHS};
use super::faults::{Endangered, FaultKind, LikelyFault};
use super::watch::{NotSeen, Seen, Watch};
use super::{Limit, PlanWork, StopRule};

/// A limit counts from the first moment at which it is this near to the settled one.
const NEAR_SETTLED: f64 = 1.05;
/// By how many seconds a moment read may differ from the one asked for.
const MOMENT: f64 = 0.05;

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

/// A limit on one probe.
#[derive(Debug, Clone, Copy)]
struct Bound {
    probe: usize,
    above: bool,
    value: f64,
    /// The limit holds from then on.
    after_seconds: f64,
    /// Relative half width of healthy sets on the side that faces the limit.
    doubt: f64,
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
        FaultKind::DropperTooSmall(_) | FaultKind::ThermistorShorted(_)
    );
    (feeds_it || volts > WORTH_TELLING * rated).then(|| {
        format!(
            "; at its grossest {} then has {volts:.1} V at its heater of {rated} V",
            tube.reference
        )
    })
}

/// Limits on both sides of what each probe shows once settled, each from the first
/// moment on at which it is near its settled place.
fn settled_bounds(watch: &Watch<'_>, course: &Course, early: &[f64]) -> Vec<Bound> {
    let late = course.late_moments();
    let latest = late.iter().copied().fold(0.0, f64::max);
    let mut found = Vec::new();
    for (probe, own) in watch.probes.iter().enumerate() {
        let Some((low, expected, high)) = course.settled(probe) else {
            continue;
        };
        let what = own.what;
        let (size, least) = (expected.abs(), least_size(what));
        for above in [true, false] {
            let (own, distance) = if above {
                (high, high - expected)
            } else {
                (low, expected - low)
            };
            let useful = above || low > 0.02 * size && size > 3.0 * least || expected < 0.0;
            if !useful {
                continue;
            }
            // An upper limit may count already from the first seconds on.
            let first: &[f64] = if above { early } else { &[] };
            let near = first
                .iter()
                .chain(&late)
                .copied()
                .filter_map(|seconds| Some((seconds, course.from(probe, seconds, above)?)))
                .find(|(_, limit)| (limit - own).abs() <= (NEAR_SETTLED - 1.0) * own.abs());
            let (after_seconds, value) = match near {
                Some(near) => near,
                None => (latest, course.from(probe, latest, above).unwrap_or(own)),
            };
            found.push(Bound {
                probe,
                above,
                value,
                after_seconds,
                doubt: distance / HALF_WIDTHS / size.max(least),
            });
        }
    }
    found
}

/// What a bench meter can tell apart at all, in the unit of the reading.
pub(super) fn least_size(what: What) -> f64 {
    match what {
        What::DcVolts => 3.0,
        What::AcVoltsRms => 1.0,
        What::HeaterVoltsRms => 0.15,
        What::RippleVoltsPeakToPeak => 1.0,
        What::LineAmpsRms => 0.03,
        What::LineWatts => 2.0,
        What::LampVoltsRms => 1.5,
        _ => 1e-3,
    }
}

enum Outcome {
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

struct Search {
    outcome: Outcome,
    solved: usize,
    gross: Option<Seen>,
}

/// Whether a faulty set passes a bound in nineteen of twenty cases.
fn passes(bound: &Bound, values: &[Option<f64>]) -> bool {
    let Some(value) = values[bound.probe] else {
        return false;
    };
    let doubt = bound.doubt * value.abs();
    if bound.above {
        value - doubt > bound.value
    } else {
        value + doubt < bound.value
    }
}

/// Least heat, watts, above the healthy set's, that makes a fault worth telling.
const FELT_WATTS: f64 = 0.5;

fn search(
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

fn rule(watch: &Watch<'_>, bound: &Bound) -> StopRule {
    let probe = &watch.probes[bound.probe];
    StopRule {
        at: probe.at.clone(),
        to: probe.to.clone(),
        what: probe.what,
        limit: if bound.above {
            Limit::Above(rounded(bound.value))
        } else {
            Limit::Below(rounded(bound.value))
        },
        after_seconds: bound.after_seconds,
        tells: Vec::new(),
        cannot_tell: Vec::new(),
    }
}

/// Three significant figures: what a needle shows.
fn rounded(value: f64) -> f64 {
    if value == 0.0 || !value.is_finite() {
        return value;
    }
    let scale = 10f64.powf(2.0 - value.abs().log10().floor());
    (value * scale).round() / scale
}

/// Limits of the first seconds: gross faults at a few early moments.
fn early(
    watch: &Watch<'_>,
    wanted: &Wanted<'_>,
    course: &Course,
    settled: &[Bound],
    limits: &mut StepLimits,
    work: &mut PlanWork,
) {
    let moments = wanted.early_seconds;
    let working: Vec<usize> = (0..wanted.faults.all.len())
        .filter(|fault| !limits.idle.contains(fault))
        .collect();
    let gross: Vec<(usize, Vec<(f64, Seen)>)> = working
        .into_par_iter()
        .filter_map(|number| {
            let fault = &wanted.faults.all[number];
            let severity = fault.severities[fault.severities.len() - 1];
            let seen = watch
                .roughly_at_moments(&fault.variation(severity), moments)
                .ok()?;
            Some((number, seen))
        })
        .collect();
    work.warm_up_runs += gross.len();
    // Only what a gross fault pushes up fast is a limit of the first seconds.
    for own in settled
        .iter()
        .filter(|bound| bound.above && rises_early(watch.probes[bound.probe].what))
    {
        let mut last = f64::INFINITY;
        for &seconds in moments
            .iter()
            .filter(|seconds| **seconds < own.after_seconds)
        {
            let Some(value) = course.from(own.probe, seconds, true) else {
                continue;
            };
            // A limit that counts already from an earlier moment on is not told twice.
            if value > last / NEAR_SETTLED {
                continue;
            }
            let bound = Bound {
                value,
                after_seconds: seconds,
                ..*own
            };
            let telling: Vec<usize> = gross
                .iter()
                .filter(|(_, seen)| {
                    seen.iter().any(|(moment, seen)| {
                        *moment > seconds - MOMENT && passes(&bound, &seen.values)
                    })
                })
                .map(|(number, _)| *number)
                .collect();
            if telling.is_empty() {
                continue;
            }
            last = value;
            let mut rule = rule(watch, &bound);
            for &number in &telling {
                let fault = &wanted.faults.all[number];
                let severity = fault.severities[fault.severities.len() - 1];
                rule.tells.push(fault.in_words(severity));
                // Told by the first seconds alone: a thermistor that does not limit, say.
                if !limits.told.iter().any(|told| told.fault == number) {
                    limits.untold.retain(|(own, _)| *own != number);
                    limits.told.push(Told {
                        fault: number,
                        severity,
                        rule: limits.rules.len(),
                    });
                }
            }
            limits.rules.push(rule);
        }
    }
}

/// Readings that a gross fault pushes up within seconds.
fn rises_early(what: What) -> bool {
    matches!(
        what,
        What::LampVoltsRms
            | What::LineAmpsRms
            | What::LineWatts
            | What::DcVolts
            | What::HeaterVoltsRms
    )
}

/// Least number of settled rules that a step keeps.
const LEAST_RULES: usize = 2;

/// Keeps the fewest rules that tell every told fault from its slightest severity on
/// (the reading that tells most first), and names for each what it cannot tell.
fn keep_what_is_needed(faults: &[LikelyFault], limits: &mut StepLimits) {
    let settled = limits.settled_rules;
    let early: Vec<StopRule> = limits.rules.split_off(settled.min(limits.rules.len()));
    let mut left: std::collections::BTreeSet<usize> = limits
        .told
        .iter()
        .filter(|told| told.rule < settled)
        .map(|told| told.fault)
        .collect();
    let mut kept: Vec<usize> = Vec::new();
    while !left.is_empty() {
        let tells = |rule: usize| {
            limits
                .told
                .iter()
                .filter(|told| told.rule == rule && left.contains(&told.fault))
                .count()
        };
        let Some(best) = (0..limits.rules.len())
            .max_by(|&a, &b| tells(a).cmp(&tells(b)).then(b.cmp(&a)))
            .filter(|&rule| tells(rule) > 0)
        else {
            break;
        };
        for told in limits.told.iter().filter(|told| told.rule == best) {
            left.remove(&told.fault);
        }
        kept.push(best);
    }
    // The lamp or the line stands first: it is the one reading in plain sight.
    for rule in 0..limits.rules.len() {
        if kept.len() >= LEAST_RULES && kept.contains(&0) {
            break;
        }
        if !limits.rules[rule].tells.is_empty() && !kept.contains(&rule) {
            kept.push(rule);
        }
    }
    kept.sort_unstable();
    let mut rules: Vec<StopRule> = kept
        .iter()
        .map(|&rule| limits.rules[rule].clone())
        .collect();
    limits
        .told
        .retain(|told| told.rule >= settled || kept.contains(&told.rule));
    for told in &mut limits.told {
        told.rule = if told.rule >= settled {
            kept.len() + (told.rule - settled)
        } else {
            kept.iter().position(|&rule| rule == told.rule).unwrap_or(0)
        };
    }
    rules.extend(early);
    let working: Vec<usize> = (0..faults.len())
        .filter(|fault| !limits.idle.contains(fault))
        .collect();
    for rule in &mut rules {
        rule.cannot_tell = working
            .iter()
            .map(|&fault| faults[fault].name.clone())
            .filter(|name| {
                !rule
                    .tells
                    .iter()
                    .any(|tells| tells.starts_with(name.as_str()))
            })
            .collect();
    }
    limits.rules = rules;
}
