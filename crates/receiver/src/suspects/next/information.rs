//! What an outcome is expected to tell of who is to blame.
//!
//! Bits; plain chances. A table of chances has one row for each of those who may be to blame and
//! one column for each outcome. Source: the mutual information of two things (closed form). An
//! empty table tells nothing.

use super::super::rank::Ranking;
use super::{Blame, Meaning, Outcome};

/// Share of all weight whose holders are looked at.
const HELD: f64 = 0.99;
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

/// Those who hold all but a hundredth of the weight; their weights sum to 1.
pub fn beliefs(ranking: &Ranking) -> Vec<Belief> {
    let other = |blame, weight| Belief {
        blame,
        weight,
        ways: Vec::new(),
    };
    let mut found = vec![
        other(Blame::Healthy, ranking.healthy),
        other(Blame::NotListed, ranking.not_listed),
    ];
    let mut held = ranking.healthy + ranking.not_listed;
    for own in &ranking.suspects {
        if held >= HELD || own.weight <= 0.0 {
            break;
        }
        held += own.weight;
        let ways = own.ways.iter().flat_map(|way| {
            let share = way.weight / own.weight;
            let course = way.course.iter();
            course.map(move |(severity, of)| AtSeverity {
                hypothesis: way.hypothesis,
                severity: *severity,
                share: share * of,
            })
        });
        let mut ways: Vec<AtSeverity> = ways.collect();
        let told: f64 = ways.iter().map(|own| own.share).sum();
        for way in &mut ways {
            way.share /= told.max(f64::MIN_POSITIVE);
        }
        found.push(Belief {
            blame: Blame::Suspect(own.suspect),
            weight: own.weight,
            ways,
        });
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
