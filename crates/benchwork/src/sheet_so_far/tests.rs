//! The sheet with facts of each kind, in their order and against it.
//!
//! Source of what is held: the manual's pages on `fit`, `change`, `power`; the example sheet.

use super::*;
use logbook::{Conditions, Measured, SheetTaken, Stamp, Stepped, What};

const SHEET: &str = include_str!("../../../../examples/larkfield_12t.toml");

fn so_far(facts: &[Fact]) -> SheetSoFar {
    let at = Stamp::read("2026-11-29T08:49:51+01:00").expect("a time");
    let standing: Vec<StandingFact<'_>> = facts
        .iter()
        .enumerate()
        .map(|(place, fact)| StandingFact {
            number: place as u64 + 1,
            at: &at,
            fact,
        })
        .collect();
    sheet_so_far(SHEET, &standing)
        .expect("figures")
        .expect("a sheet")
}

fn fitted(part: &str, new: &str, rating: &str) -> Fact {
    Fact::Fitted(Fitted {
        part: part.to_owned(),
        new: new.to_owned(),
        rating: rating.to_owned(),
        ..Fitted::default()
    })
}

fn changed(part: &str, is: &str) -> Fact {
    Fact::Changed(Changed {
        what: part.to_owned(),
        is: is.to_owned(),
        ..Changed::default()
    })
}

fn done(key: &str) -> Fact {
    Fact::Stepped(Stepped {
        step: key.to_owned(),
        key: key.to_owned(),
        event: StepEvent::Done,
        because: String::new(),
        leaves_unknown: String::new(),
    })
}

fn line(volts: f64, conditions: Conditions) -> Fact {
    Fact::Measured(Measured {
        place: "line".to_owned(),
        to: String::new(),
        what: What::AcVoltsRms,
        typed: format!("{volts} V"),
        value: volts,
        meter: String::new(),
        conditions,
        note: String::new(),
    })
}

#[test]
fn without_facts_it_is_the_sheet_itself() {
    let own = so_far(&[]);
    assert_eq!((own.text.as_str(), own.bent_by.len()), (SHEET, 0));
}

#[test]
fn a_new_part_counts_with_its_new_value_where_that_can_be_read() {
    let own = so_far(&[
        fitted("c41", "0.12 mfd", "630 V"),
        fitted("R30", "22k 10 W", ""),
        fitted("C43", "a modern one", ""),
        fitted("R66", "12 furlongs", ""),
        fitted("cord", "new, with strain relief", ""),
    ]);
    for part in ["C41", "R30", "C43", "R66"] {
        assert!(
            own.sheet.state.replaced.iter().any(|one| one == part),
            "{part}"
        );
    }
    assert!(own.text.contains("0.12 mfd 630 V") && own.text.contains("\"22k 10 W\""));
    assert!(
        own.not_used
            .iter()
            .any(|line| line.starts_with("R66: `12 furlongs`"))
    );
    assert_eq!(own.not_used.len(), 1, "{:?}", own.not_used);
    // Another value or rating of the same part later holds.
    let later = so_far(&[fitted("R30", "22k 10 W", ""), fitted("R30", "25k 20 W", "")]);
    assert!(later.text.contains("25k 20 W") && !later.text.contains("22k 10 W"));
}

#[test]
fn cut_loose_put_back_and_replaced_hold_in_their_order() {
    let is_loose = |facts: &[Fact]| so_far(facts).sheet.state.cut_loose.contains(&"C41".into());
    assert!(is_loose(&[changed("C41", "cut loose")]));
    assert!(is_loose(&[changed("C41", "Lifted ")]));
    assert!(!is_loose(&[
        changed("C41", "cut loose"),
        changed("C41", "put back")
    ]));
    assert!(!is_loose(&[
        changed("C41", "cut loose"),
        fitted("C41", "0.1 mfd", "630 V")
    ]));
    assert!(!is_loose(&[changed("height control", "cut loose")]));
}

