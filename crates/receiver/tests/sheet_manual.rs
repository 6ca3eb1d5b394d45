//! The manual's page on the sheet: its sheets have no fault, its examples of values
//! are read, and it names every kind, key and word that the program knows.

use std::path::Path;

use receiver::sheet::{PartKind, read_sheet};

fn page() -> String {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../docs/manual/sheet.md");
    std::fs::read_to_string(path).expect("the page is part of the project")
}

fn faults(text: &str) -> Vec<String> {
    let reading = read_sheet(text, parts::catalogue().expect("the tables are sound"));
    reading.faults.iter().map(ToString::to_string).collect()
}

#[test]
fn the_sheets_of_the_page_have_no_fault() {
    let page = page();
    let mut checked = 0;
    for block in page.split("```toml\n").skip(1) {
        let sheet = block.split("```").next().unwrap_or_default();
        assert_eq!(faults(sheet), Vec::<String>::new(), "{sheet}");
        checked += 1;
    }
    assert_eq!(checked, 5);
}

#[test]
fn every_kind_has_its_row_and_its_examples_are_read() {
    let page = page();
    for kind in PartKind::ALL {
        let opening = format!("| `{kind}` |");
        let row = page
            .lines()
            .find(|line| line.starts_with(&opening))
            .unwrap_or_else(|| panic!("the page has no row for {kind}"));
        let examples = row
            .trim_end_matches('|')
            .rsplit('|')
            .next()
            .unwrap_or_default();
        let mut values: Vec<&str> = examples.split('`').skip(1).step_by(2).collect();
        if *kind == PartKind::Wire {
            values.push("");
        }
        assert!(!values.is_empty(), "{kind} has no example");
        for value in values {
            let sheet = format!(
                "sheet = 1\nline_volts = 117\nline_hertz = 60\nparts = [[\"P1\", \"{kind}\", \"{value}\", \"a\", \"chassis\"]]\n"
            );
            assert_eq!(faults(&sheet), Vec::<String>::new(), "{kind} {value}");
        }
    }
}

#[test]
fn every_key_of_the_form_is_on_the_page() {
    let page = page();
    for key in [
        "sheet",
        "name",
        "made",
        "line_volts",
        "line_hertz",
        "tubes",
        "windings",
        "parts",
        "heaters",
        "meter",
        "conditions",
        "volts",
        "ohms",
        "lamps",
        "isolation_va",
        "variable_transformer",
        "meters",
        "dc_source",
        "replaced",
        "re_formed",
        "cut_loose",
        "original",
        "measured",
    ] {
        let told = page.lines().any(|line| {
            line.trim_start()
                .split(" = ")
                .next()
                .is_some_and(|first| first.trim() == key)
        });
        assert!(told, "the page does not show `{key} = `");
    }
    for table in [
        "[chart]",
        "[bench]",
        "[state]",
        "[tube.\"",
        "parallel = ",
        "series = ",
    ] {
        assert!(page.contains(table), "the page does not show {table}");
    }
}
