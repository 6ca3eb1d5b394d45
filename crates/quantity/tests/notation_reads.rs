//! What bench notation must be read as. Expected values are arithmetic on the meaning of the prefixes (SI; mfd = 1e-6 F, mmf = 1e-12 F,
//! meg = 1e6 ohm: common practice of the papers of 1946 to 1965); texts from the sheet's manual are marked so.

use quantity::{Expect, ItemKind, read_items};

/// Checks that `text` is read as `expected`: items separated by commas, each a kind and a number or a word.
#[track_caller]
fn check(expect: Expect, text: &str, expected: &str) {
    let items = match read_items(text, expect) {
        Ok(items) => items,
        Err(faults) => panic!("{text:?} refused: {faults:?}"),
    };
    let wanted: Vec<&str> = expected
        .split(", ")
        .filter(|item| !item.is_empty())
        .collect();
    assert_eq!(
        items.len(),
        wanted.len(),
        "{text:?} gave {items:?}, expected {expected}"
    );
    for (item, wanted) in items.iter().zip(wanted) {
        let (kind, value) = wanted.split_once(' ').expect("kind and value");
        let (read_kind, read_values) = flat(&item.what);
        assert_eq!(read_kind, kind, "{text:?} gave {items:?}");
        if let ItemKind::Word(word) = &item.what {
            assert_eq!(word, value, "{text:?}");
            continue;
        }
        for (read, value) in read_values.iter().zip(value.split(' ')) {
            let value: f64 = value.parse().expect("a number");
            assert!(
                (read - value).abs() <= 1e-12 * value.abs(),
                "{text:?} gave {read}, expected {value}"
            );
        }
    }
}

fn flat(what: &ItemKind) -> (&'static str, Vec<f64>) {
    match what {
        ItemKind::Ohms(value) => ("ohm", vec![*value]),
        ItemKind::Farads(value) => ("F", vec![*value]),
        ItemKind::Henries(value) => ("H", vec![*value]),
        ItemKind::Volts(value) => ("V", vec![*value]),
        ItemKind::VoltsRange { low, high } => ("range", vec![*low, *high]),
        ItemKind::FaradsRange { low, high } => ("F-range", vec![*low, *high]),
        ItemKind::Amperes(value) => ("A", vec![*value]),
        ItemKind::Watts(value) => ("W", vec![*value]),
        ItemKind::VoltAmperes(value) => ("VA", vec![*value]),
        ItemKind::Hertz(value) => ("Hz", vec![*value]),
        ItemKind::Seconds(value) => ("s", vec![*value]),
        ItemKind::Kelvin(value) => ("kelvin", vec![*value]),
        ItemKind::Siemens(value) => ("mho", vec![*value]),
        ItemKind::OhmsPerVolt(value) => ("ohm/V", vec![*value]),
        ItemKind::Percent(value) => ("%", vec![*value]),
        ItemKind::Limits(limits) => ("limits", vec![limits.down, limits.up]),
        ItemKind::At(value) => ("at", vec![*value]),
        ItemKind::AtVolts(value) => ("at-V", vec![*value]),
        ItemKind::Plates(count) => ("plates", vec![f64::from(*count)]),
        ItemKind::Bare(value) => ("bare", vec![*value]),
        ItemKind::Word(_) => ("word", vec![]),
    }
}

