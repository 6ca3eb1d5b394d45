//! Faults and notices of a sheet, and the place in the text they belong to.
//!
//! Units: lines and columns count from 1, columns in characters. While a sheet
//! is read, a fault remembers the byte it belongs to; lines and columns are
//! worked out once, in one pass, when all are known. Nothing here can fail: an
//! offset past the end of the text is taken as its end.

use std::fmt;

/// One fault of a sheet: the sheet cannot be used until it is mended.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// What was read and what is wrong with it.
    pub text: String,
    /// What was expected, or what to do; the nearest right spelling if there is one.
    pub hint: String,
}

impl fmt::Display for Fault {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            formatter,
            "line {}, column {}: {}",
            self.line, self.column, self.text
        )?;
        if self.hint.is_empty() {
            Ok(())
        } else {
            write!(formatter, " ({})", self.hint)
        }
    }
}

/// Something worth knowing about a sheet that can be used as it stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Notice {
    /// What was noticed.
    pub text: String,
    /// What it costs, or what to do about it; may be empty.
    pub hint: String,
    /// Line, from 1, where the notice belongs to one.
    pub line: Option<usize>,
}

impl fmt::Display for Notice {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(line) = self.line {
            write!(formatter, "line {line}: ")?;
        }
        formatter.write_str(&self.text)?;
        if self.hint.is_empty() {
            Ok(())
        } else {
            write!(formatter, " ({})", self.hint)
        }
    }
}

/// Collects what is found while a sheet is read.
#[derive(Debug, Default)]
pub(super) struct Findings {
    faults: Vec<(usize, String, String)>,
    notices: Vec<(Option<usize>, String, String)>,
}

impl Findings {
    /// A fault at this byte of the text.
    pub(super) fn fault(&mut self, at: usize, text: impl Into<String>, hint: impl Into<String>) {
        self.faults.push((at, text.into(), hint.into()));
    }

    /// A notice on the line of this byte of the text.
    pub(super) fn notice(&mut self, at: usize, text: impl Into<String>, hint: impl Into<String>) {
        self.notices.push((Some(at), text.into(), hint.into()));
    }

    /// A notice on the sheet as a whole.
    pub(super) fn notice_on_sheet(&mut self, text: impl Into<String>, hint: impl Into<String>) {
        self.notices.push((None, text.into(), hint.into()));
    }

    /// Whether a fault has been found so far.
    pub(super) fn any_fault(&self) -> bool {
        !self.faults.is_empty()
    }

    /// Everything found, in the order of the text; notices on the whole sheet come last.
    pub(super) fn finish(mut self, text: &str) -> (Vec<Fault>, Vec<Notice>) {
        self.faults.sort_by_key(|(at, _, _)| *at);
        self.faults.dedup();
        self.notices
            .sort_by_key(|(at, _, _)| at.unwrap_or(usize::MAX));
        self.notices.dedup();
        let mut walk = LineWalk::new(text);
        let faults = self
            .faults
            .into_iter()
            .map(|(at, text, hint)| {
                let (line, column) = walk.line_and_column(at);
                Fault {
                    line,
                    column,
                    text,
                    hint,
                }
            })
            .collect();
        let mut walk = LineWalk::new(text);
        let notices = self
            .notices
            .into_iter()
            .map(|(at, text, hint)| Notice {
                text,
                hint,
                line: at.map(|at| walk.line_and_column(at).0),
            })
            .collect();
        (faults, notices)
    }
}

/// Turns rising byte offsets into lines and columns in one pass over the text.
pub(super) struct LineWalk<'a> {
    text: &'a str,
    offset: usize,
    line: usize,
    column: usize,
}

impl<'a> LineWalk<'a> {
    pub(super) fn new(text: &'a str) -> Self {
        LineWalk {
            text,
            offset: 0,
            line: 1,
            column: 1,
        }
    }

    /// Line and column of the character that holds this byte. Offsets must not fall from call to call.
    pub(super) fn line_and_column(&mut self, at: usize) -> (usize, usize) {
        let rest = self.text.get(self.offset..).unwrap_or("");
        for character in rest.chars() {
            if self.offset + character.len_utf8() > at {
                break;
            }
            self.offset += character.len_utf8();
            if character == '\n' {
                self.line += 1;
                self.column = 1;
            } else {
                self.column += 1;
            }
        }
        (self.line, self.column)
    }
}

/// Line number, from 1, of each byte of a text, looked up in any order.
#[derive(Debug)]
pub(super) struct LineStarts(Vec<usize>);

impl LineStarts {
    pub(super) fn of(text: &str) -> Self {
        let after_ends = text
            .bytes()
            .enumerate()
            .filter(|(_, byte)| *byte == b'\n')
            .map(|(at, _)| at + 1);
        LineStarts(std::iter::once(0).chain(after_ends).collect())
    }

    pub(super) fn line(&self, at: usize) -> usize {
        self.0.partition_point(|start| *start <= at).max(1)
    }

    pub(super) fn start(&self, line: usize) -> usize {
        self.0.get(line.saturating_sub(1)).copied().unwrap_or(0)
    }
}

/// A piece of the sheet as messages show it: in backquotes, short, with nothing a terminal would obey.
pub(crate) fn shown(text: &str) -> String {
    const LONGEST_SHOWN: usize = 60;
    let mut out = String::from("`");
    for (count, character) in text.chars().enumerate() {
        if count == LONGEST_SHOWN {
            out.push('…');
            break;
        }
        if character.is_control()
            || matches!(character, '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{feff}')
        {
            out.extend(character.escape_unicode());
        } else {
            out.push(character);
        }
    }
    out.push('`');
    out
}

/// Words in a row as a sentence has them: "a, b or c".
pub(super) fn listed<T: AsRef<str>>(words: &[T], last: &str) -> String {
    match words {
        [] => String::new(),
        [only] => only.as_ref().to_string(),
        [head @ .., end] => {
            let head: Vec<&str> = head.iter().map(AsRef::as_ref).collect();
            format!("{} {last} {}", head.join(", "), end.as_ref())
        }
    }
}

/// As `listed`, but a long row is cut off with the count of the rest.
pub(super) fn listed_short<T: AsRef<str>>(words: &[T], most: usize) -> String {
    if words.len() <= most {
        return listed(words, "and");
    }
    let head: Vec<&str> = words.iter().take(most).map(AsRef::as_ref).collect();
    format!("{} and {} more", head.join(", "), words.len() - most)
}
