//! What an outcome is expected to tell of who is to blame.
//!
//! Bits; plain chances. A table of chances has one row for each of those who may be to blame and
//! one column for each outcome. Source: the mutual information of two things (closed form). An
//! empty table tells nothing.

use super::super::hypotheses::Hypotheses;
use super::super::rank::Ranking;
use super::{Blame, Meaning, Outcome};

/// Share of all weight whose holders are looked at.
const HELD: f64 = 0.99;
/// Share of the weight of all listed faults that is looked at at least.
const HELD_OF_LISTED: f64 = 0.8;
/// Severities by which one way of failing is told at most.
const SEVERITIES: usize = 6;
/// How many gains an outcome tells.
const GAINS: usize = 3;

/// One way of failing at one severity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AtSeverity {
    /// Its hypothesis.
    pub hypothesis: usize,
    /// Severity in the row's unit.
    pub severity: f64,
    /// Share of the weight of the one who may be to blame.
    pub share: f64,
    /// The other fault's hypothesis and severity, where there are two.
    pub with: Option<(usize, f64)>,
}

/// One who may be to blame.
#[derive(Debug, Clone, PartialEq)]
pub struct Belief {
    /// Who.
    pub blame: Blame,
    /// With which weight.
    pub weight: f64,
    /// Its ways; empty where nothing is shifted.
    pub ways: Vec<AtSeverity>,
}

/// A course of severities by at most [`SEVERITIES`], each the middle of an even share of it.
fn thinned(course: &[(f64, f64)]) -> Vec<(f64, f64)> {
    if course.len() <= SEVERITIES {
        return course.to_vec();
    }
    let mut sorted = course.to_vec();
    sorted.sort_by(|a, b| a.0.total_cmp(&b.0));
    let total: f64 = sorted.iter().map(|own| own.1).sum();
    let each = total / SEVERITIES as f64;
    let mut found = Vec::with_capacity(SEVERITIES);
    let mut sum = 0.0;
    for (severity, share) in sorted {
        sum += share;
        while found.len() < SEVERITIES && sum >= each * (found.len() as f64 + 0.5) {
            found.push((severity, each));
        }
    }
    found
}

/// The hypotheses, by position, of those who hold all but a hundredth of the weight.
pub fn held_by(hypotheses: &Hypotheses, ranking: &Ranking) -> Vec<usize> {
    let mut found: Vec<usize> = beliefs(hypotheses, ranking)
        .iter()
        .flat_map(|own| &own.ways)
        .flat_map(|way| [Some(way.hypothesis), way.with.map(|own| own.0)])
        .flatten()
        .collect();
    found.sort_unstable();
    found.dedup();
    found
}

/// Those who hold all but a hundredth of the weight; their weights sum to 1.
pub fn beliefs(hypotheses: &Hypotheses, ranking: &Ranking) -> Vec<Belief> {
    let other = |blame, weight| Belief {
        blame,
        weight,
        ways: Vec::new(),
    };
    let mut found = vec![
        other(Blame::Healthy, ranking.healthy),
        other(Blame::NotListed, ranking.not_listed),
    ];
    let suspect = |hypothesis: usize| hypotheses.list.get(hypothesis).map(|own| own.suspect);
    let mut faults: Vec<Belief> = Vec::new();
    for own in &ranking.pairs {
        let (Some(one), Some(other)) = (suspect(own.one.0), suspect(own.other.0)) else {
            continue;
        };
        let blame = Blame::Both(one.min(other), one.max(other));
        let way = AtSeverity {
            hypothesis: own.one.0,
            severity: own.one.1,
            share: own.weight,
            with: Some(own.other),
        };
        match faults.iter_mut().find(|known| known.blame == blame) {
            Some(known) => {
                known.weight += own.weight;
                known.ways.push(way);
            }
            None => faults.push(Belief {
                blame,
                weight: own.weight,
                ways: vec![way],
            }),
        }
    }
    for own in &mut faults {
        for way in &mut own.ways {
            way.share /= own.weight.max(f64::MIN_POSITIVE);
        }
    }
    for own in &ranking.suspects {
        let weight: f64 = own.ways.iter().map(|way| way.weight).sum();
        if weight <= 0.0 {
            continue;
        }
        let ways = own.ways.iter().flat_map(|way| {
            let share = way.weight / weight;
            let course = thinned(&way.course).into_iter();
            course.map(move |(severity, of)| AtSeverity {
                hypothesis: way.hypothesis,
                severity,
                share: share * of,
                with: None,
            })
        });
        let mut ways: Vec<AtSeverity> = ways.collect();
        let told: f64 = ways.iter().map(|own| own.share).sum();
        for way in &mut ways {
            way.share /= told.max(f64::MIN_POSITIVE);
        }
        faults.push(Belief {
            blame: Blame::Suspect(own.suspect),
            weight,
            ways,
        });
    }
    faults.sort_by(|a, b| b.weight.total_cmp(&a.weight));
    // Where the fault not listed has next to all of it, those who are still asked: there the search goes on.
    let listed: f64 = faults.iter().map(|own| own.weight).sum();
    let others = ranking.healthy + ranking.not_listed;
    let mut held = 0.0;
    for own in faults {
        if others + held >= HELD && held >= HELD_OF_LISTED * listed {
            break;
        }
        held += own.weight;
        found.push(own);
    }
    let total: f64 = found.iter().map(|own| own.weight).sum();
    for own in &mut found {
        own.weight /= total.max(f64::MIN_POSITIVE);
    }
    found
}

