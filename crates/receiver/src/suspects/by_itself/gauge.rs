//! What an instrument shows of one part with each of its ways of failing.
//!
//! Ohms, farads, percent, share of the volts at a loose end; densities over the natural logarithm. A figure is a bell
//! about what the fault makes of it, as wide as good parts and the instrument let it; a small part of all figures is a
//! mistake and lies anywhere. Source: spreads from the causes of healthy sets, the rest judgement beside each constant.
//! A check that says nothing of a part gives no gauge.

use crate::causes::Cause;
use crate::sheet::PartValue;
use crate::wiring::{FaultKind, Figure, SetModel};

use super::super::hypotheses::{Hypotheses, Hypothesis, Spread, Suspect};
use super::super::outcome::Check;
use super::super::predict::{Faulty, Foretold};
use super::super::rank::Beside;
use super::super::sum::{OUT_OF_BAND, counted};
use super::{
    ANYWHERE, INSTRUMENT, MISTAKE, MOST_OHMS, NO_FARADS, NO_PERCENT, NO_SHARE, POINTS, SHARE_DOUBT,
    SHORT_MISSED, SHORTED_OHMS, TESTER, share_at_loose_end, tester_percent,
};

/// Where the logarithm of a figure lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in super::super) struct Bell {
    log: f64,
    sigma: f64,
}

impl Bell {
    fn new(value: f64, spread: f64, check: Check) -> Bell {
        let value = shown(value, check);
        let instrument = match check {
            Check::TubeTester => TESTER,
            Check::LooseEnd { .. } => INSTRUMENT.hypot(SHARE_DOUBT / value),
            _ => INSTRUMENT,
        };
        Bell {
            log: value.ln(),
            sigma: spread.hypot(instrument),
        }
    }

    fn density(&self, log: f64) -> f64 {
        let steps = (log - self.log) / self.sigma;
        (-0.5 * steps * steps).exp() / (self.sigma * std::f64::consts::TAU.sqrt())
    }

    /// Share below.
    pub(in super::super) fn below(&self, log: f64) -> f64 {
        let steps = (log - self.log) / (self.sigma * std::f64::consts::SQRT_2);
        0.5 * libm::erfc(-steps)
    }
}

/// A figure as the instrument shows it, within its range.
fn shown(value: f64, check: Check) -> f64 {
    match check {
        Check::TubeTester => value.clamp(NO_PERCENT, 1e3),
        Check::Capacitance => value.max(1e-15),
        Check::LooseEnd { .. } => value.clamp(NO_SHARE, 1.2),
        _ => value.clamp(1e-3, MOST_OHMS),
    }
}

/// Middle and spread of the logarithm of a ratio among healthy sets.
fn sample(samples: &[Cause], figure: Figure) -> (f64, f64) {
    let own = samples.iter().find(|own| own.figure == figure);
    own.map_or((0.0, 0.0), |own| {
        let at = |share: f64| own.spread.ratio(share).max(1e-3).ln();
        (at(0.5), 0.5 * (at(0.84) - at(0.16)))
    })
}

/// What a check is about of a part: the sheet's figure as healthy sets have it, and its spread.
fn healthy(
    model: &SetModel<'_>,
    samples: &[Cause],
    suspect: Suspect,
    check: Check,
) -> Option<(f64, f64)> {
    let of = |value: f64, figure: Figure| {
        let (middle, spread) = sample(samples, figure);
        Some((value * middle.exp(), spread))
    };
    match suspect {
        Suspect::Transformer(_) | Suspect::Socket(_) => None,
        Suspect::Tube(tube) => match check {
            Check::TubeTester => of(100.0, Figure::TubeStrength(tube)),
            _ => None,
        },
        Suspect::Part(part) => {
            let is_capacitor = matches!(
                model.sheet.parts.get(part)?.value,
                PartValue::Capacitor { .. }
            );
            match check {
                Check::Ohms | Check::Leakage if is_capacitor => Some((MOST_OHMS, 0.1)),
                Check::LooseEnd { .. } if is_capacitor => Some((NO_SHARE, 0.0)),
                Check::Ohms => of(model.ohms(part)?, Figure::Ohms(part)),
                Check::Capacitance => of(model.farads(part)?, Figure::Farads(part)),
                _ => None,
            }
        }
    }
}

