//! The parts of a sheet as a list for a spreadsheet, and such a list taken back in.
//!
//! Text in, text out. A list has one line a part: its row of the sheet and what
//! `[state]` says of it. Taken in, only cells that say something else change the
//! sheet; comments, order and every other byte stay. Values in bench notation. What
//! spreadsheets do to cells by themselves (dates out of numbers, decimal commas,
//! marks at the start of the file, lines of empty cells) is known from common practice
//! and told or passed over. Fails with all faults, each with line and cell.

mod apply_list;
mod cell_habits;
mod column;
mod export;
mod read_list;
mod take_list;
mod taken;

pub use column::PartColumn;
pub use export::{PartLine, csv_of, parts_of};
pub use read_list::{ListCell, ListFault, ListRow, TypedList, read_list};
pub use take_list::take_list;
pub use taken::{AddedPart, ChangedCell, TakeError, TakenList};
