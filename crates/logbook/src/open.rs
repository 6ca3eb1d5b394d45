//! Opens a restoration's file: looks whether it is one, whole, and of a format known here.
//!
//! A file of an older format is copied beside itself before it is brought to the newest one.
//! Facts, sheets, the name and the ids of what was sent are checked each time; photographs, which may be large, are
//! checked by their hash when they are read, and all of the file when it is backed up.
//! What is acknowledged has reached the disk (write-ahead log, synced at each change).

use std::fs::{self, File};
use std::io::{ErrorKind, Read};
use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::{Connection, OpenFlags, TransactionBehavior};

use crate::copy::copy_to;
use crate::error::LogbookError;
use crate::schema::{APPLICATION_ID, FORMAT, STEPS};

/// How long a writer waits for another one to finish.
const PATIENCE: Duration = Duration::from_secs(5);

/// How the first bytes of every file of this kind read.
const HEAD: &[u8] = b"SQLite format 3\0";

/// Opens for reading and writing; an older format is brought to the newest.
pub fn to_write(path: &Path) -> Result<Connection, LogbookError> {
    with_steps(path, STEPS)
}

/// Opens for reading alone.
pub fn to_read(path: &Path) -> Result<Connection, LogbookError> {
    look_at_head(path)?;
    let connection = match beside_writers(path)? {
        Some(connection) => connection,
        // A file that may not be written has no writer as long as there is no log, and is read as
        // it is; its log, where there is one, is read with it.
        None if has_log(path) => without_writing(path)?,
        None => without_writing(&as_it_is(path))?,
    };
    let found = format_of(&connection)?;
    refuse_newer(found, FORMAT)?;
    if found < FORMAT {
        // Older formats are read through the newest one, so that there is one way to read.
        drop(connection);
        return to_write(path);
    }
    check_whole(&connection, found)?;
    Ok(connection)
}

/// Opens for reading beside others that may write; `None` where the file or its folder may not be
/// written. The connection could write, and is told never to: the last one that may write takes
/// the files with the endings `-wal` and `-shm` away when it closes, one that may not leaves them.
fn beside_writers(path: &Path) -> Result<Option<Connection>, LogbookError> {
    if is_protected(path) {
        return Ok(None);
    }
    let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let opened = Connection::open_with_flags(path, flags)
        .map_err(|error| LogbookError::sql("opening the file", error))
        .and_then(|connection| {
            if connection.is_readonly("main").unwrap_or(true) {
                return Err(LogbookError::ReadOnly);
            }
            settle(&connection)?;
            connection
                .pragma_update(None, "query_only", true)
                .map_err(|error| LogbookError::sql("opening the file", error))?;
            check_kind(&connection)?;
            Ok(connection)
        });
    match opened {
        Ok(connection) => Ok(Some(connection)),
        // A folder that may not be written to has no room for a log, and neither has a full disk.
        Err(LogbookError::Disk { .. } | LogbookError::Full { .. } | LogbookError::ReadOnly) => {
            Ok(None)
        }
        Err(other) => Err(other),
    }
}

fn without_writing(path: &Path) -> Result<Connection, LogbookError> {
    let flags = OpenFlags::SQLITE_OPEN_READ_ONLY
        | OpenFlags::SQLITE_OPEN_NO_MUTEX
        | OpenFlags::SQLITE_OPEN_URI;
    let connection = Connection::open_with_flags(path, flags)
        .map_err(|error| LogbookError::sql("opening the file", error))?;
    settle(&connection)?;
    check_kind(&connection)?;
    Ok(connection)
}

/// Makes a new file; whatever stands there already is left alone.
pub fn new(path: &Path, name: &str) -> Result<(), LogbookError> {
    let folder = folder_of(path);
    let mut builder = tempfile::Builder::new();
    builder.prefix(".firstraster-");
    let made = builder
        .tempfile_in(folder)
        .map_err(|error| disk("making the file", &error))?
        .into_temp_path();
    {
        let mut connection =
            Connection::open(&made).map_err(|error| LogbookError::sql("making the file", error))?;
        settle(&connection)?;
        set_up(&connection)?;
        climb(&mut connection, STEPS)?;
        connection
            .execute("INSERT INTO about (one, name) VALUES (1, ?1)", [name])
            .map_err(|error| LogbookError::sql("writing the name", error))?;
        connection
            .close()
            .map_err(|(_, error)| LogbookError::sql("closing the file", error))?;
    }
    put_in_place(made, path)
}

