//! What is noticed beside the meter, through the program.
//!
//! Source of what is held: the manual's page on `suspects`; that a signal heard from a grid on clears what lies
//! before it is common practice.

use serde_json::Value;

use crate::program::{AT, Outcome, json, keeps_to_eighty_columns, page, weight};

const WHOLE: &str = "examples/whole/larkfield_12t.toml";

#[test]
fn a_silent_set_is_hunted_without_a_reading() -> Outcome {
    let folder = tempfile::tempdir()?;
    let file = folder.path().join("a.restoration").display().to_string();
    let run = |arguments: &[&str]| json(&[arguments, &AT].concat());
    let suspects = |rest: &[&str]| run(&[&["suspects", &file][..], rest].concat());
    assert_eq!(run(&["start", &file, WHOLE])?.0, 0);
    let (status, answer) = json(&["suspects", &file, "noticed"])?;
    assert_eq!(status, 0);
    let count = answer["symptoms"].as_array().map_or(0, Vec::len);
    assert!(count >= 60, "{count}");
    keeps_to_eighty_columns(&page(&["suspects", &file, "noticed"])?);
    // Words that may be several, and none: nothing is written.
    assert_eq!(suspects(&["noticed", "horizontal"])?.0, 1);
    assert_eq!(suspects(&["noticed", "it broke"])?.0, 1);
    assert_eq!(
        suspects(&["signal", "lost", "--watched", "sound", "--fed", "V99.1"])?.0,
        1
    );
    assert_eq!(suspects(&["signal", "gone", "--watched", "sound"])?.0, 1);
    assert_eq!(suspects(&["glow", "V9", "blinking"])?.0, 1);
    let (_, answer) = json(&["suspects", &file])?;
    assert_eq!(answer["verdict"], "nothing_read", "{answer:#}");
    assert_eq!(suspects(&["noticed", "loudspeaker silent"])?.0, 0);
    let (_, before) = json(&["suspects", &file])?;
    assert_eq!(before["noticed"][0]["state"], "weighed", "{before:#}");
    assert!(weight(&before, "C50") > 0.05, "{before:#}");
    let fed = |place, came| suspects(&["signal", came, "--fed", place, "--watched", "sound"]);
    assert_eq!(fed("V15.5", "right")?.0, 0);
    assert_eq!(fed("V13.7", "lost")?.0, 0);
    assert_eq!(suspects(&["glow", "V15", "as usual"])?.0, 0);
    assert_eq!(
        suspects(&["pulled", "V13", "gone", "--watched", "sound"])?.0,
        0
    );
    assert_eq!(
        suspects(&["pulled", "V13", "gone", "--watched", "V9.5"])?.0,
        1
    );
    assert_eq!(suspects(&["warms", "comes"])?.0, 0);
    assert_eq!(suspects(&["warms", "sideways"])?.0, 1);
    let (_, warm) = json(&["suspects", &file])?;
    let states: Vec<&Value> = (0..6).map(|at| &warm["noticed"][at]["state"]).collect();
    assert!(states.iter().all(|own| **own == "weighed"), "{warm:#}");
    for _ in 0..2 {
        assert_eq!(run(&["undo", &file])?.0, 0);
    }
    let (_, after) = json(&["suspects", &file])?;
    assert_eq!(after["verdict"], "suspects", "{after:#}");
    assert_eq!(after["suspects"][0]["part"], "C50");
    assert!(weight(&after, "C50") > 1.5 * weight(&before, "C50"));
    let told = page(&["suspects", &file])?;
    keeps_to_eighty_columns(&told);
    assert!(
        told.contains("4 things noticed") && told.contains("Noticed"),
        "{told}"
    );
    let (_, case) = json(&["suspects", &file, "explain", "C50"])?;
    assert_eq!(
        case["noticed"].as_array().map_or(0, Vec::len),
        4,
        "{case:#}"
    );
    // A repair makes all of it one of the former state.
    assert_eq!(run(&["fit", &file, "C50", "0.01 mfd 630 V"])?.0, 0);
    let (_, repaired) = json(&["suspects", &file])?;
    assert_eq!(repaired["verdict"], "nothing_read", "{repaired:#}");
    assert_eq!(repaired["noticed"][0]["state"], "former");
    Ok(())
}

/// Common practice: an open screen resistor shows on an ohms chart; the others read as they should.
#[test]
fn cold_resistances_are_weighed() -> Outcome {
    let folder = tempfile::tempdir()?;
    let file = folder.path().join("a.restoration").display().to_string();
    let run = |arguments: &[&str]| json(&[arguments, &AT].concat());
    assert_eq!(run(&["start", &file, WHOLE])?.0, 0);
    // As `ohms` tells them, but for the first.
    for (at, value) in [
        ("V3.6", "open"),
        ("V4.6", "110k"),
        ("V5.6", "95k"),
        ("V11.6", "110k"),
    ] {
        let (status, answer) = run(&["reading", &file, at, value, "--plug-out"])?;
        assert_eq!(status, 0, "{answer:#}");
    }
    let (status, answer) = json(&["suspects", &file])?;
    assert_eq!(status, 0);
    let rows = answer["readings"].as_array().ok_or("readings")?;
    assert!(
        rows.iter().all(|row| row["state"] == "weighed"),
        "{answer:#}"
    );
    assert_eq!(rows[0]["verdict"], "high");
    assert_eq!(rows[0]["value"], Value::Null);
    assert_eq!(answer["suspects"][0]["part"], "R121", "{answer:#}");
    let told = page(&["suspects", &file])?;
    keeps_to_eighty_columns(&told);
    assert!(told.contains("Read with the plug out"), "{told}");
    // A lamp that is nearly dark, where that of a healthy set glows: a word is a reading.
    let lamp = ["--line", "117", "--lamp", "100"];
    let (status, answer) = run(&[&["reading", &file, "lamp", "dull red"][..], &lamp].concat())?;
    assert_eq!(status, 0, "{answer:#}");
    assert_eq!(
        answer["entry"]["typed"].as_str().unwrap_or("dull red"),
        "dull red"
    );
    let (_, answer) = json(&["suspects", &file])?;
    let rows = answer["readings"].as_array().ok_or("readings")?;
    let last = rows.last().ok_or("a reading")?;
    assert_eq!(
        (&last["state"], &last["what"]),
        (&"weighed".into(), &"lamp_volts_rms".into()),
        "{answer:#}"
    );
    assert_eq!(answer["conditions"].as_array().map_or(0, Vec::len), 2);
    // What comes next may be ohms, or anything under power once the drive is seen.
    let (status, offers) = json(&["suspects", &file, "next"])?;
    assert_eq!(status, 0);
    keeps_to_eighty_columns(&page(&["suspects", &file, "next"])?);
    let list = offers["offers"].as_array().ok_or("offers")?;
    assert!(!list.is_empty());
    Ok(())
}
