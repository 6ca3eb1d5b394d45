//! Keys of one table of a sheet changed: of `[bench]`, or of a row of heaters, between braces or under `[[heaters]]`.
//!
//! Values as the sheet writes them; places in bytes of the text as given. A list keeps the elements that stay, with
//! what the restorer wrote beside them; a key or `[bench]` itself that is not there is begun; nothing else changes.
//! Fails for a text that is no TOML, for a table of another shape, and for a row that is not there.

use std::ops::Range;

use toml_edit::{ArrayOfTables, Document, Item, TableLike, Value};

use super::change_state::{Edit, key_text, without_line};
use super::outline::{EditError, SheetList, faults_of};
use super::remove_rows::without_element;
use super::state_outline::body_of;
use super::table_rows::end_of_row;

/// A table of which keys are changed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SheetTable {
    /// `[bench]`: what the restorer has.
    Bench,
    /// A row of `heaters`, from 0.
    Heaters(usize),
}

/// A key as it stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TableKey {
    /// Its name.
    pub key: String,
    /// What it says, one text for each element of a list.
    pub says: Vec<String>,
    /// Its bytes, from its name to the end of its value.
    pub span: Range<usize>,
}

/// What a key is to say.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum KeyValue {
    /// One value, as TOML has it.
    One(String),
    /// A list of values, each as TOML has it.
    List(Vec<String>),
    /// The key is taken out.
    None,
}

/// One key that is to say something else.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeyChange {
    /// Its name.
    pub key: String,
    /// What it is to say.
    pub value: KeyValue,
}

/// The keys of a table in the order of the text; none where the table is not there.
///
/// # Errors
/// [`EditError::Sheet`] for a text that is no TOML or a table of another shape, [`EditError::NoSuchCell`] for a row
/// that is not there.
pub fn keys_of(text: &str, table: SheetTable) -> Result<Vec<TableKey>, EditError> {
    let body = body_of(text);
    let shift = text.len() - body.len();
    with_table(text, table, |_, found| {
        let Some(found) = found else {
            return Ok(Vec::new());
        };
        let mut keys = Vec::new();
        for (name, item) in found.iter() {
            let key = found.get_key_value(name).and_then(|(key, _)| key.span());
            let (Some(key), Some(value)) = (key, item.span()) else {
                continue;
            };
            let says = match item.as_array() {
                Some(list) => list.iter().map(|one| words(one, body)).collect(),
                None => item
                    .as_value()
                    .map(|one| words(one, body))
                    .into_iter()
                    .collect(),
            };
            keys.push(TableKey {
                key: name.to_string(),
                says,
                span: key.start + shift..value.end + shift,
            });
        }
        keys.sort_by_key(|key| key.span.start);
        Ok(keys)
    })
}

/// The text with the keys changed.
///
/// # Errors
/// As [`keys_of`].
pub fn change_keys(
    text: &str,
    table: SheetTable,
    changes: &[KeyChange],
) -> Result<String, EditError> {
    let mut out = text.to_string();
    for change in changes {
        out = with_key(&out, table, change)?;
    }
    let after = keys_of(&out, table).map_err(|_| EditError::WouldNotRead)?;
    let is_done = |change: &KeyChange| {
        let own = after.iter().find(|own| own.key == change.key);
        match &change.value {
            KeyValue::None => own.is_none(),
            KeyValue::One(_) => own.is_some(),
            KeyValue::List(list) => own.is_some_and(|own| own.says.len() == list.len()),
        }
    };
    match changes.iter().all(is_done) {
        true => Ok(out),
        false => Err(EditError::WouldNotRead),
    }
}

