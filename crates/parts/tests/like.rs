//! Types near another. What comes out is known from the tube manuals and from
//! common practice, named beside each case; nothing is taken from our output.

use parts::{Catalogue, Fit, Matter, NearTube, TubeType, catalogue, near_tubes};

fn sound() -> &'static Catalogue {
    catalogue().expect("the tables are sound")
}

fn tube(name: &str) -> &'static TubeType {
    sound().tube(name).expect(name)
}

/// Compares one type with another, whatever else is near.
fn pair(asked: &str, other: &str) -> NearTube<'static> {
    near_tubes(tube(asked), std::iter::once(tube(other)), 1)
        .pop()
        .unwrap_or_else(|| panic!("{other} is not near {asked}"))
}

#[test]
fn it_is_said_whether_a_type_goes_into_the_same_socket() {
    use Fit::{
        NotKnown, OtherSocket, Rewire, SameSocket, SameSocketOtherHeater,
        SameSocketParallelHeaters, SameSocketSeriesString,
    };
    let cases = [
        // Manuals, from memory: same basing, same 6.3 V 0.9 A or 1.2 A.
        ("6BQ6-GT", "6BQ6-GTB", SameSocket),
        ("6BQ6-GTB", "6DQ6-A", SameSocket),
        ("6BG6-G", "6CD6-G", SameSocketParallelHeaters),
        // Basing 5BT against 6AM: screen on 8 and cathode on 3, screen on 4 and cathode on 8.
        ("6BG6-G", "6DQ6-A", Rewire),
        // Series-string versions: volts and amperes differ, the rest is the same tube.
        ("6BG6-G", "19BG6-G", SameSocketOtherHeater),
        ("6CB6", "3CB6", SameSocketOtherHeater),
        ("12BQ6-GTB", "25CD6-GB", Rewire),
        // 600 mA types of one string (common practice): only the volts differ.
        ("12BQ6-GTB", "12DQ6-A", SameSocket),
        ("12L6-GT", "12W6-GT", SameSocket),
        ("12SN7-GT", "6SN7-GTB", SameSocketOtherHeater),
        // 7N7 is 6SN7-GT on a lock-in base; 6CG7 is its miniature version.
        ("6SN7-GT", "7N7", OtherSocket),
        ("6SN7-GTB", "6CG7", OtherSocket),
        // 6CG7 and 12AU7: pin 9 is a shield in the one, the heater's middle in the other.
        ("6CG7", "12AU7", Rewire),
        // 6AG5 ties grid 3 to the cathode inside, 6CB6 brings it out: common caution.
        ("6AG5", "6CB6", Rewire),
        ("6AU6", "6BA6", SameSocket),
        ("6AU6", "6AH6", SameSocketParallelHeaters),
        ("6AC7", "6AB7", SameSocket),
        // 12AU7, 12AT7 and 12AX7 share base and heater.
        ("12AU7", "12AT7", SameSocket),
        ("12AX7", "12AU7", SameSocket),
        // Amperes alike, volts not: a string of 300 mA.
        ("25L6-GT", "12SN7-GT", SameSocketSeriesString),
        ("25AX4-GT", "25W4-GT", SameSocket),
        ("12AX4-GTA", "19AU4", SameSocketSeriesString),
        ("5U4-G", "5Z3", OtherSocket),
        ("5U4-G", "5X4-G", Rewire),
        ("5U4-G", "5V4-G", SameSocketParallelHeaters),
        ("6T8", "6AV6", NotKnown),
        ("6DE7", "6DR7", NotKnown),
    ];
    for (asked, other, expected) in cases {
        // A pair that does other work is no case of nearness.
        let found = near_tubes(tube(asked), std::iter::once(tube(other)), 1);
        match found.first() {
            Some(near) => assert_eq!(near.fit, expected, "{asked} {other}: {:?}", near.changes),
            None => assert!(
                [("25L6-GT", "12SN7-GT"), ("6T8", "6AV6")].contains(&(asked, other)),
                "{other} is not near {asked}"
            ),
        }
    }
}

