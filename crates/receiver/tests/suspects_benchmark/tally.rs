//! Shares counted over cases.

use crate::way::{MOST, Went};

/// Counts of one kind of case.
#[derive(Default)]
pub struct Tally {
    pub cases: usize,
    pub first: usize,
    pub in_three: usize,
    pub in_five: usize,
    pub nothing: usize,
    /// No part above one half, or nothing explains.
    pub undecided: usize,
    /// That, or the part above one half is to blame.
    pub fair: usize,
    /// Measurements until sure.
    steps: Vec<usize>,
    /// Weights given, and whether rightly.
    given: Vec<(f64, bool)>,
}

impl Tally {
    pub fn take(&mut self, went: &Went) {
        self.cases += 1;
        self.first += usize::from(went.within(1));
        self.in_three += usize::from(went.within(3));
        self.in_five += usize::from(went.within(5));
        self.nothing += usize::from(went.nothing_explains);
        let undecided = went.nothing_explains || went.most <= 0.5;
        self.undecided += usize::from(undecided);
        self.fair += usize::from(undecided || went.within(1));
        self.given.extend(&went.given);
    }

    pub fn steps(&mut self, sure_after: Option<usize>) {
        self.steps.push(sure_after.unwrap_or(MOST));
    }

    pub fn percent(&self, count: usize) -> f64 {
        100.0 * count as f64 / self.cases.max(1) as f64
    }

    /// Median of the measurements until sure.
    pub fn median(&self) -> usize {
        let mut steps = self.steps.clone();
        steps.sort_unstable();
        steps.get(steps.len() / 2).copied().unwrap_or(MOST)
    }

    /// Among parts given a weight in this range: how many, and the percent that were to blame.
    pub fn calibration(&self, low: f64, high: f64) -> (usize, f64) {
        let own = self.given.iter();
        let own: Vec<bool> = own
            .filter(|own| (low..high).contains(&own.0))
            .map(|own| own.1)
            .collect();
        let rightly = own.iter().filter(|own| **own).count();
        (own.len(), 100.0 * rightly as f64 / own.len().max(1) as f64)
    }

    pub fn add(&mut self, other: &Tally) {
        self.cases += other.cases;
        self.first += other.first;
        self.in_three += other.in_three;
        self.in_five += other.in_five;
        self.nothing += other.nothing;
        self.undecided += other.undecided;
        self.fair += other.fair;
        self.steps.extend(&other.steps);
        self.given.extend(&other.given);
    }
}
