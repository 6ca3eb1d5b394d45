//! Rows of a list that stand as tables of their own, `[[heaters]]` with its keys below, in place of rows between brackets.
//!
//! Bytes of the text as given. A row begins with its header and ends with its last value; comments between and beside its keys
//! are the restorer's and stay. Fails for a row that has a table inside, which no row has.

use std::ops::Range;

use toml_edit::{ArrayOfTables, Document, Item, Table};

use super::change_state::without_line;
use super::insert_rows::line_end_of;
use super::outline::{EditError, OutlineList, OutlineRow, SheetList, end_of_line, faults_of};
use super::row_text::{NewRow, quoted};
use super::state_outline::body_of;

/// The rows of a list of tables. `shift` is what stands before the TOML, `line_of` gives the line of a byte of the text.
pub(super) fn rows_of(
    tables: &ArrayOfTables,
    shift: usize,
    line_of: impl Fn(usize) -> usize,
) -> Vec<OutlineRow> {
    let mut rows = Vec::new();
    for table in tables {
        let Some(header) = table.span() else { continue };
        let ends = entries(table).filter_map(|(_, value)| value);
        let end = ends
            .map(|value| value.end)
            .max()
            .map_or(header.end, |end| end.max(header.end));
        rows.push(OutlineRow {
            span: header.start + shift..end + shift,
            line: line_of(header.start + shift),
            cells: Vec::new(),
        });
    }
    rows
}

/// Where key and value of each entry of a table stand, as far as they do.
fn entries(
    table: &Table,
) -> impl Iterator<Item = (Option<Range<usize>>, Option<Range<usize>>)> + '_ {
    table.iter().map(|(name, item)| {
        let key = table.get_key_value(name).and_then(|(key, _)| key.span());
        (key, item.span())
    })
}

/// Where a key may be put into such a row: behind its last value, or behind its header.
pub(super) fn end_of_row(table: &Table) -> Option<usize> {
    let ends = entries(table).filter_map(|(_, value)| value);
    let end = ends.map(|value| value.end).max();
    end.or_else(|| table.span().map(|header| header.end))
}

/// The text without one row of a list of tables.
pub(super) fn without_table(text: &str, list: SheetList, row: usize) -> Result<String, EditError> {
    let body = body_of(text);
    let shift = text.len() - body.len();
    let document = Document::parse(body).map_err(|_| EditError::Sheet(faults_of(body)))?;
    let tables = document.get(list.key()).and_then(Item::as_array_of_tables);
    let table = tables.and_then(|tables| tables.get(row));
    let table = table.ok_or(EditError::NoSuchCell {
        list,
        row,
        column: 0,
    })?;
    if table.iter().any(|(_, item)| !item.is_value()) {
        return Err(EditError::Sheet(faults_of(body)));
    }
    let mut pieces: Vec<Range<usize>> = vec![table.span().ok_or(EditError::WouldNotRead)?];
    for (key, value) in entries(table) {
        let (Some(key), Some(value)) = (key, value) else {
            return Err(EditError::WouldNotRead);
        };
        pieces.push(key.start..value.end);
    }
    pieces.sort_by_key(|piece| piece.start);
    let mut out = text.to_string();
    // From the end, so that what stands before keeps its place.
    for piece in pieces.into_iter().rev() {
        out = without_line(&out, piece.start + shift..piece.end + shift);
    }
    Ok(out)
}

/// Where new rows go behind the last one of a list of tables, and the text of them.
pub(super) fn behind_last(
    text: &str,
    list: &OutlineList,
    heading: Option<&String>,
    rows: &[Vec<String>],
) -> Option<(usize, String)> {
    let last = list.rows.iter().map(|row| row.span.end).max()?;
    let at = end_of_line(text, last);
    let line_end = line_end_of(text);
    let mut out = String::new();
    if !text.get(..at).is_some_and(|before| before.ends_with('\n')) {
        out.push_str(line_end);
    }
    let mut heading = heading;
    for row in rows {
        out.push_str(line_end);
        for line in heading.take().into_iter().chain(row) {
            out.push_str(line);
            out.push_str(line_end);
        }
    }
    Some((at, out))
}

/// A new row as a table, line by line; none for a row of cells, which is never a table.
pub(super) fn table_lines(row: &NewRow) -> Vec<String> {
    let NewRow::Heaters {
        from,
        to,
        in_series,
        tubes,
    } = row
    else {
        return Vec::new();
    };
    let tubes: Vec<String> = tubes.iter().map(|tube| quoted(tube)).collect();
    let way = if *in_series { "series" } else { "parallel" };
    vec![
        format!("[[{}]]", SheetList::Heaters.key()),
        format!("from = {}", quoted(from)),
        format!("to = {}", quoted(to)),
        format!("{way} = [{}]", tubes.join(", ")),
    ]
}