/// Gives a finished file its name, unless that name is taken.
pub fn put_in_place(made: tempfile::TempPath, path: &Path) -> Result<(), LogbookError> {
    refuse_leftovers(path)?;
    rights_of_a_new_file(&made)?;
    File::open(&made)
        .and_then(|file| file.sync_all())
        .map_err(|error| disk("bringing the file to the disk", &error))?;
    made.persist_noclobber(path)
        .map_err(|error| match error.error.kind() {
            ErrorKind::AlreadyExists => LogbookError::AlreadyThere,
            _ => disk("giving the file its name", &error.error),
        })?;
    // The name itself is on the disk once its folder is; not every system can be asked that.
    let _ = File::open(folder_of(path)).and_then(|folder| folder.sync_all());
    Ok(())
}

/// A log that was left beside a deleted file would be played into a new one of its name.
fn refuse_leftovers(path: &Path) -> Result<(), LogbookError> {
    for ending in ["-wal", "-shm", "-journal"] {
        let name = beside(path, ending);
        if name.symlink_metadata().is_ok() {
            let name = name.display().to_string();
            return Err(LogbookError::Leftover { name });
        }
    }
    Ok(())
}

/// The name with an ending behind it.
fn beside(path: &Path, ending: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(ending);
    PathBuf::from(name)
}

#[cfg(unix)]
fn rights_of_a_new_file(path: &Path) -> Result<(), LogbookError> {
    use std::os::unix::fs::PermissionsExt;
    fs::set_permissions(path, fs::Permissions::from_mode(0o644))
        .map_err(|error| disk("giving the file its rights", &error))
}

#[cfg(not(unix))]
fn rights_of_a_new_file(_path: &Path) -> Result<(), LogbookError> {
    Ok(())
}

/// The folder in which a file stands.
pub fn folder_of(path: &Path) -> &Path {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    }
}

/// An error of the system in the few kinds that matter.
pub fn disk(doing: &str, error: &std::io::Error) -> LogbookError {
    match error.kind() {
        ErrorKind::NotFound => LogbookError::disk(doing, "there is no such folder"),
        ErrorKind::PermissionDenied => {
            LogbookError::disk(doing, "the folder may not be written to")
        }
        _ => LogbookError::io(doing, error),
    }
}

fn with_steps(path: &Path, steps: &[&str]) -> Result<Connection, LogbookError> {
    look_at_head(path)?;
    let flags = OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_NO_MUTEX;
    let mut connection = Connection::open_with_flags(path, flags)
        .map_err(|error| LogbookError::sql("opening the file", error))?;
    if connection.is_readonly("main").unwrap_or(true) || is_protected(path) {
        return Err(LogbookError::ReadOnly);
    }
    settle(&connection)?;
    check_kind(&connection)?;
    let newest = steps.len() as i64;
    let found = format_of(&connection)?;
    refuse_newer(found, newest)?;
    check_whole(&connection, found)?;
    set_up(&connection)?;
    if found < newest {
        copy_before_climbing(&connection, path, newest)?;
        climb(&mut connection, steps)?;
        check_whole(&connection, newest)?;
    }
    Ok(connection)
}

/// Whether the owner has taken the right to write away from everybody.
fn is_protected(path: &Path) -> bool {
    fs::metadata(path).is_ok_and(|about| about.permissions().readonly())
}

fn has_log(path: &Path) -> bool {
    fs::metadata(beside(path, "-wal")).is_ok_and(|about| about.len() > 0)
}

fn as_it_is(path: &Path) -> PathBuf {
    let whole = fs::canonicalize(path).unwrap_or_else(|_| path.to_path_buf());
    let mut name = String::from("file:");
    for byte in whole.to_string_lossy().bytes() {
        match byte {
            b'/' | b'.' | b'-' | b'_' => name.push(char::from(byte)),
            plain if plain.is_ascii_alphanumeric() => name.push(char::from(plain)),
            other => name.push_str(&format!("%{other:02X}")),
        }
    }
    name.push_str("?immutable=1");
    PathBuf::from(name)
}