/// Every value of the example sheet in the manual, with the kind of part it stands for.
#[test]
fn the_values_of_the_example_sheet() {
    use Expect::*;
    for (expect, text, expected) in [
        (Anything, "117 V 4.1 ohm", "V 117, ohm 4.1"),
        (Anything, "5.1 V 0.03 ohm", "V 5.1, ohm 0.03"),
        (
            Anything,
            "117 V 4.1 ohm, idle 0.25 A 9 W",
            "V 117, ohm 4.1, word idle, A 0.25, W 9",
        ),
        (Electrolytic, "40 mfd 450 V", "F 40e-6, V 450"),
        (Inductance, "3.5 H 85 ohm", "H 3.5, ohm 85"),
        (Resistance, "22k 10 W", "ohm 22e3, W 10"),
        (Resistance, "4.7k 2 W 10%", "ohm 4700, W 2, % 10"),
        (Resistance, "150 ohm 1/2 W 10%", "ohm 150, W 0.5, % 10"),
        (Resistance, "1 meg 1/2 W 10%", "ohm 1e6, W 0.5, % 10"),
        (PaperCapacitance, "0.05 mfd 600 V", "F 0.05e-6, V 600"),
        (Resistance, "250k at 0.4", "ohm 250e3, at 0.4"),
        (Anything, "", ""),
        (Anything, "95 mA at 330 V", "A 0.095, at-V 330"),
        (
            Anything,
            "300 mA at 140 V steady",
            "A 0.3, at-V 140, word steady",
        ),
        (Anything, "5 plates 300 mA", "plates 5, A 0.3"),
        (Anything, "1 A 1000 V", "A 1, V 1000"),
        (
            Anything,
            "20k per volt, 500 V range",
            "ohm/V 20e3, V 500, word range",
        ),
        (MeterResistance, "10M", "ohm 10e6"),
        (MeterResistance, "20k/V", "ohm/V 20e3"),
        (MeterResistance, "20k/V 500 V", "ohm/V 20e3, V 500"),
        (Anything, "0-450 V 20 mA", "range 0 450, A 0.02"),
        (Resistance, "5.3k", "ohm 5300"),
        (Resistance, "88 ohm", "ohm 88"),
        (Resistance, "90k", "ohm 90e3"),
        (
            Anything,
            "B+ main 300 V 47k",
            "word B+, word main, V 300, ohm 47e3",
        ),
    ] {
        check(expect, text, expected);
    }
}

#[test]
fn resistances() {
    for (text, ohms) in [
        ("4700", "4700"),
        ("22,000", "22e3"),
        ("22,000 ohms", "22e3"),
        ("1,500,000 ohm", "1.5e6"),
        ("4.7k", "4700"),
        ("4.7K", "4700"),
        ("4.7 k", "4700"),
        ("4k7", "4700"),
        ("4K7", "4700"),
        ("4k7 ohm", "4700"),
        ("4k7Ω", "4700"),
        ("4,7k", "4700"),
        ("4R7", "4.7"),
        ("4r7", "4.7"),
        ("47R", "47"),
        ("4M7", "4.7e6"),
        ("1 meg", "1e6"),
        ("1 Meg.", "1e6"),
        ("2.2meg", "2.2e6"),
        ("1 megohm", "1e6"),
        ("10 MEGOHMS", "10e6"),
        ("2 meg ohms", "2e6"),
        ("1 MΩ", "1e6"),
        ("1 M\u{2126}", "1e6"),
        ("1 M Ω", "1e6"),
        ("10 Mohm", "10e6"),
        ("4.7 kΩ", "4700"),
        ("4.7 KΩ", "4700"),
        ("4.7 k ohm", "4700"),
        ("4.7 kilohms", "4700"),
        ("30 mΩ", "0.03"),
        ("0.03", "0.03"),
        ("150 Ω", "150"),
        ("150 ohm", "150"),
        ("150 Ohms.", "150"),
        ("150-ohm", "150"),
        (".47 ohm", "0.47"),
        ("1000 meg", "1e9"),
        ("1 kmeg", "1e9"),
        ("1/2 ohm", "0.5"),
        ("4.7e3", "4700"),
        ("1e-3 ohm", "1e-3"),
        ("0", "0"),
        ("0 M", "0"),
        ("  47  ", "47"),
        ("5. ohm", "5"),
        ("47\u{a0}k", "47e3"),
    ] {
        check(Expect::Resistance, text, &format!("ohm {ohms}"));
    }
}

