//! Looks at heaters: how a tube glows, and what that is expected to tell.
//!
//! Plain chances, bits, minutes. What comes is foretold as it is weighed ([`super::super::signs::glow`]), so by the heater
//! volts where they are foretold. Heaters in series are dark together: of such a string one is looked at. Offered is a
//! look at a tube only where an open heater is among what may be to blame, since the others are told better by volts, and
//! where the set may run for it. Fails by a damaged table of hazards.

use crate::hazard::{Act, ActKind, ActPlace, TableFault};
use crate::sheet::HeaterArrangement;
use crate::wiring::FaultKind;

use super::super::signs::glow::{Glow, LookAt, solved};
use super::super::signs::{CAN_BE, along};
use super::acts::{allowed, situation_now};
use super::information::{AtSeverity, Belief, bits};
use super::{Asked, Blame, NOTHING_TOLD, Offered, Outcome, meanings};

/// What can be found of heaters.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum OfHeaters {
    /// How the heater of this tube glows, and with it those in series with it.
    Glow(usize),
}

/// Looks worth taking, the best first.
///
/// # Errors
/// The first fault of the table of hazards, when this program was built with a damaged one.
pub fn of_heaters(asked: &Asked<'_, '_>) -> Result<Vec<Offered<OfHeaters>>, TableFault> {
    let beliefs = asked.beliefs();
    let mut offered = Vec::new();
    let Some(effort) = asked.effort("glow") else {
        return Ok(offered);
    };
    let weights: Vec<f64> = beliefs.iter().map(|own| own.weight).collect();
    for tube in suspected(asked, &beliefs) {
        if asked.beside.knows_glow(tube) {
            continue;
        }
        let Some(acts) = looked_at(asked, tube)? else {
            continue;
        };
        let chances = chances(asked, &beliefs, tube);
        let outcomes = Glow::ALL.map(|own| (Outcome::Glows(own), None, None));
        let bits = bits(&weights, &chances);
        if bits > NOTHING_TOLD {
            offered.push(Offered {
                measurement: OfHeaters::Glow(tube),
                bits,
                effort,
                meanings: meanings(&beliefs, &chances, &outcomes, |number, column| {
                    number == column
                }),
                acts,
                also: Vec::new(),
                stretches: None,
                chances,
            });
        }
    }
    offered.sort_by(|a, b| b.worth().total_cmp(&a.worth()));
    Ok(offered)
}

/// Tubes that may have an open heater, in the order of the sheet; of a string the first.
fn suspected(asked: &Asked<'_, '_>, beliefs: &[Belief]) -> Vec<usize> {
    let model = asked.model;
    let told = asked.foretold.get(asked.present);
    let mut found: Vec<usize> = Vec::new();
    let ways = beliefs.iter().flat_map(|own| &own.ways);
    let each = ways.flat_map(|way| [Some(way.hypothesis), way.with.map(|own| own.0)]);
    for hypothesis in each.flatten() {
        let kind = asked.hypotheses.list.get(hypothesis).map(|own| &own.kind);
        let Some(&FaultKind::HeaterOpen(tube)) = kind else {
            continue;
        };
        let Some(place) = model.heater_place(tube) else {
            continue;
        };
        let tube = match place.arrangement {
            HeaterArrangement::Series => place.tubes.first().copied().unwrap_or(tube),
            HeaterArrangement::Parallel => tube,
        };
        let is_out = told.is_some_and(|told| model.is_pulled(tube, &told.conditions));
        if !is_out && !found.contains(&tube) {
            found.push(tube);
        }
    }
    found.sort_unstable();
    found
}

/// Chances of each word for each who may be to blame.
fn chances(asked: &Asked<'_, '_>, beliefs: &[Belief], tube: usize) -> Vec<Vec<f64>> {
    let look = LookAt::of(asked.model, asked.foretold, tube);
    let log = |(hypothesis, severity): (usize, f64), glow: Glow| -> f64 {
        let Some(own) = asked.hypotheses.list.get(hypothesis) else {
            return 0.0;
        };
        let logs = look.logs(own, hypothesis, solved(asked.foretold, hypothesis), glow);
        let told = asked.foretold.first();
        let severities = told.and_then(|told| told.faulty.get(hypothesis));
        let severities = severities.map_or(&[][..], |own| own.severities.as_slice());
        along(severities, &logs, severity)
    };
    let of_way = |way: &AtSeverity| -> Vec<f64> {
        row(|glow| {
            let one = log((way.hypothesis, way.severity), glow);
            match way.with.map(|own| log(own, glow)) {
                None => one,
                // As signs are weighed with two faults at once.
                Some(other) if glow == Glow::Usual => one + other,
                Some(other) => one.max(other),
            }
        })
    };
    beliefs
        .iter()
        .map(|own| match own.blame {
            Blame::NotListed => row(|glow| if glow == Glow::Usual { 0.0 } else { CAN_BE }),
            _ if own.ways.is_empty() => row(|_| 0.0),
            _ => {
                let mut sum = vec![0.0; Glow::ALL.len()];
                for way in &own.ways {
                    for (sum, chance) in sum.iter_mut().zip(of_way(way)) {
                        *sum += way.share * chance;
                    }
                }
                sum
            }
        })
        .collect()
}

/// Chances of the words by how many times likelier each is than in a healthy set.
fn row(log: impl Fn(Glow) -> f64) -> Vec<f64> {
    let all = Glow::ALL.map(|own| own.usual() * log(own).exp());
    let sum: f64 = all.iter().sum();
    all.map(|own| own / sum).to_vec()
}

/// What is done; `None` where the set may not run for it.
fn looked_at(asked: &Asked<'_, '_>, tube: usize) -> Result<Option<Vec<Act>>, TableFault> {
    let model = asked.model;
    let (Some(told), Some(own)) = (
        asked.foretold.get(asked.present),
        model.sheet.tubes.get(tube),
    ) else {
        return Ok(None);
    };
    let peak = told.peaks.iter().flatten().copied().reduce(f64::max);
    let place = match own.kind.is_picture_tube {
        true => ActPlace::WholeSet,
        false => ActPlace::Tube(own.reference.clone()),
    };
    let look = Act::new(ActKind::Look, place).energised(peak);
    let is_allowed = allowed(std::slice::from_ref(&look), &situation_now(asked))?;
    Ok(is_allowed.then(|| vec![look]))
}
