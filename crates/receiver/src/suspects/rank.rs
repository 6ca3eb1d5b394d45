//! Which part explains the readings: weights by Bayes' rule, and what speaks for each.
//!
//! Weights are plain and sum to 1 over all single faults, the pairs of faults, the healthy set and
//! a fault that is not listed; a pair counts for both of its suspects. Where a single fault leaves
//! something unexplained, two at once are weighed as well ([`super::pairs`]). A single fault is
//! weighed by its odds before any reading, times how likely the
//! readings are with it, summed over its severity; between the solved severities readings are
//! taken along a straight line in the law's own scale. A fault that moves no foretold reading
//! out of its healthy band cannot be found by these readings, nor does it cause what they show:
//! such severities are set aside, and a fault of no other is [`Ranking::silent`]. Source: Bayes'
//! rule; chances from the fault table. Faults that could not be solved are counted in
//! [`Ranking::untold`] and weigh nothing. Nothing here fails; without readings the weights are
//! those of before.

use super::evidence::{Evidence, Seen};
use super::hypotheses::{Hypotheses, Suspect};
use super::likelihood::{Joint, chi_square_tail, sum_of_logs};
use super::pairs::{Pair, pairs};
use super::predict::Foretold;
use super::sum::{Case, Outcome, Summing};

pub use super::sum::Beside;

/// Odds of a fault that nothing here lists or follows and that moves readings anyhow, against none at all (judgement: of the
/// rows of the table that nothing follows those that stay and act come to some three faults a set, such as wires and wrong
/// connections, clips and plugs, tubes of a wrong type or with cathode interface, output and flyback transformers; one of
/// three moves what is read, two of five of them so).
pub(crate) const NOT_LISTED: f64 = 0.4;
/// Odds, beside each way of failing that is listed, of a fault that is not and acts as that way does: the others, over the
/// some six hundred ways that readings feel (a broken wire, a bad lug, a wrong connection act where a part sits and as its
/// own failing would).
pub(crate) const ALIKE: f64 = 1e-3;
/// Chance of readings as far as these below which nothing explains them.
const BEYOND: f64 = 1e-3;
/// Weight below which a suspect's case is not spelled out.
const SPELLED_OUT: f64 = 5e-3;
/// Chance of readings as far as these below which a second fault is sought.
const FITS: f64 = 0.02;
/// Weight below which a pair is not told.
const LEAST_PAIR: f64 = 1e-4;
/// How many times likelier a reading must be to speak for or against (judgement: e times).
const SPEAKS: f64 = 1.0;

/// One way in which a suspect may have failed, weighed.
#[derive(Debug, Clone, PartialEq)]
pub struct Weighed {
    /// Its position among the hypotheses.
    pub hypothesis: usize,
    /// Its weight.
    pub weight: f64,
    /// The severity that explains the readings best, in the row's unit.
    pub severity: f64,
    /// Severities with the share that each has of its weight; shares below a hundredth left out.
    pub course: Vec<(f64, f64)>,
    /// Share of all its severities that a foretold reading can feel.
    pub felt: f64,
}

/// One suspect with its case.
#[derive(Debug, Clone, PartialEq)]
pub struct Ranked {
    /// What is suspected.
    pub suspect: Suspect,
    /// Weight of all its ways of failing, alone or with another fault.
    pub weight: f64,
    /// Its ways by themselves, heaviest first.
    pub ways: Vec<Weighed>,
    /// Readings that speak for its heaviest way against a healthy set, by their position among
    /// those given, with the logarithm of how many times likelier; most first.
    pub speak_for: Vec<(usize, f64)>,
    /// Readings that speak against it.
    pub speak_against: Vec<(usize, f64)>,
    /// Readings that most likely are slips if it is this.
    pub unexplained: Vec<usize>,
    /// Chance of readings at least as far from it as these, slips left aside.
    pub tail: f64,
}

/// Everything weighed.
#[derive(Debug, Clone, PartialEq)]
pub struct Ranking {
    /// Suspects, heaviest first; equal ones in the order of the sheet.
    pub suspects: Vec<Ranked>,
    /// Weight of the healthy set.
    pub healthy: f64,
    /// Weight of a fault that is not listed.
    pub not_listed: f64,
    /// Whether no listed fault and no healthy set explains the readings.
    pub nothing_explains: bool,
    /// Readings, by position, of which nothing is foretold.
    pub unused: Vec<usize>,
    /// Hypotheses, by position, that move no foretold reading out of its band.
    pub silent: Vec<usize>,
    /// Hypotheses that could not be solved under these conditions.
    pub untold: usize,
    /// Two faults at once, heaviest first; their weight is in that of both suspects as well.
    pub pairs: Vec<Pair>,
}

