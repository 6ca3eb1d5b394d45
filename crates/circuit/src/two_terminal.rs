//! Laws of things with two ends at direct current: crystals, selenium, neon, resistors that
//! depend on their volts.
//!
//! Inside: volts from the first end to the second, amperes, siemens. Each law gives current
//! and slope for any finite volts within 10 kV, rises everywhere, and has a continuous slope.
//! - Crystal: `I = I0 (exp((V - I R)/n) - 1)` with a series resistance and a leak
//!   (C. Wagner, Phys. Z. 32 (1931) 641; W. Shockley, Bell Syst. Tech. J. 28 (1949) 435).
//!   `n` is 26 mV for an ideal barrier and 35 to 80 mV for a point contact (Torrey and
//!   Whitmer, Crystal Rectifiers, 1948; from memory). Selenium phase diodes take the same law
//!   with larger `n` and leak.
//! - Voltage-dependent resistor: `V = C I^beta`, so `I = (V/C)^(1/beta)` both ways (silicon
//!   carbide; C and beta as its maker prints them, beta 0.15 to 0.4; from memory).
//! - Neon: dark until it strikes, then the glow holds its volts nearly fixed (J. D. Cobine,
//!   Gaseous Conductors, 1941; from memory). Both states satisfy the same circuit, so the
//!   state is given, [`NeonState`], and [`TwoTerminalLaw::neon_rule`] says which may stand.
//!
//! Slow heating, light on a crystal and breakdown in reverse are left out. Constants that no
//! part can have are refused by [`TwoTerminalLaw::check`].

use crate::error::CircuitError;

/// Leak of anything with two ends, siemens, so that no place hangs free.
pub const LEAK_SIEMENS: f64 = 1e-11;

/// A thing with two ends, with its constants.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum TwoTerminalLaw {
    /// A germanium crystal or a selenium diode; conducts from the first end to the second.
    Crystal {
        /// Saturation current of the barrier, amperes.
        saturation_amperes: f64,
        /// Volts in which the current grows by e.
        slope_volts: f64,
        /// Ohms in series.
        series_ohms: f64,
        /// Leak along the barrier both ways, siemens.
        leak_siemens: f64,
    },
    /// A neon lamp with any resistor in its base.
    Neon {
        /// Volts at which it strikes.
        strike_volts: f64,
        /// Volts across the glow, nearly fixed.
        glow_volts: f64,
        /// Ohms of the lit lamp, base resistor included.
        lit_ohms: f64,
        /// Amperes below which the glow goes out.
        least_amperes: f64,
    },
    /// A voltage-dependent resistor.
    VoltageDependent {
        /// Volts at one ampere: the maker's C.
        volts_at_one_ampere: f64,
        /// The maker's beta, above 0 and up to 1.
        beta: f64,
    },
}

/// Whether a neon lamp glows; other things ignore it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct NeonState {
    /// Whether it is lit.
    pub lit: bool,
}

/// What the volts and amperes found say of an assumed state.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NeonRule {
    /// The assumed state may stand.
    Holds,
    /// It was taken as dark but the volts strike it: solve again with it lit.
    Strikes,
    /// It was taken as lit but the current cannot keep it: solve again with it dark.
    GoesOut,
}

impl TwoTerminalLaw {
    /// Amperes from the first end to the second, and siemens; the state matters to a neon
    /// lamp only.
    #[inline]
    pub fn current(&self, volts: f64, state: NeonState) -> (f64, f64) {
        let (amperes, siemens) = match *self {
            TwoTerminalLaw::Crystal {
                saturation_amperes,
                slope_volts,
                series_ohms,
                leak_siemens,
            } => {
                let (amperes, siemens) =
                    barrier(volts, saturation_amperes, slope_volts, series_ohms);
                (amperes + leak_siemens * volts, siemens + leak_siemens)
            }
            TwoTerminalLaw::Neon {
                glow_volts,
                lit_ohms,
                ..
            } => {
                if state.lit {
                    lit(volts, glow_volts, lit_ohms)
                } else {
                    (0.0, 0.0)
                }
            }
            TwoTerminalLaw::VoltageDependent {
                volts_at_one_ampere,
                beta,
            } => {
                let reduced = volts.abs() / volts_at_one_ampere;
                let power = 1.0 / beta;
                // Far beyond any use the power goes on as a straight line.
                let bounded = reduced.min(FAR);
                let slope = power * bounded.powf(power - 1.0);
                let amperes = bounded.powf(power) + slope * (reduced - bounded);
                (amperes.copysign(volts), slope / volts_at_one_ampere)
            }
        };
        (amperes + LEAK_SIEMENS * volts, siemens + LEAK_SIEMENS)
    }