#[test]
fn parts_cut_loose_by_an_entry_can_be_put_in_circuit_again() {
    let own = so_far(&[changed("C41", "cut loose"), fitted("R30", "22k 10 W", "")]);
    assert!(own.sheet.state.cut_loose.contains(&"C41".into()));
    let back = own.in_circuit(SHEET).expect("figures");
    let state = &back.sheet.state;
    assert!(!state.cut_loose.contains(&"C41".into()) && !back.text.contains("C41\"]"));
    assert!(state.replaced.contains(&"R30".into()));
    // Nothing is loose in this sheet itself but what it says.
    let given = read_sheet(SHEET, catalogue().expect("sound")).sheet;
    assert_eq!(
        Some(&state.cut_loose),
        given.map(|own| own.state.cut_loose).as_ref()
    );
}

#[test]
fn a_can_counts_as_formed_once_its_joints_are_closed() {
    let formed = |facts: &[Fact]| so_far(facts).sheet.state.re_formed.contains(&"C5".into());
    assert!(!formed(&[done("re_forming C5")]));
    assert!(formed(&[done("re_forming C5"), done("put_back")]));
    assert!(!formed(&[done("put_back"), done("re_forming C5")]));
    let replaced = [
        done("re_forming C5"),
        done("put_back"),
        fitted("C5", "50 mfd 50 V", ""),
    ];
    assert!(!formed(&replaced));
}

#[test]
fn the_line_counts_where_nothing_stands_between_meter_and_outlet() {
    let told = |facts: &[Fact]| {
        let own = so_far(facts);
        own.sheet.bench.and_then(|bench| bench.line_volts)
    };
    let out = || Conditions {
        plug_out: true,
        ..Conditions::default()
    };
    // This bench has a variable transformer: only the outlet itself tells.
    assert_eq!(told(&[line(121.0, Conditions::default())]), None);
    assert_eq!(told(&[line(121.0, out()), line(118.5, out())]), Some(118.5));
    assert_eq!(told(&[line(12.0, out())]), None);
    let behind_a_lamp = Conditions {
        lamp_watts: vec![100.0],
        ..Conditions::default()
    };
    assert_eq!(told(&[line(80.0, behind_a_lamp)]), None);
}

#[test]
fn what_was_measured_of_a_part_ends_with_it() {
    let loose = Conditions {
        plug_out: true,
        fitted_without: vec!["R30".to_owned()],
        ..Conditions::default()
    };
    let measured = Fact::Measured(Measured {
        place: "R30".to_owned(),
        to: String::new(),
        what: What::Ohms,
        typed: "29.5k".to_owned(),
        value: 29_500.0,
        meter: String::new(),
        conditions: loose,
        note: String::new(),
    });
    let ohms = |facts: &[Fact]| so_far(facts).sheet.state.measured_ohms("R30");
    assert_eq!(ohms(std::slice::from_ref(&measured)), Some(29_500.0));
    let then_replaced = [measured.clone(), fitted("R30", "27k 10 W", "")];
    assert_eq!(ohms(&then_replaced), None);
    let before = [fitted("R30", "27k 10 W", ""), measured];
    assert_eq!(ohms(&before), Some(29_500.0));
}

#[test]
fn a_sheet_taken_in_later_keeps_what_was_done_before() {
    let taken = Fact::SheetTaken(SheetTaken {
        name: "again.toml".to_owned(),
        sheet: "0".repeat(64),
    });
    let own = so_far(&[fitted("C41", "0.1 mfd 630 V", ""), taken]);
    assert!(own.sheet.state.replaced.contains(&"C41".to_owned()));
}

#[test]
fn answers_rest_on_every_fact_that_changes_them() {
    let keys: Vec<String> = [
        vec![],
        vec![changed("C41", "cut loose")],
        vec![fitted("C41", "0.1 mfd 600 V", "")],
        vec![line(
            119.0,
            Conditions {
                plug_out: true,
                ..Conditions::default()
            },
        )],
    ]
    .iter()
    .map(|facts| so_far(facts).rests_on())
    .collect();
    for (place, key) in keys.iter().enumerate() {
        assert!(!keys[..place].contains(key), "{place}");
    }
}