#[test]
fn capacitances() {
    use Expect::*;
    for (expect, text, farads) in [
        (Capacitance, "0.05 mfd", "0.05e-6"),
        (Capacitance, ".05 MFD", "0.05e-6"),
        (Capacitance, ".05", "0.05e-6"),
        (Capacitance, "0.05 mf", "0.05e-6"),
        (Capacitance, ".05 MF", "0.05e-6"),
        (Capacitance, ".05 Mf", "0.05e-6"),
        (Capacitance, "0.05 M.F.D.", "0.05e-6"),
        (Capacitance, "0.05 mfd.", "0.05e-6"),
        (Capacitance, "0.05 uf", "0.05e-6"),
        (Capacitance, "0.05 \u{b5}F", "0.05e-6"),
        (Capacitance, "0.05 \u{3bc}F", "0.05e-6"),
        (Capacitance, "0,05 mfd", "0.05e-6"),
        (Capacitance, "0.05 microfarad", "0.05e-6"),
        (Capacitance, "220 mmf", "220e-12"),
        (Capacitance, "220 MMFD", "220e-12"),
        (Capacitance, "220 uuf", "220e-12"),
        (Capacitance, "220 \u{b5}\u{b5}F", "220e-12"),
        (Capacitance, "220 \u{3bc}\u{3bc}fd", "220e-12"),
        (Capacitance, "220 pF", "220e-12"),
        (Capacitance, "220p", "220e-12"),
        (Capacitance, "50 nF", "50e-9"),
        (Capacitance, "50n", "50e-9"),
        (Capacitance, "4n7", "4.7e-9"),
        (Capacitance, "4N7", "4.7e-9"),
        (Capacitance, "4u7", "4.7e-6"),
        (Capacitance, "4n7F", "4.7e-9"),
        (Capacitance, "0p5", "0.5e-12"),
        (Capacitance, "1,500 mmf", "1500e-12"),
        (Capacitance, "1e-11 F", "1e-11"),
        (Capacitance, "0", "0"),
        // mF: the millifarad is excluded above 10,000 mfd, so only mfd is left.
        (Electrolytic, "40 mF", "40e-6"),
        (Electrolytic, "40", "40e-6"),
        (Electrolytic, "2000", "2000e-6"),
        // A paper capacitor of so few mmf was not made.
        (PaperCapacitance, "1", "1e-6"),
        (PaperCapacitance, ".0047", "0.0047e-6"),
        (SmallCapacitance, "220", "220e-12"),
        (SmallCapacitance, "1.5", "1.5e-12"),
        (SmallCapacitance, ".005", "0.005e-6"),
        (Anything, "50 nF", "50e-9"),
        (Anything, "4n7", "4.7e-9"),
    ] {
        check(expect, text, &format!("F {farads}"));
    }
}

#[test]
fn coils() {
    for (text, expected) in [
        ("3.5 H", "H 3.5"),
        ("3.5 hy", "H 3.5"),
        ("3.5 henrys", "H 3.5"),
        ("250 uH", "H 250e-6"),
        ("250 \u{b5}h", "H 250e-6"),
        ("250u", "H 250e-6"),
        ("8.2 mH", "H 8.2e-3"),
        ("8.2 MH", "H 8.2e-3"),
        ("4m7", "H 4.7e-3"),
        ("10 mH 40 ohm 75 mA", "H 10e-3, ohm 40, A 0.075"),
    ] {
        check(Expect::Inductance, text, expected);
    }
}

