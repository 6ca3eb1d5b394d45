//! Keys of `[bench]` and of rows of heaters changed: everything else stays.
//!
//! Expected texts are written by hand after the form of the sheet in the manual.

use proptest::prelude::*;
use receiver::sheet_edit::{
    EditError, KeyChange, KeyValue, SheetTable, change_keys, keys_of, quoted,
};

const LARKFIELD: &str = include_str!("../../../examples/larkfield_12t.toml");

fn one(key: &str, value: &str) -> KeyChange {
    KeyChange {
        key: key.to_string(),
        value: KeyValue::One(value.to_string()),
    }
}

fn list(key: &str, values: &[&str]) -> KeyChange {
    let values = values.iter().map(|own| (*own).to_string());
    KeyChange {
        key: key.to_string(),
        value: KeyValue::List(values.collect()),
    }
}

fn gone(key: &str) -> KeyChange {
    KeyChange {
        key: key.to_string(),
        value: KeyValue::None,
    }
}

#[test]
fn a_key_of_the_bench_is_changed_begun_and_taken_out() {
    for (text, change, wanted) in [
        (
            "[bench]\nlamps = [60] # own\n",
            list("lamps", &["40", "60"]),
            "[bench]\nlamps = [40, 60] # own\n",
        ),
        (
            "[bench]\nlamps = [\n  60, # the old one\n  100,\n]\n",
            list("lamps", &["60", "150"]),
            "[bench]\nlamps = [\n  60, # the old one\n  150,\n]\n",
        ),
        (
            "[bench]\nlamps = []\n",
            list("lamps", &["40"]),
            "[bench]\nlamps = [40]\n",
        ),
        (
            "[bench]\nlamps = [40, 60, 100]\n",
            list("lamps", &["40", "100"]),
            "[bench]\nlamps = [40, 100]\n",
        ),
        (
            "[bench]\nline_volts = 121   # Sunday\n[state]\n",
            one("line_volts", "118"),
            "[bench]\nline_volts = 118   # Sunday\n[state]\n",
        ),
        (
            "[bench]\nline_volts = 121\n\n[state]\nreplaced = []\n",
            one("isolation_va", "250"),
            "[bench]\nline_volts = 121\nisolation_va = 250\n\n[state]\nreplaced = []\n",
        ),
        (
            "[bench]\nline_volts = 121\nisolation_va = 250\n",
            gone("line_volts"),
            "[bench]\nisolation_va = 250\n",
        ),
        (
            "bench = { line_volts = 121 }\n",
            one("isolation_va", "250"),
            "bench = { line_volts = 121, isolation_va = 250 }\n",
        ),
        (
            "bench = { line_volts = 121, isolation_va = 250 }\n",
            gone("isolation_va"),
            "bench = { line_volts = 121 }\n",
        ),
        (
            "sheet = 1\r\n",
            one("line_volts", "121"),
            "sheet = 1\r\n\r\n[bench]\r\nline_volts = 121\r\n",
        ),
        ("sheet = 1\n", gone("line_volts"), "sheet = 1\n"),
        (
            "\u{feff}[bench]\nline_volts = 121\n",
            one("line_volts", "118"),
            "\u{feff}[bench]\nline_volts = 118\n",
        ),
    ] {
        assert_eq!(
            change_keys(text, SheetTable::Bench, std::slice::from_ref(&change)).as_deref(),
            Ok(wanted),
            "{text:?} {change:?}"
        );
    }
}

#[test]
fn a_row_of_heaters_keeps_what_stands_beside_its_tubes() {
    let text = "heaters = [\n  { from = \"a\", to = \"b\", series = [\n    \"V1\", # the first\n    \"V2\", \"V3\",\n  ] }, # own\n]\n";
    for (change, wanted) in [
        (
            list("series", &["\"V1\"", "\"V3\""]),
            "heaters = [\n  { from = \"a\", to = \"b\", series = [\n    \"V1\", # the first\n    \"V3\",\n  ] }, # own\n]\n",
        ),
        (
            list("series", &["\"V0\"", "\"V1\"", "\"V2\"", "\"V3\""]),
            "heaters = [\n  { from = \"a\", to = \"b\", series = [\n    \"V0\", \"V1\", # the first\n    \"V2\", \"V3\",\n  ] }, # own\n]\n",
        ),
        (
            one("from", "\"c\""),
            "heaters = [\n  { from = \"c\", to = \"b\", series = [\n    \"V1\", # the first\n    \"V2\", \"V3\",\n  ] }, # own\n]\n",
        ),
    ] {
        assert_eq!(
            change_keys(text, SheetTable::Heaters(0), std::slice::from_ref(&change)).as_deref(),
            Ok(wanted),
            "{change:?}"
        );
    }
    let other = [gone("series"), list("parallel", &["\"V4\""])];
    assert_eq!(
        change_keys(
            "heaters = [{ from = \"a\", to = \"b\", series = [\"V1\"] }]\n",
            SheetTable::Heaters(0),
            &other
        )
        .as_deref(),
        Ok("heaters = [{ from = \"a\", to = \"b\", parallel = [\"V4\"] }]\n")
    );
}

#[test]
fn what_is_not_there_or_of_another_shape_is_refused() {
    let change = [one("from", "\"c\"")];
    assert!(matches!(
        change_keys("heaters = []\n", SheetTable::Heaters(0), &change),
        Err(EditError::NoSuchCell { row: 0, .. })
    ));
    for (text, table) in [
        ("bench = 3\n", SheetTable::Bench),
        ("heaters = [3]\n", SheetTable::Heaters(0)),
        ("no TOML", SheetTable::Bench),
    ] {
        assert!(
            matches!(change_keys(text, table, &change), Err(EditError::Sheet(faults)) if !faults.is_empty()),
            "{text}"
        );
    }
}

proptest! {
    #[test]
    fn any_list_of_texts_reads_back_and_nothing_else_of_the_sheet_changes(
        meters in proptest::collection::vec("[ -~]{0,8}", 0..6),
    ) {
        let change = KeyChange {
            key: "meters".to_string(),
            value: KeyValue::List(meters.iter().map(|own| quoted(own)).collect()),
        };
        let text = change_keys(LARKFIELD, SheetTable::Bench, &[change]).expect("it is changed");
        let keys = keys_of(&text, SheetTable::Bench).expect("it reads");
        let own = keys.iter().find(|own| own.key == "meters").expect("it is there");
        prop_assert_eq!(&own.says, &meters);
        let others = |text: &str| -> Vec<String> {
            let lines = text.lines().filter(|line| !line.starts_with("meters"));
            lines.map(str::to_string).collect()
        };
        prop_assert_eq!(others(&text), others(LARKFIELD));
    }
}