/// Weighs all hypotheses by the readings.
pub fn rank(hypotheses: &Hypotheses, foretold: &[Foretold], seen: &[Seen]) -> Ranking {
    rank_beside(hypotheses, foretold, seen, &|_: usize, _: f64| 0.0)
}

/// The same with evidence beside the readings.
pub fn rank_beside(
    hypotheses: &Hypotheses,
    foretold: &[Foretold],
    seen: &[Seen],
    beside: &dyn Beside,
) -> Ranking {
    let evidence = Evidence::new(foretold, seen);
    let count = evidence.count();
    let none = vec![0.0; count];
    let healthy_joint = evidence.against(&none);
    let healthy = match &healthy_joint {
        Some(joint) => joint.with_slips(evidence.slips()).0,
        None if count == 0 => 0.0,
        None => f64::NEG_INFINITY,
    };
    let strange = match &healthy_joint {
        Some(_) => evidence.not_listed().log,
        None => healthy,
    };
    let noticed = anywhere(&beside.not_listed());
    let strange = NOT_LISTED.ln() + strange + noticed;
    let every: Vec<usize> = (0..count).collect();
    let summing = Summing {
        every: &every,
        evidence: &evidence,
        foretold,
        healthy,
        beside,
    };
    let (outcomes, alike) = summing.all(hypotheses, &[healthy, strange]);
    let not_listed = sum_of_logs(&[strange, ALIKE.ln() + alike + noticed]);
    let silent: Vec<usize> = (0..outcomes.len())
        .filter(|&at| matches!(outcomes[at], Outcome::Silent))
        .collect();
    let cases: Vec<Option<Case>> = outcomes
        .into_iter()
        .map(|outcome| match outcome {
            Outcome::Weighed(case) => Some(case),
            Outcome::Silent | Outcome::Untold => None,
        })
        .collect();
    let logs: Vec<f64> = hypotheses
        .list
        .iter()
        .zip(&cases)
        .map(|(own, case)| {
            case.as_ref().map_or(f64::NEG_INFINITY, |case| {
                own.odds(case.felt).ln() + case.log
            })
        })
        .collect();
    let mut all = logs.clone();
    all.extend([healthy, not_listed]);
    let together = if wants_two(&evidence, &cases, &all, beside) {
        pairs(&summing, hypotheses, &cases, &logs)
    } else {
        Vec::new()
    };
    all.extend(together.iter().map(|own| own.log));
    let total = sum_of_logs(&all);
    let weight = |log: f64| {
        if total.is_finite() {
            (log - total).exp()
        } else {
            0.0
        }
    };
    let mut suspects: Vec<Ranked> = Vec::new();
    for (number, (own, log)) in hypotheses.list.iter().zip(&logs).enumerate() {
        let Some(case) = &cases[number] else {
            continue;
        };
        let way = Weighed {
            hypothesis: number,
            weight: weight(*log),
            severity: case.severity,
            course: case.course.clone(),
            felt: case.felt,
        };
        match suspects
            .iter_mut()
            .find(|known| known.suspect == own.suspect)
        {
            Some(known) => {
                known.weight += way.weight;
                known.ways.push(way);
            }
            None => suspects.push(Ranked {
                suspect: own.suspect,
                weight: way.weight,
                ways: vec![way],
                speak_for: Vec::new(),
                speak_against: Vec::new(),
                unexplained: Vec::new(),
                tail: 1.0,
            }),
        }
    }
    for own in &mut suspects {
        own.ways.sort_by(|a, b| b.weight.total_cmp(&a.weight));
        if own.weight >= SPELLED_OUT
            && let Some(case) = own
                .ways
                .first()
                .and_then(|way| cases[way.hypothesis].as_ref())
        {
            spell_out(own, &evidence, case, &healthy_joint);
        }
    }
    let best_single = suspects
        .iter()
        .map(|own| own.weight)
        .fold(weight(healthy), f64::max);
    let pair_weights: Vec<Pair> = together
        .iter()
        .map(|own| Pair {
            one: own.one,
            other: own.other,
            weight: weight(own.log),
        })
        .filter(|own| own.weight >= LEAST_PAIR)
        .collect();
    for own in &pair_weights {
        for (hypothesis, _) in [own.one, own.other] {
            let suspect = hypotheses.list[hypothesis].suspect;
            if let Some(known) = suspects.iter_mut().find(|known| known.suspect == suspect) {
                known.weight += own.weight;
            }
        }
    }
    suspects.sort_by(|a, b| b.weight.total_cmp(&a.weight));
    let by_pair = pair_weights
        .first()
        .filter(|own| own.weight > best_single)
        .and(together.first())
        .map(|own| fit(&evidence, &own.shift));
    let by_healthy = fit(&evidence, &none);
    let (healthy, not_listed) = (weight(healthy), weight(not_listed));
    let best = suspects.first().filter(|own| own.weight > healthy);
    let (tail, slips) = match best {
        _ if by_pair.is_some() => by_pair.map_or((1.0, 0), |own| (own.0, own.1.len())),
        Some(own) => (own.tail, own.unexplained.len()),
        None => (by_healthy.0, by_healthy.1.len()),
    };
    Ranking {
        nothing_explains: count > 0
            && (not_listed > 0.5 || tail < BEYOND || slips > 1 + count / 20),
        suspects,
        healthy,
        not_listed,
        unused: evidence.unused,
        untold: cases.iter().filter(|case| case.is_none()).count() - silent.len(),
        silent,
        pairs: pair_weights,
    }
}

