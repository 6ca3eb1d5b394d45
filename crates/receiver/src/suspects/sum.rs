//! One hypothesis summed over its severity.
//!
//! Natural logarithms of densities; severities in the row's unit. A law is taken at [`POINTS`]
//! middles of equal shares. Each [`STRETCH`] of them is first weighed at once, as a bell along it;
//! only long stretches that may count beside all others are then weighed point by point. Between the
//! solved severities readings go along a straight line in the law's own scale. Severities that
//! move no foretold reading out of its healthy band are set aside. A hypothesis that could not be
//! solved is untold; nothing here fails.

use parts::SetSection;
use rayon::prelude::*;

use super::evidence::Evidence;
use super::hypotheses::Hypotheses;
use super::likelihood::sum_of_logs;
use super::pairs::Second;
use super::predict::Foretold;
use super::signs::signal_way::SignalEnd;

/// Points at which a severity is summed, at the middles of equal shares.
pub(super) const POINTS: usize = 48;
/// Points of a stretch.
const STRETCH: usize = 8;
/// Logarithm below all others together at which a stretch is not looked at closer.
const NOT_CLOSER: f64 = 14.0;
/// Logarithm below all others together up to which a stretch is always looked at closer: its
/// severity is told.
const HEAVY: f64 = 6.0;
/// Square of standard deviations within which a stretch is as good as a bell (even over three of
/// them and a bell of the same spread lie within some percent of one another).
const SHORT: f64 = 9.0;
/// How many times fewer the moved readings must be than all for the law to be told from them.
const FEW: usize = 3;
/// Every so many points are taken where two faults are weighed together.
const COARSE: usize = 2;
/// Share of a hypothesis' weight below which a severity is not told.
const SLIGHT: f64 = 0.01;
/// Standard deviations beyond which a reading is out of its healthy band: nine of ten lie inside.
pub(super) const OUT_OF_BAND: f64 = 1.645;

/// Evidence beside the readings. Hypotheses are named by position, severities are in the row's unit.
pub trait Beside: Sync {
    /// Natural logarithm of how many times likelier it is with this fault than in a healthy set.
    fn log(&self, hypothesis: usize, severity: f64) -> f64;

    /// Whether a fault of this severity can be what it tells of, though no reading feels it.
    fn is_felt(&self, _hypothesis: usize, _severity: f64) -> bool {
        false
    }

    /// The same logarithm for a fault that is not listed, by the section where it sits, in the order of
    /// [`SetSection::WORDS`].
    fn not_listed(&self) -> Vec<f64> {
        vec![0.0; SetSection::WORDS.len()]
    }

    /// The same for two faults at once: as a rule what the likelier one tells.
    fn together(&self, one: (usize, f64), other: (usize, f64)) -> f64 {
        self.log(one.0, one.1).max(self.log(other.0, other.1))
    }

    /// Whether something of it is not what this fault would do.
    fn is_left(&self, _hypothesis: usize, _severity: f64) -> bool {
        false
    }

    /// Whether this signal, fed in at a junction or of a station, was watched for there.
    fn knows_signal(&self, _from: Option<usize>, _end: SignalEnd) -> bool {
        false
    }

    /// Whether it was looked how the heater of this tube glows.
    fn knows_glow(&self, _tube: usize) -> bool {
        false
    }

    /// Chance that this fault disturbs what its stage does, by what is known; `None` where nothing is.
    fn disturbs(&self, _hypothesis: usize, _severity: f64) -> Option<f64> {
        None
    }
}

impl<F: Fn(usize, f64) -> f64 + Sync> Beside for F {
    fn log(&self, hypothesis: usize, severity: f64) -> f64 {
        self(hypothesis, severity)
    }
}

/// What became of one hypothesis.
pub(super) enum Outcome {
    Weighed(Case),
    Silent,
    Untold,
}

/// A hypothesis against the readings.
pub(super) struct Case {
    pub log: f64,
    /// Share of its severities that a reading can feel.
    pub felt: f64,
    pub severity: f64,
    pub shift: Vec<f64>,
    /// Severities with the share that each has of the weight.
    pub course: Vec<(f64, f64)>,
}

/// What all hypotheses are summed by.
pub(super) struct Summing<'a> {
    pub evidence: &'a Evidence,
    pub foretold: &'a [Foretold],
    /// Numbers of all readings.
    pub every: &'a [usize],
    /// The readings in a healthy set.
    pub healthy: f64,
    pub beside: &'a dyn Beside,
}

