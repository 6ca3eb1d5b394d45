//! A reading set against its band: verdicts, slips, what narrows, what comes next.
//!
//! Volts, ohms. Source of what is held: the bands of `expect` and `ohms` themselves; a known
//! reading narrows what moves with it (conditional spread of joint draws).

#[path = "whole_sets/mod.rs"]
mod whole_sets;

use std::sync::OnceLock;

use receiver::conditions::{BenchConditions, Meter};
use receiver::expect::{Expectation, Predictor};
use receiver::judge_reading::{Judgement, MeantAs, ReadingVerdict, TakenReading, judge_reading};
use receiver::reading::What;
use receiver::sheet::Sheet;
use receiver::wiring::SetModel;
use whole_sets::{LARKFIELD, sheet};

fn predictor() -> &'static Predictor<'static, 'static> {
    static SHEET: OnceLock<Sheet> = OnceLock::new();
    static MODEL: OnceLock<SetModel<'static>> = OnceLock::new();
    static PREDICTOR: OnceLock<Predictor<'static, 'static>> = OnceLock::new();
    let catalogue = parts::catalogue().expect("data");
    let model =
        MODEL.get_or_init(|| SetModel::new(SHEET.get_or_init(|| sheet(LARKFIELD)), catalogue));
    PREDICTOR.get_or_init(|| Predictor::new(model))
}

fn at_117() -> BenchConditions {
    BenchConditions {
        line_volts: Some(117.0),
        meter: Some(Meter::InputOhms(1e7)),
        ..BenchConditions::default()
    }
}

fn volts(at: &str, value: f64) -> TakenReading {
    TakenReading {
        at: at.to_string(),
        to: None,
        what: What::DcVolts,
        value,
    }
}

fn judged(taken: &TakenReading, before: &[TakenReading]) -> Judgement {
    judge_reading(predictor(), &at_117(), taken, before).expect("a settled state")
}

fn band(at: &str) -> (f64, f64, f64) {
    static EXPECTED: OnceLock<Expectation> = OnceLock::new();
    let expectation = EXPECTED.get_or_init(|| {
        let conditions = BenchConditions {
            bands: true,
            ..at_117()
        };
        predictor().expect(&conditions).expect("a settled state")
    });
    let found = expectation
        .readings
        .iter()
        .find(|reading| reading.at == at && reading.what == What::DcVolts);
    let band = &found.expect("a reading").band;
    (band.low, band.expected, band.high)
}

#[test]
fn inside_low_and_high_are_those_of_the_band() {
    let (low, expected, high) = band("V9.6");
    for (value, wanted) in [
        (expected, ReadingVerdict::Inside),
        (low - 1.0, ReadingVerdict::Low),
        (high + 1.0, ReadingVerdict::High),
    ] {
        let judged = judged(&volts("V9.6", value), &[]);
        assert_eq!(judged.verdict, wanted, "{value}");
        assert_eq!(judged.meant_as, None, "{value}");
    }
}

#[test]
fn far_values_that_a_slip_would_bring_home_are_asked_about() {
    let (_, expected, _) = band("V9.6");
    let meant = |value: f64| judged(&volts("V9.6", value), &[]).meant_as;
    assert_eq!(meant(0.1 * expected), Some(MeantAs::Times(10.0)));
    assert_eq!(meant(10.0 * expected), Some(MeantAs::Times(0.1)));
    assert_eq!(meant(-expected), Some(MeantAs::LeadsExchanged));
    // The cathode's volts read at the screen.
    let (_, cathode, _) = band("V9.7");
    assert!(
        matches!(meant(cathode), Some(MeantAs::OtherPin(pin)) if pin.starts_with("V9.")),
        "{cathode}"
    );
    // Half the value is a fault, not a slip.
    assert_eq!(meant(0.5 * expected), None);
}

#[test]
fn a_known_line_narrows_what_hangs_on_it_and_only_if_it_was_inside() {
    let (_, main, _) = band("B+ main");
    let first = judged(&volts("B+ main", main), &[]);
    assert!(!first.narrows.is_empty());
    for narrowed in &first.narrows {
        let width = |ends: (f64, f64)| ends.1 - ends.0;
        assert!(
            width(narrowed.after) < width(narrowed.before),
            "{narrowed:?}"
        );
    }
    let width = |judged: Judgement| {
        let band = judged.band.expect("a band");
        band.high - band.low
    };
    let alone = width(judged(&volts("B+ 275", 260.0), &[]));
    let with = width(judged(&volts("B+ 275", 260.0), &[volts("B+ main", main)]));
    let with_wrong = width(judged(&volts("B+ 275", 260.0), &[volts("B+ main", 150.0)]));
    assert!(with < 0.8 * alone, "{with} {alone}");
    assert!((with_wrong - alone).abs() < 1e-9, "{with_wrong} {alone}");
}

#[test]
fn what_comes_next_is_a_place_that_a_common_meter_may_touch() {
    let low = judged(&volts("V9.6", 60.0), &[]);
    let next = low.next.expect("a next reading");
    // R46 joins the screen to its line.
    assert_eq!(next.at, "B+ 275");
    assert!(next.because.contains("R46"), "{}", next.because);
    let (_, expected, _) = band("V9.6");
    let inside = judged(&volts("V9.6", expected), &[]);
    let next = inside.next.expect("a next reading");
    assert!(next.because.contains("supply line"), "{}", next.because);
}

#[test]
fn where_nothing_is_predicted_the_reason_is_told() {
    for at in ["V17.cap", "boost"] {
        let judged = judged(&volts(at, 5.0), &[]);
        assert!(
            matches!(&judged.verdict, ReadingVerdict::SaysNothing { because } if because.contains("pulses")),
            "{at}: {judged:?}"
        );
    }
}

#[test]
fn ohms_are_held_against_the_cold_set() {
    let ohms = |value: f64| {
        let taken = TakenReading {
            at: "B+ 275".to_string(),
            to: None,
            what: What::Ohms,
            value,
        };
        judged(&taken, &[])
    };
    let expected = ohms(1.0).band.expect("a band").expected;
    assert_eq!(ohms(expected).verdict, ReadingVerdict::Inside);
    assert_eq!(ohms(0.1 * expected).meant_as, Some(MeantAs::Times(10.0)));
    assert_eq!(ohms(f64::INFINITY).verdict, ReadingVerdict::High);
}
