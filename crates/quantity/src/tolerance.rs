//! How far a part may lie from its marked value.
//!
//! `down` and `up` are fractions of the marked value: ±10 % is 0.1 and 0.1, `+50 -10 %` is down 0.1, up 0.5.
//! Source: part codes as in [`crate::colour_code`] or the text of a sheet. A tolerance that is negative, not finite, or goes
//! down by more than the whole value is refused when it is made through [`Tolerance::new`].

use crate::bench::{Unit, bench};

/// A tolerance as two fractions of the marked value, both positive.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tolerance {
    /// Fraction by which the part may lie below its marked value (0.1 is 10 %).
    pub down: f64,
    /// Fraction by which the part may lie above its marked value.
    pub up: f64,
}

/// Why a tolerance was refused.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[error(
    "tolerance down {down} up {up}: expected down from 0 to 1 and up from 0 on, both finite; give them as positive fractions"
)]
pub struct ToleranceError {
    /// The fraction below the marked value, as given.
    pub down: f64,
    /// The fraction above the marked value, as given.
    pub up: f64,
}

impl Tolerance {
    /// A tolerance of `down` below and `up` above the marked value, as fractions; refused when negative, not finite or `down` above 1.
    pub fn new(down: f64, up: f64) -> Result<Tolerance, ToleranceError> {
        let good = down.is_finite() && up.is_finite() && (0.0..=1.0).contains(&down) && up >= 0.0;
        if good {
            Ok(Tolerance { down, up })
        } else {
            Err(ToleranceError { down, up })
        }
    }

    /// The same fraction on both sides; refused as in [`Tolerance::new`].
    pub fn plus_minus(fraction: f64) -> Result<Tolerance, ToleranceError> {
        Tolerance::new(fraction, fraction)
    }

    /// The lowest value a part marked `marked` may have (same unit as `marked`, whose sign is kept).
    pub fn low(&self, marked: f64) -> f64 {
        marked - self.down * marked.abs()
    }

    /// The highest value a part marked `marked` may have (same unit as `marked`).
    pub fn high(&self, marked: f64) -> f64 {
        marked + self.up * marked.abs()
    }

    /// Whether a part marked `marked` that measures `measured` is within the tolerance.
    pub fn holds(&self, marked: f64, measured: f64) -> bool {
        self.low(marked) <= measured && measured <= self.high(marked)
    }
}

/// Prints `10%` when both sides are equal, else `+50 -10%`; both read back.
impl std::fmt::Display for Tolerance {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let text = if self.down == self.up {
            bench(self.up, Unit::Fraction)
        } else {
            let up = bench(self.up, Unit::Fraction);
            format!(
                "+{} -{}",
                up.trim_end_matches('%'),
                bench(self.down, Unit::Fraction)
            )
        };
        crate::units::pad(formatter, &text)
    }
}
