//! The parts of a sheet out to a list for a spreadsheet, and such a list back in.
//!
//! A list is taken whole or not at all; the sheet's file is replaced only when the new
//! text has been read and found without a new fault. Values in bench notation. Fails for
//! a sheet whose text cannot be changed and for a list with faults (all of them, each with
//! line and cell).

use std::path::Path;

use receiver::parts_list::{
    ListFault, TakeError, TakenList, csv_of, parts_of, read_list, take_list,
};

use crate::change_sheet::{checked_change, edit_trouble, sheet_text};
use crate::check_sheet::catalogue;
use crate::read_sheet_file::{SheetFile, read_sheet_file};
use crate::trouble::Trouble;
use crate::view::{AddedPartView, ChangedCellView, FaultView, PartView, PartsView, TakenPartsView};
use crate::write_file::{replace_sheet, write_file};
use crate::{FORMAT, PROGRAM_VERSION};

/// The parts of a sheet, for people and scripts, and as CSV.
#[derive(Debug, Clone, PartialEq)]
pub struct PartsOut {
    /// For scripts.
    pub view: PartsView,
    /// The list, one heading line.
    pub csv: String,
}

/// The parts of a sheet; with semicolons between the cells if wanted.
pub fn list_parts(sheet: &SheetFile, semicolons: bool) -> Result<PartsOut, Trouble> {
    let text = sheet_text(sheet)?;
    let parts = parts_of(&text).map_err(|error| edit_trouble(sheet, error))?;
    let separator = if semicolons { b';' } else { b',' };
    Ok(PartsOut {
        csv: csv_of(&parts, separator),
        view: PartsView {
            format: FORMAT,
            program: PROGRAM_VERSION,
            data: parts::DATA_EDITION,
            sheet: sheet.name.clone(),
            parts: parts.iter().map(PartView::new).collect(),
        },
    })
}

impl PartsOut {
    /// The list as a file has it. One with other letters than ASCII begins with a byte order mark, by which spreadsheets know UTF-8.
    pub fn for_a_file(&self) -> String {
        let mark = if self.csv.is_ascii() { "" } else { "\u{feff}" };
        format!("{mark}{}", self.csv)
    }
}

/// Writes a list into a new file.
pub fn write_list(parts: &PartsOut, path: &Path) -> Result<(), Trouble> {
    let name = path.display().to_string();
    if path.exists() {
        return Err(Trouble::File {
            name,
            text: "this file is there already; a list on which you have worked would be lost"
                .to_owned(),
            hint: "take its changes in with --take, or name another file".to_owned(),
        });
    }
    write_file(path, &parts.for_a_file())
}

/// What came of a list, and the sheet it would make.
#[derive(Debug, Clone)]
pub struct PartsIn {
    /// For people and scripts.
    pub view: TakenPartsView,
    sheet: SheetFile,
    text: String,
}

impl PartsIn {
    /// Holds the list against the sheet; writes nothing.
    pub fn read(sheet: &Path, list: &Path, remove_missing: bool) -> Result<PartsIn, Trouble> {
        let sheet = read_sheet_file(sheet)?;
        let list = read_sheet_file(list)?;
        PartsIn::held(sheet, &list, remove_missing)
    }

    /// The same with both at hand, such as the sheet of a restoration and a list that came by a browser.
    pub fn held(
        sheet: SheetFile,
        list: &SheetFile,
        remove_missing: bool,
    ) -> Result<PartsIn, Trouble> {
        let text = sheet_text(&sheet)?;
        let in_list = |faults: Vec<ListFault>| Trouble::Input {
            faults: faults
                .into_iter()
                .map(|fault| fault_view(&list.name, fault))
                .collect(),
        };
        let typed = read_list(&list.bytes).map_err(in_list)?;
        let taken =
            take_list(&text, &typed, remove_missing, catalogue()?).map_err(
                |error| match error {
                    TakeError::Sheet(error) => edit_trouble(&sheet, error),
                    TakeError::List(faults) => in_list(faults),
                },
            )?;
        let notices = if taken.text == text {
            Vec::new()
        } else {
            checked_change(&sheet, &text, &taken.text)?
        };
        let mut view = TakenPartsView {
            format: FORMAT,
            program: PROGRAM_VERSION,
            data: parts::DATA_EDITION,
            sheet: sheet.name.clone(),
            list: list.name.clone(),
            written: false,
            changed: Vec::new(),
            added: Vec::new(),
            removed: Vec::new(),
            kept: Vec::new(),
            passed_over: typed.passed_over,
            notices,
        };
        let text = filled(&mut view, taken);
        Ok(PartsIn { view, sheet, text })
    }

    /// The text that the sheet is to have.
    pub fn sheet_text(&self) -> &str {
        &self.text
    }

    /// Whether the list says something else than the sheet.
    pub fn changes_anything(&self) -> bool {
        self.text.as_bytes() != self.sheet.bytes.as_slice()
    }

    /// Writes the sheet, if anything is to change in it.
    pub fn write(&mut self) -> Result<(), Trouble> {
        if self.changes_anything() {
            replace_sheet(&self.sheet, &self.text)?;
            self.view.written = true;
        }
        Ok(())
    }
}

fn filled(view: &mut TakenPartsView, taken: TakenList) -> String {
    view.changed = taken
        .changed
        .into_iter()
        .map(|one| ChangedCellView {
            reference: one.reference,
            column: one.column.heading(),
            was: one.was,
            is: one.is,
            line: one.line,
        })
        .collect();
    view.added = taken
        .added
        .into_iter()
        .map(|one| AddedPartView {
            reference: one.reference,
            row: one.row,
            line: one.line,
        })
        .collect();
    view.removed = taken.removed;
    view.kept = taken.kept;
    taken.text
}

/// The place as a spreadsheet names it, then what is wrong there.
fn fault_view(file: &str, fault: ListFault) -> FaultView {
    let place = match (fault.line, fault.cell) {
        (Some(line), Some(cell)) => {
            let letters = column_letters(cell);
            format!("{file} line {line}, column {letters} ({}): ", fault.heading)
        }
        (Some(line), None) => format!("{file} line {line}: "),
        _ => String::new(),
    };
    FaultView {
        line: fault.line,
        column: fault.cell,
        text: format!("{place}{}", fault.text),
        hint: fault.hint,
    }
}

/// A column's number from 1 as spreadsheets letter it: A, B, ... Z, AA.
fn column_letters(number: usize) -> String {
    let mut letters = Vec::new();
    let mut rest = number;
    while rest > 0 {
        let digit = u8::try_from((rest - 1) % 26).unwrap_or(0);
        letters.push(char::from(b'A' + digit));
        rest = (rest - 1) / 26;
    }
    letters.iter().rev().collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    // Common practice: A to Z, then AA; the figures are 26 + 1 and 26 * 26 + 26 + 1.
    #[test]
    fn columns_are_lettered_as_spreadsheets_do() {
        for (number, wanted) in [(1, "A"), (11, "K"), (26, "Z"), (27, "AA"), (703, "AAA")] {
            assert_eq!(column_letters(number), wanted);
        }
    }
}
