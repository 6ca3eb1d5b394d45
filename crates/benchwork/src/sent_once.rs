//! Entries that are sent under an id: made once, and told as they were made when they come again.
//!
//! A phone keeps what was typed while the network is down and sends it later, perhaps twice, since the
//! answer to the first may have been lost. Whatever an entry rests on may have changed by then, so the
//! id is looked for before anything is checked. Fails where the file cannot be opened or read, and for an id of another form.

use logbook::Logbook;

use crate::restoration::{Entering, OpenBook, open, trouble};
use crate::trouble::Trouble;
use crate::view::{NoticeView, RecordedView};

/// The first and the last of the entries that one sending made.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Made {
    /// Number of the first.
    pub first: u64,
    /// Number of the last.
    pub last: u64,
}

impl Made {
    /// What is told where they were made before.
    pub(crate) fn notice(self) -> NoticeView {
        let Made { first, last } = self;
        let entries = if first == last {
            format!("entry {first}")
        } else {
            format!("entries {first} to {last}")
        };
        NoticeView {
            text: format!("this was entered already, as {entries}; nothing was written again"),
            hint: "to enter the same once more, enter it anew".to_owned(),
            line: None,
        }
    }

    /// Whether an entry of this number is one of them.
    pub(crate) fn has(self, number: u64) -> bool {
        (self.first..=self.last).contains(&number)
    }
}

/// Opens the file and makes an entry; one that was sent before is told instead.
pub(crate) fn enter(
    entering: &Entering<'_>,
    make: impl FnOnce(OpenBook) -> Result<RecordedView, Trouble>,
) -> Result<RecordedView, Trouble> {
    let open = open(entering)?;
    match open.made_before {
        Some(made) => open.tell_again(made),
        None => make(open),
    }
}

/// What was made under the id that is sent now, before anything else is looked at; `None` for
/// the first time, and where no id is sent.
pub(crate) fn made_before(entering: &Entering<'_>) -> Result<Option<Made>, Trouble> {
    let Some(id) = entering.once else {
        return Ok(None);
    };
    let in_file = |error| trouble(entering.file, error);
    let book = Logbook::look(entering.file).map_err(in_file)?;
    let sent = book.sent(id).map_err(in_file)?;
    Ok(sent.map(|(first, last)| Made { first, last }))
}

/// The same, told as it was made.
pub(crate) fn told_before(entering: &Entering<'_>) -> Result<Option<RecordedView>, Trouble> {
    if entering.once.is_none() {
        return Ok(None);
    }
    let open = open(entering)?;
    let made = open.made_before;
    made.map(|made| open.tell_again(made)).transpose()
}
