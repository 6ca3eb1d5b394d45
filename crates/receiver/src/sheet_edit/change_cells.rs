//! Changed cells in the place of the old ones.
//!
//! Rows count from 0 in the order of the text, columns from 0. Where the next
//! cell of the row stood in the column that its list keeps to, the spaces before
//! it are fitted so that it stays there; no other byte changes. Fails for a cell
//! that is not there, save the one behind the last, which is put in.

use std::ops::Range;

use super::alignment::kept_columns;
use super::outline::{EditError, SheetList, SheetOutline};
use super::row_text::quoted;

/// One cell that is to say something else.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CellChange {
    /// The list.
    pub list: SheetList,
    /// The row, from 0.
    pub row: usize,
    /// The column, from 0; the one behind the last is put in.
    pub column: usize,
    /// What it shall say.
    pub text: String,
}

/// The text with the cells changed.
///
/// # Errors
/// [`EditError::Sheet`] for a text that is no TOML or a list of another shape,
/// [`EditError::NoSuchCell`] for a cell that is not there.
pub fn change_cells(text: &str, changes: &[CellChange]) -> Result<String, EditError> {
    let outline = SheetOutline::of(text)?;
    let kept = SheetList::ALL.map(|list| kept_columns(text, outline.rows(list)));
    let mut edits: Vec<(Range<usize>, String)> = Vec::new();
    for change in changes {
        let no_such = || EditError::NoSuchCell {
            list: change.list,
            row: change.row,
            column: change.column,
        };
        let rows = outline.rows(change.list);
        let row = rows.get(change.row).ok_or_else(no_such)?;
        let new = quoted(&change.text);
        let Some(cell) = row.cells.get(change.column) else {
            let last = row.cells.last().ok_or_else(no_such)?;
            if change.column != row.cells.len() {
                return Err(no_such());
            }
            edits.push((last.span.end..last.span.end, format!(", {new}")));
            continue;
        };
        let old_length = text
            .get(cell.span.clone())
            .map_or(0, |old| old.chars().count());
        let new_length = new.chars().count();
        edits.push((cell.span.clone(), new));
        let Some(next) = row.cells.get(change.column + 1) else {
            continue;
        };
        let kept = kept.get(change.list as usize);
        let kept = kept.and_then(|columns| columns.get(change.column + 1));
        let before = text.get(row.span.start..next.span.start).unwrap_or("");
        if kept.copied().flatten() != Some(before.chars().count()) {
            continue;
        }
        let gap = text.get(cell.span.end..next.span.start).unwrap_or("");
        let Some(spaces) = gap.strip_prefix(',') else {
            continue;
        };
        if spaces.is_empty() || !spaces.chars().all(|character| character == ' ') {
            continue;
        }
        let wanted = (spaces.len() + old_length)
            .saturating_sub(new_length)
            .max(1);
        edits.push((cell.span.end + 1..next.span.start, " ".repeat(wanted)));
    }
    edits.sort_by_key(|(span, _)| (span.start, span.end));
    let mut out = String::with_capacity(text.len() + 256);
    let mut from = 0;
    for (span, new) in &edits {
        out.push_str(text.get(from..span.start).unwrap_or(""));
        out.push_str(new);
        from = span.end.max(from);
    }
    out.push_str(text.get(from..).unwrap_or(""));
    let read_again = SheetOutline::of(&out).map_err(|_| EditError::WouldNotRead)?;
    for change in changes {
        let row = read_again.rows(change.list).get(change.row);
        let cell = row.and_then(|row| row.cells.get(change.column));
        if cell.is_none_or(|cell| cell.text != change.text) {
            return Err(EditError::WouldNotRead);
        }
    }
    Ok(out)
}
