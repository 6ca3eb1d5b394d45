//! The patterns of stages: their tables, their questions, the rows they make.
//!
//! The values that fill the patterns are common practice of the period, from
//! memory; the rows are judged by the checker of the sheet.

use proptest::prelude::*;
use receiver::sheet::read_sheet;
use receiver::sheet_edit::{NewRow, insert_rows};
use receiver::stage_patterns::{
    AnswerFault, Interview, QuestionForm, StagePattern, read_pattern, stage_pattern, stage_patterns,
};

/// A small sheet with comments of its own, to which stages are added.
const SMALL: &str = r##"# My set.
sheet = 1
name = "Workbench"
made = 1950
line_volts = 117
line_hertz = 60

tubes = [
  # ref   type    job
  ["V1", "6AG5", "r.f. amplifier"],
  ["V2", "6J6",  "oscillator and mixer"],   # both halves
  ["V3", "6AU6", "first picture i.f."],
]

parts = [
  ["R1", "resistor", "22k", "B+ 275", "chassis"],
  ["C1", "paper",    ".05", "B+ 275", "chassis"],
]

[state]
original = ["R1"]
"##;

fn catalogue() -> &'static parts::Catalogue {
    parts::catalogue().expect("the tables are sound")
}

fn pattern(name: &str) -> &'static StagePattern {
    stage_pattern(name).unwrap_or_else(|near| panic!("{name}: {near:?}"))
}

/// Answers every question by `answer`; further questions about pins by their first choice.
fn run<'a>(
    pattern: &'a StagePattern,
    sheet: &'a str,
    answer: impl Fn(&str) -> Option<String>,
) -> Interview<'a> {
    let mut interview = Interview::new(pattern, sheet, catalogue()).expect("sound");
    let mut asked = 0;
    while let Some(question) = interview.question() {
        let text = answer(&question.name).unwrap_or_else(|| {
            let own = pattern.question(&question.name);
            own.map(|own| own.example.clone()).unwrap_or_else(|| {
                let choices = question.expects.split(" or ").next();
                choices.unwrap_or_default().to_string()
            })
        });
        if let Err(fault) = interview.answer(&text) {
            panic!("{} {}: `{text}`: {fault:?}", pattern.name, question.name);
        }
        asked += 1;
        assert!(asked < 200, "{} does not end", pattern.name);
    }
    interview
}

fn written(interview: &Interview<'_>, sheet: &str) -> String {
    insert_rows(sheet, &interview.rows().group)
        .expect("can be written")
        .text
}

#[test]
fn the_tables_have_no_fault() {
    let patterns = stage_patterns().unwrap_or_else(|faults| panic!("{faults:#?}"));
    assert!(patterns.len() >= 27);
    for pattern in patterns {
        assert!(pattern.questions.len() >= 7, "{}", pattern.name);
    }
}

#[test]
fn every_pattern_filled_in_passes_check_in_a_small_sheet() {
    for pattern in stage_patterns().expect("sound") {
        let interview = run(pattern, SMALL, |name| match name {
            // In a sheet of its own a section is chosen, the first half first.
            "output section" if pattern.name == "vertical-multivibrator" => Some("2".to_string()),
            "second section" | "oscillator section" if pattern.name != "vertical-multivibrator" => {
                Some(
                    if pattern.name == "vertical-blocking" {
                        "1"
                    } else {
                        "2"
                    }
                    .to_string(),
                )
            }
            _ => None,
        });
        let rows = interview.rows();
        let text = written(&interview, SMALL);
        let reading = read_sheet(&text, catalogue());
        assert_eq!(reading.faults, [], "{}:\n{text}", pattern.name);
        let left: Vec<String> = rows
            .left_out
            .iter()
            .filter(|left| {
                let example = pattern
                    .question(&left.question)
                    .map(|own| own.example.as_str());
                !left.because.contains("has no pin for its") && !matches!(example, Some("?" | "no"))
            })
            .map(|left| format!("{}: {}", left.question, left.because))
            .collect();
        assert_eq!(left, [] as [&str; 0], "{}", pattern.name);
        assert!(rows.group.rows.len() >= 6, "{}:\n{text}", pattern.name);
        // No two ends of a row on one place, and no end that is left empty.
        for row in &rows.group.rows {
            if let NewRow::Cells { cells, .. } = row {
                assert!(
                    cells.get(3).is_none_or(|from| !from.is_empty()),
                    "{cells:?}"
                );
                if cells.len() >= 5 {
                    assert_ne!(cells[3], cells[4], "{}: {cells:?}", pattern.name);
                }
            }
        }
    }
}

#[test]
fn nothing_answered_is_nothing_written() {
    for pattern in stage_patterns().expect("sound") {
        for nothing in ["", "?", "  "] {
            let interview = run(pattern, SMALL, |_| Some(nothing.to_string()));
            assert_eq!(interview.rows().group.rows, [], "{}", pattern.name);
        }
    }
}

