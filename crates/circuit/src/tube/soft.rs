//! Smooth building stones of the tube laws, each with its slopes.
//!
//! Plain numbers; volts where a name says so. Every function here rises or stays level,
//! has a continuous slope and is finite for any finite argument; none can fail.

/// A value with its slope against its first and second argument.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Soft {
    /// The value.
    pub(super) value: f64,
    /// Slope against the volts.
    pub(super) slope: f64,
    /// Slope against the softness.
    pub(super) by_softness: f64,
}

/// The positive part of `volts`, averaged over a logistic spread of width `softness`:
/// `s ln(1 + exp(v / s))`. Far below zero it dies as `exp(v / s)`.
#[inline]
pub(super) fn positive_part(volts: f64, softness: f64) -> Soft {
    let reduced = volts / softness;
    if reduced > 36.0 {
        return Soft {
            value: volts,
            slope: 1.0,
            by_softness: 0.0,
        };
    }
    // What is left here is below 1e-17 of the width.
    if reduced < -40.0 {
        return Soft {
            value: 0.0,
            slope: 0.0,
            by_softness: 0.0,
        };
    }
    // One exponential that never overflows serves value and slope.
    let small = (-reduced.abs()).exp();
    let logarithm = small.ln_1p() + reduced.max(0.0);
    let share = 1.0 / (1.0 + small);
    let slope = if reduced >= 0.0 { share } else { small * share };
    Soft {
        value: softness * logarithm,
        slope,
        by_softness: logarithm - reduced * slope,
    }
}

/// Zero below `-width`, `volts` above `width`, a parabola between: value and slope.
#[inline]
pub(super) fn rounded_positive(volts: f64, width: f64) -> (f64, f64) {
    if volts >= width {
        (volts, 1.0)
    } else if volts <= -width {
        (0.0, 0.0)
    } else {
        let above = volts + width;
        (above * above / (4.0 * width), above / (2.0 * width))
    }
}

/// `x / (1 + x^2)^(1/2)`: a straight rise that bends over to one. Value and slope.
#[inline]
pub(super) fn bend(x: f64) -> (f64, f64) {
    let under = 1.0 / (1.0 + x * x);
    let root = under.sqrt();
    (x * root, under * root)
}

/// `x / (1 + x^4)^(1/4)`: the same with a sharper knee. Value and slope.
#[inline]
pub(super) fn sharp_bend(x: f64) -> (f64, f64) {
    let square = x * x;
    let under = 1.0 / (1.0 + square * square);
    let root = under.sqrt().sqrt();
    (x * root, under * root)
}

/// `1 / (1 + exp(-x))`, value and slope.
#[inline]
pub(super) fn gate(x: f64) -> (f64, f64) {
    let small = (-x.abs()).exp();
    let share = 1.0 / (1.0 + small);
    let value = if x >= 0.0 { share } else { small * share };
    (value, small * share * share)
}

/// `x` to the power of three halves, value and slope; `x` is not below zero.
#[inline]
pub(super) fn three_halves(x: f64) -> (f64, f64) {
    let root = x.sqrt();
    (x * root, 1.5 * root)
}
