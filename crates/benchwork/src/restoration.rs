//! A restoration's file opened for one entry, and what is wrong with it told in the usual kinds.
//!
//! The time of an entry is handed in. Names are held against the sheet that was taken in last: a
//! name that it has not is kept as it was typed, with a notice, since a restorer measures more
//! than he has transcribed. Fails when the file cannot be opened or written.

use std::path::Path;

use logbook::{
    Entry, Fact, Fitted, Logbook, LogbookError, Stamp, StandingFact, overtaken_by, standing_facts,
};
use receiver::sheet::{Sheet, read_sheet};

use crate::check_sheet::catalogue;
use crate::judge_entry::judge_entry;
use crate::sent_once::Made;
use crate::sheet_so_far::sheet_so_far;
use crate::trouble::Trouble;
use crate::view::{EntryView, FaultView, NoticeView, RecordedView};
use crate::{FORMAT, PROGRAM_VERSION};

/// Into which file an entry goes, when it is made, whether it may come twice, and on what it was decided.
#[derive(Debug, Clone)]
pub struct Entering<'a> {
    /// The restoration's file.
    pub file: &'a Path,
    /// The time.
    pub at: Stamp,
    /// The id under which it was sent, where it may come twice: 8 to 64 letters, digits, `_` and
    /// `-`, drawn anew for each sending. What comes again under it is told and not entered again.
    pub once: Option<&'a str>,
    /// Number of the last entry that was shown when this was decided. An entry that is undone or
    /// corrected, and the sheet that another takes the place of, must stand as they did then
    /// ([`Trouble::Overtaken`]). `None` where nothing is to be held against.
    pub seen: Option<u64>,
}

impl<'a> Entering<'a> {
    /// An entry that is made here and comes once.
    pub fn new(file: &'a Path, at: Stamp) -> Entering<'a> {
        Entering {
            file,
            at,
            once: None,
            seen: None,
        }
    }
}

/// A restoration open for an entry.
pub(crate) struct OpenBook {
    /// The file.
    pub book: Logbook,
    /// The sheet that holds now, where one was taken in and reads without a fault.
    pub sheet: Option<Sheet>,
    /// The text of the sheet that holds now.
    sheet_text: Option<String>,
    /// What was noticed while the entry was made.
    pub notices: Vec<NoticeView>,
    /// The entries that were made before under the id of this one.
    pub made_before: Option<Made>,
    /// The last entry that was shown when this one was decided.
    pub seen: Option<u64>,
    at: Stamp,
}

/// Opens the file to write into it.
pub(crate) fn open(entering: &Entering<'_>) -> Result<OpenBook, Trouble> {
    let in_file = |error| trouble(entering.file, error);
    let mut book = Logbook::open(entering.file).map_err(in_file)?;
    let mut made_before = None;
    if let Some(id) = entering.once {
        let sent = book.sent(id).map_err(in_file)?;
        made_before = sent.map(|(first, last)| Made { first, last });
        book.once(id).map_err(in_file)?;
    }
    if let Some(seen) = entering.seen {
        book.only_as_seen(seen);
    }
    let mut open = OpenBook {
        book,
        sheet: None,
        sheet_text: None,
        notices: Vec::new(),
        made_before,
        at: entering.at.clone(),
        seen: entering.seen,
    };
    open.sheet_text = open.book.present_sheet().map_err(in_file)?;
    if let Some(text) = &open.sheet_text {
        open.sheet = read_sheet(text, catalogue()?).sheet;
    }
    Ok(open)
}

impl OpenBook {
    /// Appends a fact and tells it as it stands now.
    pub fn append(self, fact: &Fact) -> Result<RecordedView, Trouble> {
        let at = self.at.clone();
        self.with(|book| book.append(&at, fact))
    }

    /// Does what appends an entry and tells that entry as it stands now.
    pub fn with(
        mut self,
        work: impl FnOnce(&mut Logbook) -> Result<u64, LogbookError>,
    ) -> Result<RecordedView, Trouble> {
        match work(&mut self.book) {
            Ok(number) => self.tell(number),
            // The same came twice at once, and the other was first.
            Err(LogbookError::SentBefore { first, last }) => self.tell_again(Made { first, last }),
            Err(error) => Err(trouble(self.book.path(), error)),
        }
    }

