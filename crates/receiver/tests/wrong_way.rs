//! Electrolytics that stand the wrong way round are told, sound ones are not.
//!
//! Volts. Expected volts: the sums of examples/README.md (made apart from this program).

use std::path::PathBuf;

use receiver::sheet::read_sheet;
use receiver::wrong_way::{WrongWay, wrong_way};

fn told(name: &str, change: impl Fn(&str) -> String) -> Vec<WrongWay> {
    let path = PathBuf::from(env!("CARGO_MANIFEST_DIR"))
        .join("../../examples")
        .join(name);
    let text = change(&std::fs::read_to_string(path).expect("an example"));
    let catalogue = parts::catalogue().expect("data");
    let sheet = read_sheet(&text, catalogue).sheet.expect("no fault");
    wrong_way(&sheet, catalogue)
}

#[test]
fn no_example_has_a_can_the_wrong_way_round() {
    for name in [
        "larkfield_12t.toml",
        "merrow_17s.toml",
        "whole/larkfield_12t.toml",
        "whole/merrow_17s.toml",
        "small/bridge_selenium.toml",
        "small/choke_input_speaker_field.toml",
        "small/half_wave_heater_transformer.toml",
        "small/two_rectifiers.toml",
    ] {
        assert_eq!(told(name, str::to_string), [], "{name}");
    }
}

/// Writes the two places of a part's row the other way round.
fn turned(text: &str, reference: &str) -> String {
    let start = format!("[\"{reference}\",");
    let lines: Vec<String> = text
        .lines()
        .map(|line| {
            if !line.trim_start().starts_with(&start) {
                return line.to_string();
            }
            let mut cells: Vec<&str> = line.split('"').collect();
            // The quoted cells stand at the odd places: reference, kind, value, from, to.
            cells.swap(7, 9);
            cells.join("\"")
        })
        .collect();
    assert_ne!(lines.join("\n"), text.trim_end(), "{reference} has a row");
    lines.join("\n")
}

#[test]
fn a_turned_can_is_told_with_its_volts() {
    // Larkfield: B+ main 315 V warm (README), half an hour of it within a twentieth. The
    // bias filter C5 has its + end at the chassis; turned it stands on the negative line.
    // Merrow: C1 in the doubler has 140 V across it.
    for (name, reference, volts) in [
        ("larkfield_12t.toml", "C1B", 315.0),
        ("merrow_17s.toml", "C1", 140.0),
        ("small/half_wave_heater_transformer.toml", "C2", 127.0),
    ] {
        let found = told(name, |text| turned(text, reference));
        let [one] = &found[..] else {
            panic!("{name}: {found:?}");
        };
        assert_eq!(one.reference, reference);
        assert!(
            (one.volts - volts).abs() < 0.07 * volts,
            "{name} {reference}: {} V, {volts} by hand",
            one.volts
        );
        assert!(one.notice().text.contains(reference));
    }
    let found = told("larkfield_12t.toml", |text| turned(text, "C5"));
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(found[0].volts > 5.0 && found[0].volts < 30.0, "{found:?}");
}
