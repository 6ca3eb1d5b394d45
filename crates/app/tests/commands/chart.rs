//! `firstraster chart` as a restorer or a script runs it.
//!
//! The sheets are the invented examples; names of fields and statuses are those of the manual.

use serde_json::Value;

use crate::program::{Outcome, check, json, keeps_to_eighty_columns, page, put};

const LARKFIELD: &str = include_str!("../../../../examples/whole/larkfield_12t.toml");

#[test]
fn a_planted_slip_is_told_on_page_json_and_picture() -> Outcome {
    let folder = tempfile::tempdir()?;
    let picture = folder.path().join("chart.svg").display().to_string();
    let right = "\"68k 1/2 W 10%\",       \"V9.6\"";
    assert!(LARKFIELD.contains(right));
    let sheet = put(
        folder.path(),
        "set.toml",
        &LARKFIELD.replacen(right, "\"680k 1/2 W 10%\",      \"V9.6\"", 1),
    )?;
    let page = page(&["chart", &sheet, "--picture", &picture])?;
    assert!(
        page.contains("R46 (line 221) is written as 680k: as 68k"),
        "{page}"
    );
    keeps_to_eighty_columns(&page);
    let svg = std::fs::read_to_string(&picture)?;
    assert!(svg.contains("<title>The maker's chart against the prediction</title>"));
    assert!(svg.contains("V9.6 above"), "the description tells it");

    let (status, answer) = json(&["chart", &sheet])?;
    assert_eq!(status, 0);
    assert_eq!(answer["format"], 1);
    let slips = answer["slips"].as_array().ok_or("slips")?;
    assert_eq!(slips[0]["kind"], "part_ohms");
    let rows = answer["rows"].as_array().ok_or("rows")?;
    let of = |verdict: &str| {
        let count = rows.iter().filter(|row| row["verdict"] == verdict).count();
        Value::from(count)
    };
    assert_eq!(answer["counts"]["agrees"], of("agrees"));
    assert_eq!(answer["counts"]["rests_on_chart"], of("rests_on_chart"));
    for row in rows.iter().filter(|row| row["verdict"] == "not_covered") {
        assert!(row["because"].is_string() && row["expected"].is_null());
    }
    Ok(())
}

#[test]
fn a_sheet_without_a_chart_is_at_fault() -> Outcome {
    let folder = tempfile::tempdir()?;
    let end = LARKFIELD.find("[chart]").ok_or("a chart")?;
    let sheet = put(folder.path(), "set.toml", &LARKFIELD[..end])?;
    check(&["chart", &sheet], 1, "has no chart")?;
    check(&["chart", &sheet], 1, "volts =")
}
