//! What a change of a sheet spoils: the faults it has now and had not before.
//!
//! Lines and columns are those of the new text, from 1, columns in characters. A
//! fault counts as old if the old text had one with the same words; a line that the
//! words name may have moved. Nothing here fails.

use parts::Catalogue;

use super::outline::{SheetList, SheetOutline};
use crate::sheet::{Fault, read_sheet};

/// A fault that came with a change.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewFault {
    /// The fault, in the new text.
    pub fault: Fault,
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
    let mut found = Vec::new();
    for fault in after {
        let same = |old: &Fault| {
            without_lines(&old.text) == without_lines(&fault.text)
                && without_lines(&old.hint) == without_lines(&fault.hint)
        };
        if let Some(known) = before.iter().position(same) {
            before.swap_remove(known);
            continue;
        }
        let at = outline
            .as_ref()
            .and_then(|outline| cell_at(new, outline, fault.line, fault.column));
        found.push(NewFault { fault, at });
    }
    found
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

/// The row and cell at a line and column.
fn cell_at(
    text: &str,
    outline: &SheetOutline,
    line: usize,
    column: usize,
) -> Option<(SheetList, usize, usize, usize)> {
    let mark = if text.starts_with('\u{feff}') { 3 } else { 0 };
    let start: usize = mark
        + text
            .get(mark..)?
            .split_inclusive('\n')
            .take(line.saturating_sub(1))
            .map(str::len)
            .sum::<usize>();
    let in_line: usize = text
        .get(start..)?
        .chars()
        .take(column.saturating_sub(1))
        .map(char::len_utf8)
        .sum();
    let byte = start + in_line;
    for list in SheetList::ALL {
        for (index, row) in outline.rows(list).iter().enumerate() {
            if !row.span.contains(&byte) {
                continue;
            }
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
