//! Stop limits, found by solving a step with each of the likely faults in it.
//!
//! Units of the readings; seconds. For each reading of the step the band of healthy
//! sets is worked out; the limit stands well outside it, so that a whole plan stops
//! at most two of a hundred healthy sets. Each fault is then solved from gross to
//! slight: from the severity at which nineteen of twenty such sets pass a limit,
//! the reading tells the fault. Where no severity does, it says so.
//! A faulty set that does not settle is named as not told.

use quantity::Band;
use rayon::prelude::*;

use crate::bands::movements;
use crate::causes::Cause;
use crate::reading::What;
use crate::wiring::{Figure, Variation};

use super::faults::LikelyFault;
use super::watch::{NotSeen, Seen, Watch};
use super::{Limit, PlanWork, StopRule};

/// How far a limit stands from the expected value, in half widths of the band that
/// holds nine of ten. For a bell-shaped spread 2.2 leaves one in 7000 beyond it.
const HALF_WIDTHS: f64 = 2.2;
/// Least distance of a limit, relative to the reading.
const LEAST_RELATIVE: f64 = 0.06;
/// Relative doubt of an early reading, on each side, besides its band: the moment at
/// which the needle is read, the phase of switch-on.
const EARLY_DOUBT: f64 = 0.10;

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
    /// Relative half width of healthy sets on the side that faces the limit.
    doubt: f64,
}

/// Solved faults kept from one step for the next of the same kind.
pub struct Wanted<'w> {
    /// The likely faults.
    pub faults: &'w [LikelyFault],
    /// The causes of spread.
    pub causes: &'w [Cause],
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
    let bounds = bounds(watch, &bands, 0.0);
    let searched: Vec<(usize, Search)> = wanted
        .faults
        .par_iter()
        .enumerate()
        .map(|(number, fault)| (number, search(watch, fault, &healthy, &bounds)))
        .collect();
    let mut limits = StepLimits {
        bands,
        rules: bounds
            .iter()
            .map(|bound| rule(watch, bound, wanted.settled_seconds))
            .collect(),
        settled_rules: bounds.len(),
        told: Vec::new(),
        untold: Vec::new(),
        idle: Vec::new(),
        gross: vec![None; wanted.faults.len()],
        healthy,
    };
    for (number, found) in searched {
        work.solved_states += found.solved;
        limits.gross[number] = found.gross;
        match found.outcome {
            Outcome::Told { severity, by } => {
                for (bound, from) in by {
                    let words = wanted.faults[number].in_words(from);
                    limits.rules[bound].tells.push(words);
                    if from == severity {
                        limits.told.push(Told {
                            fault: number,
                            severity,
                            rule: bound,
                        });
                    }
                }
            }
            Outcome::Untold(because) => limits.untold.push((number, because)),
            Outcome::Idle => limits.idle.push(number),
        }
    }
    if !wanted.early_seconds.is_empty() {
        early(watch, wanted, &mut limits, work);
    }
    keep_what_is_needed(wanted.faults, &mut limits);
    Ok(limits)
}

/// Limits on both sides of each band.
fn bounds(watch: &Watch<'_>, bands: &[Option<Band>], extra: f64) -> Vec<Bound> {
    let mut found = Vec::new();
    for (probe, band) in bands.iter().enumerate() {
        let Some(band) = band else {
            continue;
        };
        let what = watch.probes[probe].what;
        let size = band.expected.abs();
        let least = least_size(what);
        let up = (HALF_WIDTHS * (band.high - band.expected))
            .max((LEAST_RELATIVE + extra) * size)
            .max(least);
        let down = (HALF_WIDTHS * (band.expected - band.low))
            .max((LEAST_RELATIVE + extra) * size)
            .max(least);
        // A negative line is judged by its size, so `above` stays above.
        found.push(Bound {
            probe,
            above: true,
            value: band.expected + up,
            doubt: up / HALF_WIDTHS / size.max(least),
        });
        if band.expected - down > 0.02 * size && size > 3.0 * least || band.expected < 0.0 {
            found.push(Bound {
                probe,
                above: false,
                value: band.expected - down,
                doubt: down / HALF_WIDTHS / size.max(least),
            });
        }
    }
    found
}