/// Mutual information in bits: `chances` has for each weight the chance of each outcome.
pub fn bits(weights: &[f64], chances: &[Vec<f64>]) -> f64 {
    let outcomes = chances.iter().map(Vec::len).max().unwrap_or(0);
    let mut bits = 0.0;
    for outcome in 0..outcomes {
        let of = |row: &Vec<f64>| row.get(outcome).copied().unwrap_or(0.0);
        let all: f64 = weights
            .iter()
            .zip(chances)
            .map(|(weight, row)| weight * of(row))
            .sum();
        for (weight, row) in weights.iter().zip(chances) {
            let own = of(row);
            if own > 0.0 && *weight > 0.0 && all > 0.0 {
                bits += weight * own * (own / all).log2();
            }
        }
    }
    bits.max(0.0)
}

/// What each outcome would mean; `outcomes` names the columns of `chances` that belong to it.
pub(super) fn meanings(
    beliefs: &[Belief],
    chances: &[Vec<f64>],
    outcomes: &[(Outcome, Option<f64>, Option<f64>)],
    belongs: impl Fn(usize, usize) -> bool,
) -> Vec<Meaning> {
    outcomes
        .iter()
        .enumerate()
        .map(|(number, (outcome, from, to))| {
            let of = |row: &Vec<f64>| -> f64 {
                let own = row.iter().enumerate();
                own.filter(|(column, _)| belongs(number, *column))
                    .map(|(_, chance)| chance)
                    .sum()
            };
            let joint: Vec<f64> = beliefs
                .iter()
                .zip(chances)
                .map(|(own, row)| own.weight * of(row))
                .collect();
            let chance: f64 = joint.iter().sum();
            let mut gains: Vec<(Blame, f64, f64)> = beliefs
                .iter()
                .zip(&joint)
                .map(|(own, joint)| {
                    let then = if chance > 0.0 {
                        joint / chance
                    } else {
                        own.weight
                    };
                    (own.blame, own.weight, then)
                })
                .filter(|(_, now, then)| then > now)
                .collect();
            gains.sort_by(|a, b| (b.2 - b.1).total_cmp(&(a.2 - a.1)));
            gains.truncate(GAINS);
            Meaning {
                outcome: *outcome,
                from: *from,
                to: *to,
                chance,
                gains,
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Closed forms: the entropy of an even choice is one bit; a channel that turns a bit over
    /// with a chance `p` passes `1 - H(p)` of it (Shannon 1948).
    #[test]
    fn information_is_that_of_the_closed_forms() {
        let even = [0.5, 0.5];
        let sure = [vec![1.0, 0.0], vec![0.0, 1.0]];
        assert!((bits(&even, &sure) - 1.0).abs() < 1e-12);
        let blind = [vec![0.3, 0.7], vec![0.3, 0.7]];
        assert_eq!(bits(&even, &blind), 0.0);
        for p in [0.01f64, 0.1, 0.3] {
            let turned = [vec![1.0 - p, p], vec![p, 1.0 - p]];
            let entropy = -p * p.log2() - (1.0 - p) * (1.0 - p).log2();
            assert!((bits(&even, &turned) - (1.0 - entropy)).abs() < 1e-12);
        }
        // Four equal suspects told apart: two bits.
        let four = [0.25; 4];
        let each: Vec<Vec<f64>> = (0..4)
            .map(|own| (0..4).map(|at| f64::from(u8::from(own == at))).collect())
            .collect();
        assert!((bits(&four, &each) - 2.0).abs() < 1e-12);
        assert_eq!(bits(&[], &[]), 0.0);
    }

    /// By hand: of ten even severities from 1 to 10 the sixths have their middles at 1, 3, 5, 6, 8
    /// and 10.
    #[test]
    fn a_long_course_is_told_by_the_middles_of_even_shares() {
        let course: Vec<(f64, f64)> = (1..=10).map(|own| (f64::from(own), 0.1)).collect();
        let told = thinned(&course);
        let severities: Vec<f64> = told.iter().map(|own| own.0).collect();
        assert_eq!(severities, [1.0, 3.0, 5.0, 6.0, 8.0, 10.0]);
        assert!((told.iter().map(|own| own.1).sum::<f64>() - 1.0).abs() < 1e-9);
        assert_eq!(thinned(&course[..3]), course[..3]);
    }

    /// Bayes' rule by hand: 0.5 and 0.5, a bad outcome with 0.9 and 0.1.
    #[test]
    fn an_outcome_weighs_by_the_rule() {
        let own = |blame, weight| Belief {
            blame,
            weight,
            ways: Vec::new(),
        };
        let beliefs = [own(Blame::Healthy, 0.5), own(Blame::NotListed, 0.5)];
        let chances = [vec![0.1, 0.9], vec![0.9, 0.1]];
        let outcomes = [(Outcome::Good, None, None), (Outcome::Bad, None, None)];
        let told = meanings(&beliefs, &chances, &outcomes, |number, column| {
            number == column
        });
        assert!((told[0].chance - 0.5).abs() < 1e-12);
        assert_eq!(told[1].gains.len(), 1);
        let (blame, now, then) = told[1].gains[0];
        assert_eq!((blame, now), (Blame::Healthy, 0.5));
        assert!((then - 0.9).abs() < 1e-12);
    }
}
