//! Facts go in, come back as they were, and are never changed.

use logbook::{
    Corrected, Decided, Fact, Fields, Logbook, LogbookError, Standing, Undone, hash_of, holds_now,
    standing_facts,
};

use crate::tried::{
    picture_tube_facts, plain_facts, proof_facts, re_forming_facts, reading, stamp, text,
    whole_book,
};

#[test]
fn every_kind_comes_back_as_it_was() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("a.restoration");
    let mut book = Logbook::start(&path, "Larkfield 12T").expect("starts");
    let facts = [
        plain_facts(),
        picture_tube_facts(),
        re_forming_facts(),
        proof_facts(),
    ]
    .concat();
    for (place, fact) in facts.iter().enumerate() {
        let number = book.append(&stamp(), fact).expect("appended");
        assert_eq!(number, place as u64 + 1);
    }
    drop(book);
    let book = Logbook::look(&path).expect("opens");
    let back: Vec<Fact> = book
        .entries()
        .expect("read")
        .into_iter()
        .map(|entry| {
            assert_eq!((entry.at, entry.standing), (stamp(), Standing::Stands));
            entry.fact
        })
        .collect();
    assert_eq!(back, facts);
    assert_eq!(book.name().as_deref(), Ok("Larkfield 12T"));
}

#[test]
fn every_version_of_the_sheet_is_kept_whole() {
    let folder = tempfile::tempdir().expect("a folder");
    let book = whole_book(&folder.path().join("a.restoration"));
    let sheets: Vec<String> = book
        .entries()
        .expect("read")
        .iter()
        .filter_map(|entry| entry.fact.sheet().map(str::to_owned))
        .collect();
    assert_eq!(
        book.present_sheet().expect("read").as_deref(),
        Some("sheet = 1\n# more\n")
    );
    let texts: Vec<String> = sheets
        .iter()
        .map(|hash| book.sheet(hash).expect("kept"))
        .collect();
    assert_eq!(texts, ["sheet = 1\n", "sheet = 1\n# more\n"]);
    // SHA-256 of "abc": FIPS 180-2, appendix B.1.
    let published = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
    assert_eq!(hash_of(b"abc"), published);
    assert!(matches!(
        book.sheet(published),
        Err(LogbookError::NotKept { .. })
    ));
}

/// What each case does to a book of four readings, and the readings that stand in the end:
/// `u3` undoes entry 3, `c2=9` corrects entry 2 to 9 volts.
fn check(steps: &str, standing: &[(u64, f64)]) {
    let folder = tempfile::tempdir().expect("a folder");
    let mut book = Logbook::start(&folder.path().join("a.restoration"), "a").expect("starts");
    for volts in [1.0, 2.0, 3.0, 4.0] {
        book.append(&stamp(), &reading("V9.5", volts))
            .expect("appended");
    }
    for step in steps.split_whitespace() {
        let (what, rest) = step.split_at(1);
        let (names, volts) = rest.split_once('=').unwrap_or((rest, "0"));
        let names = names.parse().expect("a number");
        let because = String::new();
        let fact = if what == "u" {
            Fact::Undone(Undone { names, because })
        } else {
            let instead = Box::new(reading("V9.5", volts.parse().expect("volts")));
            Fact::Corrected(Corrected {
                names,
                instead,
                because,
            })
        };
        book.append(&stamp(), &fact)
            .unwrap_or_else(|error| panic!("{steps}: {error}"));
    }
    let entries = book.entries().expect("read");
    let found: Vec<(u64, f64)> = standing_facts(&entries)
        .iter()
        .filter_map(|one| match one.fact {
            Fact::Measured(measured) => Some((one.number, measured.value)),
            _ => None,
        })
        .collect();
    assert_eq!(found, standing, "{steps}");
    for (number, volts) in standing {
        let holds = holds_now(&entries, *number);
        assert!(
            matches!(holds, Some(Fact::Measured(one)) if one.value == *volts),
            "{steps}"
        );
    }
}

