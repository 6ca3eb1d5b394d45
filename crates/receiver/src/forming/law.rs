//! Leakage against minutes: an estimate before there are readings, readings continued afterwards.
//!
//! Amperes, minutes since the volts were put on. The law is that of a dielectric that takes up
//! charge, a current falling as a power of time (Curie and von Schweidler, cited from memory, no
//! page read), upon a current that stays: I = B + A / t^n. Before readings its figures are
//! judgement, drawn so that it meets the acceptance limit after the trade's half hour, three hours
//! or a day. From three readings on, B and n are searched over a grid, A is fitted, and each
//! pair counts by how well it meets the readings; the band holds nine tenths of that weight. Fewer
//! readings give no forecast.

use super::bench::FormingBench;

/// Exponents of the fastest, usual and slowest fall before readings are there (judgement).
const EXPONENTS: (f64, f64, f64) = (1.0, 0.7, 0.5);
/// Hours until the limit is met, fastest, usual and slowest (trade number "re-forming time", from memory).
const HOURS: (f64, f64, f64) = (0.5, 3.0, 24.0);
/// Least error of a leakage reading, a share of it (judgement: meter, source and room together).
const READING_ERROR: f64 = 0.03;
/// Fewest readings that are continued.
pub const FEWEST_READINGS: usize = 3;
/// Longest time ahead that a forecast speaks of, minutes: a day.
pub const LONGEST_MINUTES: f64 = 1440.0;

/// Leakage at one moment, nine of ten between low and high.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeakBand {
    /// Minutes.
    pub minutes: f64,
    /// Low end.
    pub low: f64,
    /// Between.
    pub expected: f64,
    /// High end.
    pub high: f64,
}

/// Where readings are heading.
#[derive(Debug, Clone, PartialEq)]
pub struct Forecast {
    /// Leakage against minutes, from the first reading on.
    pub curve: Vec<LeakBand>,
    /// Share of the weight in which the limit is met within a day.
    pub meets_within_a_day: f64,
    /// Minutes at which it is met: low, middle and high; `None` where that end lies beyond a day.
    pub meets_at: [Option<f64>; 3],
    /// How far the readings lie from the best fit, a share.
    pub scatter: f64,
}

/// What an old can is likely to leak after these minutes at the highest volts, before anything was read.
#[must_use]
pub fn expected_leakage(bench: &FormingBench, minutes: f64) -> LeakBand {
    let limit = bench.limit_amperes;
    // A dead short takes this; nothing takes more.
    let most = bench.series.amperes_at_short;
    let at = |hours: f64, exponent: f64| {
        (limit * (60.0 * hours / minutes.max(1e-3)).powf(exponent)).min(most)
    };
    LeakBand {
        minutes,
        low: at(HOURS.0, EXPONENTS.0),
        expected: at(HOURS.1, EXPONENTS.1),
        high: at(HOURS.2, EXPONENTS.2),
    }
}

struct Cell {
    stays: f64,
    falls: f64,
    exponent: f64,
    weight: f64,
}

impl Cell {
    fn at(&self, minutes: f64) -> f64 {
        self.stays + self.falls * minutes.powf(-self.exponent)
    }

    /// Minutes at which it meets this; infinite for never.
    fn meets(&self, amperes: f64) -> f64 {
        if amperes <= self.stays {
            return f64::INFINITY;
        }
        (self.falls / (amperes - self.stays)).powf(1.0 / self.exponent)
    }
}

/// Continues readings, minutes and amperes; `None` for fewer than three of them.
#[must_use]
pub fn forecast(readings: &[(f64, f64)], limit: f64) -> Option<Forecast> {
    let read: Vec<(f64, f64)> = readings
        .iter()
        .copied()
        .filter(|(minutes, amperes)| *minutes > 0.0 && *amperes > 0.0)
        .collect();
    if read.len() < FEWEST_READINGS {
        return None;
    }
    let least = read.iter().map(|one| one.1).fold(f64::INFINITY, f64::min);
    let mut cells = Vec::new();
    for share in 0..20 {
        for tenth in 1..=20 {
            cells.push(fitted(
                &read,
                0.05 * f64::from(share) * least,
                0.1 * f64::from(tenth),
            ));
        }
    }
    let best = cells
        .iter()
        .map(|one| one.weight)
        .fold(f64::INFINITY, f64::min);
    let freedom = read.len().saturating_sub(2).max(1) as f64;
    let scatter = (best / freedom).sqrt();
    let error = scatter.max(READING_ERROR);
    for cell in &mut cells {
        cell.weight = (-(cell.weight - best) / (2.0 * error * error)).exp();
    }
    let first = read.iter().map(|one| one.0).fold(f64::INFINITY, f64::min);
    let last = read.iter().map(|one| one.0).fold(0.0, f64::max);
    let meets: Vec<(f64, f64)> = cells
        .iter()
        .map(|cell| (cell.meets(limit), cell.weight))
        .collect();
    let whole: f64 = meets.iter().map(|one| one.1).sum();
    let within: f64 = meets
        .iter()
        .filter(|one| one.0 <= LONGEST_MINUTES)
        .map(|one| one.1)
        .sum();
    let ends = [0.05, 0.5, 0.95].map(|share| {
        let minutes = quantile(&meets, share);
        (minutes <= LONGEST_MINUTES).then_some(minutes)
    });
    let end = match ends[1] {
        Some(minutes) => (1.3 * minutes).clamp(2.0 * last, LONGEST_MINUTES.max(2.0 * last)),
        None => 4.0 * last,
    };
    let curve = (0..=60)
        .map(|step| first * (end / first).powf(f64::from(step) / 60.0))
        .map(|minutes| {
            let at: Vec<(f64, f64)> = cells
                .iter()
                .map(|cell| (cell.at(minutes), cell.weight))
                .collect();
            LeakBand {
                minutes,
                low: quantile(&at, 0.05),
                expected: quantile(&at, 0.5),
                high: quantile(&at, 0.95),
            }
        })
        .collect();
    Some(Forecast {
        curve,
        meets_within_a_day: within / whole,
        meets_at: ends,
        scatter,
    })
}

/// The best falling part for this exponent and staying part; its weight is still the sum of squares.
fn fitted(read: &[(f64, f64)], stays: f64, exponent: f64) -> Cell {
    let (mut above, mut below) = (0.0, 0.0);
    for (minutes, amperes) in read {
        let shape = minutes.powf(-exponent) / amperes;
        above += shape * (amperes - stays) / amperes;
        below += shape * shape;
    }
    let falls = (above / below).max(0.0);
    let mut cell = Cell {
        stays,
        falls,
        exponent,
        weight: 0.0,
    };
    cell.weight = read
        .iter()
        .map(|(minutes, amperes)| ((cell.at(*minutes) - amperes) / amperes).powi(2))
        .sum();
    cell
}

/// The value below which this share of the weight lies.
fn quantile(weighted: &[(f64, f64)], share: f64) -> f64 {
    let mut sorted = weighted.to_vec();
    sorted.sort_by(|one, other| one.0.total_cmp(&other.0));
    let whole: f64 = sorted.iter().map(|one| one.1).sum();
    let mut sum = 0.0;
    for (value, weight) in &sorted {
        sum += weight;
        if sum >= share * whole {
            return *value;
        }
    }
    sorted.last().map_or(f64::NAN, |one| one.0)
}
