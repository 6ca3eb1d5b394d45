//! Where the rows and cells of a sheet stand in its text.
//!
//! Units: bytes of the text as given, byte order mark included; the first line
//! is line 1. Nothing is judged here but the shape: a row may hold any cells.
//! Fails for a text that is no TOML and for a list that is none.

use std::fmt;
use std::ops::Range;

use toml_edit::{Document, Item, Value};

use super::table_rows::rows_of;
use crate::sheet::Fault;

/// The lists of rows that a sheet has.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum SheetList {
    /// `tubes`: reference, type, job.
    Tubes,
    /// `windings`: transformer, winding, rating, start, end.
    Windings,
    /// `parts`: reference, kind, value, from, to, third place.
    Parts,
    /// `heaters`: tables, not rows of cells; in one list, or each under a `[[heaters]]` of its own.
    Heaters,
}

impl SheetList {
    /// Every list, in the order in which a sheet has them.
    pub const ALL: [SheetList; 4] = [
        SheetList::Tubes,
        SheetList::Windings,
        SheetList::Parts,
        SheetList::Heaters,
    ];

    /// Its key in the sheet.
    pub fn key(self) -> &'static str {
        match self {
            SheetList::Tubes => "tubes",
            SheetList::Windings => "windings",
            SheetList::Parts => "parts",
            SheetList::Heaters => "heaters",
        }
    }

    /// What one row of it is.
    pub fn row_word(self) -> &'static str {
        match self {
            SheetList::Tubes => "tube",
            SheetList::Windings => "winding",
            SheetList::Parts => "part",
            SheetList::Heaters => "row of heaters",
        }
    }
}

impl fmt::Display for SheetList {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        formatter.write_str(self.key())
    }
}

/// Why a sheet's text cannot be changed.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum EditError {
    /// The text is no TOML, or a list in it has another shape; all that was found.
    #[error("the sheet cannot be changed as it stands: {}", .0.iter().map(ToString::to_string).collect::<Vec<_>>().join("; "))]
    Sheet(Vec<Fault>),
    /// A row or column that the sheet has not was to be changed.
    #[error("{list} has no row {row} with a column {column} to change")]
    NoSuchCell {
        /// The list.
        list: SheetList,
        /// The row, from 0.
        row: usize,
        /// The column, from 0.
        column: usize,
    },
    /// `state` in the sheet is no table of lists, so nothing can be put into it.
    #[error("`state` of the sheet has another shape than its tables")]
    StateShape,
    /// The changed text would not read as the sheet with the change: a fault of the program.
    #[error("the changed sheet would not read as it should")]
    WouldNotRead,
}

/// A cell: what it says and where it stands.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OutlineCell {
    /// What it says.
    pub text: String,
    /// Its bytes, quotes included.
    pub span: Range<usize>,
}

/// A row of a list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct OutlineRow {
    /// Its bytes, brackets included.
    pub span: Range<usize>,
    /// Line on which it begins.
    pub line: usize,
    /// Its cells; none where the row is no list of cells.
    pub cells: Vec<OutlineCell>,
}

impl OutlineRow {
    /// What the cell of this column says; empty where there is none.
    pub fn cell(&self, column: usize) -> &str {
        self.cells.get(column).map_or("", |cell| cell.text.trim())
    }
}

/// A list that is there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct OutlineList {
    pub(super) list: SheetList,
    pub(super) span: Range<usize>,
    pub(super) rows: Vec<OutlineRow>,
    /// Whether each row is a table of its own.
    pub(super) has_tables: bool,
}

/// A reference in use.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReferenceUse {
    /// As its row spells it.
    pub reference: String,
    /// The list it stands in.
    pub list: SheetList,
    /// Line of its first row.
    pub line: usize,
}

/// The rows of a sheet with their places in the text.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SheetOutline {
    pub(super) lists: Vec<OutlineList>,
    /// Where a new list can stand: behind the last line before the first table.
    pub(super) end_of_keys: usize,
}