#[test]
fn undo_and_correction_follow_each_other() {
    check("", &[(1, 1.0), (2, 2.0), (3, 3.0), (4, 4.0)]);
    check("u4", &[(1, 1.0), (2, 2.0), (3, 3.0)]);
    check("u4 u5", &[(1, 1.0), (2, 2.0), (3, 3.0), (4, 4.0)]);
    check("u4 u5 u6", &[(1, 1.0), (2, 2.0), (3, 3.0)]);
    check("c2=9", &[(1, 1.0), (2, 9.0), (3, 3.0), (4, 4.0)]);
    check("c2=9 c2=8", &[(1, 1.0), (2, 8.0), (3, 3.0), (4, 4.0)]);
    check("c2=9 c5=8", &[(1, 1.0), (2, 8.0), (3, 3.0), (4, 4.0)]);
    check("c2=9 u5", &[(1, 1.0), (2, 2.0), (3, 3.0), (4, 4.0)]);
    check("c2=9 c2=8 u6", &[(1, 1.0), (2, 9.0), (3, 3.0), (4, 4.0)]);
    check("c2=9 u2", &[(1, 1.0), (3, 3.0), (4, 4.0)]);
    check("u2 u5 c2=7", &[(1, 1.0), (2, 7.0), (3, 3.0), (4, 4.0)]);
}

#[test]
fn what_cannot_be_named_is_refused_and_nothing_is_written() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut book = whole_book(&folder.path().join("a.restoration"));
    let before = book.entries().expect("read");
    let last = before.len() as u64;
    let undo = |names| {
        let because = String::new();
        Fact::Undone(Undone { names, because })
    };
    let correct = |names, instead| {
        let because = String::new();
        let instead = Box::new(instead);
        Fact::Corrected(Corrected {
            names,
            instead,
            because,
        })
    };
    let refused = |book: &mut Logbook, fact: &Fact, wanted: &str| {
        let error = book.append(&stamp(), fact).expect_err(wanted);
        assert!(error.to_string().contains(wanted), "{error} / {wanted}");
        assert!(!error.hint().is_empty());
    };
    refused(&mut book, &undo(last + 1), "there is no entry");
    refused(&mut book, &undo(0), "there is no entry");
    refused(&mut book, &undo(8), "undone already");
    refused(
        &mut book,
        &correct(8, reading("V9.5", 1.0)),
        "undone already",
    );
    refused(
        &mut book,
        &correct(last, reading("V9.5", 1.0)),
        "is an undo",
    );
    refused(
        &mut book,
        &correct(1, reading("V9.5", 1.0)),
        "cannot be measured",
    );
    refused(&mut book, &correct(3, undo(2)), "cannot be undone");
    assert_eq!(book.entries().expect("read"), before);
}

#[test]
fn facts_that_say_nothing_are_refused() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut book = Logbook::start(&folder.path().join("a.restoration"), "a").expect("starts");
    let nothing = Fact::Decided(Decided::default());
    let nan = reading("V9.5", f64::NAN);
    let nowhere = reading("", 12.0);
    let open_volts = reading("V9.5", f64::INFINITY);
    let endless = Fact::Decided(Decided {
        what: "x".repeat(logbook::LONGEST_TEXT + 1),
        because: String::new(),
    });
    let mut no_name = reading("V9.5", 12.0);
    if let Fact::Measured(one) = &mut no_name {
        one.conditions.pulled = vec![text("V1"), String::new()];
    }
    for fact in [nothing, nan, nowhere, open_volts, endless, no_name] {
        let error = book.append(&stamp(), &fact).expect_err("refused");
        assert!(matches!(error, LogbookError::Fact { .. }), "{error}");
    }
    assert!(book.entries().expect("read").is_empty());
}

