//! `firstraster parts`: a list out of the sheet, worked on as a spreadsheet does, and back.
//!
//! Names and statuses are those of the manual; that nothing else of the sheet changes is
//! the sheet's own contract. The sheet is the invented example.

use serde_json::Value;

use crate::program::{LARKFIELD_TEXT, Outcome, check, json, page, put, texts};

#[test]
fn the_list_goes_out_and_back_without_a_byte_changed() -> Outcome {
    let folder = tempfile::tempdir()?;
    let sheet = put(folder.path(), "set.toml", LARKFIELD_TEXT)?;
    let list = folder.path().join("parts.csv").display().to_string();
    // Rows of `parts` in the example, counted there.
    let said = page(&["parts", &sheet, "--into", &list, "--semicolons"])?;
    assert!(said.contains("71 parts written into"), "{said}");
    let (status, answer) = json(&["parts", &sheet, "--take", &list])?;
    assert_eq!((status, &answer["written"]), (0, &Value::from(false)));
    assert_eq!(std::fs::read_to_string(&sheet)?, LARKFIELD_TEXT);
    // Onto the screen the list comes alone.
    let screen = page(&["parts", &sheet])?;
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
        &LARKFIELD_TEXT.replace("\"B+ 140\"", "\"B+ tünér\""),
    )?;
    let list = folder.path().join("parts.csv").display().to_string();
    page(&["parts", &sheet, "--into", &list])?;
    assert!(std::fs::read(&list)?.starts_with(&[0xef, 0xbb, 0xbf]));
    for taken in [&list, &sheet] {
        check(&["parts", &sheet, "--into", taken], 1, "there already")?;
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
    let sheet = put(folder.path(), "set.toml", LARKFIELD_TEXT)?;
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
    assert_eq!(std::fs::read_to_string(&sheet)?, LARKFIELD_TEXT);
    // With the column that clears it all goes.
    let list = format!("REF;Value;kind;from;to;replaced;original\r\n{rows}");
    let list = put(folder.path(), "parts.csv", &list)?;
    let (status, answer) = json(&["parts", &sheet, "--take", &list, "--only-show"])?;
    assert_eq!(
        (status, &answer["written"]),
        (0, &Value::from(false)),
        "{answer:#}"
    );
    assert_eq!(std::fs::read_to_string(&sheet)?, LARKFIELD_TEXT);
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
    let sheet = put(folder.path(), "set.toml", LARKFIELD_TEXT)?;
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
    for wanted in ["line 2, column C (value)", "the sheet says `27k 10 W 10%`"] {
        check(&["parts", &sheet, "--take", &list], 1, wanted)?;
    }
    assert_eq!(std::fs::read_to_string(&sheet)?, LARKFIELD_TEXT);
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
        check(&arguments, 1, wanted)?;
    }
    Ok(())
}

#[test]
fn parts_go_out_of_the_sheet_only_when_told() -> Outcome {
    let folder = tempfile::tempdir()?;
    let sheet = put(folder.path(), "set.toml", LARKFIELD_TEXT)?;
    let csv = page(&["parts", &sheet])?;
    let fewer: String = csv
        .lines()
        .filter(|line| !line.starts_with("C42,") && !line.starts_with("C1B,"))
        .map(|line| format!("{line}\r\n"))
        .collect();
    let list = put(folder.path(), "parts.csv", &fewer)?;
    let (_, answer) = json(&["parts", &sheet, "--take", &list])?;
    assert_eq!(answer["kept"], serde_json::json!(["C1B", "C42"]));
    assert_eq!(std::fs::read_to_string(&sheet)?, LARKFIELD_TEXT);
    let (status, answer) = json(&["parts", &sheet, "--take", &list, "--remove-missing"])?;
    assert_eq!(
        (status, &answer["written"]),
        (0, &Value::from(true)),
        "{answer:#}"
    );
    let new = std::fs::read_to_string(&sheet)?;
    let gone: Vec<&str> = LARKFIELD_TEXT
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
    let sheet = put(folder.path(), "set.toml", LARKFIELD_TEXT)?;
    let list = put(
        folder.path(),
        "parts.csv",
        "ref,kind,value,from,to,remark\nR45,resistor,24k 1 W 10%,V9.5,B+ 275,new\nR90,resistor,1 meg,V9.5,chassis,\n",
    )?;
    let page = page(&["parts", &sheet, "--take", &list])?;
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
    let changed = LARKFIELD_TEXT
        .lines()
        .filter(|line| !new.lines().any(|own| own == *line))
        .count();
    assert_eq!(
        (changed, new.lines().count()),
        (1, LARKFIELD_TEXT.lines().count() + 1)
    );
    Ok(())
}

#[test]
fn a_can_written_the_wrong_way_round_is_told_at_once() -> Outcome {
    let folder = tempfile::tempdir()?;
    let sheet = put(folder.path(), "set.toml", LARKFIELD_TEXT)?;
    // The sheet's contract: `from` of an electrolytic is its + end, and B+ is above the chassis.
    let heading = "ref,kind,value,from,to\n";
    let row =
        |from: &str, to: &str| format!("{heading}C90,electrolytic,10 mfd 450 V,{from},{to}\n");
    for (from, to, wanted) in [("chassis", "B+ main", 1), ("B+ main", "chassis", 0)] {
        let list = put(folder.path(), "parts.csv", &row(from, to))?;
        let (status, answer) = json(&["parts", &sheet, "--take", &list, "--only-show"])?;
        assert_eq!(status, 0, "{answer:#}");
        let told = texts(&answer, "notices", "text");
        let turned = told
            .iter()
            .filter(|text| text.starts_with("C90: its + end"));
        assert_eq!(turned.count(), wanted, "{told:#?}");
    }
    Ok(())
}

#[test]
fn a_state_that_is_no_state_is_a_fault_of_the_sheet() -> Outcome {
    let folder = tempfile::tempdir()?;
    let old = "replaced = [";
    assert!(LARKFIELD_TEXT.contains(old));
    let text = LARKFIELD_TEXT.replacen(old, "replaced = \"C1A\"\nothers = [", 1);
    let sheet = put(folder.path(), "set.toml", &text)?;
    let list = put(folder.path(), "parts.csv", "ref,replaced\nC2,yes\n")?;
    let (status, answer) = json(&["parts", &sheet, "--take", &list])?;
    let line = text
        .lines()
        .position(|line| line.starts_with("replaced = "));
    let faults = answer["faults"].as_array().ok_or("no faults")?;
    let lines: Vec<Option<u64>> = faults.iter().map(|fault| fault["line"].as_u64()).collect();
    assert_eq!(status, 1, "{answer:#}");
    assert!(
        lines.contains(&line.map(|line| line as u64 + 1)),
        "{answer:#}"
    );
    assert_eq!(std::fs::read_to_string(&sheet)?, text);
    Ok(())
}
