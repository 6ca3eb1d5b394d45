//! Rows of heaters that stand under `[[heaters]]` of their own: put in, changed and taken out, and the rest of such a sheet
//! changed beside them. Everything else stays.
//!
//! Expected texts are written by hand; how tables of a list are written is TOML 1.0 ("Array of Tables").

use receiver::sheet_edit::{
    CellChange, EditError, KeyChange, KeyValue, NewRow, RowGroup, SheetList, SheetOutline,
    SheetTable, change_cells, change_keys, insert_rows, keys_of, quoted, remove_rows,
};

const STRINGS: &str = "\
sheet = 1
tubes = [[\"V1\", \"6AU6\"], [\"V2\", \"6AU6\"]]

# the tubes of the tuner
[[heaters]]          # from the top
from = \"top\"   # blue
to = \"mid\"
series = [\"V1\"]

[[heaters]]
from = \"mid\"
to = \"line b\"
# the last one lies at the chassis
series = [
  \"V2\", # warm
]

[bench]
lamps = [60]
";

fn heaters(from: &str, in_series: bool, tubes: &[&str]) -> NewRow {
    NewRow::Heaters {
        from: from.to_string(),
        to: "line b".to_string(),
        in_series,
        tubes: tubes.iter().map(|own| (*own).to_string()).collect(),
    }
}

fn put_in(text: &str, heading: &str, rows: Vec<NewRow>) -> Result<String, EditError> {
    let heading = heading.to_string();
    insert_rows(text, &RowGroup { heading, rows }).map(|done| done.text)
}

#[test]
fn every_table_is_a_row_on_the_line_of_its_header() {
    let outline = SheetOutline::of(STRINGS).expect("an outline");
    let lines: Vec<usize> = outline
        .rows(SheetList::Heaters)
        .iter()
        .map(|row| row.line)
        .collect();
    assert_eq!(lines, [5, 10]);
    let says = |row: usize, key: &str| {
        let keys = keys_of(STRINGS, SheetTable::Heaters(row)).expect("keys");
        let own = keys.into_iter().find(|own| own.key == key);
        own.expect("the key").says
    };
    assert_eq!(says(0, "from"), ["top"]);
    assert_eq!(says(1, "series"), ["V2"]);
    assert!(matches!(
        keys_of(STRINGS, SheetTable::Heaters(2)),
        Err(EditError::NoSuchCell { row: 2, .. })
    ));
}

#[test]
fn a_table_is_changed_key_by_key() {
    let quoted_list =
        |tubes: &[&str]| KeyValue::List(tubes.iter().map(|own| quoted(own)).collect());
    for (row, key, value, was, is) in [
        (
            0,
            "from",
            KeyValue::One("\"string top\"".to_string()),
            "from = \"top\"   # blue",
            "from = \"string top\"   # blue",
        ),
        (
            0,
            "series",
            quoted_list(&["V1", "V3"]),
            "series = [\"V1\"]",
            "series = [\"V1\", \"V3\"]",
        ),
        (
            1,
            "series",
            quoted_list(&["V2", "V3"]),
            "  \"V2\", # warm",
            "  \"V2\", \"V3\", # warm",
        ),
        (
            0,
            "to",
            KeyValue::None,
            "to = \"mid\"\nseries = [\"V1\"]",
            "series = [\"V1\"]",
        ),
        (
            0,
            "parallel",
            quoted_list(&["V3"]),
            "series = [\"V1\"]\n",
            "series = [\"V1\"]\nparallel = [\"V3\"]\n",
        ),
    ] {
        let change = KeyChange {
            key: key.to_string(),
            value,
        };
        assert_eq!(
            change_keys(
                STRINGS,
                SheetTable::Heaters(row),
                std::slice::from_ref(&change)
            )
            .as_deref(),
            Ok(STRINGS.replacen(was, is, 1).as_str()),
            "{change:?}"
        );
    }
    // A table that is only begun gets its key behind its header; other line ends and a byte order mark stay.
    let change = KeyChange {
        key: "from".to_string(),
        value: KeyValue::One("\"a\"".to_string()),
    };
    assert_eq!(
        change_keys(
            "\u{feff}[[heaters]] # own\r\n[bench]\r\n",
            SheetTable::Heaters(0),
            &[change]
        )
        .as_deref(),
        Ok("\u{feff}[[heaters]] # own\r\nfrom = \"a\"\r\n[bench]\r\n")
    );
}

#[test]
fn a_new_one_stands_behind_the_last_and_an_old_one_goes_with_its_lines() {
    let put = put_in(STRINGS, "", vec![heaters("third", false, &["V8", "V9"])]);
    let new = "]\n\n[[heaters]]\nfrom = \"third\"\nto = \"line b\"\nparallel = [\"V8\", \"V9\"]\n\n[bench]";
    assert_eq!(
        put.as_deref(),
        Ok(STRINGS.replacen("]\n\n[bench]", new, 1).as_str())
    );
    let text = put.expect("it is put in");
    assert_eq!(
        remove_rows(&text, SheetList::Heaters, &[2]).as_deref(),
        Ok(STRINGS
            .replacen("]\n\n[bench]", "]\n\n\n[bench]", 1)
            .as_str())
    );
    // What was written between and behind its lines is no part of the row.
    let less = remove_rows(STRINGS, SheetList::Heaters, &[0, 1]).expect("they are taken out");
    assert_eq!(
        less,
        "sheet = 1\ntubes = [[\"V1\", \"6AU6\"], [\"V2\", \"6AU6\"]]\n\n# the tubes of the tuner\n# from the top\n# blue\n\n# the last one lies at the chassis\n\n[bench]\nlamps = [60]\n"
    );
    assert_eq!(
        put_in(
            "[[heaters]]\nfrom = \"a\"",
            "two more",
            vec![heaters("b", true, &["V1"]), heaters("c", true, &["V2"])]
        )
        .as_deref(),
        Ok(
            "[[heaters]]\nfrom = \"a\"\n\n# two more\n[[heaters]]\nfrom = \"b\"\nto = \"line b\"\nseries = [\"V1\"]\n\n[[heaters]]\nfrom = \"c\"\nto = \"line b\"\nseries = [\"V2\"]\n"
        )
    );
}

#[test]
fn tables_of_heaters_keep_nothing_else_from_being_changed() {
    let change = CellChange {
        list: SheetList::Tubes,
        row: 1,
        column: 1,
        text: "6AG5".to_string(),
    };
    assert_eq!(
        change_cells(STRINGS, &[change]).as_deref(),
        Ok(STRINGS
            .replacen("[\"V2\", \"6AU6\"]", "[\"V2\", \"6AG5\"]", 1)
            .as_str())
    );
    let part = NewRow::part(["R1", "resistor", "22k", "a", "b", ""]);
    let put = put_in(STRINGS, "", vec![part]).expect("it is put in");
    assert!(
        put.contains(
            "6AU6\"]]\n\nparts = [\n  [\"R1\", \"resistor\", \"22k\", \"a\", \"b\"],\n]\n"
        ),
        "{put}"
    );
}

#[test]
fn a_table_with_a_table_inside_is_not_taken_out_in_part() {
    let text = "[[heaters]]\nfrom = \"a\"\n[heaters.more]\nto = \"b\"\n";
    assert!(matches!(
        remove_rows(text, SheetList::Heaters, &[0]),
        Err(EditError::Sheet(faults)) if !faults.is_empty()
    ));
    // Of the other lists no tables are made.
    assert!(matches!(
        SheetOutline::of("[[parts]]\nref = \"R1\"\n"),
        Err(EditError::Sheet(faults)) if !faults.is_empty()
    ));
}
