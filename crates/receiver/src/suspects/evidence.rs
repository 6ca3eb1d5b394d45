//! Readings taken, beside what healthy and faulty sets read at the same places.
//!
//! Units of the readings; ohms on a scale of their own (`own_scale`). Healthy sets are their drawn mean and covariance: the tolerance of
//! all good parts, the doubt of the tubes' laws, the line, all together. A fault moves the
//! mean by what it does to the calculated set. Its spread goes with its size: a place that
//! falls to a tenth is spread a tenth as far. Each reading has the doubt of the meter, and a
//! tenth of its shift is doubted too, since the shift is that of the set as on its sheet
//! (judgement). A reading that nothing foretells is no evidence and is told as such.

use super::likelihood::{Joint, Slips};
use super::moved::{Base, Move};
use super::own_scale::OwnScale;
use super::predict::Foretold;
use super::strange::{NotListed, Strange};
use crate::reading::What;

/// Doubt of a shift as a share of it (judgement: parts at their tolerance move a fault's effect
/// by some ten percent).
const SHIFT_DOUBT: f64 = 0.1;
/// Bounds of how far a spread goes with its reading.
const GOES_WITH: (f64, f64) = (0.02, 4.0);
/// Share of a meter's doubt below which a reading counts as not moved.
const MOVED: f64 = 0.02;
/// Volts or milliamperes at which a reading counts as nothing beside this.
const NOTHING: f64 = 0.1;
/// Chance that a reading is a slip: read, written or placed wrongly.
pub const SLIP: f64 = 0.02;

/// How far a spread goes with its reading; that of a logarithm stays.
fn goes_with(scale: OwnScale, healthy: f64, shift: f64) -> f64 {
    if scale != OwnScale::Plain {
        return 1.0;
    }
    let size = |volts: f64| volts.abs() + NOTHING;
    (size(healthy + shift) / size(healthy)).clamp(GOES_WITH.0, GOES_WITH.1)
}

/// One reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Seen {
    /// Which conditions, by their position among the foretold ones.
    pub conditions: usize,
    /// Which probe of them.
    pub probe: usize,
    /// What was read.
    pub value: f64,
    /// Standard deviation of what the meter may be off, in the unit of the reading.
    pub doubt: f64,
}

/// Readings with all that is foretold of them together.
#[derive(Debug, Clone)]
pub struct Evidence {
    /// Positions of the readings that are foretold, among those given.
    pub used: Vec<usize>,
    /// Positions of those that are not.
    pub unused: Vec<usize>,
    /// Those that count, on their own scales.
    seen: Vec<Seen>,
    scales: Vec<OwnScale>,
    healthy: Vec<f64>,
    mean: Vec<f64>,
    spread: Vec<f64>,
    /// Widest range in which readings lie.
    range: f64,
    /// The readings against healthy sets; `None` without readings.
    base: Option<Base>,
    /// Numbers of the drawn sets that all readings are foretold in.
    draws: Vec<usize>,
    /// What each reading departs from its mean by in these.
    rest: Vec<Vec<f64>>,
}

/// A reading that could be taken, beside those that were.
#[derive(Debug, Clone)]
pub struct Candidate {
    /// Its own scale, on which all of this is told.
    pub scale: OwnScale,
    /// The healthy set's reading.
    pub healthy: f64,
    /// Mean of healthy sets.
    pub mean: f64,
    /// Its spread beside each reading taken.
    pub with: Vec<f64>,
    /// Variance among healthy sets that read as these do.
    pub variance: f64,
}

/// Which drawn sets were read under all conditions that readings were taken in.
struct Common {
    /// By conditions: places of the common sets in its columns; empty where it was not asked.
    places: Vec<Vec<usize>>,
    /// Numbers of the common sets.
    draws: Vec<usize>,
    /// Whether any are common to all.
    any: bool,
}

impl Common {
    fn of(foretold: &[Foretold], seen: &[Seen]) -> Common {
        let asked = |at: usize| seen.iter().any(|own| own.conditions == at);
        let mut common: Option<Vec<usize>> = None;
        for (_, told) in foretold.iter().enumerate().filter(|(at, _)| asked(*at)) {
            common = Some(match common {
                None => told.draws.clone(),
                Some(mut own) => {
                    own.retain(|draw| told.draws.binary_search(draw).is_ok());
                    own
                }
            });
        }
        let common = common.unwrap_or_default();
        let places = foretold
            .iter()
            .enumerate()
            .map(|(at, told)| {
                let place = |draw: &usize| told.draws.binary_search(draw).ok();
                if asked(at) {
                    common.iter().filter_map(place).collect()
                } else {
                    Vec::new()
                }
            })
            .collect();
        Common {
            places,
            any: common.len() > 1,
            draws: common,
        }
    }

