//! One sign weighed, and all of them together.
//!
//! Natural logarithms, of how many times likelier signs are with a fault than in a healthy set. What a fault does to
//! picture, sound and signals has one cause, that it disturbs its stage ([`super::able`](mod@super::able)): where it does, each sign is as likely as
//! its rule says; where it does not, as in a healthy set. So a complaint tells that the fault disturbs, and a signal watched for
//! later counts the more for it. Glow and figures of single parts come whether it disturbs or not. A fault that is not listed
//! disturbs with a chance of [`STRANGE`]; where a symptom is shown it counts as often as the table of symptoms names parts that the
//! sheet has not. Nothing here fails.

use parts::SetSection;

use super::changes::{pulled, warms};
use super::glow::{self, Glow};
use super::signal_way::Ways;
use super::signals::{self, SignalCame};
use super::symptoms::{Symptoms, by_the_way, none_of};
use super::{CAN_BE, NO_WAY, Sign, along, sides};
use crate::suspects::by_itself::Figured;
use crate::suspects::hypotheses::Hypotheses;
use crate::suspects::likelihood::sum_of_logs;
use crate::suspects::predict::Foretold;
use crate::wiring::SetModel;

/// Chance that a fault which is not listed disturbs its stage (judgement: as an open part does).
const STRANGE: f64 = 0.8;

/// One sign, weighed.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Weighed {
    /// By hypothesis: where it disturbs.
    disturbing: Vec<f64>,
    /// By hypothesis, of a symptom that is not there: its chance where the fault disturbs. Empty for all other signs.
    absent: Vec<f64>,
    /// By hypothesis, by solved severity: whether it disturbs or not.
    either: Vec<Vec<f64>>,
    /// A figure is sharper than the solved severities lie apart: it is weighed at each.
    figured: Option<Figured>,
    /// For a fault that is not listed and disturbs, by the section where it sits; of a symptom that is not there its chance.
    not_listed: Vec<f64>,
    /// For one that is not listed, whether it disturbs or not.
    not_listed_either: f64,
    is_symptom: bool,
    /// Whether it tells that something is wrong; two faults then explain it as well as the likelier.
    pub is_complaint: bool,
    /// Logarithm up to which it is left unexplained: of what shows so only by the way.
    pub left: f64,
    /// The same of a symptom with the fault that explains it best.
    pub most: f64,
}

/// What signs are weighed by.
pub(super) struct Weighing<'a, 's> {
    pub model: &'a SetModel<'s>,
    pub ways: Ways<'a, 's>,
    pub hypotheses: &'a Hypotheses,
    pub foretold: &'a [Foretold],
    pub symptoms: &'a Symptoms,
}

impl Weighing<'_, '_> {
    /// Says why where a sign cannot be weighed.
    pub(super) fn sign(&self, sign: &Sign) -> Result<Weighed, String> {
        let (hypotheses, symptoms) = (self.hypotheses, self.symptoms);
        let count = hypotheses.list.len();
        let mut own = Weighed {
            disturbing: vec![0.0; count],
            absent: Vec::new(),
            either: Vec::new(),
            figured: None,
            not_listed: vec![0.0; SetSection::WORDS.len()],
            not_listed_either: 0.0,
            is_symptom: false,
            is_complaint: false,
            left: CAN_BE,
            most: 0.0,
        };
        match *sign {
            Sign::Symptom(at, true) => {
                own.disturbing = (0..count).map(|number| symptoms.seen(at, number)).collect();
                own.not_listed = symptoms.seen_not_listed(at);
                (own.is_symptom, own.is_complaint) = (true, true);
                own.left = by_the_way();
                own.most = own.disturbing.iter().fold(0.0, |a, b| a.max(*b));
            }
            Sign::Symptom(at, false) => {
                own.absent = (0..count)
                    .map(|number| symptoms.chance(at, number))
                    .collect();
                own.not_listed = symptoms.chance_not_listed(at);
                own.is_symptom = true;
            }
            Sign::Signal { from, end, came } => {
                let on = signals::on_the_way(&self.ways, hypotheses, from, end).ok_or(NO_WAY)?;
                let strange = signals::of_sections(self.ways.sections, hypotheses, &on);
                let likelier = |on: &f64| signals::likelier(came, *on);
                own.disturbing = on.iter().map(likelier).collect();
                own.not_listed = strange.iter().map(likelier).collect();
                own.is_complaint = came != SignalCame::Right;
            }
            Sign::Wave { from, end, wave } => {
                let on = signals::on_the_way(&self.ways, hypotheses, from, end).ok_or(NO_WAY)?;
                let strange = signals::of_sections(self.ways.sections, hypotheses, &on);
                let likelier = |on: &f64| wave.likelier(*on);
                own.disturbing = on.iter().map(likelier).collect();
                own.not_listed = strange.iter().map(likelier).collect();
                own.is_complaint = wave.likelier(1.0) > 0.0;
            }
            Sign::Pulled { tube, end, gone } => {
                let (before, behind) = sides(self.model, &self.ways, hypotheses, tube, end)?;
                own.disturbing = pulled(gone, &before, &behind);
            }
            Sign::Warms(warmth) => own.disturbing = warms(hypotheses, warmth),
            Sign::Glow(tube, glow) => {
                own.either = glow::weighed(self.model, hypotheses, self.foretold, tube, glow);
                own.is_complaint = glow != Glow::Usual;
                own.not_listed_either = if own.is_complaint { CAN_BE } else { 0.0 };
            }
            Sign::Measured(ref figure) => {
                let figured = Figured::of(self.model, hypotheses, self.foretold, figure);
                own.figured = Some(figured.ok_or("such a check says nothing of this part")?);
            }
        }
        Ok(own)
    }
}

