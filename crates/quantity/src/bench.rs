//! Prints a quantity as it is said at the bench: `345 V`, `4.7k`, `0.05 mfd`, `220 mmf`, `95 mA`, `3.5 H`.
//!
//! Units: the value comes in SI (ohms, farads, ...), the text carries the unit a restorer would use for that size.
//! Rules: three significant figures unless asked otherwise, no trailing zeros, no prefix that the papers of 1946 to 1965 lack.
//! Capacitance is in `mfd` from 0.001 mfd up and in `mmf` (the picofarad) below it. `k` and `meg` stand alone for kilohm
//! and megohm. Whatever is printed for a finite value is read back by [`crate::notation`] to the same value within the rounding.
//! Outside the range of the bench the number is written with an exponent (`1e20 ohm`). A value that is no number prints as
//! `unknown`; infinite ohms print as `open`, other infinities as `without limit`. Nothing here fails.

/// The unit a number is in, for printing and for messages.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Unit {
    /// Volts.
    Volts,
    /// Amperes.
    Amperes,
    /// Ohms.
    Ohms,
    /// Farads.
    Farads,
    /// Henries.
    Henries,
    /// Watts.
    Watts,
    /// Volt-amperes.
    VoltAmperes,
    /// Seconds.
    Seconds,
    /// Hertz.
    Hertz,
    /// Kelvin.
    Kelvin,
    /// Siemens, printed as mho.
    Siemens,
    /// A fraction of one, printed in percent: 0.1 is `10%`.
    Fraction,
    /// A meter's ohms per volt.
    OhmsPerVolt,
}

/// Significant figures printed unless asked otherwise.
pub const DEFAULT_FIGURES: usize = 3;

/// Prints `value`, in the SI unit `unit`, with three significant figures: `bench(4700.0, Unit::Ohms)` is `4.7k`.
pub fn bench(value: f64, unit: Unit) -> String {
    bench_figures(value, unit, DEFAULT_FIGURES)
}

/// As [`bench()`], with `figures` significant figures (1 to 15; others are brought into that range).
pub fn bench_figures(value: f64, unit: Unit, figures: usize) -> String {
    if value.is_nan() {
        return "unknown".to_string();
    }
    if value.is_infinite() {
        let sign = if value < 0.0 { "minus " } else { "" };
        return if unit == Unit::Ohms && value > 0.0 {
            "open".to_string()
        } else {
            format!("{sign}without limit")
        };
    }
    let figures = figures.clamp(1, 15);
    let rounded = round_to(value, figures);
    let size = rounded.abs();
    let scales = scales(unit);
    // The first scale whose lower end is reached; the last one takes whatever is smaller.
    let chosen = scales.iter().find(|scale| size >= scale.from);
    let scale = match (chosen, scales.last()) {
        (_, Some(_)) if size == 0.0 => &scales[zero_scale(unit)],
        (Some(scale), _) => scale,
        (None, Some(last)) => last,
        (None, None) => return rounded.to_string(),
    };
    // From the value itself, so that minutes and hours are rounded once.
    let number = value / scale.size;
    if size != 0.0 && (number.abs() >= 1e7 || number.abs() < 1e-4) {
        let base = base_scale(unit);
        return format!("{}{}", exponent(value / base.size, figures), base.suffix);
    }
    format!("{}{}", plain(number, figures), scale.suffix)
}

/// One way to write a unit: used from `from` (SI) upwards, the number divided by `size`, the suffix behind it.
struct Scale {
    from: f64,
    size: f64,
    suffix: &'static str,
}

const fn scale(from: f64, size: f64, suffix: &'static str) -> Scale {
    Scale { from, size, suffix }
}

