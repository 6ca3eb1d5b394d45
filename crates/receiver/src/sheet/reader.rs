//! Walks the TOML of a sheet: cells with their place in the text, rows, tables.
//!
//! A cell of the wrong shape is a fault with what stood there and what was
//! expected; reading goes on with the next cell, so that all faults of a sheet
//! come at once. Nothing here knows what the cells mean.

use std::ops::Range;

use parts::Catalogue;
use toml_edit::{Array, Item, TableLike, Value};

use super::messages::{Findings, LineStarts, listed, shown};
use super::spelling::Speller;

/// Everything that is at hand while a sheet is read.
pub(super) struct Reader<'a> {
    pub(super) text: &'a str,
    pub(super) catalogue: &'a Catalogue,
    pub(super) findings: Findings,
    pub(super) speller: Speller,
    lines: LineStarts,
}

/// A text or bare number of the sheet and where it stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Cell {
    /// What it says.
    pub(super) text: String,
    /// Its bytes in the sheet, quotes included.
    pub(super) span: Range<usize>,
}

impl Cell {
    /// First byte of the cell, its quote if it has one.
    pub(super) fn at(&self) -> usize {
        self.span.start
    }

    /// Whether it says nothing.
    pub(super) fn is_blank(&self) -> bool {
        self.text.trim().is_empty()
    }

    /// The byte of the sheet at which this byte of the cell's text stands.
    pub(super) fn inside(&self, sheet: &str, offset: usize) -> usize {
        let raw = sheet.get(self.span.clone()).unwrap_or("");
        self.span.start + offset_in_raw(raw, offset)
    }
}

/// A key of a table with its value.
pub(super) struct Entry<'t> {
    pub(super) key: Cell,
    pub(super) item: &'t Item,
}

impl<'a> Reader<'a> {
    pub(super) fn new(text: &'a str, catalogue: &'a Catalogue) -> Self {
        Reader {
            text,
            catalogue,
            findings: Findings::default(),
            speller: Speller::new(),
            lines: LineStarts::of(text),
        }
    }

    /// Line, from 1, of this byte.
    pub(super) fn line(&self, at: usize) -> usize {
        self.lines.line(at)
    }

    /// First byte of a line.
    pub(super) fn start_of_line(&self, line: usize) -> usize {
        self.lines.start(line)
    }

    /// A fault at a byte inside a cell's text.
    pub(super) fn fault_inside(
        &mut self,
        cell: &Cell,
        offset: usize,
        text: impl Into<String>,
        hint: impl Into<String>,
    ) {
        let at = cell.inside(self.text, offset);
        self.findings.fault(at, text, hint);
    }

    /// The entries of a table, in the order of the text.
    pub(super) fn entries<'t>(&self, table: &'t dyn TableLike) -> Vec<Entry<'t>> {
        let mut entries: Vec<Entry<'t>> = table
            .iter()
            .map(|(name, item)| {
                let span = table
                    .key(name)
                    .and_then(|key| key.span())
                    .or_else(|| item.span())
                    .unwrap_or(0..0);
                Entry {
                    key: Cell {
                        text: name.to_string(),
                        span,
                    },
                    item,
                }
            })
            .collect();
        entries.sort_by_key(|entry| entry.key.span.start);
        entries
    }

    /// The fault of a key that the table does not know.
    pub(super) fn unknown_key(&mut self, key: &Cell, whose: &str, known: &[&'static str]) {
        let nearest = self.speller.did_you_mean(&key.text, known.iter().copied());
        self.findings.fault(
            key.at(),
            format!("unknown key {} in {whose}", shown(&key.text)),
            format!("{nearest}{whose} knows {}", listed(known, "and")),
        );
    }

    /// A text; bare numbers are not taken.
    pub(super) fn text_of(&mut self, item: &Item, key: &Cell, what: &str) -> Option<Cell> {
        let span = item.span().unwrap_or_else(|| key.span.clone());
        match item.as_str() {
            Some(text) => Some(Cell {
                text: text.to_string(),
                span,
            }),
            None => {
                self.wrong_shape(span.start, item.type_name(), &key.text, what);
                None
            }
        }
    }

    /// A finite number, whole or not.
    pub(super) fn number_of(
        &mut self,
        item: &Item,
        key: &Cell,
        what: &str,
    ) -> Option<(f64, usize)> {
        let at = item.span().map_or(key.at(), |span| span.start);
        let number = item
            .as_float()
            .or_else(|| item.as_integer().map(|whole| whole as f64));
        match number {
            Some(number) if number.is_finite() => Some((number, at)),
            _ => {
                let hint_of_text = item
                    .as_str()
                    .map(|text| format!(" (write {} without quotes and unit)", shown(text)));
                self.findings.fault(
                    at,
                    format!("`{}` is {}", key.text, read_kind(item.type_name())),
                    format!("expected {what}{}", hint_of_text.unwrap_or_default()),
                );
                None
            }
        }
    }

    /// Yes or no.
    pub(super) fn bool_of(&mut self, item: &Item, key: &Cell) -> Option<bool> {
        let at = item.span().map_or(key.at(), |span| span.start);
        if item.as_bool().is_none() {
            self.wrong_shape(at, item.type_name(), &key.text, "`true` or `false`");
        }
        item.as_bool()
    }

    /// A row of values in brackets.
    pub(super) fn array_of<'t>(
        &mut self,
        item: &'t Item,
        key: &Cell,
        what: &str,
    ) -> Option<&'t Array> {
        let at = item.span().map_or(key.at(), |span| span.start);
        if item.as_array().is_none() {
            self.wrong_shape(at, item.type_name(), &key.text, what);
        }
        item.as_array()
    }

    /// A table.
    pub(super) fn table_of<'t>(&mut self, item: &'t Item, key: &Cell) -> Option<&'t dyn TableLike> {
        let at = item.span().map_or(key.at(), |span| span.start);
        if item.as_table_like().is_none() {
            let header = format!("a table, with `[{}]` on a line of its own", key.text);
            self.wrong_shape(at, item.type_name(), &key.text, &header);
        }
        item.as_table_like()
    }

    /// The rows of a list of rows, each with the byte at which it stands.
    pub(super) fn rows_of<'t>(
        &mut self,
        item: &'t Item,
        key: &Cell,
        form: &str,
    ) -> Vec<(&'t Array, usize)> {
        let Some(array) = self.array_of(item, key, "rows between `[` and `]`") else {
            return Vec::new();
        };
        let mut rows = Vec::with_capacity(array.len());
        for value in array {
            let at = value.span().map_or(key.at(), |span| span.start);
            match value.as_array() {
                Some(row) => rows.push((row, at)),
                None => {
                    self.wrong_shape(at, value.type_name(), &format!("row of {}", key.text), form)
                }
            }
        }
        rows
    }

    /// The cells of a row. Numbers count as their text. A cell of another shape is a fault and reads as nothing.
    pub(super) fn cells_of(
        &mut self,
        row: &Array,
        row_at: usize,
        columns: &[&str],
    ) -> Vec<Option<Cell>> {
        row.iter()
            .enumerate()
            .map(|(index, value)| {
                let cell = self.cell(value, row_at);
                if cell.is_none() {
                    let at = value.span().map_or(row_at, |span| span.start);
                    let column = columns.get(index).copied().unwrap_or("cell");
                    self.wrong_shape(at, value.type_name(), column, "a text in quotes");
                }
                cell
            })
            .collect()
    }

    /// A text or number as a cell.
    pub(super) fn cell(&self, value: &Value, fallback_at: usize) -> Option<Cell> {
        let span = value.span().unwrap_or(fallback_at..fallback_at);
        match value {
            Value::String(text) => Some(Cell {
                text: text.value().clone(),
                span,
            }),
            Value::Integer(_) | Value::Float(_) => Some(Cell {
                text: self.text.get(span.clone()).unwrap_or("").replace('_', ""),
                span,
            }),
            _ => None,
        }
    }

    /// The fault of a value of the wrong shape.
    pub(super) fn wrong_shape(&mut self, at: usize, read: &str, whose: &str, expected: &str) {
        self.findings.fault(
            at,
            format!("`{whose}` is {}", read_kind(read)),
            format!("expected {expected}"),
        );
    }
}

