//! How a ratio is spread among healthy sets, and one cause of it.
//!
//! Plain ratios to the sheet's figure. Sources stand beside each cause. Nothing here can
//! fail.

use crate::wiring::Figure;

/// How a ratio is spread among healthy sets.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Spread {
    /// Evenly between two ratios.
    Even {
        /// Lowest.
        low: f64,
        /// Highest.
        high: f64,
    },
    /// Evenly in the logarithm between two ratios.
    EvenLog {
        /// Lowest.
        low: f64,
        /// Highest.
        high: f64,
    },
    /// Around 1 with this standard deviation.
    Bell {
        /// Standard deviation.
        sigma: f64,
    },
    /// Two halves of a bell around 1: one in twenty lies below the low end, one above the high.
    Sides {
        /// Low end.
        low: f64,
        /// High end.
        high: f64,
    },
}

impl Spread {
    /// No spread: the figure is what the sheet says.
    pub const STILL: Spread = Spread::Bell { sigma: 0.0 };

    /// Whether nothing varies.
    pub fn is_still(&self) -> bool {
        *self == Spread::STILL
    }

    /// The ratio below which the share `u` of healthy sets lies.
    pub fn ratio(&self, u: f64) -> f64 {
        let u = u.clamp(1e-6, 1.0 - 1e-6);
        match *self {
            Spread::Even { low, high } => low + (high - low) * u,
            Spread::EvenLog { low, high } => low * (high / low).powf(u),
            // Far down the tail of a wide bell lies no part that exists.
            Spread::Bell { sigma } => (1.0 + sigma * normal_quantile(u)).max(LEAST_RATIO),
            Spread::Sides { low, high } => {
                let steps = normal_quantile(u) / ONE_IN_TWENTY;
                let side = if steps < 0.0 { 1.0 - low } else { high - 1.0 };
                (1.0 + side * steps).max(LEAST_RATIO)
            }
        }
    }
}

/// The normal distribution's quantile, by the rational approximation 26.2.23 of
/// Abramowitz and Stegun, "Handbook of Mathematical Functions" (error below 4.5e-4).
fn normal_quantile(u: f64) -> f64 {
    let (tail, sign) = if u < 0.5 { (u, -1.0) } else { (1.0 - u, 1.0) };
    let t = (-2.0 * tail.ln()).sqrt();
    let up = 2.515_517 + t * (0.802_853 + t * 0.010_328);
    let down = 1.0 + t * (1.432_788 + t * (0.189_269 + t * 0.001_308));
    sign * (t - up / down)
}

/// The smallest ratio of a part that still works.
const LEAST_RATIO: f64 = 0.02;

/// Standard deviations beyond which one in twenty lies.
const ONE_IN_TWENTY: f64 = 1.645;

/// One cause.
#[derive(Debug, Clone, PartialEq)]
pub struct Cause {
    /// The figure that varies.
    pub figure: Figure,
    /// In words, as a band names it.
    pub name: String,
    /// How it varies.
    pub spread: Spread,
}

/// Evenly, as far down as up.
pub(super) fn even(share: f64) -> Spread {
    Spread::Even {
        low: 1.0 - share,
        high: 1.0 + share,
    }
}
