//! What a change of a sheet spoils: the faults and notices it has now and had not before.
//!
//! Lines and columns are those of the new text, from 1, columns in characters. What
//! the old text had with the same words counts as old; a line that the words name may
//! have moved. Nothing here fails.

use parts::Catalogue;

use super::outline::{SheetList, SheetOutline, line_starts};
use crate::sheet::{Fault, Notice, read_sheet};

/// A fault that came with a change.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewFault {
    /// The fault, in the new text.
    pub fault: Fault,
    /// The byte of the new text at which it stands.
    pub byte: usize,
    /// The row it stands in, if it stands in one: list, row and column from 0, and the character of the cell's text.
    pub at: Option<(SheetList, usize, usize, usize)>,
}

/// The faults of the new text that the old one had not.
pub fn new_faults(old: &str, new: &str, catalogue: &Catalogue) -> Vec<NewFault> {
    let mut before: Vec<Fault> = read_sheet(old, catalogue).faults;
    let after = read_sheet(new, catalogue).faults;
    if after.is_empty() {
        return Vec::new();
    }
    let outline = SheetOutline::of(new).ok();
    let starts = line_starts(new);
    let mut found = Vec::new();
    for fault in after {
        let same = |old: &Fault| says_the_same(&old.text, &fault.text);
        if let Some(known) = before.iter().position(same) {
            before.swap_remove(known);
            continue;
        }
        let byte = byte_of(new, &starts, fault.line, fault.column);
        let outline = outline.as_ref();
        let at = outline.and_then(|outline| cell_at(new, outline, byte));
        found.push(NewFault { fault, byte, at });
    }
    found
}

/// What there is to notice in the new text that was not in the old one.
pub fn new_notices(old: &str, new: &str, catalogue: &Catalogue) -> Vec<Notice> {
    let mut before = read_sheet(old, catalogue).notices;
    let mut found = read_sheet(new, catalogue).notices;
    found.retain(|notice| {
        let same = |old: &Notice| says_the_same(&old.text, &notice.text);
        let known = before.iter().position(same);
        known.map(|known| before.swap_remove(known)).is_none()
    });
    found
}

/// Whether two messages say the same, on whatever lines; hints change with the names that come near.
fn says_the_same(one: &str, other: &str) -> bool {
    without_lines(one) == without_lines(other)
}

/// A message without the numbers of the lines it names.
fn without_lines(text: &str) -> String {
    let mut pieces = text.split("line ");
    let mut out = pieces.next().unwrap_or_default().to_string();
    for piece in pieces {
        out.push_str("line ");
        out.push_str(piece.trim_start_matches(|character: char| character.is_ascii_digit()));
    }
    out
}

/// The byte at a line and column; a byte order mark belongs to no column.
fn byte_of(text: &str, starts: &[usize], line: usize, column: usize) -> usize {
    let mark = if text.starts_with('\u{feff}') { 3 } else { 0 };
    let start = starts.get(line.saturating_sub(1)).copied();
    let start = start.unwrap_or(text.len()).max(mark);
    let rest = text.get(start..).unwrap_or("").chars();
    start
        + rest
            .take(column.saturating_sub(1))
            .map(char::len_utf8)
            .sum::<usize>()
}

/// The row and cell at a byte.
fn cell_at(
    text: &str,
    outline: &SheetOutline,
    byte: usize,
) -> Option<(SheetList, usize, usize, usize)> {
    for list in SheetList::ALL {
        let rows = outline.rows(list);
        // Rows stand in the order of the text.
        let index = rows
            .partition_point(|row| row.span.start <= byte)
            .saturating_sub(1);
        let row = rows.get(index);
        if let Some(row) = row.filter(|row| row.span.contains(&byte)) {
            for (number, cell) in row.cells.iter().enumerate() {
                if cell.span.contains(&byte) {
                    let inside = text.get(cell.span.start..byte).unwrap_or("");
                    return Some((
                        list,
                        index,
                        number,
                        inside.chars().count().saturating_sub(1),
                    ));
                }
            }
            return Some((list, index, 0, 0));
        }
    }
    None
}
