//! Tungsten between the rows of its table.

use parts::{ROOM_KELVIN, Standing, TungstenTable, catalogue};
use proptest::prelude::*;

fn tungsten() -> &'static TungstenTable {
    catalogue().expect("the tables are sound").tungsten()
}

#[test]
fn the_rows_themselves_come_back() {
    for row in tungsten().rows() {
        let resistivity = tungsten().resistivity(row.kelvin).expect("in range");
        assert!(
            (resistivity / row.resistivity - 1.0).abs() < 1e-12,
            "{}",
            row.kelvin
        );
        if let Some(expected) = row.radiation {
            let radiation = tungsten().radiation(row.kelvin).expect("in range");
            assert!(
                (radiation - expected).abs() <= 1e-9 * expected,
                "{} K: {radiation}",
                row.kelvin
            );
        }
    }
}

#[test]
fn bridged_rows_meet_the_published_table() {
    // Jones and Langmuir, General Electric Review 1927, radiation in watts per
    // square centimetre at rows that our table leaves empty; from memory.
    let cases = [
        (900.0, 0.334),
        (1100.0, 1.027),
        (1300.0, 2.57),
        (1500.0, 5.52),
        (1700.0, 10.62),
        (1900.0, 18.64),
        (2100.0, 30.5),
        (2300.0, 47.2),
        (2700.0, 99.6),
        (2900.0, 137.8),
        (3100.0, 185.8),
        (3300.0, 245.4),
        (3500.0, 318.0),
        (3600.0, 360.0),
    ];
    for (kelvin, expected) in cases {
        let radiation = tungsten().radiation(kelvin).expect("in range");
        let off = radiation / expected - 1.0;
        assert!(off.abs() < 0.02, "{kelvin} K: {radiation}, {off}");
        assert_eq!(
            tungsten().radiation_standing(kelvin),
            Ok(Standing::Estimated)
        );
    }
    assert_eq!(tungsten().radiation_standing(2000.0), Ok(Standing::Memory));
}

#[test]
fn a_left_out_row_is_found_again() {
    // Resistivity is smooth: the middle of two rows differs from the chord's
    // middle by less than 1 percent (Forsythe and Worthing, rows 100 K apart).
    for pair in tungsten().rows().windows(2) {
        let middle = 0.5 * (pair[0].kelvin + pair[1].kelvin);
        let chord = 0.5 * (pair[0].resistivity + pair[1].resistivity);
        let found = tungsten().resistivity(middle).expect("in range");
        assert!(
            (found / chord - 1.0).abs() < 0.01,
            "{middle} K: {found} against {chord}"
        );
    }
}

#[test]
fn the_ratio_meets_the_outside_check() {
    // checks.csv LA021: resistance at 2000 K over 300 K is 10.03 within 1.5 %.
    let ratio = tungsten().resistivity(2000.0).expect("in range")
        / tungsten().resistivity(300.0).expect("in range");
    assert!((ratio / 10.03 - 1.0).abs() < 0.015);
    // A 100 W lamp's 144 over 9.5 ohm, read, is the ratio of a filament a
    // little under 2800 K, the usual colour temperature of such a lamp.
    let kelvin = tungsten().kelvin_at_ratio(144.0 / 9.5).expect("in range");
    assert!((2650.0..2850.0).contains(&kelvin), "{kelvin}");
}

#[test]
fn outside_the_table_is_an_error_not_a_guess() {
    for kelvin in [292.9, 0.0, -5.0, 3655.1, 1e9, f64::NAN, f64::INFINITY] {
        assert!(tungsten().resistivity(kelvin).is_err(), "{kelvin}");
        assert!(tungsten().radiation(kelvin).is_err(), "{kelvin}");
        assert!(tungsten().radiation_standing(kelvin).is_err(), "{kelvin}");
    }
    for ratio in [0.99, 25.0, f64::NAN] {
        assert!(tungsten().kelvin_at_ratio(ratio).is_err(), "{ratio}");
    }
    assert_eq!(tungsten().radiation(ROOM_KELVIN), Ok(0.0));
    assert_eq!(tungsten().range(), (293.0, 3655.0));
}

proptest! {
    #[test]
    fn both_curves_rise(one in 293.0f64..3655.0, step in 0.5f64..200.0) {
        let other = (one + step).min(3655.0);
        prop_assume!(other - one > 0.1);
        let at = |kelvin| (tungsten().resistivity(kelvin), tungsten().radiation(kelvin));
        let ((Ok(r1), Ok(w1)), (Ok(r2), Ok(w2))) = (at(one), at(other)) else {
            return Err(TestCaseError::fail("out of range"));
        };
        prop_assert!(r2 > r1 && w2 > w1, "{one} to {other}: {r1} {r2}, {w1} {w2}");
    }

    #[test]
    fn the_slope_has_no_step(kelvin in 300.0f64..3640.0) {
        // First differences on both sides of any point, 0.05 K apart, agree.
        let r = |k: f64| tungsten().resistivity(k).unwrap_or(f64::NAN);
        let left = (r(kelvin) - r(kelvin - 0.05)) / 0.05;
        let right = (r(kelvin + 0.05) - r(kelvin)) / 0.05;
        prop_assert!((left / right - 1.0).abs() < 0.01, "{kelvin}: {left} {right}");
    }

    #[test]
    fn the_ratio_comes_back(kelvin in 293.0f64..3655.0) {
        let back = tungsten().resistance_ratio(kelvin).and_then(|ratio| tungsten().kelvin_at_ratio(ratio));
        prop_assert!(back.is_ok_and(|back| (back - kelvin).abs() < 1e-6));
    }
}
