//! One change of a restoration's file: all of it or nothing.
//!
//! A change may bear an id of its own, and may be bound to what its sender had seen ([`Marks`]); both
//! are looked at before anything is written, in the same change. A fact is checked before it is
//! written, and gets the next number. Fails with [`LogbookError`].

use rusqlite::{OptionalExtension, Transaction, TransactionBehavior, params};

use crate::error::LogbookError;
use crate::fact::Fact;
use crate::logbook::{Logbook, hash_of};
use crate::photograph::Photograph;
use crate::reading::{briefs, present_among};
use crate::stamp::Stamp;
use crate::story::{Brief, Link, naming_fault, overtaken_in};

/// What the next change bears; it is used up by it, whether it is written or refused.
#[derive(Debug, Default)]
pub(crate) struct Marks {
    /// The id under which it was sent.
    pub once: Option<String>,
    /// The last entry that its sender had seen.
    pub seen: Option<u64>,
}

/// A change that is being made.
pub(crate) struct Change<'a> {
    inner: Transaction<'a>,
    seen: Option<u64>,
}

impl Logbook {
    /// Does the work as one change.
    pub(crate) fn change<T>(
        &mut self,
        work: impl FnOnce(&Change<'_>) -> Result<T, LogbookError>,
    ) -> Result<T, LogbookError> {
        let sql = |error| LogbookError::sql("writing into the file", error);
        let Marks { once, seen } = std::mem::take(&mut self.marks);
        let inner = self
            .connection_mut()
            .transaction_with_behavior(TransactionBehavior::Immediate)
            .map_err(sql)?;
        if let Some((first, last)) = once
            .as_ref()
            .map(|id| sent(&inner, id))
            .transpose()?
            .flatten()
        {
            return Err(LogbookError::SentBefore { first, last });
        }
        let change = Change { inner, seen };
        let before = last_number(&change)?;
        if let Some(number) = seen.filter(|seen| *seen > before) {
            return Err(LogbookError::NoSuchFact {
                number,
                last: before,
            });
        }
        let done = work(&change)?;
        if let Some(id) = once {
            let after = last_number(&change)?;
            // What wrote no fact leaves nothing that could be told again.
            if after > before {
                change
                    .inner
                    .execute(
                        "INSERT INTO sent (id, first, last) VALUES (?1, ?2, ?3)",
                        params![id, before + 1, after],
                    )
                    .map_err(sql)?;
            }
        }
        change.inner.commit().map_err(sql)?;
        Ok(done)
    }
}

/// The first and the last entry that were made under this id.
pub(crate) fn sent(
    connection: &rusqlite::Connection,
    id: &str,
) -> Result<Option<(u64, u64)>, LogbookError> {
    connection
        .prepare_cached("SELECT first, last FROM sent WHERE id = ?1")
        .and_then(|mut statement| {
            let row = statement.query_row([id], |row| Ok((row.get(0)?, row.get(1)?)));
            row.optional()
        })
        .map_err(|error| LogbookError::sql("reading what was sent", error))
}

/// The number of the last entry; 0 for none.
pub(crate) fn last_number(change: &Change<'_>) -> Result<u64, LogbookError> {
    change
        .inner
        .prepare_cached("SELECT coalesce(max(number), 0) FROM facts")
        .and_then(|mut statement| statement.query_row([], |row| row.get(0)))
        .map_err(|error| LogbookError::sql("reading the facts", error))
}

/// Refuses a sheet where another one holds now than its sender had seen.
pub(crate) fn check_sheet_as_seen(change: &Change<'_>, text: &str) -> Result<(), LogbookError> {
    let Some(seen) = change.seen else {
        return Ok(());
    };
    let sheets = briefs(&change.inner)?;
    let count = usize::try_from(seen).map_or(sheets.len(), |seen| seen.min(sheets.len()));
    let (earlier, later) = sheets.split_at(count);
    let now = present_among(&sheets);
    if now == present_among(earlier) || now == Some(hash_of(text.as_bytes()).as_str()) {
        return Ok(());
    }
    // What is told is the last entry since that is about a sheet.
    let is_about_a_sheet = |brief: &Brief| {
        let mut brief = brief;
        while let (None, Some(Link::Undoes(names) | Link::Corrects(names))) =
            (&brief.sheet, brief.link)
        {
            let place = usize::try_from(names.saturating_sub(1)).ok();
            let Some(named) = place.and_then(|place| sheets.get(place)) else {
                return false;
            };
            brief = named;
        }
        brief.sheet.is_some()
    };
    let by = later.iter().rposition(is_about_a_sheet);
    Err(LogbookError::Overtaken {
        what: "another sheet was taken in".to_owned(),
        by: (count + by.unwrap_or_default() + 1) as u64,
    })
}

/// Keeps a sheet; its hash.
pub(crate) fn keep_sheet(change: &Change<'_>, text: &str) -> Result<String, LogbookError> {
    let hash = hash_of(text.as_bytes());
    let sql = |error| LogbookError::sql("keeping the sheet", error);
    if !is_kept(change, "SELECT 1 FROM sheets WHERE sheet = ?1", &hash).map_err(sql)? {
        change
            .inner
            .execute(
                "INSERT INTO sheets (sheet, text) VALUES (?1, ?2)",
                params![hash, text],
            )
            .map_err(sql)?;
    }
    Ok(hash)
}

/// Keeps a photograph; its hash.
pub(crate) fn keep_photograph(
    change: &Change<'_>,
    one: &Photograph,
) -> Result<String, LogbookError> {
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
            .inner
            .execute(
                "INSERT INTO photographs (photograph, ending, original, upright) VALUES (?1, ?2, ?3, ?4)",
                params![hash, one.ending, one.original, one.upright],
            )
            .map_err(sql)?;
    }
    Ok(hash)
}