    /// Mean and covariance of the readings, each over the sets that tell it.
    fn mean_and_spread(
        &self,
        seen: &[Seen],
        columns: &[(f64, Vec<f64>)],
    ) -> (Vec<f64>, Vec<f64>, Vec<Vec<f64>>) {
        let mean: Vec<f64> = columns
            .iter()
            .map(|(_, drawn)| drawn.iter().sum::<f64>() / drawn.len() as f64)
            .collect();
        // What each set departs from the mean by, in the common sets.
        let rest: Vec<Vec<f64>> = seen
            .iter()
            .zip(columns)
            .map(|(own, (_, drawn))| {
                let places = self.places.get(own.conditions);
                let own = places.into_iter().flatten();
                let own: Vec<f64> = own.filter_map(|&at| drawn.get(at).copied()).collect();
                let mean = own.iter().sum::<f64>() / own.len().max(1) as f64;
                own.iter().map(|own| own - mean).collect()
            })
            .collect();
        let dot = |one: &[f64], other: &[f64]| -> f64 {
            one.iter().zip(other).map(|(one, other)| one * other).sum()
        };
        let count = seen.len();
        let mut spread = vec![0.0; count * count];
        for row in 0..count {
            for column in 0..=row {
                let own = if self.any {
                    dot(&rest[row], &rest[column]) / (rest[row].len() - 1) as f64
                } else if row == column {
                    // Sets that have none in common tell nothing of one another.
                    let drawn = &columns[row].1;
                    let square = drawn.iter().map(|own| (own - mean[row]).powi(2));
                    square.sum::<f64>() / (drawn.len() - 1) as f64
                } else {
                    0.0
                };
                spread[row * count + column] = own;
                spread[column * count + row] = own;
            }
        }
        (mean, spread, rest)
    }
}

impl Evidence {
    /// Sets readings beside what is foretold.
    pub fn new(foretold: &[Foretold], seen: &[Seen]) -> Evidence {
        let range = foretold
            .iter()
            .flat_map(|told| {
                let own = told.healthy.iter().zip(&told.probes);
                own.filter(|(_, probe)| probe.what != What::Ohms)
                    .filter_map(|(healthy, _)| *healthy)
            })
            .chain(seen.iter().filter_map(|own| {
                let probe = foretold.get(own.conditions)?.probes.get(own.probe)?;
                (probe.what != What::Ohms).then_some(own.value)
            }))
            .fold(1.0f64, |most, own| most.max(own.abs()));
        let column = |own: &Seen| -> Option<(Seen, OwnScale, (f64, Vec<f64>))> {
            let told = foretold.get(own.conditions)?;
            let healthy = (*told.healthy.get(own.probe)?)?;
            let drawn = told.drawn.get(own.probe)?.as_deref()?;
            let scale = OwnScale::of(told.probes.get(own.probe)?, range);
            let value = scale.to(own.value);
            let sound = value.is_finite() && own.doubt > 0.0;
            if !sound || drawn.len() < 2 || drawn.len() != told.draws.len() {
                return None;
            }
            let seen = Seen {
                value,
                doubt: scale.doubt(own.value, own.doubt),
                ..*own
            };
            let drawn = drawn.iter().map(|own| scale.to(*own)).collect();
            Some((seen, scale, (scale.to(healthy), drawn)))
        };
        let (mut used, mut unused) = (Vec::new(), Vec::new());
        let (mut own, mut scales, mut columns) = (Vec::new(), Vec::new(), Vec::new());
        for (at, one) in seen.iter().enumerate() {
            match column(one) {
                Some((seen, scale, column)) => {
                    used.push(at);
                    own.push(seen);
                    scales.push(scale);
                    columns.push(column);
                }
                None => unused.push(at),
            }
        }
        let seen: Vec<Seen> = own;
        let common = Common::of(foretold, &seen);
        let (mean, spread, rest_of_draws) = common.mean_and_spread(&seen, &columns);
        let rest: Vec<f64> = seen
            .iter()
            .zip(&mean)
            .map(|(own, mean)| own.value - mean)
            .collect();
        let mut with_meter = spread.clone();
        for (at, own) in seen.iter().enumerate() {
            with_meter[at * (seen.len() + 1)] += own.doubt.powi(2);
        }
        Evidence {
            base: Base::new(&rest, &with_meter).filter(|_| !seen.is_empty()),
            draws: common.draws,
            rest: rest_of_draws,
            healthy: columns.iter().map(|(healthy, _)| *healthy).collect(),
            used,
            unused,
            seen,
            scales,
            mean,
            spread,
            range,
        }
    }

