//! Every pattern of a stage, from its answers to a solved set.
//!
//! Answers are the patterns' own examples, common practice of the period from
//! memory. The sheets are invented. What is checked is what must hold of any set: no
//! line lost, no fault, a settled state, and something told of every new tube.

use std::error::Error;

use serde_json::Value;

use crate::program::{Outcome, json, page, put, texts};
use crate::stage::{SUPPLY, patterns};

/// Tubes alone, for the patterns of supplies.
const TUBES: &str = include_str!("../sheets/tubes_alone.toml");

/// The form of a pattern, filled in with its examples.
fn filled_form(pattern: &str) -> Result<String, Box<dyn Error>> {
    let mut form = String::new();
    let mut example = String::new();
    for line in page(&["stage", pattern])?.lines() {
        if let Some(text) = line.strip_prefix("# Such as: ") {
            example = text.to_string();
        }
        form.push_str(line);
        if line.ends_with('=') {
            form.push_str(&format!(" {example}"));
        }
        form.push('\n');
    }
    // A double tube that is new is asked for its half.
    let halves = match pattern {
        "vertical-multivibrator" => "oscillator section = 1\noutput section = 2\n",
        "horizontal-oscillator" => "first section = 1\nsecond section = 2\n",
        "tuner-converter" => "mixer section = 1\noscillator section = 2\n",
        "sync-separator-triode" => "separator section = 1\n",
        "sync-amplifier" => "amplifier section = 1\n",
        "tuner-rf" => "amplifier cathode = 2\n",
        "vertical-blocking" => "oscillator section = 1\n",
        "picture-detector" => "detector section = 1\n",
        "horizontal-output" => "high voltage cathode = 2\n",
        "supply-transformer" => "rectifier tube cathode = 8\n",
        _ => "",
    };
    let form = form + halves;
    // The tubes of the examples have no such pins.
    Ok(match pattern {
        "sync-amplifier" => without(&form, &["screen", "suppressor"]),
        "vertical-multivibrator" => without(&form, &["screen"]),
        "tuner-converter" => without(&form, &["mixer screen"]),
        "picture-tube" => without(&form, &["focus feed"]),
        _ => form,
    })
}

/// A form without the answers whose questions begin so.
fn without(form: &str, openings: &[&str]) -> String {
    form.lines()
        .filter(|line| !openings.iter().any(|opening| line.starts_with(opening)))
        .map(|line| format!("{line}\n"))
        .collect()
}

#[test]
fn every_pattern_goes_from_answers_to_a_solved_set() -> Outcome {
    let mut computed = 0;
    let names = patterns()?;
    assert!(names.len() >= 27);
    for pattern in &names {
        computed += solved_by(pattern).map_err(|error| format!("{pattern}: {error}"))?;
    }
    // Most stages stand on their own supply and are told by their plate's volts.
    assert!(computed >= 15, "{computed}");
    Ok(())
}

/// Fills a pattern, checks the sheet, solves the set; how many plates of the stage were computed.
fn solved_by(pattern: &str) -> Result<usize, Box<dyn Error>> {
    let folder = tempfile::tempdir()?;
    let is_supply = pattern.starts_with("supply");
    let old = if is_supply { TUBES } else { SUPPLY };
    let sheet = put(folder.path(), "set.toml", old)?;
    let answers = put(folder.path(), "answers.txt", &filled_form(pattern)?)?;
    let (status, answer) = json(&["stage", pattern, &sheet, "--answers", &answers])?;
    assert_eq!(
        (status, &answer["written"]),
        (0, &Value::from(true)),
        "{answer:#}"
    );
    let new = std::fs::read_to_string(&sheet)?;
    let lines = texts(&answer, "lines", "text");
    assert!(lines.len() >= 7, "{answer:#}");
    // Every old line is there, in its order; every line told of is there as well.
    let mut rest = new.lines();
    for line in old.lines() {
        assert!(rest.any(|other| other == line), "{line} is gone");
    }
    for line in &lines {
        assert!(
            new.lines().any(|other| other.trim_start() == line),
            "{line}"
        );
    }
    let (status, told) = json(&["check", &sheet])?;
    assert_eq!((status, &told["ok"]), (0, &Value::from(true)), "{told:#}");
    // New tubes are lit from the heater winding of the sheet; the flyback lights its own.
    let tubes = texts(&answer, "lines", "text")
        .into_iter()
        .filter(|line| line.starts_with("[\"V") && line.matches('"').count() == 6)
        .filter_map(|line| line.split('"').nth(1).map(str::to_string))
        .filter(|tube| !new.contains(&format!("\"{tube}\", \"1B3")))
        .collect::<Vec<_>>();
    if !is_supply {
        let lit: Vec<String> = tubes.iter().map(|tube| format!("\"{tube}\"")).collect();
        let row = format!("parallel = [\"V51\", {}]", lit.join(", "));
        std::fs::write(&sheet, new.replace("parallel = [\"V51\"]", &row))?;
    }
    let (status, told) = json(&["expect", &sheet, "--line", "117", "--no-bands"])?;
    assert_eq!(status, 0, "{told:#}");
    let readings = told["readings"].as_array().ok_or("no readings")?;
    let volts = |at: &str| {
        let same = |one: &&Value| one["at"] == *at && one["what"] == "dc_volts";
        readings
            .iter()
            .find(same)
            .and_then(|one| one["expected"].as_f64())
    };
    let supply = volts("B+ main").ok_or("B+ is not told")?;
    assert!((90.0..450.0).contains(&supply), "{supply}");
    let unknown = told["unknown"]
        .as_array()
        .ok_or("no list of what is unknown")?;
    for tube in &tubes {
        let of_tube = |one: &&Value| {
            let at = one["at"].as_str().unwrap_or_default();
            at == tube || at.starts_with(&format!("{tube}."))
        };
        assert!(
            readings.iter().any(|one| of_tube(&one)) || unknown.iter().any(|one| of_tube(&one)),
            "nothing is said of {tube}"
        );
    }
    let is_plate = |one: &&Value| {
        let at = one["at"].as_str().unwrap_or_default();
        let of_stage = tubes.iter().any(|tube| at.split('.').next() == Some(tube));
        of_stage && one["what"] == "plate_milliamps"
    };
    Ok(readings.iter().filter(is_plate).count())
}
