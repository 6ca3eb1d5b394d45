//! Cold resistances with the plug out: closed forms on small sheets, the makers' charts of
//! the invented sets, and places that nothing joins.
//!
//! Expected values are worked out by hand beside each case (Ohm's law), or come from the
//! charts of the examples, which were worked out by hand outside this program.

use std::path::Path;

use receiver::expect::Expectation;
use receiver::ohms::cold_ohms;
use receiver::reading::{Lead, What};
use receiver::sheet::{Sheet, read_sheet};

fn read(text: &str) -> Sheet {
    let reading = read_sheet(text, parts::catalogue().expect("the tables are sound"));
    assert_eq!(reading.faults, []);
    reading.sheet.expect("no fault, so a sheet")
}

fn example(name: &str) -> Sheet {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../examples")
        .join(name);
    read(&std::fs::read_to_string(path).expect("the example is there"))
}

fn ohms(sheet: &Sheet, to: Option<&str>, pulled: &[&str]) -> Expectation {
    let pulled: Vec<String> = pulled.iter().map(|tube| (*tube).to_string()).collect();
    let catalogue = parts::catalogue().expect("the tables are sound");
    cold_ohms(sheet, catalogue, to, &pulled).expect("a resistive network")
}

fn band<'e>(expectation: &'e Expectation, at: &str) -> Option<&'e quantity::Band> {
    expectation
        .readings
        .iter()
        .find(|reading| reading.at == at)
        .map(|reading| &reading.band)
}

fn reason<'e>(expectation: &'e Expectation, at: &str) -> Option<&'e str> {
    expectation
        .unknown
        .iter()
        .find(|unknown| unknown.at == at)
        .map(|unknown| unknown.because.as_str())
}

/// A sheet with these rows of parts and nothing else.
fn parts_only(rows: &str) -> Sheet {
    read(&format!(
        "sheet = 1\nname = \"rows\"\nline_volts = 117\nline_hertz = 60\nparts = [\n{rows}\n]\n"
    ))
}

/// Each case: rows of parts, the other lead, the place, the ohms by Ohm's law ("open"
/// where nothing joins them).
#[test]
fn networks_read_as_their_closed_forms() {
    let cases: &[(&str, Option<&str>, &str, &str)] = &[
        (
            r#"["R1","resistor","10k","top","chassis"],["R2","resistor","15k","top","chassis"]"#,
            None,
            "top",
            "6000", // 10k beside 15k
        ),
        (
            r#"["R1","resistor","10k","top","middle"],["R2","resistor","15k","middle","chassis"]"#,
            None,
            "top",
            "25000",
        ),
        (
            r#"["R1","resistor","10k","top","middle"],["R2","resistor","15k","middle","chassis"]"#,
            Some("middle"),
            "top",
            "10000",
        ),
        // Five sides of a bridge, all 1k: by symmetry nothing flows in the fifth, 1k in all.
        (
            r#"["R1","resistor","1k","top","left"],["R2","resistor","1k","top","right"],
               ["R3","resistor","1k","left","chassis"],["R4","resistor","1k","right","chassis"],
               ["R5","resistor","1k","left","right"]"#,
            None,
            "top",
            "1000",
        ),
        // Three tenths of 100k from the top, the wiper against chassis.
        (
            r#"["R1","control","100k at 0.3","top","chassis","wiper"]"#,
            None,
            "wiper",
            "70000",
        ),
        (
            r#"["L1","choke","3.5 H 85 ohm","top","out"],["R1","resistor","1k","out","chassis"]"#,
            None,
            "top",
            "1085",
        ),
        (
            r#"["J1","plug","","top","out"],["R1","resistor","1k","out","chassis"],["X1","load","100 mA at 100 V","out","chassis"]"#,
            None,
            "top",
            "1000", // the load stands for cold tubes
        ),
        (
            r#"["R1","resistor","1k","out","chassis"],["X1","load","100 mA at 100 V steady","out","chassis"]"#,
            None,
            "out",
            "500", // 1k beside 1k
        ),
        (
            r#"["C1","film","0.1 mfd 600 V","top","chassis"]"#,
            None,
            "top",
            "open",
        ),
        (
            r#"["R1","resistor","1k","top","chassis"],["R2","resistor","1k","one","other"]"#,
            None,
            "one",
            "open",
        ),
        (
            r#"["R1","resistor","1k","top","chassis"],["R2","resistor","2.2k","one","other"]"#,
            Some("other"),
            "one",
            "2200", // between two places that nothing joins to the chassis
        ),
    ];
    for (rows, to, at, wanted) in cases {
        let found = ohms(&parts_only(rows), *to, &[]);
        match wanted.parse::<f64>() {
            Ok(wanted) => {
                let band = band(&found, at).unwrap_or_else(|| panic!("{at} of {rows}"));
                assert!(
                    (band.expected / wanted - 1.0).abs() < 1e-5,
                    "{at} of {rows}: {} for {wanted}",
                    band.expected
                );
                assert!(band.low < wanted && wanted < band.high, "{rows}: {band:?}");
            }
            Err(_) => {
                assert_eq!(band(&found, at), None, "{rows}");
                assert!(reason(&found, at).is_some_and(|text| text.contains("joins it")));
            }
        }
    }
}

