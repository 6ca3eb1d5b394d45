//! Sets with a hidden fault, and what a meter reads in them.
//!
//! Volts. A planted set has every figure drawn from its own spread by a seeded source, and one
//! fault put in; it is solved by itself, from cold. Its readings are written down to three
//! figures, as one reads a meter. Fails by a panic where it cannot be solved, as a test may.
#![allow(dead_code, missing_docs)]

use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;
use receiver::causes::{causes, stage_causes};
use receiver::conditions::BenchConditions;
use receiver::expect::ExpectError;
use receiver::probes::{Probe, all_probes};
use receiver::reading::What;
use receiver::suspects::evidence::Seen;
use receiver::suspects::hypotheses::Hypotheses;
use receiver::suspects::predict::{Foretold, foretell};
use receiver::suspects::rank::{Ranking, rank};
use receiver::whole_set::couple;
use receiver::wiring::{Figure, SetModel, Variation};

use crate::whole_sets::nominal;

pub struct Bench<'m, 's> {
    pub model: &'m SetModel<'s>,
    pub hypotheses: Hypotheses,
    pub foretold: Vec<Foretold>,
}

impl<'m, 's> Bench<'m, 's> {
    pub fn new(model: &'m SetModel<'s>) -> Bench<'m, 's> {
        let catalogue = parts::catalogue().expect("the tables are sound");
        let hypotheses = Hypotheses::of(model, catalogue);
        let probes: Vec<Probe> = all_probes(model, None)
            .into_iter()
            .filter(|probe| probe.what == What::DcVolts)
            .collect();
        let foretold = foretell(model, &[nominal()], &probes, &hypotheses).expect("a settled set");
        Bench {
            model,
            hypotheses,
            foretold,
        }
    }

    pub fn probe(&self, at: &str) -> usize {
        let probes = &self.foretold[0].probes;
        let found = probes.iter().position(|probe| probe.at == at);
        found.unwrap_or_else(|| panic!("no probe at {at}"))
    }

    /// Volts at these places of a planted set.
    pub fn read(&self, fault: &Variation, seed: u64, places: &[&str]) -> Vec<Seen> {
        let volts = planted(self.model, &nominal(), fault, seed);
        places
            .iter()
            .map(|at| {
                let place = self.model.places.find(at).expect("a place");
                let junction = self.model.junction(place).expect("a junction");
                self.seen(at, volts[junction])
            })
            .collect()
    }

    /// One reading at a place, to three figures; a good bench meter may be off by 1.5 percent
    /// (common practice) and its last figure.
    pub fn seen(&self, at: &str, volts: f64) -> Seen {
        Seen {
            conditions: 0,
            probe: self.probe(at),
            value: format!("{volts:.2e}").parse().expect("a number"),
            doubt: 0.015 * volts.abs() + 0.02,
        }
    }

    pub fn rank(&self, seen: &[Seen]) -> Ranking {
        rank(&self.hypotheses, &self.foretold, seen)
    }

    /// Place of a reference in the ranking, from 1.
    pub fn place_of(&self, ranking: &Ranking, reference: &str) -> usize {
        let found = ranking
            .suspects
            .iter()
            .position(|own| own.suspect.reference(self.model) == reference);
        1 + found.unwrap_or_else(|| panic!("{reference} is not suspected"))
    }

    /// The first suspects in a line.
    pub fn told(&self, ranking: &Ranking) -> String {
        let mut line = String::new();
        for own in ranking.suspects.iter().take(5) {
            let way = &self.hypotheses.list[own.ways[0].hypothesis];
            line += &format!(
                "{} {:.3} ({} {:.3e}); ",
                own.suspect.reference(self.model),
                own.weight,
                way.fault,
                own.ways[0].severity
            );
        }
        line + &format!(
            "healthy {:.1e}, not listed {:.1e}, nothing {}, untold {}",
            ranking.healthy, ranking.not_listed, ranking.nothing_explains, ranking.untold
        )
    }
}

/// Volts by junction of a set with drawn parts and a fault.
pub fn planted(
    model: &SetModel<'_>,
    conditions: &BenchConditions,
    fault: &Variation,
    seed: u64,
) -> Vec<f64> {
    solved(model, conditions, fault, seed).expect("a settled set")
}

/// The same, or why it has none.
pub fn solved(
    model: &SetModel<'_>,
    conditions: &BenchConditions,
    fault: &Variation,
    seed: u64,
) -> Result<Vec<f64>, ExpectError> {
    let mut random = Pcg64::seed_from_u64(seed);
    let mut variation = Variation::none();
    for cause in causes(model, conditions).iter().chain(&stage_causes(model)) {
        let ratio = cause.spread.ratio(random.random::<f64>());
        if !matches!(
            cause.figure,
            Figure::Meter | Figure::Model | Figure::StageDraw(_) | Figure::StageDraws
        ) {
            variation.set(cause.figure, ratio);
        }
    }
    for figure in fault.figures() {
        variation.set(figure, variation.factor(figure) * fault.factor(figure));
    }
    variation.changes.clone_from(&fault.changes);
    couple(model, conditions, &variation, &[]).map(|set| set.volts)
}
