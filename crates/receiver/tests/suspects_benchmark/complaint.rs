//! What is seen and heard of a hidden set, as truth and as evidence.
//!
//! Plain chances. A fault that disturbs shows in one of the symptoms of the trade (`data/picture_symptoms.csv`), drawn by
//! the sections that its part serves, one of seven any of all; one of fifty healthy sets is complained of. The search is told the same words, by the same table; where nothing is
//! complained of it is told that picture and sound are right. Judgement; no counted survey is known.

use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;
use receiver::practice::hidden::HiddenFault;
use receiver::sections::Sections;
use receiver::suspects::hypotheses::Hypotheses;
use receiver::suspects::signs::able::able;
use receiver::suspects::signs::symptoms::Symptoms;
use receiver::suspects::signs::{Sign, Signs};

use crate::bench::Bench;

/// Chance that a healthy set is complained of.
const MISTAKEN: f64 = 0.02;

/// What is complained of: symptoms by their position in the table.
#[derive(Clone, Default)]
pub struct Complaint {
    seen: Vec<usize>,
}

/// The table over the faults of one set.
pub fn symptoms_of(
    model: &receiver::wiring::SetModel<'_>,
    hypotheses: &Hypotheses,
    foretold: &[receiver::suspects::predict::Foretold],
) -> Symptoms {
    let table = parts::symptoms().expect("the table is sound");
    let sections = Sections::of(model);
    Symptoms::of(model, &sections, hypotheses, foretold, table, 0.3)
}

impl Complaint {
    /// What a healthy set shows.
    pub fn of_healthy(seed: u64) -> Complaint {
        let mut random = Pcg64::seed_from_u64(seed ^ 0x5eed);
        let count = parts::symptoms().expect("the table is sound").len();
        let seen = (random.random::<f64>() < MISTAKEN).then(|| random.random_range(0..count));
        Complaint {
            seen: seen.into_iter().collect(),
        }
    }

    /// What one fault shows that moves readings so far, in standard deviations of healthy sets.
    pub fn of(bench: &Bench<'_, '_>, fault: &HiddenFault, reach: f64, seed: u64) -> Complaint {
        let mut random = Pcg64::seed_from_u64(seed ^ 0xc0de);
        let own = &bench.hypotheses.list[fault.hypothesis];
        if random.random::<f64>() >= able(own, fault.severity, reach) {
            return Complaint::default();
        }
        let count = parts::symptoms().expect("the table is sound").len();
        let mut left = random.random::<f64>();
        let seen = (0..count).find(|symptom| {
            left -= bench.symptoms.chance(*symptom, fault.hypothesis);
            left <= 0.0
        });
        Complaint {
            seen: seen.into_iter().collect(),
        }
    }

    /// Whether anything is complained of.
    pub fn is_any(&self) -> bool {
        !self.seen.is_empty()
    }

    /// What both are.
    pub fn and(mut self, other: &Complaint) -> Complaint {
        self.seen.extend(&other.seen);
        self.seen.sort_unstable();
        self.seen.dedup();
        self
    }

    /// In words.
    pub fn words(&self) -> String {
        let table = parts::symptoms().expect("the table is sound");
        let own = self.seen.iter().map(|at| table[*at].name.as_str());
        own.collect::<Vec<&str>>().join(" and ")
    }

    /// What the search is told of it.
    pub fn told(&self, bench: &Bench<'_, '_>, hypotheses: &Hypotheses) -> Signs {
        let table = parts::symptoms().expect("the table is sound");
        let signs: Vec<Sign> = match self.is_any() {
            true => self
                .seen
                .iter()
                .map(|at| Sign::Symptom(*at, true))
                .collect(),
            false => (0..table.len())
                .map(|at| Sign::Symptom(at, false))
                .collect(),
        };
        Signs::of(bench.model, hypotheses, &bench.foretold, table, &signs)
    }
}