/// The scales of a unit, largest first.
fn scales(unit: Unit) -> &'static [Scale] {
    match unit {
        Unit::Volts => {
            const {
                &[
                    scale(1e4, 1e3, " kV"),
                    scale(0.1, 1.0, " V"),
                    scale(0.0, 1e-3, " mV"),
                ]
            }
        }
        Unit::Amperes => {
            const {
                &[
                    scale(1.0, 1.0, " A"),
                    scale(1e-3, 1e-3, " mA"),
                    scale(0.0, 1e-6, " uA"),
                ]
            }
        }
        Unit::Ohms => {
            const {
                &[
                    scale(1e6, 1e6, " meg"),
                    scale(1e3, 1e3, "k"),
                    scale(0.0, 1.0, " ohm"),
                ]
            }
        }
        Unit::Farads => const { &[scale(1e-9, 1e-6, " mfd"), scale(0.0, 1e-12, " mmf")] },
        Unit::Henries => {
            const {
                &[
                    scale(1.0, 1.0, " H"),
                    scale(1e-3, 1e-3, " mH"),
                    scale(0.0, 1e-6, " uH"),
                ]
            }
        }
        Unit::Watts => {
            const {
                &[
                    scale(1e4, 1e3, " kW"),
                    scale(0.1, 1.0, " W"),
                    scale(0.0, 1e-3, " mW"),
                ]
            }
        }
        Unit::VoltAmperes => const { &[scale(1e4, 1e3, " kVA"), scale(0.0, 1.0, " VA")] },
        Unit::Seconds => {
            const {
                &[
                    scale(7200.0, 3600.0, " hours"),
                    scale(600.0, 60.0, " min"),
                    scale(0.1, 1.0, " s"),
                    scale(1e-3, 1e-3, " ms"),
                    scale(0.0, 1e-6, " us"),
                ]
            }
        }
        Unit::Hertz => {
            const {
                &[
                    scale(1e6, 1e6, " MHz"),
                    scale(1e3, 1e3, " kHz"),
                    scale(0.0, 1.0, " Hz"),
                ]
            }
        }
        Unit::Kelvin => const { &[scale(0.0, 1.0, " kelvin")] },
        Unit::Siemens => const { &[scale(1e-2, 1.0, " mho"), scale(0.0, 1e-6, " umho")] },
        Unit::Fraction => const { &[scale(0.0, 1e-2, "%")] },
        Unit::OhmsPerVolt => {
            const {
                &[
                    scale(1e3, 1e3, "k per volt"),
                    scale(0.0, 1.0, " ohm per volt"),
                ]
            }
        }
    }
}

/// Which of the scales zero is printed in.
fn zero_scale(unit: Unit) -> usize {
    match unit {
        Unit::Volts | Unit::Watts | Unit::VoltAmperes => 1,
        Unit::Ohms | Unit::Seconds | Unit::Hertz => 2,
        Unit::OhmsPerVolt | Unit::Siemens => 1,
        _ => 0,
    }
}

/// The scale used with an exponent: the unprefixed unit where there is one.
fn base_scale(unit: Unit) -> &'static Scale {
    let scales = scales(unit);
    scales
        .iter()
        .find(|scale| scale.size == 1.0)
        .unwrap_or(&scales[0])
}

/// `value` rounded to `figures` significant figures.
fn round_to(value: f64, figures: usize) -> f64 {
    let rounded = format!("{:.*e}", figures - 1, value)
        .parse()
        .unwrap_or(value);
    // Only next to the largest f64 does rounding overflow; then the value itself is as good.
    if f64::is_finite(rounded) {
        rounded
    } else {
        value
    }
}

/// `number` with `figures` significant figures, without exponent and without trailing zeros.
fn plain(number: f64, figures: usize) -> String {
    let rounded = round_to(number, figures);
    if rounded == 0.0 {
        return "0".to_string();
    }
    // Display of f64 is the shortest decimal that reads back to the same value and never has an exponent.
    rounded.to_string()
}

/// `number` with an exponent: `1.23e-7`.
fn exponent(number: f64, figures: usize) -> String {
    let rounded = round_to(number, figures);
    format!("{rounded:e}")
}