/// One severity with what it does.
struct Point {
    severity: f64,
    shift: Vec<f64>,
    reach: f64,
}

/// A run of points: those that a reading can feel, their mean density, and the best among them.
struct Stretch {
    numbers: Vec<usize>,
    log: f64,
    best: (f64, usize),
    /// Numbers with the logarithms of their densities, where they were weighed one by one.
    each: Vec<(usize, f64)>,
    /// Square of how far the readings go along it, in standard deviations of healthy sets.
    span: f64,
}

/// A hypothesis at its solved severities.
struct Course<'a> {
    number: usize,
    severities: &'a [f64],
    even_in_ratios: bool,
    shifts: Vec<Option<Vec<f64>>>,
    reach: Vec<f64>,
}

impl Course<'_> {
    /// How many points it has.
    fn len(&self) -> usize {
        match self.severities.len() {
            0 => 0,
            1 => 1,
            _ => POINTS,
        }
    }

    fn point(&self, number: usize) -> Option<Point> {
        if let ([severity], [Some(shift)], [reach]) =
            (self.severities, &self.shifts[..], &self.reach[..])
        {
            return Some(Point {
                severity: *severity,
                shift: shift.clone(),
                reach: *reach,
            });
        }
        let steps = self
            .severities
            .len()
            .checked_sub(1)
            .filter(|own| *own > 0)?;
        let along = (number as f64 + 0.5) / POINTS as f64 * steps as f64;
        let at = (along as usize).min(steps - 1);
        let share = along - at as f64;
        let (one, other) = (self.shifts[at].as_ref()?, self.shifts[at + 1].as_ref()?);
        let between = |one: f64, other: f64| one + share * (other - one);
        let (low, high) = (self.severities[at], self.severities[at + 1]);
        Some(Point {
            // As the law goes: even in ratios where three neighbours are.
            severity: if self.even_in_ratios {
                low * (high / low).powf(share)
            } else {
                between(low, high)
            },
            shift: one
                .iter()
                .zip(other)
                .map(|(one, other)| between(*one, *other))
                .collect(),
            reach: between(self.reach[at], self.reach[at + 1]),
        })
    }
}

/// What could be read counts under power; of cold resistances only what was read, unless nothing else is foretold: a
/// resistor a fifth too high is no fault of a set that nobody's ohmmeter touched.
pub(super) fn counted(foretold: &[Foretold]) -> impl Iterator<Item = &Foretold> {
    let all_cold = foretold.iter().all(Foretold::is_cold);
    let own = foretold.iter();
    own.filter(move |told| all_cold || !told.is_cold())
}

/// Whether severities rise by equal ratios.
pub(super) fn is_even_in_ratios(severities: &[f64]) -> bool {
    match severities {
        [one, two, three, ..] => *one > 0.0 && (two / one / (three / two) - 1.0).abs() < 1e-6,
        _ => false,
    }
}

/// A hypothesis weighed stretch by stretch.
struct Rough {
    stretches: Vec<Stretch>,
    /// Logarithms of the densities of the readings alone, by stretch, with how many points each has.
    readings: Vec<f64>,
    /// Points that a reading can feel.
    felt: usize,
    /// All points.
    all: usize,
}

impl Rough {
    /// Of the readings alone.
    fn of_readings(&self) -> f64 {
        sum_of_logs(&self.readings) - (self.felt as f64).ln()
    }

    fn log(&self) -> f64 {
        let own = self.stretches.iter();
        let logs: Vec<f64> = own
            .map(|own| own.log + (own.numbers.len() as f64).ln())
            .collect();
        sum_of_logs(&logs) - (self.felt as f64).ln()
    }

    /// Severities with the share that each has of the weight; those of next to none left out.
    fn course(&self, course: &Course<'_>) -> Vec<(f64, f64)> {
        let mut logs: Vec<(usize, f64)> = Vec::new();
        for stretch in &self.stretches {
            if stretch.each.is_empty() {
                let all = (stretch.numbers.len() as f64).ln();
                logs.push((stretch.best.1, stretch.log + all));
            } else {
                logs.extend(&stretch.each);
            }
        }
        let total = sum_of_logs(&logs.iter().map(|own| own.1).collect::<Vec<f64>>());
        logs.into_iter()
            .map(|(number, log)| (number, (log - total).exp()))
            .filter(|(_, share)| *share >= SLIGHT)
            .filter_map(|(number, share)| Some((course.point(number)?.severity, share)))
            .collect()
    }