#[test]
fn no_substitute_is_plain_whose_rating_is_lower_or_unknown() {
    let mut looked_at = 0;
    for asked in sound().tubes() {
        for near in near_tubes(asked, sound().tubes(), 20) {
            let weak = near
                .changes
                .iter()
                .any(|c| matches!(c.matter, Matter::RatingLower | Matter::RatingUnknown));
            looked_at += usize::from(weak);
            assert!(
                !(weak && near.is_plain_substitute()),
                "{} for {}",
                near.tube.name,
                asked.name
            );
            // Ratings compared once more, apart from the code under test.
            if near.is_plain_substitute() {
                for (own, other) in asked.sections.iter().zip(&near.tube.sections) {
                    let bears = |one: Option<f64>, two: Option<f64>| match (one, two) {
                        (Some(one), Some(two)) => two >= one * 0.994,
                        (Some(_), None) => false,
                        (None, _) => true,
                    };
                    assert!(bears(own.max_plate_volts, other.max_plate_volts));
                    assert!(bears(own.max_plate_watts, other.max_plate_watts));
                    assert!(bears(
                        own.max_cathode_milliamperes,
                        other.max_cathode_milliamperes
                    ));
                }
                let heater = |tube: &TubeType| tube.heater.as_ref().map(|h| (h.volts, h.amperes));
                let (one, two) = (
                    heater(asked).expect("known"),
                    heater(near.tube).expect("known"),
                );
                assert!((one.0 / two.0 - 1.0).abs() < 0.06 && (one.1 / two.1 - 1.0).abs() < 0.06);
            }
        }
    }
    assert!(looked_at > 100, "{looked_at}");
}

#[test]
fn plain_substitutes_are_those_of_the_trade() {
    let cases = [
        // Common practice: the later suffix replaces the earlier.
        ("6BQ6-GT", "6BQ6-GTB", true),
        ("6SN7-GT", "6SN7-GTB", true),
        ("6CD6-G", "6CD6-GA", true),
        ("6AU6", "6AU6-A", true),
        ("6CB6", "6CB6-A", true),
        ("6AV5-GA", "6AU5-GT", false),
        // The earlier does not replace the later: ratings are lower.
        ("6SN7-GTB", "6SN7-GT", false),
        ("6CD6-GA", "6CD6-G", false),
        ("6BQ6-GTB", "6BQ6-GT", false),
        // Same socket and heater, but another use: mu 17 against 100.
        ("12AU7", "12AX7", false),
        // Sharp against remote cut-off.
        ("6AU6", "6BA6", false),
        // A series string needs the warm-up.
        ("12BY7-A", "12BY7", false),
    ];
    for (asked, other, expected) in cases {
        let near = pair(asked, other);
        assert_eq!(
            near.is_plain_substitute(),
            expected,
            "{asked} {other}: {:?} {:?}",
            near.fit,
            near.changes
        );
    }
}