    /// Readings that count.
    pub fn count(&self) -> usize {
        self.seen.len()
    }

    /// The readings that count, each on its own scale.
    pub fn seen(&self) -> &[Seen] {
        &self.seen
    }

    /// Standard deviation of one of them in healthy sets, the meter's doubt in it.
    pub fn deviation(&self, at: usize) -> Option<f64> {
        let own = self.seen.get(at)?.doubt;
        let spread = self.spread.get(at * (self.count() + 1))?;
        Some((spread + own * own).sqrt())
    }

    /// A slip: anywhere within the range of the set, either sign.
    pub fn slips(&self) -> Slips {
        Slips {
            chance: SLIP,
            log_density: -(2.0 * self.range).ln(),
        }
    }

    /// Logarithm of the density of a reading that a fault which is not listed moved.
    pub(super) fn strange_log(&self, at: usize) -> f64 {
        let deviation = self.deviation(at).unwrap_or(self.range);
        let rest = self.seen[at].value - self.mean[at];
        Strange::new(deviation, self.range).density(rest).ln()
    }

    /// The readings with a fault that is not listed.
    pub(super) fn not_listed(&self) -> NotListed {
        let still = vec![0.0; self.count()];
        let joint = match self.count() {
            0 => None,
            _ => self.against(&still),
        };
        NotListed::of(self, joint.as_ref())
    }

    /// What is expected of each reading with a shift on its own scale, in its unit.
    pub fn expected(&self, shift: &[f64]) -> Vec<f64> {
        self.mean
            .iter()
            .zip(shift)
            .zip(&self.scales)
            .map(|((mean, shift), scale)| scale.back(mean + shift))
            .collect()
    }

    /// A shift of one of the readings, in its unit, on its own scale.
    pub fn own_shift(&self, foretold: &[Foretold], at: usize, shift: f64) -> Option<f64> {
        let (own, scale) = (self.seen.get(at)?, self.scales.get(at)?);
        let healthy = (*foretold.get(own.conditions)?.healthy.get(own.probe)?)?;
        Some(scale.shift(healthy, shift))
    }

    /// A probe that could be read, beside the readings taken; `None` where it is not told.
    pub fn candidate(&self, told: &Foretold, probe: usize) -> Option<Candidate> {
        let healthy = (*told.healthy.get(probe)?)?;
        let drawn = told.drawn.get(probe)?.as_deref()?;
        if drawn.len() < 2 || drawn.len() != told.draws.len() {
            return None;
        }
        let scale = OwnScale::of(told.probes.get(probe)?, self.range);
        let drawn: Vec<f64> = drawn.iter().map(|own| scale.to(*own)).collect();
        let healthy = scale.to(healthy);
        let mean = drawn.iter().sum::<f64>() / drawn.len() as f64;
        let square: f64 = drawn.iter().map(|own| (own - mean).powi(2)).sum();
        let whole = square / (drawn.len() - 1) as f64;
        let own: Vec<f64> = self
            .draws
            .iter()
            .filter_map(|draw| drawn.get(told.draws.binary_search(draw).ok()?))
            .map(|own| own - mean)
            .collect();
        let with: Vec<f64> = self
            .rest
            .iter()
            .map(|rest| {
                let dot: f64 = rest.iter().zip(&own).map(|(one, other)| one * other).sum();
                // Sets that are not the same tell nothing of one another.
                if own.len() == rest.len() && own.len() > 1 {
                    dot / (own.len() - 1) as f64
                } else {
                    0.0
                }
            })
            .collect();
        let told_by = self.base.as_ref().map_or(0.0, |base| base.square(&with));
        Some(Candidate {
            scale,
            healthy,
            mean,
            variance: (whole - told_by).max(1e-4 * whole),
            with,
        })
    }

