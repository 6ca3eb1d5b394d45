//! Units as types: one newtype over `f64` for each unit, always in SI.
//!
//! `Volts(345.0)` is 345 volts, `Farads(5e-8)` is 0.05 mfd. The number inside is public and may be any `f64`; printing copes
//! with zero, negative, huge, tiny and non-finite values (see [`mod@crate::bench`]), so nothing here fails.
//! `Display` prints three significant figures; `{:.5}` asks for five.
//! Source of the unit names: the SI; the spellings printed are those of the papers of 1946 to 1965.

use crate::bench::{DEFAULT_FIGURES, Unit, bench_figures};

macro_rules! units {
    ($($(#[$doc:meta])* $name:ident;)*) => {
        $(
            $(#[$doc])*
            #[derive(Clone, Copy, Debug, PartialEq, PartialOrd, Default)]
            pub struct $name(
                /// The number, in the SI unit this type is named for.
                pub f64,
            );

            impl std::fmt::Display for $name {
                fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                    let figures = formatter.precision().unwrap_or(DEFAULT_FIGURES);
                    pad(formatter, &bench_figures(self.0, Unit::$name, figures))
                }
            }

            impl std::ops::Add for $name {
                type Output = $name;
                fn add(self, other: $name) -> $name {
                    $name(self.0 + other.0)
                }
            }

            impl std::ops::Sub for $name {
                type Output = $name;
                fn sub(self, other: $name) -> $name {
                    $name(self.0 - other.0)
                }
            }

            impl std::ops::Neg for $name {
                type Output = $name;
                fn neg(self) -> $name {
                    $name(-self.0)
                }
            }

            impl std::ops::Mul<f64> for $name {
                type Output = $name;
                fn mul(self, factor: f64) -> $name {
                    $name(self.0 * factor)
                }
            }

            impl std::ops::Div<f64> for $name {
                type Output = $name;
                fn div(self, divisor: f64) -> $name {
                    $name(self.0 / divisor)
                }
            }
        )*
    };
}

units! {
    /// Electric potential difference in volts.
    Volts;
    /// Electric current in amperes.
    Amperes;
    /// Resistance in ohms.
    Ohms;
    /// Capacitance in farads (0.05 mfd is `5e-8`).
    Farads;
    /// Inductance in henries.
    Henries;
    /// Power in watts.
    Watts;
    /// Apparent power in volt-amperes.
    VoltAmperes;
    /// Time in seconds.
    Seconds;
    /// Frequency in hertz (cycles per second).
    Hertz;
    /// Temperature in kelvin.
    Kelvin;
    /// Conductance in siemens (mho on the papers).
    Siemens;
}

/// Writes `text` with the width, fill and alignment asked for; the precision was already used for the figures.
pub(crate) fn pad(formatter: &mut std::fmt::Formatter<'_>, text: &str) -> std::fmt::Result {
    use std::fmt::{Alignment, Write};
    let missing = formatter
        .width()
        .unwrap_or(0)
        .saturating_sub(text.chars().count());
    let before = match formatter.align() {
        Some(Alignment::Right) => missing,
        Some(Alignment::Center) => missing / 2,
        _ => 0,
    };
    let fill = formatter.fill();
    for _ in 0..before {
        formatter.write_char(fill)?;
    }
    formatter.write_str(text)?;
    for _ in before..missing {
        formatter.write_char(fill)?;
    }
    Ok(())
}

macro_rules! products {
    ($($left:ident * $right:ident = $product:ident;)*) => {
        $(
            impl std::ops::Mul<$right> for $left {
                type Output = $product;
                fn mul(self, other: $right) -> $product {
                    $product(self.0 * other.0)
                }
            }
        )*
    };
}

macro_rules! quotients {
    ($($left:ident / $right:ident = $quotient:ident;)*) => {
        $(
            impl std::ops::Div<$right> for $left {
                type Output = $quotient;
                fn div(self, other: $right) -> $quotient {
                    $quotient(self.0 / other.0)
                }
            }
        )*
    };
}

products! {
    Volts * Amperes = Watts;
    Amperes * Volts = Watts;
    Amperes * Ohms = Volts;
    Ohms * Amperes = Volts;
    Ohms * Farads = Seconds;
    Farads * Ohms = Seconds;
}

quotients! {
    Volts / Ohms = Amperes;
    Volts / Amperes = Ohms;
    Watts / Volts = Amperes;
    Watts / Amperes = Volts;
    Henries / Ohms = Seconds;
}

/// `value` times a power of ten, as exact as the decimal text would be: 40 times 1e-6 is 4e-5, the f64 next to it is not.
pub(crate) fn scaled_by(value: f64, factor: f64) -> f64 {
    if factor < 1.0 {
        value / (1.0 / factor).round()
    } else {
        value * factor
    }
}

/// The reverse of [`scaled_by`].
pub(crate) fn in_parts_of(value: f64, factor: f64) -> f64 {
    if factor < 1.0 {
        value * (1.0 / factor).round()
    } else {
        value / factor
    }
}

macro_rules! scaled {
    ($($name:ident { $($(#[$doc:meta])* $from:ident, $(#[$doc_back:meta])* $back:ident: $scale:expr;)* })*) => {
        $(
            impl $name {
                $(
                    $(#[$doc])*
                    pub fn $from(value: f64) -> $name {
                        $name(scaled_by(value, $scale))
                    }
                    $(#[$doc_back])*
                    pub fn $back(self) -> f64 {
                        in_parts_of(self.0, $scale)
                    }
                )*
            }
        )*
    };
}

scaled! {
    Volts {
        /// From kilovolts.
        from_kilovolts, /// In kilovolts.
        kilovolts: 1e3;
        /// From millivolts.
        from_millivolts, /// In millivolts.
        millivolts: 1e-3;
    }
    Amperes {
        /// From milliamperes.
        from_milliamperes, /// In milliamperes.
        milliamperes: 1e-3;
        /// From microamperes.
        from_microamperes, /// In microamperes.
        microamperes: 1e-6;
    }
    Ohms {
        /// From kilohms.
        from_kilohms, /// In kilohms.
        kilohms: 1e3;
        /// From megohms.
        from_megohms, /// In megohms.
        megohms: 1e6;
    }
    Farads {
        /// From microfarads (mfd).
        from_microfarads, /// In microfarads (mfd).
        microfarads: 1e-6;
        /// From picofarads (mmf).
        from_picofarads, /// In picofarads (mmf).
        picofarads: 1e-12;
    }
    Henries {
        /// From millihenries.
        from_millihenries, /// In millihenries.
        millihenries: 1e-3;
        /// From microhenries.
        from_microhenries, /// In microhenries.
        microhenries: 1e-6;
    }
    Siemens {
        /// From micromhos.
        from_micromhos, /// In micromhos.
        micromhos: 1e-6;
    }
    Seconds {
        /// From milliseconds.
        from_milliseconds, /// In milliseconds.
        milliseconds: 1e-3;
    }
}
