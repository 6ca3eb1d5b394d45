//! Rows put into sheets and cells changed: everything else stays byte for byte.
//!
//! Expected texts are written by hand; the properties are what the contract of
//! the sheet says (comments, order and line ends are the restorer's own).

use proptest::prelude::*;
use receiver::sheet_edit::{
    CellChange, EditError, NewRow, RowGroup, SheetList, SheetOutline, change_cells, insert_rows,
    new_faults,
};

const LARKFIELD: &str = include_str!("../../../examples/larkfield_12t.toml");
const MERROW: &str = include_str!("../../../examples/merrow_17s.toml");

fn insert(text: &str, group: &RowGroup) -> Result<String, EditError> {
    insert_rows(text, group).map(|inserted| inserted.text)
}

fn part(reference: &str, from: &str) -> NewRow {
    NewRow::part([reference, "resistor", "1k", from, "chassis", ""])
}

fn group(heading: &str, rows: Vec<NewRow>) -> RowGroup {
    RowGroup {
        heading: heading.to_string(),
        rows,
    }
}

fn check_insert(text: &str, heading: &str, wanted: &str) {
    let new = insert(text, &group(heading, vec![part("R9", "a")]));
    assert_eq!(new.as_deref(), Ok(wanted), "{text:?}");
}

#[test]
fn a_row_goes_to_the_end_of_its_list_however_the_list_is_written() {
    let row = r#"["R9", "resistor", "1k", "a", "chassis"]"#;
    check_insert("parts = []", "", &format!("parts = [\n  {row},\n]"));
    check_insert("parts = [\n]\n", "", &format!("parts = [\n  {row},\n]\n"));
    check_insert(
        "parts = [[\"R1\"]] # mine\n",
        "",
        &format!("parts = [[\"R1\"],\n  {row},\n] # mine\n"),
    );
    check_insert(
        "parts = [\n\t[\"R1\"], # last, I hope\n\n  # more, to come\n] # end\nname = \"x\"\n",
        "",
        &format!(
            "parts = [\n\t[\"R1\"], # last, I hope\n\n  # more, to come\n\t{row},\n] # end\nname = \"x\"\n"
        ),
    );
    check_insert(
        "parts = [\r\n    [\"R1\"] # no comma, but one here\r\n]\r\n",
        "Audio\nstage",
        &format!(
            "parts = [\r\n    [\"R1\"], # no comma, but one here\r\n\r\n    # Audio stage\r\n    {row},\r\n]\r\n"
        ),
    );
    check_insert(
        "sheet = 1\n# own words\n\n[chart]\nvolts = []\n",
        "Audio",
        &format!(
            "sheet = 1\n\nparts = [\n  # Audio\n  {row},\n]\n# own words\n\n[chart]\nvolts = []\n"
        ),
    );
    check_insert(
        "sheet = 1",
        "",
        &format!("sheet = 1\n\nparts = [\n  {row},\n]\n"),
    );
    check_insert(
        "\u{feff}sheet = 1\n",
        "",
        &format!("\u{feff}sheet = 1\n\nparts = [\n  {row},\n]\n"),
    );
    check_insert(
        "sheet = 1\nbench.lamps = [\n 60,\n]\n",
        "",
        &format!("sheet = 1\nbench.lamps = [\n 60,\n]\n\nparts = [\n  {row},\n]\n"),
    );
}

#[test]
fn new_rows_stand_in_the_columns_of_the_list() {
    let rows = vec![
        NewRow::part(["R71", "resistor", "270k 1/2 W 10%", "B+ 275", "V13.7", ""]),
        NewRow::part([
            "R60B",
            "control",
            "100k at 0.4",
            "B+ 275",
            "chassis",
            "V20.11",
        ]),
    ];
    let new = insert(LARKFIELD, &group("Audio", rows)).expect("the example is sound");
    // The columns of the example: 1, 9, 25, 48 and 65 characters from the bracket.
    for line in [
        "  [\"R71\",  \"resistor\",     \"270k 1/2 W 10%\",      \"B+ 275\",        \"V13.7\"],\n",
        "  [\"R60B\", \"control\",      \"100k at 0.4\",         \"B+ 275\",        \"chassis\",   \"V20.11\"],\n",
    ] {
        assert!(new.contains(line), "{line} is not in\n{new}");
    }
    let at = new.find("\n  # Audio\n").expect("the heading is there");
    assert!(new[..at].ends_with("# V1, V2\n"), "behind the last row");
}

#[test]
fn heaters_and_tubes_go_where_they_belong() {
    let rows = vec![
        NewRow::Cells {
            list: SheetList::Tubes,
            cells: vec!["V23".into(), "6AU6".into(), "a \"new\" one".into()],
        },
        NewRow::Heaters {
            from: "heater".into(),
            to: "chassis".into(),
            in_series: false,
            tubes: vec!["V23".into()],
        },
    ];
    let new = insert(LARKFIELD, &group("", rows)).expect("sound");
    assert!(new.contains("  [\"V23\", \"6AU6\",    \"a \\\"new\\\" one\"],\n]\n\nwindings = ["));
    assert!(new.contains(
        "  { from = \"heater\", to = \"chassis\", parallel = [\"V23\"] },\n]\n\n[chart]\n"
    ));
    let catalogue = parts::catalogue().expect("sound");
    assert_eq!(new_faults(LARKFIELD, &new, catalogue), []);
}

