//! One restoration's file: facts appended to it, and read in their order.
//!
//! A fact is acknowledged when it stands on the disk. Several programs may read while one
//! writes; a second writer waits some seconds and is then refused. Times are handed in.
//! Fails with [`LogbookError`]; nothing is half written.

use std::path::{Path, PathBuf};

use rusqlite::{Connection, OptionalExtension, Transaction, TransactionBehavior, params};
use sha2::{Digest, Sha256};

use crate::copy::copy_to;
use crate::error::LogbookError;
use crate::fact::{Fact, Photographed, SheetTaken};
use crate::fields::{FieldFault, Fields};
use crate::open;
use crate::photograph::Photograph;
use crate::stamp::Stamp;
use crate::story::{Entry, Link, Standing, naming_fault, standings, standings_of};

/// A restoration, open.
#[derive(Debug)]
pub struct Logbook {
    connection: Connection,
    path: PathBuf,
}

/// A photograph as it is kept.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeptPhotograph {
    /// The bytes as they came.
    pub original: Vec<u8>,
    /// The usual ending of its kind of file, such as `jpg`.
    pub ending: String,
    /// A reduced picture of it, upright, JPEG.
    pub upright: Vec<u8>,
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
        })
    }

    /// Opens a restoration to read it.
    pub fn look(path: &Path) -> Result<Logbook, LogbookError> {
        Ok(Logbook {
            connection: open::to_read(path)?,
            path: path.to_path_buf(),
        })
    }

    /// Where the file is.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// The name of the restoration.
    pub fn name(&self) -> Result<String, LogbookError> {
        self.connection
            .query_row("SELECT name FROM about", [], |row| row.get(0))
            .map_err(|error| LogbookError::sql("reading the name", error))
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
            let found: u64 = change
                .query_row("SELECT coalesce(max(number), 0) FROM facts", [], |row| {
                    row.get(0)
                })
                .map_err(|error| LogbookError::sql("reading the facts", error))?;
            if found != last {
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
            let mut earlier: Vec<Entry> = Vec::with_capacity(entries.len());
            for entry in entries {
                if entry.fact.names().is_some() {
                    mark_standing(&mut earlier);
                    check_naming(&earlier, &entry.fact)?;
                }
                write(change, &entry.at, &entry.fact)?;
                earlier.push(entry.clone());
            }
            Ok(())
        })
    }

    /// Every entry in its order, with what was undone and corrected.
    pub fn entries(&self) -> Result<Vec<Entry>, LogbookError> {
        entries_of(&self.connection)
    }

    /// The last entry. Nothing names it yet, so it stands.
    pub fn last_entry(&self) -> Result<Option<Entry>, LogbookError> {
        let mut last = entries_by(
            &self.connection,
            "SELECT number, at, kind, body FROM facts ORDER BY number DESC LIMIT 1",
        )?;
        Ok(last.pop())
    }

    /// The text of the sheet that holds now; `None` before one was taken in. Reads no other fact.
    pub fn present_sheet(&self) -> Result<Option<String>, LogbookError> {
        let sheets = self
            .sheets_and_links()
            .map_err(|error| LogbookError::sql("reading the facts", error))?;
        let links: Vec<Option<Link>> = sheets.iter().map(|(_, link)| *link).collect();
        let sheet_of = |number: u64| {
            let place = usize::try_from(number.checked_sub(1)?).ok()?;
            sheets.get(place)?.0.as_deref()
        };
        // A correction is no fact of its own: it is found through the one that it tells anew.
        let standings = standings_of(&links).into_iter().enumerate().rev();
        let mut own = standings.filter(|(place, _)| links[*place].is_none());
        let present = own.find_map(|(place, standing)| match standing {
            Standing::Stands => sheet_of(place as u64 + 1),
            Standing::CorrectedBy(by) => sheet_of(by),
            Standing::UndoneBy(_) => None,
        });
        present.map(|hash| self.sheet(hash)).transpose()
    }

    /// Of each entry the sheet that it names, and what it does to an earlier one.
    fn sheets_and_links(&self) -> rusqlite::Result<Vec<(Option<String>, Option<Link>)>> {
        let mut statement = self
            .connection
            .prepare_cached("SELECT sheet, names, kind = 'undone' FROM facts ORDER BY number")?;
        let rows = statement.query_map([], |row| {
            let names: Option<u64> = row.get(1)?;
            let is_undo: bool = row.get(2)?;
            let link = names.map(|names| {
                if is_undo {
                    Link::Undoes(names)
                } else {
                    Link::Corrects(names)
                }
            });
            Ok((row.get(0)?, link))
        })?;
        rows.collect()
    }

    /// The text of a sheet that was taken in.
    pub fn sheet(&self, hash: &str) -> Result<String, LogbookError> {
        let text: Option<String> = self
            .connection
            .query_row("SELECT text FROM sheets WHERE sheet = ?1", [hash], |row| {
                row.get(0)
            })
            .optional()
            .map_err(|error| LogbookError::sql("reading a sheet", error))?;
        let text = text.ok_or_else(|| LogbookError::NotKept {
            hash: hash.to_owned(),
        })?;
        same_hash("sheet", hash, text.as_bytes())?;
        Ok(text)
    }

    /// A photograph that was added; one that has been damaged is refused.
    pub fn photograph(&self, hash: &str) -> Result<KeptPhotograph, LogbookError> {
        let question = "SELECT original, ending, upright FROM photographs WHERE photograph = ?1";
        let kept = self
            .connection
            .query_row(question, [hash], |row| {
                Ok(KeptPhotograph {
                    original: row.get(0)?,
                    ending: row.get(1)?,
                    upright: row.get(2)?,
                })
            })
            .optional()
            .map_err(|error| LogbookError::sql("reading a photograph", error))?;
        let kept = kept.ok_or_else(|| LogbookError::NotKept {
            hash: hash.to_owned(),
        })?;
        same_hash("photograph", hash, &kept.original)?;
        Ok(kept)
    }

    /// The picture for show of a photograph that was added; its original is not looked at.
    pub fn upright(&self, hash: &str) -> Result<Vec<u8>, LogbookError> {
        let question = "SELECT upright FROM photographs WHERE photograph = ?1";
        let kept = self
            .connection
            .query_row(question, [hash], |row| row.get(0))
            .optional()
            .map_err(|error| LogbookError::sql("reading a photograph", error))?;
        kept.ok_or_else(|| LogbookError::NotKept {
            hash: hash.to_owned(),
        })
    }

    /// The usual ending of a photograph's file; `None` where it is not kept.
    pub fn ending(&self, hash: &str) -> Result<Option<String>, LogbookError> {
        let question = "SELECT ending FROM photographs WHERE photograph = ?1";
        self.connection
            .query_row(question, [hash], |row| row.get(0))
            .optional()
            .map_err(|error| LogbookError::sql("reading a photograph", error))
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

    fn change<T>(
        &mut self,
        work: impl FnOnce(&Transaction<'_>) -> Result<T, LogbookError>,
    ) -> Result<T, LogbookError> {
        let sql = |error| LogbookError::sql("writing into the file", error);
        let change = self
            .connection
            .transaction_with_behavior(TransactionBehavior::Immediate)
            .map_err(sql)?;
        let done = work(&change)?;
        change.commit().map_err(sql)?;
        Ok(done)
    }
}

/// The name under which bytes are kept: their SHA-256, in hexadecimal.
pub fn hash_of(bytes: &[u8]) -> String {
    let digits = Sha256::digest(bytes);
    digits.iter().map(|byte| format!("{byte:02x}")).collect()
}

fn same_hash(what: &str, hash: &str, bytes: &[u8]) -> Result<(), LogbookError> {
    if hash_of(bytes) == hash {
        return Ok(());
    }
    Err(LogbookError::Damaged {
        evidence: vec![format!("the {what} {hash} is not what was kept")],
    })
}

fn keep_sheet(change: &Transaction<'_>, text: &str) -> Result<String, LogbookError> {
    let hash = hash_of(text.as_bytes());
    let sql = |error| LogbookError::sql("keeping the sheet", error);
    if !is_kept(change, "SELECT 1 FROM sheets WHERE sheet = ?1", &hash).map_err(sql)? {
        change
            .execute(
                "INSERT INTO sheets (sheet, text) VALUES (?1, ?2)",
                params![hash, text],
            )
            .map_err(sql)?;
    }
    Ok(hash)
}

fn keep_photograph(change: &Transaction<'_>, one: &Photograph) -> Result<String, LogbookError> {
    let hash = hash_of(&one.original);
    let sql = |error| LogbookError::sql("keeping the photograph", error);
    if !is_kept(
        change,
        "SELECT 1 FROM photographs WHERE photograph = ?1",
        &hash,
    )
    .map_err(sql)?
    {
        change
            .execute(
                "INSERT INTO photographs (photograph, ending, original, upright) VALUES (?1, ?2, ?3, ?4)",
                params![hash, one.ending, one.original, one.upright],
            )
            .map_err(sql)?;
    }
    Ok(hash)
}

fn is_kept(change: &Transaction<'_>, question: &str, hash: &str) -> rusqlite::Result<bool> {
    change.prepare_cached(question)?.exists([hash])
}

fn put(change: &Transaction<'_>, at: &Stamp, fact: &Fact) -> Result<u64, LogbookError> {
    if fact.names().is_some() {
        check_naming(&entries_of(change)?, fact)?;
    }
    write(change, at, fact)
}

fn check_naming(entries: &[Entry], fact: &Fact) -> Result<(), LogbookError> {
    let Some(number) = fact.names() else {
        return Ok(());
    };
    let last = entries.len() as u64;
    if number == 0 || number > last {
        return Err(LogbookError::NoSuchFact { number, last });
    }
    match naming_fault(entries, fact) {
        Some(because) => Err(LogbookError::NotToBeNamed { number, because }),
        None => Ok(()),
    }
}

fn write(change: &Transaction<'_>, at: &Stamp, fact: &Fact) -> Result<u64, LogbookError> {
    let faults = fact.faults();
    if !faults.is_empty() {
        return Err(LogbookError::Fact { faults });
    }
    let sql = |error| LogbookError::sql("writing into the file", error);
    let last: u64 = change
        .prepare_cached("SELECT coalesce(max(number), 0) FROM facts")
        .and_then(|mut statement| statement.query_row([], |row| row.get(0)))
        .map_err(sql)?;
    for (hash, question) in [
        (fact.sheet(), "SELECT 1 FROM sheets WHERE sheet = ?1"),
        (
            fact.photograph(),
            "SELECT 1 FROM photographs WHERE photograph = ?1",
        ),
    ] {
        if let Some(hash) = hash
            && !is_kept(change, question, hash).map_err(sql)?
        {
            let hash = hash.to_owned();
            return Err(LogbookError::NotKept { hash });
        }
    }
    let number = last + 1;
    change
        .prepare_cached(
            "INSERT INTO facts (number, at, kind, names, sheet, photograph, body)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
        )
        .and_then(|mut statement| {
            statement.execute(params![
                number,
                at.as_str(),
                fact.kind(),
                fact.names(),
                fact.sheet(),
                fact.photograph(),
                fact.to_fields().to_plain(),
            ])
        })
        .map_err(sql)?;
    Ok(number)
}

fn entries_of(connection: &Connection) -> Result<Vec<Entry>, LogbookError> {
    let mut entries = entries_by(
        connection,
        "SELECT number, at, kind, body FROM facts ORDER BY number",
    )?;
    mark_standing(&mut entries);
    Ok(entries)
}

fn entries_by(connection: &Connection, question: &str) -> Result<Vec<Entry>, LogbookError> {
    let sql = |error| LogbookError::sql("reading the facts", error);
    let mut statement = connection.prepare_cached(question).map_err(sql)?;
    let mut rows = statement.query([]).map_err(sql)?;
    let mut entries = Vec::new();
    while let Some(row) = rows.next().map_err(sql)? {
        let number: u64 = row.get(0).map_err(sql)?;
        let at: String = row.get(1).map_err(sql)?;
        let kind: String = row.get(2).map_err(sql)?;
        let body: String = row.get(3).map_err(sql)?;
        let damaged = |text: String| LogbookError::Damaged {
            evidence: vec![format!("fact {number}: {text}")],
        };
        let at = Stamp::read(&at).map_err(damaged)?;
        let fact = Fields::from_plain(&body, 1)
            .and_then(|fields| Fact::from_fields(&kind, &fields))
            .map_err(|faults| LogbookError::Fact { faults })
            .map_err(|error| damaged(error.to_string()))?;
        entries.push(Entry {
            number,
            at,
            fact,
            standing: Standing::Stands,
        });
    }
    Ok(entries)
}

fn mark_standing(entries: &mut [Entry]) {
    let standing = standings(entries);
    for (entry, standing) in entries.iter_mut().zip(standing) {
        entry.standing = standing;
    }
}
