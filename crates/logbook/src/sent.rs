//! What was sent once, and what its sender had seen.
//!
//! Whoever enters something over a network may have to send it again, because the answer was lost.
//! Each sending bears an id of its own: 8 to 64 of the letters A to Z and a to z, digits, `_` and `-`,
//! drawn anew for each. The id is written in the same change as the facts, so that the same sending
//! makes its entries once. Fails with [`LogbookError`].

use crate::error::LogbookError;
use crate::fields::FieldFault;
use crate::logbook::Logbook;
use crate::writing::sent;

/// How many signs an id of a sending has, at least and at most.
pub const SENDING_ID_LENGTH: (usize, usize) = (8, 64);

impl Logbook {
    /// The next change is written only if none was written under this id before; otherwise it is
    /// refused with [`LogbookError::SentBefore`]. Used up by that change, written or refused.
    pub fn once(&mut self, id: &str) -> Result<(), LogbookError> {
        self.marks.once = None;
        check_sending_id(id)?;
        self.marks.once = Some(id.to_owned());
        Ok(())
    }

    /// The first and the last entry that were made under this id; `None` where there is none.
    pub fn sent(&self, id: &str) -> Result<Option<(u64, u64)>, LogbookError> {
        check_sending_id(id)?;
        sent(self.connection(), id)
    }

    /// The next change was decided when `last` was the last entry. What it undoes, corrects or takes
    /// the place of must stand as it did then; otherwise it is refused with
    /// [`LogbookError::Overtaken`]. Used up by that change, written or refused.
    pub fn only_as_seen(&mut self, last: u64) {
        self.marks.seen = Some(last);
    }
}

/// Refuses an id that is not of the form that a sending bears.
pub fn check_sending_id(id: &str) -> Result<(), LogbookError> {
    let (least, most) = SENDING_ID_LENGTH;
    let is_sign = |byte: u8| byte.is_ascii_alphanumeric() || byte == b'_' || byte == b'-';
    if (least..=most).contains(&id.len()) && id.bytes().all(is_sign) {
        return Ok(());
    }
    let shown: String = id.chars().take(most).collect();
    let fault = FieldFault::new(
        "id",
        format!("`{shown}` read, {least} to {most} letters, digits, _ and - expected"),
        "load the page anew and enter it there; each sending draws an id of its own",
    );
    Err(LogbookError::Fact {
        faults: vec![fault],
    })
}
