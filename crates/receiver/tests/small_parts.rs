//! Crystals, neon lamps and voltage-dependent resistors in the circuit of a set.
//!
//! Where a law is not followed the answer must say so. Source: the honesty of the form
//! of the sheet; values by Ohm's law beside each case.

use receiver::conditions::BenchConditions;
use receiver::expect::{Expectation, expect};
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

#[test]
fn what_is_not_followed_is_named_with_its_reason() {
    for (row, reason) in [
        (
            r#"["Y1", "crystal", "1N34", "out", "chassis"]"#,
            "left out: Y1, because what it conducts",
        ),
        (
            r#"["N1", "neon", "NE-2", "out", "chassis"]"#,
            "left out: N1, because whether it burns",
        ),
        (
            r#"["Z1", "vdr", "1 mA at 100 V beta 0.2", "out", "chassis"]"#,
            "left out: Z1, because its current",
        ),
    ] {
        let found = expected(row);
        assert!(
            found
                .notices
                .iter()
                .any(|notice| notice.text.starts_with(reason)),
            "{row}: {:?}",
            found.notices
        );
    }
}
