//! Two tubes, or one tube at two times, compared by where they are heading.
//!
//! Chances from 0 to 1; the ratio is that of the levels headed for, first over second. Only
//! readings of one instrument and unit can be compared; otherwise the answer is "cannot tell"
//! with that reason. Both doubts count.

use quantity::Band;

use super::level_text::level_text;
use super::mixture::Piece;
use super::normal::share_below;
use super::outlook::{EmissionOutlook, Heading};

/// Chance from which on one is called better.
const SURE: f64 = 0.9;
/// Pieces of each mixture that are used, the heaviest.
const USED: usize = 80;

/// Which of two is heading higher.
#[derive(Clone, Debug, PartialEq)]
pub enum Comparison {
    /// The first one, with the chance of it and the ratio of first to second.
    First {
        /// Chance that the first is heading higher.
        chance: f64,
        /// Ratio of the levels, first over second.
        ratio: Band,
    },
    /// The second one.
    Second {
        /// Chance that the second is heading higher.
        chance: f64,
        /// Ratio of the levels, first over second.
        ratio: Band,
    },
    /// The readings do not tell.
    CannotTell {
        /// Why not.
        because: String,
    },
}

/// Compares two outlooks.
pub fn compare(first: &EmissionOutlook, second: &EmissionOutlook) -> Comparison {
    if first.unit != second.unit {
        return Comparison::CannotTell {
            because: format!(
                "one was read in {}, the other in {}: read both on one instrument",
                first.unit, second.unit
            ),
        };
    }
    for (which, outlook) in [("first", first), ("second", second)] {
        if let Heading::CannotTell { because, .. } = &outlook.heading {
            return Comparison::CannotTell {
                because: format!("of the {which}: {because}"),
            };
        }
    }
    let chance = chance_of_more(&heaviest(&first.pieces), &heaviest(&second.pieces));
    let (one, other) = (first.heading.band(), second.heading.band());
    let ratio = Band::new(
        quotient(one.low, other.high),
        quotient(one.expected, other.expected),
        quotient(one.high, other.low),
        [
            ("first", one.width() / one.expected),
            ("second", other.width() / other.expected),
        ],
    );
    match ratio {
        Ok(ratio) if chance >= SURE => Comparison::First { chance, ratio },
        Ok(ratio) if chance <= 1.0 - SURE => Comparison::Second {
            chance: 1.0 - chance,
            ratio,
        },
        _ => Comparison::CannotTell {
            because: format!(
                "both may be the better one: {} to {} against {} to {} {}",
                level_text(one.low),
                level_text(one.high),
                level_text(other.low),
                level_text(other.high),
                first.unit
            ),
        },
    }
}

fn quotient(above: f64, below: f64) -> f64 {
    above / below.max(1e-9 * above.abs()).max(f64::MIN_POSITIVE)
}

fn heaviest(pieces: &[Piece]) -> Vec<Piece> {
    let mut pieces = pieces.to_vec();
    pieces.sort_by(|one, other| other.weight.total_cmp(&one.weight));
    pieces.truncate(USED);
    pieces
}

fn chance_of_more(first: &[Piece], second: &[Piece]) -> f64 {
    let (mut more, mut all) = (0.0, 0.0);
    for one in first {
        for other in second {
            let weight = one.weight * other.weight;
            let spread = one.deviation.hypot(other.deviation);
            more += weight * share_below((one.mean - other.mean) / spread);
            all += weight;
        }
    }
    if all > 0.0 { more / all } else { 0.5 }
}
