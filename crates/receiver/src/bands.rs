//! Bands that hold nine of ten healthy sets.
//!
//! Units of the readings. Each cause alone moves every reading along a curve
//! through three solved sets (low, expected, high), in the logarithm where a reading
//! keeps its sign and moves far; a quasi-random draw of all
//! causes (Burley's scrambled Sobol points, fixed seed) adds the movements, and the
//! band is from the twentieth of the draws to the nineteenth of twenty. While a set
//! warms up its tubes come to life within seconds, movements do not add up, and the
//! draws are solved in full instead: [`by_full_draws`]; a test holds the two together
//! where both serve. A cause that cannot be solved is left out and named.

use quantity::Band;
use rayon::prelude::*;

use crate::causes::{Cause, Spread};
use crate::reading::What;
use crate::wiring::{Figure, Variation};

/// Draws for a band. A power of two, as Sobol points want.
pub(crate) const DRAWS: u32 = 1024;
/// Seed of the draws: the same facts give the same band.
pub(crate) const SEED: u32 = 19;
/// Where each cause is solved besides its expected value.
pub(crate) const LOW: f64 = 0.1;
pub(crate) const HIGH: f64 = 0.9;

/// A set solved for one variation: one value for each probe, `None` where nothing is read.
pub type Values = Vec<Option<f64>>;

/// A reading in every drawn set, and the weight of each cause in its width.
pub(crate) type DrawnReading = (Vec<f64>, Vec<(String, f64)>);

/// How each cause alone moves each reading.
#[derive(Debug, Clone)]
pub struct Movements {
    /// The causes that were solved.
    pub causes: Vec<Cause>,
    /// Readings of the set as the sheet has it.
    pub expected: Values,
    /// For each cause: its ratios at low and high, and the readings there.
    runs: Vec<(f64, f64, Values, Values)>,
    /// Causes that could not be solved.
    pub unsolved: Vec<String>,
    /// Sets solved.
    pub solved: usize,
}

/// Solves the set at the low and the high end of each cause.
pub fn movements<F>(causes: &[Cause], expected: Values, solve: F) -> Movements
where
    F: Fn(&Variation) -> Option<Values> + Sync,
{
    let runs: Vec<_> = causes
        .par_iter()
        .map(|cause| {
            let (low, high) = (cause.spread.ratio(LOW), cause.spread.ratio(HIGH));
            match cause.figure {
                Figure::Meter | Figure::Model => {
                    let scale = |ratio: f64| -> Values {
                        expected
                            .iter()
                            .map(|value| value.map(|value| value * ratio))
                            .collect()
                    };
                    Some((low, high, scale(low), scale(high)))
                }
                figure => {
                    let at_low = solve(&Variation::of(figure, low))?;
                    let at_high = solve(&Variation::of(figure, high))?;
                    Some((low, high, at_low, at_high))
                }
            }
        })
        .collect();
    let mut kept = Vec::new();
    let mut kept_runs = Vec::new();
    let mut unsolved = Vec::new();
    let mut solved = 1;
    for (cause, run) in causes.iter().zip(runs) {
        match run {
            Some(run) => {
                if !matches!(cause.figure, Figure::Meter | Figure::Model) {
                    solved += 2;
                }
                kept.push(cause.clone());
                kept_runs.push(run);
            }
            None => unsolved.push(cause.name.clone()),
        }
    }
    Movements {
        causes: kept,
        expected,
        runs: kept_runs,
        unsolved,
        solved,
    }
}

/// The same from the high end alone: the low end lies straight across, for what is solved at
/// length and moves little.
pub(crate) fn straight_movements<F>(causes: &[Cause], expected: Values, solve: F) -> Movements
where
    F: Fn(&Variation) -> Option<Values> + Sync,
{
    let ends: Vec<Option<Values>> = causes
        .par_iter()
        .map(|cause| solve(&Variation::of(cause.figure, cause.spread.ratio(HIGH))))
        .collect();
    let mut found = Movements::none();
    for (cause, end) in causes.iter().zip(ends) {
        let (low, high) = (cause.spread.ratio(LOW), cause.spread.ratio(HIGH));
        match end {
            Some(at_high) if high != 1.0 => {
                let across = (low - 1.0) / (high - 1.0);
                let at_low = expected
                    .iter()
                    .zip(&at_high)
                    .map(|(middle, end)| {
                        let middle = (*middle)?;
                        Some(middle + across * ((*end)? - middle))
                    })
                    .collect();
                found.causes.push(cause.clone());
                found.runs.push((low, high, at_low, at_high));
                found.solved += 1;
            }
            _ => found.unsolved.push(cause.name.clone()),
        }
    }
    found.expected = expected;
    found
}