/// Of one or the other, each as often as the chance says.
fn either_of(able: f64, disturbing: f64) -> f64 {
    if disturbing == 0.0 || able <= 0.0 {
        return 0.0;
    }
    sum_of_logs(&[able.ln() + disturbing, (1.0 - able).ln()])
}

impl Weighed {
    /// This sign alone.
    pub(super) fn log(
        &self,
        hypothesis: usize,
        severity: f64,
        (severities, able): (&[f64], f64),
    ) -> f64 {
        if let Some(chance) = self.absent.get(hypothesis) {
            return (1.0 - able * chance).ln();
        }
        let disturbing = self.disturbing.get(hypothesis).copied().unwrap_or(0.0);
        either_of(able, disturbing) + self.either(hypothesis, severity, severities)
    }

    /// What comes whether it disturbs or not.
    pub(super) fn either(&self, hypothesis: usize, severity: f64, severities: &[f64]) -> f64 {
        if let Some(figured) = &self.figured {
            return figured.log(hypothesis, severity);
        }
        let logs = self.either.get(hypothesis);
        logs.map_or(0.0, |logs| along(severities, logs, severity))
    }
}

/// All signs of a set together.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Joint {
    /// By hypothesis: where it disturbs.
    disturbing: Vec<f64>,
    /// By hypothesis, by solved severity: whether it disturbs.
    able: Vec<Vec<f64>>,
    /// By section where one sits that is not listed.
    not_listed: Vec<f64>,
    /// Whether some symptom is shown.
    is_shown: bool,
}

impl Joint {
    /// `shown` has for each section the odds of a fault that is not listed and shows, over those before anything is known.
    pub(super) fn of(
        each: &[Result<Weighed, String>],
        able: Vec<Vec<f64>>,
        shown: &[f64],
    ) -> Joint {
        let signs = || each.iter().flatten();
        let is_shown = signs().any(|own| own.is_symptom && own.is_complaint);
        let sections = SetSection::WORDS.len();
        let mut disturbing = vec![0.0; able.len()];
        let mut absent = vec![0.0; able.len()];
        let mut strange = vec![0.0; sections];
        let mut strange_absent = vec![0.0; sections];
        let mut strange_either = 0.0;
        let add = |sums: &mut [f64], own: &[f64]| {
            for (sum, own) in sums.iter_mut().zip(own) {
                *sum += own;
            }
        };
        for own in signs() {
            add(&mut disturbing, &own.disturbing);
            add(&mut absent, &own.absent);
            strange_either += own.not_listed_either;
            match own.absent.is_empty() {
                true => add(&mut strange, &own.not_listed),
                false => add(&mut strange_absent, &own.not_listed),
            }
        }
        for (sum, absent) in disturbing.iter_mut().zip(&absent) {
            *sum += none_of(*absent, is_shown);
        }
        let not_listed = (0..sections).map(|at| {
            let log = strange[at] + none_of(strange_absent[at], is_shown);
            let odds = match is_shown {
                true => shown.get(at).copied().unwrap_or(0.0).max(STRANGE),
                false => STRANGE,
            };
            strange_either + sum_of_logs(&[odds.ln() + log, (1.0 - STRANGE).ln()])
        });
        Joint {
            not_listed: not_listed.collect(),
            disturbing,
            able,
            is_shown,
        }
    }

    /// Chance that a fault of this severity disturbs, before any sign.
    pub(super) fn able(&self, hypothesis: usize, severity: f64, severities: &[f64]) -> f64 {
        let able = self.able.get(hypothesis).map_or(&[][..], Vec::as_slice);
        along(severities, able, severity).clamp(0.0, 1.0)
    }