#[test]
fn volts_amperes_watts() {
    use Expect::*;
    for (expect, text, expected) in [
        (Voltage, "450", "V 450"),
        (Voltage, "450 V", "V 450"),
        (Voltage, "450V", "V 450"),
        (Voltage, "450 WV", "V 450"),
        (Voltage, "450 v.d.c.", "V 450"),
        (Voltage, "450 V d.c.", "V 450"),
        (Voltage, "450 W.V.D.C.", "V 450"),
        (Voltage, "450 DCWV", "V 450"),
        (Voltage, "450 volts working", "V 450"),
        (Voltage, "117 V a.c.", "V 117, word ac"),
        (Voltage, "117 VAC", "V 117, word ac"),
        (Voltage, "525 V surge", "V 525, word surge"),
        (Voltage, "-22", "V -22"),
        (Voltage, "\u{2212}22 V", "V -22"),
        (Voltage, "+22 V", "V 22"),
        (Voltage, "12 kV", "V 12e3"),
        (Voltage, "50 mV", "V 0.05"),
        (Voltage, "1,000 V", "V 1000"),
        (Voltage, "0 to 450 V", "range 0 450"),
        (Voltage, "0 V - 450 V", "range 0 450"),
        (Voltage, "90 V peak-to-peak", "V 90, word peak-to-peak"),
        (Current, "95 mA", "A 0.095"),
        (Current, "95 MA", "A 0.095"),
        (Current, "95 m.a.", "A 0.095"),
        (Current, "0.6 A", "A 0.6"),
        (Current, "0.6 amp", "A 0.6"),
        (Current, "1/4 A slow", "A 0.25, word slow"),
        (Current, "20 \u{b5}A", "A 20e-6"),
        (Current, "0", "A 0"),
        (Power, "1/2 W", "W 0.5"),
        (Power, "½ W", "W 0.5"),
        (Power, "1½ W", "W 1.5"),
        (Power, "1-1/2 W", "W 1.5"),
        (Power, "1 1/2 W", "W 1.5"),
        (Power, "10-watt", "W 10"),
        (Power, "5 watts", "W 5"),
        (Power, "1/2", "W 0.5"),
        (ApparentPower, "250", "VA 250"),
        (ApparentPower, "20 VA", "VA 20"),
        (ApparentPower, "20 volt-amperes", "VA 20"),
    ] {
        check(expect, text, expected);
    }
}

#[test]
fn time_frequency_and_the_rest() {
    use Expect::*;
    for (expect, text, expected) in [
        (Time, "30", "s 30"),
        (Time, "30 sec.", "s 30"),
        (Time, "16 ms", "s 0.016"),
        (Time, "2 min", "s 120"),
        (Time, "1.5 h", "s 5400"),
        (Time, "63.5 us", "s 63.5e-6"),
        (Frequency, "60", "Hz 60"),
        (Frequency, "60 ~", "Hz 60"),
        (Frequency, "60 c/s", "Hz 60"),
        (Frequency, "15.75 kc", "Hz 15750"),
        (Frequency, "15,750 cycles", "Hz 15750"),
        (Frequency, "4.5 Mc/s", "Hz 4.5e6"),
        (Frequency, "60 c.p.s.", "Hz 60"),
        (Conductance, "2500 \u{b5}mho", "mho 2500e-6"),
        (Conductance, "2.5 mS", "mho 2.5e-3"),
        (Anything, "25 °C", "kelvin 298.15"),
        (Anything, "77 °F", "kelvin 298.15"),
        (Anything, "2500 kelvin", "kelvin 2500"),
        (Anything, "-40 °C", "kelvin 233.15"),
        (Anything, "20k ohms/volt", "ohm/V 20e3"),
        (Anything, "1000 ohms per volt", "ohm/V 1000"),
        (Anything, "20 kΩ/V", "ohm/V 20e3"),
    ] {
        check(expect, text, expected);
    }
}