/// What a bench meter can tell apart at all, in the unit of the reading.
fn least_size(what: What) -> f64 {
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

fn search(watch: &Watch<'_>, fault: &LikelyFault, healthy: &Seen, bounds: &[Bound]) -> Search {
    let rungs = fault.severities.len();
    let mut solved = 0;
    let mut seen: Vec<Option<Option<Seen>>> = vec![None; rungs];
    let mut evidence = None;
    let mut look = |rung: usize, seen: &mut Vec<Option<Option<Seen>>>| {
        if seen[rung].is_none() {
            solved += 1;
            let found = watch.settled(&fault.variation(fault.severities[rung]), None);
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

fn rule(watch: &Watch<'_>, bound: &Bound, after_seconds: f64) -> StopRule {
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
        after_seconds,
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
fn early(watch: &Watch<'_>, wanted: &Wanted<'_>, limits: &mut StepLimits, work: &mut PlanWork) {
    let moments = wanted.early_seconds;
    let probes = watch.probes.len();
    // One list of values: all probes at the first moment, then at the second.
    let at_moments = |variation: &Variation| -> Option<Vec<Option<f64>>> {
        let seen = watch.at_moments(variation, moments).ok()?;
        (seen.len() == moments.len())
            .then(|| seen.into_iter().flat_map(|(_, seen)| seen.values).collect())
    };
    let Some(healthy) = at_moments(&Variation::none()) else {
        return;
    };
    let causes: Vec<Cause> = wanted
        .causes
        .iter()
        .filter(|cause| early_counts(cause.figure))
        .cloned()
        .chain(std::iter::once(Cause {
            figure: Figure::WarmUp,
            name: "warm-up of the tubes".to_string(),
            spread: crate::causes::Spread::EvenLog {
                low: 0.7,
                high: 1.4,
            },
        }))
        .collect();
    let moved = movements(&causes, healthy, at_moments);
    work.warm_up_runs += moved.solved;
    let bands = moved.bands();
    let working: Vec<usize> = (0..wanted.faults.len())
        .filter(|fault| !limits.idle.contains(fault))
        .collect();
    let gross: Vec<(usize, Option<Vec<Option<f64>>>)> = working
        .into_par_iter()
        .map(|number| {
            let fault = &wanted.faults[number];
            let severity = fault.severities[fault.severities.len() - 1];
            (number, at_moments(&fault.variation(severity)))
        })
        .collect();
    work.warm_up_runs += gross.len();
    for (number, &seconds) in moments.iter().enumerate() {
        let slice = number * probes..(number + 1) * probes;
        for bound in bounds(watch, &bands[slice.clone()], EARLY_DOUBT) {
            // Only what a gross fault pushes up fast is a limit of the first seconds.
            if !bound.above || !rises_early(watch.probes[bound.probe].what) {
                continue;
            }
            let telling: Vec<usize> = gross
                .iter()
                .filter(|(_, values)| {
                    values
                        .as_ref()
                        .is_some_and(|values| passes(&bound, &values[slice.clone()]))
                })
                .map(|(number, _)| *number)
                .collect();
            if telling.is_empty() {
                continue;
            }
            let mut rule = rule(watch, &bound, seconds);
            for &number in &telling {
                let fault = &wanted.faults[number];
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

/// Which figures a first second can feel.
fn early_counts(figure: Figure) -> bool {
    matches!(
        figure,
        Figure::Line
            | Figure::LampOhms
            | Figure::HeaterAmperes(_)
            | Figure::ColdOhms(_)
            | Figure::Idle(_)
            | Figure::Meter
            | Figure::Model
            | Figure::Farads(_)
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