/// The ohms that the makers' charts of the examples give, worked out by hand.
#[test]
fn the_charts_of_the_examples_agree_within_the_bands() {
    for name in ["larkfield_12t.toml", "merrow_17s.toml"] {
        let sheet = example(name);
        let found = ohms(&sheet, None, &[]);
        let chart = sheet.chart.as_ref().expect("the examples have a chart");
        assert!(!chart.ohms.is_empty());
        for row in &chart.ohms {
            let band =
                band(&found, &row.at.to_string()).unwrap_or_else(|| panic!("{name} {}", row.at));
            assert!(
                band.contains(row.value),
                "{name} {}: {} for {:.0} to {:.0} to {:.0}",
                row.at,
                row.value,
                band.low,
                band.expected,
                band.high
            );
        }
    }
}

#[test]
fn every_place_is_told_or_has_a_reason_and_nothing_is_infinite() {
    for name in [
        "larkfield_12t.toml",
        "merrow_17s.toml",
        "small/choke_input_speaker_field.toml",
        "small/half_wave_heater_transformer.toml",
        "small/two_rectifiers.toml",
        "small/bridge_selenium.toml",
    ] {
        let sheet = example(name);
        let found = ohms(&sheet, None, &[]);
        let places = sheet.places();
        // A place may be read with either lead.
        let names: std::collections::BTreeSet<&str> = found
            .readings
            .iter()
            .map(|reading| reading.at.as_str())
            .collect();
        let told = names.len() + found.unknown.len();
        let chassis = places
            .iter()
            .filter(|place| places.joined(place, &receiver::sheet::Place::Chassis))
            .count();
        assert_eq!(told + chassis, places.len(), "{name}");
        for reading in &found.readings {
            assert_eq!(reading.what, What::Ohms);
            let band = &reading.band;
            assert!(
                band.low >= 0.0 && band.high.is_finite(),
                "{name} {reading:?}"
            );
            assert!(band.low <= band.expected && band.expected <= band.high);
        }
        assert!(
            found
                .unknown
                .iter()
                .all(|unknown| !unknown.because.is_empty())
        );
    }
}

/// A silicon rectifier turned on by the meter one way and not the other.
#[test]
fn a_metal_rectifier_reads_by_the_meters_polarity() {
    let sheet = parts_only(
        r#"["SR1","silicon","1 A 1000 V","top","chassis"],["R1","resistor","100k","top","chassis"]"#,
    );
    let found = ohms(&sheet, None, &[]);
    let forward = band(&found, "top").expect("joined").expected;
    // 1.5 V behind 3k drive 0.3 mA through a diode of about 0.5 V: 1 to 3k.
    assert!((800.0..4000.0).contains(&forward), "{forward}");
    let back = by_lead(&found, "top", Lead::Minus).expect("the other way round is told");
    assert!((90e3..=100e3).contains(&back), "{back}"); // 100k less the leak
}

