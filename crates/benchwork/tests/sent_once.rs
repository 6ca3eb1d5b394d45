//! Whatever is entered under an id is entered once, however often it is sent, and told each time.
//!
//! The set is the invented one of the demo. Everything is sent, sent again, and the single entries once
//! more after another set's sheet was taken in, on which none of them could be made any more.

use std::path::{Path, PathBuf};

use benchwork::view::{NoticeView, RecordedView};
use benchwork::{
    Changed, CheckedBy, Decided, EXAMPLE_NAME, EXAMPLE_SHEET, Entering, Fitted, FormingAsk,
    NewFinding, NewForming, NewFormingReading, NewLooseEnd, NewNotice, NewOutcome, NewProof,
    NewReading, NewSignature, NewTrial, PictureAsk, PowerReading, PowerSession, Seen, SheetFile,
    Stamp, TestResult, Tested, TriedHow, Trouble, add_photograph, correct_entry, keep_advice,
    note_changed, note_decided, note_seen, record_findings, record_fitted, record_forming,
    record_loose_end, record_notice, record_outcome, record_proof, record_reading, record_test,
    record_trial, sign_proof, start_restoration, take_in_sheet, tell_story, tick_off, undo_entry,
};

const MERROW: &str = include_str!("../../../examples/merrow_17s.toml");

fn stamp() -> Stamp {
    Stamp::read("2026-11-29T08:49:51+01:00").expect("a time")
}

fn text(text: &str) -> String {
    text.to_owned()
}

fn larkfield() -> SheetFile {
    SheetFile::in_memory(EXAMPLE_NAME, EXAMPLE_SHEET)
}

/// The entries that an answer tells, and what is worth knowing besides.
type Told = (Vec<u64>, Vec<NoticeView>);

fn of_one(made: RecordedView) -> Told {
    (vec![made.entry.number], made.notices)
}

fn numbers(entries: &[benchwork::view::EntryView]) -> Vec<u64> {
    entries.iter().map(|entry| entry.number).collect()
}

