//! The sheet of a restoration as it was taken in last, changed in its place: whole, or one row of it.
//!
//! Every change is made from a version that its maker saw, known by its mark. Where another version was taken in
//! since, nothing is written and that is told. What is changed is checked and taken in as a new version; comments
//! and order stay. Texts in bench notation. Fails for a restoration without a sheet, for a sheet or row with
//! faults (all of them, in the changed text), and where the file cannot be read or written.

use std::path::Path;

use logbook::{Fact, Logbook, hash_of, standing_facts};
use receiver::sheet_edit::{
    CellChange, NewRow, RowGroup, SheetOutline, StateChange, StateOutline, change_cells,
    change_states, insert_rows, remove_rows,
};

pub use receiver::sheet_edit::{SheetList, StateList};

use crate::change_sheet::{checked_change, edit_trouble};
use crate::check_sheet::sound_sheet;
use crate::fill_stage::StageTask;
use crate::present_tables::{heater_column, heater_rows, with_heaters};
use crate::read_sheet_file::SheetFile;
use crate::restoration::{Entering, trouble};
use crate::sent_once::{enter, told_before};
use crate::trouble::Trouble;
use crate::view::{FaultView, NoticeView, RecordedView};

/// The sheet that was taken in last.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PresentSheet {
    /// Its text.
    pub text: String,
    /// What it is known by: a form that changes it hands this back.
    pub mark: String,
}

/// A row of a list, as it stands in the sheet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SheetRow {
    /// Its place in the list, from 0.
    pub row: usize,
    /// The line on which it begins.
    pub line: usize,
    /// Its cells.
    pub cells: Vec<String>,
    /// What `[state]` says of it; only for parts.
    pub state: RowState,
}

/// What `[state]` says of a part.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct RowState {
    /// The lists that name it.
    pub lists: Vec<StateList>,
    /// What was measured of it; empty for nothing.
    pub measured: String,
}

/// What is to become of a row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum RowChange {
    /// The row is to say this; `row` is `None` for a new one at the end of its list.
    Says {
        /// Its place in the list, from 0.
        row: Option<usize>,
        /// Its cells, in the order of the list's columns.
        cells: Vec<String>,
        /// What `[state]` is to say of it; only for parts.
        state: Option<RowState>,
    },
    /// The row is taken out.
    Out {
        /// Its place in the list, from 0.
        row: usize,
    },
}

impl PresentSheet {
    fn of(text: String) -> PresentSheet {
        let mark = hash_of(text.as_bytes());
        PresentSheet { text, mark }
    }

    /// The rows of a list, in the order of the text.
    pub fn rows(&self, list: SheetList) -> Result<Vec<SheetRow>, Trouble> {
        let outline = self.outline()?;
        if list == SheetList::Heaters {
            return heater_rows(self, outline.rows(list).iter().map(|own| own.line));
        }
        let state = StateOutline::of(&self.text).map_err(|error| self.edit_trouble(error))?;
        let rows = outline.rows(list).iter().enumerate();
        Ok(rows
            .map(|(row, own)| {
                let reference = own.cell(0);
                SheetRow {
                    row,
                    line: own.line,
                    cells: own.cells.iter().map(|cell| cell.text.clone()).collect(),
                    state: state_of(&state, reference, list),
                }
            })
            .collect())
    }

    /// Every tube, transformer and part with a word on what it is, in the order of the sheet.
    pub fn names(&self) -> Result<Vec<(String, String)>, Trouble> {
        let outline = self.outline()?;
        let named = outline.references().into_iter().map(|one| {
            let row = outline.row_of(one.list, &one.reference);
            let words = row.map_or_else(String::new, |row| match one.list {
                SheetList::Parts => format!("{} {}", row.cell(1), row.cell(2)),
                SheetList::Tubes => format!("{} {}", row.cell(1), row.cell(2)),
                _ => String::new(),
            });
            (one.reference, words.trim().to_owned())
        });
        Ok(named.collect())
    }

    /// Every place that a row names, once, in the order of the sheet.
    pub fn places(&self) -> Result<Vec<String>, Trouble> {
        let outline = self.outline()?;
        let mut places: Vec<String> = Vec::new();
        for list in [SheetList::Windings, SheetList::Parts] {
            for row in outline.rows(list) {
                for column in [3, 4, 5] {
                    let place = row.cell(column);
                    if !place.is_empty() && !places.iter().any(|known| known == place) {
                        places.push(place.to_owned());
                    }
                }
            }
        }
        Ok(places)
    }

    /// The sheet as it is handed to whatever reads sheets.
    pub fn file(&self) -> SheetFile {
        SheetFile::in_memory("the sheet", self.text.clone())
    }

    fn outline(&self) -> Result<SheetOutline, Trouble> {
        SheetOutline::of(&self.text).map_err(|error| self.edit_trouble(error))
    }

