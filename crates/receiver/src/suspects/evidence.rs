//! Readings taken, beside what healthy and faulty sets read at the same places.
//!
//! Units of the readings. Healthy sets are their drawn mean and covariance: the tolerance of
//! all good parts, the doubt of the tubes' laws, the line, all together. A fault moves the
//! mean by what it does to the calculated set. Its spread goes with its size: a place that
//! falls to a tenth is spread a tenth as far. Each reading has the doubt of the meter, and a
//! tenth of its shift is doubted too, since the shift is that of the set as on its sheet
//! (judgement). A reading that nothing foretells is no evidence and is told as such.

use super::likelihood::{Joint, Slips};
use super::predict::Foretold;

/// Doubt of a shift as a share of it (judgement: parts at their tolerance move a fault's effect
/// by some ten percent).
const SHIFT_DOUBT: f64 = 0.1;
/// Bounds of how far a spread goes with its reading.
const GOES_WITH: (f64, f64) = (0.02, 4.0);
/// Volts or milliamperes at which a reading counts as nothing beside this.
const NOTHING: f64 = 0.1;
/// Chance that a reading is a slip: read, written or placed wrongly.
pub const SLIP: f64 = 0.02;
/// Chance that a fault of a kind not listed moves a reading (judgement: it sits in one or two
/// stages of which some readings are taken).
pub const STRANGE: f64 = 0.3;

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
    seen: Vec<Seen>,
    healthy: Vec<f64>,
    mean: Vec<f64>,
    spread: Vec<f64>,
    /// Widest range in which readings lie.
    range: f64,
}

impl Evidence {
    /// Sets readings beside what is foretold.
    pub fn new(foretold: &[Foretold], seen: &[Seen]) -> Evidence {
        let column = |own: &Seen| -> Option<(f64, &[f64])> {
            let told = foretold.get(own.conditions)?;
            let healthy = (*told.healthy.get(own.probe)?)?;
            let drawn = told.drawn.get(own.probe)?.as_deref()?;
            (own.value.is_finite() && own.doubt > 0.0 && drawn.len() > 1)
                .then_some((healthy, drawn))
        };
        let (used, unused): (Vec<usize>, Vec<usize>) =
            (0..seen.len()).partition(|&at| column(&seen[at]).is_some());
        let seen: Vec<Seen> = used.iter().map(|&at| seen[at]).collect();
        let columns: Vec<(f64, &[f64])> = seen.iter().filter_map(column).collect();
        let mean: Vec<f64> = columns
            .iter()
            .map(|(_, drawn)| drawn.iter().sum::<f64>() / drawn.len() as f64)
            .collect();
        let mut spread = Vec::with_capacity(seen.len() * seen.len());
        for ((_, one), own) in columns.iter().zip(&mean) {
            for ((_, other), across) in columns.iter().zip(&mean) {
                // Draws that do not stand for the same sets tell nothing of one another.
                let joint = if one.len() == other.len() {
                    let sum: f64 = one
                        .iter()
                        .zip(*other)
                        .map(|(one, other)| (one - own) * (other - across))
                        .sum();
                    sum / (one.len() - 1) as f64
                } else {
                    0.0
                };
                spread.push(joint);
            }
        }
        let range = foretold
            .iter()
            .flat_map(|told| told.healthy.iter().flatten())
            .chain(seen.iter().map(|own| &own.value))
            .fold(1.0f64, |most, own| most.max(own.abs()));
        Evidence {
            healthy: columns.iter().map(|(healthy, _)| *healthy).collect(),
            used,
            unused,
            seen,
            mean,
            spread,
            range,
        }
    }

    /// Readings that count.
    pub fn count(&self) -> usize {
        self.seen.len()
    }

    /// The readings that count.
    pub fn seen(&self) -> &[Seen] {
        &self.seen
    }

    /// A slip: anywhere within the range of the set, either sign.
    pub fn slips(&self) -> Slips {
        Slips {
            chance: SLIP,
            log_density: -(2.0 * self.range).ln(),
        }
    }

    /// A fault that is not listed: readings moved anywhere.
    pub fn strange(&self) -> Slips {
        Slips {
            chance: STRANGE,
            ..self.slips()
        }
    }

    /// What is expected of each reading with a shift.
    pub fn expected(&self, shift: &[f64]) -> Vec<f64> {
        self.mean
            .iter()
            .zip(shift)
            .map(|(mean, shift)| mean + shift)
            .collect()
    }

    /// Whether a shift is too small to be told from none by these readings.
    pub fn is_idle(&self, shift: &[f64]) -> bool {
        let count = self.count();
        shift.iter().enumerate().all(|(at, shift)| {
            let variance = self.spread[at * count + at] + self.seen[at].doubt.powi(2);
            shift * shift < 1e-4 * variance
        })
    }

    /// The readings against a set whose readings are shifted.
    pub fn against(&self, shift: &[f64]) -> Option<Joint> {
        let all: Vec<usize> = (0..self.count()).collect();
        self.against_some(shift, &all)
    }

    /// The same for some of the readings.
    pub fn against_some(&self, shift: &[f64], some: &[usize]) -> Option<Joint> {
        let count = self.count();
        if shift.len() != count {
            return None;
        }
        let goes_with: Vec<f64> = self
            .healthy
            .iter()
            .zip(shift)
            .map(|(healthy, shift)| {
                let size = |volts: f64| volts.abs() + NOTHING;
                (size(healthy + shift) / size(*healthy)).clamp(GOES_WITH.0, GOES_WITH.1)
            })
            .collect();
        let mut spread = Vec::with_capacity(some.len() * some.len());
        for &row in some {
            for &column in some {
                let mut own =
                    self.spread.get(row * count + column)? * goes_with[row] * goes_with[column];
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
            .map(|own| {
                let faulty = foretold.get(own.conditions)?.faulty.get(hypothesis)?;
                let shifts = faulty.shifts.get(severity)?.as_ref()?;
                *shifts.get(own.probe)?
            })
            .collect()
    }
}
