//! What quantities are printed as. Expected texts: the notation of the sheet's manual and of parts lists of the time (common practice),
//! three significant figures.

use quantity::{Amperes, Farads, Ohms, Tolerance, Unit, Volts, bench, bench_figures};

#[track_caller]
fn check(value: f64, unit: Unit, expected: &str) {
    assert_eq!(bench(value, unit), expected, "{value} {unit:?}");
}

#[test]
fn as_on_the_bench() {
    use Unit::*;
    for (value, unit, expected) in [
        (345.2, Volts, "345 V"),
        (1250.0, Volts, "1250 V"),
        (12_000.0, Volts, "12 kV"),
        (0.35, Volts, "0.35 V"),
        (0.012, Volts, "12 mV"),
        (-22.0, Volts, "-22 V"),
        (0.095, Amperes, "95 mA"),
        (0.6, Amperes, "600 mA"),
        (1.25, Amperes, "1.25 A"),
        (20e-6, Amperes, "20 uA"),
        (4700.0, Ohms, "4.7k"),
        (999.7, Ohms, "1k"),
        (1e6, Ohms, "1 meg"),
        (2.2e6, Ohms, "2.2 meg"),
        (150.0, Ohms, "150 ohm"),
        (0.03, Ohms, "0.03 ohm"),
        (1e9, Ohms, "1000 meg"),
        (0.05e-6, Farads, "0.05 mfd"),
        (40e-6, Farads, "40 mfd"),
        (220e-12, Farads, "220 mmf"),
        (1e-9, Farads, "0.001 mfd"),
        (0.9996e-9, Farads, "0.001 mfd"),
        (1500e-6, Farads, "1500 mfd"),
        (3.5, Henries, "3.5 H"),
        (0.02, Henries, "20 mH"),
        (250e-6, Henries, "250 uH"),
        (0.5, Watts, "0.5 W"),
        (250.0, VoltAmperes, "250 VA"),
        (11.0, Seconds, "11 s"),
        (0.016, Seconds, "16 ms"),
        (900.0, Seconds, "15 min"),
        (5.0 * 3600.0, Seconds, "5 hours"),
        (60.0, Hertz, "60 Hz"),
        (15_750.0, Hertz, "15.8 kHz"),
        (4.5e6, Hertz, "4.5 MHz"),
        (2500.0, Kelvin, "2500 kelvin"),
        (2500e-6, Siemens, "2500 umho"),
        (0.1, Fraction, "10%"),
        (20e3, OhmsPerVolt, "20k per volt"),
    ] {
        check(value, unit, expected);
    }
    assert_eq!(bench_figures(15_734.264, Unit::Hertz, 5), "15.734 kHz");
    assert_eq!(bench_figures(345.26, Unit::Volts, 4), "345.3 V");
}

#[test]
fn zero_and_what_is_out_of_range() {
    use Unit::*;
    for (value, unit, expected) in [
        (0.0, Volts, "0 V"),
        (-0.0, Volts, "0 V"),
        (0.0, Ohms, "0 ohm"),
        (0.0, Farads, "0 mfd"),
        (0.0, Henries, "0 H"),
        (0.0, Amperes, "0 A"),
        (0.0, Watts, "0 W"),
        (0.0, Seconds, "0 s"),
        (0.0, Hertz, "0 Hz"),
        (0.0, Fraction, "0%"),
        (1e20, Ohms, "1e20 ohm"),
        (1.5e-9, Volts, "1.5e-9 V"),
        (-1e30, Volts, "-1e30 V"),
        (f64::NAN, Volts, "unknown"),
        (f64::INFINITY, Ohms, "open"),
        (f64::INFINITY, Volts, "without limit"),
        (f64::NEG_INFINITY, Volts, "minus without limit"),
    ] {
        check(value, unit, expected);
    }
}

#[test]
fn types_print_themselves() {
    assert_eq!(Volts(345.2).to_string(), "345 V");
    assert_eq!(format!("{:.4}", Volts(345.26)), "345.3 V");
    assert_eq!(format!("[{:>8}]", Ohms(4700.0)), "[    4.7k]");
    assert_eq!(format!("[{:<8}]", Ohms(4700.0)), "[4.7k    ]");
    assert_eq!(Farads::from_microfarads(40.0).to_string(), "40 mfd");
    assert_eq!(Farads::from_microfarads(40.0), Farads(40e-6));
    assert_eq!(Farads(220e-12).picofarads(), 220.0);
}

/// Ohm's law and the watt, in units.
#[test]
fn units_multiply_as_they_should() {
    assert_eq!(Volts(300.0) / Ohms(100.0), Amperes(3.0));
    assert_eq!(Amperes(2.0) * Ohms(50.0), Volts(100.0));
    assert_eq!((Volts(300.0) * Amperes(0.5)).0, 150.0);
    assert_eq!(Ohms(1e6) * Farads(1e-6), quantity::Seconds(1.0));
}

#[test]
fn tolerances() {
    assert_eq!(Tolerance { down: 0.1, up: 0.1 }.to_string(), "10%");
    assert_eq!(Tolerance { down: 0.1, up: 0.5 }.to_string(), "+50 -10%");
    let can = Tolerance::new(0.1, 0.5).expect("in order");
    assert_eq!((can.low(40.0), can.high(40.0)), (36.0, 60.0));
    assert!(can.holds(40.0, 59.0) && !can.holds(40.0, 61.0) && !can.holds(40.0, 35.9));
    for (down, up) in [
        (-0.1, 0.1),
        (0.1, -0.1),
        (1.1, 0.1),
        (f64::NAN, 0.1),
        (0.1, f64::INFINITY),
    ] {
        assert!(Tolerance::new(down, up).is_err(), "{down} {up}");
    }
}