#[test]
fn the_file_itself_refuses_change_and_deletion() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("a.restoration");
    drop(whole_book(&path));
    let raw = rusqlite::Connection::open(&path).expect("opens");
    let count = |raw: &rusqlite::Connection| -> i64 {
        raw.query_row("SELECT count(*) FROM facts", [], |row| row.get(0))
            .expect("counts")
    };
    let before = count(&raw);
    for order in [
        "UPDATE facts SET body = 'place: x' WHERE number = 2",
        "DELETE FROM facts WHERE number = 2",
        "DELETE FROM facts",
        "INSERT OR REPLACE INTO facts (number, at, kind, body) VALUES (2, '2026-11-29T08:49:51+01:00', 'decided', 'what: x')",
        "INSERT INTO facts (number, at, kind, body) VALUES (99, '2026-11-29T08:49:51+01:00', 'decided', 'what: x')",
        "INSERT INTO facts (at, kind, body) VALUES ('2026-11-29T08:49:51+01:00', 'decided', '')",
        "UPDATE sheets SET text = 'x'",
        "DELETE FROM sheets",
        "INSERT OR REPLACE INTO sheets (sheet, text) SELECT sheet, 'x' FROM sheets",
        "UPDATE photographs SET original = x'00'",
        "DELETE FROM photographs",
        "INSERT OR REPLACE INTO photographs SELECT photograph, ending, x'00', upright FROM photographs",
        "UPDATE sent SET last = 1",
        "DELETE FROM sent",
        "INSERT OR REPLACE INTO sent (id, first, last) SELECT id, 1, 1 FROM sent",
        "INSERT INTO sent (id, first, last) VALUES ('another-sending', 99, 99)",
        "INSERT INTO sent (id, first, last) VALUES ('another-sending', 3, 2)",
        "INSERT INTO sent (id, first, last) VALUES ('short', 1, 1)",
        "UPDATE about SET name = 'x'",
        "DELETE FROM about",
    ] {
        let refused = raw.execute_batch(order);
        assert!(refused.is_err(), "{order}");
    }
    assert_eq!(count(&raw), before);
}

#[test]
fn unknown_fields_are_told_with_their_lines() {
    let fields = Fields::from_plain(
        "place: V9.5\nwhat: dc_volt\ntyped: 3 V\nvalue: x\nseen: by me\nto: a\nto: b\n",
        1,
    );
    let faults = Fact::from_fields("measured", &fields.expect("plain")).expect_err("faults");
    let told: Vec<(usize, &str)> = faults
        .iter()
        .map(|fault| (fault.line, fault.key.as_str()))
        .collect();
    assert_eq!(told, [(0, "what"), (4, "value"), (5, "seen"), (7, "to")]);
    assert!(Fact::from_fields("dreamt", &Fields::default()).is_err());
}

#[test]
fn the_sheet_that_holds_follows_undo_and_correction() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut book = Logbook::start(&folder.path().join("a.restoration"), "a").expect("starts");
    let present = |book: &Logbook| book.present_sheet().expect("read");
    assert_eq!(present(&book), None);
    assert_eq!(book.last_entry(), Ok(None));
    book.take_sheet(&stamp(), "a.toml", "first").expect("taken");
    book.take_sheet(&stamp(), "a.toml", "second")
        .expect("taken");
    let undo = |book: &mut Logbook, names| {
        let because = String::new();
        let number = book
            .append(&stamp(), &Fact::Undone(Undone { names, because }))
            .expect("undone");
        let last = book.last_entry().expect("read").expect("one");
        assert_eq!((last.number, last.standing), (number, Standing::Stands));
    };
    assert_eq!(present(&book).as_deref(), Some("second"));
    undo(&mut book, 2);
    assert_eq!(present(&book).as_deref(), Some("first"));
    undo(&mut book, 3);
    assert_eq!(present(&book).as_deref(), Some("second"));
    // A correction that brings the first text back under the second's entry.
    let sheet = hash_of(b"first");
    let instead = Box::new(Fact::SheetTaken(logbook::SheetTaken {
        name: text("b.toml"),
        sheet,
    }));
    let because = String::new();
    let corrected = Corrected {
        names: 2,
        instead,
        because,
    };
    let number = book
        .append(&stamp(), &Fact::Corrected(corrected))
        .expect("corrected");
    assert_eq!(present(&book).as_deref(), Some("first"));
    undo(&mut book, number);
    assert_eq!(present(&book).as_deref(), Some("second"));
}

#[test]
fn what_was_decided_on_older_facts_is_not_written() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("a.restoration");
    let mut book = Logbook::start(&path, "Larkfield 12T").expect("starts");
    let facts = [reading("V9.5", 135.0), reading("V9.6", 110.0)];
    assert_eq!(book.append_all_after(0, &stamp(), &facts), Ok(Some(1)));
    // Another program enters something; what was decided before it is refused whole.
    let mut other = Logbook::open(&path).expect("opens");
    assert_eq!(other.append(&stamp(), &reading("line", 117.0)), Ok(3));
    assert_eq!(
        book.append_all_after(2, &stamp(), &facts),
        Err(LogbookError::Moved)
    );
    assert_eq!(book.entries().expect("read").len(), 3);
    assert_eq!(book.append_all_after(3, &stamp(), &facts), Ok(Some(4)));
}
