//! The drive of the horizontal output tube, read as nothing: what `reading`, `suspects` and `next` say.
//!
//! Source of what is held: that such a tube burns within a minute or two is common practice; the manual's pages on
//! `reading` and `suspects`.

use std::path::Path;

use serde_json::Value;

use crate::program::{AT, Outcome, json, keeps_to_eighty_columns, page};

const LARKFIELD: &str = "examples/whole/larkfield_12t.toml";
const MERROW: &str = "examples/whole/merrow_17s.toml";

/// A restoration of this sheet in a folder.
fn started(folder: &Path, sheet: &str) -> Result<String, Box<dyn std::error::Error>> {
    let file = folder.join("a.restoration").display().to_string();
    let (status, _) = json(&[&["start", &file, sheet][..], &AT].concat())?;
    assert_eq!(status, 0);
    Ok(file)
}

fn read(file: &str, rest: &[&str]) -> Result<Value, Box<dyn std::error::Error>> {
    let conditions = ["--line", "117", "--meter", "10M"];
    let (status, answer) = json(&[&["reading", file][..], rest, &conditions, &AT].concat())?;
    assert_eq!(status, 0, "{answer:#}");
    Ok(answer["judged"].clone())
}

#[test]
fn no_drive_stands_before_everything_and_nothing_under_power_is_offered() -> Outcome {
    for (sheet, grid, volts) in [(LARKFIELD, "V17.5", "0 V"), (MERROW, "V14.5", "-0.2 V")] {
        let folder = tempfile::tempdir()?;
        let file = started(folder.path(), sheet)?;
        let judged = read(&file, &[grid, volts])?;
        let head = judged["danger"]["head"].as_str().unwrap_or_default();
        assert!(head.contains("pull the plug now"), "{judged:#}");
        assert_eq!(judged["next"], Value::Null, "{judged:#}");
        // Whatever is read next, as long as nothing else is known of the grid.
        let judged = read(&file, &["boost", "260 V"])?;
        assert_ne!(judged["danger"], Value::Null, "{judged:#}");
        assert_eq!(judged["next"], Value::Null, "{judged:#}");
        let told = page(&["suspects", &file])?;
        assert!(told.starts_with("STOP. PULL THE PLUG."), "{told}");
        keeps_to_eighty_columns(&told);
        let told = page(&["suspects", &file, "next"])?;
        assert!(told.starts_with("STOP. PULL THE PLUG."), "{told}");
        assert!(!told.contains("no reading shows it"), "{told}");
        keeps_to_eighty_columns(&told);
        let (_, next) = json(&["suspects", &file, "next"])?;
        let offers = next["offers"].as_array().cloned().unwrap_or_default();
        assert!(!offers.is_empty(), "{next:#}");
        for own in &offers {
            let kind = own["kind"].as_str().unwrap_or_default();
            // Cold resistances are read with the plug out.
            if kind == "read" {
                assert_eq!(own["what"], "ohms", "{own:#}");
                assert!(own["acts"].to_string().contains("Pull the plug"), "{own:#}");
                continue;
            }
            assert!(
                !["signal", "tube_exchange", "loose_end"].contains(&kind),
                "{own:#}"
            );
        }
        // Nobody is sent to look again with the plug in.
        let again = [
            "reading", &file, grid, volts, "--line", "117", "--meter", "10M",
        ];
        let told = page(&[&again[..], &AT].concat())?;
        assert!(
            told.contains("HIGH") && !told.contains("Look again"),
            "{told}"
        );
        // Once drive was read the set may run.
        let judged = read(&file, &[grid, "-31 V"])?;
        assert_eq!(judged["danger"], Value::Null, "{judged:#}");
        assert!(page(&["suspects", &file])?.starts_with("What explains"));
    }
    Ok(())
}

#[test]
fn with_the_tube_out_or_its_string_dark_nothing_burns() -> Outcome {
    let folder = tempfile::tempdir()?;
    let file = started(folder.path(), LARKFIELD)?;
    let judged = read(&file, &["V17.5", "0 V", "--pulled", "V17"])?;
    assert_eq!(judged["danger"], Value::Null, "{judged:#}");
    assert!(page(&["suspects", &file])?.starts_with("What explains"));
    let (_, next) = json(&["suspects", &file, "next"])?;
    assert_eq!(next["danger"], Value::Null, "{next:#}");
    let first = next["first"][0].as_str().unwrap_or_default();
    assert!(first.contains("V17 is out of its socket"), "{next:#}");
    // Its heater string is dark: said, and not first.
    let folder = tempfile::tempdir()?;
    let file = started(folder.path(), MERROW)?;
    assert_eq!(
        json(&[&["suspects", &file, "glow", "V9", "dark"][..], &AT].concat())?.0,
        0
    );
    let judged = read(&file, &["V14.5", "0 V"])?;
    assert_eq!(judged["danger"], Value::Null, "{judged:#}");
    let (_, next) = json(&["suspects", &file, "next"])?;
    let first = next["first"].as_array().cloned().unwrap_or_default();
    let drive = |own: &Value| own.to_string().contains("drive");
    assert!(!first.iter().any(drive), "{next:#}");
    let notices = next["notices"].as_array().cloned().unwrap_or_default();
    assert!(notices.iter().any(drive), "{next:#}");
    Ok(())
}
