//! Readings that could be taken: what each is expected to tell.
//!
//! Units of the readings. Each way of each suspect foretells a bell, drawn towards what was read
//! already; a reading is a slip with its usual chance, and a fault that is not listed moves it
//! anywhere with the chance of one. Outcomes are stretches of the reading, at most [`STRETCHES`],
//! laid where the bells differ, so the information is a little too low and never too high. What
//! is not foretold, was read already or may not be touched is not offered. Fails by a damaged
//! table of hazards.

use std::collections::HashMap;

use rayon::prelude::*;

use crate::bands::Values;
use crate::hazard::TableFault;
use crate::reading::What;

use super::super::doubt::doubt;
use super::super::evidence::{Evidence, SLIP};
use super::super::explain::{healthy_band, shifts_at};
use super::super::strange::Strange;
use super::acts::{change, reading};
use super::information::{AtSeverity, bits};
use super::{Asked, Belief, Blame, Meaning, Measurement, Offered, Outcome, Stretches, meanings};

/// Stretches of a reading at most, besides the ends of the healthy band.
const STRETCHES: usize = 40;

/// Standard deviations within which two bells are one.
const ONE_BELL: f64 = 1e-3;

/// One way of one suspect, or a healthy set.
struct Way {
    belief: usize,
    share: f64,
    /// Shifts by conditions and probe; `None` for a set without a fault.
    shifts: Option<Vec<Option<Values>>>,
    pulls: Vec<f64>,
}

/// The row of the efforts' table for a kind of reading.
fn row_of(what: What) -> Option<&'static str> {
    Some(match what {
        What::DcVolts => "dc-volts",
        What::RippleVoltsPeakToPeak => "ripple-volts",
        What::AcVoltsRms => "ac-volts",
        What::LineWatts => "line-watts",
        What::HeaterVoltsRms => "heater-volts",
        What::Ohms => "ohms",
        _ => return None,
    })
}

/// All readings that may be taken.
pub(super) fn offered(
    asked: &Asked<'_, '_>,
    beliefs: &[Belief],
) -> Result<Vec<Offered>, TableFault> {
    let evidence = Evidence::new(asked.foretold, asked.seen);
    let ways = ways(asked, beliefs, &evidence);
    let strange_share = evidence.not_listed().share;
    let mut candidates = Vec::new();
    for (conditions, told) in asked.foretold.iter().enumerate() {
        let Some(changed) = change(asked, conditions)? else {
            continue;
        };
        for (probe, own) in told.probes.iter().enumerate() {
            let known = |other: usize| {
                told.probes
                    .get(other)
                    .is_some_and(|other| other.spot == own.spot && other.what == own.what)
            };
            let is_read = asked
                .seen
                .iter()
                .any(|seen| seen.conditions == conditions && known(seen.probe));
            if is_read || (0..probe).any(known) {
                continue;
            }
            let Some(effort) = row_of(own.what).and_then(|row| asked.effort(row)) else {
                continue;
            };
            let Some(act) = reading(asked, told, probe)? else {
                continue;
            };
            let mut acts = changed.acts.clone();
            acts.push(act);
            candidates.push((conditions, probe, effort + changed.effort, acts));
        }
    }
    Ok(candidates
        .into_par_iter()
        .filter_map(|(conditions, probe, effort, acts)| {
            let (bits, meanings, chances, stretches) = told(
                asked,
                beliefs,
                (&evidence, strange_share),
                &ways,
                (conditions, probe),
            )?;
            Some(Offered {
                measurement: Measurement::Read { conditions, probe },
                bits,
                effort,
                meanings,
                acts,
                also: Vec::new(),
                stretches: Some(stretches),
                chances,
            })
        })
        .collect())
}

