//! One restoration's file: facts appended to it, and read in their order.
//!
//! A fact is acknowledged when it stands on the disk. Several programs may read while one
//! writes; a second writer waits some seconds and is then refused. Times are handed in.
//! Fails with [`LogbookError`]; nothing is half written.

use std::path::{Path, PathBuf};

use rusqlite::Connection;
use sha2::{Digest, Sha256};

use crate::copy::copy_to;
use crate::error::LogbookError;
use crate::fact::{Fact, Photographed, SheetTaken};
use crate::fields::FieldFault;
use crate::open;
use crate::photograph::Photograph;
use crate::stamp::Stamp;
use crate::story::{Brief, Entry};
use crate::writing::{
    Marks, check_naming, check_sheet_as_seen, keep_photograph, keep_sheet, last_number, put, write,
};

/// A restoration, open.
#[derive(Debug)]
pub struct Logbook {
    connection: Connection,
    path: PathBuf,
    pub(crate) marks: Marks,
}

impl Logbook {
    /// Makes a new file for a restoration of this name and opens it.
    pub fn start(path: &Path, name: &str) -> Result<Logbook, LogbookError> {
        if name.trim().is_empty() || name.contains('\n') {
            let text = "a restoration needs a name of one line";
            let fault = FieldFault::new("name", text, "name the set, such as \"Larkfield 12T\"");
            return Err(LogbookError::Fact {
                faults: vec![fault],
            });
        }
        if path.symlink_metadata().is_ok() {
            return Err(LogbookError::AlreadyThere);
        }
        open::new(path, name)?;
        Logbook::open(path)
    }

    /// Opens a restoration to write into it; an older format is brought to the newest, after a copy.
    pub fn open(path: &Path) -> Result<Logbook, LogbookError> {
        Ok(Logbook {
            connection: open::to_write(path)?,
            path: path.to_path_buf(),
            marks: Marks::default(),
        })
    }

    /// Opens a restoration to read it.
    pub fn look(path: &Path) -> Result<Logbook, LogbookError> {
        Ok(Logbook {
            connection: open::to_read(path)?,
            path: path.to_path_buf(),
            marks: Marks::default(),
        })
    }

    /// Where the file is.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// Appends a fact; its number.
    pub fn append(&mut self, at: &Stamp, fact: &Fact) -> Result<u64, LogbookError> {
        self.change(|change| put(change, at, fact))
    }

    /// Appends several facts, all or none; the number of the first.
    pub fn append_all(&mut self, at: &Stamp, facts: &[Fact]) -> Result<Option<u64>, LogbookError> {
        self.change(|change| {
            let mut first = None;
            for fact in facts {
                let number = put(change, at, fact)?;
                first.get_or_insert(number);
            }
            Ok(first)
        })
    }

    /// The same, where `last` is still the number of the last entry (0 for none): what was decided
    /// on the facts up to there. [`LogbookError::Moved`] where something was written since.
    pub fn append_all_after(
        &mut self,
        last: u64,
        at: &Stamp,
        facts: &[Fact],
    ) -> Result<Option<u64>, LogbookError> {
        self.change(|change| {
            if last_number(change)? != last {
                return Err(LogbookError::Moved);
            }
            let mut first = None;
            for fact in facts {
                let number = put(change, at, fact)?;
                first.get_or_insert(number);
            }
            Ok(first)
        })
    }

    /// Keeps a sheet whole and appends that it was taken in.
    pub fn take_sheet(&mut self, at: &Stamp, name: &str, text: &str) -> Result<u64, LogbookError> {
        self.change(|change| {
            check_sheet_as_seen(change, text)?;
            let sheet = keep_sheet(change, text)?;
            let name = name.to_owned();
            put(change, at, &Fact::SheetTaken(SheetTaken { name, sheet }))
        })
    }

    /// Keeps a photograph whole and appends that it was added. Its hash and time are filled in here.
    pub fn add_photograph(
        &mut self,
        at: &Stamp,
        photograph: &Photograph,
        about: Photographed,
    ) -> Result<u64, LogbookError> {
        self.change(|change| {
            let hash = keep_photograph(change, photograph)?;
            let taken = photograph.taken.clone().unwrap_or_default();
            let fact = Photographed {
                photograph: hash,
                taken,
                ..about
            };
            put(change, at, &Fact::Photographed(fact))
        })
    }

    /// Puts a whole story with its sheets and photographs into this file, all or nothing.
    pub fn fill(
        &mut self,
        sheets: &[String],
        photographs: &[Photograph],
        entries: &[Entry],
    ) -> Result<(), LogbookError> {
        self.change(|change| {
            for sheet in sheets {
                keep_sheet(change, sheet)?;
            }
            for photograph in photographs {
                keep_photograph(change, photograph)?;
            }
            let mut earlier: Vec<Brief> = Vec::with_capacity(entries.len());
            for entry in entries {
                if entry.fact.names().is_some() {
                    check_naming(&earlier, &entry.fact)?;
                }
                write(change, &entry.at, &entry.fact)?;
                earlier.push(Brief::of(&entry.fact));
            }
            Ok(())
        })
    }

    /// Copies the file, as it stands now, to a new one; the copy is checked whole.
    pub fn back_up(&self, path: &Path) -> Result<(), LogbookError> {
        copy_to(&self.connection, path)
    }

    pub(crate) fn connection(&self) -> &Connection {
        &self.connection
    }

    pub(crate) fn connection_mut(&mut self) -> &mut Connection {
        &mut self.connection
    }
}

/// The name under which bytes are kept: their SHA-256, in hexadecimal.
pub fn hash_of(bytes: &[u8]) -> String {
    let digits = Sha256::digest(bytes);
    digits.iter().map(|byte| format!("{byte:02x}")).collect()
}
