//! Bayes' rule on a divider of two resistors, against its own numerical integration.
//!
//! Volts, percent. A divider of two equal resistors at 100 volts reads `100 / (2 + p)` with the
//! upper one up by the share `p`, and `100 (1 + p) / (2 + p)` with the lower one (closed form).
//! Weights are summed here by a fine rule written from the formulas of
//! docs/theory/suspects.md, and must be those of [`super::rank`].

use parts::SeverityLaw;

use crate::conditions::BenchConditions;
use crate::probes::{Probe, Spot};
use crate::reading::What;
use crate::whole_set::FaultyWork;
use crate::wiring::FaultKind;

use super::evidence::{SLIP, Seen};
use super::hypotheses::{Hypotheses, Hypothesis, Spread, Suspect};
use super::predict::{Faulty, Foretold};
use super::rank::{ALIKE, rank, rank_beside};
use super::severity::Law;

const SIGMA: f64 = 1.0;
const DOUBT: f64 = 0.5;
const CHANCE: f64 = 0.3;
const NOT_LISTED: f64 = 0.4;

fn upper(percent: f64) -> f64 {
    100.0 / (2.0 + percent / 100.0)
}

fn lower(percent: f64) -> f64 {
    100.0 * (1.0 + percent / 100.0) / (2.0 + percent / 100.0)
}

fn law() -> Law {
    Law::new(10.0, 100.0, SeverityLaw::LogUniform).expect("a law")
}

fn foretold() -> Foretold {
    let nodes = 400;
    let reading = |volts: &dyn Fn(f64) -> f64| {
        let severities: Vec<f64> = (0..=nodes)
            .map(|step| law().at(f64::from(step) / f64::from(nodes)))
            .collect();
        Faulty {
            shifts: severities
                .iter()
                .map(|own| Some(vec![Some(volts(*own) - 50.0)]))
                .collect(),
            // The whole range counts.
            reach: vec![9.0; severities.len()],
            severities,
        }
    };
    // Two draws have the standard deviation of a bell of one volt.
    let half = SIGMA / 2.0f64.sqrt();
    Foretold {
        conditions: BenchConditions::default(),
        probes: vec![Probe {
            at: "middle".to_string(),
            to: None,
            what: What::DcVolts,
            spot: Spot::ToChassis(1),
        }],
        healthy: vec![Some(50.0)],
        draws: vec![0, 1],
        drawn: vec![Some(vec![50.0 - half, 50.0 + half])],
        faulty: vec![reading(&upper), reading(&lower)],
        peaks: vec![Some(100.0)],
        work: FaultyWork::default(),
    }
}

fn hypotheses() -> Hypotheses {
    let one = |part: usize| {
        Hypothesis::judged(
            Suspect::Part(part),
            "value high",
            FaultKind::OhmsTimes(part),
            Spread::Law(law()),
            CHANCE,
            "an example",
        )
    };
    Hypotheses {
        list: vec![one(0), one(1)],
        left_out: Vec::new(),
        samples: Vec::new(),
    }
}

fn bell(rest: f64, variance: f64) -> f64 {
    (-0.5 * rest * rest / variance).exp() / (std::f64::consts::TAU * variance).sqrt()
}

/// Density of a reading when the middle stands at these volts.
fn density(read: f64, volts: f64, slip: f64) -> f64 {
    let size = (volts + 0.1) / 50.1;
    let variance = (SIGMA * size).powi(2) + DOUBT * DOUBT + (0.1 * (volts - 50.0)).powi(2);
    let range = 50.0f64.max(read);
    (1.0 - slip) * bell(read - volts, variance) + slip / (2.0 * range)
}

/// The same with a fault that is not listed: a share of the readings, spread evenly in ratios from the stray of healthy
/// sets to the range, either side.
fn strange_density(read: f64) -> f64 {
    let sigma = SIGMA.hypot(DOUBT);
    let (rest, range) = ((read - 50.0).abs(), 50.0f64.max(read));
    let moved = 1.0 / (2.0 * rest.max(sigma) * (1.0 + (range / sigma).ln()));
    let shares = [0.1, 0.3, 0.5, 0.7, 0.9];
    let each = shares.iter();
    let all: f64 = each
        .map(|share| (1.0 - share) * bell(read - 50.0, sigma * sigma) + share * moved)
        .sum();
    all / 5.0
}