fn ways(asked: &Asked<'_, '_>, beliefs: &[Belief], evidence: &Evidence) -> Vec<Way> {
    let still = vec![0.0; evidence.count()];
    let healthy = evidence.pulls(&still).unwrap_or_else(|| still.clone());
    let all: Vec<(usize, Option<AtSeverity>)> = beliefs
        .iter()
        .enumerate()
        .flat_map(|(number, own)| {
            let ways = own.ways.iter().map(move |way| (number, Some(*way)));
            let still = own.ways.is_empty().then_some((number, None));
            ways.chain(still)
        })
        .collect();
    all.into_par_iter()
        .map(|(belief, way)| {
            let Some(way) = way else {
                return Way {
                    belief,
                    share: 1.0,
                    shifts: None,
                    pulls: healthy.clone(),
                };
            };
            let shifts: Vec<Option<Values>> = asked
                .foretold
                .iter()
                .map(|told| {
                    let own = shifts_at(told, way.hypothesis, way.severity)?;
                    match way.with {
                        None => Some(own),
                        Some((other, severity)) => {
                            let other = shifts_at(told, other, severity)?;
                            let both = own.iter().zip(&other);
                            Some(both.map(|(a, b)| Some((*a)? + (*b)?)).collect())
                        }
                    }
                })
                .collect();
            let own: Vec<f64> = evidence
                .seen()
                .iter()
                .enumerate()
                .map(|(at, seen)| {
                    let of = shifts.get(seen.conditions).and_then(Option::as_ref);
                    let own = of.and_then(|own| own.get(seen.probe).copied().flatten());
                    own.and_then(|own| evidence.own_shift(asked.foretold, at, own))
                        .unwrap_or(0.0)
                })
                .collect();
            Way {
                belief,
                share: way.share,
                pulls: evidence.pulls(&own).unwrap_or_else(|| still.clone()),
                shifts: Some(shifts),
            }
        })
        .collect()
}

/// Bits, what the outcomes mean, chances of the stretches, and these.
type Told = (f64, Vec<Meaning>, Vec<Vec<f64>>, Stretches);

