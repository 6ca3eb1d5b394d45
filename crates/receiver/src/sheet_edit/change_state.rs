//! Entries of `[state]` put in, changed and taken out.
//!
//! References and measured values as the sheet writes them. A key or a table that
//! is not there is begun; a list keeps its form. Fails for a text that is no TOML and
//! for a state that is written in a shape the sheet does not have.

use std::ops::Range;

use toml_edit::{Document, Item, TableLike, Value};

use super::insert_rows::line_end_of;
use super::outline::{EditError, end_of_line};
use super::remove_rows::without_element;
use super::row_text::quoted;
use super::state_outline::{StateChange, StateList, StateOutline, body_of, is_same};

/// The text with one entry of `[state]` changed; the same text where it is so already.
///
/// # Errors
/// As [`change_states`].
pub fn change_state(text: &str, change: &StateChange) -> Result<String, EditError> {
    change_states(text, std::slice::from_ref(change))
}

/// The text with entries of `[state]` changed; what is so already stays untouched.
///
/// # Errors
/// [`EditError::Sheet`] for a text that is no TOML, [`EditError::StateShape`] for a
/// `state` or a key of it in another shape.
pub fn change_states(text: &str, changes: &[StateChange]) -> Result<String, EditError> {
    let before = StateOutline::of(text)?;
    let mut out = text.to_string();
    for list in StateList::ALL {
        let wanted = |there: bool| {
            let mut references: Vec<&str> = Vec::new();
            for change in changes {
                if let StateChange::Listed {
                    list: own,
                    reference,
                    is_there,
                } = change
                    && *own == list
                    && *is_there == there
                    && before.is_listed(list, reference) != there
                    && !references.iter().any(|known| is_same(known, reference))
                {
                    references.push(reference);
                }
            }
            references
        };
        out = edited(&out, &wanted(false), |edit, state, gone| {
            edit.out_of_list(state, list, gone)
        })?;
        out = edited(&out, &wanted(true), |edit, state, new| {
            edit.add_to_list(state, list, new)
        })?;
    }
    let measured = |fits: &dyn Fn(&str, &str) -> bool| {
        let mut entries: Vec<(&str, &str)> = Vec::new();
        for change in changes {
            if let StateChange::Measured { reference, value } = change
                && fits(before.measured(reference), value)
                && !entries.iter().any(|(known, _)| is_same(known, reference))
            {
                entries.push((reference, value));
            }
        }
        entries
    };
    let gone = measured(&|was, is| !was.is_empty() && is.is_empty());
    out = edited(&out, &gone, |edit, state, entries| {
        edit.out_of_measured(state, entries)
    })?;
    let other = measured(&|was, is| !was.is_empty() && !is.is_empty() && was != is);
    out = edited(&out, &other, |edit, state, entries| {
        edit.measured_otherwise(state, entries)
    })?;
    let new = measured(&|was, is| was.is_empty() && !is.is_empty());
    out = edited(&out, &new, |edit, state, entries| {
        edit.add_measured(state, entries)
    })?;
    let after = StateOutline::of(&out).map_err(|_| EditError::WouldNotRead)?;
    let is_done = |change: &StateChange| match change {
        StateChange::Listed {
            list,
            reference,
            is_there,
        } => after.is_listed(*list, reference) == *is_there,
        StateChange::Measured { reference, value } => after.measured(reference) == value,
    };
    if changes.iter().all(is_done) {
        Ok(out)
    } else {
        Err(EditError::WouldNotRead)
    }
}

/// The text after one kind of edit; the same where there is nothing to edit.
fn edited<T>(
    text: &str,
    entries: &[T],
    edit: impl Fn(&Edit<'_>, Option<&Item>, &[T]) -> Result<String, EditError>,
) -> Result<String, EditError> {
    if entries.is_empty() {
        return Ok(text.to_string());
    }
    let Ok(document) = Document::parse(body_of(text)) else {
        return Err(EditError::WouldNotRead);
    };
    let shift = text.len() - body_of(text).len();
    edit(&Edit { text, shift }, document.get("state"), entries)
}

/// A measured value that is there: bytes of its key and its value, and what it is to say.
struct MeasuredEntry<'a> {
    key: Range<usize>,
    value: Range<usize>,
    new: &'a str,
}

