//! Bands: order, shares. Expected values are arithmetic.

use quantity::{Band, BandError};

#[test]
fn shares_sum_to_one_and_fall() {
    let band = Band::new(
        90.0,
        100.0,
        120.0,
        [
            ("line", 1.0),
            ("T1", 2.0),
            ("meter", 0.0),
            ("line", 4.0),
            ("R31", 2.0),
        ],
    )
    .expect("in order");
    let causes: Vec<(&str, f64)> = band
        .made_of
        .iter()
        .map(|share| (share.cause.as_str(), share.share))
        .collect();
    for ((cause, share), (wanted, ninths)) in
        causes
            .iter()
            .zip([("line", 5.0), ("R31", 2.0), ("T1", 2.0)])
    {
        assert_eq!(*cause, wanted);
        assert!((share - ninths / 9.0).abs() < 1e-12);
    }
    assert_eq!(causes.len(), 3);
    assert!(
        band.contains(90.0)
            && band.contains(120.0)
            && !band.contains(120.1)
            && !band.contains(f64::NAN)
    );
    assert_eq!(band.width(), 30.0);
}

#[test]
fn no_causes_is_not_an_error() {
    assert!(
        Band::new(1.0, 2.0, 3.0, [("line", 0.0)])
            .expect("in order")
            .made_of
            .is_empty()
    );
    assert_eq!(Band::exactly(5.0).expect("finite").width(), 0.0);
}

#[test]
fn disorder_is_refused() {
    for (low, expected, high) in [
        (2.0, 1.0, 3.0),
        (1.0, 4.0, 3.0),
        (f64::NAN, 1.0, 2.0),
        (0.0, 1.0, f64::INFINITY),
    ] {
        let refused = Band::new(low, expected, high, [("line", 1.0)]);
        assert!(
            matches!(refused, Err(BandError::Disorder { .. })),
            "{refused:?}"
        );
    }
    for weight in [-1.0, f64::NAN, f64::INFINITY] {
        assert!(matches!(
            Band::new(1.0, 2.0, 3.0, [("line", weight)]),
            Err(BandError::Weight { .. })
        ));
    }
    assert!(Band::new(1.0, 2.0, 3.0, [("line", 1e308), ("line", 1e308)]).is_err());
}

#[test]
fn a_negative_factor_turns_a_band_over() {
    let band = Band::new(1.0, 2.0, 5.0, [("line", 1.0)])
        .expect("in order")
        .scaled(-2.0)
        .expect("finite");
    assert_eq!((band.low, band.expected, band.high), (-10.0, -4.0, -2.0));
    assert!(Band::exactly(1e300).expect("finite").scaled(1e300).is_err());
}
