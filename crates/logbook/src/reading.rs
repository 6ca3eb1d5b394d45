//! What a restoration's file tells: its entries, the sheet that holds, what is kept beside them.
//!
//! Sheets and photographs are found by their hash; one that is not what was kept is refused. A reader
//! that keeps what it read asks [`Logbook::data_version`] whether another program has written, and
//! takes what came since ([`Logbook::entries_after`]). Fails with [`LogbookError`]; nothing is written.

use rusqlite::{Connection, OptionalExtension, ToSql};

use crate::error::LogbookError;
use crate::fact::Fact;
use crate::fields::Fields;
use crate::logbook::{Logbook, hash_of};
use crate::stamp::Stamp;
use crate::story::{Brief, Entry, Link, Standing, stand_anew, standings_of};

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
    /// The name of the restoration.
    pub fn name(&self) -> Result<String, LogbookError> {
        self.connection()
            .query_row("SELECT name FROM about", [], |row| row.get(0))
            .map_err(|error| LogbookError::sql("reading the name", error))
    }

    /// Every entry in its order, with what was undone and corrected.
    pub fn entries(&self) -> Result<Vec<Entry>, LogbookError> {
        let mut entries = entries_by(
            self.connection(),
            "SELECT number, at, kind, body FROM facts ORDER BY number",
            &[],
        )?;
        stand_anew(&mut entries);
        Ok(entries)
    }

    /// The last entry. Nothing names it yet, so it stands.
    pub fn last_entry(&self) -> Result<Option<Entry>, LogbookError> {
        let mut last = entries_by(
            self.connection(),
            "SELECT number, at, kind, body FROM facts ORDER BY number DESC LIMIT 1",
            &[],
        )?;
        Ok(last.pop())
    }

    /// The entries after this number, in their order, with what was undone and corrected. They may
    /// have changed how earlier ones stand: put behind those, [`stand_anew`] tells it.
    pub fn entries_after(&self, number: u64) -> Result<Vec<Entry>, LogbookError> {
        let mut entries = entries_by(
            self.connection(),
            "SELECT number, at, kind, body FROM facts WHERE number > ?1 ORDER BY number",
            &[&number],
        )?;
        if entries.is_empty() {
            return Ok(entries);
        }
        let briefs = briefs(self.connection())?;
        let links: Vec<Option<Link>> = briefs.iter().map(|brief| brief.link).collect();
        let standing = standings_of(&links);
        for entry in &mut entries {
            let place = usize::try_from(entry.number.saturating_sub(1)).ok();
            if let Some(standing) = place.and_then(|place| standing.get(place)) {
                entry.standing = *standing;
            }
        }
        Ok(entries)
    }

    /// A number that changes when another program, or another `Logbook` of this one, has written
    /// into the file, facts or what was worked out; its own writing leaves it as it is. It tells nothing by itself: compare it
    /// with what the same `Logbook` told before.
    pub fn data_version(&self) -> Result<i64, LogbookError> {
        self.connection()
            .query_row("PRAGMA data_version", [], |row| row.get(0))
            .map_err(|error| LogbookError::sql("reading the file", error))
    }

    /// The text of the sheet that holds now; `None` before one was taken in. Reads no other fact.
    pub fn present_sheet(&self) -> Result<Option<String>, LogbookError> {
        let briefs = briefs(self.connection())?;
        let present = present_among(&briefs);
        present.map(|hash| self.sheet(hash)).transpose()
    }

    /// The text of a sheet that was taken in.
    pub fn sheet(&self, hash: &str) -> Result<String, LogbookError> {
        let text: Option<String> = self
            .connection()
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
            .connection()
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
            .connection()
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
        self.connection()
            .query_row(question, [hash], |row| row.get(0))
            .optional()
            .map_err(|error| LogbookError::sql("reading a photograph", error))
    }
}

/// The briefs of every entry, in their order; no fact is read whole.
pub(crate) fn briefs(connection: &Connection) -> Result<Vec<Brief>, LogbookError> {
    let sql = |error| LogbookError::sql("reading the facts", error);
    let mut statement = connection
        .prepare_cached("SELECT kind, sheet, names FROM facts ORDER BY number")
        .map_err(sql)?;
    let rows = statement.query_map([], |row| {
        let kind: String = row.get(0)?;
        let names: Option<u64> = row.get(2)?;
        let link = names.map(|names| {
            if kind == "undone" {
                Link::Undoes(names)
            } else {
                Link::Corrects(names)
            }
        });
        Ok(Brief {
            kind: kind.into(),
            sheet: row.get(1)?,
            link,
        })
    });
    rows.and_then(Iterator::collect).map_err(sql)
}

/// The hash of the sheet that holds after these entries.
pub(crate) fn present_among(briefs: &[Brief]) -> Option<&str> {
    let links: Vec<Option<Link>> = briefs.iter().map(|brief| brief.link).collect();
    let sheet_of = |number: u64| {
        let place = usize::try_from(number.checked_sub(1)?).ok()?;
        briefs.get(place)?.sheet.as_deref()
    };
    // A correction is no fact of its own: it is found through the one that it tells anew.
    let standings = standings_of(&links).into_iter().enumerate().rev();
    let mut own = standings.filter(|(place, _)| links[*place].is_none());
    own.find_map(|(place, standing)| match standing {
        Standing::Stands => sheet_of(place as u64 + 1),
        Standing::CorrectedBy(by) => sheet_of(by),
        Standing::UndoneBy(_) => None,
    })
}

fn same_hash(what: &str, hash: &str, bytes: &[u8]) -> Result<(), LogbookError> {
    if hash_of(bytes) == hash {
        return Ok(());
    }
    Err(LogbookError::Damaged {
        evidence: vec![format!("the {what} {hash} is not what was kept")],
    })
}

fn entries_by(
    connection: &Connection,
    question: &str,
    with: &[&dyn ToSql],
) -> Result<Vec<Entry>, LogbookError> {
    let sql = |error| LogbookError::sql("reading the facts", error);
    let mut statement = connection.prepare_cached(question).map_err(sql)?;
    let mut rows = statement.query(with).map_err(sql)?;
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
