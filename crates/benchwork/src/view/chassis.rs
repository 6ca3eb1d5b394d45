//! The photographs of a chassis with what is marked on them, for pages and scripts.
//!
//! Fractions of the upright photograph's width and height, 0 to 1, from its upper left corner. Making
//! a view cannot fail.

use serde::Serialize;

use super::NoticeView;

/// Where the tubes are.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ChassisView {
    /// Edition of this form.
    pub format: u32,
    /// Version of the program.
    pub program: &'static str,
    /// Edition of the published figures.
    pub data: &'static str,
    /// The file, as it was named.
    pub file: String,
    /// Name of the restoration.
    pub restoration: String,
    /// How many entries the file has.
    pub entered: usize,
    /// The photographs that stand, in the order in which they were added.
    pub photographs: Vec<ChassisPhotographView>,
    /// Tubes of the sheet that are marked on none of them, in the sheet's order.
    pub not_placed: Vec<TubeNotPlacedView>,
    /// What is worth knowing besides.
    pub notices: Vec<NoticeView>,
}

/// A photograph with what is marked on it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ChassisPhotographView {
    /// The entry that added it; the last one, where it was added again.
    pub entry: u64,
    /// Its SHA-256, under which it is kept.
    pub photograph: String,
    /// Name of the file it came from.
    pub name: String,
    /// What it shows; empty if not said.
    pub shows: String,
    /// When it was taken, as the camera wrote it; empty if it did not.
    pub taken: String,
    /// What is marked on it, a part once.
    pub marks: Vec<MarkView>,
}

/// A tube or part marked on a photograph.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MarkView {
    /// The entry that holds.
    pub entry: u64,
    /// The tube or part, as the sheet spells it.
    pub part: String,
    /// The type of a tube that the sheet has.
    #[serde(rename = "type")]
    pub type_number: Option<String>,
    /// Whether the sheet has it.
    pub on_sheet: bool,
    /// How far from the left edge.
    pub across: f64,
    /// How far from the upper edge.
    pub down: f64,
}

/// A tube that no photograph shows marked.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct TubeNotPlacedView {
    /// The tube, as the sheet names it.
    pub part: String,
    /// Its type.
    #[serde(rename = "type")]
    pub type_number: String,
}

/// Where named tubes, parts and places are on one photograph.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WhereView {
    /// SHA-256 of the photograph.
    pub photograph: String,
    /// Name of the file it came from.
    pub name: String,
    /// What it shows; empty if not said.
    pub shows: String,
    /// Those that it shows, in the order in which they were named.
    pub found: Vec<FoundThereView>,
    /// All its marks.
    pub others: Vec<MarkView>,
}

/// One that was named, with where it is.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FoundThereView {
    /// As it was named.
    pub named: String,
    /// Its own mark, or those of the tubes at whose pins it is.
    pub at: Vec<MarkView>,
}
