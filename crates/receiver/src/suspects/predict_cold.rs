//! What each fault would do to the cold resistances of a set, plug out.
//!
//! Ohms; an open place reads [`END_OF_SCALE_OHMS`](crate::ohms). One network is solved for the healthy set; a fault that changes
//! up to three branches is told by the low-rank update of it, others by a network of their own. Healthy sets are
//! drawn by the same causes as under power, so that draw number 17 is the same set here and there. A place whose
//! reading depends on which lead is where is told for the lead that no electrolytic stands against, and not at all where a metal
//! rectifier leads back. Fails as
//! [`crate::ohms::cold_ohms_of`] does.

use std::collections::BTreeMap;

use circuit::Node;
use circuit::ohm_network::{OhmNetwork, resting_branches};
use rayon::prelude::*;

use crate::bands::{DRAWS, SEED, Values, movements, ratios};
use crate::causes::{Cause, Spread, shared_causes};
use crate::conditions::BenchConditions;
use crate::expect::{ExpectError, ROOM_KELVIN};
use crate::ohms::{END_OF_SCALE_OHMS, USUAL_OHMMETER, causes_at_rest, cold_ohms_of, network_of};
use crate::probes::{Probe, Spot};
use crate::reading::Lead;
use crate::wiring::{Rectifying, SetModel, Variation};

use super::hypotheses::Hypotheses;
use super::predict::{Faulty, Foretold, severities_of};

/// Branches up to which a fault is told by an update.
const FEW: usize = 3;
/// Share by which a reading may go with the lead and still be one figure.
const EITHER_WAY: f64 = 0.05;
/// Standard deviation of a common ohmmeter beside the spread of healthy sets, in the logarithm.
const METER: f64 = 0.03;

/// Foretells cold resistances; of the conditions what is pulled, open or cut loose counts.
///
/// # Errors
/// A place or part that is not on the sheet, or a network without a solution.
pub fn foretell_cold(
    model: &SetModel<'_>,
    hypotheses: &Hypotheses,
    conditions: &BenchConditions,
    probes: &[Probe],
) -> Result<Foretold, ExpectError> {
    of_some(model, hypotheses, conditions, probes, &|_| true)
}

/// The same for some hypotheses alone, by their positions: of the others nothing is told.
///
/// # Errors
/// Those of [`foretell_cold`].
pub fn foretell_cold_for(
    model: &SetModel<'_>,
    hypotheses: &Hypotheses,
    conditions: &BenchConditions,
    probes: &[Probe],
    some: &[usize],
) -> Result<Foretold, ExpectError> {
    of_some(model, hypotheses, conditions, probes, &|own| {
        some.contains(&own)
    })
}

fn of_some(
    model: &SetModel<'_>,
    hypotheses: &Hypotheses,
    conditions: &BenchConditions,
    probes: &[Probe],
    of: &(dyn Fn(usize) -> bool + Sync),
) -> Result<Foretold, ExpectError> {
    let (network, wired) = network_of(model, conditions, &Variation::none())?;
    let pairs: Vec<Option<(Node, Node)>> = probes
        .iter()
        .map(|probe| match probe.spot {
            Spot::ToChassis(junction) => Some((wired.node(junction), 0)),
            Spot::Between(one, other) => Some((wired.node(one), wired.node(other))),
            _ => None,
        })
        .collect();
    let told = told(model, conditions, probes)?;
    let healthy = values(&network, &pairs)?;
    let healthy: Values = healthy
        .iter()
        .zip(&told)
        .map(|(value, told)| value.filter(|_| *told))
        .collect();
    let drawn = drawn(model, conditions, &pairs, &healthy);
    let spreads: Vec<Option<f64>> = drawn
        .iter()
        .map(|drawn| drawn.as_deref().map(spread_of_logs))
        .collect();
    let before = sums(&resting_branches(&wired.circuit, ROOM_KELVIN));
    let faulty = hypotheses
        .list
        .par_iter()
        .enumerate()
        .map(|(number, own)| {
            let severities = severities_of(own.spread);
            if !of(number) {
                let count = severities.len();
                return Faulty {
                    severities,
                    shifts: vec![None; count],
                    reach: vec![0.0; count],
                };
            }
            let shifts: Vec<Option<Values>> = severities
                .iter()
                .map(|severity| {
                    if own.suspect.is_out(model, conditions) {
                        return Some(still(&healthy));
                    }
                    let variation = own.variation(*severity);
                    let wired = model.wire_unplugged(conditions, &variation).ok()?;
                    let after = sums(&resting_branches(&wired.circuit, ROOM_KELVIN));
                    let changes = differences(&before, &after);
                    let faulty =
                        after_changes(&network, &changes, &pairs, &healthy).or_else(|| {
                            let own = network_of(model, conditions, &variation).ok()?;
                            values(&own.0, &pairs).ok()
                        })?;
                    let shift = faulty.iter().zip(&healthy);
                    Some(
                        shift
                            .map(|(faulty, healthy)| Some((*faulty)? - (*healthy)?))
                            .collect(),
                    )
                })
                .collect();
            let reach = shifts
                .iter()
                .map(|shift| reach(shift.as_ref(), &healthy, &spreads))
                .collect();
            Faulty {
                severities,
                shifts,
                reach,
            }
        })
        .collect();
    Ok(Foretold {
        conditions: conditions.clone(),
        probes: probes.to_vec(),
        healthy,
        draws: (0..DRAWS as usize).collect(),
        drawn,
        faulty,
        peaks: vec![None; probes.len()],
        work: crate::whole_set::FaultyWork::default(),
    })
}

