//! Everything that was found of parts by themselves, against the faults of those parts.
//!
//! Natural logarithms of how many times likelier it is with a fault than where the part is not to blame. A figure is
//! weighed by its [`Gauge`]; an exchange and a bridge by whether the fault is gone then, by chance in one of fifty
//! (judgement). Source: Bayes' rule. Nothing here fails.

use crate::wiring::{FaultKind, SetModel};

use super::super::hypotheses::{Hypotheses, Hypothesis, Suspect};
use super::super::outcome::{Check, missed};
use super::super::predict::Foretold;
use super::super::rank::Beside;
use super::super::signs::signal_way::SignalEnd;
use super::{BY_CHANCE, ByItself, Gauge};

/// Whether this check tries a good one, in its place or across it.
fn is_trial(check: Check) -> bool {
    matches!(check, Check::Exchange | Check::Bridge)
}

/// A trial with a good one: how many times likelier this came of it, by the kind of fault.
fn by_trial(check: Check, kind: &FaultKind, is_cured: bool) -> f64 {
    let misses = missed(check, kind);
    match is_cured {
        true => ((1.0 - misses + misses * BY_CHANCE) / BY_CHANCE).ln(),
        false => misses.ln(),
    }
}

/// One figure of a part, against the part's own faults.
#[derive(Debug, Clone, PartialEq)]
pub(in super::super) struct Figured {
    by: By,
    /// The part's faults, each with its position.
    own: Vec<(usize, Hypothesis)>,
}

/// What was found, ready to be weighed.
#[derive(Debug, Clone, PartialEq)]
enum By {
    Figure(Gauge, f64),
    /// A trial, and whether the fault was gone.
    Trial(Check, bool),
}

impl Figured {
    /// `None` where such a check says nothing of the part.
    pub(in super::super) fn of(
        model: &SetModel<'_>,
        hypotheses: &Hypotheses,
        foretold: &[Foretold],
        figure: &ByItself,
    ) -> Option<Figured> {
        let of = (figure.suspect, figure.check);
        let none = &|_: usize, _: f64| 0.0;
        let by = match is_trial(figure.check) {
            true => By::Trial(figure.check, figure.value > 0.5),
            false => By::Figure(
                Gauge::new(model, hypotheses, foretold, none, of)?,
                figure.value,
            ),
        };
        let list = hypotheses.list.iter().enumerate();
        Some(Figured {
            by,
            own: list
                .filter(|(_, own)| own.suspect == figure.suspect)
                .map(|(at, own)| (at, own.clone()))
                .collect(),
        })
    }

    /// Whether it is of this suspect.
    #[cfg(test)]
    pub(super) fn is_of(&self, suspect: Suspect) -> bool {
        self.own.iter().any(|own| own.1.suspect == suspect)
    }

    /// Natural logarithm of how many times likelier the figure is with a fault than where the part is not to
    /// blame; nought for faults of other parts.
    pub(in super::super) fn log(&self, hypothesis: usize, severity: f64) -> f64 {
        let own = self.own.iter().find(|own| own.0 == hypothesis);
        own.map_or(0.0, |(_, own)| match &self.by {
            By::Figure(gauge, value) => gauge.likelier(own, severity, *value),
            By::Trial(check, is_cured) => by_trial(*check, &own.kind, *is_cured),
        })
    }
}

/// Everything that was measured by itself, against the faults of its parts.
pub struct AllByThemselves<'a> {
    found: Vec<(Gauge, f64)>,
    /// Those tried with a good one, how, and whether that cured the set.
    tried: Vec<(Suspect, Check, bool)>,
    hypotheses: &'a Hypotheses,
    /// What else is known beside the readings.
    beside: &'a dyn Beside,
}

impl<'a> AllByThemselves<'a> {
    /// Takes these figures, and what else is known beside the readings.
    pub fn new(
        model: &SetModel<'_>,
        hypotheses: &'a Hypotheses,
        foretold: &[Foretold],
        beside: &'a dyn Beside,
        figures: &[ByItself],
    ) -> AllByThemselves<'a> {
        let of = |own: &ByItself| {
            let by = (own.suspect, own.check);
            let gauge = Gauge::new(model, hypotheses, foretold, beside, by)?;
            Some((gauge, own.value))
        };
        AllByThemselves {
            found: figures.iter().filter_map(of).collect(),
            tried: figures
                .iter()
                .filter(|own| is_trial(own.check))
                .map(|own| (own.suspect, own.check, own.value > 0.5))
                .collect(),
            hypotheses,
            beside,
        }
    }

    /// Natural logarithm of how many times likelier the figures are with this fault, by position, at a severity in
    /// its row's unit than where its part is not to blame.
    pub fn likelier(&self, hypothesis: usize, severity: f64) -> f64 {
        if self.found.is_empty() && self.tried.is_empty() {
            return 0.0;
        }
        let Some(own) = self.hypotheses.list.get(hypothesis) else {
            return 0.0;
        };
        let figures = self.found.iter();
        let of_figures: f64 = figures
            .filter(|(gauge, _)| gauge.is_of(own.suspect))
            .map(|(gauge, value)| gauge.likelier(own, severity, *value))
            .sum();
        let tried = self.tried.iter();
        let of_trials: f64 = tried
            .filter(|(suspect, ..)| *suspect == own.suspect)
            .map(|(_, check, is_cured)| by_trial(*check, &own.kind, *is_cured))
            .sum();
        of_figures + of_trials
    }
}

impl Beside for AllByThemselves<'_> {
    fn log(&self, hypothesis: usize, severity: f64) -> f64 {
        self.beside.log(hypothesis, severity) + self.likelier(hypothesis, severity)
    }

    fn is_felt(&self, hypothesis: usize, severity: f64) -> bool {
        self.beside.is_felt(hypothesis, severity)
    }

    fn not_listed(&self) -> Vec<f64> {
        self.beside.not_listed()
    }

    /// What was found of either part counts.
    fn together(&self, one: (usize, f64), other: (usize, f64)) -> f64 {
        self.beside.together(one, other)
            + self.likelier(one.0, one.1)
            + self.likelier(other.0, other.1)
    }

    fn is_left(&self, hypothesis: usize, severity: f64) -> bool {
        self.beside.is_left(hypothesis, severity)
    }

    fn knows_signal(&self, from: Option<usize>, end: SignalEnd) -> bool {
        self.beside.knows_signal(from, end)
    }

    fn knows_glow(&self, tube: usize) -> bool {
        self.beside.knows_glow(tube)
    }

    fn disturbs(&self, hypothesis: usize, severity: f64) -> Option<f64> {
        self.beside.disturbs(hypothesis, severity)
    }
}
