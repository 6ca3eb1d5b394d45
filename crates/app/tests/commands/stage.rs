//! `firstraster stage`: forms, conversations, faults.
//!
//! Pins in expected lines are those of the makers' base drawings. The sheet is
//! invented.

use std::error::Error;

use serde_json::Value;

use crate::program::{
    LARKFIELD_TEXT, Outcome, check, json, keeps_to_eighty_columns, page, put, texts, typed,
};

/// A supply with the lines that the examples name, and nothing else.
pub const SUPPLY: &str = include_str!("../sheets/supply_alone.toml");

pub fn patterns() -> Result<Vec<String>, Box<dyn Error>> {
    let (status, answer) = json(&["stage"])?;
    assert_eq!(status, 0);
    Ok(texts(&answer, "patterns", "name"))
}

/// The conversation of the pages: wrong answers, back, lines, and yes at the end.
#[test]
fn a_conversation_loses_no_answer() -> Outcome {
    let folder = tempfile::tempdir()?;
    let sheet = put(folder.path(), "set.toml", SUPPLY)?;
    let (status, page, said) = typed(
        &["stage", "audio-triode", &sheet],
        "V13\n\
         V50 6AT6\n\
         V13 6AT6\n\
         \n\
         R60 1 M\n\
         R60 10 meg 1/2 W\n\
         wire\n\
         back\n\
         R61 2.2k\n\
         resistor\n\
         ?\n\
         B+ 275\n\
         270k, to B+ 140\n\
         lines\n\
         help\n\
         ?\n\
         ?\n\
         ?\n\
         perhaps\n\
         yes\n",
    )?;
    assert_eq!((status, said.as_str()), (0, ""), "{page}");
    for wanted in [
        "1. The audio amplifier",
        "its type is not told",
        "V50 is a 5U4-G on line 9",
        "two ways",
        "a resistor does not belong here",
        "Write 6 lines into",
        "Written into",
    ] {
        assert!(page.contains(wanted), "{wanted} is not in\n{page}");
    }
    assert_eq!(page.matches("1. The audio amplifier").count(), 1, "{page}");
    let new = std::fs::read_to_string(&sheet)?;
    // 6AT6: grid 1, cathode 2, plate 7 (maker's base 7BT).
    let wanted = SUPPLY
        .replace(
            "\"spare\"],\n]",
            "\"spare\"],\n\n  # Audio amplifier, triode, resistance coupled: V13.\n  [\"V13\", \"6AT6\",  \"audio amplifier\"],\n]",
        )
        .replace(
            "\"boost\"],\n]",
            "\"boost\"],\n\n  # Audio amplifier, triode, resistance coupled: V13.\n\
             \x20 [\"R60\", \"resistor\",     \"10 meg 1/2 W\", \"V13.1\",   \"chassis\"],\n\
             \x20 [\"R61\", \"resistor\",     \"2.2k\",         \"V13.2\",   \"chassis\"],\n\
             \x20 [\"R94\", \"resistor\",     \"270k\",         \"V13.7\",   \"B+ 140\"],\n]",
        );
    assert_eq!(new, wanted);
    Ok(())
}

