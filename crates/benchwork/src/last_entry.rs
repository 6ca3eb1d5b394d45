//! The number of a restoration's last entry: whether anything was entered since one looked.
//!
//! Reads one row. Fails where the file cannot be read.

use std::path::Path;

use logbook::Logbook;

use crate::restoration::trouble;
use crate::trouble::Trouble;

/// Number of the last entry; 0 before the first.
pub fn last_entry(file: &Path) -> Result<u64, Trouble> {
    let in_file = |error| trouble(file, error);
    let book = Logbook::look(file).map_err(in_file)?;
    let last = book.last_entry().map_err(in_file)?;
    Ok(last.map_or(0, |last| last.number))
}
