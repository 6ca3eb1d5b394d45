//! Answers that took long to work out, kept beside the facts so that the next question is quick.
//!
//! Bytes under a key that stands for everything an answer rests on (sheet, conditions, program,
//! edition of the figures). They are no facts: nothing is lost with them, exports leave them out,
//! and only the newest [`MOST_KEPT`] stay. A file that cannot be written is no fault here: the
//! answer is then worked out anew each time.

use rusqlite::{OptionalExtension, TransactionBehavior, params};

use crate::error::LogbookError;
use crate::logbook::{Logbook, hash_of};

/// How many answers are kept; the oldest go first.
pub const MOST_KEPT: usize = 24;

/// The largest answer that is kept, bytes.
pub const LARGEST_ANSWER: usize = 8 << 20;

impl Logbook {
    /// The answer kept for what this text tells; `None` where there is none.
    pub fn worked_out(&self, rests_on: &str) -> Result<Option<Vec<u8>>, LogbookError> {
        self.connection()
            .query_row(
                "SELECT answer FROM worked_out WHERE key = ?1",
                [hash_of(rests_on.as_bytes())],
                |row| row.get(0),
            )
            .optional()
            .map_err(|error| LogbookError::sql("reading what was worked out", error))
    }

    /// Keeps an answer for what this text tells; one that is too large is left out.
    pub fn keep_worked_out(&mut self, rests_on: &str, answer: &[u8]) -> Result<(), LogbookError> {
        if answer.len() > LARGEST_ANSWER {
            return Ok(());
        }
        let sql = |error| LogbookError::sql("keeping what was worked out", error);
        let change = self
            .connection_mut()
            .transaction_with_behavior(TransactionBehavior::Immediate)
            .map_err(sql)?;
        change
            .execute(
                "INSERT OR REPLACE INTO worked_out (key, turn, answer)
                 VALUES (?1, (SELECT coalesce(max(turn), 0) + 1 FROM worked_out), ?2)",
                params![hash_of(rests_on.as_bytes()), answer],
            )
            .map_err(sql)?;
        change
            .execute(
                "DELETE FROM worked_out WHERE turn <=
                 (SELECT turn FROM worked_out ORDER BY turn DESC LIMIT 1 OFFSET ?1)",
                [MOST_KEPT],
            )
            .map_err(sql)?;
        change.commit().map_err(sql)
    }
}
