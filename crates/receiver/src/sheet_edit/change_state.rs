//! Entries of `[state]` put in, changed and taken out.
//!
//! References and measured values as the sheet writes them. A key or a table that
//! is not there is begun; a list keeps its form. Fails for a text that is no TOML and
//! for a state that is written in a shape the sheet does not have.

use std::ops::Range;

use toml_edit::{Array, Document, Item, TableLike, Value};

use super::outline::{EditError, SheetOutline, end_of_line};
use super::remove_rows::without_element;
use super::row_text::quoted;

/// The lists of `[state]`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum StateList {
    /// New parts.
    Replaced,
    /// Electrolytics brought back slowly.
    ReFormed,
    /// One end lifted.
    CutLoose,
    /// As the maker fitted it.
    Original,
}

impl StateList {
    /// Every list, in the order of the manual.
    pub const ALL: [StateList; 4] = [
        StateList::Replaced,
        StateList::ReFormed,
        StateList::CutLoose,
        StateList::Original,
    ];

    /// Its key in the sheet.
    pub fn key(self) -> &'static str {
        match self {
            StateList::Replaced => "replaced",
            StateList::ReFormed => "re_formed",
            StateList::CutLoose => "cut_loose",
            StateList::Original => "original",
        }
    }
}

/// One entry that is to be otherwise.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum StateChange {
    /// The reference is to stand in the list, or no longer.
    Listed {
        /// The list.
        list: StateList,
        /// The reference.
        reference: String,
        /// Whether it is to stand there.
        is_there: bool,
    },
    /// What was measured of a part; empty for nothing.
    Measured {
        /// The reference.
        reference: String,
        /// The value as written.
        value: String,
    },
}

/// What `[state]` says, as written.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct StateOutline {
    lists: Vec<(StateList, Vec<String>)>,
    measured: Vec<(String, String)>,
}

impl StateOutline {
    /// Reads `[state]`; a key of another shape counts as empty.
    ///
    /// # Errors
    /// [`EditError::Sheet`] for a text that is no TOML.
    pub fn of(text: &str) -> Result<StateOutline, EditError> {
        SheetOutline::of(text)?;
        let Ok(document) = Document::parse(body_of(text)) else {
            return Err(EditError::WouldNotRead);
        };
        let mut state = StateOutline::default();
        let Some(table) = document.get("state").and_then(Item::as_table_like) else {
            return Ok(state);
        };
        for list in StateList::ALL {
            let array = table.get(list.key()).and_then(Item::as_array);
            let texts = array.into_iter().flatten().filter_map(Value::as_str);
            state
                .lists
                .push((list, texts.map(str::to_string).collect()));
        }
        if let Some(measured) = table.get("measured").and_then(Item::as_table_like) {
            for (key, item) in measured.iter() {
                let value = item.as_str().map(str::to_string).or_else(|| {
                    let span = item.span()?;
                    body_of(text).get(span).map(str::to_string)
                });
                state
                    .measured
                    .push((key.to_string(), value.unwrap_or_default()));
            }
        }
        Ok(state)
    }

    /// Whether a list names the reference, in any case.
    pub fn is_listed(&self, list: StateList, reference: &str) -> bool {
        self.lists
            .iter()
            .filter(|(own, _)| *own == list)
            .flat_map(|(_, references)| references)
            .any(|own| is_same(own, reference))
    }

    /// What was measured of the part; empty for nothing.
    pub fn measured(&self, reference: &str) -> &str {
        self.measured
            .iter()
            .find(|(own, _)| is_same(own, reference))
            .map_or("", |(_, value)| value.as_str())
    }
}

