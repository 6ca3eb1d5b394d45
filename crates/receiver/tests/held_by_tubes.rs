//! Places that tubes alone hold, and what a meter does to them.
//!
//! Volts, milliamperes. Sources: Kirchhoff and Ohm; a meter is a resistance, so the same
//! resistance put into the sheet must give the same reading (second method).

mod whole_sets;

use receiver::conditions::{BenchConditions, Meter};
use receiver::reading::What;
use whole_sets::{LARKFIELD, MERROW, band, nominal, told};

fn conditions(meter: Option<Meter>, bands: bool) -> BenchConditions {
    BenchConditions {
        meter,
        bands,
        ..nominal()
    }
}

/// Two triodes on top of one another: the place between them hangs on both tubes only.
#[test]
fn a_cascode_holds_its_own_middle() {
    let told = told(MERROW, &conditions(None, false));
    let of = |at: &str| band(&told, at, What::DcVolts).expected;
    // The upper grid sits on a divider of two 470k between tuner B+ and the chassis.
    assert!((of("V1.2") / (0.5 * of("B+ tuner")) - 1.0).abs() < 0.01);
    // The upper cathode stands a little above its grid, as the lower one does.
    let upper_bias = of("V1.3") - of("V1.2");
    assert!((0.3..8.0).contains(&upper_bias), "{upper_bias}");
    assert!((of("V1.3") - of("V1.6")).abs() < 0.1);
    // One current goes through both (220 ohms in the lower cathode, R103).
    let plate = band(&told, "V1.1", What::PlateMilliamps).expected;
    assert!((of("V1.8") / 0.220 / plate - 1.0).abs() < 0.01, "{plate}");
}

/// A grid that only its own electrons hold gives way to the meter as the law says, not as a
/// divider would.
#[test]
fn a_meter_at_a_grid_reads_what_its_resistance_leaves() {
    let meter = Meter::OhmsPerVolt {
        ohms_per_volt: 20e3,
        range_volts: Some(2.5),
    };
    let on_meter = told(LARKFIELD, &conditions(Some(meter), true));
    let open = told(LARKFIELD, &conditions(None, false));
    let resistor = "  [\"R999\", \"resistor\", \"50k\", \"V13.1\", \"chassis\"],\n";
    let with_resistor = LARKFIELD.replacen("parts = [\n", &format!("parts = [\n{resistor}"), 1);
    let put_in = told(&with_resistor, &conditions(None, false));
    let read = band(&on_meter, "V13.1", What::DcVolts);
    let hung = band(&put_in, "V13.1", What::DcVolts).expected;
    let free = band(&open, "V13.1", What::DcVolts).expected;
    assert!(
        (read.expected / hung - 1.0).abs() < 0.01,
        "{} {hung}",
        read.expected
    );
    // A 10-megohm leak rests 0.5 to 1 V below the cathode (common practice).
    assert!((-1.0..-0.45).contains(&free), "{free}");
    // The contact potential differs by 0.2 V from tube to tube; the meter hides part of it.
    let width = (read.high - read.low) / 2.0;
    assert!((0.05..0.2).contains(&width), "{width}");
}

/// A quadrature coil at the third grid of a detector swings by itself: without the maker's
/// figures the stage is not told.
#[test]
fn a_locked_oscillator_is_not_told_at_rest() {
    let without: String = MERROW
        .lines()
        .map(|line| {
            line.split_inclusive("],")
                .filter(|row| {
                    !row.trim_start()
                        .trim_start_matches("volts = [")
                        .trim()
                        .starts_with("[\"V8.")
                })
                .collect::<String>()
                + "\n"
        })
        .collect();
    let told = told(&without, &conditions(None, false));
    let unknown = told
        .unknown
        .iter()
        .find(|unknown| unknown.at == "V8.5" && unknown.what == What::DcVolts);
    assert!(unknown.is_some());
}