/// One fault sits in one section, before anything is known in any as likely, and is all that was noticed there.
fn anywhere(by_section: &[f64]) -> f64 {
    sum_of_logs(by_section) - (by_section.len() as f64).ln()
}

/// Whether two faults are asked for: the best explanation has slips, lies far off, or leaves something
/// that was noticed beside the readings.
fn wants_two(
    evidence: &Evidence,
    cases: &[Option<Case>],
    logs: &[f64],
    beside: &dyn Beside,
) -> bool {
    let best_of =
        |count: usize| (0..count).max_by(|&a, &b| logs[a].total_cmp(&logs[b]).then(b.cmp(&a)));
    let listed = best_of(cases.len().min(logs.len()));
    let listed = listed.and_then(|own| Some((own, cases.get(own)?.as_ref()?)));
    let best = best_of(logs.len());
    let case = best.and_then(|own| Some((own, cases.get(own)?.as_ref()?)));
    if listed.is_some_and(|(own, case)| beside.is_left(own, case.severity)) {
        return true;
    }
    if evidence.count() < 2 {
        return false;
    }
    let still = vec![0.0; evidence.count()];
    let (tail, slips) = fit(evidence, case.map_or(&still, |(_, own)| &own.shift));
    !slips.is_empty() || tail < FITS
}

/// Chance of readings at least this far, slips left aside, and the slips.
fn fit(evidence: &Evidence, shift: &[f64]) -> (f64, Vec<usize>) {
    let Some(joint) = evidence.against(shift) else {
        return (1.0, Vec::new());
    };
    let (_, slips) = joint.with_slips(evidence.slips());
    let kept: Vec<usize> = (0..evidence.count())
        .filter(|at| !slips.contains(at))
        .collect();
    let tail = evidence
        .against_some(shift, &kept)
        .map_or(1.0, |joint| chi_square_tail(joint.square, kept.len()));
    (tail, slips)
}

/// What speaks for a suspect and what against.
fn spell_out(own: &mut Ranked, evidence: &Evidence, case: &Case, healthy: &Option<Joint>) {
    let (tail, slips) = fit(evidence, &case.shift);
    own.tail = tail;
    own.unexplained = slips.iter().map(|&at| evidence.used[at]).collect();
    let (Some(with), Some(without)) = (evidence.against(&case.shift), healthy) else {
        return;
    };
    for (at, ((_, with), (_, without))) in with.each().into_iter().zip(without.each()).enumerate() {
        let likelier = with - without;
        if likelier > SPEAKS {
            own.speak_for.push((evidence.used[at], likelier));
        } else if likelier < -SPEAKS {
            own.speak_against.push((evidence.used[at], likelier));
        }
    }
    own.speak_for.sort_by(|a, b| b.1.total_cmp(&a.1));
    own.speak_against.sort_by(|a, b| a.1.total_cmp(&b.1));
}