/// The text with one entry of `[state]` changed; the same text where it is so already.
///
/// # Errors
/// [`EditError::Sheet`] for a text that is no TOML, [`EditError::StateShape`] for a
/// `state` or a key of it in another shape.
pub fn change_state(text: &str, change: &StateChange) -> Result<String, EditError> {
    let before = StateOutline::of(text)?;
    let Ok(document) = Document::parse(body_of(text)) else {
        return Err(EditError::WouldNotRead);
    };
    let shift = text.len() - body_of(text).len();
    let edit = Edit { text, shift };
    let out = match change {
        StateChange::Listed {
            list,
            reference,
            is_there,
        } => {
            if before.is_listed(*list, reference) == *is_there {
                return Ok(text.to_string());
            }
            edit.listed(document.get("state"), *list, reference, *is_there)?
        }
        StateChange::Measured { reference, value } => {
            if before.measured(reference) == value {
                return Ok(text.to_string());
            }
            edit.measured(document.get("state"), reference, value)?
        }
    };
    let after = StateOutline::of(&out).map_err(|_| EditError::WouldNotRead)?;
    let is_done = match change {
        StateChange::Listed {
            list,
            reference,
            is_there,
        } => after.is_listed(*list, reference) == *is_there,
        StateChange::Measured { reference, value } => after.measured(reference) == value,
    };
    if is_done {
        Ok(out)
    } else {
        Err(EditError::WouldNotRead)
    }
}

/// The text that is changed and what stands before the TOML in it.
struct Edit<'a> {
    text: &'a str,
    shift: usize,
}