    fn edit_trouble(&self, error: receiver::sheet_edit::EditError) -> Trouble {
        edit_trouble(&self.file(), error)
    }
}

/// The names of the kinds of parts that a sheet may have.
pub fn part_kinds() -> Vec<&'static str> {
    let kinds = receiver::sheet::PartKind::ALL.iter();
    kinds.map(|kind| kind.name()).collect()
}

/// The sheet that was taken in last.
pub fn present_sheet(file: &Path) -> Result<PresentSheet, Trouble> {
    let in_file = |error| trouble(file, error);
    let book = Logbook::look(file).map_err(in_file)?;
    book.present_sheet()
        .map_err(in_file)?
        .map(PresentSheet::of)
        .ok_or_else(no_sheet)
}

/// Takes a text in as the new version of the sheet that has this mark; nothing where another was taken in since.
pub fn take_in_over(
    entering: &Entering<'_>,
    text: &str,
    made_from: &str,
) -> Result<RecordedView, Trouble> {
    enter(entering, |mut open| {
        let (_, notices) = sound_sheet(&SheetFile::in_memory("the sheet", text))?;
        let in_file = |error| trouble(entering.file, error);
        let present = open.book.present_sheet().map_err(in_file)?;
        let present = present.map(PresentSheet::of).ok_or_else(no_sheet)?;
        if present.mark != made_from {
            return Err(newer());
        }
        if present.text == text {
            return Err(Trouble::input(
                "the sheet says this already; there is nothing to take in",
                "change it first",
            ));
        }
        let entries = open.book.entries().map_err(in_file)?;
        let mut taken = standing_facts(&entries)
            .into_iter()
            .rev()
            .filter_map(|one| match one.fact {
                Fact::SheetTaken(taken) => Some(taken.name.clone()),
                _ => None,
            });
        let name = taken.next().unwrap_or_default();
        open.notices = notices;
        let at = entering.at.clone();
        open.with(|book| book.take_sheet(&at, &name, text))
    })
}

/// Takes in what the answers to a pattern's questions, in their order, make of the sheet that has this mark.
pub fn take_in_stage(
    entering: &Entering<'_>,
    made_from: &str,
    pattern: &str,
    answers: &[&str],
) -> Result<RecordedView, Trouble> {
    take_in_changed(entering, made_from, |sheet| {
        let task = StageTask::of(pattern, sheet.file())?;
        let mut interview = task.interview()?;
        for text in answers {
            interview
                .answer(text)
                .map_err(|fault| Trouble::input(fault.text, fault.hint))?;
        }
        let filled = task.filled(&interview)?;
        if filled.view.lines.is_empty() {
            return Err(Trouble::input(
                "the answers make no line of the sheet",
                "answer the questions whose parts are in the set",
            ));
        }
        let text = filled.text().to_owned();
        Ok((text, filled.view.notices))
    })
}

/// Takes in what a change makes of the sheet that has this mark; what is new to notice comes back with the entry.
/// What was sent before is told again, and nothing is written where another version was taken in since.
pub(crate) fn take_in_changed(
    entering: &Entering<'_>,
    made_from: &str,
    change: impl FnOnce(&PresentSheet) -> Result<(String, Vec<NoticeView>), Trouble>,
) -> Result<RecordedView, Trouble> {
    if let Some(told) = told_before(entering)? {
        return Ok(told);
    }
    let sheet = present_sheet(entering.file)?;
    if sheet.mark != made_from {
        return Err(newer());
    }
    let (text, notices) = change(&sheet)?;
    let mut made = take_in_over(entering, &text, made_from)?;
    made.notices = notices;
    Ok(made)
}

/// Changes one row and takes the sheet in anew. What is new to notice comes back with the entry.
pub fn change_row(
    entering: &Entering<'_>,
    made_from: &str,
    list: SheetList,
    change: &RowChange,
) -> Result<RecordedView, Trouble> {
    take_in_changed(entering, made_from, |sheet| {
        let text = changed(sheet, list, change)?;
        let notices = checked_change(&sheet.file(), &sheet.text, &text)?;
        Ok((text, notices))
    })
}

/// Where each fault of a refused row stands: its column in the list from 0, `None` for one that is elsewhere.
/// `row` is `None` for a new row.
pub fn columns_of_faults(
    trouble: &Trouble,
    list: SheetList,
    row: Option<usize>,
) -> Vec<(Option<usize>, FaultView)> {
    let (file, faults) = match trouble {
        Trouble::Sheet { file, faults, .. } => (Some(file), faults),
        Trouble::Input { faults } => (None, faults),
        _ => return Vec::new(),
    };
    let text = file.map(SheetFile::text).unwrap_or_default();
    let outline = SheetOutline::of(&text).ok();
    let rows = outline
        .as_ref()
        .map_or(&[][..], |outline| outline.rows(list));
    let own = row.map_or_else(|| rows.last(), |row| rows.get(row));
    let place = row.or_else(|| rows.len().checked_sub(1));
    let column = |fault: &FaultView| {
        let byte = byte_of(&text, fault.line?, fault.column?)?;
        if list == SheetList::Heaters {
            return heater_column(&text, place?, byte);
        }
        let cells = own?.cells.iter();
        let mut found = cells
            .enumerate()
            .filter(|(_, cell)| cell.span.contains(&byte));
        found.next().map(|(column, _)| column)
    };
    faults
        .iter()
        .map(|fault| (column(fault), fault.clone()))
        .collect()
}