impl SheetOutline {
    /// Finds the rows of a text.
    ///
    /// # Errors
    /// [`EditError::Sheet`] for a text that is no TOML or a list of another shape.
    pub fn of(text: &str) -> Result<SheetOutline, EditError> {
        let mark = if text.starts_with('\u{feff}') { 3 } else { 0 };
        let body = text.get(mark..).unwrap_or("");
        let Ok(document) = Document::parse(body) else {
            return Err(EditError::Sheet(faults_of(body)));
        };
        let shifted = |span: Range<usize>| span.start + mark..span.end + mark;
        let line_starts = line_starts(text);
        let mut lists = Vec::new();
        let mut end_of_keys = 0;
        let mut misshapen = false;
        for (key, item) in document.as_table().iter() {
            end_of_keys = end_of_keys.max(end_of_values(item));
            let Some(list) = SheetList::ALL.into_iter().find(|list| list.key() == key) else {
                continue;
            };
            if let (SheetList::Heaters, Some(tables)) = (list, item.as_array_of_tables()) {
                let line_of = |byte| line_starts.partition_point(|start| *start <= byte);
                let rows = rows_of(tables, mark, line_of);
                let first = rows.first().map_or(0, |row| row.span.start);
                let last = rows.last().map_or(0, |row| row.span.end);
                lists.push(OutlineList {
                    list,
                    span: first..last,
                    rows,
                    has_tables: true,
                });
                continue;
            }
            let (Some(array), Some(span)) = (item.as_array(), item.span()) else {
                misshapen = true;
                continue;
            };
            let mut rows = Vec::new();
            for value in array {
                let Some(row) = value.span() else { continue };
                let cells = value.as_array().into_iter().flatten();
                rows.push(OutlineRow {
                    line: line_starts.partition_point(|start| *start <= row.start + mark),
                    span: shifted(row),
                    cells: cells
                        .filter_map(|cell| {
                            let span = cell.span()?;
                            Some(OutlineCell {
                                text: cell_text(cell, body, &span),
                                span: shifted(span),
                            })
                        })
                        .collect(),
                });
            }
            lists.push(OutlineList {
                list,
                span: shifted(span),
                rows,
                has_tables: false,
            });
        }
        if misshapen {
            return Err(EditError::Sheet(faults_of(body)));
        }
        Ok(SheetOutline {
            lists,
            end_of_keys: end_of_line(text, end_of_keys + mark),
        })
    }

    /// The rows of a list, in the order of the text; none where the list is not there.
    pub fn rows(&self, list: SheetList) -> &[OutlineRow] {
        self.list(list).map_or(&[], |list| &list.rows)
    }

    pub(super) fn list(&self, list: SheetList) -> Option<&OutlineList> {
        self.lists.iter().find(|own| own.list == list)
    }

    /// Every reference with the line of its first row, in the order of the sheet's lists.
    pub fn references(&self) -> Vec<ReferenceUse> {
        let mut uses: Vec<ReferenceUse> = Vec::new();
        for list in [SheetList::Tubes, SheetList::Windings, SheetList::Parts] {
            for row in self.rows(list) {
                let reference = row.cell(0);
                let known = |one: &ReferenceUse| one.reference.eq_ignore_ascii_case(reference);
                if !reference.is_empty() && !uses.iter().any(known) {
                    uses.push(ReferenceUse {
                        reference: reference.to_string(),
                        list,
                        line: row.line,
                    });
                }
            }
        }
        uses
    }

    /// The first row of a list whose first cell is this, in any case.
    pub fn row_of(&self, list: SheetList, reference: &str) -> Option<&OutlineRow> {
        self.rows(list)
            .iter()
            .find(|row| row.cell(0).eq_ignore_ascii_case(reference.trim()))
    }
}

/// The faults of a text that cannot be changed, in the words of the checker.
pub(super) fn faults_of(body: &str) -> Vec<Fault> {
    match parts::catalogue() {
        Ok(catalogue) => crate::sheet::read_sheet(body, catalogue).faults,
        Err(_) => Vec::new(),
    }
}

fn cell_text(cell: &Value, body: &str, span: &Range<usize>) -> String {
    match cell {
        Value::String(text) => text.value().clone(),
        _ => body.get(span.clone()).unwrap_or("").to_string(),
    }
}

/// Last byte of the values of an item that stand before the first table; 0 for a table with a header.
fn end_of_values(item: &Item) -> usize {
    match item {
        Item::Value(value) => value.span().map_or(0, |span| span.end),
        Item::Table(table) if table.is_dotted() => table
            .iter()
            .map(|(_, inner)| end_of_values(inner))
            .max()
            .unwrap_or(0),
        _ => 0,
    }
}

/// The byte behind the line that holds this byte, its line end included.
pub(super) fn end_of_line(text: &str, at: usize) -> usize {
    let rest = text.get(at..).unwrap_or("");
    rest.find('\n').map_or(text.len(), |end| at + end + 1)
}

/// The first byte of each line.
pub(super) fn line_starts(text: &str) -> Vec<usize> {
    let ends = text.bytes().enumerate().filter(|(_, byte)| *byte == b'\n');
    std::iter::once(0)
        .chain(ends.map(|(at, _)| at + 1))
        .collect()
}
