//! Suspects that no offered measurement can tell apart.
//!
//! Plain chances. Two are told apart when some measurement has outcomes whose chances differ by
//! more than [`APART`] between them (half the sum of the differences, the total variation). Those
//! that are not, or that hang together by others that are not, are one class. Without any offer
//! all are one class. Nothing here can fail.

use super::super::hypotheses::Suspect;
use super::{Belief, Blame, Offered};

/// Difference of chances from which on a measurement tells two apart (judgement: three of ten such
/// measurements decide).
const APART: f64 = 0.3;

/// Classes of single suspects, each in the order of weight, the heaviest class first.
pub(super) fn alike(beliefs: &[Belief], offered: &[Offered]) -> Vec<Vec<Suspect>> {
    let single: Vec<(usize, Suspect)> = beliefs
        .iter()
        .enumerate()
        .filter_map(|(at, own)| match own.blame {
            Blame::Suspect(suspect) => Some((at, suspect)),
            _ => None,
        })
        .collect();
    let is_apart = |one: usize, other: usize| {
        offered.iter().any(|own| {
            let (Some(one), Some(other)) = (own.chances.get(one), own.chances.get(other)) else {
                return false;
            };
            let sum: f64 = one.iter().zip(other).map(|(a, b)| (a - b).abs()).sum();
            0.5 * sum > APART
        })
    };
    let mut classes: Vec<Vec<(usize, Suspect)>> = Vec::new();
    for (at, suspect) in single {
        let (mine, mut others): (Vec<_>, Vec<_>) = classes
            .into_iter()
            .partition(|class| class.iter().any(|(other, _)| !is_apart(at, *other)));
        let mut joined: Vec<(usize, Suspect)> = mine.into_iter().flatten().collect();
        joined.push((at, suspect));
        joined.sort_unstable();
        others.push(joined);
        others.sort_by_key(|class| class.first().map(|own| own.0));
        classes = others;
    }
    classes
        .into_iter()
        .map(|class| class.into_iter().map(|own| own.1).collect())
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::suspects::next::Measurement;

    #[test]
    fn those_that_every_outcome_holds_alike_are_one_class() {
        let belief = |part| Belief {
            blame: Blame::Suspect(Suspect::Part(part)),
            weight: 0.25,
            ways: Vec::new(),
        };
        let beliefs: Vec<Belief> = (0..4).map(belief).collect();
        let offer = |chances: [f64; 4]| Offered {
            measurement: Measurement::PartOhms(0),
            bits: 0.0,
            effort: 1.0,
            meanings: Vec::new(),
            acts: Vec::new(),
            also: Vec::new(),
            stretches: None,
            chances: chances.iter().map(|own| vec![*own, 1.0 - own]).collect(),
        };
        let parts = |classes: Vec<Vec<Suspect>>| -> Vec<Vec<usize>> {
            let part = |own: &Suspect| match own {
                Suspect::Part(part) => *part,
                _ => usize::MAX,
            };
            classes
                .iter()
                .map(|own| own.iter().map(part).collect())
                .collect()
        };
        // The first reading tells 0 and 2 from 1 and 3, the second 1 from 3.
        let one = offer([0.9, 0.1, 0.9, 0.1]);
        let two = offer([0.5, 0.9, 0.5, 0.1]);
        let told = |offers: &[Offered]| parts(alike(&beliefs, offers));
        assert_eq!(told(std::slice::from_ref(&one)), [vec![0, 2], vec![1, 3]]);
        assert_eq!(told(&[one, two]), [vec![0, 2], vec![1], vec![3]]);
        assert_eq!(told(&[]), [vec![0, 1, 2, 3]]);
    }
}
