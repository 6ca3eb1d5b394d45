//! The tubes, transformers and parts of the sheet, offered where one is typed.
//!
//! Without a sheet nothing is offered and any name may be typed. Nothing here fails.

use benchwork::present_sheet;
use maud::Markup;

use crate::bench::Bench;
use crate::pieces::suggestions;

/// What fields call the list.
pub const NAMES: &str = "names-in-the-sheet";

/// The list; once on a page.
pub fn names(bench: &Bench) -> Markup {
    let own = present_sheet(bench.file()).and_then(|sheet| sheet.names());
    suggestions(NAMES, &own.unwrap_or_default())
}
