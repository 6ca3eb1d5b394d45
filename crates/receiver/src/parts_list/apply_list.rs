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
    EditError, RowGroup, SheetList, StateChange, StateList, StateOutline, change_cells,
    change_states, insert_rows, new_faults, remove_rows,
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
        let states: Vec<StateChange> = self.states.iter().map(|own| own.change.clone()).collect();
        new = change_states(&new, &states)?;
        self.told_faults(text, &new, catalogue)?;
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
            if change.column > row.cells.len()
                && let Some((line, cell)) = self.origin(change.row, change.column)
            {
                faults.push(ListFault::of_cell(
                    line,
                    &cell,
                    format!(
                        "the row on line {} of the sheet lacks cells before this one",
                        row.line
                    ),
                    "complete that row in the sheet first".to_string(),
                ));
            }
        }
        if faults.is_empty() {
            Ok(change_cells(text, &self.cells)?)
        } else {
            Err(TakeError::List(faults))
        }
    }

    /// What the change would spoil, with the lines of the list that say so.
    fn told_faults(
        &mut self,
        old: &str,
        new: &str,
        catalogue: &Catalogue,
    ) -> Result<(), EditError> {
        let found = new_faults(old, new, catalogue);
        if found.is_empty() {
            return Ok(());
        }
        let state = StateOutline::of(new)?;
        for found in found {
            let at = found.at.filter(|(list, ..)| *list == SheetList::Parts);
            let by_row = at.and_then(|(_, row, column, _)| self.origin(row, column));
            let by_state = || {
                let place = state.at(found.byte)?;
                // Two entries may be at odds, and the fault stand at the other one.
                let exact = self.states.iter().find(|own| place.is_of(&own.change));
                let same = || self.states.iter().find(|own| place.is_about(&own.change));
                let own = exact.or_else(same)?;
                Some((own.line, own.cell.clone()))
            };
            let fault = match by_row.or_else(by_state) {
                Some((line, cell)) => {
                    ListFault::of_cell(line, &cell, found.fault.text, found.fault.hint)
                }
                None => of_sheet(&found.fault),
            };
            self.faults.push(fault);
        }
        Ok(())
    }

    /// The cell of the list that a cell of the sheet came from, or the first of its line.
    fn origin(&self, row: usize, column: usize) -> Option<(usize, ListCell)> {
        let of_row = self.origins.get(&row)?;
        let exact = of_row.iter().find(|(number, _, _)| *number == column);
        let (_, line, cell) = exact.or_else(|| of_row.first())?;
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
    let gone = references.iter().flat_map(|reference| {
        let lists = StateList::ALL.map(|list| listed(list, reference, false));
        let nothing = StateChange::Measured {
            reference: reference.clone(),
            value: String::new(),
        };
        lists.into_iter().chain([nothing])
    });
    new = change_states(&new, &gone.collect::<Vec<_>>())?;
    Ok(new)
}
