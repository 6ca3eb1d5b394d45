//! What is handed on, from facts as a restoration would hold them.
//!
//! The expected words and numbers follow from the facts that go in.

use std::path::PathBuf;

use logbook::{Fact, Logbook, Measured, Stamp, StepEvent, Stepped, What};

use super::{HandOnAsk, hand_on, power};
use crate::test_facts::with_standing;
use crate::view::HandingOnView;
use crate::{EXAMPLE_SHEET, Entering, SheetFile, start_restoration};

fn stamp() -> Stamp {
    Stamp::read("2026-11-29T08:49:51+01:00").expect("a time")
}

fn stepped(key: &str, event: StepEvent, unknown: &str) -> Fact {
    Fact::Stepped(Stepped {
        step: format!("step {key}"),
        key: key.to_owned(),
        event,
        because: String::new(),
        leaves_unknown: unknown.to_owned(),
    })
}

fn read(place: &str, value: f64) -> Fact {
    Fact::Measured(Measured {
        place: place.to_owned(),
        to: String::new(),
        what: What::DcVolts,
        typed: format!("{value} V"),
        value,
        meter: String::new(),
        conditions: logbook::Conditions::default(),
        note: String::new(),
    })
}

#[test]
fn readings_belong_to_the_step_in_which_they_were_taken() {
    let facts = [
        read("before", 1.0),
        stepped("supply 1", StepEvent::Begun, ""),
        read("B+ main", 100.0),
        stepped(
            "supply 1",
            StepEvent::Done,
            "V9.5 was not read\nC12 is not guarded",
        ),
        read("between", 2.0),
        stepped("supply 2", StepEvent::Begun, ""),
        read("B+ main", 250.0),
        stepped("supply 2", StepEvent::Stopped, ""),
        stepped("supply 3", StepEvent::Skipped, ""),
    ];
    with_standing(&facts, |facts| {
        let view = power::handed(facts);
        let told: Vec<(&str, &str, usize)> = view
            .steps
            .iter()
            .map(|step| (step.key.as_str(), step.how, step.readings.len()))
            .collect();
        assert_eq!(
            told,
            [
                ("supply 1", "done", 1),
                ("supply 2", "stopped", 1),
                ("supply 3", "skipped", 0)
            ]
        );
        assert_eq!(view.steps[0].leaves_unknown.len(), 2);
        assert_eq!(view.steps[1].readings[0].value, Some(250.0));
        assert_eq!(view.state, "step_done");
    });
    with_standing(&facts[..8], |facts| {
        assert_eq!(power::handed(facts).state, "stopped")
    });
    with_standing(&facts[..7], |facts| {
        assert_eq!(power::handed(facts).state, "under_way")
    });
    with_standing(&[], |facts| {
        assert_eq!(power::handed(facts).state, "not_begun")
    });
}

/// A restoration of this sheet with these facts, handed on.
fn handed(sheet: &str, facts: &[Fact]) -> HandingOnView {
    let (folder, file) = started(sheet, facts);
    let view = hand_on(&HandOnAsk {
        file: &file,
        at: stamp(),
        restored_by: Some("  ".to_owned()),
    });
    drop(folder);
    view.expect("handed on")
}

fn started(sheet: &str, facts: &[Fact]) -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("a.restoration");
    let entering = Entering::new(&file, stamp());
    let sheet = SheetFile::in_memory("a.toml", sheet);
    start_restoration(&entering, &sheet, None).expect("started");
    let mut book = Logbook::open(&file).expect("opens");
    for fact in facts {
        book.append(&stamp(), fact).expect("kept");
    }
    (folder, file)
}

#[test]
fn a_sheet_without_a_chart_has_what_was_read_and_says_so() {
    let sheet = include_str!("../../../../examples/small/half_wave_heater_transformer.toml");
    let bare: String = sheet.split("[chart]").next().unwrap_or_default().to_owned();
    let view = handed(&bare, &[read("B+", 120.0)]);
    assert_eq!(view.chart.line_volts, None);
    assert!(!view.chart.because.is_empty());
    assert_eq!(view.chart.rows.len(), 1);
    assert_eq!(view.chart.rows[0].typed, "120 V");
    assert!(view.chart.rows[0].charted.is_none() && view.chart.rows[0].percent.is_none());
    // A name of blanks names nobody.
    assert_eq!(view.cover.restored_by, None);
}

#[test]
fn a_chassis_on_the_line_is_told_first_of_all() {
    let sheet = include_str!("../../../../examples/small/half_wave_heater_transformer.toml");
    let view = handed(sheet, &[read("B+", 120.0)]);
    assert_eq!(
        view.standing.chassis, "on_the_line",
        "{}",
        view.standing.text
    );
    assert!(view.cautions.iter().any(|own| own.id == "live-chassis"));
    let view = handed(EXAMPLE_SHEET, &[read("B+ main", 315.0)]);
    assert_eq!(view.standing.chassis, "isolated");
    assert!(view.standing.text.contains("no proof"));
    // Charged capacitors come first in every set.
    assert_eq!(view.cautions[0].id, "charged-electrolytics");
}

#[test]
fn the_same_facts_give_the_same_report() {
    let facts = [read("B+ main", 315.0), read("V9.6", 115.0)];
    let told = || {
        let mut view = handed(EXAMPLE_SHEET, &facts);
        view.file.clear();
        serde_json::to_string(&view).expect("JSON")
    };
    assert_eq!(told(), told());
}

#[test]
fn a_file_that_may_not_be_written_can_be_handed_on() {
    let (_folder, file) = started(EXAMPLE_SHEET, &[read("B+ main", 315.0)]);
    let mut rights = std::fs::metadata(&file).expect("a file").permissions();
    rights.set_readonly(true);
    std::fs::set_permissions(&file, rights).expect("set");
    let ask = HandOnAsk {
        file: &file,
        at: stamp(),
        restored_by: None,
    };
    let row = &hand_on(&ask).expect("handed on").chart.rows;
    let left = row.iter().find(|row| row.at == "B+ main").expect("B+ main");
    assert_eq!(left.verdict, "inside");
}