fn rows_of(name: &str, answers: &[(&str, &str)]) -> Vec<String> {
    let interview = run(pattern(name), SMALL, |question| {
        let given = answers.iter().find(|(name, _)| *name == question);
        Some(given.map_or("?", |(_, text)| *text).to_string())
    });
    let rows = interview.rows().group.rows;
    rows.iter().map(|row| row.written(&[])).collect()
}

#[test]
fn rows_stand_on_the_pins_of_the_tube() {
    // 6SN7-GT: grid 1, plate 2, cathode 3 are the second half (maker's base 8BD).
    assert_eq!(
        rows_of(
            "audio-triode",
            &[
                ("amplifier", "V4 6SN7-GT"),
                ("amplifier section", "2"),
                ("supply", "B+ 275"),
                ("grid resistor", "470k"),
                ("cathode resistor", "R7 2.2k 1/2 W 10%"),
                ("plate resistor", "100k, to B+ boost"),
            ]
        ),
        [
            r#"["V4", "6SN7-GT", "audio amplifier"]"#,
            r#"["R2", "resistor", "470k", "V4.1", "chassis"]"#,
            r#"["R7", "resistor", "2.2k 1/2 W 10%", "V4.3", "chassis"]"#,
            r#"["R8", "resistor", "100k", "V4.2", "B+ boost"]"#,
        ]
    );
}

#[test]
fn a_tube_of_the_sheet_needs_no_type_and_gets_no_second_row() {
    // 6AU6: screen pin 6, suppressor 2, cathode 7 (maker's base 7BK).
    assert_eq!(
        rows_of(
            "picture-if",
            &[
                ("amplifier", "v3"),
                ("supply", "B+ 275"),
                ("suppressor wire", "yes"),
                ("screen resistor", "wire"),
                ("screen capacitor", "ceramic 0.001 mfd"),
            ]
        ),
        [
            r#"["W1", "wire", "", "V3.2", "V3.7"]"#,
            r#"["W2", "wire", "", "V3.6", "V3 plate feed"]"#,
            r#"["C2", "ceramic", "0.001 mfd", "V3.6", "chassis"]"#,
        ]
    );
}

#[test]
fn a_type_without_a_pin_map_is_asked_for_its_pins() {
    let described = SMALL.to_string()
        + "\n[tube.\"6XX6\"]\nkind = \"triode\"\nbase = \"miniature-7\"\nheater_v = 6.3\nheater_a = 0.3\n";
    let pattern = pattern("audio-triode");
    let mut interview = Interview::new(pattern, &described, catalogue()).expect("sound");
    interview.answer("V4 6XX6").expect("described in the sheet");
    let mut asked = Vec::new();
    for text in ["1", "7", "9", "?"] {
        let question = interview.question().expect("a pin");
        asked.push(question.name);
        if let Err(fault) = interview.answer(text) {
            assert!(fault.text.contains("V4.9"), "{fault:?}");
        }
    }
    assert_eq!(
        asked,
        [
            "amplifier grid",
            "amplifier cathode",
            "amplifier plate",
            "amplifier plate"
        ]
    );
    assert_eq!(
        interview
            .question()
            .map(|question| question.name)
            .as_deref(),
        Some("input")
    );
    let left = interview.rows().left_out;
    assert!(left.iter().any(|left| left.question == "amplifier plate"));
}

/// The fault of an answer, the answers before it given.
fn refused(name: &str, before: &[&str], answer: &str) -> AnswerFault {
    let mut interview = Interview::new(pattern(name), SMALL, catalogue()).expect("sound");
    for text in before {
        let taken = interview.answer(text);
        assert!(taken.is_ok(), "{text}: {taken:?}");
    }
    let question = interview.question();
    let fault = interview.answer(answer).expect_err(answer);
    assert_eq!(
        interview.question(),
        question,
        "a refused answer moves nothing"
    );
    fault
}

#[test]
fn a_wrong_answer_is_told_at_once() {
    let check = |before: &[&str], answer: &str, text: &str, hint: &str| {
        let fault = refused("audio-triode", before, answer);
        assert!(fault.text.contains(text), "{answer}: {fault:?}");
        assert!(fault.hint.contains(hint), "{answer}: {fault:?}");
    };
    check(&[], "V3 6AV6", "V3 is a 6AU6 on line 12", "V4");
    check(&[], "V3", "6AU6 has not what this stage uses", "a triode");
    check(&[], "R1 6AV6", "R1 stands on line 16 already", "V4");
    check(&[], "V4", "its type is not told", "V13 6AT6");
    check(&[], "V4 6AV66", "6AV66", "6AV6");
    check(&["V4 6SN7-GT"], "3", "no section of 6SN7-GT", "1 or 2");
    check(&["V4 6AV6"], "V4.9", "V4.9", "");
    check(&["V4 6AV6"], "V9.1", "V9", "");
    let in_part = ["V4 6AV6", "volume wiper"];
    check(
        &in_part,
        "C1 0.01 mfd",
        "C1 stands on line 17 already",
        "the next free one is C2",
    );
    check(
        &in_part,
        "resistor 1k",
        "a resistor does not belong here",
        "paper",
    );
    check(&in_part, "C2 1 M", "two ways", "");
    check(&in_part, "C2 0.01 mfd, to V4.9", "V4.9", "");
    check(&in_part, "C2", "has no value", "a capacitor has mfd");
    check(
        &["V4 6AV6", "volume wiper", "C2 0.01"],
        "C2 1 meg",
        "C2 stands among the answers above",
        "R2",
    );
}

