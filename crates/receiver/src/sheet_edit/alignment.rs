//! The columns that the rows of a list keep to.
//!
//! Units: characters from the row's bracket to the cell's first. A column counts
//! as kept when at least two rows, and at least half of those that have it, start
//! their cell there. Nothing here fails.

use std::collections::BTreeMap;

use super::outline::OutlineRow;
use super::row_text::{NewRow, quoted};

/// Where the cells of new rows should start, column by column.
pub(super) fn columns_for(text: &str, rows: &[OutlineRow], new: &[&NewRow]) -> Vec<Option<usize>> {
    let kept = kept_columns(text, rows);
    if rows.iter().filter(|row| row.cells.len() > 1).count() > 1 {
        return kept;
    }
    own_columns(new)
}

/// The columns that rows of the text keep to.
pub(super) fn kept_columns(text: &str, rows: &[OutlineRow]) -> Vec<Option<usize>> {
    let mut starts: Vec<BTreeMap<usize, usize>> = Vec::new();
    for row in rows {
        for (column, cell) in row.cells.iter().enumerate() {
            if starts.len() <= column {
                starts.push(BTreeMap::new());
            }
            let before = text.get(row.span.start..cell.span.start).unwrap_or("");
            if before.contains('\n') {
                continue;
            }
            if let Some(counts) = starts.get_mut(column) {
                *counts.entry(before.chars().count()).or_insert(0) += 1;
            }
        }
    }
    starts
        .iter()
        .map(|counts| {
            let all: usize = counts.values().sum();
            let (start, count) = counts.iter().max_by_key(|(_, count)| **count)?;
            (*count >= 2 && 2 * *count >= all).then_some(*start)
        })
        .collect()
}

/// Columns wide enough for the new rows among themselves.
fn own_columns(new: &[&NewRow]) -> Vec<Option<usize>> {
    let most = new.iter().map(|row| row.cells().len()).max().unwrap_or(0);
    let mut start = 1;
    let mut columns = Vec::with_capacity(most);
    for column in 0..most {
        columns.push(Some(start));
        let widest = new
            .iter()
            .filter_map(|row| row.cells().get(column))
            .map(|cell| quoted(cell).chars().count())
            .max()
            .unwrap_or(0);
        start += widest + 2;
    }
    columns
}