type Sending = fn(&Entering<'_>) -> Result<Told, Trouble>;

/// What makes one entry and tells it.
const SINGLE: [Sending; 14] = [
    |entering| {
        let seen = Seen {
            thing: text("line cord"),
            found: text("brittle"),
            ..Seen::default()
        };
        note_seen(entering, seen, None).map(of_one)
    },
    |entering| {
        let new = NewReading {
            place: text("V9.5"),
            value: text("135 V"),
            meter: text("10M"),
            ..NewReading::default()
        };
        let made = record_reading(entering, new)?;
        assert!(made.judged.is_some(), "it is judged, also when told again");
        Ok(of_one(made))
    },
    |entering| {
        let tested = Tested {
            part: text("V9"),
            section: String::new(),
            type_number: String::new(),
            tester: String::new(),
            result: TestResult::Percent(65.0),
            note: String::new(),
        };
        record_test(entering, tested).map(of_one)
    },
    |entering| {
        let fitted = Fitted {
            part: text("C40"),
            new: text("0.047 mfd"),
            rating: text("630 V"),
            ..Fitted::default()
        };
        record_fitted(entering, fitted).map(of_one)
    },
    |entering| {
        let what = text("height control");
        let changed = Changed {
            what,
            is: text("in the middle"),
            ..Changed::default()
        };
        note_changed(entering, changed).map(of_one)
    },
    |entering| {
        let what = text("leave the picture tube in its mask");
        let decided = Decided {
            what,
            ..Decided::default()
        };
        note_decided(entering, decided).map(of_one)
    },
    |entering| add_photograph(entering, &picture(entering.file), "below", "").map(of_one),
    |entering| {
        let new = NewNotice::Signal {
            from: Some(text("V13.1")),
            end: text("sound"),
            came: Some(text("lost")),
            volts: None,
        };
        record_notice(entering, new, String::new()).map(of_one)
    },
    |entering| {
        let new = NewOutcome {
            part: text("C50"),
            by: Some(CheckedBy::Leakage),
            ..NewOutcome::default()
        };
        record_outcome(entering, new).map(of_one)
    },
    |entering| {
        let new = NewTrial {
            part: text("C50"),
            how: TriedHow::Bridged,
            then: text("the same"),
            note: String::new(),
        };
        record_trial(entering, new).map(of_one)
    },
    |entering| {
        let new = NewLooseEnd {
            part: text("C50"),
            volts: text("70"),
            other_end: text("140"),
            meter: text("10M"),
            note: String::new(),
        };
        record_loose_end(entering, new).map(of_one)
    },
    // Sent again, the last entry that stands is another one.
    |entering| undo_entry(entering, None, "").map(of_one),
    // Sent again, the entry says it already.
    |entering| correct_entry(entering, 3, &[text("value = 153 V")], "").map(of_one),
    // Ticked off, the part is not in the plan any more.
    |entering| tick_off(entering, "C50", None, "").map(of_one),
];

/// What makes several entries, or tells them in another way.
const SEVERAL: [Sending; 5] = [
    |entering| {
        let long = "a line of an answer that is kept\n".repeat(3000);
        let (first, count) = keep_advice(entering, "wake", &long)?;
        assert_eq!(count, 2);
        Ok((vec![first, first + 1], Vec::new()))
    },
    |entering| {
        let new = NewFinding::BenchCurrent {
            readings: vec![text("100=640uA"), text("120=700uA")],
        };
        let found = record_findings(entering, &PictureAsk::default(), ("", ""), &new)?;
        Ok((numbers(&found.entries), found.notices))
    },
    |entering| {
        let new = NewForming::Readings(NewFormingReading {
            readings: vec![text("5=200V"), text("15=130V")],
            source_volts: Some(text("450")),
            resistor: Some(text("54k")),
            ..NewFormingReading::default()
        });
        let made = record_forming(entering, "C4A", &FormingAsk::default(), ("", ""), &new)?;
        Ok((numbers(&made.entries), made.notices))
    },
    |entering| {
        let new = NewProof {
            item: text("cord"),
            answers: vec![text("yes")],
            by: text("R. Miller"),
            ..NewProof::default()
        };
        let made = record_proof(entering, &new)?;
        Ok((numbers(&made.entries), made.notices))
    },
    |entering| {
        let new = NewSignature {
            by: text("R. Miller"),
            note: String::new(),
        };
        let made = sign_proof(entering, &new)?;
        Ok((numbers(&made.entries), made.notices))
    },
];

/// A photograph beside the restoration: one grey pixel as PNG, made by hand after its specification.
fn picture(file: &Path) -> PathBuf {
    let path = file.with_extension("png");
    let bytes: &[u8] = &[
        0x89, b'P', b'N', b'G', 0x0d, 0x0a, 0x1a, 0x0a, 0, 0, 0, 13, b'I', b'H', b'D', b'R', 0, 0,
        0, 1, 0, 0, 0, 1, 8, 0, 0, 0, 0, 0x3a, 0x7e, 0x9b, 0x55, 0, 0, 0, 10, b'I', b'D', b'A',
        b'T', 0x78, 0x9c, 0x63, 0x60, 0, 0, 0, 2, 0, 1, 0x48, 0xaf, 0xa4, 0x71, 0, 0, 0, 0, b'I',
        b'E', b'N', b'D', 0xae, 0x42, 0x60, 0x82,
    ];
    std::fs::write(&path, bytes).expect("written");
    path
}

fn entered(file: &Path) -> usize {
    tell_story(file, true).expect("told").entered
}

fn says_it_was_there(notices: &[NoticeView]) -> bool {
    let text = "this was entered already, as entr";
    notices.iter().any(|notice| notice.text.contains(text))
}

#[test]
fn each_is_entered_once_and_told_each_time() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("a.restoration");
    let ids: Vec<String> = (0..SINGLE.len() + SEVERAL.len())
        .map(|at| format!("sending_{at}-of-this-page"))
        .collect();
    let sent = |id: &'static str| Entering {
        once: Some(id),
        ..Entering::new(&file, stamp())
    };
    let start = || start_restoration(&sent("the-beginning"), &larkfield(), None);
    assert_eq!(of_one(start().expect("started")).0, [1]);
    let sendings = || SINGLE.iter().chain(&SEVERAL).zip(&ids);
    let mut first = Vec::new();
    for (sending, id) in sendings() {
        let before = entered(&file) as u64;
        let entering = Entering {
            once: Some(id),
            ..Entering::new(&file, stamp())
        };
        let (made, notices) =
            sending(&entering).unwrap_or_else(|trouble| panic!("{id}: {trouble}"));
        assert_eq!(made.first(), Some(&(before + 1)), "{id}");
        assert_eq!(made.last(), Some(&(entered(&file) as u64)), "{id}");
        assert!(!says_it_was_there(&notices), "{id}");
        first.push(made);
    }
    let all = entered(&file);
    for ((sending, id), made) in sendings().zip(&first) {
        let entering = Entering {
            once: Some(id),
            ..Entering::new(&file, stamp())
        };
        let (again, notices) =
            sending(&entering).unwrap_or_else(|trouble| panic!("{id}: {trouble}"));
        assert_eq!(&again, made, "{id}");
        assert!(says_it_was_there(&notices) || made.len() == 2, "{id}");
        assert_eq!(entered(&file), all, "{id}");
    }
    let take = || {
        let merrow = SheetFile::in_memory("merrow.toml", MERROW);
        take_in_sheet(&sent("another-sheet"), &merrow).map(of_one)
    };
    let taken = take().expect("taken in").0;
    assert_eq!(taken, [all as u64 + 1]);
    for ((sending, id), made) in sendings().zip(&first).take(SINGLE.len()) {
        // A reading cannot be judged on the sheet of another set.
        if made == &[3] {
            continue;
        }
        let entering = Entering {
            once: Some(id),
            ..Entering::new(&file, stamp())
        };
        let (again, _) = sending(&entering).unwrap_or_else(|trouble| panic!("{id}: {trouble}"));
        assert_eq!(&again, made, "{id}");
    }
    assert_eq!(take().expect("told").0, taken);
    // What began the file is told and the file left as it is.
    assert_eq!(of_one(start().expect("told")).0, [1]);
    assert_eq!(entered(&file), all + 1);
    // Without an id the file is somebody's own.
    let entering = Entering::new(&file, stamp());
    assert!(start_restoration(&entering, &larkfield(), None).is_err());
}