/// A reading's movement by one cause: a parabola in the ratio through three points.
#[derive(Clone, Copy)]
struct Curve {
    slope: f64,
    bend: f64,
}

impl Curve {
    fn through(low: (f64, f64), high: (f64, f64)) -> Curve {
        // movement = slope x + bend x^2, x = ratio - 1
        let (a, fa) = low;
        let (b, fb) = high;
        let down = a * b * (b - a);
        if down.abs() < 1e-18 {
            // One end coincides with the expected value: a straight line.
            let (x, f) = if a.abs() > b.abs() { low } else { high };
            return Curve {
                slope: if x == 0.0 { 0.0 } else { f / x },
                bend: 0.0,
            };
        }
        let bend = (fb * a - fa * b) / down;
        let slope = if a.abs() > b.abs() {
            fa / a - bend * a
        } else {
            fb / b - bend * b
        };
        Curve { slope, bend }
    }

    fn at(&self, ratio: f64) -> f64 {
        let x = ratio - 1.0;
        x * (self.slope + self.bend * x)
    }
}

/// The draws of all causes: `DRAWS` rows of ratios.
pub(crate) fn ratios(causes: &[Cause], draws: u32, seed: u32) -> Vec<Vec<f64>> {
    (0..draws)
        .map(|draw| {
            causes
                .iter()
                .enumerate()
                .map(|(number, cause)| {
                    let dimension = (number % 256) as u32;
                    let block = (number / 256) as u32;
                    let u = sobol_burley::sample(draw, dimension, seed + 7919 * block);
                    cause.spread.ratio(f64::from(u))
                })
                .collect()
        })
        .collect()
}

impl Movements {
    /// Nothing followed.
    pub(crate) fn none() -> Movements {
        Movements {
            causes: Vec::new(),
            expected: Vec::new(),
            runs: Vec::new(),
            unsolved: Vec::new(),
            solved: 0,
        }
    }

    /// Takes in the readings of another solution: each is moved by its own causes only.
    pub(crate) fn join(&mut self, other: Movements) {
        let (own, more) = (self.expected.len(), other.expected.len());
        for (_, _, low, high) in &mut self.runs {
            low.extend(&other.expected);
            high.extend(&other.expected);
        }
        for (low, high, at_low, at_high) in other.runs {
            let wide = |values: Values| -> Values {
                self.expected.iter().copied().chain(values).collect()
            };
            self.runs.push((low, high, wide(at_low), wide(at_high)));
        }
        self.causes.extend(other.causes);
        self.expected.extend(other.expected);
        self.unsolved.extend(other.unsolved);
        self.solved += other.solved;
        debug_assert_eq!(self.expected.len(), own + more);
    }

    /// The band of each reading.
    pub fn bands(&self) -> Vec<Option<Band>> {
        let draws = ratios(&self.causes, DRAWS, SEED);
        (0..self.expected.len())
            .into_par_iter()
            .map(|reading| self.band(reading, &draws))
            .collect()
    }

    fn band(&self, reading: usize, draws: &[Vec<f64>]) -> Option<Band> {
        let expected = self.expected[reading]?;
        let (mut values, weights) = self.drawn(reading, draws)?;
        let (low, high) = nine_of_ten(&mut values);
        let (low, high) = self.within_sign(reading, expected, low, high);
        band_of(low, expected, high, weights)
    }

    /// The reading in each draw of the causes, and the weight of each cause in its width.
    pub(crate) fn drawn(&self, reading: usize, draws: &[Vec<f64>]) -> Option<DrawnReading> {
        let expected = self.expected[reading]?;
        self.drawn_on(self.scale(reading, expected), reading, draws)
    }

    /// The same of a reading that no cause turns over, as ohms are: movements add up in its logarithm, however small they are.
    pub(crate) fn drawn_in_ratios(
        &self,
        reading: usize,
        draws: &[Vec<f64>],
    ) -> Option<DrawnReading> {
        let expected = self.expected[reading]?;
        let scale = self.in_logarithms(reading, expected)?;
        self.drawn_on(scale, reading, draws)
    }

