//! `firstraster parts`: a list out of the sheet, worked on as a spreadsheet does, and back.
//!
//! Names and statuses are those of the manual; that nothing else of the sheet changes is
//! the sheet's own contract. The sheet is the invented example.

use std::error::Error;
use std::path::Path;
use std::process::{Command, Output, Stdio};

use serde_json::Value;

type Outcome = Result<(), Box<dyn Error>>;

const LARKFIELD: &str = include_str!("../../../examples/larkfield_12t.toml");

fn run(arguments: &[&str]) -> Result<Output, Box<dyn Error>> {
    Ok(Command::new(assert_cmd::cargo::cargo_bin!("firstraster"))
        .args(arguments)
        .stdin(Stdio::null())
        .output()?)
}

fn json(arguments: &[&str]) -> Result<(i32, Value), Box<dyn Error>> {
    let output = run(&[arguments, &["--json"]].concat())?;
    let status = output.status.code().ok_or("ended by a signal")?;
    let answer = serde_json::from_slice(&output.stdout)
        .map_err(|error| format!("{arguments:?}: {error}: {output:?}"))?;
    Ok((status, answer))
}

fn put(folder: &Path, name: &str, text: &str) -> Result<String, Box<dyn Error>> {
    let path = folder.join(name);
    std::fs::write(&path, text)?;
    Ok(path.display().to_string())
}

#[test]
fn the_list_goes_out_and_back_without_a_byte_changed() -> Outcome {
    let folder = tempfile::tempdir()?;
    let sheet = put(folder.path(), "set.toml", LARKFIELD)?;
    let list = folder.path().join("parts.csv").display().to_string();
    let output = run(&["parts", &sheet, "--into", &list, "--semicolons"])?;
    assert_eq!(output.status.code(), Some(0));
    assert!(String::from_utf8(output.stdout)?.contains("71 parts written into"));
    let (status, answer) = json(&["parts", &sheet, "--take", &list])?;
    assert_eq!((status, &answer["written"]), (0, &Value::from(false)));
    assert_eq!(std::fs::read_to_string(&sheet)?, LARKFIELD);
    // Onto the screen the list comes alone.
    let screen = String::from_utf8(run(&["parts", &sheet])?.stdout)?;
    assert_eq!(
        screen.replace(',', ";"),
        std::fs::read_to_string(&list)?.replace(',', ";")
    );
    assert!(screen.starts_with("ref,kind,value,from,to,third,replaced,"));
    let (_, answer) = json(&["parts", &sheet])?;
    let parts = answer["parts"].as_array().ok_or("no parts")?;
    assert_eq!(parts.len(), 71);
    let can = parts
        .iter()
        .find(|part| part["ref"] == "C1A")
        .ok_or("no C1A")?;
    assert_eq!(
        (&can["replaced"], &can["value"]),
        (&true.into(), &"40 mfd 450 V".into())
    );
    Ok(())
}

#[test]
fn a_list_is_never_written_over_and_marks_its_letters() -> Outcome {
    let folder = tempfile::tempdir()?;
    let sheet = put(
        folder.path(),
        "set.toml",
        &LARKFIELD.replace("\"B+ 140\"", "\"B+ tünér\""),
    )?;
    let list = folder.path().join("parts.csv").display().to_string();
    assert_eq!(
        run(&["parts", &sheet, "--into", &list])?.status.code(),
        Some(0)
    );
    assert!(std::fs::read(&list)?.starts_with(&[0xef, 0xbb, 0xbf]));
    for taken in [&list, &sheet] {
        let output = run(&["parts", &sheet, "--into", taken])?;
        assert_eq!(output.status.code(), Some(1));
        assert!(String::from_utf8(output.stderr)?.contains("there already"));
    }
    let (status, answer) = json(&["parts", &sheet, "--take", &list])?;
    assert_eq!(
        (status, answer["changed"].as_array().map(Vec::len)),
        (0, Some(0))
    );
    Ok(())
}

#[test]
fn a_worked_list_is_taken_or_refused_as_a_whole() -> Outcome {
    let folder = tempfile::tempdir()?;
    let sheet = put(folder.path(), "set.toml", LARKFIELD)?;
    let rows = "R30;22k 10 W 10%;resistor;B+ main;chassis;x;\r\nC90;0.1 mfd 600 V;film;B+ main;chassis;yes;\r\n";
    // The example names R30 as original, so it cannot be replaced as well.
    let list = format!("REF;Value;kind;from;to;replaced;bought at\r\n{rows}");
    let list = put(folder.path(), "parts.csv", &list)?;
    let (status, answer) = json(&["parts", &sheet, "--take", &list])?;
    let fault = &answer["faults"][0];
    assert_eq!(
        (status, &fault["line"], &fault["column"]),
        (1, &2.into(), &6.into()),
        "{answer:#}"
    );
    assert_eq!(std::fs::read_to_string(&sheet)?, LARKFIELD);
    // With the column that clears it all goes.
    let list = format!("REF;Value;kind;from;to;replaced;original\r\n{rows}");
    let list = put(folder.path(), "parts.csv", &list)?;
    let (status, answer) = json(&["parts", &sheet, "--take", &list, "--only-show"])?;
    assert_eq!(
        (status, &answer["written"]),
        (0, &Value::from(false)),
        "{answer:#}"
    );
    assert_eq!(std::fs::read_to_string(&sheet)?, LARKFIELD);
    let (status, answer) = json(&["parts", &sheet, "--take", &list])?;
    assert_eq!((status, &answer["written"]), (0, &Value::from(true)));
    let new = std::fs::read_to_string(&sheet)?;
    assert!(
        new.contains("replaced = [\"C1A\", \"C1B\", \"R30\", \"C90\"]"),
        "{new}"
    );
    assert!(new.contains("original = [\"R31\"]"), "{new}");
    assert_eq!(json(&["check", &sheet])?.0, 0);
    Ok(())
}

