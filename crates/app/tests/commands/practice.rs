//! A hidden fault looked for through the program.
//!
//! Source of what is held: the manual's page on `practice`.

use serde_json::Value;

use crate::program::{LARKFIELD, Outcome, check, json, keeps_to_eighty_columns, page};

#[test]
fn a_hidden_fault_is_measured_named_and_told() -> Outcome {
    let folder = tempfile::tempdir()?;
    let file = folder
        .path()
        .join("evening.restoration")
        .display()
        .to_string();
    let begin = ["practice", &file, "begin", "--number", "10"];
    let (status, begun) = json(&begin)?;
    assert_eq!(
        (status, &begun["state"]),
        (0, &Value::from("open")),
        "{begun}"
    );
    assert_eq!(begun["faults"], Value::Array(Vec::new()));
    // Never written over.
    check(&begin, 1, "already")?;
    let read = |place: &str| json(&["practice", &file, "read", place]);
    let (status, answer) = read("B+ main")?;
    assert_eq!(status, 0, "{answer}");
    let volts = answer["entry"]["says"]["value"]
        .as_f64()
        .ok_or("no value")?;
    // The sheet's own chart has 315 V there; no healthy supply of the kind is outside (common practice).
    assert!((100.0..450.0).contains(&volts), "{volts}");
    // Asked again it is the same, slip or not.
    let (_, again) = read("B+ main")?;
    assert_eq!(again["entry"]["says"]["value"].as_f64(), Some(volts));
    let (status, ohms) = json(&["practice", &file, "ohms", "B+ main"])?;
    assert_eq!(
        (status, &ohms["entry"]["says"]["what"]),
        (0, &Value::from("ohms"))
    );
    let (status, checked) = json(&["practice", &file, "check", "V9"])?;
    let found = checked["entry"]["says"]["found"]
        .as_str()
        .unwrap_or_default();
    assert!(status == 0 && found.contains("percent"), "{checked}");
    // The complaint is entered, and a signal is answered the same twice.
    let complaint = begun["complaint"].as_array().map_or(0, Vec::len);
    assert!(complaint > 0, "{begun}");
    let (_, story) = json(&["story", &file])?;
    assert!(story.to_string().contains("its owner says so"), "{story}");
    let signal = |end: &str| json(&["practice", &file, "signal", "--watched", end]);
    let (status, came) = signal("picture")?;
    assert_eq!(status, 0, "{came}");
    let came = came["entry"]["says"]["found"].clone();
    assert_eq!(signal("picture")?.1["entry"]["says"]["found"], came);
    check(
        &["practice", &file, "signal", "--watched", "V17.cap"],
        1,
        "pulses",
    )?;
    check(
        &["practice", &file, "signal", "--watched", "V99.1"],
        1,
        "no place",
    )?;
    check(&["practice", &file, "read", "V17.cap"], 1, "no meter goes")?;
    check(&["practice", &file, "name", "Z9"], 1, "has no `Z9`")?;
    // Found in the end, whatever it is: given up once in a copy, named in the file itself.
    let copy = folder.path().join("copy.restoration").display().to_string();
    assert_eq!(json(&["backup", &file, &copy])?.0, 0);
    let told = json(&["practice", &copy, "give-up"])?.1;
    assert_eq!(told["state"], "given_up");
    // The search itself finds this one, a leaky capacitor, within thirty.
    let own = told["own_measurements"].as_u64();
    assert!(own.is_some_and(|own| (1..=30).contains(&own)), "{told}");
    let part = told["faults"][0]["part"].as_str().ok_or("no part")?;
    let wrong = if part == "R71" { "R70" } else { "R71" };
    let (_, named) = json(&["practice", &file, "name", wrong])?;
    assert_eq!(
        (&named["state"], &named["named_wrongly"][0]),
        (&Value::from("open"), &Value::from(wrong))
    );
    let (_, named) = json(&["practice", &file, "name", &part.to_lowercase()])?;
    assert_eq!(
        (&named["state"], &named["measurements"]),
        (&Value::from("found"), &Value::from(6))
    );
    check(&["practice", &file, "name", part], 1, "has ended")?;
    let told = page(&["practice", &file])?;
    keeps_to_eighty_columns(&told);
    assert!(told.contains(part) && told.contains("Found"), "{told}");
    Ok(())
}

#[test]
fn what_is_no_practice_is_refused() -> Outcome {
    let folder = tempfile::tempdir()?;
    let file = folder.path().join("mine.restoration").display().to_string();
    assert_eq!(json(&["start", &file, LARKFIELD])?.0, 0);
    check(&["practice", &file], 1, "no practice file")?;
    check(&["practice", &file, "read", "V9.5"], 1, "no practice file")?;
    let other = folder
        .path()
        .join("other.restoration")
        .display()
        .to_string();
    check(
        &["practice", &other, "begin", "--faults", "9"],
        1,
        "one or two faults",
    )?;
    check(
        &["practice", &other, "begin", "--number", "0"],
        1,
        "numbers from 1",
    )
}
