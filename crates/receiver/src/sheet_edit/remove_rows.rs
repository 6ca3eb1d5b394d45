//! Rows and entries taken out; what the restorer wrote beside them stays.
//!
//! The comma of a row goes with it, and its line where nothing else stands on it. A
//! comment on that line stays where it was. Bytes of the text as given. Fails for
//! a row that is not there.

use std::ops::Range;

use super::outline::{EditError, SheetList, SheetOutline, end_of_line};
use super::table_rows::without_table;

/// The text without these rows of a list, counted from 0.
///
/// # Errors
/// [`EditError::Sheet`] for a text that is no TOML or a list of another shape,
/// [`EditError::NoSuchCell`] for a row that is not there.
pub fn remove_rows(text: &str, list: SheetList, rows: &[usize]) -> Result<String, EditError> {
    let outline = SheetOutline::of(text)?;
    let mut rows = rows.to_vec();
    rows.sort_unstable();
    rows.dedup();
    let has_tables = outline.list(list).is_some_and(|list| list.has_tables);
    let mut out = text.to_string();
    // From the end, so that what stands before keeps its place.
    for row in rows.iter().rev() {
        let known = outline.rows(list);
        let no_such = EditError::NoSuchCell {
            list,
            row: *row,
            column: 0,
        };
        let span = known.get(*row).ok_or(no_such)?.span.clone();
        out = match has_tables {
            true => without_table(&out, list, *row)?,
            false => without_element(&out, span),
        };
    }
    let left = SheetOutline::of(&out).map_err(|_| EditError::WouldNotRead)?;
    if left.rows(list).len() + rows.len() != outline.rows(list).len() {
        return Err(EditError::WouldNotRead);
    }
    Ok(out)
}

/// A text without an element of a list, its comma, and the line if nothing else is on it.
pub(super) fn without_element(text: &str, span: Range<usize>) -> String {
    let behind = text.get(span.end..).unwrap_or("");
    let spaces = |text: &str| text.len() - text.trim_start_matches([' ', '\t']).len();
    let mut start = span.start;
    let mut end = span.end;
    let mut is_last = false;
    let gap = spaces(behind);
    if behind.get(gap..).is_some_and(|rest| rest.starts_with(',')) {
        end += gap + 1;
    } else {
        // The last one: its comma stands before it, if nothing but spaces is between.
        let before = text.get(..span.start).unwrap_or("");
        let kept = before.trim_end_matches([' ', '\t']);
        if kept.ends_with(',') {
            start = kept.len() - 1;
            is_last = true;
        }
    }
    let line_start = text
        .get(..start)
        .and_then(|before| before.rfind('\n'))
        .map_or(0, |at| at + 1);
    let line_end = end_of_line(text, end);
    let before = text.get(line_start..start).unwrap_or("");
    let rest = text.get(end..line_end).unwrap_or("");
    if before.trim().is_empty() && rest.trim().is_empty() && line_end > line_start {
        return pieces(text, line_start, line_end);
    }
    // What stands behind it moves to where it began; the space before a closing brace stays.
    let gap = if is_last { 0 } else { spaces(rest) };
    pieces(text, start, end + gap)
}

fn pieces(text: &str, from: usize, to: usize) -> String {
    let mut out = text.get(..from).unwrap_or("").to_string();
    out.push_str(text.get(to..).unwrap_or(""));
    out
}