#[test]
fn faults_name_line_and_column_as_a_spreadsheet_does() -> Outcome {
    let folder = tempfile::tempdir()?;
    let sheet = put(folder.path(), "set.toml", LARKFIELD)?;
    let list = put(
        folder.path(),
        "parts.csv",
        "ref,kind,value\nR30,resistor,05. Jan\nC2,papper,0.01 mfd 600 V\nR31,resistor,\"4,7k\"\n",
    )?;
    let (status, answer) = json(&["parts", &sheet, "--take", &list])?;
    assert_eq!((status, &answer["ok"]), (1, &Value::from(false)));
    let faults = answer["faults"].as_array().ok_or("no faults")?;
    let places: Vec<(Option<u64>, Option<u64>)> = faults
        .iter()
        .map(|fault| (fault["line"].as_u64(), fault["column"].as_u64()))
        .collect();
    assert_eq!(
        places,
        [(Some(2), Some(3)), (Some(3), Some(2)), (Some(4), Some(3))],
        "{answer:#}"
    );
    let output = run(&["parts", &sheet, "--take", &list])?;
    let said = String::from_utf8(output.stderr)?;
    assert!(
        said.contains("line 2, column C (value)") && said.contains("the sheet says `27k 10 W 10%`"),
        "{said}"
    );
    assert_eq!(std::fs::read_to_string(&sheet)?, LARKFIELD);
    for (arguments, wanted) in [
        (
            ["parts", "none.toml", "--take", list.as_str()],
            "no such file",
        ),
        (
            ["parts", sheet.as_str(), "--take", "none.csv"],
            "no such file",
        ),
        (["parts", list.as_str(), "--into", "none.csv"], "fault"),
    ] {
        let output = run(&arguments)?;
        assert_eq!(output.status.code(), Some(1), "{arguments:?}");
        assert!(
            String::from_utf8(output.stderr)?.contains(wanted),
            "{arguments:?}"
        );
    }
    Ok(())
}

#[test]
fn parts_go_out_of_the_sheet_only_when_told() -> Outcome {
    let folder = tempfile::tempdir()?;
    let sheet = put(folder.path(), "set.toml", LARKFIELD)?;
    let csv = String::from_utf8(run(&["parts", &sheet])?.stdout)?;
    let fewer: String = csv
        .lines()
        .filter(|line| !line.starts_with("C42,") && !line.starts_with("C1B,"))
        .map(|line| format!("{line}\r\n"))
        .collect();
    let list = put(folder.path(), "parts.csv", &fewer)?;
    let (_, answer) = json(&["parts", &sheet, "--take", &list])?;
    assert_eq!(answer["kept"], serde_json::json!(["C1B", "C42"]));
    assert_eq!(std::fs::read_to_string(&sheet)?, LARKFIELD);
    let (status, answer) = json(&["parts", &sheet, "--take", &list, "--remove-missing"])?;
    assert_eq!(
        (status, &answer["written"]),
        (0, &Value::from(true)),
        "{answer:#}"
    );
    let new = std::fs::read_to_string(&sheet)?;
    let gone: Vec<&str> = LARKFIELD
        .lines()
        .filter(|line| !new.lines().any(|own| own == *line))
        .collect();
    // Two rows, and the line of `[state]` that named one of them.
    assert_eq!(gone.len(), 3, "{gone:#?}");
    assert!(new.contains("replaced = [\"C1A\"]"));
    let (status, told) = json(&["check", &sheet])?;
    assert_eq!((status, &told["ok"]), (0, &Value::from(true)));
    Ok(())
}

#[test]
fn pages_tell_what_changed() -> Outcome {
    let folder = tempfile::tempdir()?;
    let sheet = put(folder.path(), "set.toml", LARKFIELD)?;
    let list = put(
        folder.path(),
        "parts.csv",
        "ref,kind,value,from,to,remark\nR45,resistor,24k 1 W 10%,V9.5,B+ 275,new\nR90,resistor,1 meg,V9.5,chassis,\n",
    )?;
    let page = String::from_utf8(run(&["parts", &sheet, "--take", &list])?.stdout)?;
    for wanted in [
        "R45",
        "22k 1 W 10%",
        "24k 1 W 10%",
        "[\"R90\"",
        "kept in the sheet",
        "remark",
        "Written into",
    ] {
        assert!(page.contains(wanted), "{wanted}\n{page}");
    }
    let new = std::fs::read_to_string(&sheet)?;
    let changed = LARKFIELD
        .lines()
        .filter(|line| !new.lines().any(|own| own == *line))
        .count();
    assert_eq!(
        (changed, new.lines().count()),
        (1, LARKFIELD.lines().count() + 1)
    );
    Ok(())
}
