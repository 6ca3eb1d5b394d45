//! What came of taking a list, and why one was not taken.
//!
//! Texts as the sheet has them, lines of the list from 1. Nothing here fails.

use super::column::PartColumn;
use super::read_list::ListFault;
use crate::sheet_edit::EditError;

/// Why a list was not taken.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum TakeError {
    /// The sheet cannot be changed as it stands.
    Sheet(EditError),
    /// Faults of the list, or that the list would bring into the sheet.
    List(Vec<ListFault>),
}

impl From<EditError> for TakeError {
    fn from(error: EditError) -> TakeError {
        TakeError::Sheet(error)
    }
}

/// A cell that says something else now.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ChangedCell {
    /// The part, as the sheet spells it.
    pub reference: String,
    /// The column.
    pub column: PartColumn,
    /// What the sheet said.
    pub was: String,
    /// What it says now.
    pub is: String,
    /// Line of the list.
    pub line: usize,
}

/// A new row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AddedPart {
    /// The part.
    pub reference: String,
    /// The row as it stands in the sheet.
    pub row: String,
    /// Line of the list.
    pub line: usize,
}

/// What came of a list.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct TakenList {
    /// The new text of the sheet.
    pub text: String,
    /// Changed cells, in the order of the list.
    pub changed: Vec<ChangedCell>,
    /// New parts, in the order of the list.
    pub added: Vec<AddedPart>,
    /// Parts that the list has not and that were taken out.
    pub removed: Vec<String>,
    /// Parts that the list has not and that stayed.
    pub kept: Vec<String>,
}
