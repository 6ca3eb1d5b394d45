//! Entries that cannot be said of the part they name: refused in one message, with nothing written, or kept and told.
//!
//! Source of what is held: the manual's pages on `suspects`, `test`, `fit` and `reading`; bases and heaters as the
//! makers' manuals have them (data/tubes.csv).

use serde_json::Value;

use crate::program::{AT, Outcome, check, json};

const WHOLE: &str = "examples/whole/larkfield_12t.toml";

fn started(folder: &tempfile::TempDir) -> Result<String, Box<dyn std::error::Error>> {
    let file = folder.path().join("a.restoration").display().to_string();
    assert_eq!(json(&[&["start", &file, WHOLE][..], &AT].concat())?.0, 0);
    Ok(file)
}

fn entries(file: &str) -> Result<usize, Box<dyn std::error::Error>> {
    let (_, story) = json(&["story", file])?;
    Ok(story["entries"].as_array().map_or(0, Vec::len))
}

#[test]
fn what_does_not_suit_the_part_is_refused_and_nothing_is_written() -> Outcome {
    let folder = tempfile::tempdir()?;
    let file = started(&folder)?;
    for (line, wanted) in [
        (
            &["suspects", &file, "glow", "R72", "dark"][..],
            "R72: a resistor",
        ),
        (
            &[
                "suspects",
                &file,
                "pulled",
                "R72",
                "gone",
                "--watched",
                "sound",
            ],
            "no tube",
        ),
        (&["test", &file, "R72", "--percent", "40"], "tell of a tube"),
        (
            &["test", &file, "C50", "--micromhos", "900"],
            "tell of a tube",
        ),
        (
            &["test", &file, "V9", "--percent", "400"],
            "400 percent were read",
        ),
        (&["test", &file, "V9", "--percent", "-3"], "0 to 200"),
        (&["test", &file, "V9", "--micromhos", "-3"], "0 to 200000"),
        (
            &["test", &file, "V16", "--section", "7", "--percent", "60"],
            "its sections are 1, 2",
        ),
        (
            &["test", &file, "V9", "--section", "2", "--percent", "60"],
            "one only",
        ),
        (
            &["suspects", &file, "cleared", "C50", "--by", "tester"],
            "`leakage`, `capacitance`, `ohms` or `exchange`",
        ),
        (
            &["suspects", &file, "cleared", "V9", "--by", "ohms"],
            "an open heater and clears nothing else",
        ),
        (
            &[
                "suspects",
                &file,
                "condemned",
                "V9",
                "leaky",
                "--by",
                "capacitance",
            ],
            "checked by `tester`",
        ),
        (
            &["suspects", &file, "cleared", "R72", "--by", "leakage"],
            "`ohms` or `exchange`",
        ),
        (&["reading", &file, "V9.99", "5 V"], "has no pin 99"),
        (&["reading", &file, "V9.8", "5 V"], "has 7 pins"),
        (&["reading", &file, "V16.9", "5 V"], "has 8 pins"),
        (
            &["reading", &file, "V16.5", "5 V", "--to", "V16.0"],
            "no pin 0",
        ),
        (
            &[
                "suspects",
                &file,
                "signal",
                "lost",
                "--watched",
                "sound",
                "--fed",
                "V16.9",
            ],
            "has 8 pins",
        ),
        (
            &["suspects", &file, "what-if", "W1", "open"],
            "no fault of W1",
        ),
    ] {
        check(line, 1, wanted)?;
    }
    assert_eq!(entries(&file)?, 1);
    Ok(())
}

#[test]
fn the_shorted_turns_of_each_winding_are_told_apart() -> Outcome {
    let folder = tempfile::tempdir()?;
    let file = started(&folder)?;
    let (status, told) = json(&[
        "suspects",
        &file,
        "what-if",
        "T1",
        "shorted turns of rectifier",
    ])?;
    assert_eq!(status, 0, "{told:#}");
    assert_eq!(told["fault"], "shorted turns of rectifier");
    let (_, told) = json(&["suspects", &file, "explain", "T1"])?;
    let ways = told["ways"].as_array().cloned().unwrap_or_default();
    let mut names: Vec<&str> = ways
        .iter()
        .filter_map(|own| own["fault"].as_str())
        .collect();
    let count = names.len();
    names.sort_unstable();
    names.dedup();
    assert!(count > 2 && names.len() == count, "{told:#}");
    Ok(())
}