/// What a check sees of a fault.
enum Seen {
    /// A figure, and the share of such parts that show none of it.
    Figure(Bell, f64),
    /// It is told by a lamp or a word; this share shows nothing.
    Word(f64),
    Nothing,
}

/// One part by itself, with all its ways of failing.
#[derive(Debug, Clone, PartialEq)]
pub(in super::super) struct Gauge {
    suspect: Suspect,
    check: Check,
    value: f64,
    spread: f64,
    sound: Bell,
    /// Those that no reading feels: bell and chance.
    harmless: Vec<(Bell, f64)>,
}

impl Gauge {
    /// `None` where this check says nothing of this part.
    pub(in super::super) fn new(
        model: &SetModel<'_>,
        hypotheses: &Hypotheses,
        foretold: &[Foretold],
        beside: &dyn Beside,
        (suspect, check): (Suspect, Check),
    ) -> Option<Gauge> {
        let (value, spread) = healthy(model, &hypotheses.samples, suspect, check)?;
        let mut gauge = Gauge {
            suspect,
            check,
            value,
            spread,
            sound: Bell::new(value, spread, check),
            harmless: Vec::new(),
        };
        for (number, own) in hypotheses.list.iter().enumerate() {
            if own.suspect != suspect || own.chance <= 0.0 {
                continue;
            }
            let points = match own.spread {
                Spread::Once(_) => 1,
                Spread::Law(_) => POINTS,
            };
            for point in 0..points {
                let share = (point as f64 + 0.5) / points as f64;
                let severity = match own.spread {
                    Spread::Once(severity) => severity,
                    Spread::Law(law) => law.at(share),
                };
                let by_readings = counted(foretold).any(|told| {
                    let faulty = told.faulty.get(number);
                    faulty.is_some_and(|own| reach(own, share) > OUT_OF_BAND)
                });
                let is_felt = by_readings || beside.is_felt(number, severity);
                if !is_felt && let Seen::Figure(bell, missed) = gauge.sees(own, severity) {
                    let chance = own.chance * (1.0 - missed) / points as f64;
                    gauge.harmless.push((bell, chance));
                }
            }
        }
        // No part has more faults than one of these at once.
        let all: f64 = gauge.harmless.iter().map(|own| own.1).sum();
        if all > 0.95 {
            for own in &mut gauge.harmless {
                own.1 *= 0.95 / all;
            }
        }
        Some(gauge)
    }

    /// Whether it is of this suspect.
    pub(super) fn is_of(&self, suspect: Suspect) -> bool {
        self.suspect == suspect
    }

    /// Whether the check sees anything of this fault.
    pub(in super::super) fn is_about(&self, hypothesis: &Hypothesis) -> bool {
        let severity = match hypothesis.spread {
            Spread::Once(severity) => severity,
            Spread::Law(law) => law.low(),
        };
        hypothesis.suspect == self.suspect
            && !matches!(self.sees(hypothesis, severity), Seen::Nothing)
    }