/// The text that is changed and what stands before the TOML in it.
pub(super) struct Edit<'a> {
    pub(super) text: &'a str,
    pub(super) shift: usize,
}

impl Edit<'_> {
    fn out_of_list(
        &self,
        state: Option<&Item>,
        list: StateList,
        references: &[&str],
    ) -> Result<String, EditError> {
        let table = state.and_then(Item::as_table_like);
        let entry = table.and_then(|table| table.get(list.key()));
        let array = entry
            .and_then(Item::as_array)
            .ok_or(EditError::StateShape)?;
        let named = |value: &&Value| {
            let text = value.as_str();
            text.is_some_and(|own| references.iter().any(|one| is_same(own, one)))
        };
        let spans: Vec<Range<usize>> = array
            .iter()
            .filter(named)
            .filter_map(|value| self.span(value.span()))
            .collect();
        let mut out = self.text.to_string();
        for span in spans.into_iter().rev() {
            out = without_element(&out, span);
        }
        Ok(out)
    }

    fn add_to_list(
        &self,
        state: Option<&Item>,
        list: StateList,
        references: &[&str],
    ) -> Result<String, EditError> {
        let key = list.key();
        let new: Vec<String> = references
            .iter()
            .map(|reference| quoted(reference))
            .collect();
        let new = new.join(", ");
        let Some(item) = state else {
            return Ok(self.begin_table("state", &format!("{key} = [{new}]")));
        };
        let table = item.as_table_like().ok_or(EditError::StateShape)?;
        let Some(entry) = table.get(key) else {
            return self.add_keys(item, &[format!("{key} = [{new}]")]);
        };
        let array = entry.as_array().ok_or(EditError::StateShape)?;
        if let Some(last) = array.iter().last() {
            let end = self.span(last.span()).ok_or(EditError::StateShape)?.end;
            return Ok(self.with(end, &format!(", {new}")));
        }
        let start = self.span(array.span()).ok_or(EditError::StateShape)?.start;
        Ok(self.with(start + 1, &new))
    }

    fn add_measured(
        &self,
        state: Option<&Item>,
        entries: &[(&str, &str)],
    ) -> Result<String, EditError> {
        let new: Vec<String> = entries
            .iter()
            .map(|(reference, value)| format!("{} = {}", key_text(reference), quoted(value)))
            .collect();
        let whole = format!("measured = {{ {} }}", new.join(", "));
        let Some(item) = state else {
            return Ok(self.begin_table("state", &whole));
        };
        let table = item.as_table_like().ok_or(EditError::StateShape)?;
        match table.get("measured") {
            None => self.add_keys(item, &[whole]),
            Some(entry) => self.add_keys(entry, &new),
        }
    }

    fn measured_otherwise(
        &self,
        state: Option<&Item>,
        entries: &[(&str, &str)],
    ) -> Result<String, EditError> {
        let mut out = self.text.to_string();
        for entry in self.known_measured(state, entries)?.into_iter().rev() {
            out.replace_range(entry.value, &quoted(entry.new));
        }
        Ok(out)
    }

    fn out_of_measured(
        &self,
        state: Option<&Item>,
        entries: &[(&str, &str)],
    ) -> Result<String, EditError> {
        let table = state.and_then(Item::as_table_like);
        let measured = table.and_then(|table| table.get("measured"));
        let is_inline = measured.is_some_and(|item| item.as_inline_table().is_some());
        let mut out = self.text.to_string();
        for entry in self.known_measured(state, entries)?.into_iter().rev() {
            let whole = entry.key.start..entry.value.end;
            out = if is_inline {
                without_element(&out, whole)
            } else {
                without_line(&out, whole)
            };
        }
        Ok(out)
    }

    /// Key and value of measured entries that are there, in the order of the text, with what each is to say.
    fn known_measured<'b>(
        &self,
        state: Option<&Item>,
        entries: &[(&str, &'b str)],
    ) -> Result<Vec<MeasuredEntry<'b>>, EditError> {
        let table = state.and_then(Item::as_table_like);
        let measured = table
            .and_then(|table| table.get("measured"))
            .and_then(Item::as_table_like)
            .ok_or(EditError::StateShape)?;
        let mut found = Vec::new();
        for (own, item) in measured.iter() {
            let Some((_, new)) = entries
                .iter()
                .find(|(reference, _)| is_same(own, reference))
            else {
                continue;
            };
            let key = measured.get_key_value(own).and_then(|(key, _)| key.span());
            let (Some(key), Some(value)) = (self.span(key), self.span(item.span())) else {
                return Err(EditError::StateShape);
            };
            found.push(MeasuredEntry { key, value, new });
        }
        found.sort_by_key(|entry| entry.key.start);
        Ok(found)
    }

    /// Keys behind the last one of a table.
    pub(super) fn add_keys(&self, item: &Item, entries: &[String]) -> Result<String, EditError> {
        let entry = entries.join(", ");
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
            let lines: Vec<String> = entries
                .iter()
                .map(|entry| format!("{opening}{entry}"))
                .collect();
            return Ok(self.new_lines(end, &lines));
        }
        let at = match last {
            Some(end) => end,
            None => {
                let span = table.span().ok_or(EditError::StateShape)?;
                // The header alone: its line is the first of the table.
                span.start + self.shift
            }
        };
        Ok(self.new_lines(at, entries))
    }

    /// Lines behind the one that holds this byte.
    pub(super) fn new_lines(&self, at: usize, lines: &[String]) -> String {
        let end = end_of_line(self.text, at);
        let line_end = line_end_of(self.text);
        let line = lines.join(line_end);
        let before = self.text.get(..end).unwrap_or("");
        if before.ends_with('\n') {
            self.with(end, &format!("{line}{line_end}"))
        } else {
            self.with(end, &format!("{line_end}{line}{line_end}"))
        }
    }

    /// A new table at the end, with its first key.
    pub(super) fn begin_table(&self, name: &str, entry: &str) -> String {
        let line_end = line_end_of(self.text);
        let mut out = self.text.to_string();
        if !out.is_empty() && !out.ends_with('\n') {
            out.push_str(line_end);
        }
        out.push_str(&format!("{line_end}[{name}]{line_end}{entry}{line_end}"));
        out
    }

    pub(super) fn with(&self, at: usize, new: &str) -> String {
        let mut out = self.text.to_string();
        out.insert_str(at.min(self.text.len()), new);
        out
    }

    pub(super) fn span(&self, span: Option<Range<usize>>) -> Option<Range<usize>> {
        span.map(|span| span.start + self.shift..span.end + self.shift)
    }
}

/// A text without an entry that has a line of its own; a comment behind it stays.
pub(super) fn without_line(text: &str, span: Range<usize>) -> String {
    let start = text
        .get(..span.start)
        .and_then(|before| before.rfind('\n'))
        .map_or(0, |at| at + 1);
    let end = end_of_line(text, span.end);
    let rest = text.get(span.end..end).unwrap_or("");
    let mut out = text.to_string();
    if rest.trim().is_empty() {
        out.replace_range(start..end, "");
    } else {
        let spaces = rest.len() - rest.trim_start().len();
        out.replace_range(start..span.end + spaces, "");
    }
    out
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
pub(super) fn key_text(reference: &str) -> String {
    let is_bare = |letter: char| letter.is_ascii_alphanumeric() || letter == '_' || letter == '-';
    if !reference.is_empty() && reference.chars().all(is_bare) {
        reference.to_string()
    } else {
        quoted(reference)
    }
}