/// Bits of one reading, and what its outcomes mean; `None` where it is not foretold.
fn told(
    asked: &Asked<'_, '_>,
    beliefs: &[Belief],
    (evidence, strange_share): (&Evidence, f64),
    ways: &[Way],
    (conditions, probe): (usize, usize),
) -> Option<Told> {
    let told = asked.foretold.get(conditions)?;
    let what = told.probes.get(probe)?.what;
    let candidate = evidence.candidate(told, probe)?;
    let scale = candidate.scale;
    let band = healthy_band(told, probe)?;
    let ends = [scale.to(band.low), scale.to(band.high)];
    // Belief, share, mean, standard deviation.
    let bells: Vec<(usize, f64, f64, f64)> = ways
        .iter()
        .map(|way| {
            let shift = way.shifts.as_ref().and_then(|shifts| {
                let own = shifts.get(conditions)?.as_ref()?;
                own.get(probe).copied().flatten()
            });
            let own = told.healthy.get(probe).copied().flatten();
            let shift = scale.shift(own.unwrap_or(0.0), shift.unwrap_or(0.0));
            let (mean, variance) = evidence.foreseen_by(&way.pulls, &candidate, shift);
            let value = scale.back(mean);
            let meter = doubt(told.conditions.meter.as_ref(), what, value);
            let meter = scale.doubt(value, meter);
            (way.belief, way.share, mean, variance.sqrt().hypot(meter))
        })
        .filter(|own| own.2.is_finite() && own.3.is_finite())
        .collect();
    let edges = edges(beliefs, &bells, ends);
    let range = evidence.range().max(candidate.healthy.abs());
    let anywhere: Vec<f64> = {
        let share = |at: f64| ((at + range) / (2.0 * range)).clamp(0.0, 1.0);
        stretches(&edges, share)
    };
    let moved: Vec<f64> = {
        // From where healthy sets lie that read as these do.
        let still = bells.iter().find(|own| beliefs[own.0].ways.is_empty());
        let (mean, sigma) = still.map_or((candidate.mean, range), |own| (own.2, own.3));
        let strange = Strange::new(sigma, range);
        stretches(&edges, |at| strange.below(at - mean))
    };
    let mut chances = vec![vec![0.0; edges.len() + 1]; beliefs.len()];
    // Most faults leave a place as it is: one bell for all of them.
    let mut known: HashMap<(i64, i64), Vec<f64>> = HashMap::new();
    let step = bells.iter().map(|own| own.3).fold(f64::INFINITY, f64::min) * ONE_BELL;
    for (belief, share, mean, deviation) in &bells {
        let below = |at: f64| {
            let steps = (at - mean) / (deviation * std::f64::consts::SQRT_2);
            0.5 * libm::erfc(-steps)
        };
        let key = (
            (mean / step).round() as i64,
            (deviation / step).round() as i64,
        );
        let own = known.entry(key).or_insert_with(|| stretches(&edges, below));
        for (chance, own) in chances[*belief].iter_mut().zip(own) {
            *chance += share * *own;
        }
    }
    for (own, row) in beliefs.iter().zip(&mut chances) {
        let (wild, anywhere) = match own.blame {
            Blame::NotListed => (strange_share, &moved),
            _ => (SLIP, &anywhere),
        };
        for (chance, anywhere) in row.iter_mut().zip(anywhere) {
            *chance = (1.0 - wild) * *chance + wild * anywhere;
        }
    }
    let weights: Vec<f64> = beliefs.iter().map(|own| own.weight).collect();
    let outcomes = [
        (Outcome::Low, None, Some(band.low)),
        (Outcome::Inside, Some(band.low), Some(band.high)),
        (Outcome::High, Some(band.high), None),
    ];
    let side = |column: usize| {
        let beyond = column.checked_sub(1).and_then(|at| edges.get(at));
        match beyond {
            Some(edge) if *edge >= ends[1] => 2,
            Some(edge) if *edge >= ends[0] => 1,
            _ => 0,
        }
    };
    let meanings = meanings(beliefs, &chances, &outcomes, |number, column| {
        side(column) == number
    });
    let sides = (0..=edges.len()).map(|column| outcomes[side(column)].0);
    let parted = Stretches {
        sides: sides.collect(),
        edges: edges.iter().map(|edge| scale.back(*edge)).collect(),
    };
    Some((bits(&weights, &chances), meanings, chances, parted))
}

/// The share of each stretch between these edges, by the share below a reading.
fn stretches(edges: &[f64], below: impl Fn(f64) -> f64) -> Vec<f64> {
    let mut last = 0.0;
    let mut found = Vec::with_capacity(edges.len() + 1);
    for edge in edges {
        let own = below(*edge);
        found.push((own - last).max(0.0));
        last = own;
    }
    found.push((1.0 - last).max(0.0));
    found
}

/// Where a reading is parted: by even shares of where the bells rise and fall, a bell counting
/// by the root of its weight so that rare ones are seen, and at the ends of the healthy band.
fn edges(beliefs: &[Belief], bells: &[(usize, f64, f64, f64)], band: [f64; 2]) -> Vec<f64> {
    let mut places: Vec<(f64, f64)> = bells
        .iter()
        .flat_map(|(belief, share, mean, deviation)| {
            let weight = (beliefs[*belief].weight * share).sqrt();
            [-1.6, -0.8, 0.0, 0.8, 1.6].map(|step| (mean + step * deviation, weight))
        })
        .collect();
    places.sort_by(|a, b| a.0.total_cmp(&b.0));
    let total: f64 = places.iter().map(|own| own.1).sum();
    let mut edges: Vec<f64> = Vec::with_capacity(STRETCHES + 2);
    let mut sum = 0.0;
    for (at, weight) in places {
        sum += weight;
        if sum * STRETCHES as f64 >= total * (edges.len() + 1) as f64 {
            edges.push(at);
        }
    }
    edges.extend(band);
    edges.sort_by(f64::total_cmp);
    edges.dedup();
    edges
}
