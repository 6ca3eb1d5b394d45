//! Copies a restoration's file while it is in use.
//!
//! The copy is made page by page beside its name, checked whole, photographs included, and
//! given its name when it stands on the disk. A name that is taken is never written over.

use std::path::Path;
use std::time::Duration;

use rusqlite::Connection;
use rusqlite::backup::Backup;

use crate::error::LogbookError;
use crate::open::{disk, folder_of, found_by, put_in_place};

/// Pages copied at a stretch; others may write in between.
const PAGES: i32 = 1024;

/// Copies what the connection shows to a new file.
pub fn copy_to(connection: &Connection, path: &Path) -> Result<(), LogbookError> {
    if path.exists() {
        return Err(LogbookError::AlreadyThere);
    }
    let sql = |error| LogbookError::sql("copying the file", error);
    let made = tempfile::Builder::new()
        .prefix(".firstraster-")
        .tempfile_in(folder_of(path))
        .map_err(|error| disk("making the copy", &error))?
        .into_temp_path();
    let mut copy = Connection::open(&made).map_err(sql)?;
    Backup::new(connection, &mut copy)
        .and_then(|backup| backup.run_to_completion(PAGES, Duration::from_millis(1), None))
        .map_err(sql)?;
    let mut evidence = found_by(&copy, "PRAGMA integrity_check(5)")?;
    if evidence.is_empty() {
        evidence = found_by(
            &copy,
            "SELECT 'a fact lacks what it names: ' || \"table\" FROM pragma_foreign_key_check",
        )?;
    }
    if !evidence.is_empty() {
        return Err(LogbookError::Damaged { evidence });
    }
    copy.close().map_err(|(_, error)| sql(error))?;
    put_in_place(made, path)
}
