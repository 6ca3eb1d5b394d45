//! The spellings of units, period and modern.
//!
//! Words come here without dots and with both micro signs written `u`. Upper and lower case are the same except where they
//! decide: `MΩ` against `mΩ`, `S` against `s`, `mF` against the rest of the `mf` family.
//! Sources: the SI for the modern spellings; parts lists and schematics of 1946 to 1965 for the others (common practice).
//!
//! Two families depend on the number before them:
//! - `mf`, `MF`, `Mf` mean microfarad on old papers and are read so up to 10,000 mfd, the largest can such a set could hold;
//!   above that the text is more likely a slip for mmf and is refused.
//! - `mF` is the modern millifarad as well. Where the millifarad would exceed 10,000 mfd only mfd is left and is taken;
//!   below that (`0.05 mF`) both are possible and the text is refused with both readings.

use super::item::{Expect, Measure};

/// What a word after a number means.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Found {
    /// One meaning: the measure, what the number is multiplied by, and a word the spelling carries with it (`VAC`: `ac`).
    One(Measure, f64, Option<&'static str>),
    /// Several meanings, none excluded: measure, factor and what more the reading says.
    Several(Vec<(Measure, f64, &'static str)>),
    /// A unit that is known but cannot hold with this number: what would be right, and what to do.
    Refused(&'static str, &'static str),
    /// No unit.
    Nothing,
}

/// Largest capacitance, in farads, that the loose spellings are trusted with.
const LARGEST_CAN_FARADS: f64 = 0.01;

/// The meaning of `word` after the number `value`.
pub(super) fn find(word: &str, value: f64, expect: Expect) -> Found {
    let size = value.abs();
    match lone_letter(word, expect) {
        Found::Nothing => {}
        found => return found,
    }
    match word {
        "mF" if size * 1e-3 <= LARGEST_CAN_FARADS => {
            return Found::Several(vec![
                (Measure::Farads, 1e-6, ""),
                (Measure::Farads, 1e-3, ""),
            ]);
        }
        "mf" | "mF" | "MF" | "Mf" if size * 1e-6 > LARGEST_CAN_FARADS => {
            return Found::Refused(
                "a size that can exist",
                "no capacitor of such a set has so many microfarads; write mmf or mfd, whichever is meant",
            );
        }
        "F" if size > LARGEST_CAN_FARADS => {
            return Found::Refused(
                "a size that can exist",
                "no capacitor of such a set has so many farads; write mfd or mmf",
            );
        }
        "mohm" | "mohms" => {
            return Found::Several(vec![(Measure::Ohms, 1e-3, ""), (Measure::Ohms, 1e6, "")]);
        }
        "MS" => {
            return Found::Several(vec![
                (Measure::Seconds, 1e-3, ""),
                (Measure::Siemens, 1e-3, ""),
            ]);
        }
        _ => {}
    }
    if let Some((_, measure, factor)) = EXACT.iter().find(|(spelling, ..)| *spelling == word) {
        return Found::One(*measure, *factor, None);
    }
    let lower = word.to_lowercase();
    match ANY_CASE.iter().find(|(spelling, ..)| *spelling == lower) {
        Some((_, measure, factor, with)) => Found::One(
            *measure,
            *factor,
            if with.is_empty() { None } else { Some(with) },
        ),
        None => Found::Nothing,
    }
}

/// The spellings worth proposing, those of `measure` first.
pub(super) fn spellings(measure: Option<Measure>) -> impl Iterator<Item = &'static str> {
    let of_measure = move |wanted: bool| {
        ANY_CASE
            .iter()
            .filter(move |(spelling, its, ..)| {
                spelling.len() > 1 && (Some(*its) == measure) == wanted
            })
            .map(|(spelling, ..)| *spelling)
    };
    of_measure(true).chain(of_measure(false))
}

/// Whether `word` says ohm without any prefix.
pub(super) fn is_plain_ohm(word: &str) -> bool {
    word == "Ω" || word.eq_ignore_ascii_case("ohm") || word.eq_ignore_ascii_case("ohms")
}

/// Letters whose meaning the expectation decides.
fn lone_letter(word: &str, expect: Expect) -> Found {
    use Measure::{Amperes, Farads, Henries, Hertz, Ohms, Seconds, Siemens};
    let one = |measure, factor| Found::One(measure, factor, None);
    let expected = expect.measure();
    match (word, expected) {
        ("M", _) if expect == Expect::MeterResistance => one(Ohms, 1e6),
        ("M", Some(Farads)) => Found::Several(vec![
            (Farads, 1e-6, ""),
            (Farads, 1e-12, " with tolerance 20%"),
        ]),
        ("M", _) => Found::Several(vec![(Ohms, 1e3, ""), (Ohms, 1e6, "")]),
        ("m", Some(Farads)) => Found::Several(vec![(Farads, 1e-6, ""), (Farads, 1e-3, "")]),
        ("m", Some(Henries)) => one(Henries, 1e-3),
        ("m", Some(Amperes)) => one(Amperes, 1e-3),
        ("m", _) => Found::Several(vec![(Ohms, 1e-3, ""), (Ohms, 1e3, ""), (Ohms, 1e6, "")]),
        ("k" | "K", Some(Farads)) => Found::Several(vec![
            (Farads, 1e-9, ""),
            (Farads, 1e-12, " with tolerance 10%"),
        ]),
        ("k" | "K", Some(Hertz)) => one(Hertz, 1e3),
        ("k" | "K", _) => one(Ohms, 1e3),
        ("u" | "U", Some(Farads)) => one(Farads, 1e-6),
        ("u" | "U", Some(Henries)) => one(Henries, 1e-6),
        ("u" | "U", Some(Amperes)) => one(Amperes, 1e-6),
        ("u" | "U", _) => Found::Several(vec![(Farads, 1e-6, ""), (Henries, 1e-6, "")]),
        ("n" | "N", Some(Henries)) => one(Henries, 1e-9),
        ("n" | "N", Some(Farads) | None) => one(Farads, 1e-9),
        ("p" | "P", Some(Farads) | None) => one(Farads, 1e-12),
        ("r" | "R", _) => one(Ohms, 1.0),
        ("G", Some(Ohms) | None) => one(Ohms, 1e9),
        ("h" | "H", Some(Seconds)) => one(Seconds, 3600.0),
        ("s", _) => one(Seconds, 1.0),
        ("C", _) => Found::Refused(
            "a unit of the bench",
            "write °C for a temperature, mfd or mmf for a capacitance",
        ),
        ("S", Some(Seconds)) => one(Seconds, 1.0),
        ("S", Some(Siemens)) => one(Siemens, 1.0),
        ("S", _) => Found::Several(vec![(Seconds, 1.0, ""), (Siemens, 1.0, "")]),
        _ => Found::Nothing,
    }
}

/// Spellings in which upper and lower case decide.
const EXACT: &[(&str, Measure, f64)] = &[
    ("MΩ", Measure::Ohms, 1e6),
    ("mΩ", Measure::Ohms, 1e-3),
    ("Mohm", Measure::Ohms, 1e6),
    ("Mohms", Measure::Ohms, 1e6),
    ("MOhm", Measure::Ohms, 1e6),
    ("MOhms", Measure::Ohms, 1e6),
    ("MOHM", Measure::Ohms, 1e6),
    ("MOHMS", Measure::Ohms, 1e6),
    ("F", Measure::Farads, 1.0),
    ("ms", Measure::Seconds, 1e-3),
    ("us", Measure::Seconds, 1e-6),
    ("mS", Measure::Siemens, 1e-3),
    ("uS", Measure::Siemens, 1e-6),
];

/// Spellings in any case (listed in lower case), with the word that some carry along.
#[rustfmt::skip]
const ANY_CASE: &[(&str, Measure, f64, &str)] = &[
    ("ω", Measure::Ohms, 1.0, ""), ("ohm", Measure::Ohms, 1.0, ""), ("ohms", Measure::Ohms, 1.0, ""),
    ("kω", Measure::Ohms, 1e3, ""), ("kohm", Measure::Ohms, 1e3, ""), ("kohms", Measure::Ohms, 1e3, ""),
    ("kilohm", Measure::Ohms, 1e3, ""), ("kilohms", Measure::Ohms, 1e3, ""), ("kilo", Measure::Ohms, 1e3, ""),
    ("kilo-ohm", Measure::Ohms, 1e3, ""), ("kilo-ohms", Measure::Ohms, 1e3, ""),
    ("meg", Measure::Ohms, 1e6, ""), ("megs", Measure::Ohms, 1e6, ""), ("megohm", Measure::Ohms, 1e6, ""),
    ("megohms", Measure::Ohms, 1e6, ""), ("megaohm", Measure::Ohms, 1e6, ""), ("megaohms", Measure::Ohms, 1e6, ""),
    ("megω", Measure::Ohms, 1e6, ""), ("kmeg", Measure::Ohms, 1e9, ""), ("gω", Measure::Ohms, 1e9, ""),
    ("gohm", Measure::Ohms, 1e9, ""), ("milliohm", Measure::Ohms, 1e-3, ""), ("milliohms", Measure::Ohms, 1e-3, ""),

    ("mfd", Measure::Farads, 1e-6, ""), ("mmf", Measure::Farads, 1e-12, ""), ("mmfd", Measure::Farads, 1e-12, ""),
    ("mf", Measure::Farads, 1e-6, ""), ("mfds", Measure::Farads, 1e-6, ""), ("mmfds", Measure::Farads, 1e-12, ""),
    ("uf", Measure::Farads, 1e-6, ""), ("ufd", Measure::Farads, 1e-6, ""), ("uuf", Measure::Farads, 1e-12, ""),
    ("uufd", Measure::Farads, 1e-12, ""), ("nf", Measure::Farads, 1e-9, ""), ("nfd", Measure::Farads, 1e-9, ""),
    ("pf", Measure::Farads, 1e-12, ""), ("pfd", Measure::Farads, 1e-12, ""),
    ("microfarad", Measure::Farads, 1e-6, ""), ("microfarads", Measure::Farads, 1e-6, ""),
    ("micromicrofarad", Measure::Farads, 1e-12, ""), ("micromicrofarads", Measure::Farads, 1e-12, ""),
    ("micro-microfarad", Measure::Farads, 1e-12, ""), ("micro-microfarads", Measure::Farads, 1e-12, ""),
    ("picofarad", Measure::Farads, 1e-12, ""), ("picofarads", Measure::Farads, 1e-12, ""),
    ("nanofarad", Measure::Farads, 1e-9, ""), ("nanofarads", Measure::Farads, 1e-9, ""),
    ("farad", Measure::Farads, 1.0, ""), ("farads", Measure::Farads, 1.0, ""),

    ("h", Measure::Henries, 1.0, ""), ("hy", Measure::Henries, 1.0, ""), ("hys", Measure::Henries, 1.0, ""),
    ("henry", Measure::Henries, 1.0, ""), ("henries", Measure::Henries, 1.0, ""), ("henrys", Measure::Henries, 1.0, ""),
    ("mh", Measure::Henries, 1e-3, ""), ("mhy", Measure::Henries, 1e-3, ""), ("uh", Measure::Henries, 1e-6, ""),
    ("uhy", Measure::Henries, 1e-6, ""), ("nh", Measure::Henries, 1e-9, ""),
    ("millihenry", Measure::Henries, 1e-3, ""), ("millihenries", Measure::Henries, 1e-3, ""), ("millihenrys", Measure::Henries, 1e-3, ""),
    ("microhenry", Measure::Henries, 1e-6, ""), ("microhenries", Measure::Henries, 1e-6, ""), ("microhenrys", Measure::Henries, 1e-6, ""),

    ("v", Measure::Volts, 1.0, ""), ("volt", Measure::Volts, 1.0, ""), ("volts", Measure::Volts, 1.0, ""),
    ("wv", Measure::Volts, 1.0, ""), ("vdc", Measure::Volts, 1.0, ""), ("wvdc", Measure::Volts, 1.0, ""),
    ("dcwv", Measure::Volts, 1.0, ""), ("piv", Measure::Volts, 1.0, ""), ("prv", Measure::Volts, 1.0, ""), ("vdcw", Measure::Volts, 1.0, ""), ("dcv", Measure::Volts, 1.0, ""),
    ("vac", Measure::Volts, 1.0, "ac"), ("acv", Measure::Volts, 1.0, "ac"), ("wvac", Measure::Volts, 1.0, "ac"),
    ("vrms", Measure::Volts, 1.0, "rms"), ("vpp", Measure::Volts, 1.0, "peak-to-peak"),
    ("kv", Measure::Volts, 1e3, ""), ("kvdc", Measure::Volts, 1e3, ""), ("kilovolt", Measure::Volts, 1e3, ""),
    ("kilovolts", Measure::Volts, 1e3, ""), ("mv", Measure::Volts, 1e-3, ""), ("millivolt", Measure::Volts, 1e-3, ""),
    ("millivolts", Measure::Volts, 1e-3, ""), ("uv", Measure::Volts, 1e-6, ""), ("microvolt", Measure::Volts, 1e-6, ""),
    ("microvolts", Measure::Volts, 1e-6, ""),

    ("a", Measure::Amperes, 1.0, ""), ("amp", Measure::Amperes, 1.0, ""), ("amps", Measure::Amperes, 1.0, ""),
    ("ampere", Measure::Amperes, 1.0, ""), ("amperes", Measure::Amperes, 1.0, ""), ("adc", Measure::Amperes, 1.0, ""),
    ("ma", Measure::Amperes, 1e-3, ""), ("madc", Measure::Amperes, 1e-3, ""), ("mils", Measure::Amperes, 1e-3, ""),
    ("milliamp", Measure::Amperes, 1e-3, ""), ("milliamps", Measure::Amperes, 1e-3, ""),
    ("milliampere", Measure::Amperes, 1e-3, ""), ("milliamperes", Measure::Amperes, 1e-3, ""),
    ("ua", Measure::Amperes, 1e-6, ""), ("microamp", Measure::Amperes, 1e-6, ""), ("microamps", Measure::Amperes, 1e-6, ""),
    ("microampere", Measure::Amperes, 1e-6, ""), ("microamperes", Measure::Amperes, 1e-6, ""),

    ("w", Measure::Watts, 1.0, ""), ("watt", Measure::Watts, 1.0, ""), ("watts", Measure::Watts, 1.0, ""),
    ("kw", Measure::Watts, 1e3, ""), ("mw", Measure::Watts, 1e-3, ""), ("milliwatt", Measure::Watts, 1e-3, ""),
    ("milliwatts", Measure::Watts, 1e-3, ""),
    ("va", Measure::VoltAmperes, 1.0, ""), ("kva", Measure::VoltAmperes, 1e3, ""),
    ("voltamperes", Measure::VoltAmperes, 1.0, ""), ("voltampere", Measure::VoltAmperes, 1.0, ""),
    ("volt-amperes", Measure::VoltAmperes, 1.0, ""), ("volt-ampere", Measure::VoltAmperes, 1.0, ""),
    ("volt-amps", Measure::VoltAmperes, 1.0, ""),

    ("hz", Measure::Hertz, 1.0, ""), ("cps", Measure::Hertz, 1.0, ""), ("c/s", Measure::Hertz, 1.0, ""),
    ("~", Measure::Hertz, 1.0, ""), ("cycle", Measure::Hertz, 1.0, ""), ("cycles", Measure::Hertz, 1.0, ""),
    ("hertz", Measure::Hertz, 1.0, ""), ("khz", Measure::Hertz, 1e3, ""), ("kc", Measure::Hertz, 1e3, ""),
    ("kcs", Measure::Hertz, 1e3, ""), ("kc/s", Measure::Hertz, 1e3, ""), ("mhz", Measure::Hertz, 1e6, ""),
    ("mc", Measure::Hertz, 1e6, ""), ("mcs", Measure::Hertz, 1e6, ""), ("mc/s", Measure::Hertz, 1e6, ""),
    ("kilocycles", Measure::Hertz, 1e3, ""), ("megacycles", Measure::Hertz, 1e6, ""),

    ("sec", Measure::Seconds, 1.0, ""), ("secs", Measure::Seconds, 1.0, ""), ("second", Measure::Seconds, 1.0, ""),
    ("seconds", Measure::Seconds, 1.0, ""), ("msec", Measure::Seconds, 1e-3, ""), ("msecs", Measure::Seconds, 1e-3, ""),
    ("millisecond", Measure::Seconds, 1e-3, ""), ("milliseconds", Measure::Seconds, 1e-3, ""),
    ("usec", Measure::Seconds, 1e-6, ""), ("usecs", Measure::Seconds, 1e-6, ""),
    ("microsecond", Measure::Seconds, 1e-6, ""), ("microseconds", Measure::Seconds, 1e-6, ""),
    ("min", Measure::Seconds, 60.0, ""), ("mins", Measure::Seconds, 60.0, ""), ("minute", Measure::Seconds, 60.0, ""),
    ("minutes", Measure::Seconds, 60.0, ""), ("hr", Measure::Seconds, 3600.0, ""), ("hrs", Measure::Seconds, 3600.0, ""),
    ("hour", Measure::Seconds, 3600.0, ""), ("hours", Measure::Seconds, 3600.0, ""),

    ("kelvin", Measure::Kelvin, 1.0, ""), ("°k", Measure::Kelvin, 1.0, ""), ("°c", Measure::Celsius, 1.0, ""),
    ("degc", Measure::Celsius, 1.0, ""), ("°f", Measure::Fahrenheit, 1.0, ""), ("degf", Measure::Fahrenheit, 1.0, ""),

    ("mho", Measure::Siemens, 1.0, ""), ("mhos", Measure::Siemens, 1.0, ""), ("umho", Measure::Siemens, 1e-6, ""),
    ("umhos", Measure::Siemens, 1e-6, ""), ("micromho", Measure::Siemens, 1e-6, ""), ("micromhos", Measure::Siemens, 1e-6, ""),
    ("mmho", Measure::Siemens, 1e-3, ""), ("siemens", Measure::Siemens, 1.0, ""),

    ("k/v", Measure::OhmsPerVolt, 1e3, ""), ("kω/v", Measure::OhmsPerVolt, 1e3, ""), ("kω/volt", Measure::OhmsPerVolt, 1e3, ""),
    ("k/volt", Measure::OhmsPerVolt, 1e3, ""), ("kohm/v", Measure::OhmsPerVolt, 1e3, ""), ("kohms/v", Measure::OhmsPerVolt, 1e3, ""),
    ("ω/v", Measure::OhmsPerVolt, 1.0, ""), ("ohm/v", Measure::OhmsPerVolt, 1.0, ""), ("ohms/v", Measure::OhmsPerVolt, 1.0, ""),
    ("ohm/volt", Measure::OhmsPerVolt, 1.0, ""), ("ohms/volt", Measure::OhmsPerVolt, 1.0, ""),

    ("%", Measure::Percent, 1.0, ""), ("percent", Measure::Percent, 1.0, ""), ("pct", Measure::Percent, 1.0, ""),
    ("plates", Measure::Plates, 1.0, ""), ("plate", Measure::Plates, 1.0, ""),
];