#[test]
fn what_cannot_be_changed_is_refused_in_the_words_of_the_checker() {
    let check = |text: &str, line: usize| match insert(text, &group("", vec![part("R1", "a")])) {
        Err(EditError::Sheet(faults)) => {
            assert!(faults.iter().any(|fault| fault.line == line), "{faults:?}");
        }
        other => panic!("{text}: {other:?}"),
    };
    check("sheet = 1\nparts = [\n  [\"R1\",\n", 3);
    check("sheet = 1\nparts = 3\n", 2);
    check("sheet = 1\n[[parts]]\nreference = \"R1\"\n", 2);
}

fn check_change(text: &str, column: usize, to: &str, wanted: &str) {
    let change = CellChange {
        list: SheetList::Parts,
        row: 0,
        column,
        text: to.to_string(),
    };
    assert_eq!(
        change_cells(text, &[change]).as_deref(),
        Ok(wanted),
        "{text}"
    );
}

#[test]
fn a_changed_cell_leaves_the_rest_of_its_row_in_its_columns() {
    let second = "[\"R22\", \"resistor\", \"22k\",      \"b\"]";
    check_change(
        &format!("parts=[[\"R1\",  \"resistor\", \"1k 1/2 W\", \"a\"], # one\n{second}]"),
        2,
        "1k",
        &format!("parts=[[\"R1\",  \"resistor\", \"1k\",       \"a\"], # one\n{second}]"),
    );
    check_change(
        &format!("parts=[[\"R1\",  \"resistor\", \"1k\",       \"a\"],\n{second}]"),
        2,
        "1k 10 W 10% wire-wound",
        &format!("parts=[[\"R1\",  \"resistor\", \"1k 10 W 10% wire-wound\", \"a\"],\n{second}]"),
    );
    // No column kept: no space is touched.
    check_change(
        "parts = [['R1','resistor',  '1k' , 'a']]",
        2,
        "22k",
        "parts = [['R1','resistor',  \"22k\" , 'a']]",
    );
    // A number without quotes becomes a text; a cell behind the last is put in.
    check_change(
        "parts = [[\"R1\", 47]]",
        1,
        "48",
        "parts = [[\"R1\", \"48\"]]",
    );
    check_change(
        "parts = [[\"R1\", 47]]",
        2,
        "c",
        "parts = [[\"R1\", 47, \"c\"]]",
    );
}

#[test]
fn a_cell_that_is_not_there_is_refused() {
    for (row, column) in [(1, 0), (0, 3)] {
        let change = CellChange {
            list: SheetList::Parts,
            row,
            column,
            text: String::new(),
        };
        let new = change_cells("parts = [[\"R1\", 47]]", &[change]);
        assert!(matches!(new, Err(EditError::NoSuchCell { .. })), "{new:?}");
    }
}

#[test]
fn a_fault_of_a_new_row_is_told_with_its_cell() {
    let catalogue = parts::catalogue().expect("sound");
    let rows = vec![
        part("R900", "B+ main"),
        NewRow::part(["R901", "resistor", "1 W 22kk", "V9.5", "B+ main", ""]),
    ];
    let new = insert(LARKFIELD, &group("", rows)).expect("sound");
    let faults = new_faults(LARKFIELD, &new, catalogue);
    let rows = SheetOutline::of(LARKFIELD)
        .expect("sound")
        .rows(SheetList::Parts)
        .len();
    let at: Vec<_> = faults.iter().filter_map(|fault| fault.at).collect();
    assert_eq!(at, [(SheetList::Parts, rows + 1, 2, 6)], "{faults:?}");
}

/// Whether the second text is the first with pieces put in.
fn is_kept(old: &str, new: &str) -> bool {
    let mut rest = new.bytes();
    old.bytes().all(|byte| rest.any(|other| other == byte))
}

fn cells(text: &str, list: SheetList) -> Vec<Vec<String>> {
    let outline = SheetOutline::of(text).expect("sound");
    let rows = outline.rows(list).iter();
    rows.map(|row| row.cells.iter().map(|cell| cell.text.clone()).collect())
        .collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(100))]

    /// Any cells, put into either example: the old rows stand as before, the new ones read as given.
    #[test]
    fn inserted_rows_read_back(
        new in prop::collection::vec(prop::collection::vec(".{0,12}", 5..=6), 0..4),
        heading in ".{0,20}",
        merrow in any::<bool>(),
        crlf in any::<bool>(),
    ) {
        let text = if merrow { MERROW } else { LARKFIELD };
        let text = if crlf { text.replace('\n', "\r\n") } else { text.to_string() };
        let rows = new.iter().map(|cells| NewRow::Cells { list: SheetList::Parts, cells: cells.clone() }).collect();
        let out = insert(&text, &group(&heading, rows)).expect("the examples can be changed");
        prop_assert!(is_kept(&text, &out));
        let mut wanted = cells(&text, SheetList::Parts);
        wanted.extend(new);
        prop_assert_eq!(cells(&out, SheetList::Parts), wanted);
        for list in [SheetList::Tubes, SheetList::Windings] {
            prop_assert_eq!(cells(&out, list), cells(&text, list));
        }
        prop_assert_eq!(out.matches('\r').count() > 0, crlf);
    }

    /// One cell changed there and back gives the text it was.
    #[test]
    fn a_change_taken_back_leaves_no_trace(row in 0usize..60, column in 2usize..5, text in "[a-z0-9 ]{1,9}") {
        let old = cells(LARKFIELD, SheetList::Parts)[row][column].clone();
        let change = |text: &str| CellChange { list: SheetList::Parts, row, column, text: text.to_string() };
        let there = change_cells(LARKFIELD, &[change(&text)]).expect("there");
        let back = change_cells(&there, &[change(&old)]).expect("back");
        prop_assert_eq!(cells(&back, SheetList::Parts), cells(LARKFIELD, SheetList::Parts));
        prop_assert_eq!(back.lines().count(), LARKFIELD.lines().count());
    }
}