    /// Appends several facts, all or none; `None` where there is no fact. Those that were sent
    /// before are told as they were made then, with a notice.
    pub fn append_all(&mut self, facts: &[Fact]) -> Result<Option<Made>, Trouble> {
        let made = match self.book.append_all(&self.at, facts) {
            Ok(first) => first.map(|first| Made {
                first,
                last: first + facts.len() as u64 - 1,
            }),
            Err(LogbookError::SentBefore { first, last }) => {
                let made = Made { first, last };
                self.notices.push(made.notice());
                Some(made)
            }
            Err(error) => return Err(trouble(self.book.path(), error)),
        };
        Ok(made)
    }

    /// Tells what was made before, with a notice that it was.
    pub fn tell_again(mut self, made: Made) -> Result<RecordedView, Trouble> {
        self.notices.push(made.notice());
        self.tell(made.first)
    }

    /// Tells an entry as it stands now.
    pub fn tell(mut self, number: u64) -> Result<RecordedView, Trouble> {
        let path = self.book.path().to_path_buf();
        let in_file = |error| trouble(&path, error);
        // Another program may have entered more meanwhile; then all is read.
        let last = self.book.last_entry().map_err(in_file)?;
        let made = match last.filter(|last| last.number == number) {
            Some(last) => Some(last),
            None => {
                let entries = self.book.entries().map_err(in_file)?;
                logbook::at(&entries, number).cloned()
            }
        };
        let reading = made.as_ref().and_then(|made| match &made.fact {
            Fact::Measured(_) => Some(number),
            Fact::Corrected(corrected) => {
                matches!(*corrected.instead, Fact::Measured(_)).then_some(corrected.names)
            }
            _ => None,
        });
        let judged = match reading {
            Some(number) => {
                let entries = self.book.entries().map_err(in_file)?;
                judge_entry(
                    &mut self.book,
                    self.sheet_text.as_deref(),
                    &standing_facts(&entries),
                    number,
                )?
            }
            None => None,
        };
        let entry = made.as_ref().map(EntryView::from);
        Ok(RecordedView {
            format: FORMAT,
            program: PROGRAM_VERSION,
            data: parts::DATA_EDITION,
            file: path.display().to_string(),
            restoration: self.book.name().map_err(in_file)?,
            judged,
            entry: entry.ok_or_else(|| Trouble::ours("the entry just made is not there"))?,
            notices: self.notices,
        })
    }

    /// Refuses to change an entry that has changed since it was shown; the text tells what the
    /// entry says that changed it.
    pub fn refuse_overtaken(&self, entries: &[Entry], number: u64) -> Result<(), Trouble> {
        let Some(seen) = self.seen else {
            return Ok(());
        };
        let last = entries.len() as u64;
        if seen > last {
            let error = LogbookError::NoSuchFact { number: seen, last };
            return Err(trouble(self.book.path(), error));
        }
        let Some((by, what)) = overtaken_by(entries, number, seen) else {
            return Ok(());
        };
        let says = logbook::at(entries, by).map(|entry| EntryView::from(entry).text);
        Err(Trouble::Overtaken {
            text: format!(
                "{what} meanwhile, by entry {by} ({}); nothing was written",
                says.unwrap_or_default()
            ),
            hint: LogbookError::Overtaken { what, by }.hint(),
            by,
        })
    }

    /// The meter of the last reading of direct volts that names one; empty where none does.
    pub fn last_meter(&self) -> Result<String, Trouble> {
        let path = self.book.path().to_path_buf();
        let entries = self.book.entries().map_err(|error| trouble(&path, error))?;
        let facts = standing_facts(&entries);
        let meters = facts.iter().rev().filter_map(|one| match one.fact {
            Fact::Measured(own) if own.what == logbook::What::DcVolts => Some(own.meter.trim()),
            _ => None,
        });
        let mut named = meters.filter(|meter| !meter.is_empty());
        Ok(named.next().unwrap_or_default().to_owned())
    }

