//! Checks of suspected parts by themselves: what each is expected to tell.
//!
//! Plain chances. A check sees some ways of failing and misses others
//! ([`super::super::outcome::missed`]). A part that is not to blame may be bad all the same: with
//! its own chance, as the readings ask or otherwise; nine of ten waxed capacitors fail a leakage
//! test, few of them with the leak that these readings ask for. A capacitor or a tube is exchanged for a good one and the fault is gone or not.
//! What hazard forbids is not offered. Fails by a damaged table of hazards.

use crate::hazard::TableFault;
use crate::sheet::PartValue;
use crate::wiring::FaultKind;

use super::super::hypotheses::{Spread, Suspect};
use super::super::outcome::{Check, missed};
use super::super::rank::Weighed;
use super::super::sum::POINTS;
use super::acts::of_check;
use super::information::{AtSeverity, bits};
use super::{Asked, Belief, Blame, Measurement, Offered, Outcome, meanings};

/// Share of a suspect's weight below which one of its ways is not what the readings ask for.
const HARDLY: f64 = 0.05;
/// Chance that an exchange is taken to have cured what it has not (judgement: a contact moved,
/// the set cooled down).
const BY_CHANCE: f64 = 0.02;

/// All checks that may be made of those who are suspected.
pub(super) fn offered(
    asked: &Asked<'_, '_>,
    beliefs: &[Belief],
) -> Result<Vec<Offered>, TableFault> {
    let weights: Vec<f64> = beliefs.iter().map(|own| own.weight).collect();
    let mut found = Vec::new();
    for suspect in suspects(beliefs) {
        for (measurement, check, row) in checks(asked, suspect) {
            let Some(effort) = asked.effort(row) else {
                continue;
            };
            let Some(chances) = chances(asked, beliefs, suspect, check) else {
                continue;
            };
            let Some(acts) = of_check(asked, measurement)? else {
                continue;
            };
            let other = check != Check::Exchange;
            let outcomes: &[_] = if other {
                &[
                    (Outcome::Good, None, None),
                    (Outcome::Bad, None, None),
                    (Outcome::Otherwise, None, None),
                ]
            } else {
                &[(Outcome::Good, None, None), (Outcome::Bad, None, None)]
            };
            found.push(Offered {
                measurement,
                bits: bits(&weights, &chances),
                effort,
                meanings: meanings(beliefs, &chances, outcomes, |number, column| {
                    number == column
                }),
                acts,
                chances,
            });
        }
    }
    Ok(found)
}

fn checks(asked: &Asked<'_, '_>, suspect: Suspect) -> Vec<(Measurement, Check, &'static str)> {
    match suspect {
        Suspect::Part(part) => {
            let ohms = (Measurement::PartOhms(part), Check::Ohms, "part-ohms");
            match asked.model.sheet.parts.get(part).map(|own| &own.value) {
                Some(PartValue::Capacitor { .. }) => vec![
                    ohms,
                    (
                        Measurement::PartLeakage(part),
                        Check::Leakage,
                        "part-leakage",
                    ),
                    (
                        Measurement::PartCapacitance(part),
                        Check::Capacitance,
                        "part-capacitance",
                    ),
                    (
                        Measurement::CapacitorExchange(part),
                        Check::Exchange,
                        "capacitor-exchange",
                    ),
                ],
                _ => vec![ohms],
            }
        }
        Suspect::Tube(tube) => vec![
            (
                Measurement::TubeTester(tube),
                Check::TubeTester,
                "tube-tester",
            ),
            (
                Measurement::TubeExchange(tube),
                Check::Exchange,
                "tube-exchange",
            ),
        ],
        Suspect::Transformer(_) => Vec::new(),
    }
}

/// For each belief the chances of good, bad as the readings ask, and bad in another way; `None` where the check sees
/// nothing of this suspect's ways.
fn chances(
    asked: &Asked<'_, '_>,
    beliefs: &[Belief],
    suspect: Suspect,
    check: Check,
) -> Option<Vec<Vec<f64>>> {
    let kind = |hypothesis: usize| -> Option<&FaultKind> {
        asked.hypotheses.list.get(hypothesis).map(|own| &own.kind)
    };
    let seen = |hypothesis: usize| kind(hypothesis).map_or(0.0, |own| 1.0 - missed(check, own));
    let ways_of = |way: &AtSeverity| {
        let both = [Some(way.hypothesis), way.with.map(|own| own.0)];
        both.into_iter().flatten().filter(|own| {
            let of = asked.hypotheses.list.get(*own);
            of.is_some_and(|of| of.suspect == suspect)
        })
    };
    // How surely the check finds this one bad, if that one is to blame.
    let found: Vec<f64> = beliefs
        .iter()
        .map(|own| {
            let ways = own.ways.iter();
            ways.flat_map(|way| ways_of(way).map(|own| way.share * seen(own)))
                .sum()
        })
        .collect();
    if found.iter().all(|own| *own <= 0.0) {
        return None;
    }
    if check == Check::Exchange {
        let row = |bad: f64| vec![1.0 - bad, bad];
        return Some(found.iter().map(|own| row(own.max(BY_CHANCE))).collect());
    }
    // Of each way the share of its severities that the readings ask for.
    let asked_for = |hypothesis: usize| -> f64 {
        let ways = asked.ranking.suspects.iter().flat_map(|own| &own.ways);
        let own = ways.filter(|way| way.hypothesis == hypothesis);
        let of = |way: &Weighed| match asked.hypotheses.list[hypothesis].spread {
            Spread::Once(_) => way.felt,
            Spread::Law(_) => way.felt.min(way.course.len() as f64 / POINTS as f64),
        };
        own.map(of).sum::<f64>().min(1.0)
    };
    let (mut none_asked, mut none_other) = (1.0, 1.0);
    for (hypothesis, own) in asked.hypotheses.list.iter().enumerate() {
        if own.suspect == suspect {
            // Ways that hold next to nothing of its weight are not what the readings ask for.
            let involved = beliefs.iter().filter(|own| own.blame.involves(suspect));
            let all: f64 = involved.clone().map(|own| own.weight).sum();
            let share: f64 = involved
                .flat_map(|own| {
                    let ways = own.ways.iter();
                    ways.filter(|way| ways_of(way).any(|own| own == hypothesis))
                        .map(|way| own.weight * way.share)
                })
                .sum();
            let asked = if share < HARDLY * all {
                0.0
            } else {
                asked_for(hypothesis)
            };
            none_asked *= 1.0 - own.chance * asked * seen(hypothesis);
            none_other *= 1.0 - own.chance * (1.0 - asked) * seen(hypothesis);
        }
    }
    let row = |bad: f64| {
        let other = (1.0 - bad) * (1.0 - none_other);
        vec![1.0 - bad - other, bad, other]
    };
    let innocent = 1.0 - none_asked;
    Some(found.iter().map(|own| row(own.max(innocent))).collect())
}

/// All who are suspected, alone or with another, each once.
fn suspects(beliefs: &[Belief]) -> Vec<Suspect> {
    let mut found = Vec::new();
    let own = beliefs.iter().flat_map(|own| match own.blame {
        Blame::Suspect(one) => [Some(one), None],
        Blame::Both(one, other) => [Some(one), Some(other)],
        Blame::Healthy | Blame::NotListed => [None, None],
    });
    for suspect in own.flatten() {
        if !found.contains(&suspect) {
            found.push(suspect);
        }
    }
    found
}
