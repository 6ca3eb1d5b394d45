//! The parts of a sheet, and what a list changed in them, for people and scripts.
//!
//! Texts as the sheet has them, in bench notation. Making a view cannot fail.

use receiver::parts_list::{PartColumn, PartLine};
use receiver::sheet_edit::StateList;
use serde::Serialize;

use super::NoticeView;

/// The answer of `parts`.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PartsView {
    /// Edition of this form.
    pub format: u32,
    /// Version of the program.
    pub program: &'static str,
    /// Edition of the published figures.
    pub data: &'static str,
    /// The sheet, as it was named.
    pub sheet: String,
    /// The parts, in the order of the sheet.
    pub parts: Vec<PartView>,
}

/// One part.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct PartView {
    /// Its reference.
    #[serde(rename = "ref")]
    pub reference: String,
    /// Its kind.
    pub kind: String,
    /// Its value.
    pub value: String,
    /// Where it starts.
    pub from: String,
    /// Where it ends.
    pub to: String,
    /// Its wiper or tap; empty if it has none.
    pub third: String,
    /// Whether it is a new one.
    pub replaced: bool,
    /// Whether it was re-formed.
    pub re_formed: bool,
    /// Whether one end is lifted.
    pub cut_loose: bool,
    /// Whether it is as the maker fitted it.
    pub original: bool,
    /// What was measured of it; empty for nothing.
    pub measured: String,
}

impl PartView {
    /// The view of a line of the list.
    pub fn new(line: &PartLine) -> PartView {
        let text = |column: PartColumn| line.cell(column).to_string();
        let is = |list: StateList| line.cell(PartColumn::State(list)) == "yes";
        PartView {
            reference: text(PartColumn::Reference),
            kind: text(PartColumn::Kind),
            value: text(PartColumn::Value),
            from: text(PartColumn::From),
            to: text(PartColumn::To),
            third: text(PartColumn::Third),
            replaced: is(StateList::Replaced),
            re_formed: is(StateList::ReFormed),
            cut_loose: is(StateList::CutLoose),
            original: is(StateList::Original),
            measured: text(PartColumn::Measured),
        }
    }
}

/// The answer of `parts --take`.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TakenPartsView {
    /// Edition of this form.
    pub format: u32,
    /// Version of the program.
    pub program: &'static str,
    /// Edition of the published figures.
    pub data: &'static str,
    /// The sheet, as it was named.
    pub sheet: String,
    /// The list, as it was named.
    pub list: String,
    /// Whether the sheet has been written.
    pub written: bool,
    /// Cells that say something else now.
    pub changed: Vec<ChangedCellView>,
    /// New parts.
    pub added: Vec<AddedPartView>,
    /// Parts that the list has not and that were taken out.
    pub removed: Vec<String>,
    /// Parts that the list has not and that stayed.
    pub kept: Vec<String>,
    /// Headings of the list that are no columns of a parts list.
    pub passed_over: Vec<String>,
    /// What is to be noticed in the sheet that was not before.
    pub notices: Vec<NoticeView>,
}

/// A cell that says something else now.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ChangedCellView {
    /// The part.
    #[serde(rename = "ref")]
    pub reference: String,
    /// The heading of the column.
    pub column: &'static str,
    /// What it said.
    pub was: String,
    /// What it says now.
    pub is: String,
    /// Line of the list.
    pub line: usize,
}

/// A new part.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct AddedPartView {
    /// The part.
    #[serde(rename = "ref")]
    pub reference: String,
    /// Its row in the sheet.
    pub row: String,
    /// Line of the list.
    pub line: usize,
}
