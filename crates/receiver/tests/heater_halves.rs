//! Tapped heaters: 12.6 V at one current, or 6.3 V at twice, as the set feeds them.
//!
//! Source: a 12AU7 is rated 12.6 V 0.15 A or 6.3 V 0.3 A, a 12BH7-A 12.6 V 0.3 A or 6.3 V
//! 0.6 A (makers' sheets, as the catalogue tells).

use receiver::conditions::BenchConditions;
use receiver::expect::expect;
use receiver::reading::What;
use receiver::sheet::read_sheet;

fn rated(windings: &str, heaters: &str, parts: &str, reference: &str) -> (f64, f64) {
    let text = format!(
        "sheet = 1\nline_volts = 117\nline_hertz = 60\ntubes = [[\"V1\", \"6AU6\", \"\"], \
         [\"V2\", \"6AU6\", \"\"], [\"V3\", \"12AU7\", \"\"], [\"V4\", \"12BH7-A\", \"\"]]\n\
         windings = [[\"T1\", \"primary\", \"117 V 4 ohm\", \"line a\", \"line b\"],{windings}]\n\
         parts = [{parts}]\nheaters = [{heaters}]\n"
    );
    let reading = read_sheet(&text, parts::catalogue().expect("the tables are sound"));
    assert_eq!(reading.faults, []);
    let sheet = reading.sheet.expect("no fault, so a sheet");
    let tube = sheet.tube(reference).expect("on the sheet");
    let rating = tube.kind.heater.as_ref().expect("rated");
    (rating.volts, rating.amperes)
}

#[test]
fn what_feeds_the_row_tells_how_the_halves_stand() {
    let all = r#"{ from = "h", to = "chassis", parallel = ["V1", "V2", "V3", "V4"] }"#;
    let low = r#"["T1", "heaters", "6.6 V 0.02 ohm", "h", "chassis"]"#;
    let high = r#"["T1", "heaters", "12.6 V 0.02 ohm", "h", "chassis"]"#;
    assert_eq!(rated(low, all, "", "V3"), (6.3, 0.3));
    assert_eq!(rated(low, all, "", "V4"), (6.3, 0.6));
    assert_eq!(rated(low, all, "", "V1"), (6.3, 0.3));
    // No winding tells: the other tubes of the row do.
    assert_eq!(rated("", all, "", "V3"), (6.3, 0.3));
    let alone = r#"{ from = "h", to = "chassis", parallel = ["V3", "V4"] }"#;
    assert_eq!(rated(high, alone, "", "V3"), (12.6, 0.15));
    assert_eq!(rated(low, alone, "", "V3"), (6.3, 0.3));
    // Nothing decides: from end to end.
    assert_eq!(rated("", alone, "", "V3"), (12.6, 0.15));
}

#[test]
fn a_string_takes_its_own_current() {
    let three = r#"{ from = "line a", to = "line b", series = ["V1", "V2", "V3", "V4"] }"#;
    assert_eq!(rated("", three, "", "V3"), (6.3, 0.3));
    assert_eq!(rated("", three, "", "V4"), (12.6, 0.3));
}

#[test]
fn a_winding_straight_to_the_pins_tells_it_too() {
    let straight = r#"["T1", "heaters", "6.6 V 0.02 ohm", "V3.4", "V3.9"]"#;
    let wire = r#"["W1", "wire", "", "V3.4", "V3.5"]"#;
    let others = r#"{ from = "h", to = "chassis", parallel = ["V1", "V2", "V4"] }"#;
    assert_eq!(rated(straight, others, wire, "V3"), (6.3, 0.3));
}

/// On its own winding the tube is as hot as its 6.3-volt neighbour.
#[test]
fn it_is_lit_as_its_neighbours_are() {
    let text = r#"
sheet = 1
line_volts = 117
line_hertz = 60
tubes = [["V1", "6AU6", ""], ["V3", "12AU7", ""]]
windings = [
  ["T1", "primary", "117 V 4 ohm", "line a", "line b"],
  ["T1", "heaters", "6.5 V 0.1 ohm", "h", "chassis"],
]
heaters = [{ from = "h", to = "chassis", parallel = ["V1", "V3"] }]
"#;
    let catalogue = parts::catalogue().expect("the tables are sound");
    let sheet = read_sheet(text, catalogue).sheet.expect("a sheet");
    let watts = |pulled: &[String]| {
        let conditions = BenchConditions {
            line_volts: Some(117.0),
            pulled: pulled.to_vec(),
            ..BenchConditions::default()
        };
        let told = expect(&sheet, catalogue, &conditions).expect("a settled set");
        let found = told
            .readings
            .iter()
            .find(|reading| reading.what == What::LineWatts);
        found.expect("watts are told").band.expected
    };
    // 6.3 V at 0.3 A is 1.9 W; half cold, from end to end, it would take 0.6 W.
    let own = watts(&[]) - watts(&["V3".to_string()]);
    assert!((1.7..2.2).contains(&own), "{own}");
}