fn is_kept(change: &Change<'_>, question: &str, hash: &str) -> rusqlite::Result<bool> {
    change.inner.prepare_cached(question)?.exists([hash])
}

/// Appends a fact; one that names an earlier fact only where that may be named.
pub(crate) fn put(change: &Change<'_>, at: &Stamp, fact: &Fact) -> Result<u64, LogbookError> {
    if fact.names().is_some() {
        let earlier = briefs(&change.inner)?;
        check_as_seen(&earlier, fact, change.seen)?;
        check_naming(&earlier, fact)?;
    }
    write(change, at, fact)
}

/// Refuses what names a fact that has changed since its sender saw it.
fn check_as_seen(earlier: &[Brief], fact: &Fact, seen: Option<u64>) -> Result<(), LogbookError> {
    let (Some(seen), Some(number)) = (seen, fact.names()) else {
        return Ok(());
    };
    match overtaken_in(earlier, number, seen) {
        Some((by, what)) => Err(LogbookError::Overtaken { what, by }),
        None => Ok(()),
    }
}

/// Refuses what names an entry that is not there or may not be named.
pub(crate) fn check_naming(earlier: &[Brief], fact: &Fact) -> Result<(), LogbookError> {
    let Some(number) = fact.names() else {
        return Ok(());
    };
    let last = earlier.len() as u64;
    if number == 0 || number > last {
        return Err(LogbookError::NoSuchFact { number, last });
    }
    match naming_fault(earlier, fact) {
        Some(because) => Err(LogbookError::NotToBeNamed { number, because }),
        None => Ok(()),
    }
}

/// Appends a fact as it is.
pub(crate) fn write(change: &Change<'_>, at: &Stamp, fact: &Fact) -> Result<u64, LogbookError> {
    let faults = fact.faults();
    if !faults.is_empty() {
        return Err(LogbookError::Fact { faults });
    }
    let sql = |error| LogbookError::sql("writing into the file", error);
    let last = last_number(change)?;
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
        .inner
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fact::Decided;

    fn book() -> (tempfile::TempDir, Logbook) {
        let folder = tempfile::tempdir().expect("a folder");
        let book = Logbook::start(&folder.path().join("a.restoration"), "Larkfield 12T");
        (folder, book.expect("starts"))
    }

    /// How many pages the file may have.
    fn pages(book: &Logbook, most: i64) {
        let set =
            book.connection()
                .query_row(&format!("PRAGMA max_page_count = {most}"), [], |row| {
                    row.get::<_, i64>(0)
                });
        set.expect("set");
    }

    /// The database's own limit stands for a full disk: SQLite tells both alike (result code 13, SQLITE_FULL).
    #[test]
    fn a_full_disk_is_told_and_the_same_goes_once_there_is_room() {
        let (_folder, mut book) = book();
        let at = Stamp::read("2026-11-29T08:49:51+01:00").expect("a time");
        let fact = Fact::Decided(Decided {
            what: "x".repeat(3000),
            because: String::new(),
        });
        pages(&book, 24);
        let id = "one-and-the-same-sending";
        let mut went = 0;
        let refused = loop {
            book.once(&format!("{id}-{went}")).expect("an id");
            match book.append_all(&at, &[fact.clone(), fact.clone()]) {
                Ok(_) => went += 1,
                Err(error) => break error,
            }
            assert!(went < 100, "the limit holds");
        };
        let doing = "writing into the file".to_owned();
        assert_eq!(refused, LogbookError::Full { doing });
        assert!(!refused.hint().is_empty());
        assert!(went > 0, "some went before");
        assert_eq!(book.entries().expect("read").len(), 2 * went, "all or none");
        pages(&book, 1000);
        for _ in 0..2 {
            book.once(&format!("{id}-{went}")).expect("an id");
            let sent = book.append_all(&at, &[fact.clone(), fact.clone()]);
            let (first, last) = (2 * went as u64 + 1, 2 * went as u64 + 2);
            assert!(
                sent == Ok(Some(first)) || sent == Err(LogbookError::SentBefore { first, last }),
                "{sent:?}"
            );
        }
        let path = book.path().with_extension("copy");
        book.back_up(&path).expect("sound to its last page");
        let copy = Logbook::look(&path).expect("opens");
        assert_eq!(copy.entries().expect("read").len(), 2 * went + 2);
    }
}
