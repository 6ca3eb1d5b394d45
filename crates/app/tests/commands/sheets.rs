//! Sheets right and wrong: places of faults, files that are no sheet, a pipe.
//!
//! Source of names and statuses: the manual (`docs/manual/scripts.md`), which fixes
//! them for scripts outside the project.

use serde_json::Value;

use crate::program::{LARKFIELD, LARKFIELD_TEXT, Outcome, check, json, put, run, typed, workspace};

#[test]
fn every_example_passes_check() -> Outcome {
    let mut folders = vec![workspace().join("examples")];
    let mut count = 0;
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder)? {
            let path = entry?.path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|ending| ending == "toml") {
                let name = path.display().to_string();
                let (status, answer) = json(&["check", &name])?;
                assert_eq!(status, 0, "{name}: {answer:#}");
                assert_eq!(answer["ok"], true, "{name}");
                count += 1;
            }
        }
    }
    assert!(count >= 2, "only {count} examples were found");
    Ok(())
}

#[test]
fn check_answers_in_its_fixed_form() -> Outcome {
    let (status, answer) = json(&["check", LARKFIELD])?;
    assert_eq!(status, 0);
    assert_eq!(answer["format"], 1);
    assert_eq!(answer["ok"], true);
    assert!(answer["faults"].as_array().is_some_and(Vec::is_empty));
    assert!(answer["notices"].is_array());
    Ok(())
}

#[test]
fn all_faults_of_a_sheet_are_told_with_their_places() -> Outcome {
    let folder = tempfile::tempdir()?;
    let sheet = "sheet = 1\nname = \"x\"\nline_volts = \"fast\"\nline_hertz = 60\ntubes = [\n  [\"V1\", \"6AU7x\", \"job\"],\n]\n";
    let name = put(folder.path(), "faulty.toml", sheet)?;
    for command in ["check", "expect", "ohms", "wake"] {
        let (status, answer) = json(&[command, &name])?;
        assert_eq!(status, 1, "{command}");
        assert_eq!(answer["ok"], false, "{command}");
        let faults = answer["faults"].as_array().ok_or("no faults")?;
        let lines: Vec<Option<u64>> = faults.iter().map(|fault| fault["line"].as_u64()).collect();
        assert_eq!(lines, [Some(3), Some(6)], "{command}: {answer:#}");
        for fault in faults {
            assert!(fault["column"].as_u64().is_some_and(|column| column > 1));
            assert!(fault["hint"].as_str().is_some_and(|hint| !hint.is_empty()));
        }
        assert!(answer.get("readings").is_none() && answer.get("steps").is_none());
    }
    // For people the line itself is shown, with the place marked.
    let output = run(&["check", &name])?;
    let page = String::from_utf8_lossy(&output.stdout);
    assert!(
        page.contains("line_volts = \"fast\"") && page.contains("^^^^^^"),
        "{page}"
    );
    Ok(())
}

#[test]
fn files_that_are_no_sheet_give_one_clear_message() -> Outcome {
    let folder = tempfile::tempdir()?;
    let in_folder = |name: &str| folder.path().join(name).display().to_string();
    std::fs::write(
        in_folder("binary"),
        [0u8, 159, 146, 150, 0, 1, 2, 3].repeat(500),
    )?;
    std::fs::write(in_folder("empty"), "")?;
    std::fs::File::create(in_folder("large"))?.set_len(9 * 1024 * 1024)?;
    for command in ["check", "expect", "ohms", "wake"] {
        check(&[command, &in_folder("not there")], 1, "no such file")?;
        check(
            &[command, &folder.path().display().to_string()],
            1,
            "a folder",
        )?;
        check(
            &[command, &in_folder("large")],
            1,
            "larger than 8 megabytes",
        )?;
        check(&[command, &in_folder("binary")], 1, "")?;
        check(&[command, &in_folder("empty")], 1, "")?;
        let (status, answer) = json(&[command, &in_folder("not there")])?;
        assert_eq!((status, &answer["ok"]), (1, &Value::Bool(false)));
        assert_eq!(answer["faults"].as_array().map(Vec::len), Some(1));
    }
    Ok(())
}

#[test]
fn ten_thousand_faulty_lines_are_survived() -> Outcome {
    let folder = tempfile::tempdir()?;
    let rows = "  [\"R1\", \"resistr\", \"4.7k\", \"V1.9\", \"chassis\"],\n".repeat(10_000);
    let path = put(
        folder.path(),
        "long.toml",
        &format!("sheet = 1\nparts = [\n{rows}]\n"),
    )?;
    let (status, answer) = json(&["check", &path])?;
    assert_eq!(status, 1);
    assert!(
        answer["faults"]
            .as_array()
            .is_some_and(|faults| faults.len() >= 10_000)
    );
    Ok(())
}

#[test]
fn a_sheet_may_come_from_a_pipe() -> Outcome {
    let (status, answer, _) = typed(&["check", "-", "--json"], LARKFIELD_TEXT)?;
    assert_eq!(status, 0);
    let answer: Value = serde_json::from_str(&answer)?;
    assert_eq!(answer["ok"], true);
    Ok(())
}
