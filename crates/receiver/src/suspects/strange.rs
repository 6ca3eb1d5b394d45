//! What a fault of a kind that is not listed does to the readings.
//!
//! Units of the readings, on their own scales; densities as natural logarithms. Nobody knows which places it moves, nor
//! how far. It moves a share of the readings, as likely a small share as a large one ([`SHARES`]), each by an amount that
//! is spread evenly in ratios, from what healthy sets stray to the whole range of the set, to either side: as wide as the
//! severities of the faults that are listed go (judgement). So it is beaten by a listed fault that foretells the
//! readings, and beats one that foretells half of them. Others act as some listed one would, in its place
//! ([`super::rank`]). Nothing here fails; a range below the stray of healthy sets counts
//! as that stray.

use super::evidence::Evidence;
use super::likelihood::{Joint, sum_of_logs};

/// Shares of the readings that it moves, each as likely (judgement: it sits anywhere, and readings are taken near it or
/// far away).
pub(super) const SHARES: [f64; 5] = [0.1, 0.3, 0.5, 0.7, 0.9];

/// How far one reading is moved.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Strange {
    /// Standard deviation of healthy sets and meter.
    sigma: f64,
    /// Natural logarithm of the range of the set over it.
    decades: f64,
}

impl Strange {
    pub(super) fn new(sigma: f64, range: f64) -> Strange {
        let sigma = sigma.max(f64::MIN_POSITIVE);
        Strange {
            sigma,
            decades: (range / sigma).max(1.0).ln(),
        }
    }

    /// Density of a reading so far from the middle of healthy sets.
    pub(super) fn density(&self, rest: f64) -> f64 {
        0.5 / (rest.abs().max(self.sigma) * (1.0 + self.decades))
    }

    /// Share below such a reading.
    pub(super) fn below(&self, rest: f64) -> f64 {
        let steps = rest.abs() / self.sigma;
        let inside = if steps > 1.0 {
            1.0 + steps.ln().min(self.decades)
        } else {
            steps
        };
        0.5 + 0.5 * rest.signum() * inside / (1.0 + self.decades)
    }
}

/// The readings with a fault that is not listed, in a set that is healthy else.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct NotListed {
    /// Natural logarithm of their density.
    pub log: f64,
    /// Share of all readings that it moves, by these.
    pub share: f64,
}

impl NotListed {
    /// By the law of healthy sets; without readings nothing is known of the share.
    pub(super) fn of(evidence: &Evidence, healthy: Option<&Joint>) -> NotListed {
        let count = SHARES.len() as f64;
        let Some(joint) = healthy else {
            return NotListed {
                log: 0.0,
                share: SHARES.iter().sum::<f64>() / count,
            };
        };
        let moved = |at: usize| evidence.strange_log(at);
        let logs = SHARES.map(|share| joint.with_moved(share, &moved).0);
        let all = sum_of_logs(&logs);
        let each = SHARES.iter().zip(&logs);
        NotListed {
            log: all - count.ln(),
            share: each.map(|(share, log)| share * (log - all).exp()).sum(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: the density sums to 1 within the range, and its sum is the share below.
    #[test]
    fn the_law_of_a_moved_reading_is_whole() {
        for (sigma, range) in [(2.0, 400.0), (0.05, 300.0), (5.0, 1.0)] {
            let own = Strange::new(sigma, range);
            let end = range.max(sigma);
            let steps = 400_000;
            let width = 2.0 * end / f64::from(steps);
            let mut sum = 0.0;
            for step in 0..steps {
                let at = -end + (f64::from(step) + 0.5) * width;
                sum += own.density(at) * width;
                if step % 9973 == 0 {
                    assert!((own.below(at + 0.5 * width) - sum).abs() < 2e-3, "{at}");
                }
            }
            assert!((sum - 1.0).abs() < 2e-3, "{sum}");
            assert!((own.below(end) - 1.0).abs() < 1e-12 && own.below(-end).abs() < 1e-12);
            assert_eq!(own.below(0.0), 0.5);
        }
    }
}