    /// By reading: how much a set with this shift draws what stands beside, slips left aside.
    pub fn pulls(&self, shift: &[f64]) -> Option<Vec<f64>> {
        let mut pulls = vec![0.0; self.count()];
        if self.count() == 0 {
            return Some(pulls);
        }
        let (_, slips) = self.against(shift)?.with_slips(self.slips());
        let kept: Vec<usize> = (0..self.count()).filter(|at| !slips.contains(at)).collect();
        let law = self.against_some(shift, &kept)?;
        for (&at, pull) in kept.iter().zip(law.pulls()) {
            pulls[at] = pull * self.goes_with(at, shift[at]);
        }
        Some(pulls)
    }

    /// What such a set reads at a candidate that it shifts by so much: mean and variance beside the
    /// readings taken. The variance is that of healthy sets, gone with the reading.
    pub fn foreseen_by(&self, pulls: &[f64], of: &Candidate, own_shift: f64) -> (f64, f64) {
        let goes_with = goes_with(of.scale, of.healthy, own_shift);
        let drawn: f64 = of
            .with
            .iter()
            .zip(pulls)
            .map(|(with, pull)| with * pull)
            .sum();
        (
            of.mean + own_shift + goes_with * drawn,
            goes_with * goes_with * of.variance + (SHIFT_DOUBT * own_shift).powi(2),
        )
    }

    /// Widest range in which readings lie, without sign.
    pub fn range(&self) -> f64 {
        self.range
    }

    /// The readings against healthy sets.
    pub fn base(&self) -> Option<&Base> {
        self.base.as_ref()
    }

    /// How far a place's spread goes with its reading.
    fn goes_with(&self, at: usize, shift: f64) -> f64 {
        goes_with(self.scales[at], self.healthy[at], shift)
    }

    /// The readings that a shift moves far enough to count; `along` is how far each goes from end
    /// to end of a stretch of severities around it.
    pub fn moves(&self, shift: &[f64], along: Option<&[f64]>) -> Vec<Move> {
        let counts = |at: usize, volts: f64| volts.abs() > MOVED * self.seen[at].doubt;
        (0..self.count())
            .filter_map(|at| {
                let (shift, along) = (*shift.get(at)?, along.map_or(0.0, |own| own[at]));
                let own = self.seen[at].doubt.powi(2);
                (counts(at, shift) || counts(at, along)).then(|| Move {
                    at,
                    shift,
                    goes_with: self.goes_with(at, shift),
                    own,
                    moved_own: own + (SHIFT_DOUBT * shift).powi(2),
                    along,
                })
            })
            .collect()
    }

    /// The readings against a set whose readings are shifted.
    pub fn against(&self, shift: &[f64]) -> Option<Joint> {
        let all: Vec<usize> = (0..self.count()).collect();
        self.against_some(shift, &all)
    }

    /// The same for some of the readings.
    pub fn against_some(&self, shift: &[f64], some: &[usize]) -> Option<Joint> {
        self.against_stretch(shift, None, some)
    }

    /// The same along a stretch of severities: `along` is how far each reading goes from end to end.
    pub fn against_stretch(
        &self,
        shift: &[f64],
        along: Option<&[f64]>,
        some: &[usize],
    ) -> Option<Joint> {
        let count = self.count();
        if shift.len() != count {
            return None;
        }
        let goes_with: Vec<f64> = (0..count).map(|at| self.goes_with(at, shift[at])).collect();
        let mut spread = Vec::with_capacity(some.len() * some.len());
        for &row in some {
            for &column in some {
                let mut own =
                    self.spread.get(row * count + column)? * goes_with[row] * goes_with[column];
                if let Some(along) = along {
                    own += along[row] * along[column] / 12.0;
                }
                if row == column {
                    own += self.seen[row].doubt.powi(2) + (SHIFT_DOUBT * shift[row]).powi(2);
                }
                spread.push(own);
            }
        }
        let rest: Vec<f64> = some
            .iter()
            .map(|&at| self.seen[at].value - self.mean[at] - shift[at])
            .collect();
        Joint::new(&rest, &spread)
    }

    /// What a solved fault does to these readings at one of its severities.
    pub fn shift_of(
        &self,
        foretold: &[Foretold],
        hypothesis: usize,
        severity: usize,
    ) -> Option<Vec<f64>> {
        self.seen
            .iter()
            .enumerate()
            .map(|(at, own)| {
                let faulty = foretold.get(own.conditions)?.faulty.get(hypothesis)?;
                let shifts = faulty.shifts.get(severity)?.as_ref()?;
                self.own_shift(foretold, at, (*shifts.get(own.probe)?)?)
            })
            .collect()
    }
}
