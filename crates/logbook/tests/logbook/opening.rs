//! Opening: what is no restoration, what is damaged, read-only, in use; copies.

use std::fs;
use std::path::Path;

use logbook::{Fact, Logbook, LogbookError};

use crate::tried::{plain_facts, stamp, whole_book};

fn refused(path: &Path, wanted: &str) {
    for outcome in [Logbook::open(path), Logbook::look(path)] {
        let error = outcome.err().unwrap_or_else(|| panic!("{wanted}: opened"));
        assert!(
            error.to_string().contains(wanted),
            "`{error}` does not say `{wanted}`"
        );
        assert!(!error.hint().is_empty());
    }
}

#[test]
fn what_is_no_restoration_is_told_apart() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = |name: &str| folder.path().join(name);
    refused(&path("none.restoration"), "no such file");
    refused(folder.path(), "a folder");
    fs::write(path("empty"), "").expect("written");
    refused(&path("empty"), "too short");
    fs::write(path("text"), "sheet = 1\n".repeat(100)).expect("written");
    refused(&path("text"), "not the kind of file");
    let other = rusqlite::Connection::open(path("other")).expect("opens");
    other.execute_batch("CREATE TABLE a (b)").expect("made");
    drop(other);
    refused(&path("other"), "another program");
}

#[test]
fn a_newer_format_is_left_to_the_newer_program() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("a.restoration");
    drop(whole_book(&path));
    let raw = rusqlite::Connection::open(&path).expect("opens");
    raw.pragma_update(None, "user_version", 99).expect("set");
    drop(raw);
    refused(&path, "format 99");
}

#[test]
fn a_damaged_file_is_told_and_left_alone() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("a.restoration");
    let mut book = Logbook::start(&path, "a").expect("starts");
    for _ in 0..40 {
        for fact in plain_facts() {
            book.append(&stamp(), &fact).expect("appended");
        }
    }
    drop(book);
    let whole = fs::read(&path).expect("read");
    // A disk that lost a page: everything from the middle of the file is other bytes.
    let mut torn = whole.clone();
    let middle = torn.len() / 2 / 4096 * 4096;
    torn[middle..middle + 4096].fill(0x5a);
    fs::write(&path, &torn).expect("written");
    refused(&path, "damaged");
    assert_eq!(fs::read(&path).expect("read"), torn);
    // A copy that ended early.
    fs::write(&path, &whole[..middle]).expect("written");
    refused(&path, "damaged");
}

#[test]
fn nothing_is_written_over() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("a.restoration");
    fs::write(&path, "somebody's own").expect("written");
    assert_eq!(
        Logbook::start(&path, "a").err(),
        Some(LogbookError::AlreadyThere)
    );
    let book = whole_book(&folder.path().join("b.restoration"));
    assert_eq!(book.back_up(&path), Err(LogbookError::AlreadyThere));
    assert_eq!(fs::read(&path).expect("kept"), b"somebody's own");
    assert!(Logbook::start(&folder.path().join("no/c.restoration"), "a").is_err());
    assert!(Logbook::start(&folder.path().join("d.restoration"), " ").is_err());
    assert!(!folder.path().join("d.restoration").exists());
}

#[cfg(unix)]
#[test]
fn a_file_without_the_right_to_write_can_be_read() {
    use std::os::unix::fs::PermissionsExt;
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("a set, with % and ?.restoration");
    let count = whole_book(&path).entries().expect("read").len();
    fs::set_permissions(&path, fs::Permissions::from_mode(0o444)).expect("set");
    fs::set_permissions(folder.path(), fs::Permissions::from_mode(0o555)).expect("set");
    assert_eq!(Logbook::open(&path).err(), Some(LogbookError::ReadOnly));
    let book = Logbook::look(&path).expect("opens");
    assert_eq!(book.entries().expect("read").len(), count);
    fs::set_permissions(folder.path(), fs::Permissions::from_mode(0o755)).expect("set");
}

#[test]
fn one_writes_while_others_read() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("a.restoration");
    let mut writer = whole_book(&path);
    let reader = Logbook::look(&path).expect("opens");
    let before = reader.entries().expect("read").len();
    writer
        .append(&stamp(), &plain_facts()[0])
        .expect("appended");
    assert_eq!(reader.entries().expect("read").len(), before + 1);
    // Two writers take turns; no number comes twice.
    let mut other = Logbook::open(&path).expect("opens");
    let first = other.append(&stamp(), &plain_facts()[0]).expect("appended");
    let second = writer
        .append(&stamp(), &plain_facts()[0])
        .expect("appended");
    assert_eq!((first, second), (before as u64 + 2, before as u64 + 3));
    // One that never finishes keeps the other out, and that is told.
    let raw = rusqlite::Connection::open(&path).expect("opens");
    raw.execute_batch("BEGIN IMMEDIATE").expect("begun");
    let refused = writer.append(&stamp(), &plain_facts()[0]);
    assert_eq!(refused, Err(LogbookError::Busy));
    raw.execute_batch("ROLLBACK").expect("ended");
    assert_eq!(reader.entries().expect("read").len(), before + 3);
}