/// Tells what is no restoration before the database is asked.
fn look_at_head(path: &Path) -> Result<(), LogbookError> {
    let about = fs::metadata(path).map_err(|error| match error.kind() {
        ErrorKind::NotFound => LogbookError::NotThere,
        ErrorKind::PermissionDenied => LogbookError::disk("opening the file", "it may not be read"),
        _ => LogbookError::disk("opening the file", error),
    })?;
    if about.is_dir() {
        return Err(LogbookError::Folder);
    }
    let mut head = [0_u8; 100];
    let mut file =
        File::open(path).map_err(|error| LogbookError::disk("opening the file", error))?;
    let other = |because: &str| LogbookError::NotARestoration {
        because: because.to_owned(),
    };
    if about.len() < head.len() as u64 {
        return Err(other("it is too short to be one"));
    }
    file.read_exact(&mut head)
        .map_err(|error| LogbookError::disk("reading the file", error))?;
    if !head.starts_with(HEAD) {
        return Err(other(
            "it is not the kind of file that restorations are kept in",
        ));
    }
    Ok(())
}

fn check_kind(connection: &Connection) -> Result<(), LogbookError> {
    if number(connection, "PRAGMA application_id")? != APPLICATION_ID {
        return Err(LogbookError::NotARestoration {
            because: "it is a database of another program".to_owned(),
        });
    }
    Ok(())
}

fn format_of(connection: &Connection) -> Result<i64, LogbookError> {
    number(connection, "PRAGMA user_version")
}

fn refuse_newer(found: i64, known: i64) -> Result<(), LogbookError> {
    if found > known {
        return Err(LogbookError::Newer { found, known });
    }
    if found < 1 {
        return Err(LogbookError::Damaged {
            evidence: vec![format!("its format reads {found}, which never was")],
        });
    }
    Ok(())
}

/// The format from which on a file keeps the ids of what was sent.
const KEEPS_IDS_SINCE: i64 = 5;

/// Checks what every answer rests on: facts, sheets and the name, and the ids of what was sent.
fn check_whole(connection: &Connection, format: i64) -> Result<(), LogbookError> {
    let mut evidence = Vec::new();
    let tables = ["about", "sheets", "facts", "sent"];
    let known = if format < KEEPS_IDS_SINCE { 3 } else { 4 };
    for table in tables.into_iter().take(known) {
        evidence.extend(found_by(
            connection,
            &format!("PRAGMA integrity_check({table})"),
        )?);
    }
    evidence.truncate(5);
    if evidence.is_empty() {
        let gaps = number(
            connection,
            "SELECT (SELECT coalesce(max(number), 0) - count(*) FROM facts)
                  + (SELECT 1 - count(*) FROM about)",
        );
        // A file that is just being made has no name yet and no facts either.
        if gaps? != 0 {
            evidence.push("facts or the name are missing".to_owned());
        }
    }
    if evidence.is_empty() {
        Ok(())
    } else {
        Err(LogbookError::Damaged { evidence })
    }
}

/// What a check of the database found; nothing for `ok`.
pub fn found_by(connection: &Connection, check: &str) -> Result<Vec<String>, LogbookError> {
    let doing = "checking the file";
    let mut statement = connection
        .prepare(check)
        .map_err(|error| LogbookError::sql(doing, error))?;
    let rows = statement
        .query_map([], |row| row.get::<_, String>(0))
        .map_err(|error| LogbookError::sql(doing, error))?;
    let mut found = Vec::new();
    for row in rows {
        let row = row.map_err(|error| LogbookError::sql(doing, error))?;
        if row != "ok" {
            found.push(
                row.trim_start_matches("*** in database main ***")
                    .trim()
                    .replace('\n', " "),
            );
        }
    }
    Ok(found)
}

fn number(connection: &Connection, question: &str) -> Result<i64, LogbookError> {
    connection
        .query_row(question, [], |row| row.get(0))
        .map_err(|error| LogbookError::sql("reading the file", error))
}