#[test]
fn what_changes_is_told_with_its_figures() {
    type Told = (
        &'static str,
        &'static str,
        Matter,
        &'static str,
        Option<(f64, f64)>,
    );
    let cases: [Told; 9] = [
        // 6BG6-G 0.9 A, 6CD6-G 2.5 A; 20 W against 15 W (manuals, from memory).
        (
            "6BG6-G",
            "6CD6-G",
            Matter::Heater,
            "heater_a",
            Some((0.9, 2.5)),
        ),
        (
            "6BG6-G",
            "6CD6-G",
            Matter::RatingLower,
            "max_plate_diss_w",
            Some((20.0, 15.0)),
        ),
        (
            "6BG6-G",
            "19BG6-G",
            Matter::Heater,
            "heater_v",
            Some((6.3, 18.9)),
        ),
        // 2.5 W and 5 W: read.
        (
            "6SN7-GT",
            "6SN7-GTB",
            Matter::RatingHigher,
            "max_plate_diss_w",
            Some((2.5, 5.0)),
        ),
        ("12BY7-A", "12BY7", Matter::Heater, "warmup_s", None),
        ("5U4-G", "5V4-G", Matter::Heater, "heating", None),
        ("5V4-G", "5U4-G", Matter::Heater, "heating", None),
        ("5U4-G", "5V4-G", Matter::Pins, "other_contact", None),
        ("6AU6", "6BA6", Matter::Characteristic, "cutoff_v_at", None),
    ];
    for (asked, other, matter, what, figures) in cases {
        let near = pair(asked, other);
        let change = near
            .changes
            .iter()
            .find(|change| change.matter == matter && change.what == what)
            .unwrap_or_else(|| panic!("{asked} {other} {what}: {:?}", near.changes));
        assert!(!change.text.is_empty());
        if let Some((one, two)) = figures {
            assert_eq!(
                (change.asked, change.this),
                (Some(one), Some(two)),
                "{asked} {other}"
            );
        }
    }
}

#[test]
fn a_lower_drop_is_said_to_raise_b_plus() {
    // 5U4-G: 44 V at 225 mA. 5AR4: 17 V at 225 mA. Both from memory of the sheets.
    let near = pair("5U4-G", "5AR4");
    let change = near
        .changes
        .iter()
        .find(|change| change.what == "drop_v_at")
        .expect("told");
    assert_eq!((change.asked, change.this), (Some(44.0), Some(17.0)));
    assert!(change.text.contains("higher") && change.text.contains("capacitors"));
}

#[test]
fn the_nearest_come_first_and_do_the_same_work() {
    // Families of the manuals: the same tube under another suffix or heater.
    let cases = [
        ("6BG6-G", &["6BG6-GA", "19BG6-G"][..]),
        (
            "6BQ6-GTB",
            &["12BQ6-GTB", "17BQ6-GTB", "25BQ6-GTB", "6BQ6-GT"][..],
        ),
        ("6SN7-GTB", &["6SN7-GTA", "8SN7-GTB", "6SN7-GT"][..]),
        ("6CB6", &["6CB6-A", "3CB6", "4CB6", "6DE6", "6CF6"][..]),
        ("12LP4", &["12LP4-A"][..]),
    ];
    for (asked, family) in cases {
        let near = near_tubes(tube(asked), sound().tubes(), 12);
        let names: Vec<&str> = near.iter().map(|n| n.tube.name.as_str()).collect();
        for wanted in family {
            assert!(names.contains(wanted), "{asked}: {wanted} not in {names:?}");
        }
        assert!(
            near.windows(2)
                .all(|pair| pair[0].distance <= pair[1].distance),
            "{asked}"
        );
        assert!(!names.contains(&asked));
    }
    for near in near_tubes(tube("6AL5"), sound().tubes(), 20) {
        assert!(
            near.tube.sections.iter().all(|s| s.kind.is_diode()),
            "{}",
            near.tube.name
        );
    }
    assert!(
        near_tubes(tube("9AQP4"), sound().tubes(), 8).is_empty(),
        "nothing is known of it"
    );
}

#[test]
fn picture_tubes_tell_trap_coating_and_length() {
    // close_replacements of 12LP4 in the table: ion trap double to none for 12KP4.
    let near = pair("12LP4", "12KP4");
    assert_eq!(near.fit, Fit::SameSocket);
    assert!(!near.is_plain_substitute());
    let whats: Vec<&str> = near.changes.iter().map(|change| change.what).collect();
    for wanted in ["ion_trap", "length_in", "close_replacements"] {
        assert!(whats.contains(&wanted), "{whats:?}");
    }
    let bare = pair("17BP4-A", "17BP4");
    assert!(
        bare.changes
            .iter()
            .any(|change| change.what == "outer_coating_pf_max"
                && change.text.contains("filter capacitor"))
    );
}
