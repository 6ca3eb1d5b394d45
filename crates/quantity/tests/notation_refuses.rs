//! What bench notation must refuse, with place, readings and hint. The rules tested are this crate's own, stated in `notation`.

use quantity::notation::{LONGEST_TEXT, MOST_FAULTS};
use quantity::{
    Expect, NotationError, read_amperes, read_items, read_meter_ohms, read_ohms, read_volts,
};

#[track_caller]
fn faults(expect: Expect, text: &str) -> Vec<NotationError> {
    match read_items(text, expect) {
        Ok(items) => panic!("{text:?} was read as {items:?}"),
        Err(faults) => faults,
    }
}

/// Checks that each piece of `text` named in `pieces` is a fault of its own, in that order, and nothing else is.
#[track_caller]
fn check_places(expect: Expect, text: &str, pieces: &[&str]) {
    let faults = faults(expect, text);
    let found: Vec<&str> = faults
        .iter()
        .map(|fault| &text[fault.span.clone()])
        .collect();
    assert_eq!(found, pieces, "{faults:?}");
}

#[track_caller]
fn check_readings(expect: Expect, text: &str, readings: &[&str]) {
    let faults = faults(expect, text);
    assert_eq!(faults.len(), 1, "{faults:?}");
    assert_eq!(faults[0].readings, readings, "{text:?}");
}

#[track_caller]
fn check_hint(expect: Expect, text: &str, hint: &str) {
    let faults = faults(expect, text);
    assert!(
        faults.iter().any(|fault| fault.hint.contains(hint)),
        "{text:?}: no {hint:?} in {faults:?}"
    );
}

#[test]
fn two_readings_are_both_named() {
    use Expect::*;
    for (expect, text, readings) in [
        // M was thousand and million on old papers.
        (Resistance, "10M", &["10k", "10 meg"][..]),
        (Anything, "10M", &["10k", "10 meg"]),
        (Resistance, "10 M ohms", &["10k", "10 meg"]),
        (Resistance, "4m7", &["0.0047 ohm", "4.7k", "4.7 meg"]),
        (Resistance, "10 mohm", &["0.01 ohm", "10 meg"]),
        (Resistance, "R47", &["0.47 ohm", "the part R47"]),
        (Resistance, "4,700k", &["4.7 meg", "4.7k"]),
        (Resistance, "5 1/2 W", &["5.5", "5 and 0.5"]),
        (Current, "1,250 mA", &["1.25 A", "1.25 mA"]),
        (Capacitance, "220", &["220 mfd", "220 mmf"]),
        (PaperCapacitance, "220", &["220 mfd", "220 mmf"]),
        (SmallCapacitance, "0.5", &["0.5 mfd", "0.5 mmf"]),
        (Electrolytic, "20000", &["20000 mfd", "0.02 mfd"]),
        (Capacitance, "0.05 mF", &["0.05 mfd", "50 mfd"]),
        (
            Capacitance,
            "10K",
            &["0.01 mfd", "10 mmf with tolerance 10%"],
        ),
        (
            Capacitance,
            "100M",
            &["100 mfd", "100 mmf with tolerance 20%"],
        ),
        (Inductance, "250", &["250 H", "250 mH", "250 uH"]),
        (Anything, "4u7", &["4.7 mfd", "4.7 uH"]),
        (Current, "95", &["95 A", "95 mA"]),
        (Frequency, "455", &["455 Hz", "455 kHz"]),
        (Conductance, "2500", &["2500 mho", "2500 umho"]),
        (Anything, "6K7", &["the type 6K7", "6.7k"]),
        (Anything, "40,20 mfd", &["40.20", "40 and 20"]),
        (Anything, "10 S", &["10 s", "10 mho"]),
    ] {
        check_readings(expect, text, readings);
    }
}

#[test]
fn the_nearest_spelling_is_proposed() {
    use Expect::*;
    for (expect, text, hint) in [
        (PaperCapacitance, "0.05 mdf", "write mfd"),
        (SmallCapacitance, "220 mmff", "write mmf"),
        (Resistance, "47 omhs", "write ohm"),
        (Resistance, "2.2 mgohm", "write megohm"),
        (Voltage, "450 votls", "write volts"),
        (Inductance, "3.5 henery", "write henry"),
        (Electrolytic, "40 micorfarads", "write microfarads"),
        (Power, "5 wats", "write watts"),
        (Time, "3 minuts", "write minutes"),
    ] {
        check_hint(expect, text, hint);
    }
}

#[test]
fn all_faults_of_a_text_come_at_once() {
    use Expect::*;
    check_places(PaperCapacitance, "0.05 mdf 600 Vx §", &["mdf", "Vx", "§"]);
    check_places(Resistance, "10M 1e999 W at 7", &["10M", "1e999", "at 7"]);
    check_places(Anything, "µF½ 5 V ?? -3 ohm", &["µF", "??", "-3 ohm"]);
}