    fn drawn_on(&self, scale: Scale, reading: usize, draws: &[Vec<f64>]) -> Option<DrawnReading> {
        let expected = self.expected[reading]?;
        let mut curves = Vec::new();
        let mut weights = Vec::new();
        let origin = scale.of(expected);
        for (number, (low, high, at_low, at_high)) in self.runs.iter().enumerate() {
            let (Some(at_low), Some(at_high)) = (at_low[reading], at_high[reading]) else {
                continue;
            };
            let curve = Curve::through(
                (low - 1.0, scale.of(at_low) - origin),
                (high - 1.0, scale.of(at_high) - origin),
            );
            let spread = at_high - at_low;
            let mean = 0.5 * (at_high + at_low) - expected;
            let weight = 0.25 * spread * spread + mean * mean;
            if weight > 1e-10 * expected * expected {
                curves.push((number, curve));
                weights.push((self.causes[number].name.clone(), weight));
            }
        }
        let values: Vec<f64> = draws
            .iter()
            .map(|draw| {
                scale.back(
                    origin
                        + curves
                            .iter()
                            .map(|(number, curve)| curve.at(draw[*number]))
                            .sum::<f64>(),
                )
            })
            .collect();
        Some((values, weights))
    }

    /// The readings at the low and at the high end of one cause.
    pub(crate) fn ends(&self, cause: usize, reading: usize) -> Option<(f64, f64)> {
        let (_, _, low, high) = self.runs.get(cause)?;
        Some(((*low.get(reading)?)?, (*high.get(reading)?)?))
    }

    /// The readings of all runs.
    fn of_runs(&self, reading: usize) -> impl Iterator<Item = f64> {
        self.runs
            .iter()
            .flat_map(move |(_, _, low, high)| [low[reading], high[reading]])
            .flatten()
    }

    fn scale(&self, reading: usize, expected: f64) -> Scale {
        let far = |value: f64| !(1.0 / FAR..FAR).contains(&(value / expected));
        match self.in_logarithms(reading, expected) {
            Some(scale) if self.of_runs(reading).any(far) => scale,
            _ => Scale::Plain,
        }
    }

    /// `None` where a cause turns the reading over.
    fn in_logarithms(&self, reading: usize, expected: f64) -> Option<Scale> {
        let sign = expected.signum();
        let one_sign = expected != 0.0 && self.of_runs(reading).all(|value| value * sign > 0.0);
        one_sign.then(|| {
            let runs = self.of_runs(reading).map(|value| value * sign);
            let (least, most) = runs.fold((expected * sign, expected * sign), |ends, value| {
                (ends.0.min(value), ends.1.max(value))
            });
            Scale::Logarithm {
                sign,
                least: (least / BEYOND).ln(),
                most: (most * BEYOND).ln(),
            }
        })
    }

    /// A reading that no run turned over (watts, peaks, a rectified line) does not turn
    /// over by adding movements either.
    pub(crate) fn within_sign(
        &self,
        reading: usize,
        expected: f64,
        low: f64,
        high: f64,
    ) -> (f64, f64) {
        let most = self.of_runs(reading).fold(expected, f64::max);
        let least = self.of_runs(reading).fold(expected, f64::min);
        (
            if least >= 0.0 { low.max(0.0) } else { low },
            if most <= 0.0 { high.min(0.0) } else { high },
        )
    }
}

/// Ratio to the expected reading above which a movement counts as far.
const FAR: f64 = 1.25;

/// How far beyond the furthest single cause all causes together may move a reading that
/// is added in the logarithm: a sum of parabolas knows no saturation (judgement).
const BEYOND: f64 = 2.0;

/// In what movements add up.
#[derive(Debug, Clone, Copy)]
enum Scale {
    /// The reading itself.
    Plain,
    /// Its logarithm: causes multiply.
    Logarithm {
        /// Of the reading.
        sign: f64,
        /// Logarithms of the ends that sums are held within.
        least: f64,
        most: f64,
    },
}

impl Scale {
    fn of(self, value: f64) -> f64 {
        match self {
            Scale::Plain => value,
            Scale::Logarithm { sign, .. } => (value * sign).max(f64::MIN_POSITIVE).ln(),
        }
    }

    fn back(self, value: f64) -> f64 {
        match self {
            Scale::Plain => value,
            Scale::Logarithm { sign, least, most } => sign * value.clamp(least, most).exp(),
        }
    }
}

/// The band made wide enough for what a bench meter can show: a reading that is zero in
/// the calculation shows a last digit on the bench.
pub fn as_read(band: Band, what: What) -> Band {
    let least = least_readable(what);
    let low = band.low.min(band.expected - least);
    let high = band.high.max(band.expected + least);
    let low = if what == What::DcVolts || band.low < 0.0 {
        low
    } else {
        low.max(0.0)
    };
    Band { low, high, ..band }
}