/// Does something with a table, or with its absence.
fn with_table<T>(
    text: &str,
    table: SheetTable,
    work: impl FnOnce(&Edit<'_>, Option<&dyn TableLike>) -> Result<T, EditError>,
) -> Result<T, EditError> {
    let body = body_of(text);
    let wrong = || EditError::Sheet(faults_of(body));
    let document = Document::parse(body).map_err(|_| wrong())?;
    let edit = Edit {
        text,
        shift: text.len() - body.len(),
    };
    match table {
        SheetTable::Bench => match document.get("bench") {
            None => work(&edit, None),
            Some(item) => work(&edit, Some(item.as_table_like().ok_or_else(wrong)?)),
        },
        SheetTable::Heaters(row) => {
            let no_such = EditError::NoSuchCell {
                list: SheetList::Heaters,
                row,
                column: 0,
            };
            let heaters = document.get("heaters");
            if let Some(tables) = heaters.and_then(Item::as_array_of_tables) {
                return work(&edit, Some(tables.get(row).ok_or(no_such)?));
            }
            let rows = heaters.and_then(Item::as_array);
            let own = rows.and_then(|rows| rows.get(row)).ok_or(no_such)?;
            work(&edit, Some(own.as_inline_table().ok_or_else(wrong)?))
        }
    }
}

fn with_key(text: &str, table: SheetTable, change: &KeyChange) -> Result<String, EditError> {
    with_table(text, table, |edit, found| {
        let whole = |value: String| format!("{} = {value}", key_text(&change.key));
        let new = match &change.value {
            KeyValue::None => None,
            KeyValue::One(value) => Some(value.clone()),
            KeyValue::List(list) => Some(format!("[{}]", list.join(", "))),
        };
        let Some(found) = found else {
            return Ok(match new {
                Some(new) => edit.begin_table("bench", &whole(new)),
                None => edit.text.to_string(),
            });
        };
        let Some((key, item)) = found.get_key_value(&change.key) else {
            return match new {
                Some(new) => added(edit, table, found, whole(new)),
                None => Ok(edit.text.to_string()),
            };
        };
        let (Some(key), Some(value)) = (edit.span(key.span()), edit.span(item.span())) else {
            return Err(EditError::WouldNotRead);
        };
        let Some(new) = new else {
            let whole = key.start..value.end;
            return Ok(match is_inline(edit, table)? {
                true => without_element(edit.text, whole),
                false => without_line(edit.text, whole),
            });
        };
        if let (KeyValue::List(list), Some(old)) = (&change.value, item.as_array()) {
            return with_list(edit, old, list);
        }
        let mut out = edit.text.to_string();
        out.replace_range(value, &new);
        Ok(out)
    })
}

/// Whether the table stands between braces.
fn is_inline(edit: &Edit<'_>, table: SheetTable) -> Result<bool, EditError> {
    let document = Document::parse(body_of(edit.text)).map_err(|_| EditError::WouldNotRead)?;
    Ok(match table {
        SheetTable::Heaters(_) => tables_of(&document).is_none(),
        SheetTable::Bench => document
            .get("bench")
            .is_some_and(|item| item.as_inline_table().is_some()),
    })
}

/// The rows of heaters, where each is a table of its own.
fn tables_of<'d>(document: &'d Document<&str>) -> Option<&'d ArrayOfTables> {
    document.get("heaters").and_then(Item::as_array_of_tables)
}

fn added(
    edit: &Edit<'_>,
    table: SheetTable,
    found: &dyn TableLike,
    entry: String,
) -> Result<String, EditError> {
    let document = Document::parse(body_of(edit.text)).map_err(|_| EditError::WouldNotRead)?;
    match (table, document.get("bench")) {
        (SheetTable::Bench, Some(item)) => edit.add_keys(item, &[entry]),
        (SheetTable::Heaters(row), _) if tables_of(&document).is_some() => {
            let own = tables_of(&document).and_then(|tables| tables.get(row));
            match own.and_then(end_of_row) {
                Some(end) => Ok(edit.new_lines(end + edit.shift, &[entry])),
                None => Err(EditError::WouldNotRead),
            }
        }
        _ => {
            // A row of heaters is a table between braces; its last value ends before the closing one.
            let ends = found.iter().filter_map(|(_, item)| edit.span(item.span()));
            match ends.map(|span| span.end).max() {
                Some(end) => Ok(edit.with(end, &format!(", {entry}"))),
                None => Err(EditError::WouldNotRead),
            }
        }
    }
}

/// A list with other elements: those that stay are not touched.
fn with_list(edit: &Edit<'_>, old: &toml_edit::Array, new: &[String]) -> Result<String, EditError> {
    let body = body_of(edit.text);
    let spans: Option<Vec<Range<usize>>> = old.iter().map(|one| edit.span(one.span())).collect();
    let (Some(spans), Some(whole)) = (spans, edit.span(old.span())) else {
        return Err(EditError::WouldNotRead);
    };
    let said: Vec<String> = old.iter().map(|one| words(one, body)).collect();
    let same = |own: &String, new: &String| *own == words_of(new);
    let before = said.iter().zip(new).take_while(|(own, new)| same(own, new));
    let before = before.count();
    let rest = said.len().min(new.len()) - before;
    let behind = said.iter().rev().zip(new.iter().rev()).take(rest);
    let behind = behind.take_while(|(own, new)| same(own, new)).count();
    let gone = before..said.len() - behind;
    let come = before..new.len() - behind;
    let both = gone.len().min(come.len());
    let mut out = edit.text.to_string();
    // From the end, so that what stands before keeps its place.
    for span in spans[gone.start + both..gone.end].iter().rev() {
        out = without_element(&out, span.clone());
    }
    let more = new[come.start + both..come.end].join(", ");
    if !more.is_empty() {
        let at = gone.start + both;
        match (
            at.checked_sub(1).and_then(|at| spans.get(at)),
            spans.first(),
        ) {
            (Some(last), _) => out.insert_str(last.end, &format!(", {more}")),
            (None, Some(first)) => out.insert_str(first.start, &format!("{more}, ")),
            (None, None) => out.insert_str(whole.start + 1, &more),
        }
    }
    for turn in (0..both).rev() {
        out.replace_range(spans[gone.start + turn].clone(), &new[come.start + turn]);
    }
    Ok(out)
}

/// What a value says, without its quotes.
fn words(value: &Value, body: &str) -> String {
    match (value.as_str(), value.span()) {
        (Some(text), _) => text.to_string(),
        (None, Some(span)) => body.get(span).unwrap_or_default().trim().to_string(),
        (None, None) => String::new(),
    }
}

/// The same of a value as TOML has it.
fn words_of(written: &str) -> String {
    let value: Result<Value, _> = written.parse();
    match value.as_ref().map(Value::as_str) {
        Ok(Some(text)) => text.to_string(),
        _ => written.trim().to_string(),
    }
}
