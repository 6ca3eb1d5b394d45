//! A mixture of normal laws: what several laws of recovery say together.
//!
//! In the unit of the readings. Values below `floor` are cut off (emission is never negative).
//! Quantiles are found to a ten-thousandth of the weight. An empty mixture gives `None`.

use super::normal::share_below;

/// One normal law of a mixture.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Piece {
    /// Weight; they need not sum to one.
    pub weight: f64,
    /// Mean.
    pub mean: f64,
    /// Standard deviation, above zero.
    pub deviation: f64,
}

/// Standard deviations beyond which a piece counts as wholly below or above.
const FAR: f64 = 5.0;
/// How near the wanted share a quantile comes.
const NEAR: f64 = 1e-4;
/// Halvings at most; each quantile needs about ten.
const STEPS: usize = 40;

/// A mixture cut off at a floor.
pub(super) struct Mixture<'p> {
    pieces: &'p [Piece],
    floor: f64,
    cuts: Vec<f64>,
    all: f64,
}

impl<'p> Mixture<'p> {
    /// The pieces above `floor`; `None` when nothing is left.
    pub fn new(pieces: &'p [Piece], floor: f64) -> Option<Self> {
        let cuts: Vec<f64> = pieces.iter().map(|piece| below(piece, floor)).collect();
        let all = pieces
            .iter()
            .zip(&cuts)
            .map(|(piece, cut)| piece.weight * (1.0 - cut))
            .sum();
        let mixture = Self {
            pieces,
            floor,
            cuts,
            all,
        };
        (mixture.all > 0.0 && mixture.all.is_finite()).then_some(mixture)
    }

    /// Share of the mixture below `value`.
    pub fn share_below(&self, value: f64) -> f64 {
        if value <= self.floor {
            return 0.0;
        }
        let sum: f64 = self
            .pieces
            .iter()
            .zip(&self.cuts)
            .map(|(piece, cut)| piece.weight * (below(piece, value) - cut).max(0.0))
            .sum();
        (sum / self.all).clamp(0.0, 1.0)
    }

    /// The value below which `share` of the mixture lies.
    pub fn quantile(&self, share: f64) -> f64 {
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        for piece in self.pieces {
            low = low.min(piece.mean - FAR * piece.deviation);
            high = high.max(piece.mean + FAR * piece.deviation);
        }
        low = low.max(self.floor);
        high = high.max(low);
        let (mut under, mut over) = (0.0, 1.0);
        for step in 0..STEPS {
            let even = 0.5 * (low + high);
            let straight = low + (high - low) * (share - under) / f64::max(over - under, 1e-12);
            let at = if step % 2 == 1 && straight > low && straight < high {
                straight
            } else {
                even
            };
            let found = self.share_below(at);
            if (found - share).abs() < NEAR {
                return at;
            }
            if found < share {
                (low, under) = (at, found);
            } else {
                (high, over) = (at, found);
            }
        }
        0.5 * (low + high)
    }
}

fn below(piece: &Piece, value: f64) -> f64 {
    let z = (value - piece.mean) / piece.deviation;
    if z > FAR {
        1.0
    } else if z < -FAR {
        0.0
    } else {
        share_below(z)
    }
}