    fn sees(&self, hypothesis: &Hypothesis, severity: f64) -> Seen {
        use FaultKind as Kind;
        let severity = hypothesis.in_own_unit(severity);
        let misses = match (self.check, &hypothesis.kind) {
            (Check::Ohms, Kind::CapacitorLeak(_)) if severity < SHORTED_OHMS => SHORT_MISSED,
            (check, _) => hypothesis.missed(check),
        };
        let bell =
            |value: f64, spread: f64| Seen::Figure(Bell::new(value, spread, self.check), misses);
        let beside = |ohms: f64| match self.sound.log {
            log if log >= MOST_OHMS.ln() => ohms,
            _ => 1.0 / (1.0 / ohms + 1.0 / self.value),
        };
        match (self.check, &hypothesis.kind) {
            (Check::Ohms, Kind::OhmsTimes(_)) => bell(self.value * severity, self.spread),
            // From an end to the wiper.
            (Check::Ohms, Kind::AtWiper(_)) if severity > MOST_OHMS => bell(f64::INFINITY, 0.1),
            (Check::Ohms, Kind::Open(_)) if self.value < 0.5 * MOST_OHMS => {
                bell(f64::INFINITY, 0.1)
            }
            (Check::Ohms | Check::Leakage, Kind::CapacitorLeak(_) | Kind::Across(_))
            | (Check::Ohms, Kind::MetalShorted(_)) => bell(beside(severity), 0.12),
            (Check::LooseEnd { meter_ohms }, Kind::CapacitorLeak(_)) => {
                let share = share_at_loose_end(severity, meter_ohms as f64);
                bell(share, 0.12 * (1.0 - share))
            }
            // Nothing comes through it, as through a sound one; but few old ones are sound.
            (Check::LooseEnd { .. }, Kind::Open(_)) => {
                Seen::Figure(Bell::new(0.0, 0.0, self.check), 0.0)
            }
            (Check::Capacitance, Kind::FaradsTimes(_)) => bell(self.value * severity, self.spread),
            (Check::Capacitance, Kind::Open(_)) => bell(self.value * NO_FARADS, 1.0),
            (Check::Capacitance, Kind::SeriesOhms { .. }) => Seen::Word(misses),
            (Check::TubeTester, Kind::Emission { .. }) => {
                bell(tester_percent(1.0, severity), self.spread)
            }
            (Check::TubeTester, Kind::HeaterOpen(_)) => bell(0.0, 0.1),
            (
                Check::TubeTester,
                Kind::Between { .. }
                | Kind::TubeShorted { .. }
                | Kind::HeaterToCathode { .. }
                | Kind::GridCurrent { .. },
            ) => Seen::Word(misses),
            _ => Seen::Nothing,
        }
    }

    /// Density of a figure where this part is not to blame.
    fn innocent(&self, log: f64) -> f64 {
        let bad: f64 = self.harmless.iter().map(|own| own.1).sum();
        let harmless = self.harmless.iter();
        let of_harmless: f64 = harmless
            .map(|(bell, chance)| chance * bell.density(log))
            .sum();
        MISTAKE / ANYWHERE + (1.0 - MISTAKE) * ((1.0 - bad) * self.sound.density(log) + of_harmless)
    }

    /// Natural logarithm of how many times likelier this figure is with the fault than where the part is not
    /// to blame.
    pub(super) fn likelier(&self, hypothesis: &Hypothesis, severity: f64, value: f64) -> f64 {
        // Next to nothing is nothing, whatever strays the meter shows of an open capacitor.
        let least = match self.check {
            Check::Capacitance => self.value * NO_FARADS,
            _ => 0.0,
        };
        let log = shown(value.max(least), self.check).ln();
        let innocent = self.innocent(log);
        match self.sees(hypothesis, severity) {
            Seen::Figure(bell, missed) => {
                let seen = MISTAKE / ANYWHERE + (1.0 - MISTAKE) * bell.density(log);
                ((1.0 - missed) * seen / innocent + missed).ln()
            }
            Seen::Word(missed) => missed.ln(),
            Seen::Nothing => 0.0,
        }
    }

    /// Chances of stretches of the figure between these logarithms, and that a word is shown, where the part is
    /// not to blame.
    pub(in super::super) fn innocent_chances(&self, edges: &[f64]) -> Vec<f64> {
        let bad: f64 = self.harmless.iter().map(|own| own.1).sum();
        let mut found = stretches(edges, |log| self.sound.below(log));
        for own in &mut found {
            *own *= 1.0 - bad;
        }
        for (bell, chance) in &self.harmless {
            let own = stretches(edges, |log| bell.below(log));
            for (all, own) in found.iter_mut().zip(own) {
                *all += chance * own;
            }
        }
        with_mistakes(found, 0.0)
    }

