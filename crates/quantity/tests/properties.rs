//! What must hold for every text and every value.

use proptest::prelude::*;
use quantity::notation::ALL_EXPECTATIONS;
use quantity::{
    Band, Expect, ItemKind, Series, Tolerance, Unit, bench_figures, read_amperes, read_anything,
    read_farads, read_henries, read_hertz, read_items, read_ohms, read_seconds, read_siemens,
    read_volt_amperes, read_volts, read_watts,
};

/// Pieces that notation is made of, to be put together at random.
const PIECES: &[&str] = &[
    "4", "47", "0", "1/2", "½", ".", ",", "05", "22,000", "e", "E5", "-", "+", "±", "/", "%", "k",
    "K", "M", "m", "meg", "ohm", "Ω", "\u{2126}", "R", "µ", "\u{3bc}", "uf", "mfd", "mF", "MF",
    "F", "p", "n", "H", "uH", "V", "v.d.c.", "W", "A", "mA", "at", "@", "per", "cent", "volt",
    "to", "plates", " ", "  ", "\t", "\u{a0}", "steady", "5U4-G", "6K7", "c/s", "~", "°C", "S",
    "s", "?", "\u{0}", "…", "𝛀", "(", "\"", "-/+", "+/-",
];

/// Reads `text` in every way and looks at what must hold for all results.
fn hold(text: &str) {
    for expect in ALL_EXPECTATIONS {
        let spans: Vec<std::ops::Range<usize>> = match read_items(text, expect) {
            Ok(items) => {
                for item in &items {
                    if let ItemKind::Ohms(value)
                    | ItemKind::Farads(value)
                    | ItemKind::Henries(value)
                    | ItemKind::Watts(value) = item.what
                    {
                        assert!(value.is_finite() && value >= 0.0);
                    }
                }
                items.into_iter().map(|item| item.span).collect()
            }
            Err(faults) => {
                assert!(!faults.is_empty());
                for fault in &faults {
                    assert!(
                        !fault.read.is_empty()
                            && !fault.expected.is_empty()
                            && !fault.hint.is_empty()
                    );
                    assert_ne!(fault.readings.len(), 1, "{fault:?}");
                    assert!(!fault.to_string().contains(char::is_control));
                }
                faults.into_iter().map(|fault| fault.span).collect()
            }
        };
        for span in &spans {
            assert!(
                text.get(span.clone())
                    .is_some_and(|piece| !piece.is_empty()),
                "{text:?} {span:?}"
            );
        }
        assert!(
            spans.is_sorted_by_key(|span| span.start),
            "{text:?} {spans:?}"
        );
    }
    assert_eq!(read_anything(text), read_anything(text));
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 1000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_text_is_read_or_refused(text in any::<String>()) {
        hold(&text);
    }

    #[test]
    fn any_notation_is_read_or_refused(pieces in proptest::collection::vec(proptest::sample::select(PIECES), 0..12)) {
        hold(&pieces.concat());
    }

    #[test]
    fn what_is_printed_reads_back(mantissa in 1.0_f64..10.0, power in -30_i32..30, negative in any::<bool>(), figures in 1_usize..=12) {
        let size = mantissa * 10_f64.powi(power);
        let signed = if negative { -size } else { size };
        for (unit, value) in [
            (Unit::Volts, signed), (Unit::Amperes, signed), (Unit::Ohms, size), (Unit::Farads, size), (Unit::Henries, size), (Unit::Watts, size),
            (Unit::VoltAmperes, size), (Unit::Seconds, size), (Unit::Hertz, size), (Unit::Kelvin, size), (Unit::Siemens, size), (Unit::OhmsPerVolt, size),
        ] {
            let text = bench_figures(value, unit, figures);
            let read = read_back(&text, unit);
            let allowed = 0.5 * 10_f64.powi(1 - figures as i32) * value.abs() * (1.0 + 1e-9) + value.abs() * 1e-14;
            prop_assert!((read - value).abs() <= allowed, "{value} printed as {text}, read as {read}");
        }
    }

    #[test]
    fn tolerances_read_back(down in 0_u32..=100, up in 0_u32..=900) {
        let printed = Tolerance { down: f64::from(down) / 100.0, up: f64::from(up) / 100.0 };
        let items = read_items(&printed.to_string(), Expect::Anything).expect("readable");
        let read = match items[..] {
            [ref item] => match item.what {
                ItemKind::Percent(percent) => Tolerance { down: percent / 100.0, up: percent / 100.0 },
                ItemKind::Limits(limits) => limits,
                _ => panic!("{items:?}"),
            },
            _ => panic!("{items:?}"),
        };
        prop_assert!((read.down - printed.down).abs() < 1e-9 && (read.up - printed.up).abs() < 1e-9);
    }

    #[test]
    fn shares_always_sum_to_one(weights in proptest::collection::vec(0.0_f64..1e6, 1..10)) {
        let causes = weights.iter().enumerate().map(|(index, weight)| (index.to_string(), *weight));
        let band = Band::new(1.0, 2.0, 3.0, causes).expect("in order");
        let sum: f64 = band.made_of.iter().map(|share| share.share).sum();
        prop_assert!(band.made_of.is_empty() || (sum - 1.0).abs() < 1e-12);
        prop_assert!(band.made_of.is_sorted_by(|one, next| one.share >= next.share));
    }

    #[test]
    fn no_member_of_a_series_is_nearer(value in 1e-13_f64..1e9) {
        for series in [Series::E6, Series::E12, Series::E24, Series::E48, Series::E96] {
            let nearest = series.nearest(value).expect("positive");
            for decade in -14..11 {
                for member in series.members() {
                    let member = member * 10_f64.powi(decade);
                    prop_assert!((nearest / value).ln().abs() <= (member / value).ln().abs() + 1e-9);
                }
            }
        }
    }
}

fn read_back(text: &str, unit: Unit) -> f64 {
    let value = match unit {
        Unit::Volts => read_volts(text).map(|value| value.0),
        Unit::Amperes => read_amperes(text).map(|value| value.0),
        Unit::Ohms => read_ohms(text).map(|value| value.0),
        Unit::Farads => read_farads(text).map(|value| value.0),
        Unit::Henries => read_henries(text).map(|value| value.0),
        Unit::Watts => read_watts(text).map(|value| value.0),
        Unit::VoltAmperes => read_volt_amperes(text).map(|value| value.0),
        Unit::Seconds => read_seconds(text).map(|value| value.0),
        Unit::Hertz => read_hertz(text).map(|value| value.0),
        Unit::Siemens => read_siemens(text).map(|value| value.0),
        Unit::Kelvin | Unit::OhmsPerVolt | Unit::Fraction => {
            let items = read_items(text, Expect::Anything)
                .unwrap_or_else(|faults| panic!("{text}: {faults:?}"));
            match items[..] {
                [ref item] => match item.what {
                    ItemKind::Kelvin(value) | ItemKind::OhmsPerVolt(value) => Ok(value),
                    _ => panic!("{text}: {items:?}"),
                },
                _ => panic!("{text}: {items:?}"),
            }
        }
    };
    value.unwrap_or_else(|fault| panic!("{text}: {fault}"))
}

/// Texts that are odd in one way or another, kept one a line; escapes as in Rust.
#[test]
fn odd_inputs() {
    for line in include_str!("odd_inputs.txt").lines() {
        let text = unescape(line);
        hold(&text);
        hold(&text.repeat(7));
    }
}

fn unescape(line: &str) -> String {
    line.replace("\\0", "\0")
        .replace("\\n", "\n")
        .replace("\\t", "\t")
}
