//! Takes a list of parts into a sheet.
//!
//! A cell that says what the sheet says changes nothing, whatever spaces, letters of
//! the kind or spelling of a plain number differ. References that the sheet has not
//! are new rows; those that the list has not stay, unless told otherwise. Columns that
//! the list has not touch nothing. The sheet is read before and after, and what the change would spoil
//! is told with the line of the list. Fails with all faults at once.

use std::collections::BTreeMap;

use parts::Catalogue;

use super::cell_habits::{self, Habit, is_same_number};
use super::column::PartColumn;
use super::export::{PartLine, parts_of};
use super::read_list::{ListCell, ListFault, ListRow, TypedList};
use super::taken::{ChangedCell, TakeError, TakenList};
use crate::sheet::{PartKind, shown};
use crate::sheet_edit::{
    CellChange, NewRow, SheetList, SheetOutline, StateChange, StateList, is_same,
};

/// Takes a list into the text of a sheet.
///
/// # Errors
/// [`TakeError::Sheet`] for a text that is no TOML; [`TakeError::List`] with every fault
/// of the list and every fault that it would bring into the sheet.
pub fn take_list(
    text: &str,
    list: &TypedList,
    remove_missing: bool,
    catalogue: &Catalogue,
) -> Result<TakenList, TakeError> {
    let before = parts_of(text)?;
    let mut taking = Taking {
        before: &before,
        outline: SheetOutline::of(text)?,
        faults: Vec::new(),
        taken: TakenList::default(),
        cells: Vec::new(),
        new_rows: Vec::new(),
        states: Vec::new(),
        origins: BTreeMap::new(),
    };
    taking.look_for_doubles(list);
    let has_doubles = !taking.faults.is_empty();
    for row in &list.rows {
        taking.row(row, list);
    }
    let missing = taking.missing(list);
    if has_doubles {
        // Which of the two is meant is not known, so nothing can be tried in the sheet.
        return Err(TakeError::List(taking.told()));
    }
    taking.apply(text, missing, remove_missing, catalogue)
}

/// A change with the line it came from.
pub(super) struct FromLine<T> {
    pub(super) line: usize,
    pub(super) cell: ListCell,
    pub(super) change: T,
}

pub(super) struct Taking<'a> {
    pub(super) before: &'a [PartLine],
    pub(super) outline: SheetOutline,
    pub(super) faults: Vec<ListFault>,
    pub(super) taken: TakenList,
    pub(super) cells: Vec<CellChange>,
    pub(super) new_rows: Vec<(usize, NewRow)>,
    pub(super) states: Vec<FromLine<StateChange>>,
    /// For each row of the sheet: columns of the row, and where in the list they were told.
    pub(super) origins: BTreeMap<usize, Vec<(usize, usize, ListCell)>>,
}

