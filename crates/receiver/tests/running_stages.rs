//! Stages that drive themselves, calculated as they run in a whole set.
//!
//! Volts, milliamperes, cycles. The expected values are conservation laws (Ohm, Kirchhoff on
//! means), what the same sheet says with other words, and what must be told where a
//! calculation is not possible.

mod whole_sets;

use receiver::conditions::{BenchConditions, Meter};
use receiver::expect::Expectation;
use receiver::reading::What;
use whole_sets::{LARKFIELD, MERROW, band, nominal, sheet, told, without_chart};

/// The sets, their vertical tubes, and the pins of grids, plate and cathode.
const SETS: [(&str, &[&str], [&str; 4]); 2] = [
    (
        LARKFIELD,
        &["V10", "V21"],
        ["V10.4", "V10.5", "V21.5", "V21.8"],
    ),
    (MERROW, &["V12"], ["V12.7", "V12.6", "V12.2", "V12.3"]),
];

#[track_caller]
fn volts(told: &Expectation, at: &str) -> f64 {
    band(told, at, What::DcVolts).expected
}

/// The rate that the notice tells.
fn cycles(told: &Expectation) -> Option<f64> {
    told.notices.iter().find_map(|notice| {
        let rest = notice.text.split_once("own oscillation of ")?.1;
        rest.split_once(" cycles")?.0.parse().ok()
    })
}

/// The sheet with one row's text changed.
fn changed(text: &str, row: &str, from: &str, to: &str) -> String {
    let start = format!("[\"{row}\",");
    let line = text
        .lines()
        .find(|line| line.trim_start().starts_with(&start))
        .expect("the row is there");
    let new = line.replace(from, to);
    assert_ne!(line, new, "{row} says nothing of {from}");
    text.replace(line, &new)
}

/// The chart without its rows of this tube's pins.
fn without_chart_of(text: &str, tube: &str) -> String {
    let (before, chart) = text.split_once("[chart]").expect("a chart");
    let (chart, after) = chart.split_once("[bench]").expect("a bench");
    let mut kept = String::new();
    let mut rest = chart;
    let start = format!("[\"{tube}.");
    while let Some(at) = rest.find(&start) {
        let end = at + rest[at..].find(']').expect("the row ends") + 1;
        kept.push_str(&rest[..at]);
        rest = rest[end..].trim_start_matches(',');
    }
    kept.push_str(rest);
    format!("{before}[chart]{kept}[bench]{after}")
}

#[test]
fn the_vertical_stages_are_told_without_their_chart() {
    for (text, tubes, pins) in SETS {
        let with = told(text, &nominal());
        let mut bare = text.to_string();
        for tube in tubes {
            bare = without_chart_of(&bare, tube);
        }
        let without = told(&bare, &nominal());
        for pin in pins {
            let (one, other) = (volts(&with, pin), volts(&without, pin));
            assert!(
                (one - other).abs() < 0.01 * one.abs() + 0.05,
                "{pin}: {one} {other}"
            );
        }
        // Sweep oscillators are made to run near the field rate.
        let rate = cycles(&without).expect("a rate is told");
        assert!((40.0..80.0).contains(&rate), "{rate}");
        let notice = without
            .notices
            .iter()
            .find(|notice| notice.text.contains("own oscillation"));
        let notice = notice.expect("they are marked as running");
        assert!(
            tubes.iter().all(|tube| notice.text.contains(tube)),
            "{notice:?}"
        );
    }
}

/// The charts of these stages come from another law and another method (small implicit steps
/// on a drawn set: `chart_maker/march.rs`). Without them the bands of the calculation hold
/// what they say, as the maker's meter reads it.
#[test]
fn another_law_marched_in_small_steps_lies_in_the_bands() {
    for (text, tubes, pins) in SETS {
        let mut bare = text.to_string();
        for tube in tubes {
            bare = without_chart_of(&bare, tube);
        }
        let conditions = BenchConditions {
            bands: true,
            meter: Some(Meter::OhmsPerVolt {
                ohms_per_volt: 20e3,
                range_volts: None,
            }),
            ..nominal()
        };
        let found = told(&bare, &conditions);
        let chart = sheet(text).chart.expect("a chart");
        let mut held = 0;
        for row in &chart.volts {
            let at = row.at.to_string();
            let band = found
                .readings
                .iter()
                .find(|reading| reading.at == at && reading.what == What::DcVolts)
                .map(|reading| &reading.band);
            let (true, Some(band)) = (pins.contains(&at.as_str()), band) else {
                continue;
            };
            // Two figures are printed.
            let digit = 0.02 * row.value.abs() + 0.05;
            assert!(
                (band.low - digit..band.high + digit).contains(&row.value),
                "{at}: {} not from {} to {}",
                row.value,
                band.low,
                band.high
            );
            // A band that holds everything says nothing.
            assert!(
                band.high - band.low < 0.8 * band.expected.abs() + 6.0,
                "{at}: {band:?}"
            );
            held += 1;
        }
        assert_eq!(held, pins.len());
    }
}

