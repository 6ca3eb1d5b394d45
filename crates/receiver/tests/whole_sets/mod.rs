//! The two invented whole sets read and told, for tests of the whole set.
//!
//! Units as each reading says. The sheets stand in examples/whole. Fails by a panic where a
//! sheet has faults, a set does not settle or a reading is not told, as a test may.
#![allow(dead_code, missing_docs)]

use quantity::Band;
use receiver::conditions::BenchConditions;
use receiver::expect::{Expectation, expect};
use receiver::reading::What;
use receiver::sheet::{Sheet, read_sheet};

pub const LARKFIELD: &str = include_str!("../../../../examples/whole/larkfield_12t.toml");
pub const MERROW: &str = include_str!("../../../../examples/whole/merrow_17s.toml");

pub fn sheet(text: &str) -> Sheet {
    let reading = read_sheet(text, parts::catalogue().expect("the tables are sound"));
    assert_eq!(reading.faults, []);
    reading.sheet.expect("no fault, so a sheet")
}

/// The line of both charts; no meter, no bands.
pub fn nominal() -> BenchConditions {
    BenchConditions {
        line_volts: Some(117.0),
        ..BenchConditions::default()
    }
}

pub fn told(text: &str, conditions: &BenchConditions) -> Expectation {
    let catalogue = parts::catalogue().expect("the tables are sound");
    expect(&sheet(text), catalogue, conditions).expect("a settled set")
}

#[track_caller]
pub fn band(told: &Expectation, at: &str, what: What) -> Band {
    let found = told
        .readings
        .iter()
        .find(|reading| reading.at == at && reading.what == what);
    found.expect("a reading").band.clone()
}

/// The sheet without its chart.
pub fn without_chart(text: &str) -> String {
    let start = text.find("[chart]").expect("a chart");
    let end = text.find("[bench]").expect("a bench");
    format!("{}{}", &text[..start], &text[end..])
}