#[test]
fn a_fault_of_a_value_is_told_with_its_character() {
    let fault = refused("audio-triode", &["V4 6AV6", "?"], "R12 10 mag 1/2 W");
    // The m of `mag` is the eighth character of the answer.
    assert_eq!(fault.column, Some(8), "{fault:?}");
}

#[test]
fn a_place_new_to_the_sheet_is_told_with_the_nearest() {
    let mut interview = Interview::new(pattern("agc-simple"), SMALL, catalogue()).expect("sound");
    let said = interview.answer("B+ 257").expect("a place all the same");
    assert!(
        said.iter().any(|text| text.contains("`B+ 275`")),
        "{said:?}"
    );
    assert!(interview.back());
    assert_eq!(interview.answer("B+ 275"), Ok(Vec::new()));
    assert!(interview.back() && !interview.back());
}

#[test]
fn a_name_of_the_stage_itself_is_never_one_that_the_sheet_has() {
    let sheet = SMALL.replace(
        "\"B+ 275\", \"chassis\"]",
        "\"V3 plate feed\", \"chassis\"]",
    );
    let pattern = pattern("picture-if");
    let interview = run(pattern, &sheet, |_| None);
    assert!(written(&interview, &sheet).contains("\"V3 plate feed 2\""));
}

#[test]
fn a_faulty_table_is_told_with_all_its_faults() {
    let table = r#"
name = "x"
title = "X"
ask = [
  { tube = "a", need = "hexode", ask = "?", example = "?", job = "?" },
  { part = "r", kind = "resistance", ask = "?", from = "a.plate", to = "nowhere", example = "1k" },
  { part = "s", kind = "resistor", from = "chassis", to = "@b", example = "1N60" },
  { soup = "s" },
]"#;
    let faults = read_pattern("x", table).expect_err("faulty");
    let all: Vec<String> = faults.iter().map(ToString::to_string).collect();
    for wanted in [
        "`look`",
        "hexode",
        "resistance",
        "`ask` is missing",
        "asks for none of",
    ] {
        assert!(
            all.iter().any(|text| text.contains(wanted)),
            "{wanted}: {all:#?}"
        );
    }
}

#[test]
fn a_crystal_detector_is_asked_for() {
    let question = pattern("picture-detector-crystal").question("crystal");
    assert!(matches!(
        question.map(|question| &question.form),
        Some(QuestionForm::Part { kinds, .. }) if kinds.iter().any(|kind| kind.name() == "crystal")
    ));
}

#[test]
fn examples_of_parts_are_read_by_themselves() {
    // Every example fits its question even where the other answers are missing.
    for pattern in stage_patterns().expect("sound") {
        for question in &pattern.questions {
            if let QuestionForm::Part { kinds, .. } = &question.form {
                assert!(
                    !kinds.is_empty() && !question.example.is_empty(),
                    "{}",
                    question.name
                );
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]

    /// Whatever is typed, an interview ends, and what it writes has no fault and spoils no line.
    #[test]
    fn any_answers(
        which in 0usize..27,
        typed in prop::collection::vec(prop_oneof![".{0,16}", Just("yes".to_string()), Just("1k".to_string()),
            Just("V9 6AU6".to_string()), Just("chassis".to_string()), Just("R5 0.01 mfd 400 V, to V3.5".to_string())], 12),
    ) {
        let pattern = &stage_patterns().expect("sound")[which];
        let mut interview = Interview::new(pattern, SMALL, catalogue()).expect("sound");
        let mut typed = typed.into_iter();
        while interview.question().is_some() {
            let answer = typed.next().unwrap_or_default();
            if interview.answer(&answer).is_err() {
                prop_assert!(interview.answer("?").is_ok());
            }
        }
        let text = written(&interview, SMALL);
        prop_assert_eq!(read_sheet(&text, catalogue()).faults, []);
        let mut lines = text.lines();
        for line in SMALL.lines() {
            prop_assert!(lines.any(|other| other == line), "{} is gone", line);
        }
    }
}