/// The byte at a line and a column, both from 1, columns in characters.
pub(crate) fn byte_of(text: &str, line: usize, column: usize) -> Option<usize> {
    let mut start = 0;
    for own in text.split_inclusive('\n').take(line.checked_sub(1)?) {
        start += own.len();
    }
    let mut places = text.get(start..)?.char_indices();
    let (own, _) = places.nth(column.checked_sub(1)?)?;
    Some(start + own)
}

fn changed(sheet: &PresentSheet, list: SheetList, change: &RowChange) -> Result<String, Trouble> {
    let rows = sheet.rows(list)?;
    let text = sheet.text.as_str();
    let edited = match change {
        RowChange::Out { row } => {
            let out = remove_rows(text, list, &[*row]);
            let reference = rows.get(*row).and_then(|row| row.cells.first());
            let gone = reference.map_or_else(Vec::new, |own| states(own, list, None));
            out.and_then(|text| change_states(&text, &gone))
        }
        RowChange::Says { row, cells, .. } if list == SheetList::Heaters => {
            return with_heaters(sheet, row.and_then(|row| rows.get(row)), cells);
        }
        RowChange::Says { row, cells, state } => {
            let cells: Vec<String> = cells.iter().map(|cell| cell.trim().to_owned()).collect();
            let was = row.and_then(|row| rows.get(row));
            let text = match was {
                Some(was) => change_cells(text, &cell_changes(list, was, &cells)),
                None => {
                    let cells = without_empty_end(cells.clone());
                    let rows = vec![NewRow::Cells { list, cells }];
                    let heading = String::new();
                    insert_rows(text, &RowGroup { heading, rows }).map(|done| done.text)
                }
            };
            let new = cells.first().map_or("", String::as_str);
            let old = was
                .and_then(|was| was.cells.first())
                .map_or("", String::as_str);
            let mut changes = Vec::new();
            if !old.is_empty() && !old.eq_ignore_ascii_case(new) {
                changes.extend(states(old, list, None));
            }
            if let Some(state) = state {
                changes.extend(states(new, list, Some(state)));
            }
            text.and_then(|text| change_states(&text, &changes))
        }
    };
    edited.map_err(|error| sheet.edit_trouble(error))
}

fn cell_changes(list: SheetList, was: &SheetRow, cells: &[String]) -> Vec<CellChange> {
    let mut changes = Vec::new();
    for (column, text) in cells.iter().enumerate() {
        let old = was.cells.get(column);
        if old.map_or("", String::as_str).trim() == text {
            continue;
        }
        changes.push(CellChange {
            list,
            row: was.row,
            column,
            text: text.clone(),
        });
    }
    changes
}

/// Cells that nobody filled at the end of a new row are left away.
fn without_empty_end(mut cells: Vec<String>) -> Vec<String> {
    while cells.len() > 1 && cells.last().is_some_and(String::is_empty) {
        cells.pop();
    }
    cells
}

/// The changes after which `[state]` says this of a part; `None` for nothing at all.
fn states(reference: &str, list: SheetList, state: Option<&RowState>) -> Vec<StateChange> {
    if list != SheetList::Parts || reference.is_empty() {
        return Vec::new();
    }
    let listed = StateList::ALL.into_iter().map(|own| StateChange::Listed {
        list: own,
        reference: reference.to_owned(),
        is_there: state.is_some_and(|state| state.lists.contains(&own)),
    });
    let measured = StateChange::Measured {
        reference: reference.to_owned(),
        value: state.map_or_else(String::new, |state| state.measured.trim().to_owned()),
    };
    listed.chain([measured]).collect()
}

fn state_of(state: &StateOutline, reference: &str, list: SheetList) -> RowState {
    if list != SheetList::Parts {
        return RowState::default();
    }
    let lists = StateList::ALL.into_iter();
    RowState {
        lists: lists
            .filter(|own| state.is_listed(*own, reference))
            .collect(),
        measured: state.measured(reference).to_owned(),
    }
}

fn no_sheet() -> Trouble {
    Trouble::input(
        "no sheet was taken into this restoration yet",
        "take one in with `firstraster take FILE SHEET`",
    )
}

fn newer() -> Trouble {
    Trouble::input(
        "another version of the sheet was taken in since this page was made; nothing was written",
        "look at both, and take in the one that is right",
    )
}