fn by_lead(found: &Expectation, at: &str, lead: Lead) -> Option<f64> {
    found
        .readings
        .iter()
        .find(|reading| reading.at == at && reading.lead == Some(lead))
        .map(|reading| reading.band.expected)
}

/// A germanium detector: low one way, its back resistance the other (a 1N34 leaks 800 uA at
/// 50 V and 50 uA at 10 V, from memory of its maker's sheet: 60k to 200k).
#[test]
fn a_crystal_reads_by_the_meters_polarity() {
    let sheet = parts_only(
        r#"["Y1","crystal","1N34","top","chassis"],["R1","resistor","1 meg","top","chassis"]"#,
    );
    let found = ohms(&sheet, None, &[]);
    let forward = by_lead(&found, "top", Lead::Plus).expect("told");
    let back = by_lead(&found, "top", Lead::Minus).expect("told");
    assert!((100.0..3000.0).contains(&forward), "{forward}");
    assert!((30e3..500e3).contains(&back), "{back}");
}

/// The leak of an electrolytic counts beside 4.7 megohms, not beside 10k, and only its own
/// sign is told.
#[test]
fn an_electrolytic_is_told_with_its_own_sign_only() {
    let sheet = parts_only(
        r#"["C1","electrolytic","40 mfd 450 V","top","chassis"],["R1","resistor","4.7 meg","top","chassis"],
        ["C2","electrolytic","40 mfd 450 V","chassis","minus"],["R2","resistor","4.7 meg","minus","chassis"],
        ["C3","electrolytic","40 mfd 450 V","low","chassis"],["R3","resistor","1k","low","chassis"]"#,
    );
    let found = ohms(&sheet, None, &[]);
    assert!(by_lead(&found, "top", Lead::Plus).is_some());
    assert!(by_lead(&found, "top", Lead::Minus).is_none());
    assert!(by_lead(&found, "minus", Lead::Minus).is_some());
    assert!(by_lead(&found, "minus", Lead::Plus).is_none());
    let low = found.readings.iter().find(|reading| reading.at == "low");
    assert_eq!(low.map(|reading| reading.lead), Some(None));
    let notice = found
        .notices
        .iter()
        .find(|notice| notice.text.contains("wrong way round"))
        .expect("what is not told is named");
    assert!(
        notice.text.contains("top with the - lead there (C1)"),
        "{}",
        notice.text
    );
    assert!(
        notice.text.contains("minus with the + lead there (C2)"),
        "{}",
        notice.text
    );
}

#[test]
fn a_pulled_tube_opens_its_string_and_a_blade_off_the_chassis_reads_open() {
    let string = example("merrow_17s.toml");
    let whole = ohms(&string, None, &[]);
    let fed = band(&whole, "string top").expect("joined").expected;
    // Cold about a seventh of 146 ohm hot (README of the examples): 21 ohm.
    assert!((17.0..25.0).contains(&fed), "{fed}");
    let parted = ohms(&string, None, &["V5"]);
    let around = band(&parted, "string top").map(|band| band.expected);
    assert!(around.is_none_or(|ohms| ohms > 150.0), "{around:?}");

    let with_transformer = example("larkfield_12t.toml");
    let found = ohms(&with_transformer, None, &[]);
    let blade = reason(&found, "line a").expect("the line is off the chassis");
    assert!(blade.contains("joins it"), "{blade}");
}

#[test]
fn a_name_that_is_not_on_the_sheet_is_refused() {
    let sheet = example("larkfield_12t.toml");
    let catalogue = parts::catalogue().expect("the tables are sound");
    assert!(cold_ohms(&sheet, catalogue, Some("B+ nowhere"), &[]).is_err());
    assert!(cold_ohms(&sheet, catalogue, None, &["V99".to_string()]).is_err());
}
