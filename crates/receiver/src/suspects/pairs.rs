//! Two faults at once.
//!
//! Natural logarithms of densities; severities in the row's unit. Two faults are taken to add up:
//! each place is shifted by both, and what was noticed beside the readings is as likely as the likelier
//! of both makes it. A pair is looked for where no single fault fits: from each of the
//! `BASES` best single ones, those `PARTNERS` others are tried that would bring most of what
//! is left home (a straight estimate in the joint law), each over all its severities; then the
//! first one is taken over its own severities beside the best of the second. Source: Bayes' rule,
//! the chances of both multiplied. A pair that cannot be solved is left out; nothing here fails.

use rayon::prelude::*;

use super::hypotheses::Hypotheses;
use super::likelihood::sum_of_logs;
use super::sum::{Case, Summing};

/// Single faults that a second is sought for.
const BASES: usize = 8;
/// Second faults that are tried beside each.
const PARTNERS: usize = 40;
/// How far beyond the solved severity that brings most a shift is stretched in the estimate.
const STRETCHED: f64 = 1.3;

/// Two faults, weighed.
#[derive(Debug, Clone, PartialEq)]
pub struct Pair {
    /// Hypothesis and its likeliest severity.
    pub one: (usize, f64),
    /// The other.
    pub other: (usize, f64),
    /// Weight of both together.
    pub weight: f64,
}

/// Two faults against the readings.
pub(super) struct PairCase {
    pub one: (usize, f64),
    pub other: (usize, f64),
    /// With the chances of both.
    pub log: f64,
    pub shift: Vec<f64>,
}

/// Pairs from the best single faults on; `logs` are those of the single ones with their chances.
pub(super) fn pairs(
    summing: &Summing<'_>,
    hypotheses: &Hypotheses,
    cases: &[Option<Case>],
    logs: &[f64],
) -> Vec<PairCase> {
    let mut order: Vec<usize> = (0..logs.len()).filter(|&at| logs[at].is_finite()).collect();
    order.sort_by(|&a, &b| logs[b].total_cmp(&logs[a]).then(a.cmp(&b)));
    let mut bases: Vec<usize> = Vec::new();
    for at in order {
        let suspect = hypotheses.list[at].suspect;
        let is_new = bases
            .iter()
            .all(|&own| hypotheses.list[own].suspect != suspect);
        if is_new && bases.len() < BASES {
            bases.push(at);
        }
    }
    let tried: Vec<(usize, usize)> = bases
        .iter()
        .flat_map(|&base| {
            let own = partners(summing, hypotheses, cases, base);
            own.into_iter().map(move |partner| (base, partner))
        })
        .collect();
    let mut found: Vec<PairCase> = tried
        .into_par_iter()
        .filter_map(|(base, partner)| both(summing, hypotheses, cases, base, partner))
        .collect();
    // The same two from both sides: the better one stays.
    found.sort_by(|a, b| b.log.total_cmp(&a.log));
    let key = |own: &PairCase| (own.one.0.min(own.other.0), own.one.0.max(own.other.0));
    let mut seen = std::collections::HashSet::new();
    found.retain(|own| seen.insert(key(own)));
    found
}

/// Faults of other parts that would bring most of what one leaves home.
fn partners(
    summing: &Summing<'_>,
    hypotheses: &Hypotheses,
    cases: &[Option<Case>],
    base: usize,
) -> Vec<usize> {
    let Some(own) = cases[base].as_ref() else {
        return Vec::new();
    };
    let severity = own.severity;
    let law = summing.evidence.against(&own.shift);
    let none = Vec::new();
    let pulls = law.as_ref().map_or(&none[..], |law| law.pulls());
    let without = summing.beside.log(base, severity);
    let mut gains: Vec<(usize, f64)> = (0..cases.len())
        .into_par_iter()
        .filter_map(|number| {
            let case = cases[number].as_ref()?;
            let own = &hypotheses.list[number];
            if own.suspect == hypotheses.list[base].suspect {
                return None;
            }
            let gain = summing
                .solved(number)
                .map(|shift| {
                    let along: f64 = shift.iter().zip(pulls).map(|(a, b)| a * b).sum();
                    let square = law.as_ref().map_or(0.0, |law| law.square_of(&shift));
                    let times = (along / square.max(f64::MIN_POSITIVE)).clamp(0.0, STRETCHED);
                    times * along - 0.5 * times * times * square
                })
                .fold(0.0, f64::max);
            let both = summing
                .beside
                .together((base, severity), (number, case.severity));
            let gain = gain + (both - without).max(0.0);
            (gain > 0.0).then(|| (number, gain + own.odds(case.felt).ln()))
        })
        .collect();
    gains.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    gains.truncate(PARTNERS);
    gains.into_iter().map(|own| own.0).collect()
}

fn both(
    summing: &Summing<'_>,
    hypotheses: &Hypotheses,
    cases: &[Option<Case>],
    one: usize,
    other: usize,
) -> Option<PairCase> {
    let (first, second) = (cases[one].as_ref()?, cases[other].as_ref()?);
    let of_other = summing.beside_another(other, &first.shift)?;
    let of_one = summing.beside_another(one, &of_other.shift)?;
    let odds = |number: usize, felt: f64| hypotheses.list[number].odds(felt).ln();
    let shift: Vec<f64> = of_one
        .shift
        .iter()
        .zip(&of_other.shift)
        .map(|(one, other)| one + other)
        .collect();
    // Both severities are summed over, each beside the best of the other.
    let narrowed = of_other.log - of_other.best;
    let beside = summing.beside;
    let gained = beside.together((one, of_one.severity), (other, of_other.severity))
        - beside.log(one, of_one.severity);
    let log = of_one.log + narrowed + gained;
    Some(PairCase {
        log: log + odds(one, first.felt) + odds(other, second.felt),
        one: (one, of_one.severity),
        other: (other, of_other.severity),
        shift,
    })
}

/// One fault beside another: mean density over its severities, the best of them.
pub(super) struct Second {
    pub log: f64,
    pub best: f64,
    pub severity: f64,
    pub shift: Vec<f64>,
}

impl Second {
    /// Of severities with their shifts and densities.
    pub(super) fn of(points: Vec<(f64, Vec<f64>, f64)>) -> Option<Second> {
        let logs: Vec<f64> = points.iter().map(|own| own.2).collect();
        let count = logs.len() as f64;
        let (severity, shift, best) = points
            .into_iter()
            .reduce(|one, next| if next.2 > one.2 { next } else { one })?;
        Some(Second {
            log: sum_of_logs(&logs) - count.ln(),
            best,
            severity,
            shift,
        })
    }
}