#[test]
fn weights_are_those_of_a_fine_sum() {
    for read in [30.0, 38.0, 47.0, 50.0, 55.0, 66.0, 90.0] {
        let seen = [Seen {
            conditions: 0,
            probe: 0,
            value: read,
            doubt: DOUBT,
        }];
        let ranking = rank(&hypotheses(), &[foretold()], &seen);
        let steps = 20_000;
        let summed = |volts: &dyn Fn(f64) -> f64| {
            let odds = CHANCE / (1.0 - CHANCE);
            let sum: f64 = (0..steps)
                .map(|step| {
                    let share = (f64::from(step) + 0.5) / f64::from(steps);
                    density(read, volts(10.0 * 10.0f64.powf(share)), SLIP)
                })
                .sum();
            odds * sum / f64::from(steps)
        };
        let (one, other) = (summed(&upper), summed(&lower));
        let healthy = density(read, 50.0, SLIP);
        // Anyhow, or as one of the two would.
        let alike = ALIKE * (one + other) * (1.0 - CHANCE) / CHANCE;
        let strange = NOT_LISTED * strange_density(read) + alike;
        let total = one + other + healthy + strange;
        for (suspect, own) in [(0, one), (1, other)] {
            let found = ranking
                .suspects
                .iter()
                .find(|own| own.suspect == Suspect::Part(suspect))
                .expect("a suspect");
            let close = (found.weight - own / total).abs() < 0.01;
            assert!(close, "{read}: {} {}", found.weight, own / total);
        }
        assert!((ranking.healthy - healthy / total).abs() < 0.01);
        assert!((ranking.not_listed - strange / total).abs() < 0.01);
        let sum: f64 = ranking.suspects.iter().map(|own| own.weight).sum();
        assert!((sum + ranking.healthy + ranking.not_listed - 1.0).abs() < 1e-9);
    }
}

#[test]
fn the_side_that_rose_is_told_and_a_wild_reading_is_not() {
    let told = |read: f64| {
        let seen = [Seen {
            conditions: 0,
            probe: 0,
            value: read,
            doubt: DOUBT,
        }];
        rank(&hypotheses(), &[foretold()], &seen)
    };
    let low = told(38.0);
    assert_eq!(low.suspects[0].suspect, Suspect::Part(0));
    assert!(low.suspects[0].weight > 0.9 && !low.nothing_explains);
    assert_eq!(low.suspects[0].speak_for.first().map(|own| own.0), Some(0));
    // 61.5 percent more above: 100 / 2.615.
    let way = &low.suspects[0].ways[0];
    assert!((way.severity / 63.0 - 1.0).abs() < 0.1, "{}", way.severity);
    assert_eq!(told(62.0).suspects[0].suspect, Suspect::Part(1));
    assert!(told(0.5).not_listed > 0.5, "{}", told(0.5).not_listed);
    assert!(told(0.5).nothing_explains);
}

#[test]
fn no_reading_no_news_and_the_same_twice() {
    let seen: [Seen; 0] = [];
    let ranking = rank(&hypotheses(), &[foretold()], &seen);
    let odds = CHANCE / (1.0 - CHANCE);
    let total = 2.0 * odds + 1.0 + NOT_LISTED + 2.0 * ALIKE;
    assert!((ranking.suspects[0].weight - odds / total).abs() < 1e-9);
    assert!(!ranking.nothing_explains);
    assert_eq!(ranking, rank(&hypotheses(), &[foretold()], &seen));
    // What nothing is foretold of is no evidence.
    let strange = [Seen {
        conditions: 0,
        probe: 7,
        value: 3.0,
        doubt: 0.1,
    }];
    let with = rank(&hypotheses(), &[foretold()], &strange);
    assert_eq!(with.unused, [0]);
    assert_eq!(with.suspects[0].weight, ranking.suspects[0].weight);
}

/// Bayes' rule: evidence that is four times likelier with one fault multiplies its weight against
/// the other by four, whatever was read.
#[test]
fn evidence_beside_the_readings_multiplies() {
    let seen = [Seen {
        conditions: 0,
        probe: 0,
        value: 47.0,
        doubt: DOUBT,
    }];
    let foretold = [foretold()];
    let of = |ranking: &super::rank::Ranking, part: usize| {
        let mut own = ranking.suspects.iter();
        own.find(|own| own.suspect == Suspect::Part(part))
            .map_or(f64::NAN, |own| own.weight)
    };
    let plain = rank(&hypotheses(), &foretold, &seen);
    let beside = rank_beside(&hypotheses(), &foretold, &seen, &|number: usize, _: f64| {
        if number == 1 { 4.0f64.ln() } else { 0.0 }
    });
    let times = of(&beside, 1) / of(&beside, 0) / (of(&plain, 1) / of(&plain, 0));
    assert!((times - 4.0).abs() < 1e-9, "{times}");
    let healthy = of(&beside, 0) / beside.healthy / (of(&plain, 0) / plain.healthy);
    assert!((healthy - 1.0).abs() < 1e-9, "{healthy}");
}
