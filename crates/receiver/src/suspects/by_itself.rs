//! A part measured by itself: what the instrument shows with each of its faults, and what that tells.
//!
//! Ohms, farads, percent of a new tube; densities over the natural logarithm of the figure. A sound
//! part shows what its tolerance and age let it; one with a fault shows that fault at its severity,
//! unless the check misses it ([`super::outcome::missed`]). A part that is not to blame may be bad all the
//! same, so mildly that no foretold reading feels it: nine of ten waxed capacitors leak. So a leak proves a
//! capacitor only where the readings would feel one of that size, and the figure that was found counts, not the
//! verdict good or bad. Source: Bayes' rule; spreads from the causes of healthy sets, the instrument's doubt and all
//! shares judgement. What a check says nothing about gives no evidence; nothing here fails.

use crate::causes::Cause;
use crate::sheet::PartValue;
use crate::wiring::{FaultKind, Figure, SetModel};

use super::hypotheses::{Hypotheses, Hypothesis, Spread, Suspect};
use super::outcome::{Check, missed};
use super::predict::{Faulty, Foretold};
use super::rank::Beside;
use super::signs::signal_way::SignalEnd;
use super::sum::OUT_OF_BAND;

/// Highest ohms that an instrument shows; an open path and a sound dielectric read as these.
pub const MOST_OHMS: f64 = 1e9;
/// Doubt of the instrument as a share of its figure (common practice: a bridge or an ohmmeter three percent).
pub const INSTRUMENT: f64 = 0.03;
/// The same of a tube tester (common practice: good ones lie ten percent apart).
pub const TESTER: f64 = 0.1;
/// Ohms below which a few volts show the leak of any capacitor (judgement).
pub const SHORTED_OHMS: f64 = 1e3;
/// Chance that a figure is a mistake: another part, a lead still in circuit, a decade misread (judgement).
const MISTAKE: f64 = 0.02;
/// Natural logarithm of the range over which a mistake lies.
const ANYWHERE: f64 = 12.0;
/// Chance that an exchange is taken to have cured what it has not (judgement: a contact moved,
/// the set cooled down).
pub(super) const BY_CHANCE: f64 = 0.02;
/// Least farads of an open capacitor, as a share of its own.
const NO_FARADS: f64 = 1e-3;
/// Percent below which a tester shows nothing.
const NO_PERCENT: f64 = 1.0;
/// Emission of a new tube over what a tester asks of it (judgement: a new cathode has six to ten times
/// what is needed).
const NEW_RESERVE: f64 = 8.0;
/// Share of shorted capacitors that an ohmmeter does not find (judgement).
const SHORT_MISSED: f64 = 0.05;
/// Points at which a severity is taken.
const POINTS: usize = 48;

/// A figure that was found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ByItself {
    /// The part.
    pub suspect: Suspect,
    /// How it was measured.
    pub check: Check,
    /// Ohms, farads or percent of a new tube; infinity for an open path. Of an exchange 1 where it cured the set, else 0.
    pub value: f64,
}

/// Where the logarithm of a figure lies.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Bell {
    log: f64,
    sigma: f64,
}

impl Bell {
    fn new(value: f64, spread: f64, check: Check) -> Bell {
        let instrument = match check {
            Check::TubeTester => TESTER,
            _ => INSTRUMENT,
        };
        Bell {
            log: shown(value, check).ln(),
            sigma: spread.hypot(instrument),
        }
    }

    fn density(&self, log: f64) -> f64 {
        let steps = (log - self.log) / self.sigma;
        (-0.5 * steps * steps).exp() / (self.sigma * std::f64::consts::TAU.sqrt())
    }

    /// Share below.
    pub(super) fn below(&self, log: f64) -> f64 {
        let steps = (log - self.log) / (self.sigma * std::f64::consts::SQRT_2);
        0.5 * libm::erfc(-steps)
    }
}

/// A figure as the instrument shows it, within its range.
fn shown(value: f64, check: Check) -> f64 {
    match check {
        Check::TubeTester => value.clamp(NO_PERCENT, 1e3),
        Check::Capacitance => value.max(1e-15),
        _ => value.clamp(1e-3, MOST_OHMS),
    }
}