/// Means obey Ohm and Kirchhoff: the output tube's mean current flows through its cathode
/// resistors (820 ohms with 0.4 of 2,000 of R82), the discharge tube's through R64 and R69.
#[test]
fn means_obey_ohm_and_kirchhoff() {
    let told = told(LARKFIELD, &nominal());
    let of = |at: &str, what: What| band(&told, at, what).expected;
    let cathode = volts(&told, "V21.8") / (820.0 + 0.4 * 2000.0);
    let by_tube = 1e-3 * of("V21", What::CathodeMilliamps);
    assert!(
        (cathode / by_tube - 1.0).abs() < 0.01,
        "{cathode} {by_tube}"
    );
    let through_r69 = (volts(&told, "height") - volts(&told, "V10.5")) / 1.5e6;
    let by_part = 1e-3 * of("R69", What::PartMilliamps);
    assert!(
        (through_r69 / by_part - 1.0).abs() < 0.01,
        "{through_r69} {by_part}"
    );
}

/// A knob is honoured: more resistance at the grid of the oscillator means a slower one, more
/// resistance to the plate a lower one (R63 vertical hold, R64 height).
#[test]
fn controls_stand_as_the_sheet_says() {
    let rate = |text: &str| cycles(&told(text, &nominal())).expect("a rate");
    let middle = rate(LARKFIELD);
    // R63 runs to the chassis from its first end: its wiper stands there too.
    let slow = rate(&changed(LARKFIELD, "R63", "at 0.5", "at 0.9"));
    let fast = rate(&changed(LARKFIELD, "R63", "at 0.5", "at 0.1"));
    assert!(slow < middle && middle < fast, "{slow} {middle} {fast}");
    let plate = |text: &str| volts(&told(text, &nominal()), "V10.5");
    let low = plate(&changed(LARKFIELD, "R64", "at 0.5", "at 0.9"));
    let high = plate(&changed(LARKFIELD, "R64", "at 0.5", "at 0.1"));
    assert!(low + 5.0 < high, "{low} {high}");
}

/// Without the henries of the output transformer nothing can be calculated: the chart stands
/// in, and the reason is told.
#[test]
fn what_the_sheet_lacks_is_told() {
    let text = changed(LARKFIELD, "T4", "25 H 450 ohm", "450 ohm");
    let chart = told(&text, &nominal());
    assert!(
        chart
            .notices
            .iter()
            .any(|notice| notice.text.contains("the sheet gives no henries for T4")),
        "{:#?}",
        chart.notices
    );
    let grid = volts(&chart, "V10.4");
    assert!((grid + 21.0).abs() < 1.5, "{grid}");
    let bare = without_chart_of(&without_chart_of(&text, "V10"), "V21");
    let unknown = told(&bare, &nominal()).unknown;
    let found = unknown
        .iter()
        .find(|unknown| unknown.at == "V10.4" && unknown.what == What::DcVolts);
    let found = found.expect("neither calculation nor chart");
    assert!(
        found.because.contains("henries for T4"),
        "{}",
        found.because
    );
}

/// With its feedback capacitor cut loose the multivibrator stands still: told at rest, and
/// said so; the output tube then draws what its cathode resistors allow.
#[test]
fn an_oscillator_without_feedback_is_told_at_rest() {
    let conditions = BenchConditions {
        fitted_without: vec!["C49".to_string()],
        ..nominal()
    };
    let told = told(LARKFIELD, &conditions);
    assert_eq!(cycles(&told), None);
    assert!(
        told.notices
            .iter()
            .any(|notice| notice.text.contains("told at rest") && notice.text.contains("V10")),
        "{:#?}",
        told.notices
    );
    // No oscillation, no bias of its own: the grid stands within contact potential of its leak.
    let grid = volts(&told, "V10.4");
    assert!(grid.abs() < 1.0, "{grid}");
}

/// What windings have that no sheet holds decides how a small blocking oscillator runs; where
/// the tuned circuit is at radio frequency, strays do.
#[test]
fn what_no_sheet_holds_is_not_calculated() {
    let told = told(LARKFIELD, &nominal());
    let notice = told
        .notices
        .iter()
        .find(|notice| notice.text.contains("cannot be calculated as they run"));
    let text = &notice.expect("it is told").text;
    assert!(text.contains("V2 (it runs at radio frequency"), "{text}");
    assert!(text.contains("losses of T7A, T7B"), "{text}");
}

/// With the boosted line unknown, what runs on it is unknown as well.
#[test]
fn a_feed_that_is_unknown_leaves_the_stage_unknown() {
    let blind = told(&without_chart(LARKFIELD), &nominal());
    let found = blind
        .unknown
        .iter()
        .find(|unknown| unknown.at == "V10.5" && unknown.what == What::DcVolts);
    let because = &found.expect("unknown").because;
    assert!(because.contains("boost hangs on V18"), "{because}");
}
