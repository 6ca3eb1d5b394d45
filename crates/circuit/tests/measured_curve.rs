//! A rectifier that follows measured points: it meets them, rises everywhere, and its
//! slope is the derivative of its current.
//!
//! Expected values: the points themselves, and differences of the current.

use circuit::{MeasuredCurve, RectifierLaw};

const POINTS: [(f64, f64); MeasuredCurve::POINTS] = [
    (-0.7, 0.0),
    (5.0, 0.012),
    (15.0, 0.05),
    (30.0, 0.13),
    (44.0, 0.225),
    (100.0, 0.72),
];

fn law(rated_emission: f64) -> RectifierLaw {
    RectifierLaw::Curve {
        through: MeasuredCurve::through(POINTS).expect("they rise"),
        rated_emission,
        leak_siemens: 0.0,
    }
}

#[test]
fn the_points_are_met_and_the_curve_rises() {
    let law = law(f64::INFINITY);
    for (volts, amperes) in POINTS {
        let found = law.current(volts, 1.0).0;
        assert!((found - amperes).abs() < 1e-12, "{volts} V: {found}");
    }
    let mut last = -1e-15;
    for step in 0..2000 {
        let volts = -2.0 + 0.1 * f64::from(step);
        let (amperes, slope) = law.current(volts, 1.0);
        assert!(amperes >= last && slope >= 0.0, "{volts} V: {amperes}");
        last = amperes;
    }
}

#[test]
fn the_slope_is_the_derivative_with_and_without_a_limit() {
    for law in [law(f64::INFINITY), law(0.4)] {
        for volts in [-1.0, 0.5, 4.0, 17.0, 29.0, 60.0, 150.0] {
            let h = 1e-5;
            let (before, after) = (law.current(volts - h, 0.8).0, law.current(volts + h, 0.8).0);
            let slope = law.current(volts, 0.8).1;
            let difference = (after - before) / (2.0 * h);
            assert!(
                (slope - difference).abs() < 1e-6 * slope.abs().max(1e-4),
                "{volts} V: {slope} against {difference}"
            );
        }
    }
}

#[test]
fn the_limit_is_never_passed() {
    let law = law(0.4);
    assert!(law.current(1e5, 0.5).0 <= 0.2);
    assert!(law.current(1e5, 0.5).0 > 0.19);
}

#[test]
fn points_that_do_not_rise_are_refused() {
    let mut points = POINTS;
    points[3].1 = 0.04;
    assert_eq!(MeasuredCurve::through(points), None);
    let mut points = POINTS;
    points[0].1 = f64::NAN;
    assert_eq!(MeasuredCurve::through(points), None);
}
