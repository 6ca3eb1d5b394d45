//! A signal's peak-to-peak volts at a place against the maker's figure for it: right near 1, weak below.
//!
//! Plain ratios; densities over the natural logarithm of the ratio. What comes right lies about the maker's figure, as wide
//! as stations, settings and makers' drawings let it ([`RIGHT`]); what comes weak is a right one that has lost
//! something, evenly on a scale of ratios down to [`NOTHING`]; what comes bent lies widely about it ([`BENT`]); below [`NOTHING`] it is lost. How often
//! each comes with a fault that disturbs on the way, and without any, is told by the chances of words
//! ([`super::signals`](mod@super::signals)), so that a figure and a word say the same where they mean the same. All widths are
//! judgement. A ratio that is no number says nothing; nothing here fails.

use super::by_bell;
use super::signals::{CAME, SignalCame, chances_on};

/// Standard deviation of the logarithm of a right signal's ratio (judgement: a third more or less; stations, contrast and
/// generator stand as nobody wrote down, and makers drew few figures of waves to better than that).
pub const RIGHT: f64 = 0.3;
/// The same of one of another shape (judgement).
pub const BENT: f64 = 0.8;
/// Ratio below which it is lost: hum and what is picked up (judgement).
pub const NOTHING: f64 = 0.03;

/// A signal's size against the maker's, and its shape.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wave {
    /// Peak-to-peak volts over the maker's.
    pub share: f64,
    /// Whether the shape is the maker's, where it was looked at.
    pub same_shape: Option<bool>,
}

impl Wave {
    /// Density of this size, and chance of this shape, among signals that come so.
    fn among(self, came: SignalCame) -> f64 {
        let log = self.share.ln();
        let bell = |sigma: f64| {
            let steps = log / sigma;
            (-0.5 * steps * steps).exp() / (sigma * std::f64::consts::TAU.sqrt())
        };
        let is_lost = self.share < NOTHING;
        let is_bent = came == SignalCame::Bent;
        // A lost one has no shape.
        if !is_lost && self.same_shape.is_some_and(|same| same == is_bent) {
            return 0.0;
        }
        match came {
            SignalCame::Lost => f64::from(u8::from(is_lost)),
            _ if is_lost => 0.0,
            SignalCame::Right => bell(RIGHT),
            SignalCame::Weak => {
                let low = NOTHING.ln();
                (by_bell(-log / RIGHT) - by_bell((low - log) / RIGHT)) / -low
            }
            SignalCame::Bent => bell(BENT),
        }
    }

    /// Natural logarithm of how many times likelier it is where something disturbs it on the way with this chance than
    /// where nothing does.
    pub fn likelier(self, disturbs: f64) -> f64 {
        let with = |disturbs: f64| -> f64 {
            let each = CAME.iter();
            each.map(|came| chances_on(*came, disturbs) * self.among(*came))
                .sum()
        };
        let (with, without) = (with(disturbs), with(0.0));
        match (with / without).ln() {
            log if log.is_finite() => log,
            _ => 0.0,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn wave(share: f64) -> Wave {
        Wave {
            share,
            same_shape: Some(true),
        }
    }

    fn by_word(came: SignalCame) -> f64 {
        (chances_on(came, 1.0) / chances_on(came, 0.0)).ln()
    }

    /// Where the figure leaves one word alone it says what the word says; in between it goes from one to the other.
    #[test]
    fn a_figure_says_what_the_word_says_and_no_step_lies_between() {
        let at = |share| wave(share).likelier(1.0);
        // At the maker's figure it may be a weak one still, in one of three: hardly another word.
        assert!((at(1.0) - by_word(SignalCame::Right)).abs() < 0.45);
        assert!((at(0.1) - by_word(SignalCame::Weak)).abs() < 0.01);
        assert!((at(0.0) - by_word(SignalCame::Lost)).abs() < 1e-9);
        let bent = Wave {
            share: 0.9,
            same_shape: Some(false),
        };
        assert!((bent.likelier(1.0) - by_word(SignalCame::Bent)).abs() < 1e-9);
        // From the maker's figure down it speaks ever more for a fault.
        let course: Vec<f64> = (0..90)
            .map(|step| at(1.0 - 0.01 * f64::from(step)))
            .collect();
        for pair in course.windows(2) {
            assert!(
                pair[1] >= pair[0] - 1e-9 && pair[1] - pair[0] < 0.3,
                "{pair:?}"
            );
        }
        assert!(at(0.8) < 0.0 && at(0.3) > 1.0);
        // By hand at half of it: a right one is a bell of 0.3 about nought, a weak one even over ln(1 / 0.03) = 3.507 and
        // widened by that bell: 0.9896 of it lies between the ends, by common tables at 2.31 deviations.
        let bell =
            (-0.5 * (0.5f64.ln() / 0.3).powi(2)).exp() / (0.3 * std::f64::consts::TAU.sqrt());
        let weak = 0.9896 / 3.5066;
        let hand = ((0.06 * bell + 0.28 * weak) / (0.92 * bell + 0.04 * weak)).ln();
        assert!((at(0.5) - hand).abs() < 1e-3);
    }

    #[test]
    fn awkward_figures_say_nothing_wild() {
        for share in [0.0, 1e-9, 0.03, 1.0, 50.0, f64::NAN, f64::INFINITY] {
            for same_shape in [None, Some(true), Some(false)] {
                let own = Wave { share, same_shape };
                assert!(
                    own.likelier(1.0).abs() < 4.0,
                    "{own:?} {}",
                    own.likelier(1.0)
                );
                assert_eq!(own.likelier(0.0), 0.0);
            }
        }
    }
}