#[test]
fn nothing_is_written_without_a_yes() -> Outcome {
    let folder = tempfile::tempdir()?;
    let sheet = put(folder.path(), "set.toml", SUPPLY)?;
    let answers = "V13 6AT6\nvolume wiper\nC5 0.01 mfd\n\n?\n";
    for (end, status) in [("stop\n", 0), ("", 1)] {
        let (code, page, _) = typed(
            &["stage", "audio-triode", &sheet],
            &format!("{answers}{end}"),
        )?;
        assert_eq!(code, status, "{page}");
        let kept = page
            .split("Nothing was written.")
            .nth(1)
            .ok_or("not told")?;
        for line in [
            "amplifier = V13 6AT6\n",
            "input capacitor = C5 0.01 mfd\n",
            "grid resistor = ?\n",
            "cathode resistor = ?\n",
        ] {
            assert!(kept.contains(line), "{kept}");
        }
        assert_eq!(std::fs::read_to_string(&sheet)?, SUPPLY);
    }
    // The kept answers go on where they ended.
    let file = put(
        folder.path(),
        "kept.txt",
        "amplifier = V13 6AT6\ninput=volume wiper\ninput capacitor = C5 0.01\nplate rseistor = 1k\n",
    )?;
    let rest = "1 meg\n?\n?\n?\n?\n?\n?\n?\nno\n";
    let (status, page, _) = typed(
        &[
            "stage",
            "audio-triode",
            &sheet,
            "--answers",
            &file,
            "--ask-the-rest",
        ],
        rest,
    )?;
    assert_eq!(status, 0, "{page}");
    assert!(
        page.contains("> C5 0.01\n") && page.contains("plate rseistor = 1k"),
        "{page}"
    );
    assert!(page.contains("\"C5\""), "{page}");
    assert_eq!(std::fs::read_to_string(&sheet)?, SUPPLY);
    // Shown only.
    let (status, answer) = json(&[
        "stage",
        "audio-triode",
        &sheet,
        "--answer",
        "amplifier=6AT6",
        "--only-show",
    ])?;
    assert_eq!((status, &answer["written"]), (0, &Value::from(false)));
    assert_eq!(
        answer["lines"][1]["text"],
        r#"["V52", "6AT6",  "audio amplifier"],"#
    );
    assert_eq!(std::fs::read_to_string(&sheet)?, SUPPLY);
    Ok(())
}

#[test]
fn all_faults_of_written_answers_come_at_once() -> Outcome {
    let folder = tempfile::tempdir()?;
    let sheet = put(folder.path(), "set.toml", SUPPLY)?;
    let name = put(
        folder.path(),
        "answers.txt",
        "# mine\namplifier = V13 6AT6\ngrid resistor = R60 1 M\nsuply = B+ 275\ncathode resistor = C90 2k\n",
    )?;
    let (status, answer) = json(&["stage", "audio-triode", &sheet, "--answers", &name])?;
    assert_eq!(status, 1);
    let faults = answer["faults"].as_array().ok_or("no faults")?;
    let lines: Vec<Option<u64>> = faults.iter().map(|fault| fault["line"].as_u64()).collect();
    assert_eq!(lines, [Some(3), Some(4), Some(5)], "{answer:#}");
    // The character at which the value of the answer is unclear: behind `grid resistor = R60 `.
    assert_eq!(faults[0]["column"], 21, "{answer:#}");
    assert!(
        faults[1]["hint"]
            .as_str()
            .is_some_and(|hint| hint.contains("`supply`"))
    );
    // What was answered but could not be asked is told, not dropped.
    std::fs::write(&name, "amplifier = V13 6AT6\nplate resistor = 270k\n")?;
    let (status, answer) = json(&["stage", "audio-triode", &sheet, "--answers", &name])?;
    assert_eq!(status, 1);
    assert!(
        answer["faults"][0]["text"]
            .as_str()
            .is_some_and(|text| text.contains("supply is not known")),
        "{answer:#}"
    );
    std::fs::write(
        &name,
        "amplifier V13\namplifier = V13 6AT6\nAmplifier = V14 6AT6\n",
    )?;
    let (_, answer) = json(&["stage", "audio-triode", &sheet, "--answers", &name])?;
    assert_eq!(
        answer["faults"].as_array().map(Vec::len),
        Some(2),
        "{answer:#}"
    );
    assert_eq!(std::fs::read_to_string(&sheet)?, SUPPLY);
    Ok(())
}

