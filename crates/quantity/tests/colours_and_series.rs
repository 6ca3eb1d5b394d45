//! Colour codes and preferred values. Sources: IEC 60062, IEC 60063 and the RMA codes, from memory (the check values too).

use quantity::colour_code::{
    Colour, ColourError, read_bands, read_body_end_dot, read_colours, read_mica_six_dots,
    read_mica_three_dots,
};
use quantity::{Expect, ItemKind, Series, read_items};

#[track_caller]
fn colours(text: &str) -> Vec<Colour> {
    read_colours(text).unwrap_or_else(|faults| panic!("{text}: {faults:?}"))
}

/// Checks that `bands` give what `expected` says in bench notation.
#[track_caller]
fn check_bands(bands: &str, expected: &str) {
    let reading =
        read_bands(&colours(bands)).unwrap_or_else(|faults| panic!("{bands}: {faults:?}"));
    let items = read_items(expected, Expect::Resistance).expect("bench notation");
    let [ItemKind::Ohms(ohms), ItemKind::Percent(percent)] = [&items[0].what, &items[1].what]
    else {
        panic!("{items:?}")
    };
    assert_eq!(reading.ohms.0, *ohms, "{bands}");
    assert!(
        (reading.tolerance.up * 100.0 - percent).abs() < 1e-9,
        "{bands}"
    );
    assert_eq!(reading.tolerance.up, reading.tolerance.down);
}

#[test]
fn bands_of_resistors() {
    for (bands, expected) in [
        ("red violet yellow gold", "270k 5%"),
        ("yellow violet orange", "47k 20%"),
        ("green blue black gold", "56 ohm 5%"),
        ("red red gold silver", "2.2 ohm 10%"),
        ("yellow violet orange none", "47k 20%"),
        ("brown black green silver", "1 meg 10%"),
        ("brown black silver gold", "0.1 ohm 5%"),
        ("yellow violet black red brown", "47k 1%"),
        ("brown black black black red", "100 ohm 2%"),
        ("brown black blue gold", "10 meg 5%"),
        // Five bands that can only be four and a reliability mark: orange is no tolerance.
        ("yellow violet orange gold orange", "47k 5%"),
    ] {
        check_bands(bands, expected);
    }
}

#[test]
fn a_value_outside_the_series_is_noted() {
    let reading = read_bands(&colours("red green orange silver")).expect("25k");
    assert_eq!(reading.ohms.0, 25e3);
    assert!(
        reading.notes[0].contains("nearest 27k"),
        "{:?}",
        reading.notes
    );
    assert!(
        read_bands(&colours("red red orange silver"))
            .expect("22k")
            .notes
            .is_empty()
    );
}

#[test]
fn impossible_bands() {
    for (bands, places) in [
        ("gold violet yellow red", &[1][..]),
        ("black violet yellow", &[1]),
        ("silver gold white orange", &[1, 2, 3, 4]),
        ("red violet white gold", &[3]),
        ("red violet none", &[3]),
        ("red violet red black", &[4]),
    ] {
        let faults = read_bands(&colours(bands)).expect_err(bands);
        let found: Vec<usize> = faults
            .iter()
            .map(|fault| {
                if let ColourError::Impossible { place, .. } = fault {
                    *place
                } else {
                    panic!("{fault}")
                }
            })
            .collect();
        assert_eq!(found, places, "{bands}");
    }
    assert!(matches!(
        read_bands(&colours("red violet")).expect_err("two")[..],
        [ColourError::Count { count: 2, .. }]
    ));
    assert!(matches!(
        read_bands(&[]).expect_err("none")[..],
        [ColourError::Count { count: 0, .. }]
    ));
}

#[test]
fn five_bands_with_two_readings() {
    let faults = read_bands(&colours("yellow violet black gold brown")).expect_err("two readings");
    let [ColourError::TwoReadings { one, other, .. }] = &faults[..] else {
        panic!("{faults:?}")
    };
    // 470 times 0.1 within 1 %, or 47 times 1 within 5 %.
    assert!(
        one.starts_with("47 ohm 1%") && other.starts_with("47 ohm 5%"),
        "{one} {other}"
    );
}

