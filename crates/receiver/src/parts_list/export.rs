//! The parts of a sheet as lines of a list, and the list as CSV.
//!
//! Cells say what the sheet says, to the letter. Lines end with a line feed; cells
//! that need it stand between quotes (RFC 4180). Fails for a sheet whose text is no TOML.

use super::column::PartColumn;
use crate::sheet_edit::{EditError, SheetList, SheetOutline, StateOutline};

/// One part as a line of the list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PartLine {
    cells: Vec<String>,
}

impl PartLine {
    /// What the list says in this column: `yes` or nothing for a list of `[state]`.
    pub fn cell(&self, column: PartColumn) -> &str {
        PartColumn::ALL
            .iter()
            .position(|own| *own == column)
            .and_then(|at| self.cells.get(at))
            .map_or("", String::as_str)
    }
}

/// The parts of a sheet, in its order.
///
/// # Errors
/// [`EditError::Sheet`] for a text that is no TOML or lists of another shape.
pub fn parts_of(text: &str) -> Result<Vec<PartLine>, EditError> {
    let outline = SheetOutline::of(text)?;
    let state = StateOutline::of(text)?;
    let rows = outline.rows(SheetList::Parts).iter();
    Ok(rows
        .map(|row| {
            let reference = row.cell(0);
            let cell = |column: PartColumn| match column {
                PartColumn::State(list) if state.is_listed(list, reference) => "yes".to_string(),
                PartColumn::State(_) => String::new(),
                PartColumn::Measured => state.measured(reference).to_string(),
                own => own
                    .row_cell()
                    .and_then(|at| row.cells.get(at))
                    .map_or_else(String::new, |cell| cell.text.clone()),
            };
            PartLine {
                cells: PartColumn::ALL.into_iter().map(cell).collect(),
            }
        })
        .collect())
}

/// The list as CSV with one heading line, its cells parted by this byte.
pub fn csv_of(parts: &[PartLine], separator: u8) -> String {
    let mut writer = csv::WriterBuilder::new()
        .delimiter(separator)
        .from_writer(Vec::new());
    let headings = PartColumn::ALL.map(PartColumn::heading);
    let mut written = writer.write_record(headings);
    for part in parts {
        written = written.and_then(|()| writer.write_record(&part.cells));
    }
    // Writing into memory does not fail.
    let bytes = match written {
        Ok(()) => writer.into_inner().unwrap_or_default(),
        Err(_) => Vec::new(),
    };
    String::from_utf8(bytes).unwrap_or_default()
}