    /// Whether the assumed state of a neon lamp agrees with the volts across it and the
    /// amperes through it. Between the two limits both states may stand: the lamp stays as
    /// it was. Anything else always holds.
    pub fn neon_rule(&self, state: NeonState, volts: f64, amperes: f64) -> NeonRule {
        match *self {
            TwoTerminalLaw::Neon {
                strike_volts,
                least_amperes,
                ..
            } => {
                if !state.lit && volts.abs() >= strike_volts {
                    NeonRule::Strikes
                } else if state.lit && amperes.abs() < least_amperes {
                    NeonRule::GoesOut
                } else {
                    NeonRule::Holds
                }
            }
            _ => NeonRule::Holds,
        }
    }

    /// Whether all constants are such as a part can have.
    ///
    /// # Errors
    /// [`CircuitError::TubeConstant`] names the first that is not.
    pub fn check(&self) -> Result<(), CircuitError> {
        let positive = "a finite number above 0";
        let not_negative = "a finite number not below 0";
        let list: Vec<(&'static str, f64, bool, &'static str)> = match *self {
            TwoTerminalLaw::Crystal {
                saturation_amperes,
                slope_volts,
                series_ohms,
                leak_siemens,
            } => vec![
                (
                    "saturation_amperes",
                    saturation_amperes,
                    saturation_amperes > 0.0,
                    positive,
                ),
                ("slope_volts", slope_volts, slope_volts > 0.0, positive),
                ("series_ohms", series_ohms, series_ohms > 0.0, positive),
                (
                    "leak_siemens",
                    leak_siemens,
                    leak_siemens >= 0.0,
                    not_negative,
                ),
            ],
            TwoTerminalLaw::Neon {
                strike_volts,
                glow_volts,
                lit_ohms,
                least_amperes,
            } => vec![
                ("glow_volts", glow_volts, glow_volts > 0.0, positive),
                (
                    "strike_volts",
                    strike_volts,
                    strike_volts > glow_volts,
                    "above the volts of the glow",
                ),
                ("lit_ohms", lit_ohms, lit_ohms > 0.0, positive),
                (
                    "least_amperes",
                    least_amperes,
                    least_amperes >= 0.0,
                    not_negative,
                ),
            ],
            TwoTerminalLaw::VoltageDependent {
                volts_at_one_ampere,
                beta,
            } => vec![
                (
                    "volts_at_one_ampere",
                    volts_at_one_ampere,
                    volts_at_one_ampere > 0.0,
                    positive,
                ),
                (
                    "beta",
                    beta,
                    beta > 0.02 && beta <= 1.0,
                    "above 0.02 and up to 1",
                ),
            ],
        };
        for (field, value, good, expected) in list {
            if !good || !value.is_finite() {
                return Err(CircuitError::TubeConstant {
                    field,
                    value,
                    expected,
                });
            }
        }
        Ok(())
    }
}

/// Volts over the maker's C beyond which a voltage-dependent resistor goes on straight: one
/// that carries hundreds of amperes is no more.
const FAR: f64 = 3.0;

/// A lit neon lamp: nothing within the glow volts, ohms beyond; both ways alike. The corner
/// is rounded over a fiftieth of the glow volts.
#[inline]
fn lit(volts: f64, glow_volts: f64, lit_ohms: f64) -> (f64, f64) {
    let width = glow_volts / 50.0;
    let beyond = volts.abs() - glow_volts;
    let (over, slope) = if beyond >= width {
        (beyond, 1.0)
    } else if beyond <= -width {
        (0.0, 0.0)
    } else {
        let above = beyond + width;
        (above * above / (4.0 * width), above / (2.0 * width))
    };
    ((over / lit_ohms).copysign(volts), slope / lit_ohms)
}

/// Current of a barrier with ohms in series and its slope. With `w = (I + I0) R / n` the law
/// becomes `w + ln w = (V + I0 R)/n + ln(I0 R / n)`, which has one root and needs few Newton
/// steps from a good guess.
#[inline]
fn barrier(volts: f64, saturation: f64, slope_volts: f64, series_ohms: f64) -> (f64, f64) {
    let scale = saturation * series_ohms / slope_volts;
    let right = (volts + saturation * series_ohms) / slope_volts + scale.ln();
    // Below: w is nearly exp(right); above: nearly right.
    let mut w = if right < 1.0 {
        (right.max(-700.0)).exp() / (1.0 + right.clamp(-700.0, 1.0).exp())
    } else {
        right - right.ln() * right / (1.0 + right)
    };
    for _ in 0..4 {
        if w < 1e-280 {
            break;
        }
        // Newton on w + ln w - right, in the form that keeps w above zero.
        w *= (1.0 + right - w.ln()) / (1.0 + w);
    }
    let amperes = w * slope_volts / series_ohms - saturation;
    (amperes, w / ((1.0 + w) * series_ohms))
}
