//! Where pins stand on their bases.
//!
//! Source: the published outlines of the trade (steps of 45 degrees on octal,
//! lock-in and seven-pin miniature, 36 on nine-pin miniature, 30 on duodecal;
//! numbers run clockwise from the mark, seen from below). From memory.

use parts::{Base, BaseMark, catalogue};

fn base(name: &str) -> &'static Base {
    catalogue().expect("sound").base(name).expect(name)
}

#[test]
fn pins_stand_where_the_outlines_put_them() {
    let cases = [
        ("octal", 8, BaseMark::Key, 22.5, 337.5),
        ("lock-in", 8, BaseMark::Key, 22.5, 337.5),
        ("miniature", 7, BaseMark::Gap, 45.0, 315.0),
        ("noval", 9, BaseMark::Gap, 36.0, 324.0),
        ("duodecal", 12, BaseMark::Key, 15.0, 345.0),
        ("magnal", 11, BaseMark::Key, 16.36, 343.64),
        ("diheptal", 14, BaseMark::Key, 12.86, 347.14),
        ("four-pin", 4, BaseMark::ThickPins, 45.0, 315.0),
        ("six-pin", 6, BaseMark::ThickPins, 30.0, 330.0),
        ("seven-pin", 7, BaseMark::ThickPins, 25.71, 334.29),
    ];
    for (name, count, mark, first, last) in cases {
        let base = base(name);
        assert_eq!((base.pin_count, base.mark), (count, mark), "{name}");
        let near = |pin: u8, degrees: f64| {
            base.pin_degrees(pin)
                .is_some_and(|found| (found - degrees).abs() < 0.02)
        };
        assert!(near(1, first) && near(count, last), "{name}");
        assert_eq!(base.pin_degrees(0), None);
        assert_eq!(base.pin_degrees(count + 1), None);
    }
}

#[test]
fn on_every_base_pins_run_clockwise_and_keep_their_distance() {
    for base in catalogue().expect("sound").bases() {
        let places: Vec<f64> = (1..=base.pin_count)
            .map(|pin| base.pin_degrees(pin).expect("on the base"))
            .collect();
        assert!(
            places.windows(2).all(|pair| pair[1] - pair[0] > 20.0),
            "{}: {places:?}",
            base.name
        );
        // The mark stands between the last pin and the first, half way.
        let (first, last) = (places[0], places[places.len() - 1]);
        assert!((first + last - 360.0).abs() < 0.1, "{}", base.name);
        if base.mark == BaseMark::Gap {
            assert!(2.0 * first > 1.9 * base.pitch_degrees, "{}", base.name);
        }
    }
}

#[test]
fn every_tube_of_the_catalogue_stands_on_a_known_base() {
    let catalogue = catalogue().expect("sound");
    let mut looked_at = 0;
    for tube in catalogue.tubes().filter(|tube| !tube.base.is_empty()) {
        looked_at += 1;
        assert!(catalogue.base(&tube.base).is_some(), "{}", tube.name);
    }
    assert!(looked_at > 300, "{looked_at}");
}