impl Taking<'_> {
    /// The faults so far, in the order of the list.
    pub(super) fn told(mut self) -> Vec<ListFault> {
        self.faults.sort_by_key(|fault| (fault.line, fault.cell));
        self.faults.dedup();
        self.faults
    }

    fn look_for_doubles(&mut self, list: &TypedList) {
        for (at, row) in list.rows.iter().enumerate() {
            let Some(cell) = row
                .cell(PartColumn::Reference)
                .filter(|cell| !cell.text.is_empty())
            else {
                continue;
            };
            let same = |other: &&ListRow| {
                let text = other
                    .cell(PartColumn::Reference)
                    .map_or("", |own| &own.text);
                is_same(text, &cell.text)
            };
            let earlier = list.rows.get(..at).unwrap_or(&[]).iter().find(same);
            let rows = self.outline.rows(SheetList::Parts).iter();
            let in_sheet: Vec<String> = rows
                .filter(|own| is_same(own.cell(0), &cell.text))
                .map(|own| own.line.to_string())
                .collect();
            if in_sheet.len() > 1 {
                self.faults.push(ListFault::of_cell(
                    row.line,
                    cell,
                    format!(
                        "{} is in the sheet more than once, on lines {}",
                        shown(&cell.text),
                        in_sheet.join(" and ")
                    ),
                    "give one of them another reference in the sheet first".to_string(),
                ));
            } else if let Some(earlier) = earlier {
                self.faults.push(ListFault::of_cell(
                    row.line,
                    cell,
                    format!(
                        "{} is in the list twice, first on line {}",
                        shown(&cell.text),
                        earlier.line
                    ),
                    "keep one of the two lines; sections of a can are C1A and C1B".to_string(),
                ));
            }
        }
    }

    fn row(&mut self, row: &ListRow, list: &TypedList) {
        let Some(reference) = row.cell(PartColumn::Reference) else {
            return;
        };
        if reference.text.is_empty() {
            self.faults.push(ListFault::of_cell(
                row.line,
                reference,
                "this line has no reference".to_string(),
                "write the part's reference, such as R71, or empty the whole line".to_string(),
            ));
            return;
        }
        let known = self
            .before
            .iter()
            .position(|own| is_same(own.cell(PartColumn::Reference), &reference.text));
        match known {
            Some(at) => self.known_row(row, at),
            None => self.new_row(row, reference, list),
        }
    }

    fn known_row(&mut self, row: &ListRow, at: usize) {
        let Some(known) = self.before.get(at) else {
            return;
        };
        let spelled = known.cell(PartColumn::Reference).trim().to_string();
        for cell in &row.cells {
            let was = known.cell(cell.column);
            if let Some(number) = cell.column.row_cell() {
                self.origin_of(at, number, row.line, cell);
            }
            if says_the_same(cell, was) || self.is_refused(row.line, cell, was) {
                continue;
            }
            match cell.column {
                PartColumn::Reference => continue,
                PartColumn::State(list) => {
                    let Some(is_there) = self.yes_or_no(row.line, cell) else {
                        continue;
                    };
                    if is_there != (was == "yes") {
                        self.state(row.line, cell, listed(list, &spelled, is_there));
                        self.changed(
                            &spelled,
                            cell,
                            was,
                            if is_there { "yes" } else { "" },
                            row.line,
                        );
                    }
                    continue;
                }
                PartColumn::Measured => {
                    let change = StateChange::Measured {
                        reference: spelled.clone(),
                        value: cell.text.clone(),
                    };
                    self.state(row.line, cell, change);
                }
                column => self.cells.push(CellChange {
                    list: SheetList::Parts,
                    row: at,
                    column: column.row_cell().unwrap_or(0),
                    text: cell.text.clone(),
                }),
            }
            self.changed(&spelled, cell, was, &cell.text, row.line);
        }
    }

    fn new_row(&mut self, row: &ListRow, reference: &ListCell, list: &TypedList) {
        let needed = [
            PartColumn::Kind,
            PartColumn::Value,
            PartColumn::From,
            PartColumn::To,
        ];
        let lacking: Vec<&str> = needed
            .into_iter()
            .filter(|column| !list.columns.contains(column))
            .map(PartColumn::heading)
            .collect();
        if !lacking.is_empty() {
            self.faults.push(ListFault::of_cell(
                row.line,
                reference,
                format!("the sheet has no part {}", shown(&reference.text)),
                format!(
                    "a new part needs the columns {} as well; look at the spelling if it is none",
                    lacking.join(", ")
                ),
            ));
            return;
        }
        let index = self.before.len() + self.new_rows.len();
        let mut cells = [const { String::new() }; 6];
        let mut is_refused = false;
        let states_before = self.states.len();
        for cell in &row.cells {
            if cell.text.is_empty() {
                if let Some(number) = cell.column.row_cell() {
                    self.origin_of(index, number, row.line, cell);
                }
                continue;
            }
            is_refused |= self.is_refused(row.line, cell, "");
            match cell.column {
                PartColumn::State(list) => match self.yes_or_no(row.line, cell) {
                    Some(true) => self.state(row.line, cell, listed(list, &reference.text, true)),
                    Some(false) => {}
                    None => is_refused = true,
                },
                PartColumn::Measured => {
                    let change = StateChange::Measured {
                        reference: reference.text.clone(),
                        value: cell.text.clone(),
                    };
                    self.state(row.line, cell, change);
                }
                column => {
                    let number = column.row_cell().unwrap_or(0);
                    if let Some(slot) = cells.get_mut(number) {
                        slot.clone_from(&cell.text);
                    }
                    self.origin_of(index, number, row.line, cell);
                }
            }
        }
        if is_refused {
            self.states.truncate(states_before);
        } else {
            self.new_rows
                .push((row.line, NewRow::part(cells.each_ref().map(String::as_str))));
        }
    }

    /// Tells the mark of a spreadsheet in a cell that says something else than the sheet.
    fn is_refused(&mut self, line: usize, cell: &ListCell, was: &str) -> bool {
        if cell.text.contains(['\n', '\r']) {
            self.faults.push(ListFault::of_cell(
                line,
                cell,
                format!("{} has a line break in it", shown(&cell.text)),
                "write it on one line; look for a quote that is not closed".to_string(),
            ));
            return true;
        }
        let habit = match cell.column {
            PartColumn::Value | PartColumn::Measured => cell_habits::of_value(&cell.text, was),
            PartColumn::State(_) => None,
            _ => cell_habits::of_any(&cell.text, was),
        };
        let Some(Habit { text, hint }) = habit else {
            return false;
        };
        self.faults.push(ListFault::of_cell(line, cell, text, hint));
        true
    }

    fn yes_or_no(&mut self, line: usize, cell: &ListCell) -> Option<bool> {
        match cell.text.to_lowercase().as_str() {
            "yes" | "y" | "x" | "true" | "1" => Some(true),
            "no" | "n" | "-" | "false" | "0" | "" => Some(false),
            _ => {
                self.faults.push(ListFault::of_cell(
                    line,
                    cell,
                    format!("{} is neither yes nor no", shown(&cell.text)),
                    "write `yes`, or leave the cell empty".to_string(),
                ));
                None
            }
        }
    }

    fn origin_of(&mut self, row: usize, column: usize, line: usize, cell: &ListCell) {
        let of_row = self.origins.entry(row).or_default();
        of_row.push((column, line, cell.clone()));
    }

    fn state(&mut self, line: usize, cell: &ListCell, change: StateChange) {
        self.states.push(FromLine {
            line,
            cell: cell.clone(),
            change,
        });
    }

    fn changed(&mut self, reference: &str, cell: &ListCell, was: &str, is: &str, line: usize) {
        self.taken.changed.push(ChangedCell {
            reference: reference.to_string(),
            column: cell.column,
            was: was.to_string(),
            is: is.to_string(),
            line,
        });
    }

    /// Rows of the sheet that the list has not.
    fn missing(&self, list: &TypedList) -> Vec<usize> {
        let in_list = |reference: &str| {
            list.rows.iter().any(|row| {
                let cell = row.cell(PartColumn::Reference);
                cell.is_some_and(|cell| is_same(&cell.text, reference))
            })
        };
        let rows = self.before.iter().enumerate();
        rows.filter(|(_, row)| !in_list(row.cell(PartColumn::Reference)))
            .map(|(at, _)| at)
            .collect()
    }
}

pub(super) fn listed(list: StateList, reference: &str, is_there: bool) -> StateChange {
    StateChange::Listed {
        list,
        reference: reference.to_string(),
        is_there,
    }
}

/// Whether a cell says what the sheet says.
fn says_the_same(cell: &ListCell, was: &str) -> bool {
    let plain = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    if plain(&cell.text) == plain(was) {
        return true;
    }
    match cell.column {
        PartColumn::Reference => is_same(&cell.text, was),
        PartColumn::Kind => {
            let named = |text: &str| PartKind::named(text.trim());
            named(was).is_some() && named(&cell.text) == named(was)
        }
        PartColumn::Value | PartColumn::Measured => is_same_number(&cell.text, was),
        _ => false,
    }
}