#[test]
fn an_id_of_another_form_is_refused_and_nothing_written() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("a.restoration");
    let bad = Entering {
        once: Some("no id"),
        ..Entering::new(&file, stamp())
    };
    let refused = |outcome: Result<(), Trouble>| match outcome {
        Err(Trouble::Input { faults }) => {
            assert!(faults[0].text.contains("`no id` read"), "{faults:?}");
            assert!(!faults[0].hint.is_empty());
        }
        other => panic!("{other:?}"),
    };
    refused(start_restoration(&bad, &larkfield(), None).map(drop));
    assert!(!file.exists());
    start_restoration(&Entering::new(&file, stamp()), &larkfield(), None).expect("started");
    for sending in SINGLE.iter().chain(&SEVERAL) {
        refused(sending(&bad).map(drop));
    }
    let mut session = PowerSession::of(&file);
    session.once("no id");
    refused(session.begin(&stamp()).map(drop));
    assert_eq!(entered(&file), 1);
}

#[test]
fn an_entry_of_the_power_up_is_made_once() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("a.restoration");
    start_restoration(&Entering::new(&file, stamp()), &larkfield(), None).expect("started");
    let mut session = PowerSession::of(&file);
    let mut send = |id: &str, work: &dyn Fn(&mut PowerSession) -> Result<_, Trouble>| {
        session.once(id);
        let told: benchwork::view::PowerUpView =
            work(&mut session).unwrap_or_else(|trouble| panic!("{id}: {trouble}"));
        let was_there = says_it_was_there(&told.notices);
        (numbers(&told.entries), was_there)
    };
    type Work = fn(&mut PowerSession) -> Result<benchwork::view::PowerUpView, Trouble>;
    let works: [(&str, Work); 5] = [
        ("power-begin", |session| session.begin(&stamp())),
        ("power-skipped", |session| {
            session.skip(&stamp(), "seen to last year")
        }),
        ("power-done-", |session| {
            session.done(&stamp(), "the meter is lent out")
        }),
        ("power-stop-", |session| session.stop(&stamp(), "smoke")),
        ("power-leave", |session| session.leave(&stamp(), "supper")),
    ];
    let mut first = Vec::new();
    for (id, work) in &works {
        let before = entered(&file);
        let (made, was_there) = send(id, &|session| work(session));
        assert!(
            !was_there && made.first() == Some(&(before as u64 + 1)),
            "{id}"
        );
        assert_eq!(made.last(), Some(&(entered(&file) as u64)), "{id}");
        first.push(made);
    }
    let all = entered(&file);
    for ((id, work), made) in works.iter().zip(&first) {
        let (again, was_there) = send(id, &|session| work(session));
        assert!(was_there && &again == made, "{id}: {again:?}");
        assert_eq!(entered(&file), all, "{id}");
    }
    // A reading, whose step may be long past when it comes again.
    let read = |session: &mut PowerSession| {
        let reading = PowerReading {
            place: text("B+ main"),
            value: text("open"),
            what: Some(text("ohms")),
            ..PowerReading::default()
        };
        session.read(&stamp(), reading)
    };
    let (made, _) = send("power-read-", &read);
    let (again, was_there) = send("power-read-", &read);
    assert!(was_there && again == made);
    // The mark is used up: without one, the same is entered anew.
    let before = entered(&file);
    session.leave(&stamp(), "supper").expect("left");
    session.leave(&stamp(), "supper").expect("left");
    assert_eq!(entered(&file), before + 2);
}