fn settle(connection: &Connection) -> Result<(), LogbookError> {
    let settled = connection.busy_timeout(PATIENCE).and_then(|()| {
        connection.execute_batch(
            "PRAGMA foreign_keys = ON; PRAGMA trusted_schema = OFF; PRAGMA cell_size_check = ON;",
        )
    });
    settled.map_err(|error| LogbookError::sql("opening the file", error))
}

fn set_up(connection: &Connection) -> Result<(), LogbookError> {
    let mode: Result<String, _> =
        connection.query_row("PRAGMA journal_mode = WAL", [], |row| row.get(0));
    let done = mode.and_then(|_| connection.execute_batch("PRAGMA synchronous = FULL"));
    done.map_err(|error| LogbookError::sql("opening the file", error))
}

/// Brings a file to the newest format, all steps in one change.
fn climb(connection: &mut Connection, steps: &[&str]) -> Result<(), LogbookError> {
    let doing = "bringing the file to the newest format";
    let sql = |error| LogbookError::sql(doing, error);
    let change = connection
        .transaction_with_behavior(TransactionBehavior::Immediate)
        .map_err(sql)?;
    // Another program may have done it while this one waited.
    let from: i64 = change
        .query_row("PRAGMA user_version", [], |row| row.get(0))
        .map_err(sql)?;
    for step in steps.iter().skip(usize::try_from(from).unwrap_or(0)) {
        change.execute_batch(step).map_err(sql)?;
    }
    let newest = steps.len();
    change
        .execute_batch(&format!(
            "PRAGMA application_id = {APPLICATION_ID}; PRAGMA user_version = {newest};"
        ))
        .map_err(sql)?;
    change.commit().map_err(sql)
}

/// Copies the file beside itself, under a name that is not taken.
fn copy_before_climbing(
    connection: &Connection,
    path: &Path,
    newest: i64,
) -> Result<(), LogbookError> {
    for attempt in 1..1000 {
        let mut name = path.as_os_str().to_owned();
        name.push(format!(".before-format-{newest}"));
        if attempt > 1 {
            name.push(format!("-{attempt}"));
        }
        match copy_to(connection, Path::new(&name)) {
            Err(LogbookError::AlreadyThere) => {}
            other => return other,
        }
    }
    Err(LogbookError::AlreadyThere)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The steps known here and one more.
    fn and_one_more(more: &'static str) -> Vec<&'static str> {
        STEPS.iter().copied().chain([more]).collect()
    }

    #[test]
    fn an_older_file_is_copied_before_it_climbs() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("a.restoration");
        new(&path, "Larkfield 12T").expect("made");
        let next = FORMAT + 1;
        let copy = folder
            .path()
            .join(format!("a.restoration.before-format-{next}"));
        let taken = folder
            .path()
            .join(format!("a.restoration.before-format-{next}-2"));
        fs::write(&copy, "somebody's own").expect("written");
        let steps = and_one_more(
            "ALTER TABLE about ADD COLUMN made INTEGER; CREATE TABLE more (a TEXT) STRICT;",
        );
        let connection = with_steps(&path, &steps).expect("climbs");
        assert_eq!(format_of(&connection), Ok(next));
        drop(connection);
        assert_eq!(fs::read(&copy).expect("kept"), b"somebody's own");
        // The copy is of the old format and opens by itself.
        let old = to_write(&taken).expect("opens");
        assert_eq!(format_of(&old), Ok(FORMAT));
        // The file itself is newer now than this program knows.
        let newer = LogbookError::Newer {
            found: next,
            known: FORMAT,
        };
        assert_eq!(to_write(&path).err(), Some(newer.clone()));
        assert_eq!(to_read(&path).err(), Some(newer));
    }

    #[test]
    fn a_step_that_fails_leaves_the_old_format() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("a.restoration");
        new(&path, "Larkfield 12T").expect("made");
        let broken = and_one_more("CREATE TABLE more (a TEXT) STRICT; no step at all;");
        assert!(with_steps(&path, &broken).is_err());
        let connection = to_write(&path).expect("opens as before");
        assert_eq!(format_of(&connection), Ok(FORMAT));
        let tables = number(
            &connection,
            "SELECT count(*) FROM sqlite_schema WHERE name = 'more'",
        );
        assert_eq!(tables, Ok(0));
    }
}