#[test]
fn a_signal_to_which_no_way_leads_is_told_when_it_is_entered() -> Outcome {
    let folder = tempfile::tempdir()?;
    let file = started(&folder)?;
    let signal = |fed: &str| {
        let line = [
            "suspects",
            &file,
            "signal",
            "weak",
            "--fed",
            fed,
            "--watched",
            "sound",
        ];
        json(&[&line[..], &AT].concat())
    };
    // The sound output drives the loudspeaker; nothing goes from the boosted line to it.
    let (status, told) = signal("V15.5")?;
    assert_eq!((status, told["notices"].to_string().as_str()), (0, "[]"));
    let (status, told) = signal("V17.5")?;
    assert_eq!(status, 0);
    assert!(
        told["notices"].to_string().contains("no way for a signal"),
        "{told:#}"
    );
    Ok(())
}

#[test]
fn what_does_suit_it_is_taken() -> Outcome {
    let folder = tempfile::tempdir()?;
    let file = started(&folder)?;
    for line in [
        &["test", &file, "V16", "--section", "2", "--percent", "60"][..],
        &["test", &file, "V9", "--percent", "120"],
        &["test", &file, "C50", "--verdict", "leaky"],
        &["suspects", &file, "cleared", "C50", "--by", "leakage"],
        &["suspects", &file, "cleared", "V9", "--by", "tester"],
        &[
            "suspects",
            &file,
            "condemned",
            "V9",
            "heater open",
            "--by",
            "ohms",
        ],
        &["suspects", &file, "cleared", "R72", "--by", "exchange"],
        &["suspects", &file, "glow", "V9", "dark"],
        // More than was transcribed is entered, as before.
        &["test", &file, "V77", "--percent", "40"],
        &["reading", &file, "V9.3", "6.3 V a.c."],
    ] {
        let (status, answer) = json(&[line, &AT].concat())?;
        assert_eq!(status, 0, "{line:?}: {answer:#}");
    }
    assert_eq!(entries(&file)?, 11);
    Ok(())
}

#[test]
fn what_is_doubtful_is_kept_and_told() -> Outcome {
    let folder = tempfile::tempdir()?;
    let file = started(&folder)?;
    let enter = |line: &[&str]| -> Result<Value, Box<dyn std::error::Error>> {
        let (status, answer) = json(&[line, &AT].concat())?;
        assert_eq!(status, 0, "{answer:#}");
        Ok(answer)
    };
    let told = enter(&["fit", &file, "R72", "47 bananas"])?;
    let notices = told["notices"].to_string();
    assert!(notices.contains("`47 bananas` cannot be read"), "{notices}");
    assert!(
        notices.contains("counts as new with the old value"),
        "{notices}"
    );
    let told = enter(&["fit", &file, "V16", "12AX7"])?;
    let notices = told["notices"].to_string();
    for wanted in [
        "noval-9, not octal-8",
        "12.6 V, not 6.3 V",
        "No power before",
    ] {
        assert!(notices.contains(wanted), "{wanted}: {notices}");
    }
    for line in [
        ["fit", &file, "R72", "470k 1/2 W"],
        ["fit", &file, "V16", "6SN7-GTB"],
    ] {
        assert_eq!(enter(&line)?["notices"].to_string(), "[]", "{line:?}");
    }
    // A.c. volts at a tube without a pin: its heater's.
    let told = enter(&["reading", &file, "V15", "5.1 V a.c.", "--line", "117"])?;
    assert_eq!(
        told["entry"]["says"]["what"], "heater_volts_rms",
        "{told:#}"
    );
    assert_ne!(told["judged"]["verdict"], "says_nothing", "{told:#}");
    assert!(told["notices"].to_string().contains("across its heater"));
    Ok(())
}
