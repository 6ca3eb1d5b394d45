//! Places and the junctions that wires make of them. Expected values are read off the rows by eye.

use proptest::prelude::*;
use receiver::sheet::{Place, Sheet, read_sheet};

fn sheet(rows: &str) -> Sheet {
    let text = format!("sheet = 1\nline_volts = 117\nline_hertz = 60\n{rows}");
    let reading = read_sheet(&text, parts::catalogue().expect("the tables are sound"));
    assert_eq!(reading.faults, [], "{rows}");
    reading.sheet.expect("no fault, so a sheet")
}

const ROWS: &str = r#"
tubes = [["V9", "6AU6"], ["V20", "12LP4-A"]]
parts = [
  ["R1", "resistor", "1k", "V9.5", "B+ 275"],
  ["W1", "wire", "", "V9.2", "V9.7"],
  ["S1", "switch", "", "V9.7", "chassis"],
  ["W2", "wire", "", "B+ 275", "B+  main"],
  ["R2", "resistor", "1k", "b+ main", "V20.cap"],
]
[chart]
volts = [["boost", 400]]
"#;

/// Junctions as "name name (wires); …".
fn junctions(sheet: &Sheet) -> String {
    let places = sheet.places();
    let told: Vec<String> = places
        .junctions()
        .iter()
        .map(|junction| {
            let names: Vec<String> = junction.places.iter().map(Place::to_string).collect();
            format!("{} ({})", names.join(", "), junction.wires.join(" "))
        })
        .collect();
    told.join("; ")
}

#[test]
fn wires_and_only_wires_join_places() {
    assert_eq!(
        junctions(&sheet(ROWS)),
        "V9.5 (); B+ 275, B+ main (W2); V9.2, V9.7 (W1); chassis (); b+ main (); V20.anode (); boost ()"
    );
}

#[test]
fn a_junction_is_called_by_its_best_name() {
    let sheet = sheet(
        "tubes = [[\"V9\", \"6AU6\"]]\nparts = [[\"W1\", \"wire\", \"\", \"V9.5\", \"plate\"], [\"W2\", \"wire\", \"\", \"V9.7\", \"chassis\"], [\"W3\", \"wire\", \"\", \"chassis\", \"cathode\"]]",
    );
    let places = sheet.places();
    let labels: Vec<String> = places
        .junctions()
        .iter()
        .map(|junction| junction.label().to_string())
        .collect();
    assert_eq!(labels, ["plate", "chassis"]);
}

#[test]
fn a_place_is_found_by_what_a_person_types() {
    let sheet = sheet(ROWS);
    let places = sheet.places();
    for (typed, wanted) in [
        ("V9.5", Ok("V9.5")),
        ("v9.5", Ok("V9.5")),
        (" CHASSIS ", Ok("chassis")),
        ("B+ main", Ok("B+ main")),
        ("b+ main", Ok("b+ main")),
        ("B+   275", Ok("B+ 275")),
        ("V20.ANODE", Ok("V20.anode")),
        ("v20.cap", Ok("V20.anode")),
        ("B+ 257", Err(Some("B+ 275"))),
        ("V9.6", Err(Some("V9.5"))),
        ("elsewhere", Err(None)),
        ("", Err(None)),
        ("line a", Err(None)),
    ] {
        let found = places.find(typed).map(Place::to_string);
        match (found, wanted) {
            (Ok(found), Ok(wanted)) => assert_eq!(found, wanted, "{typed}"),
            (Err(unknown), Err(Some(nearest))) => {
                assert_eq!(unknown.nearest.as_deref(), Some(nearest), "{typed}")
            }
            (Err(_), Err(None)) => {}
            (found, wanted) => panic!("{typed}: {found:?}, wanted {wanted:?}"),
        }
    }
    let unknown = places.find("B+ 257").expect_err("no such place");
    assert_eq!(
        unknown.to_string(),
        "`B+ 257` is no place of this sheet; did you mean `B+ 275`?"
    );
    assert_eq!(sheet.nearest_reference("S2"), Some("S1"));
}

proptest! {
    /// Wires drawn at random join exactly what a plain search along them reaches.
    #[test]
    fn junctions_agree_with_a_plain_search(wires in prop::collection::vec((0usize..12, 0usize..12), 0..20)) {
        let rows: Vec<String> = wires.iter().enumerate().map(|(n, (a, b))| format!("[\"W{n}\", \"wire\", \"\", \"p{a}\", \"p{b}\"]")).collect();
        let sheet = sheet(&format!("parts = [{}]", rows.join(", ")));
        let places = sheet.places();
        let mut reach = vec![[false; 12]; 12];
        for (place, row) in reach.iter_mut().enumerate() {
            row[place] = true;
        }
        for _ in 0..12 {
            for (a, b) in &wires {
                for row in &mut reach {
                    let joined = row[*a] || row[*b];
                    row[*a] = joined;
                    row[*b] = joined;
                }
            }
        }
        let named = |n: usize| Place::Named(format!("p{n}"));
        for (one, row) in reach.iter().enumerate() {
            for (other, reached) in row.iter().enumerate() {
                prop_assert_eq!(places.joined(&named(one), &named(other)), *reached, "{} {}", one, other);
            }
        }
    }
}