#[test]
fn what_cannot_be_done_is_told() -> Outcome {
    let folder = tempfile::tempdir()?;
    let sheet = put(folder.path(), "set.toml", SUPPLY)?;
    check(
        &["stage", "audio-triod", &sheet],
        1,
        "did you mean `audio-triode`",
    )?;
    check(&["stage", "audio-triod"], 1, "did you mean `audio-triode`")?;
    check(
        &["stage", "audio-triode", "not there.toml"],
        1,
        "no such file",
    )?;
    check(
        &[
            "stage",
            "audio-triode",
            &sheet,
            "--answers",
            "not there.txt",
        ],
        1,
        "no such file",
    )?;
    check(&["stage", "--answers", "x.txt"], 2, "")?;
    check(&["stage", "audio-triode", "-"], 1, "in place of `-`")?;
    check(
        &[
            "stage",
            "audio-triode",
            &sheet,
            "--answers",
            "-",
            "--ask-the-rest",
        ],
        1,
        "in place of `-`",
    )?;
    let broken = put(
        folder.path(),
        "broken.toml",
        "sheet = 1\nparts = [\n  [\"R1\",\n",
    )?;
    check(&["stage", "audio-triode", &broken], 1, "1 fault")?;
    // A sheet with faults of its own can be added to, and is told about.
    let half = put(
        folder.path(),
        "half.toml",
        "sheet = 1\nline_volts = \"fast\"\nline_hertz = 60\n",
    )?;
    let (status, answer) = json(&[
        "stage",
        "audio-triode",
        &half,
        "--answer",
        "amplifier = V1 6AT6",
    ])?;
    assert_eq!((status, &answer["written"]), (0, &Value::from(true)));
    assert!(texts(&answer, "notices", "text")[0].contains("faults of its own: 1"));
    Ok(())
}

#[test]
fn a_load_that_still_stands_for_the_tube_is_told() -> Outcome {
    let folder = tempfile::tempdir()?;
    let sheet = put(folder.path(), "set.toml", LARKFIELD_TEXT)?;
    let answers = [
        "--answer",
        "amplifier = V13",
        "--answer",
        "grid resistor = 10 meg",
    ];
    let (_, answer) = json(&[&["stage", "audio-triode", &sheet][..], &answers].concat())?;
    let said = texts(&answer, "notices", "text");
    assert!(
        said.iter()
            .any(|text| text.contains("the load X4 still stands for V13")),
        "{said:#?}"
    );
    Ok(())
}

#[cfg(unix)]
#[test]
fn a_sheet_that_may_not_be_written_costs_no_answer() -> Outcome {
    let folder = tempfile::tempdir()?;
    let sheet = put(folder.path(), "set.toml", SUPPLY)?;
    let mut rights = std::fs::metadata(&sheet)?.permissions();
    rights.set_readonly(true);
    std::fs::set_permissions(&sheet, rights)?;
    let (status, page, said) = typed(
        &["stage", "audio-triode", &sheet],
        "V13 6AT6\n?\n1 meg\n?\n?\n?\n?\n?\n?\nyes\n",
    )?;
    assert_eq!(status, 1, "{page}");
    assert!(said.contains("may not be written"), "{said}");
    assert!(page.contains("grid resistor = 1 meg\n"), "{page}");
    assert_eq!(std::fs::read_to_string(&sheet)?, SUPPLY);
    Ok(())
}

#[test]
fn pages_keep_to_eighty_columns_and_a_script_gets_json_alone() -> Outcome {
    for pattern in patterns()? {
        keeps_to_eighty_columns(&page(&["stage", &pattern])?);
    }
    let folder = tempfile::tempdir()?;
    let sheet = put(folder.path(), "set.toml", SUPPLY)?;
    let (status, answer, talk) = typed(
        &["stage", "audio-triode", &sheet, "--json"],
        "V13 6AT6\nstop\n",
    )?;
    let answer: Value = serde_json::from_str(&answer)?;
    assert_eq!((status, &answer["written"]), (0, &Value::from(false)));
    assert!(talk.contains("1. The audio amplifier"));
    Ok(())
}
