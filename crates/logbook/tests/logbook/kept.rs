//! Files of earlier formats, kept, still open and tell the same story.
//!
//! `tests/data/format_1.restoration` was made when format 1 was; beside it stands its story in the
//! plain form; so with the others. A file is added for each format, and none is ever made anew.

use std::fs;
use std::path::Path;

use logbook::{FORMAT, Fact, Logbook, PlainStory};

use crate::tried::{reading, stamp};

#[test]
fn a_file_of_format_1_opens_and_can_be_written() {
    check(1, 11);
}

#[test]
fn a_file_of_format_2_opens_and_can_be_written() {
    check(2, 12);
}

#[test]
fn a_file_of_format_3_opens_and_can_be_written() {
    check(3, 13);
}

#[test]
fn a_file_of_format_4_opens_and_can_be_written() {
    check(4, 15);
}

#[test]
fn a_file_of_format_5_opens_and_can_be_written() {
    let book = check(5, 16);
    // Its last entries were sent together, under one id.
    let last = book.last_entry().expect("read").expect("one").number - 1;
    assert_eq!(book.sent("kept-with-format-5"), Ok(Some((17, last))));
    assert_eq!(book.sent("sending-of-the-undo"), Ok(Some((16, 16))));
}

#[test]
fn the_copy_made_before_is_the_file_as_it_was() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("kept.restoration");
    let data = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data");
    fs::copy(data.join("format_4.restoration"), &path).expect("copied");
    drop(Logbook::open(&path).expect("opens"));
    let copy = folder
        .path()
        .join(format!("kept.restoration.before-format-{FORMAT}"));
    let format = |path: &Path| -> i64 {
        let raw = rusqlite::Connection::open(path).expect("opens");
        raw.query_row("PRAGMA user_version", [], |row| row.get(0))
            .expect("read")
    };
    assert_eq!((format(&path), format(&copy)), (FORMAT, 4));
    // It opens by itself, with the same story, and is brought up in its turn.
    let story = |path: &Path| Logbook::look(path).and_then(|book| book.entries());
    assert_eq!(story(&copy), story(&path));
    assert_eq!(format(&copy), FORMAT);
}

/// Opens the kept file of a format, which has facts of so many kinds.
fn check(format: u32, kinds_in_it: usize) -> Logbook {
    let data = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data");
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("kept.restoration");
    fs::copy(data.join(format!("format_{format}.restoration")), &path).expect("copied");
    let told = fs::read_to_string(data.join(format!("format_{format}_story.txt"))).expect("read");
    let mut book = Logbook::open(&path).expect("opens");
    // An older file was copied, as it was, before it was brought to the newest format.
    let copy = folder
        .path()
        .join(format!("kept.restoration.before-format-{FORMAT}"));
    assert_eq!(copy.exists(), i64::from(format) < FORMAT);
    let entries = book.entries().expect("read");
    let kinds: std::collections::BTreeSet<&str> =
        entries.iter().map(|entry| entry.fact.kind()).collect();
    assert_eq!(kinds.len(), kinds_in_it, "one of every kind: {kinds:?}");
    for entry in &entries {
        if let Fact::Photographed(one) = &entry.fact {
            assert_eq!(
                book.photograph(&one.photograph).expect("kept").ending,
                "jpg"
            );
        }
        if let Fact::SheetTaken(one) = &entry.fact {
            assert!(
                book.sheet(&one.sheet)
                    .expect("kept")
                    .starts_with("sheet = 1")
            );
        }
    }
    let name = book.name().expect("read");
    let last = entries.len() as u64;
    assert_eq!(PlainStory { name, entries }.to_text(), told);
    // What is sent under an id is written once, also where the file had no room for ids before.
    let id = "sent-to-a-kept-file";
    book.once(id).expect("marked");
    assert_eq!(book.append(&stamp(), &reading("V9.5", 135.0)), Ok(last + 1));
    assert_eq!(book.sent(id), Ok(Some((last + 1, last + 1))));
    book
}
