//! What can keep a restoration's file from being opened, read or written.
//!
//! Each kind says when it happens and carries its evidence; [`LogbookError::hint`] says what
//! to do next. The name of the file is left to the caller, who knows how it was given.

use crate::fields::FieldFault;
use thiserror::Error;

/// Why a restoration's file was not opened, read or written.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum LogbookError {
    /// There is no such file.
    #[error("there is no such file")]
    NotThere,
    /// A folder stands under this name.
    #[error("this is a folder")]
    Folder,
    /// Something stands already where a new file was to be made.
    #[error("a file of this name is there already; nothing was written over")]
    AlreadyThere,
    /// The log of another file of this name was left behind and would be taken for the new one's.
    #[error("`{name}` is left from another file of this name; nothing was written")]
    Leftover {
        /// Name of what was left.
        name: String,
    },
    /// The file is of another kind.
    #[error("this is no restoration: {because}")]
    NotARestoration {
        /// What was found instead.
        because: String,
    },
    /// The file was written by a newer program.
    #[error("the file is of format {found}; this program knows formats up to {known}")]
    Newer {
        /// Format of the file.
        found: i64,
        /// The newest format known here.
        known: i64,
    },
    /// The file's own check found it damaged.
    #[error("the file is damaged: {}", evidence.join("; "))]
    Damaged {
        /// What the check found.
        evidence: Vec<String>,
    },
    /// The file may be read but not written.
    #[error("the file may be read but not written; nothing was changed")]
    ReadOnly,
    /// Another program is writing.
    #[error("another program is writing into the file; nothing was changed")]
    Busy,
    /// Another program wrote into the file since it was read.
    #[error("another program wrote into the file meanwhile; nothing was changed")]
    Moved,
    /// The change was sent and written before, under the same id.
    #[error("this was entered already, as {}; nothing was written again", entries_text(*first, *last))]
    SentBefore {
        /// Number of the first entry that was made then.
        first: u64,
        /// Number of the last one.
        last: u64,
    },
    /// What the change is about has changed since its sender saw it.
    #[error("{what} meanwhile, by entry {by}; nothing was written")]
    Overtaken {
        /// What became of it.
        what: String,
        /// Number of the entry that did it.
        by: u64,
    },
    /// The fact is not sound; all its faults are here.
    #[error("{}", faults_text(faults))]
    Fact {
        /// The faults.
        faults: Vec<FieldFault>,
    },
    /// A fact was named that is not there.
    #[error("there is no entry {number}; the last one is {last}")]
    NoSuchFact {
        /// The number that was named.
        number: u64,
        /// The number of the last entry.
        last: u64,
    },
    /// A fact was named that cannot be undone or corrected.
    #[error("entry {number} {because}")]
    NotToBeNamed {
        /// The number that was named.
        number: u64,
        /// Why it cannot be.
        because: String,
    },
    /// A sheet or photograph is not kept in this file.
    #[error("nothing is kept under {hash}")]
    NotKept {
        /// The name it was asked by.
        hash: String,
    },
    /// There is no room on the disk, or no more is given to this user.
    #[error("the disk is full: {doing} did not succeed; nothing was written")]
    Full {
        /// What was being done.
        doing: String,
    },
    /// The disk or the system refused.
    #[error("{doing} did not succeed: {because}")]
    Disk {
        /// What was being done.
        doing: String,
        /// What the system said.
        because: String,
    },
}