    /// The same with one fault at a severity.
    pub(in super::super) fn chances(
        &self,
        edges: &[f64],
        innocent: &[f64],
        hypothesis: &Hypothesis,
        severity: f64,
    ) -> Vec<f64> {
        match self.sees(hypothesis, severity) {
            Seen::Figure(bell, missed) => {
                let own = with_mistakes(stretches(edges, |log| bell.below(log)), 0.0);
                let both = own.iter().zip(innocent);
                both.map(|(own, innocent)| (1.0 - missed) * own + missed * innocent)
                    .collect()
            }
            Seen::Word(missed) => {
                let shown = innocent.len().saturating_sub(1);
                let each = innocent.iter().enumerate();
                each.map(|(at, own)| {
                    missed * own + f64::from(u8::from(at == shown)) * (1.0 - missed)
                })
                .collect()
            }
            Seen::Nothing => innocent.to_vec(),
        }
    }

    /// Edges of stretches of the figure's logarithm: finer around the sheet's figure, and evenly over all shares.
    pub(in super::super) fn edges(&self) -> Vec<f64> {
        if let Check::LooseEnd { .. } = self.check {
            const SHARES: [f64; 14] = [
                0.015, 0.022, 0.03, 0.045, 0.065, 0.1, 0.15, 0.22, 0.32, 0.45, 0.6, 0.75, 0.9, 0.97,
            ];
            return SHARES.iter().map(|own| own.ln()).collect();
        }
        const AROUND: [f64; 16] = [
            0.3, 0.45, 0.6, 0.7, 0.8, 0.88, 0.95, 1.05, 1.12, 1.2, 1.3, 1.45, 1.7, 2.0, 2.5, 3.5,
        ];
        let mut edges: Vec<f64> = AROUND
            .iter()
            .map(|own| own.ln() + self.value.ln())
            .collect();
        let decades: Vec<f64> = match self.check {
            Check::TubeTester => vec![10.0],
            Check::Capacitance => vec![0.02 * self.value, 0.1 * self.value],
            _ => (-1..18)
                .map(|half| 10f64.powf(0.5 * f64::from(half)))
                .collect(),
        };
        edges.extend(decades.iter().map(|own| own.ln()));
        edges.sort_by(f64::total_cmp);
        edges.dedup();
        edges
    }

    /// Whether a sound part shows a figure in this stretch.
    pub(in super::super) fn is_good(&self, edges: &[f64], column: usize) -> bool {
        let own = stretches(edges, |log| self.sound.below(log));
        own.get(column).is_some_and(|own| *own > 0.02)
    }
}

/// The share of each stretch by the share below, and none for a word.
fn stretches(edges: &[f64], below: impl Fn(f64) -> f64) -> Vec<f64> {
    let mut last = 0.0;
    let mut found = Vec::with_capacity(edges.len() + 2);
    for edge in edges {
        let own = below(*edge);
        found.push((own - last).max(0.0));
        last = own;
    }
    found.push((1.0 - last).max(0.0));
    found.push(0.0);
    found
}

/// Some of each is a mistake, anywhere.
fn with_mistakes(mut found: Vec<f64>, word: f64) -> Vec<f64> {
    let each = MISTAKE / found.len() as f64;
    for own in &mut found {
        *own = (1.0 - MISTAKE) * *own + each;
    }
    if let Some(last) = found.last_mut() {
        *last += word;
    }
    found
}

/// How far a fault reaches at a share of its severities.
fn reach(faulty: &Faulty, share: f64) -> f64 {
    let Some(steps) = faulty.reach.len().checked_sub(1) else {
        return 0.0;
    };
    let along = share * steps as f64;
    let at = (along as usize).min(steps.saturating_sub(1));
    let (one, other) = (faulty.reach[at], faulty.reach[(at + 1).min(steps)]);
    one + (along - at as f64) * (other - one)
}
