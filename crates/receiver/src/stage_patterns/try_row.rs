//! Tries a row in the sheet as it stands so far.
//!
//! What the checker finds in the sheet once the row is in it, and had not found
//! before, is the fault of the answer. A row that is refused leaves nothing
//! behind. Units: bench notation.

use parts::Catalogue;

use super::interview::AnswerFault;
use super::pattern::End;
use super::progress::{EndState, Progress};
use super::references::next_free;
use crate::sheet_edit::{NewRow, RowGroup, SheetList, insert_rows, new_faults};

/// Puts a row into the sheet so far, or tells what is wrong with it. `value_at`: characters of the answer before the value.
pub(super) fn enter(
    progress: &mut Progress,
    catalogue: &Catalogue,
    row: NewRow,
    value_at: usize,
) -> Result<(), AnswerFault> {
    let text = tried(progress, &row)?;
    if let Some(fault) = first_fault(progress, catalogue, &text, row.list(), value_at) {
        return Err(fault);
    }
    progress.text = text;
    progress.references = crate::sheet_edit::SheetOutline::of(&progress.text)
        .map(|outline| outline.references())
        .unwrap_or_default();
    progress.rows.push(row);
    Ok(())
}

fn tried(progress: &Progress, row: &NewRow) -> Result<String, AnswerFault> {
    let group = RowGroup {
        heading: String::new(),
        rows: vec![row.clone()],
    };
    insert_rows(&progress.text, &group)
        .map(|inserted| inserted.text)
        .map_err(|error| {
            AnswerFault::new(
                format!("the row cannot be written: {error}"),
                "leave it out with `?` and write it by hand".to_string(),
            )
        })
}

/// The first thing that the checker finds wrong with the sheet once the row is in it.
fn first_fault(
    progress: &Progress,
    catalogue: &Catalogue,
    text: &str,
    list: SheetList,
    value_at: usize,
) -> Option<AnswerFault> {
    let found = new_faults(&progress.text, text, catalogue);
    let first = found.first()?;
    let value_column = match list {
        SheetList::Parts | SheetList::Windings => 2,
        SheetList::Tubes | SheetList::Heaters => usize::MAX,
    };
    let column = match first.at {
        Some((_, _, column, inside)) if column == value_column => Some(value_at + inside + 1),
        _ => None,
    };
    let rest: Vec<String> = found
        .iter()
        .skip(1)
        .map(|other| other.fault.text.clone())
        .collect();
    let text = std::iter::once(first.fault.text.clone())
        .chain(rest)
        .collect::<Vec<_>>()
        .join("; ");
    Some(AnswerFault {
        text,
        hint: first.fault.hint.clone(),
        column,
    })
}

pub(super) fn known(progress: &mut Progress, end: &End) -> Result<String, AnswerFault> {
    match progress.end(end) {
        EndState::Known(place) => Ok(place),
        EndState::Absent(because) | EndState::Unknown(because) => Err(AnswerFault::new(
            because,
            "leave it out with `?`".to_string(),
        )),
    }
}

/// Refuses a reference that is taken.
pub(super) fn free(progress: &Progress, reference: &str, letters: &str) -> Result<(), AnswerFault> {
    let taken = progress
        .references
        .iter()
        .find(|one| one.reference.eq_ignore_ascii_case(reference));
    match taken {
        None => Ok(()),
        Some(taken) => Err(AnswerFault::new(
            format!(
                "{} stands {} already, as a {}",
                taken.reference,
                progress.where_it_stands(&taken.reference),
                taken.list.row_word()
            ),
            format!(
                "the next free one is {}; `?` leaves the part out if that line is this part",
                next_free(letters, &progress.references)
            ),
        )),
    }
}

/// Reads a place as the sheet would, in a row that is thrown away.
pub(super) fn probe(
    progress: &Progress,
    catalogue: &Catalogue,
    name: &str,
) -> Result<(), AnswerFault> {
    let row = NewRow::part(["stage-probe", "wire", "", name, "stage probe", ""]);
    let text = tried(progress, &row)?;
    match first_fault(progress, catalogue, &text, SheetList::Tubes, 0) {
        Some(fault) => Err(fault),
        None => Ok(()),
    }
}