impl LogbookError {
    /// What to do next.
    pub fn hint(&self) -> String {
        match self {
            LogbookError::NotThere => {
                "look at the spelling and at the folder you are in; `firstraster start` makes a new one".to_owned()
            }
            LogbookError::Folder => "name the file inside it".to_owned(),
            LogbookError::AlreadyThere => "choose another name".to_owned(),
            LogbookError::Leftover { .. } => {
                "move it away; if you lost the file that it belongs to, keep it and put both back together".to_owned()
            }
            LogbookError::NotARestoration { .. } => {
                "name a file that `firstraster start` made, with the ending .restoration".to_owned()
            }
            LogbookError::Newer { .. } => "open it with the newer program that wrote it".to_owned(),
            LogbookError::Damaged { .. } => {
                "keep this file as it is, work on a copy of your last backup, and see what `firstraster export` can still read".to_owned()
            }
            LogbookError::ReadOnly => {
                "give yourself the right to write it and its folder, or copy it to a folder of your own".to_owned()
            }
            LogbookError::Moved => "look how it stands now, and enter it again if it still holds".to_owned(),
            LogbookError::SentBefore { .. } => {
                "look at that entry; to enter the same once more, enter it anew".to_owned()
            }
            LogbookError::Overtaken { .. } => {
                "look how it stands now, and do it again if it still holds".to_owned()
            }
            LogbookError::Busy => "let the other program finish, then try again".to_owned(),
            LogbookError::Fact { faults } => {
                faults.first().map(|fault| fault.hint.clone()).unwrap_or_default()
            }
            LogbookError::NoSuchFact { .. } => "`firstraster story` shows the numbers".to_owned(),
            LogbookError::NotToBeNamed { .. } => {
                "`firstraster story --all` shows what was undone and corrected".to_owned()
            }
            LogbookError::NotKept { .. } => "look whether it belongs to another restoration".to_owned(),
            LogbookError::Full { .. } => "make room on the disk, and do it again".to_owned(),
            LogbookError::Disk { .. } => {
                "look whether the disk is full or the place may not be written to".to_owned()
            }
        }
    }

    /// What the system said while something was being done.
    pub(crate) fn disk(doing: &str, error: impl std::fmt::Display) -> LogbookError {
        LogbookError::Disk {
            doing: doing.to_owned(),
            because: error.to_string(),
        }
    }

    /// The same of a file that is no database; a full disk is told as one.
    pub(crate) fn io(doing: &str, error: &std::io::Error) -> LogbookError {
        use std::io::ErrorKind as Kind;
        match error.kind() {
            Kind::StorageFull | Kind::QuotaExceeded | Kind::FileTooLarge => LogbookError::Full {
                doing: doing.to_owned(),
            },
            _ => LogbookError::disk(doing, error),
        }
    }

    /// An error of the database in these few kinds.
    pub(crate) fn sql(doing: &str, error: rusqlite::Error) -> LogbookError {
        use rusqlite::ErrorCode as Code;
        use rusqlite::ffi::SQLITE_IOERR_SHMSIZE as NO_ROOM_FOR_THE_INDEX;
        let full = || LogbookError::Full {
            doing: doing.to_owned(),
        };
        // The index of the log is made before anything is read or written.
        let extended = error.sqlite_error().map(|own| own.extended_code);
        if extended == Some(NO_ROOM_FOR_THE_INDEX) {
            return full();
        }
        match error.sqlite_error_code() {
            Some(Code::DatabaseBusy | Code::DatabaseLocked) => LogbookError::Busy,
            Some(Code::ReadOnly) => LogbookError::ReadOnly,
            Some(Code::DiskFull) => full(),
            Some(Code::DatabaseCorrupt) => LogbookError::Damaged {
                evidence: vec![format!("{doing}: {error}")],
            },
            Some(Code::NotADatabase) => LogbookError::NotARestoration {
                because: "it is not the kind of file that restorations are kept in".to_owned(),
            },
            _ => LogbookError::disk(doing, error),
        }
    }
}

fn entries_text(first: u64, last: u64) -> String {
    if first == last {
        format!("entry {first}")
    } else {
        format!("entries {first} to {last}")
    }
}

fn faults_text(faults: &[FieldFault]) -> String {
    let texts: Vec<String> = faults
        .iter()
        .map(|fault| format!("{} {}", fault.key, fault.text).trim().to_owned())
        .collect();
    texts.join("; ")
}
