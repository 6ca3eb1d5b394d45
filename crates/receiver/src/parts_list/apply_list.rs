//! Puts what a list says into the text of a sheet, and tells what that would spoil.
//!
//! Cells first, then new rows, then `[state]`, then what is to go. A new fault is told
//! with the line of the list that says so, as far as one does. Fails with
//! all of them.

use parts::Catalogue;

use super::column::PartColumn;
use super::read_list::{ListCell, ListFault};
use super::take_list::{Taking, listed};
use super::taken::{AddedPart, TakeError, TakenList};
use crate::sheet_edit::{
    EditError, RowGroup, SheetList, StateChange, StateList, change_cells, change_state,
    insert_rows, new_faults, remove_rows,
};

impl Taking<'_> {
    pub(super) fn apply(
        mut self,
        text: &str,
        missing: Vec<usize>,
        remove_missing: bool,
        catalogue: &Catalogue,
    ) -> Result<TakenList, TakeError> {
        let references: Vec<String> = missing
            .iter()
            .filter_map(|at| self.before.get(*at))
            .map(|row| row.cell(PartColumn::Reference).trim().to_string())
            .collect();
        let mut new = self.with_cells(text)?;
        let group = RowGroup {
            heading: String::new(),
            rows: self.new_rows.iter().map(|(_, row)| row.clone()).collect(),
        };
        if !group.rows.is_empty() {
            let inserted = insert_rows(&new, &group)?;
            let lines = self.new_rows.iter().zip(&inserted.lines);
            self.taken.added = lines
                .map(|((line, row), (_, written))| AddedPart {
                    reference: row.cells().first().cloned().unwrap_or_default(),
                    row: written.clone(),
                    line: *line,
                })
                .collect();
            new = inserted.text;
        }
        let with_rows = new.clone();
        for state in &self.states {
            new = change_state(&new, &state.change)?;
        }
        self.told_faults(text, &with_rows, &new, catalogue);
        if !self.faults.is_empty() {
            return Err(TakeError::List(self.told()));
        }
        if remove_missing {
            new = without_parts(&new, &missing, &references)?;
            let faults: Vec<ListFault> = new_faults(text, &new, catalogue)
                .into_iter()
                .map(|found| of_sheet(&found.fault))
                .collect();
            if !faults.is_empty() {
                return Err(TakeError::List(faults));
            }
            self.taken.removed = references;
        } else {
            self.taken.kept = references;
        }
        self.taken.text = new;
        Ok(self.taken)
    }

    /// The cells of the rows that are there, changed; a row that lacks cells is told.
    fn with_cells(&mut self, text: &str) -> Result<String, TakeError> {
        let rows = self.outline.rows(SheetList::Parts);
        let mut faults = Vec::new();
        for change in &self.cells {
            let Some(row) = rows.get(change.row) else {
                continue;
            };
            if change.column > row.cells.len() {
                let origin = self
                    .origins
                    .iter()
                    .find(|(at, column, _, _)| (*at, *column) == (change.row, change.column));
                if let Some((_, _, line, cell)) = origin {
                    faults.push(ListFault::of_cell(
                        *line,
                        cell,
                        format!(
                            "the row on line {} of the sheet lacks cells before this one",
                            row.line
                        ),
                        "complete that row in the sheet first".to_string(),
                    ));
                }
            }
        }
        if faults.is_empty() {
            Ok(change_cells(text, &self.cells)?)
        } else {
            Err(TakeError::List(faults))
        }
    }

    /// What the change would spoil, with the lines of the list that say so.
    fn told_faults(&mut self, old: &str, with_rows: &str, new: &str, catalogue: &Catalogue) {
        let mut by_states: Option<Vec<Vec<String>>> = None;
        for found in new_faults(old, new, catalogue) {
            let at = found.at.filter(|(list, ..)| *list == SheetList::Parts);
            let origin = at.and_then(|(_, row, column, _)| self.origin(row, column));
            if let Some((line, cell)) = origin {
                self.faults.push(ListFault::of_cell(
                    line,
                    &cell,
                    found.fault.text.clone(),
                    found.fault.hint.clone(),
                ));
                continue;
            }
            let by_states =
                by_states.get_or_insert_with(|| self.faults_by_state(with_rows, catalogue));
            let by_state = self
                .states
                .iter()
                .zip(by_states)
                .find(|(_, texts)| texts.contains(&found.fault.text))
                .map(|(state, _)| state);
            self.faults.push(match by_state {
                Some(state) => ListFault::of_cell(
                    state.line,
                    &state.cell,
                    found.fault.text.clone(),
                    found.fault.hint.clone(),
                ),
                None => of_sheet(&found.fault),
            });
        }
    }

    /// What each change of `[state]` spoils by itself.
    fn faults_by_state(&self, with_rows: &str, catalogue: &Catalogue) -> Vec<Vec<String>> {
        let states = self.states.iter();
        states
            .map(|state| match change_state(with_rows, &state.change) {
                Ok(alone) => new_faults(with_rows, &alone, catalogue)
                    .into_iter()
                    .map(|found| found.fault.text)
                    .collect(),
                Err(_) => Vec::new(),
            })
            .collect()
    }

    /// The cell of the list that a cell of the sheet came from, or the first of its line.
    fn origin(&self, row: usize, column: usize) -> Option<(usize, ListCell)> {
        let own = |exact: bool| {
            self.origins
                .iter()
                .find(|(at, number, _, _)| *at == row && (!exact || *number == column))
        };
        let (_, _, line, cell) = own(true).or_else(|| own(false))?;
        Some((*line, cell.clone()))
    }
}

/// A fault of the sheet that no line of the list explains.
fn of_sheet(fault: &crate::sheet::Fault) -> ListFault {
    ListFault {
        line: None,
        cell: None,
        heading: String::new(),
        text: format!(
            "line {} of the sheet with the change: {}",
            fault.line, fault.text
        ),
        hint: fault.hint.clone(),
    }
}

/// The text without these parts, and without what `[state]` says of them.
fn without_parts(text: &str, rows: &[usize], references: &[String]) -> Result<String, EditError> {
    let mut new = remove_rows(text, SheetList::Parts, rows)?;
    for reference in references {
        for list in StateList::ALL {
            new = change_state(&new, &listed(list, reference, false))?;
        }
        let nothing = StateChange::Measured {
            reference: reference.clone(),
            value: String::new(),
        };
        new = change_state(&new, &nothing)?;
    }
    Ok(new)
}