/// What stands in a folder, by name.
fn names_in(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(folder)
        .expect("listed")
        .map(|entry| {
            let name = entry.expect("an entry").file_name();
            name.to_string_lossy().into_owned()
        })
        .collect();
    names.sort();
    names
}

#[test]
fn reading_leaves_nothing_beside_the_file() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("a.restoration");
    let alone = ["a.restoration"];
    drop(whole_book(&path));
    assert_eq!(names_in(folder.path()), alone);
    let bytes = fs::read(&path).expect("read");
    let reader = Logbook::look(&path).expect("opens");
    let entries = reader.entries().expect("read");
    // One that reads beside another, and the other way round.
    drop(Logbook::look(&path).expect("opens"));
    assert_eq!(reader.entries().as_ref(), Ok(&entries));
    drop(reader);
    assert_eq!(names_in(folder.path()), alone);
    assert_eq!(fs::read(&path).expect("read"), bytes);
    // What may be looked at may not be written into.
    let mut reader = Logbook::look(&path).expect("opens");
    let refused = reader.append(&stamp(), &plain_facts()[0]);
    assert_eq!(refused, Err(LogbookError::ReadOnly));
    assert_eq!(
        reader.keep_worked_out("a question", b"an answer"),
        Err(LogbookError::ReadOnly)
    );
    // Whoever goes last takes the log away, and what was written is in the file.
    let mut writer = Logbook::open(&path).expect("opens");
    writer
        .append(&stamp(), &plain_facts()[0])
        .expect("appended");
    drop(writer);
    assert_eq!(reader.entries().expect("read").len(), entries.len() + 1);
    drop(reader);
    assert_eq!(names_in(folder.path()), alone);
    let reader = Logbook::look(&path).expect("opens");
    assert_eq!(reader.entries().expect("read").len(), entries.len() + 1);
}

#[cfg(unix)]
#[test]
fn reading_a_protected_file_leaves_nothing_either() {
    use std::os::unix::fs::PermissionsExt;
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("a.restoration");
    let count = whole_book(&path).entries().expect("read").len();
    fs::set_permissions(&path, fs::Permissions::from_mode(0o444)).expect("set");
    let reader = Logbook::look(&path).expect("opens");
    assert_eq!(reader.entries().expect("read").len(), count);
    drop(reader);
    assert_eq!(names_in(folder.path()), ["a.restoration"]);
}

#[test]
fn a_log_that_a_killed_program_left_is_read_and_taken_away() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("a.restoration");
    let mut book = whole_book(&path);
    book.append(&stamp(), &plain_facts()[0]).expect("appended");
    let entries = book.entries().expect("read");
    // As they stand while the program runs: the file and its log.
    let left = folder.path().join("left");
    fs::create_dir(&left).expect("made");
    for ending in ["", "-wal"] {
        let name = format!("a.restoration{ending}");
        fs::copy(folder.path().join(&name), left.join(&name)).expect("copied");
    }
    let reader = Logbook::look(&left.join("a.restoration")).expect("opens");
    assert_eq!(reader.entries(), Ok(entries));
    drop(reader);
    assert_eq!(names_in(&left), ["a.restoration"]);
}

#[test]
fn a_backup_is_whole_also_while_the_file_is_in_use() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("a.restoration");
    let mut book = whole_book(&path);
    let entries = book.entries().expect("read");
    let copy = folder.path().join("copy.restoration");
    book.back_up(&copy).expect("copied");
    book.append(&stamp(), &plain_facts()[0]).expect("appended");
    let copied = Logbook::look(&copy).expect("opens");
    assert_eq!(copied.entries().expect("read"), entries);
    for entry in &entries {
        if let Fact::Photographed(one) = &entry.fact {
            assert_eq!(
                copied.photograph(&one.photograph),
                book.photograph(&one.photograph)
            );
        }
    }
    // No half-made copy is left beside it.
    let names: Vec<String> = fs::read_dir(folder.path())
        .expect("listed")
        .filter_map(|entry| Some(entry.ok()?.file_name().to_string_lossy().into_owned()))
        .filter(|name| name.starts_with('.'))
        .collect();
    assert!(names.is_empty(), "{names:?}");
}

#[test]
fn the_log_of_a_deleted_file_is_not_played_into_a_new_one() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("a.restoration");
    let book = whole_book(&path);
    let log = folder.path().join("a.restoration-wal");
    let left = fs::read(&log).expect("a file in use has a log");
    drop(book);
    fs::remove_file(&path).expect("removed");
    fs::write(&log, left).expect("written");
    let error = Logbook::start(&path, "a").expect_err("refused");
    assert!(error.to_string().contains("a.restoration-wal"), "{error}");
    let other = whole_book(&folder.path().join("b.restoration"));
    assert!(matches!(
        other.back_up(&path),
        Err(LogbookError::Leftover { .. })
    ));
    assert!(!path.exists());
    fs::remove_file(&log).expect("removed");
    assert!(other.back_up(&path).is_ok());
}
