//! Whole sets: every stage at its operating point on its own supply.
//!
//! Volts, milliamperes. Sources beside each check: closed forms, conservation of charge, a
//! second method, and charts that were made by another law (`examples/README.md`).

mod whole_sets;

use receiver::conditions::{BenchConditions, KnownReading, Meter};
use receiver::expect::Predictor;
use receiver::reading::What;
use receiver::wiring::SetModel;
use whole_sets::{LARKFIELD, MERROW, band, nominal, sheet, told, without_chart};

/// Currents into a tube leave by its cathode resistor (Kirchhoff; Ohm at 180 ohms, R131).
#[test]
fn what_goes_into_a_tube_comes_out_of_its_cathode() {
    let told = told(LARKFIELD, &nominal());
    let of = |what| band(&told, "V5", what).expected;
    let cathode = of(What::CathodeMilliamps);
    let sum = of(What::PlateMilliamps) + of(What::ScreenMilliamps);
    assert!((cathode / sum - 1.0).abs() < 0.01, "{cathode} {sum}");
    let by_ohm = band(&told, "V5.2", What::DcVolts).expected / 0.180;
    assert!((cathode / by_ohm - 1.0).abs() < 0.01, "{cathode} {by_ohm}");
}

/// The charts were made by another law on a drawn set: most of what is told lies in its band.
#[test]
fn most_of_the_makers_chart_lies_in_the_bands() {
    for (text, least) in [(LARKFIELD, 0.72), (MERROW, 0.8)] {
        let set = sheet(text);
        let conditions = BenchConditions {
            bands: true,
            meter: Some(Meter::OhmsPerVolt {
                ohms_per_volt: 20e3,
                range_volts: None,
            }),
            ..nominal()
        };
        let told = told(text, &conditions);
        let (mut inside, mut all) = (0, 0);
        for row in &set.chart.as_ref().expect("a chart").volts {
            let at = row.at.to_string();
            let found = told
                .readings
                .iter()
                .find(|reading| reading.at == at && reading.what == What::DcVolts);
            if let Some(found) = found {
                // Two figures are printed.
                let digit = (0.02 * row.value.abs()).max(0.05);
                all += 1;
                inside += i32::from(
                    (found.band.low - digit..found.band.high + digit).contains(&row.value),
                );
            }
        }
        let share = f64::from(inside) / f64::from(all);
        assert!(all > 60 && share > least, "{inside} of {all}");
    }
}

/// A stage that a signal drives is told from the chart and named; without a chart it is unknown.
#[test]
fn a_driven_stage_is_never_told_at_rest() {
    let with_chart = told(LARKFIELD, &nominal());
    let grid = band(&with_chart, "V17.5", What::DcVolts).expected;
    assert!((grid + 17.0).abs() < 2.0, "{grid}");
    assert!(
        with_chart
            .notices
            .iter()
            .any(|notice| notice.text.contains("maker's chart") && notice.text.contains("V17"))
    );
    let blind = told(&without_chart(LARKFIELD), &nominal());
    for pin in ["V17.5", "V16.1", "V21.5"] {
        assert!(
            blind
                .unknown
                .iter()
                .any(|unknown| unknown.at == pin && unknown.what == What::DcVolts),
            "{pin}"
        );
    }
}

/// A pulled tube draws nothing: its plate stands at its supply but for what leaks and loads.
#[test]
fn a_pulled_tube_lets_its_plate_rise() {
    let conditions = BenchConditions {
        pulled: vec!["V9".to_string()],
        ..nominal()
    };
    let told = told(LARKFIELD, &conditions);
    let plate = band(&told, "V9.5", What::DcVolts).expected;
    let supply = band(&told, "B+ 275", What::DcVolts).expected;
    assert!((plate / supply - 1.0).abs() < 0.01, "{plate} {supply}");
}

/// A known reading narrows what goes with it, and draws it along.
#[test]
fn a_known_reading_narrows_the_others() {
    let free = BenchConditions {
        bands: true,
        ..BenchConditions::default()
    };
    let tied = BenchConditions {
        known: vec![KnownReading {
            place: "B+ main".to_string(),
            volts: 318.0,
        }],
        ..free.clone()
    };
    let (free, tied) = (told(LARKFIELD, &free), told(LARKFIELD, &tied));
    for at in ["B+ main", "B+ 275", "V8.8"] {
        let (before, after) = (
            band(&free, at, What::DcVolts),
            band(&tied, at, What::DcVolts),
        );
        assert!(
            after.high - after.low < before.high - before.low,
            "{at}: {before:?} {after:?}"
        );
    }
    let main = band(&tied, "B+ main", What::DcVolts);
    assert!((main.expected - 318.0).abs() < 6.0, "{main:?}");
    let (before, after) = (
        band(&free, "B+ 275", What::DcVolts).expected,
        band(&tied, "B+ 275", What::DcVolts).expected,
    );
    assert!(after > before, "{before} {after}");
}

/// From next to nothing to above its mark: cold cathodes, a rectifier that gives all it has,
/// stages that let go of their drive; supply and stages agree at every line.
#[test]
fn every_line_has_its_answer() {
    for text in [LARKFIELD, MERROW] {
        let set = sheet(text);
        let model = SetModel::new(&set, parts::catalogue().expect("the tables are sound"));
        let predictor = Predictor::new(&model);
        let mut before = 0.0;
        for line in (1..=13).map(|step| 10.0 * f64::from(step)) {
            let conditions = BenchConditions {
                line_volts: Some(line),
                ..nominal()
            };
            let told = predictor.expect(&conditions);
            let told = told.unwrap_or_else(|error| panic!("{line} V: {error}"));
            // The highest supply line rises with the line until the tubes begin to draw.
            let highest = told
                .readings
                .iter()
                .filter(|reading| reading.what == What::DcVolts)
                .map(|reading| reading.band.expected)
                .fold(0.0, f64::max);
            assert!(highest > 0.6 * before, "{line} V: {before} {highest}");
            before = highest;
        }
    }
}