/// Percent of a new tube that a tester shows where the cathode gives this share of a new one's emission: it reads
/// transconductance, which a cathode with little in reserve limits, rounded as everywhere
/// ([`circuit::tube`]).
pub fn tester_percent(emission: f64) -> f64 {
    let limit = |reserve: f64| 1.0 / (1.0 + (1.0 / reserve).powi(2)).sqrt();
    100.0 * limit(NEW_RESERVE * emission) / limit(NEW_RESERVE)
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
        Suspect::Transformer(_) => None,
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
pub(super) struct Gauge {
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
    pub(super) fn new(
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
                let by_readings = foretold.iter().any(|told| {
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

    /// Whether the check sees anything of this fault.
    pub(super) fn is_about(&self, hypothesis: &Hypothesis) -> bool {
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
            (check, kind) => missed(check, kind),
        };
        let bell =
            |value: f64, spread: f64| Seen::Figure(Bell::new(value, spread, self.check), misses);
        let beside = |ohms: f64| match self.sound.log {
            log if log >= MOST_OHMS.ln() => ohms,
            _ => 1.0 / (1.0 / ohms + 1.0 / self.value),
        };
        match (self.check, &hypothesis.kind) {
            (Check::Ohms, Kind::OhmsTimes(_)) => bell(self.value * severity, self.spread),
            (Check::Ohms, Kind::Open(_)) if self.value < 0.5 * MOST_OHMS => {
                bell(f64::INFINITY, 0.1)
            }
            (Check::Ohms | Check::Leakage, Kind::CapacitorLeak(_) | Kind::Across(_))
            | (Check::Ohms, Kind::MetalShorted(_)) => bell(beside(severity), 0.12),
            (Check::Capacitance, Kind::FaradsTimes(_)) => bell(self.value * severity, self.spread),
            (Check::Capacitance, Kind::Open(_)) => bell(self.value * NO_FARADS, 1.0),
            (Check::Capacitance, Kind::SeriesOhms { .. }) => Seen::Word(misses),
            (Check::TubeTester, Kind::Emission { .. }) => {
                bell(tester_percent(severity), self.spread)
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
    fn likelier(&self, hypothesis: &Hypothesis, severity: f64, value: f64) -> f64 {
        let log = shown(value, self.check).ln();
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
    pub(super) fn innocent_chances(&self, edges: &[f64]) -> Vec<f64> {
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
    pub(super) fn chances(
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

    /// Edges of stretches of the figure's logarithm: finer around the sheet's figure.
    pub(super) fn edges(&self) -> Vec<f64> {
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
    pub(super) fn is_good(&self, edges: &[f64], column: usize) -> bool {
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

/// One figure of a part, against the part's own faults.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Figured {
    gauge: Gauge,
    value: f64,
    /// The part's faults, each with its position.
    own: Vec<(usize, Hypothesis)>,
}

impl Figured {
    /// `None` where such a check says nothing of the part.
    pub(super) fn of(
        model: &SetModel<'_>,
        hypotheses: &Hypotheses,
        foretold: &[Foretold],
        figure: &ByItself,
    ) -> Option<Figured> {
        let of = (figure.suspect, figure.check);
        let gauge = Gauge::new(model, hypotheses, foretold, &|_: usize, _: f64| 0.0, of)?;
        let list = hypotheses.list.iter().enumerate();
        Some(Figured {
            gauge,
            value: figure.value,
            own: list
                .filter(|(_, own)| own.suspect == figure.suspect)
                .map(|(at, own)| (at, own.clone()))
                .collect(),
        })
    }

    /// Natural logarithm of how many times likelier the figure is with a fault than where the part is not to
    /// blame; nought for faults of other parts.
    pub(super) fn log(&self, hypothesis: usize, severity: f64) -> f64 {
        let own = self.own.iter().find(|own| own.0 == hypothesis);
        own.map_or(0.0, |(_, own)| {
            self.gauge.likelier(own, severity, self.value)
        })
    }
}

/// Everything that was measured by itself, against the faults of its parts.
pub struct AllByThemselves<'a> {
    found: Vec<(Gauge, f64)>,
    /// Those with another one in their place, and whether that cured the set.
    exchanged: Vec<(Suspect, bool)>,
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
            exchanged: figures
                .iter()
                .filter(|own| own.check == Check::Exchange)
                .map(|own| (own.suspect, own.value > 0.5))
                .collect(),
            hypotheses,
            beside,
        }
    }

    /// Natural logarithm of how many times likelier the figures are with this fault, by position, at a severity in
    /// its row's unit than where its part is not to blame.
    pub fn likelier(&self, hypothesis: usize, severity: f64) -> f64 {
        if self.found.is_empty() && self.exchanged.is_empty() {
            return 0.0;
        }
        let Some(own) = self.hypotheses.list.get(hypothesis) else {
            return 0.0;
        };
        let figures = self.found.iter();
        let of_figures: f64 = figures
            .filter(|(gauge, _)| gauge.suspect == own.suspect)
            .map(|(gauge, value)| gauge.likelier(own, severity, *value))
            .sum();
        let exchanged = self.exchanged.iter();
        let of_exchanges: f64 = exchanged
            .filter(|(suspect, _)| *suspect == own.suspect)
            .map(|(_, is_cured)| {
                let misses = missed(Check::Exchange, &own.kind);
                match is_cured {
                    true => ((1.0 - misses) / BY_CHANCE).ln(),
                    false => (misses / (1.0 - BY_CHANCE)).ln(),
                }
            })
            .sum();
        of_figures + of_exchanges
    }
}

impl Beside for AllByThemselves<'_> {
    fn log(&self, hypothesis: usize, severity: f64) -> f64 {
        self.beside.log(hypothesis, severity) + self.likelier(hypothesis, severity)
    }

    fn is_felt(&self, hypothesis: usize, severity: f64) -> bool {
        self.beside.is_felt(hypothesis, severity)
    }

    fn not_listed(&self) -> f64 {
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
}
