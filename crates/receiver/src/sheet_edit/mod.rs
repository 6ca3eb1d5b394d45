//! Changes the text of a sheet and leaves everything else as it stands.
//!
//! Text in, text out: new rows go to the end of their list, changed cells take
//! the place of the old ones, and every other byte (comments, order, blank
//! lines, line ends, a byte order mark) is kept. Rows are set in the columns that
//! the list's own rows keep to. Source of the places in the text: the TOML
//! itself. A text that is no TOML, or whose list is no list of rows, is refused
//! with line and column; a sheet with other faults can be changed all the same,
//! because half-written sheets are the usual ones.
//!
//! [`SheetOutline`] tells which rows stand where, [`StateOutline`] what `[state]` says;
//! [`insert_rows`], [`change_cells`], [`remove_rows`] and [`change_state`] give the new
//! text; [`keys_of`] and [`change_keys`] do the same for the tables of heaters and bench; [`new_faults`] tells what a change spoils,
//! [`new_notices`] what there is to notice with it.

mod alignment;
mod change_cells;
mod change_keys;
mod change_state;
mod insert_rows;
mod new_faults;
mod outline;
mod remove_rows;
mod row_text;
mod state_outline;
mod table_rows;

pub use change_cells::{CellChange, change_cells};
pub use change_keys::{KeyChange, KeyValue, SheetTable, TableKey, change_keys, keys_of};
pub use change_state::{change_state, change_states};
pub use insert_rows::{Inserted, RowGroup, insert_rows};
pub use new_faults::{NewFault, new_faults, new_notices};
pub use outline::{EditError, OutlineCell, OutlineRow, ReferenceUse, SheetList, SheetOutline};
pub use remove_rows::remove_rows;
pub use row_text::{NewRow, quoted};
pub(crate) use state_outline::is_same;
pub use state_outline::{StateChange, StateList, StateOutline, StatePlace};