/// Whether each probe's reading is one figure whichever way round the leads may be.
fn told(
    model: &SetModel<'_>,
    conditions: &BenchConditions,
    probes: &[Probe],
) -> Result<Vec<bool>, ExpectError> {
    let mut found = vec![false; probes.len()];
    let mut rectifying = model.rectifying().iter();
    let is_metal = rectifying.any(|own| matches!(own, Rectifying::Metal { .. }));
    let mut others: Vec<Option<&str>> = probes.iter().map(|own| own.to.as_deref()).collect();
    others.sort_unstable();
    others.dedup();
    for to in others {
        let asked = BenchConditions {
            to: to.map(str::to_string),
            bands: false,
            ..conditions.clone()
        };
        let own = cold_ohms_of(model, &asked)?;
        for (probe, found) in probes.iter().zip(&mut found) {
            if probe.to.as_deref() == to {
                let readings: Vec<_> = own
                    .readings
                    .iter()
                    .filter(|own| own.at == probe.at)
                    .collect();
                *found = match readings[..] {
                    // The other way round an electrolytic would stand against its sign: nobody reads so. A metal rectifier
                    // leads back by what it leaks, which lies too far apart from piece to piece.
                    [one] => one.lead.is_none() || one.lead == Some(Lead::Plus) && !is_metal,
                    [one, other] => {
                        let (one, other) = (one.band.expected, other.band.expected);
                        (one - other).abs() <= EITHER_WAY * one.min(other)
                    }
                    _ => false,
                };
            }
        }
    }
    Ok(found)
}

/// Ohms of each pair; open ones read the end of the scale.
fn values(network: &OhmNetwork, pairs: &[Option<(Node, Node)>]) -> Result<Values, ExpectError> {
    pairs
        .iter()
        .map(|pair| match pair {
            Some((a, b)) => {
                let ohms = network.ohms(*a, *b, USUAL_OHMMETER)?;
                Ok(Some(ohms.min(END_OF_SCALE_OHMS)))
            }
            None => Ok(None),
        })
        .collect()
}

/// Siemens between each two nodes.
type Sums = BTreeMap<(Node, Node), f64>;

fn sums(branches: &[(Node, Node, f64)]) -> Sums {
    let mut found = Sums::new();
    for &(a, b, siemens) in branches {
        if a != b {
            *found.entry((a.min(b), a.max(b))).or_default() += siemens;
        }
    }
    found
}

fn differences(before: &Sums, after: &Sums) -> Vec<(Node, Node, f64)> {
    let mut found = Vec::new();
    for (pair, new) in after {
        let old = before.get(pair).copied().unwrap_or(0.0);
        if (new - old).abs() > 1e-12 * new.max(old) {
            found.push((pair.0, pair.1, new - old));
        }
    }
    for (pair, old) in before {
        if !after.contains_key(pair) {
            found.push((pair.0, pair.1, -old));
        }
    }
    found
}