    fn share(&self) -> f64 {
        self.felt as f64 / self.all.max(1) as f64
    }
}

impl Summing<'_> {
    /// All hypotheses, and the logarithm of the sum of the densities that the readings alone have with each of them.
    /// `others` are the logarithms that stand beside them.
    pub(super) fn all(&self, hypotheses: &Hypotheses, others: &[f64]) -> (Vec<Outcome>, f64) {
        let rough: Vec<Rough> = (0..hypotheses.list.len())
            .into_par_iter()
            .map(|number| self.rough(number))
            .collect();
        let mut logs: Vec<f64> = hypotheses
            .list
            .iter()
            .zip(&rough)
            .filter(|(_, rough)| rough.felt > 0)
            .map(|(own, rough)| own.odds(rough.share()).ln() + rough.log())
            .collect();
        logs.extend(others);
        let least = sum_of_logs(&logs) - NOT_CLOSER;
        let listed = hypotheses.list.iter().zip(&rough);
        let alike: Vec<f64> = listed
            .filter(|(own, rough)| own.chance > 0.0 && rough.felt > 0)
            .map(|(_, rough)| rough.of_readings())
            .collect();
        let outcomes = rough
            .into_par_iter()
            .enumerate()
            .map(|(number, rough)| {
                if rough.felt == 0 {
                    return if rough.all == 0 {
                        Outcome::Untold
                    } else {
                        Outcome::Silent
                    };
                }
                let odds = hypotheses.list[number].odds(rough.share()).ln();
                self.closer(number, rough, least - odds)
            })
            .collect();
        (outcomes, sum_of_logs(&alike))
    }

    /// Shifts of the readings at the solved severities of a hypothesis.
    pub(super) fn solved(&self, number: usize) -> impl Iterator<Item = Vec<f64>> {
        let shifts = self.course(number).map(|own| own.shifts);
        shifts.into_iter().flatten().flatten()
    }

    /// A hypothesis over its severities beside what another shifts.
    pub(super) fn beside_another(&self, number: usize, other: &[f64]) -> Option<Second> {
        let course = self.course(number)?;
        let both =
            |shift: &[f64]| -> Vec<f64> { shift.iter().zip(other).map(|(a, b)| a + b).collect() };
        let points = (0..course.len())
            .step_by(COARSE)
            .filter_map(|own| course.point(own))
            .filter(|point| self.is_felt(number, point));
        let coarse: Vec<(f64, Vec<f64>, f64)> = points
            .map(|point| {
                let log =
                    self.log(&both(&point.shift), None) + self.beside.log(number, point.severity);
                (point.severity, point.shift, log)
            })
            .collect();
        Second::of(coarse)
    }

    fn course(&self, number: usize) -> Option<Course<'_>> {
        let first = self.foretold.first()?;
        let severities = &first.faulty.get(number)?.severities;
        let shifts: Vec<Option<Vec<f64>>> = (0..severities.len())
            .map(|at| self.evidence.shift_of(self.foretold, number, at))
            .collect();
        let reach = (0..severities.len())
            .map(|at| {
                let read = shifts[at]
                    .as_deref()
                    .map_or(0.0, |own| self.cold_reach(own));
                let told = counted(self.foretold);
                let told = told.filter_map(|told| told.faulty.get(number)?.reach.get(at));
                told.fold(read, |most: f64, own| most.max(*own))
            })
            .collect();
        Some(Course {
            number,
            even_in_ratios: is_even_in_ratios(severities),
            shifts,
            reach,
            severities,
        })
    }

    /// How far the cold reading that a shift moves most lies outside, in standard deviations.
    fn cold_reach(&self, shift: &[f64]) -> f64 {
        let seen = self.evidence.seen().iter().zip(shift).enumerate();
        let cold = seen.filter(|(_, (seen, _))| {
            let told = self.foretold.get(seen.conditions);
            told.is_some_and(Foretold::is_cold)
        });
        cold.filter_map(|(at, (_, shift))| Some(shift.abs() / self.evidence.deviation(at)?))
            .fold(0.0, f64::max)
    }

    /// Whether a reading or what stands beside them can feel it.
    fn is_felt(&self, number: usize, point: &Point) -> bool {
        point.reach > OUT_OF_BAND || self.beside.is_felt(number, point.severity)
    }

    /// Density at one shift of the readings; `along` is that of a stretch around it.
    fn log(&self, shift: &[f64], along: Option<&[f64]>) -> f64 {
        let moves = self.evidence.moves(shift, along);
        if moves.is_empty() {
            return self.healthy;
        }
        let slips = self.evidence.slips();
        // Where most are moved the whole law is as quick.
        let log = if FEW * moves.len() > self.every.len() {
            let law = self.evidence.against_stretch(shift, along, self.every);
            law.map(|law| law.with_slips(slips).0)
        } else {
            let law = self.evidence.base().and_then(|base| base.moved(&moves));
            law.map(|law| law.with_slips(slips))
        };
        log.unwrap_or(f64::NEG_INFINITY)
    }

    fn rough(&self, number: usize) -> Rough {
        let mut rough = Rough {
            stretches: Vec::new(),
            readings: Vec::new(),
            felt: 0,
            all: 0,
        };
        let Some(course) = self.course(number) else {
            return rough;
        };
        let numbers: Vec<usize> = (0..course.len()).collect();
        for numbers in numbers.chunks(STRETCH) {
            let points: Vec<(usize, Point)> = numbers
                .iter()
                .filter_map(|&own| Some((own, course.point(own)?)))
                .collect();
            rough.all += points.len();
            let felt: Vec<(usize, Point)> = points
                .into_iter()
                .filter(|(_, point)| self.is_felt(number, point))
                .collect();
            let (Some((_, first)), Some((_, last))) = (felt.first(), felt.last()) else {
                continue;
            };
            let along: Vec<f64> = last
                .shift
                .iter()
                .zip(&first.shift)
                .map(|(last, first)| last - first)
                .collect();
            let middle: Vec<f64> = first
                .shift
                .iter()
                .zip(&along)
                .map(|(first, along)| first + 0.5 * along)
                .collect();
            let beside = felt
                .iter()
                .map(|(_, point)| self.beside.log(number, point.severity))
                .fold(f64::NEG_INFINITY, f64::max);
            let readings = self.log(&middle, Some(&along));
            let log = readings + beside;
            rough.readings.push(readings + (felt.len() as f64).ln());
            rough.felt += felt.len();
            let base = self.evidence.base();
            rough.stretches.push(Stretch {
                each: Vec::new(),
                span: base.map_or(0.0, |base| base.square(&along)),
                best: (log, felt[felt.len() / 2].0),
                numbers: felt.into_iter().map(|(own, _)| own).collect(),
                log,
            });
        }
        rough
    }

    /// Weighs point by point the stretches whose mean density is above this.
    fn closer(&self, number: usize, mut rough: Rough, least: f64) -> Outcome {
        let Some(course) = self.course(number) else {
            return Outcome::Untold;
        };
        let felt = rough.felt as f64;
        for stretch in &mut rough.stretches {
            let share = stretch.numbers.len() as f64 / felt;
            let above = stretch.log + share.ln() - least;
            let is_light = above < NOT_CLOSER - HEAVY;
            if above < 0.0 || is_light && stretch.span < SHORT {
                continue;
            }
            let logs: Vec<f64> = stretch
                .numbers
                .iter()
                .map(|&own| {
                    course.point(own).map_or(f64::NEG_INFINITY, |point| {
                        self.log(&point.shift, None)
                            + self.beside.log(course.number, point.severity)
                    })
                })
                .collect();
            let best = (0..logs.len()).max_by(|&a, &b| logs[a].total_cmp(&logs[b]).then(b.cmp(&a)));
            stretch.best = best.map_or(stretch.best, |at| (logs[at], stretch.numbers[at]));
            stretch.log = sum_of_logs(&logs) - (logs.len() as f64).ln();
            stretch.each = stretch.numbers.iter().copied().zip(logs).collect();
        }
        let best = rough
            .stretches
            .iter()
            .map(|own| own.best)
            .reduce(|one, other| if other.0 > one.0 { other } else { one });
        let Some(point) = best.and_then(|(_, own)| course.point(own)) else {
            return Outcome::Untold;
        };
        Outcome::Weighed(Case {
            course: rough.course(&course),
            log: rough.log(),
            felt: rough.share(),
            severity: point.severity,
            shift: point.shift,
        })
    }
}
