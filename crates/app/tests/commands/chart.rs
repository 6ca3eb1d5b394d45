//! `firstraster chart` as a restorer or a script runs it.
//!
//! The sheets are the invented examples; names of fields and statuses are those of the manual.

use std::error::Error;
use std::fs;
use std::process::{Command, Output};

use serde_json::Value;

type Outcome = Result<(), Box<dyn Error>>;

const LARKFIELD: &str = include_str!("../../../examples/whole/larkfield_12t.toml");

fn run(arguments: &[&str]) -> Result<Output, Box<dyn Error>> {
    let mut command = Command::new(assert_cmd::cargo::cargo_bin!("firstraster"));
    Ok(command.arg("chart").args(arguments).output()?)
}

#[test]
fn a_planted_slip_is_told_on_page_json_and_picture() -> Outcome {
    let folder = tempfile::tempdir()?;
    let (sheet, picture) = (
        folder.path().join("set.toml"),
        folder.path().join("chart.svg"),
    );
    let right = "\"68k 1/2 W 10%\",       \"V9.6\"";
    assert!(LARKFIELD.contains(right));
    fs::write(
        &sheet,
        LARKFIELD.replacen(right, "\"680k 1/2 W 10%\",      \"V9.6\"", 1),
    )?;
    let (sheet, picture) = (
        sheet.to_str().ok_or("a plain path")?,
        picture.to_str().ok_or("a plain path")?,
    );
    let output = run(&[sheet, "--picture", picture])?;
    assert_eq!(output.status.code(), Some(0));
    let page = String::from_utf8(output.stdout)?;
    assert!(
        page.contains("R46 (line 221) is written as 680k: as 68k"),
        "{page}"
    );
    assert!(
        page.lines().all(|line| line.chars().count() <= 80),
        "{page}"
    );
    let svg = fs::read_to_string(picture)?;
    assert!(svg.contains("<title>The maker's chart against the prediction</title>"));
    assert!(svg.contains("V9.6 above"), "the description tells it");

    let output = run(&[sheet, "--json"])?;
    assert_eq!(output.status.code(), Some(0));
    let answer: Value = serde_json::from_slice(&output.stdout)?;
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
    let sheet = folder.path().join("set.toml");
    let end = LARKFIELD.find("[chart]").ok_or("a chart")?;
    fs::write(&sheet, &LARKFIELD[..end])?;
    let output = run(&[sheet.to_str().ok_or("a plain path")?])?;
    assert_eq!(output.status.code(), Some(1));
    let message = String::from_utf8(output.stderr)?;
    assert!(message.contains("has no chart"), "{message}");
    assert!(message.contains("volts ="), "{message}");
    Ok(())
}