    /// Chance that it does, by all signs.
    pub(super) fn disturbs(&self, hypothesis: usize, able: f64) -> f64 {
        let log = self.disturbing.get(hypothesis).copied().unwrap_or(0.0);
        let (yes, no) = (able * log.exp(), 1.0 - able);
        if yes + no > 0.0 {
            yes / (yes + no)
        } else {
            able
        }
    }

    /// What picture, sound and signals tell of it.
    pub(super) fn log(&self, hypothesis: usize, able: f64) -> f64 {
        either_of(
            able,
            self.disturbing.get(hypothesis).copied().unwrap_or(0.0),
        )
    }

    /// The same of two faults, of which each may disturb: each sign that tells of something wrong is the likelier one's.
    pub(super) fn log_of_two(
        &self,
        each: &[Result<Weighed, String>],
        one: (usize, f64),
        other: (usize, f64),
    ) -> f64 {
        let alone = |own: (usize, f64)| self.disturbing.get(own.0).copied().unwrap_or(0.0);
        let mut both = 0.0;
        let mut absent = 0.0;
        for own in each.iter().flatten() {
            let of = |logs: &[f64], at: usize| logs.get(at).copied().unwrap_or(0.0);
            let (a, b) = (of(&own.disturbing, one.0), of(&own.disturbing, other.0));
            both += if own.is_complaint { a.max(b) } else { a + b };
            absent += of(&own.absent, one.0).max(of(&own.absent, other.0));
        }
        both += none_of(absent, self.is_shown);
        let (a, b) = (one.1, other.1);
        sum_of_logs(&[
            (a * (1.0 - b)).ln() + alone(one),
            ((1.0 - a) * b).ln() + alone(other),
            (a * b).ln() + both,
            ((1.0 - a) * (1.0 - b)).ln(),
        ])
    }

    /// By section where one sits that is not listed.
    pub(super) fn not_listed(&self) -> &[f64] {
        &self.not_listed
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A sign worth so much, by hypothesis, where the fault disturbs.
    fn sign(disturbing: &[f64], is_complaint: bool) -> Result<Weighed, String> {
        Ok(Weighed {
            disturbing: disturbing.iter().map(|times| times.ln()).collect(),
            absent: Vec::new(),
            either: Vec::new(),
            figured: None,
            not_listed: vec![0.0; SetSection::WORDS.len()],
            not_listed_either: 0.0,
            is_symptom: is_complaint,
            is_complaint,
            left: CAN_BE,
            most: 0.0,
        })
    }

    /// By hand, with one cause behind two signs: half of the faults disturb, ten times each is a hundred for both.
    #[test]
    fn two_signs_of_one_cause_are_weighed_together() {
        let each = [sign(&[10.0, 1.0], true), sign(&[10.0, 0.1], false)];
        let joint = Joint::of(&each, vec![vec![0.5], vec![0.5]], &[]);
        let both = joint.log(0, 0.5);
        assert!((both - (0.5f64 * 100.0 + 0.5).ln()).abs() < 1e-12, "{both}");
        // Signs that are independent of one another would tell (0.5 * 10 + 0.5)^2: less.
        assert!(both > 2.0 * (0.5f64 * 10.0 + 0.5).ln());
        // It disturbs, then, in 50 of 50.5.
        assert!((joint.disturbs(0, 0.5) - 50.0 / 50.5).abs() < 1e-12);
        // What comes right tells that the other does not.
        assert!((joint.disturbs(1, 0.5) - 0.05 / 0.55).abs() < 1e-12);
        assert_eq!(joint.log(0, 0.0), 0.0);
        // Two faults: neither, one, the other, or both disturb, a quarter each; both show the complaint as the likelier
        // does, and the other sign of each.
        let two = joint.log_of_two(&each, (0, 0.5), (1, 0.5));
        let hand = 0.25 * (1.0 + 100.0 + 0.1 + 10.0 * 1.0);
        assert!((two - f64::ln(hand)).abs() < 1e-12, "{two}");
    }

    /// By hand: a fault that would show in one of the symptoms is overlooked by one owner of twenty.
    #[test]
    fn silence_speaks_against_what_disturbs() {
        let absent = |chance: f64| {
            let mut own = sign(&[1.0], false).expect("a sign");
            own.absent = vec![chance];
            own.is_symptom = true;
            Ok(own)
        };
        let each = [absent(0.6), absent(0.4)];
        let joint = Joint::of(&each, vec![vec![0.8]], &[]);
        assert!((joint.log(0, 0.8) - f64::ln(0.8 * 0.05 + 0.2)).abs() < 1e-12);
    }
}