/// Body 1st figure, end 2nd, dot multiplier, other end tolerance (RMA, from memory).
#[test]
fn body_end_dot() {
    let one = |name: &str| Colour::from_name(name);
    for (body, end, dot, other_end, ohms, fraction) in [
        ("yellow", "violet", "orange", "none", 47e3, 0.2),
        ("red", "black", "yellow", "gold", 200e3, 0.05),
        ("green", "black", "", "silver", 5e6, 0.1),
        ("red", "", "orange", "", 22e3, 0.2),
    ] {
        let reading = read_body_end_dot(
            one(body).expect("a body"),
            one(end),
            one(dot),
            one(other_end),
        )
        .expect("readable");
        assert_eq!((reading.ohms.0, reading.tolerance.up), (ohms, fraction));
        let missing = usize::from(end.is_empty()) + usize::from(dot.is_empty());
        assert!(reading.notes.len() >= missing);
    }
    let faults = read_body_end_dot(
        Colour::Gold,
        Some(Colour::Silver),
        Some(Colour::White),
        Some(Colour::Red),
    )
    .expect_err("nothing fits");
    assert_eq!(faults.len(), 4, "{faults:?}");
}

#[test]
fn mica_dots() {
    let three = read_mica_three_dots([Colour::Red, Colour::Green, Colour::Brown]).expect("250 mmf");
    assert_eq!(three.to_string(), "250 mmf 20% 500 V");
    let six = |text: &str| {
        let dots: [Colour; 6] = colours(text).try_into().expect("six");
        read_mica_six_dots(dots)
    };
    for (dots, expected) in [
        // RMA: figures 1 2 5, times ten, 5 %, 300 V.
        ("brown red green brown gold orange", "0.00125 mfd 5% 300 V"),
        ("red green black black silver green", "250 mmf 10% 500 V"),
        // JAN and EIA: mark, two figures, multiplier, tolerance, class.
        ("black green brown brown silver red", "510 mmf 10%"),
        ("silver brown black orange none brown", "0.01 mfd 20%"),
        ("white black green black gold orange", "5 mmf 5%"),
    ] {
        match six(dots) {
            Ok(reading) => assert_eq!(reading.to_string(), expected, "{dots}"),
            // White first can be a figure 9 as well; then both readings are named.
            Err(faults) => assert!(
                faults[0].to_string().contains(expected),
                "{dots}: {faults:?}"
            ),
        }
    }
    let faults = six("white brown black brown silver red").expect_err("two readings");
    // 910 times ten within 10 % at 200 V, or 10 times ten within 10 %.
    assert!(
        matches!(&faults[..], [ColourError::TwoReadings { one, other, .. }] if one.starts_with("0.0091 mfd 10% 200 V") && other.starts_with("100 mmf 10%")),
        "{faults:?}"
    );
    assert_eq!(
        six("red gold black white white black")
            .expect_err("faults")
            .len(),
        3
    );
    assert!(
        six("silver brown black orange none brown")
            .expect("paper")
            .notes
            .iter()
            .any(|note| note.contains("paper"))
    );
}

#[test]
fn colour_names() {
    assert_eq!(
        colours("Gray, PURPLE - no"),
        [Colour::Grey, Colour::Violet, Colour::None]
    );
    let faults = read_colours("red vilet yelow pink").expect_err("three faults");
    let nearest: Vec<&str> = faults
        .iter()
        .map(|fault| {
            if let ColourError::NoColour { nearest, .. } = fault {
                nearest
            } else {
                ""
            }
        })
        .collect();
    assert_eq!(nearest, ["violet", "yellow", ""]);
}

/// IEC 60063 as listed in the reference checks (E6, E24) and its formula for E96 (1 % values 1.02, 1.05, 9.76 known from memory).
#[test]
fn series_members() {
    assert_eq!(Series::E6.members(), [1.0, 1.5, 2.2, 3.3, 4.7, 6.8]);
    assert_eq!(
        Series::E24.members(),
        [
            1.0, 1.1, 1.2, 1.3, 1.5, 1.6, 1.8, 2.0, 2.2, 2.4, 2.7, 3.0, 3.3, 3.6, 3.9, 4.3, 4.7,
            5.1, 5.6, 6.2, 6.8, 7.5, 8.2, 9.1
        ]
    );
    assert_eq!(
        Series::E12.members(),
        [1.0, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8, 8.2]
    );
    assert_eq!(&Series::E96.members()[..4], [1.0, 1.02, 1.05, 1.07]);
    assert_eq!(Series::E96.members().last(), Some(&9.76));
    assert_eq!(&Series::E48.members()[..4], [1.0, 1.05, 1.1, 1.15]);
}