#[test]
fn a_fault_does_not_draw_others_after_it() {
    use Expect::*;
    for (expect, text, pieces) in [
        (Resistance, "1OO ohm", &["OO"][..]),
        (Voltage, "325-0-325", &["325-0-325"]),
        (Electrolytic, "40-40-20 mfd 450 V", &["40-40-20 mfd"]),
        (Resistance, "470K1/2W", &["470K1"]),
        (Resistance, "22 000 ohm", &["22 000 ohm"]),
        (Electrolytic, "40 mfd 450 V 85C", &["85C"]),
    ] {
        check_places(expect, text, pieces);
    }
}

/// Only volts of a source and farads of a trimmer have a range, the lower end first.
#[test]
fn ranges_without_meaning() {
    use Expect::*;
    for (expect, text) in [
        (Resistance, "10-20 k"),
        (Voltage, "450 to 0 V"),
        (Electrolytic, "20-40 mfd"),
        (SmallCapacitance, "30-5 mmf"),
        (SmallCapacitance, "-5 to 30 mmf"),
        (Anything, "5-30"),
        (Voltage, "5 mA to 10 V"),
        (Voltage, "5 to"),
        (SmallCapacitance, "0.1-0.5"),
    ] {
        let count = faults(expect, text).len();
        assert_eq!(count, 1, "{text}");
    }
}

#[test]
fn columns_are_counted_in_characters() {
    let text = "½ W µµ 5 mdf";
    let faults = faults(Expect::Resistance, text);
    let last = faults.last().expect("a fault");
    assert_eq!(
        (&text[last.span.clone()], last.column_in(text)),
        ("mdf", 10)
    );
}

#[test]
fn signs_where_they_mean_nothing() {
    use Expect::*;
    for (expect, text) in [
        (Resistance, "-22"),
        (Resistance, "-22k"),
        (Resistance, "+22k"),
        (Capacitance, "-0.05 mfd"),
        (Inductance, "-3 H"),
        (Power, "-2 W"),
        (Time, "-5 s"),
        (Frequency, "-60 Hz"),
        (Anything, "5k at -0.4"),
        (Anything, "-5 plates"),
    ] {
        faults(expect, text);
    }
}

#[test]
fn sizes_that_cannot_be() {
    use Expect::*;
    for (expect, text) in [
        (Voltage, "1e400 V"),
        (Voltage, "1e-400 V"),
        (Capacitance, "220000 MF"),
        (Capacitance, "40 F"),
        (Anything, "2.5 plates"),
        (Anything, "0 plates"),
        (Anything, "1e9 plates"),
        (Anything, "5k at 1.4"),
        (Anything, "at 140%"),
        (Resistance, "10k 5000%"),
        (Electrolytic, "40 mfd +50 -110 %"),
        (Anything, "-300 °C"),
        (Voltage, "NaN"),
        (Voltage, "inf V"),
    ] {
        // Words are no fault of the text, but they are no volts either.
        assert!(read_volts(text).is_err(), "{text:?}");
        if !text.starts_with('N') {
            faults(expect, text);
        }
    }
    assert!(read_volts("infinity").is_err());
}

#[test]
fn pieces_without_meaning() {
    use Expect::*;
    for (expect, text, pieces) in [
        (Anything, "95 mA at", &["at"][..]),
        (Anything, "± 5 V", &["± 5 V"]),
        (Anything, "±", &["±"]),
        (Anything, "1.2.3 V", &["1.2.3"]),
        (Anything, "20/450", &["20/450"]),
        (Anything, "3/2 W", &["3/2"]),
        (Anything, "40-40 mfd", &["40-40 mfd"]),
        (Anything, "40+40 mfd", &["+40 mfd"]),
        (Anything, "450-0 V", &["450-0 V"]),
        (Resistance, "22k10 W", &["22k10 W"]),
        (Resistance, "22k10W", &["22k10W"]),
        (Anything, "mfd", &["mfd"]),
        (Resistance, "W", &["W"]),
        (Anything, "1,5000 V", &["1,5000"]),
        (Anything, "5 --", &["--"]),
    ] {
        check_places(expect, text, pieces);
    }
}

#[test]
fn one_value_and_nothing_else() {
    assert!(read_ohms("").is_err());
    assert!(read_ohms("   ").is_err());
    assert!(read_ohms("4.7k 2 W").is_err());
    assert!(read_ohms("5 V").is_err());
    assert!(read_ohms("open").is_err());
    assert!(read_amperes("0.25 A, 0.5 A").is_err());
    assert!(read_meter_ohms("20k/V").is_err());
    let fault = read_ohms("4.7k 2 W").expect_err("two values");
    assert_eq!((fault.span, fault.read.as_str()), (5..8, "2 W"));
}

#[test]
fn lengths_and_counts_are_limited() {
    let long = "9".repeat(LONGEST_TEXT + 1);
    let faults_of_long = faults(Expect::Resistance, &long);
    assert_eq!(faults_of_long.len(), 1);
    assert!(faults_of_long[0].read.chars().count() <= 41);
    assert_eq!(
        faults(Expect::Anything, &"? ".repeat(100)).len(),
        MOST_FAULTS
    );
}

#[test]
fn messages_are_one_line() {
    for text in ["10M\u{0}", "\u{7}\n5 \r\n mdf", "0.05 mdf"] {
        for fault in faults(Expect::Resistance, text) {
            let message = fault.to_string();
            assert!(!message.contains(char::is_control), "{message:?}");
        }
    }
}
