//! Readings printed as at the bench: `345 V`, `95 mA`, `4.7k`.
//!
//! Values come in the unit that the name of the reading says and are brought to
//! SI for printing. A name that is not known here is printed with its bare number.

use quantity::{Unit, bench};

/// One kind of reading, as people call it.
pub struct Kind {
    /// The name in the machine-readable answers.
    pub what: &'static str,
    /// The heading of its table.
    pub heading: &'static str,
    /// The name in a line of text.
    pub short: &'static str,
    unit: Unit,
    factor: f64,
}

/// All kinds, in the order in which a restorer looks at them.
pub const KINDS: &[Kind] = &[
    kind(
        "line_watts",
        "Watts of the set, without the lamp",
        "watts of the set",
        Unit::Watts,
        1.0,
    ),
    kind(
        "line_amps_rms",
        "Current from the line",
        "line current",
        Unit::Amperes,
        1.0,
    ),
    kind(
        "lamp_volts_rms",
        "Volts across the lamp",
        "volts across the lamp",
        Unit::Volts,
        1.0,
    ),
    kind(
        "heater_volts_rms",
        "Heater volts, a.c.",
        "heater volts",
        Unit::Volts,
        1.0,
    ),
    kind("dc_volts", "D.c. volts", "d.c. volts", Unit::Volts, 1.0),
    kind(
        "ripple_volts_peak_to_peak",
        "Ripple, peak to peak",
        "ripple p-p",
        Unit::Volts,
        1.0,
    ),
    kind(
        "ac_volts_rms",
        "A.c. volts, rms",
        "a.c. volts",
        Unit::Volts,
        1.0,
    ),
    kind(
        "plate_milliamps",
        "Plate current",
        "plate current",
        Unit::Amperes,
        1e-3,
    ),
    kind(
        "screen_milliamps",
        "Screen current",
        "screen current",
        Unit::Amperes,
        1e-3,
    ),
    kind(
        "cathode_milliamps",
        "Cathode current",
        "cathode current",
        Unit::Amperes,
        1e-3,
    ),
    kind(
        "part_milliamps",
        "Current through parts",
        "current",
        Unit::Amperes,
        1e-3,
    ),
    kind(
        "rectifier_peak_milliamps",
        "Peak current of rectifiers",
        "peak current",
        Unit::Amperes,
        1e-3,
    ),
    kind(
        "capacitor_ripple_amps_rms",
        "Ripple current of capacitors, rms",
        "ripple current",
        Unit::Amperes,
        1.0,
    ),
    kind("part_watts", "Heat in parts", "heat", Unit::Watts, 1.0),
    kind("ohms", "Ohms", "ohms", Unit::Ohms, 1.0),
];

const fn kind(
    what: &'static str,
    heading: &'static str,
    short: &'static str,
    unit: Unit,
    factor: f64,
) -> Kind {
    Kind {
        what,
        heading,
        short,
        unit,
        factor,
    }
}

/// A value of this kind of reading, as at the bench; what no meter on a bench shows is 0.
pub fn figure(what: &str, value: f64) -> String {
    match KINDS.iter().find(|kind| kind.what == what) {
        Some(kind) if (value * kind.factor).abs() < smallest(kind.unit) => bench(0.0, kind.unit),
        Some(kind) => bench(value * kind.factor, kind.unit),
        None => format!("{value}"),
    }
}

/// The smallest value that a good bench meter of today shows: judgement.
fn smallest(unit: Unit) -> f64 {
    match unit {
        Unit::Volts | Unit::Watts => 0.5e-3,
        Unit::Amperes => 0.5e-6,
        _ => 0.0,
    }
}

/// What people call this kind of reading in a line of text.
pub fn called(what: &str) -> &str {
    KINDS
        .iter()
        .find(|kind| kind.what == what)
        .map_or(what, |kind| kind.short)
}

/// A time as it is said at the bench; none is a time that never counts.
pub fn time(seconds: Option<f64>) -> String {
    match seconds {
        Some(seconds) => bench(seconds, Unit::Seconds),
        None => "never by time".to_owned(),
    }
}

/// A share of one in whole percent.
pub fn percent(share: f64) -> String {
    format!("{:.0} %", share * 100.0)
}

/// So many of a thing.
pub fn counted(count: usize, one: &str, several: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { several })
}

/// A text that begins a sentence.
pub fn sentence(text: &str) -> String {
    let mut characters = text.chars();
    match characters.next() {
        Some(first) => first.to_uppercase().chain(characters).collect(),
        None => String::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use receiver::reading::What;

    #[test]
    fn every_kind_of_reading_has_a_name_for_people() {
        for what in What::ALL {
            assert!(
                KINDS.iter().any(|kind| kind.what == what.name()),
                "{what:?}"
            );
        }
    }

    #[test]
    fn milliamperes_stay_milliamperes() {
        assert_eq!(figure("plate_milliamps", 95.0), "95 mA");
        assert_eq!(figure("dc_volts", 345.2), "345 V");
        assert_eq!(figure("ohms", 4700.0), "4.7k");
    }

    #[test]
    fn what_no_meter_shows_is_nothing() {
        assert_eq!(figure("dc_volts", 3.7e-9), figure("dc_volts", 0.0));
        assert_eq!(
            figure("part_milliamps", -1e-5),
            figure("part_milliamps", 0.0)
        );
        assert_ne!(figure("dc_volts", 0.006), figure("dc_volts", 0.0));
    }
}
