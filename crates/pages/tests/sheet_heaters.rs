//! Strings of heaters that stand under `[[heaters]]` of their own, on the pages of the sheet.

mod asked;

use asked::{Asked, is_in_order, now};
use axum::http::StatusCode;
use benchwork::{Entering, PresentSheet, SheetFile, SheetList, present_sheet, start_restoration};

/// An invented set with its tubes in two strings.
const SHEET: &str = "\
sheet = 1
name = \"Merrow 9\"
line_volts = 117
line_hertz = 60
tubes = [
  [\"V1\", \"12AT7\"],
  [\"V2\", \"12AU7\"],
  [\"V3\", \"12AX7\"],
]
parts = [
  [\"R1\", \"resistor\", \"560 ohm 10 W\", \"line a\", \"string top\"],
  [\"R2\", \"resistor\", \"680 ohm 10 W\", \"line a\", \"tuner heaters\"],
]

# the long string
[[heaters]]
from = \"string top\"   # red
to = \"line b\"
series = [\"V1\", \"V2\"]

[[heaters]] # the tuner's own
from = \"tuner heaters\"
to = \"line b\"
series = [\"V3\"]

[bench]
lamps = [40, 60]
";

fn bench() -> Asked {
    Asked::at(|entering: &Entering<'_>| {
        assert_eq!(entering.at, now());
        let sheet = SheetFile::in_memory("merrow_9.toml", SHEET);
        start_restoration(entering, &sheet, None).expect("a restoration");
    })
}

fn sheet(bench: &Asked) -> PresentSheet {
    present_sheet(&bench.file()).expect("a sheet")
}

async fn sends(bench: &Asked, at: &str, row: &str, cells: &[&str]) -> asked::Answer {
    let mark = sheet(bench).mark;
    let mut fields = vec![
        ("sheet".to_owned(), mark),
        ("row".to_owned(), row.to_owned()),
    ];
    let cells = cells.iter().enumerate();
    fields.extend(cells.map(|(at, text)| (format!("c{at}"), (*text).to_owned())));
    let fields: Vec<(&str, &str)> = fields
        .iter()
        .map(|(name, own)| (name.as_str(), own.as_str()))
        .collect();
    bench.post(at, &fields).await
}

async fn takes(bench: &Asked, at: &str, row: &str, cells: &[&str]) {
    let made = sends(bench, at, row, cells).await;
    assert_eq!(made.status, StatusCode::SEE_OTHER, "{}", made.text);
}

#[tokio::test]
async fn every_string_is_chosen_and_changed_and_the_rest_stays() {
    let bench = bench();
    let list = bench.get("/sheet/heaters").await;
    is_in_order(&list.text);
    for told in [
        "string top to line b",
        "One after the other, a string, V1, V2",
        "tuner heaters to line b",
    ] {
        assert!(list.text.contains(told), "{told}: {}", list.text);
    }
    let second = bench.get("/sheet/heaters?row=1").await;
    is_in_order(&second.text);
    for told in [
        "Line 21 of the sheet",
        "value=\"tuner heaters\"",
        "value=\"V3\"",
    ] {
        assert!(second.text.contains(told), "{told}: {}", second.text);
    }
    takes(
        &bench,
        "/sheet/heaters",
        "1",
        &["tuner heaters", "line b", "parallel", "V3"],
    )
    .await;
    let text = SHEET.replace("series = [\"V3\"]", "parallel = [\"V3\"]");
    assert_eq!(sheet(&bench).text, text, "nothing else changed");
    takes(
        &bench,
        "/sheet/heaters",
        "0",
        &["string top", "line b", "series", "V2 V1"],
    )
    .await;
    let text = text.replace("[\"V1\", \"V2\"]", "[\"V2\", \"V1\"]");
    assert_eq!(sheet(&bench).text, text);
    let refused = sends(
        &bench,
        "/sheet/heaters",
        "0",
        &["string top", "line b", "series", "V2, V1, V3"],
    )
    .await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    is_in_order(&refused.text);
    assert!(
        refused.text.contains("value=\"V2, V1, V3\""),
        "what was typed stays"
    );
    assert_eq!(
        sheet(&bench).text,
        text,
        "a tube heated twice is taken in nowhere"
    );
}

#[tokio::test]
async fn a_string_is_added_and_taken_out() {
    let bench = bench();
    let out = [
        ("sheet", sheet(&bench).mark),
        ("row", "1".to_owned()),
        ("do", "out".to_owned()),
    ];
    let out: Vec<(&str, &str)> = out
        .iter()
        .map(|(name, own)| (*name, own.as_str()))
        .collect();
    let gone = bench.post("/sheet/heaters", &out).await;
    assert_eq!(gone.status, StatusCode::SEE_OTHER, "{}", gone.text);
    let less = SHEET.replace("[[heaters]] # the tuner's own\nfrom = \"tuner heaters\"\nto = \"line b\"\nseries = [\"V3\"]\n", "# the tuner's own\n");
    assert_eq!(sheet(&bench).text, less);
    takes(
        &bench,
        "/sheet/heaters",
        "new",
        &["tuner heaters", "line b", "series", "V3"],
    )
    .await;
    let new = "series = [\"V1\", \"V2\"]\n\n[[heaters]]\nfrom = \"tuner heaters\"\nto = \"line b\"\nseries = [\"V3\"]\n";
    assert_eq!(
        sheet(&bench).text,
        less.replace("series = [\"V1\", \"V2\"]\n", new)
    );
}

#[tokio::test]
async fn the_other_lists_of_such_a_sheet_are_changed_too() {
    let bench = bench();
    for at in [
        "/sheet/tubes",
        "/sheet/parts",
        "/sheet/parts?row=0",
        "/sheet/bench",
        "/sheet/list",
    ] {
        let page = bench.get(at).await;
        is_in_order(&page.text);
        assert!(!page.text.contains("role=\"alert\""), "{at}: {}", page.text);
    }
    takes(
        &bench,
        "/sheet/parts",
        "0",
        &["R1", "resistor", "620 ohm 10 W", "line a", "string top", ""],
    )
    .await;
    assert_eq!(sheet(&bench).text, SHEET.replace("560 ohm", "620 ohm"));
    let rows = sheet(&bench).rows(SheetList::Heaters).expect("the rows");
    assert_eq!(rows.len(), 2);
}
