//! Crystals, neon lamps and voltage-dependent resistors in the circuit of a set.
//!
//! Source: Ohm's and Kirchhoff's laws and the laws of the parts, beside each case.

use receiver::conditions::BenchConditions;
use receiver::expect::{Expectation, expect};
use receiver::reading::What;
use receiver::sheet::{Sheet, read_sheet};

fn read(rows: &str) -> Sheet {
    let text = format!(
        "sheet = 1\nline_volts = 117\nline_hertz = 60\nwindings = [\n[\"T1\", \"primary\", \"117 V 4 ohm\", \"line a\", \"line b\"],\n[\"T1\", \"plates\", \"120 V 10 ohm\", \"hot\", \"chassis\"]]\nparts = [\n[\"SR1\", \"silicon\", \"1 A 1000 V\", \"hot\", \"B+\"],\n[\"C1\", \"electrolytic\", \"40 mfd 450 V\", \"B+\", \"chassis\"],\n[\"R1\", \"resistor\", \"10k\", \"B+\", \"out\"],\n[\"R2\", \"resistor\", \"10k\", \"out\", \"chassis\"],\n{rows}\n]\n"
    );
    let reading = read_sheet(&text, parts::catalogue().expect("the tables are sound"));
    assert_eq!(reading.faults, []);
    reading.sheet.expect("no fault, so a sheet")
}

fn expected(rows: &str) -> Expectation {
    let conditions = BenchConditions {
        bands: false,
        ..BenchConditions::default()
    };
    let catalogue = parts::catalogue().expect("the tables are sound");
    expect(&read(rows), catalogue, &conditions).expect("a settled supply")
}

fn volts(expectation: &Expectation, at: &str) -> f64 {
    let found = expectation
        .readings
        .iter()
        .find(|reading| reading.at == at && reading.what == What::DcVolts);
    found.expect("a reading").band.expected
}

/// 20,000 ohms halve the supply without the part; with it the divider's two currents and
/// the part's own add up (Ohm's and Kirchhoff's laws), at volts that its kind holds.
#[test]
fn small_parts_hold_the_place_that_they_sit_at() {
    let through = |found: &Expectation| {
        let (supply, out) = (volts(found, "B+"), volts(found, "out"));
        (supply - out) / 10e3 - out / 10e3
    };
    // A germanium diode at some 16 mA: 0.3 V of barrier and some tens of ohms behind it.
    let crystal = expected(r#"["Y1", "crystal", "1N34", "out", "chassis"]"#);
    let out = volts(&crystal, "out");
    assert!((0.3..3.0).contains(&out), "{out}");
    assert!(through(&crystal) > 0.01);
    // The other way round it does not conduct but for its leak.
    let reversed = expected(r#"["Y1", "crystal", "1N34", "chassis", "out"]"#);
    assert!((0.0..2e-3).contains(&through(&reversed)));
    // A neon lamp of 0.5 mA glows at 55 to 65 V (makers' tables, from memory) and a little
    // more at more current.
    let neon = expected(r#"["N1", "neon", "NE-2", "out", "chassis"]"#);
    let out = volts(&neon, "out");
    assert!((50.0..80.0).contains(&out), "{out}");
    // Its own law: 100 V at 1 mA and the fifth root of the current.
    let vdr = expected(r#"["Z1", "vdr", "1 mA at 100 V beta 0.2", "out", "chassis"]"#);
    let out = volts(&vdr, "out");
    let by_law = 1e-3 * (out / 100.0f64).powi(5);
    assert!(
        (through(&vdr) / by_law - 1.0).abs() < 0.01,
        "{} {by_law}",
        through(&vdr)
    );
}