impl Edit<'_> {
    fn listed(
        &self,
        state: Option<&Item>,
        list: StateList,
        reference: &str,
        is_there: bool,
    ) -> Result<String, EditError> {
        let key = list.key();
        let Some(item) = state else {
            return Ok(self.begin_state(&format!("{key} = [{}]", quoted(reference))));
        };
        let table = item.as_table_like().ok_or(EditError::StateShape)?;
        let Some(entry) = table.get(key) else {
            return self.add_key(item, &format!("{key} = [{}]", quoted(reference)));
        };
        let array = entry.as_array().ok_or(EditError::StateShape)?;
        if is_there {
            return self.add_to(array, reference);
        }
        let mut out = self.text.to_string();
        let named = |value: &&Value| value.as_str().is_some_and(|own| is_same(own, reference));
        let spans: Vec<Range<usize>> = array
            .iter()
            .filter(named)
            .filter_map(|value| self.span(value.span()))
            .collect();
        for span in spans.into_iter().rev() {
            out = without_element(&out, span);
        }
        Ok(out)
    }

    fn add_to(&self, array: &Array, reference: &str) -> Result<String, EditError> {
        let new = quoted(reference);
        if let Some(last) = array.iter().last() {
            let end = self.span(last.span()).ok_or(EditError::StateShape)?.end;
            return Ok(self.with(end, &format!(", {new}")));
        }
        let start = self.span(array.span()).ok_or(EditError::StateShape)?.start;
        Ok(self.with(start + 1, &new))
    }

    fn measured(
        &self,
        state: Option<&Item>,
        reference: &str,
        value: &str,
    ) -> Result<String, EditError> {
        let name = key_text(reference);
        let new = format!("{name} = {}", quoted(value));
        let whole = format!("measured = {{ {new} }}");
        let Some(item) = state else {
            return Ok(self.begin_state(&whole));
        };
        let table = item.as_table_like().ok_or(EditError::StateShape)?;
        let Some(entry) = table.get("measured") else {
            return self.add_key(item, &whole);
        };
        let measured = entry.as_table_like().ok_or(EditError::StateShape)?;
        let known = measured.iter().find(|(own, _)| is_same(own, reference));
        let Some((own, old)) = known else {
            return self.add_key(entry, &new);
        };
        let span = self.span(old.span()).ok_or(EditError::StateShape)?;
        if !value.is_empty() {
            let mut out = self.text.to_string();
            out.replace_range(span, &quoted(value));
            return Ok(out);
        }
        let key = measured.get_key_value(own).and_then(|(key, _)| key.span());
        let key = self.span(key).ok_or(EditError::StateShape)?;
        let whole = key.start..span.end;
        if entry.as_inline_table().is_some() {
            Ok(without_element(self.text, whole))
        } else {
            Ok(self.without_line(whole))
        }
    }

    /// A key behind the last one of a table.
    fn add_key(&self, item: &Item, entry: &str) -> Result<String, EditError> {
        let table = item.as_table_like().ok_or(EditError::StateShape)?;
        let last = last_value_end(table).map(|end| end + self.shift);
        if let Some(inline) = item.as_inline_table() {
            let span = self.span(inline.span()).ok_or(EditError::StateShape)?;
            return Ok(match last {
                Some(end) => self.with(end, &format!(", {entry}")),
                None => {
                    let inside = self.text.get(span.start + 1..).unwrap_or("");
                    let space = if inside.starts_with(' ') { "" } else { " " };
                    self.with(span.start + 1, &format!(" {entry}{space}"))
                }
            });
        }
        let table = item.as_table().ok_or(EditError::StateShape)?;
        if table.is_dotted() {
            // `state.replaced = [...]`: the new key is spelled as its neighbours are.
            let (Some(end), Some(key)) = (last, table.iter().next()) else {
                return Err(EditError::StateShape);
            };
            let key = table.get_key_value(key.0).and_then(|(key, _)| key.span());
            let key = self.span(key).ok_or(EditError::StateShape)?;
            let line = self.text.get(..key.start).unwrap_or("");
            let opening = line.rsplit('\n').next().unwrap_or("");
            return Ok(self.new_line(end, &format!("{opening}{entry}")));
        }
        let at = match last {
            Some(end) => end,
            None => {
                let span = table.span().ok_or(EditError::StateShape)?;
                // The header alone: its line is the first of the table.
                span.start + self.shift
            }
        };
        Ok(self.new_line(at, entry))
    }

    /// A line behind the one that holds this byte.
    fn new_line(&self, at: usize, line: &str) -> String {
        let end = end_of_line(self.text, at);
        let line_end = if self.text.contains("\r\n") {
            "\r\n"
        } else {
            "\n"
        };
        let before = self.text.get(..end).unwrap_or("");
        if before.ends_with('\n') {
            self.with(end, &format!("{line}{line_end}"))
        } else {
            self.with(end, &format!("{line_end}{line}{line_end}"))
        }
    }

    fn begin_state(&self, entry: &str) -> String {
        let line_end = if self.text.contains("\r\n") {
            "\r\n"
        } else {
            "\n"
        };
        let mut out = self.text.to_string();
        if !out.is_empty() && !out.ends_with('\n') {
            out.push_str(line_end);
        }
        out.push_str(&format!("{line_end}[state]{line_end}{entry}{line_end}"));
        out
    }

    fn without_line(&self, span: Range<usize>) -> String {
        let start = self
            .text
            .get(..span.start)
            .and_then(|before| before.rfind('\n'))
            .map_or(0, |at| at + 1);
        let end = end_of_line(self.text, span.end);
        let rest = self.text.get(span.end..end).unwrap_or("");
        let mut out = self.text.to_string();
        if rest.trim().is_empty() {
            out.replace_range(start..end, "");
        } else {
            let spaces = rest.len() - rest.trim_start().len();
            out.replace_range(start..span.end + spaces, "");
        }
        out
    }

    fn with(&self, at: usize, new: &str) -> String {
        let mut out = self.text.to_string();
        out.insert_str(at.min(self.text.len()), new);
        out
    }

    fn span(&self, span: Option<Range<usize>>) -> Option<Range<usize>> {
        span.map(|span| span.start + self.shift..span.end + self.shift)
    }
}

/// Where the last value that stands in the table itself ends.
fn last_value_end(table: &dyn TableLike) -> Option<usize> {
    table
        .iter()
        .filter_map(|(_, item)| match item {
            Item::Value(value) => value.span().map(|span| span.end),
            Item::Table(inner) if inner.is_dotted() => last_value_end(inner),
            _ => None,
        })
        .max()
}

/// A reference as a key: bare where TOML lets it.
fn key_text(reference: &str) -> String {
    let is_bare = |letter: char| letter.is_ascii_alphanumeric() || letter == '_' || letter == '-';
    if !reference.is_empty() && reference.chars().all(is_bare) {
        reference.to_string()
    } else {
        quoted(reference)
    }
}

fn is_same(one: &str, other: &str) -> bool {
    one.trim().eq_ignore_ascii_case(other.trim())
}

fn body_of(text: &str) -> &str {
    text.strip_prefix('\u{feff}').unwrap_or(text)
}
