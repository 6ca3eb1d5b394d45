//! Offers as they are told: the outcomes of a reading parted where its information lies, and what tells the same told once.
//!
//! Bits; plain chances. A reading is parted at the ends of its healthy band, then wherever that tells most, until nine
//! tenths of its bits lie in the outcomes that are told, or until there are [`MOST_OUTCOMES`]. Information of outcomes is a sum over them
//! (closed form), so each cut is judged by itself. Two readings tell the same when they part each two of the
//! heaviest suspects as well (overlap of their chances, Bhattacharyya 1943), at the same cost; the place that is found most
//! easily stands for all, a pin of a tube before a joint. Nothing here can fail.

use crate::sheet::Place;

use super::information::{Belief, meanings};
use super::{Asked, Measurement, Offered, Outcome, Stretches};

/// Outcomes told of a reading at most.
const MOST_OUTCOMES: usize = 6;
/// Share of the bits that the outcomes told hold, if so many are enough.
const HELD: f64 = 0.9;
/// Share of the bits by which two that tell the same may differ.
const BITS_APART: f64 = 0.05;
/// Share of what one parts by which the other may part otherwise (judgement).
const PARTS_APART: f64 = 0.1;
/// How many of those who may be to blame are compared, the heaviest.
const COMPARED: usize = 30;

/// The best offers as they are told, `most` of them, and all others behind them as they were; in the order of worth.
pub fn as_told(asked: &Asked<'_, '_>, offered: Vec<Offered>, most: usize) -> Vec<Offered> {
    let beliefs = asked.beliefs();
    let mut heaviest: Vec<usize> = (0..beliefs.len()).collect();
    heaviest.sort_by(|a, b| beliefs[*b].weight.total_cmp(&beliefs[*a].weight));
    heaviest.truncate(COMPARED);
    let mut told: Vec<Offered> = Vec::new();
    let mut rest = offered.into_iter();
    for mut own in rest.by_ref() {
        let known = told
            .iter()
            .position(|known| tell_the_same(asked, (&beliefs, &heaviest), known, &own));
        match known {
            Some(at) if is_easier(asked, &own, &told[at]) => {
                own.also = std::mem::take(&mut told[at].also);
                own.also.insert(0, told[at].measurement);
                told[at] = own;
            }
            Some(at) => told[at].also.push(own.measurement),
            None => told.push(own),
        }
        if told.len() > most {
            break;
        }
    }
    for own in &mut told {
        if let Some(stretches) = &own.stretches {
            own.meanings = parted(&beliefs, &own.chances, stretches, own.bits);
        }
    }
    told.extend(rest);
    // Equal ones stay in their order.
    told.sort_by(|a, b| b.worth().total_cmp(&a.worth()));
    told
}

/// What the outcomes mean, parted where the information lies.
fn parted(
    beliefs: &[Belief],
    chances: &[Vec<f64>],
    stretches: &Stretches,
    bits: f64,
) -> Vec<super::Meaning> {
    let Stretches { edges, sides } = stretches;
    let count = sides.len();
    // First columns of the outcomes, and what each outcome holds.
    let is_first = |at: &usize| *at == 0 || sides[*at] != sides[at - 1];
    let mut firsts: Vec<usize> = (0..count).filter(is_first).collect();
    let held = |from: usize, to: usize| -> f64 {
        let rows = || {
            let all = beliefs.iter().zip(chances);
            all.map(|(own, row)| (own.weight, row[from..to].iter().sum::<f64>()))
        };
        let all: f64 = rows().map(|(weight, own)| weight * own).sum();
        rows()
            .filter(|(weight, own)| *own > 0.0 && *weight > 0.0)
            .map(|(weight, own)| weight * own * (own / all).log2())
            .sum()
    };
    let end = |firsts: &[usize], at: usize| firsts.get(at + 1).copied().unwrap_or(count);
    while firsts.len() < MOST_OUTCOMES {
        let own: Vec<f64> = (0..firsts.len())
            .map(|at| held(firsts[at], end(&firsts, at)))
            .collect();
        if own.iter().sum::<f64>() >= HELD * bits {
            break;
        }
        let cuts = (0..firsts.len()).flat_map(|at| {
            let (from, to) = (firsts[at], end(&firsts, at));
            let own = own[at];
            (from + 1..to).map(move |cut| (cut, held(from, cut) + held(cut, to) - own))
        });
        let Some((cut, _)) = cuts.max_by(|a, b| a.1.total_cmp(&b.1)) else {
            break;
        };
        firsts.push(cut);
        firsts.sort_unstable();
    }
    let outcomes: Vec<(Outcome, Option<f64>, Option<f64>)> = (0..firsts.len())
        .map(|at| {
            let (from, to) = (firsts[at], end(&firsts, at));
            let edge = |column: usize| column.checked_sub(1).and_then(|at| edges.get(at).copied());
            (
                sides[from],
                edge(from),
                (to < count).then(|| edge(to)).flatten(),
            )
        })
        .collect();
    meanings(beliefs, chances, &outcomes, |number, column| {
        (firsts[number]..end(&firsts, number)).contains(&column)
    })
}

/// Whether two readings part those who may be to blame alike, at the same cost.
fn tell_the_same(
    asked: &Asked<'_, '_>,
    (beliefs, heaviest): (&[Belief], &[usize]),
    one: &Offered,
    other: &Offered,
) -> bool {
    let (
        Measurement::Read { conditions, probe },
        Measurement::Read {
            conditions: elsewhere,
            probe: there,
        },
    ) = (one.measurement, other.measurement)
    else {
        return false;
    };
    let what = |probe: usize| {
        let told = asked.foretold.get(conditions)?;
        told.probes.get(probe).map(|own| own.what)
    };
    if conditions != elsewhere
        || what(probe) != what(there)
        || one.effort != other.effort
        || (one.bits - other.bits).abs() > BITS_APART * one.bits.max(other.bits)
    {
        return false;
    }
    let overlap = |offered: &Offered, a: usize, b: usize| -> f64 {
        let both = offered.chances[a].iter().zip(&offered.chances[b]);
        both.map(|(a, b)| (a * b).sqrt()).sum()
    };
    let (mut apart, mut all) = (0.0, 0.0);
    for (number, a) in heaviest.iter().enumerate() {
        for b in &heaviest[..number] {
            let weight = beliefs[*a].weight * beliefs[*b].weight;
            let (one, other) = (overlap(one, *a, *b), overlap(other, *a, *b));
            apart += weight * (one - other).abs();
            all += weight * (1.0 - one);
        }
    }
    apart <= PARTS_APART * all
}

/// Whether the place of one reading is found more easily than that of the other.
fn is_easier(asked: &Asked<'_, '_>, one: &Offered, other: &Offered) -> bool {
    let is_pin = |own: &Offered| {
        let Measurement::Read { conditions, probe } = own.measurement else {
            return false;
        };
        let told = asked.foretold.get(conditions);
        let probe = told.and_then(|told| told.probes.get(probe));
        let place = probe.and_then(|own| asked.model.places.find(&own.at).ok());
        matches!(place, Some(Place::Pin { .. }))
    };
    is_pin(one) && !is_pin(other)
}
