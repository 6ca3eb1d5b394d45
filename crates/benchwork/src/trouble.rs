//! What can keep a restorer from an answer, in the few kinds that matter to him.
//!
//! Each kind carries its evidence and what to do next, apart from each other, so
//! that a page, a table and a script can show both. The order of the kinds says
//! who has to act: the restorer with his file or sheet, the restorer with his
//! conditions, nobody (no settled state exists or was found), or the project.

use std::fmt;

use crate::read_sheet_file::SheetFile;
use crate::view::{ConditionsView, ErrorView, FaultView, NoticeView};

/// What is said of work that was given up.
pub(crate) const LEFT: &str = "given up, for nobody waited for the answer; nothing was written";
/// What to do next.
pub(crate) const ASK_AGAIN: &str = "ask once more";

/// Why there is no answer.
#[derive(Debug, Clone)]
pub enum Trouble {
    /// The file could not be read or written.
    File {
        /// Name of the file as it was given.
        name: String,
        /// What happened.
        text: String,
        /// What to do next.
        hint: String,
    },
    /// Nothing is wrong with what was asked, but the disk cannot take it now: it is full, it refuses, or another
    /// program is writing. Nothing was written; the same goes as soon as that is mended.
    NotNow {
        /// Name of the file as it was given.
        name: String,
        /// What happened.
        text: String,
        /// What to do next.
        hint: String,
        /// Whether the disk is full.
        is_full: bool,
    },
    /// The sheet has faults; all of them are here.
    Sheet {
        /// The sheet as it was read, for showing the lines.
        file: SheetFile,
        /// The faults in the order of the text.
        faults: Vec<FaultView>,
        /// What was noticed besides.
        notices: Vec<NoticeView>,
    },
    /// The sheet is sound, but what was asked of it does not fit it.
    Input {
        /// One fault for each thing that does not fit; without line and column.
        faults: Vec<FaultView>,
    },
    /// What was to be changed has changed since it was shown; nothing was written.
    Overtaken {
        /// What became of it, by which entry, and what that says.
        text: String,
        /// What to do next.
        hint: String,
        /// Number of the entry that did it.
        by: u64,
    },
    /// Whoever asked has left, so the work on the answer was given up ([`crate::LongWork`]).
    Left,
    /// No settled state was found; there are no readings.
    NotSettled {
        /// The conditions under which none was found.
        conditions: Option<Box<ConditionsView>>,
        /// What was tried and how far it came.
        error: ErrorView,
    },
    /// A fault of the program or its data.
    Ours {
        /// What happened.
        text: String,
        /// What to do next.
        hint: String,
    },
}

impl Trouble {
    /// A fault of the program, with the usual advice to report it.
    pub fn ours(text: impl Into<String>) -> Self {
        Trouble::Ours {
            text: text.into(),
            hint:
                "this is a fault of the program, not of your sheet: please report it with the sheet"
                    .to_owned(),
        }
    }

    /// Something asked of a sound sheet that does not fit it.
    pub fn input(text: impl Into<String>, hint: impl Into<String>) -> Self {
        Trouble::Input {
            faults: vec![FaultView {
                line: None,
                column: None,
                text: text.into(),
                hint: hint.into(),
            }],
        }
    }

    /// A disk that did not take what was written: [`Trouble::NotNow`] where it is full, else [`Trouble::File`]
    /// with what the system said.
    pub(crate) fn of_disk(
        name: impl Into<String>,
        text: &str,
        hint: &str,
        error: &std::io::Error,
    ) -> Self {
        use std::io::ErrorKind as Kind;
        let (name, hint) = (name.into(), hint.to_owned());
        match error.kind() {
            Kind::StorageFull | Kind::QuotaExceeded | Kind::FileTooLarge => Trouble::NotNow {
                name,
                text: "the disk is full; nothing was written".to_owned(),
                hint: "make room on the disk, and do it again".to_owned(),
                is_full: true,
            },
            _ => Trouble::File {
                name,
                text: text.to_owned(),
                hint,
            },
        }
    }

    /// The exit status by which scripts tell the kinds apart.
    pub fn exit_status(&self) -> u8 {
        match self {
            Trouble::File { .. }
            | Trouble::NotNow { .. }
            | Trouble::Sheet { .. }
            | Trouble::Input { .. }
            | Trouble::Overtaken { .. }
            | Trouble::Left => 1,
            Trouble::Ours { .. } => 3,
            Trouble::NotSettled { .. } => 4,
        }
    }
}

impl fmt::Display for Trouble {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Trouble::File { name, text, .. } | Trouble::NotNow { name, text, .. } => {
                write!(formatter, "{name}: {text}")
            }
            Trouble::Sheet { file, faults, .. } => {
                write!(formatter, "{}: faults: {}", file.name, faults.len())
            }
            Trouble::Input { faults } => {
                let texts: Vec<&str> = faults.iter().map(|fault| fault.text.as_str()).collect();
                formatter.write_str(&texts.join("; "))
            }
            Trouble::NotSettled { error, .. } => formatter.write_str(&error.text),
            Trouble::Overtaken { text, .. } | Trouble::Ours { text, .. } => {
                formatter.write_str(text)
            }
            Trouble::Left => formatter.write_str(LEFT),
        }
    }
}

impl std::error::Error for Trouble {}