/// The readings by the update; `None` where one of them needs a network of its own.
fn after_changes(
    network: &OhmNetwork,
    changes: &[(Node, Node, f64)],
    pairs: &[Option<(Node, Node)>],
    healthy: &Values,
) -> Option<Values> {
    if changes.is_empty() {
        return Some(healthy.clone());
    }
    if changes.len() > FEW {
        return None;
    }
    pairs
        .iter()
        .zip(healthy)
        .map(|(pair, healthy)| match (pair, healthy) {
            (Some(pair), Some(_)) => {
                let ohms = network.ohms_after(changes, *pair)?;
                Some(Some(ohms.min(END_OF_SCALE_OHMS)))
            }
            _ => Some(None),
        })
        .collect()
}

fn still(healthy: &Values) -> Values {
    healthy.iter().map(|own| own.map(|_| 0.0)).collect()
}

/// Each probe in every drawn healthy set.
fn drawn(
    model: &SetModel<'_>,
    conditions: &BenchConditions,
    pairs: &[Option<(Node, Node)>],
    healthy: &Values,
) -> Vec<Option<Vec<f64>>> {
    let shared = shared_causes(model);
    let at_rest = causes_at_rest(model, conditions);
    // Causes that count under power keep their place among the draws.
    let mut all: Vec<Cause> = shared
        .iter()
        .map(|cause| {
            let own = at_rest.iter().find(|own| own.figure == cause.figure);
            own.cloned().unwrap_or_else(|| Cause {
                spread: Spread::STILL,
                ..cause.clone()
            })
        })
        .collect();
    let is_new = |own: &&Cause| shared.iter().all(|known| known.figure != own.figure);
    all.extend(at_rest.iter().filter(is_new).cloned());
    let rows = ratios(&all, DRAWS, SEED);
    let moving: Vec<usize> = (0..all.len())
        .filter(|at| !all[*at].spread.is_still())
        .collect();
    let causes: Vec<Cause> = moving.iter().map(|at| all[*at].clone()).collect();
    let rows: Vec<Vec<f64>> = rows
        .into_iter()
        .map(|row| moving.iter().map(|at| row[*at]).collect())
        .collect();
    let moved = movements(&causes, healthy.clone(), |variation| {
        let (network, _) = network_of(model, conditions, variation).ok()?;
        values(&network, pairs).ok()
    });
    if !moved.unsolved.is_empty() {
        // A cause that cannot be solved leaves its column out; the others would be taken for it.
        return vec![None; pairs.len()];
    }
    (0..pairs.len())
        .into_par_iter()
        .map(|reading| {
            let is_sound = |own: &[f64]| own.iter().all(|own| own.is_finite() && *own > 0.0);
            let sums = moved.drawn(reading, &rows).map(|own| own.0);
            // Where leaks of old electrolytics are all there is, ohms go down to nothing by sums, and not by ratios.
            sums.filter(|own| is_sound(own)).or_else(|| {
                let ratios = moved.drawn_in_ratios(reading, &rows)?.0;
                is_sound(&ratios).then_some(ratios)
            })
        })
        .collect()
}

fn spread_of_logs(drawn: &[f64]) -> f64 {
    let count = drawn.len() as f64;
    let logs = || drawn.iter().map(|own| own.ln());
    let mean = logs().sum::<f64>() / count;
    let variance = logs().map(|own| (own - mean).powi(2)).sum::<f64>() / count;
    (variance + METER * METER).sqrt()
}

fn reach(shift: Option<&Values>, healthy: &Values, spreads: &[Option<f64>]) -> f64 {
    let each = shift.into_iter().flatten().zip(healthy).zip(spreads);
    each.filter_map(|((shift, healthy), spread)| {
        let (shift, healthy) = ((*shift)?, (*healthy)?);
        let ratio = ((healthy + shift) / healthy).max(f64::MIN_POSITIVE);
        Some(ratio.ln().abs() / (*spread)?)
    })
    .fold(0.0, f64::max)
}