/// The kinds of TOML value in plain words.
fn read_kind(type_name: &str) -> &'static str {
    match type_name {
        "string" => "a text",
        "integer" | "float" => "a number",
        "boolean" => "`true` or `false`",
        "datetime" => "a date",
        "array" => "a list",
        "inline table" | "table" => "a table",
        "array of tables" => "a list of tables",
        _ => "of another shape",
    }
}

/// Where in the written form of a text a byte of its meaning stands; quotes and escapes counted.
fn offset_in_raw(raw: &str, offset: usize) -> usize {
    let (open, escapes) = if raw.starts_with("\"\"\"") {
        (3, true)
    } else if raw.starts_with("'''") {
        (3, false)
    } else if raw.starts_with('"') {
        (1, true)
    } else if raw.starts_with('\'') {
        (1, false)
    } else {
        (0, false)
    };
    let mut position = open;
    if open == 3 {
        let after = raw.get(3..).unwrap_or("");
        if after.starts_with("\r\n") {
            position += 2;
        } else if after.starts_with('\n') {
            position += 1;
        }
    }
    if !escapes {
        return floor_boundary(raw, position + offset);
    }
    let mut meant = 0;
    while meant < offset {
        let rest = raw.get(position..).unwrap_or("");
        let Some(character) = rest.chars().next() else {
            break;
        };
        if character != '\\' {
            meant += character.len_utf8();
            position += character.len_utf8();
            continue;
        }
        let (written, meaning) = match rest.chars().nth(1) {
            Some('x') => (4, code_length(rest, 2, 4)),
            Some('u') => (6, code_length(rest, 2, 6)),
            Some('U') => (10, code_length(rest, 2, 10)),
            Some(space) if space.is_whitespace() => {
                let skipped = rest.get(1..).unwrap_or("");
                (1 + skipped.len() - skipped.trim_start().len(), 0)
            }
            Some(_) => (2, 1),
            None => (1, 0),
        };
        meant += meaning;
        position += written;
    }
    floor_boundary(raw, position)
}

fn code_length(rest: &str, from: usize, to: usize) -> usize {
    rest.get(from..to)
        .and_then(|hex| u32::from_str_radix(hex, 16).ok())
        .and_then(char::from_u32)
        .map_or(1, char::len_utf8)
}

fn floor_boundary(raw: &str, mut position: usize) -> usize {
    position = position.min(raw.len());
    while position > 0 && !raw.is_char_boundary(position) {
        position -= 1;
    }
    position
}

#[cfg(test)]
mod tests {
    use super::offset_in_raw;

    #[test]
    fn a_byte_of_the_meaning_is_found_in_the_written_form() {
        // raw, byte of the meaning, byte of the raw: counted by hand.
        let cases = [
            (r#""4.7k 2 W""#, 5, 6),
            (r"'4.7k 2 W'", 5, 6),
            (r#""a\tb""#, 2, 4),
            (r#""\u03A9x""#, 2, 7),
            ("\"\"\"\nab\"\"\"", 1, 5),
            ("4700", 0, 0),
            (r#""ab""#, 99, 4),
        ];
        for (raw, meant, written) in cases {
            assert_eq!(offset_in_raw(raw, meant), written, "{raw} at {meant}");
        }
    }
}