#[test]
fn tolerances_and_fractions() {
    use Expect::*;
    for (expect, text, expected) in [
        (Resistance, "10k 10 %", "ohm 10e3, % 10"),
        (Resistance, "10k ±10%", "ohm 10e3, % 10"),
        (Resistance, "10k +/-10%", "ohm 10e3, % 10"),
        (Resistance, "10k +-10 percent", "ohm 10e3, % 10"),
        (Resistance, "10k 10 per cent", "ohm 10e3, % 10"),
        (Resistance, "10k 10% tolerance", "ohm 10e3, % 10"),
        (Electrolytic, "40 mfd +50 -10 %", "F 40e-6, limits 0.1 0.5"),
        (Electrolytic, "40 mfd +50/-10 %", "F 40e-6, limits 0.1 0.5"),
        (Electrolytic, "40 mfd -10% +50%", "F 40e-6, limits 0.1 0.5"),
        (Electrolytic, "40 mfd -10, +50%", "F 40e-6, limits 0.1 0.5"),
        (Electrolytic, "40 mfd +100%", "F 40e-6, limits 0 1"),
        (Percentage, "±10", "% 10"),
        (Percentage, "20", "% 20"),
        (Resistance, "5k at .4", "ohm 5e3, at 0.4"),
        (Resistance, "5k @ 40%", "ohm 5e3, at 0.4"),
        (Resistance, "5k at 1/2", "ohm 5e3, at 0.5"),
        (Resistance, "at 0.4 5k", "at 0.4, ohm 5e3"),
    ] {
        check(expect, text, expected);
    }
}

/// Only the first bare number is the value, and only where the text names no other.
#[test]
fn bare_numbers() {
    use Expect::*;
    for (expect, text, expected) in [
        (Resistance, "4700 10", "ohm 4700, bare 10"),
        (Resistance, "10 22k", "bare 10, ohm 22e3"),
        (Anything, "275", "bare 275"),
        (Anything, "-5", "bare -5"),
        (Resistance, "4700 1/2 W", "ohm 4700, W 0.5"),
        (Resistance, "10% 4700", "% 10, ohm 4700"),
        (PaperCapacitance, ".05 600 V", "F 0.05e-6, V 600"),
        (PaperCapacitance, "0.05 mfd/600 V", "F 0.05e-6, V 600"),
    ] {
        check(expect, text, expected);
    }
}

#[test]
fn ranges() {
    use Expect::*;
    for (expect, text, expected) in [
        (Voltage, "0-450", "range 0 450"),
        (Voltage, "5-12 kV", "range 5e3 12e3"),
        (Voltage, "-50 to 0 V", "range -50 0"),
        (Voltage, "-5 V to -3 V", "range -5 -3"),
        (Voltage, "100 mV - 12 kV", "range 0.1 12e3"),
        (SmallCapacitance, "5-30 mmf", "F-range 5e-12 30e-12"),
        (SmallCapacitance, "1.5-7", "F-range 1.5e-12 7e-12"),
        (
            SmallCapacitance,
            "1.5 to 7 pF 350 V",
            "F-range 1.5e-12 7e-12, V 350",
        ),
        (SmallCapacitance, "4p7-30p", "F-range 4.7e-12 30e-12"),
    ] {
        check(expect, text, expected);
    }
}

#[test]
fn words_and_types() {
    use Expect::*;
    for (text, expected) in [
        ("5U4-G", "word 5U4-G"),
        ("12LP4-A", "word 12LP4-A"),
        ("6AU6", "word 6AU6"),
        ("1N4007", "word 1N4007"),
        ("CL-90", "word CL-90"),
        ("OPEN", "word open"),
        ("Wire-Wound", "word wire-wound"),
        ("line a", "word line, word a"),
        (
            "120 ohm cold 44 ohm hot",
            "ohm 120, word cold, ohm 44, word hot",
        ),
    ] {
        check(Anything, text, expected);
    }
    check(Resistance, "CL-90 120 ohm", "word CL-90, ohm 120");
}

#[test]
fn values_may_touch() {
    check(Expect::Electrolytic, "40mfd450V10%", "F 40e-6, V 450, % 10");
    check(Expect::Resistance, "22k,10W;10%", "ohm 22e3, W 10, % 10");
}