/// Smallest difference that a bench meter shows, in the unit of the kind (common
/// practice: last digits and needle widths of the low ranges).
pub fn least_readable(what: What) -> f64 {
    match what {
        What::DcVolts | What::RippleVoltsPeakToPeak | What::AcVoltsRms => 0.02,
        What::HeaterVoltsRms | What::LampVoltsRms => 0.02,
        What::LineAmpsRms | What::CapacitorRippleAmpsRms => 0.001,
        What::LineWatts => 0.1,
        What::PlateMilliamps
        | What::ScreenMilliamps
        | What::CathodeMilliamps
        | What::PartMilliamps
        | What::RectifierPeakMilliamps => 0.01,
        What::PartWatts => 0.001,
        What::Ohms => 0.05,
    }
}

/// From the twentieth to the nineteenth of twenty.
pub(crate) fn nine_of_ten(values: &mut [f64]) -> (f64, f64) {
    let last = values.len() - 1;
    let mut at = |share: f64| {
        let place = share * last as f64;
        let below = place.floor() as usize;
        // All behind the chosen one are greater; the next is the least of them.
        let (_, chosen, behind) = values.select_nth_unstable_by(below, f64::total_cmp);
        let chosen = *chosen;
        let next = behind.iter().copied().fold(f64::INFINITY, f64::min);
        let next = if next.is_finite() { next } else { chosen };
        chosen + (next - chosen) * (place - below as f64)
    };
    (at(0.05), at(0.95))
}

pub(crate) fn band_of(
    low: f64,
    expected: f64,
    high: f64,
    weights: Vec<(String, f64)>,
) -> Option<Band> {
    // Skewed causes can leave the expected value outside; the band is then drawn to it.
    Band::new(low.min(expected), expected, high.max(expected), weights).ok()
}

/// Bands from sets drawn and solved.
#[derive(Debug, Clone)]
pub struct Drawn {
    /// The band of each reading.
    pub bands: Vec<Option<Band>>,
    /// Sets that could be solved.
    pub solved: usize,
}

/// The same bands from sets drawn and solved in full, `draws` of them. Causes share the
/// width by the square of their correlation with the reading.
pub fn by_full_draws<F>(causes: &[Cause], expected: &Values, draws: u32, solve: F) -> Drawn
where
    F: Fn(&Variation, f64) -> Option<Values> + Sync,
{
    let solved: Vec<(Vec<f64>, Values)> = ratios(causes, draws, SEED)
        .into_par_iter()
        .filter_map(|row| {
            let (variation, scale) = variation_of(causes, &row);
            let values = solve(&variation, scale)?;
            Some((row, values))
        })
        .collect();
    let bands = (0..expected.len())
        .map(|reading| {
            let expected = expected[reading]?;
            let read: Vec<(&[f64], f64)> = solved
                .iter()
                .filter_map(|(row, set)| Some((row.as_slice(), set[reading]?)))
                .collect();
            if read.is_empty() {
                return None;
            }
            let weights = shares(causes, &read);
            let mut values: Vec<f64> = read.iter().map(|(_, value)| *value).collect();
            let (low, high) = nine_of_ten(&mut values);
            band_of(low, expected, high, weights)
        })
        .collect();
    Drawn {
        bands,
        solved: solved.len(),
    }
}

/// The square of each cause's correlation with a reading, where it stands out from chance.
fn shares(causes: &[Cause], read: &[(&[f64], f64)]) -> Vec<(String, f64)> {
    let count = read.len() as f64;
    let mean = read.iter().map(|(_, value)| value).sum::<f64>() / count;
    let square: f64 = read.iter().map(|(_, value)| (value - mean).powi(2)).sum();
    causes
        .iter()
        .enumerate()
        .filter_map(|(number, cause)| {
            let own = read.iter().map(|(row, _)| row[number]).sum::<f64>() / count;
            let (mut both, mut own_square) = (0.0, 0.0);
            for (row, value) in read {
                both += (row[number] - own) * (value - mean);
                own_square += (row[number] - own).powi(2);
            }
            let correlation = both * both / (own_square * square);
            (correlation > 6.0 / count).then(|| (cause.name.clone(), correlation))
        })
        .collect()
}

/// One drawn set: its departures, and what meter and model multiply every reading by.
pub fn variation_of(causes: &[Cause], ratios: &[f64]) -> (Variation, f64) {
    let mut variation = Variation::none();
    let mut scale = 1.0;
    for (cause, &ratio) in causes.iter().zip(ratios) {
        match cause.figure {
            Figure::Meter | Figure::Model => scale *= ratio,
            figure => variation.set(figure, ratio),
        }
    }
    (variation, scale)
}

/// Whether a spread has any width.
pub fn has_width(spread: &Spread) -> bool {
    spread.ratio(LOW) < spread.ratio(HIGH)
}