    /// What of a new part cannot be used as its entry stands, told before it is written.
    pub fn not_used_of(&self, fitted: &Fitted) -> Result<Option<NoticeView>, Trouble> {
        let path = self.book.path().to_path_buf();
        let entries = self.book.entries().map_err(|error| trouble(&path, error))?;
        let Some(text) = &self.sheet_text else {
            return Ok(None);
        };
        let mut facts = standing_facts(&entries);
        let new = Fact::Fitted(fitted.clone());
        facts.push(StandingFact {
            number: entries.last().map_or(0, |last| last.number) + 1,
            at: &self.at,
            fact: &new,
        });
        let so_far = sheet_so_far(text, &facts)?;
        let begins = format!("{}: ", fitted.part);
        let told = so_far.and_then(|own| {
            let mut told = own.not_used.into_iter();
            told.find(|text| text.starts_with(&begins))
        });
        Ok(told.map(|text| NoticeView {
            text,
            hint: "write it as the sheet's own rows do, such as `47k 1/2 W` or `0.047 mfd 630 V`, and the rest as a note: correct the entry with `new = ...`".to_owned(),
            line: None,
        }))
    }

    /// The place as the sheet spells it; a name that it has not is kept and told.
    pub fn place(&mut self, typed: &str) -> String {
        let typed = typed.trim();
        let Some(sheet) = &self.sheet else {
            return typed.to_owned();
        };
        if typed.is_empty() || ["line", "lamp"].contains(&typed.to_lowercase().as_str()) {
            return typed.to_lowercase();
        }
        let unknown = match sheet.places().find(typed) {
            Ok(place) => return place.to_string(),
            Err(unknown) => unknown.nearest,
        };
        self.part_or(typed, unknown)
    }

    /// The tube or part as the sheet spells it; a name that it has not is kept and told.
    pub fn part(&mut self, typed: &str) -> String {
        let nearest = self
            .sheet
            .as_ref()
            .and_then(|sheet| sheet.nearest_reference(typed));
        let nearest = nearest.map(str::to_owned);
        self.part_or(typed.trim(), nearest)
    }

    fn part_or(&mut self, typed: &str, nearest: Option<String>) -> String {
        let Some(sheet) = self.sheet.as_ref().filter(|_| !typed.is_empty()) else {
            return typed.to_owned();
        };
        if let Some(tube) = sheet.tube(typed) {
            return tube.reference.clone();
        }
        if let Some(part) = sheet.part(typed) {
            return part.reference.clone();
        }
        let hint = match nearest {
            Some(nearest) => format!("if you meant `{nearest}`, correct the entry"),
            None => "put it into the sheet, so that it can be judged".to_owned(),
        };
        self.notices.push(NoticeView {
            text: format!("the sheet has no `{typed}`; the entry is kept as you typed it"),
            hint,
            line: None,
        });
        typed.to_owned()
    }
}

/// What is wrong with a place that was named to write to: a place that refuses is a slip of the name, a full disk is not.
pub(crate) fn in_place(path: &Path, error: LogbookError) -> Trouble {
    match error {
        LogbookError::Disk { .. } => Trouble::File {
            name: path.display().to_string(),
            text: error.to_string(),
            hint: error.hint(),
        },
        other => trouble(path, other),
    }
}

/// What is wrong with a restoration's file or with what was to go into it.
pub(crate) fn trouble(path: &Path, error: LogbookError) -> Trouble {
    match error {
        LogbookError::Fact { faults } => Trouble::Input {
            faults: faults
                .into_iter()
                .map(|fault| FaultView {
                    line: (fault.line > 0).then_some(fault.line),
                    column: None,
                    text: format!("{} {}", fault.key, fault.text).trim().to_owned(),
                    hint: fault.hint,
                })
                .collect(),
        },
        LogbookError::NoSuchFact { .. }
        | LogbookError::NotToBeNamed { .. }
        | LogbookError::SentBefore { .. } => Trouble::input(error.to_string(), error.hint()),
        LogbookError::Overtaken { by, .. } => Trouble::Overtaken {
            text: error.to_string(),
            hint: error.hint(),
            by,
        },
        LogbookError::Full { .. }
        | LogbookError::Disk { .. }
        | LogbookError::Busy
        | LogbookError::ReadOnly => Trouble::NotNow {
            name: path.display().to_string(),
            text: error.to_string(),
            hint: error.hint(),
            is_full: matches!(error, LogbookError::Full { .. }),
        },
        other => Trouble::File {
            name: path.display().to_string(),
            text: other.to_string(),
            hint: other.hint(),
        },
    }
}