#[test]
fn nearest_members() {
    for (series, value, nearest) in [
        (Series::E12, 0.05e-6, 0.047e-6),
        (Series::E24, 25e3, 24e3),
        (Series::E12, 9.5, 10.0),
        (Series::E6, 9.9e5, 1e6),
        (Series::E12, 1.0, 1.0),
        (Series::E96, 1e-12, 1e-12),
    ] {
        assert_eq!(series.nearest(value), Some(nearest), "{series:?} {value}");
    }
    for value in [0.0, -1.0, f64::NAN, f64::INFINITY] {
        assert_eq!(Series::E12.nearest(value), None);
    }
    assert!(
        Series::E12.nearest(f64::MIN_POSITIVE).is_some() && Series::E12.nearest(1e308).is_some()
    );
}

/// By the list of IEC 60063 above: the next one of it, or the first one of the next decade.
#[test]
fn the_next_member_up() {
    for (series, value, next) in [
        (Series::E24, 25e3, 27e3),
        (Series::E24, 24.001e3, 27e3),
        (Series::E12, 0.05e-6, 0.056e-6),
        (Series::E6, 4.8, 6.8),
        // A member is its own answer, as written and as a calculation leaves it: 0.1 + 0.2 is a little above 0.3, and
        // 1.1 x 1.1 x 1e3 / 1.21 a little beside 1000.
        (Series::E24, 4.7e3, 4.7e3),
        (Series::E24, 0.1 + 0.2, 0.3),
        (Series::E24, 1.1 * 1.1 * 1e3 / 1.21, 1e3),
        (Series::E96, 9.76e-9, 9.76e-9),
        // Ends of decades.
        (Series::E24, 9.1, 9.1),
        (Series::E24, 9.100_001, 10.0),
        (Series::E24, 9.999_999, 10.0),
        (Series::E24, 10.0, 10.0),
        (Series::E24, 10.000_001, 11.0),
        (Series::E6, 0.000_68, 0.000_68),
        (Series::E6, 0.000_69, 0.001),
        (Series::E6, 99_999.999_99, 100e3),
        // A millionth above a member is no rounding.
        (Series::E24, 1e3 * (1.0 + 1e-6), 1.1e3),
        // The ends of what a number holds.
        (Series::E12, 1e-300, 1e-300),
        (Series::E12, 1.01e-300, 1.2e-300),
        (Series::E12, 1.6e308, f64::NAN),
        (Series::E12, 1.49e308, 1.5e308),
    ] {
        let found = series.at_least(value);
        if next.is_nan() {
            assert_eq!(found, None, "{series:?} {value}");
        } else {
            assert_eq!(found, Some(next), "{series:?} {value}");
        }
    }
    for value in [0.0, -0.0, -1.0, f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        assert_eq!(Series::E24.at_least(value), None, "{value}");
    }
    assert!(
        Series::E24
            .at_least(f64::from_bits(1))
            .is_some_and(|own| own > 0.0)
    );
}

/// What "the next one up" means, for every series over thirty decades: not below the value, and nothing between.
#[test]
fn nothing_lies_between_a_value_and_the_next_member_up() {
    for series in [
        Series::E6,
        Series::E12,
        Series::E24,
        Series::E48,
        Series::E96,
    ] {
        for step in 0..3000 {
            let value = 10f64.powf(-15.0 + 0.01 * f64::from(step)) * 1.000_3;
            let next = series.at_least(value).expect("a member");
            assert!(
                next >= value && series.holds(next),
                "{series:?} {value} {next}"
            );
            let below = series.nearest(value).expect("a member");
            assert!(
                below >= next || below < value,
                "{series:?} {value} {below} {next}"
            );
        }
    }
}
