//! The set sheet: what a restorer knows about one television set, read and checked.
//!
//! Units: SI inside, bench notation in the text; lines and columns from 1.
//! Source: the text of the sheet, edition 1, and the catalogue of tubes.
//! [`read_sheet`] gives all faults of a text at once, each with line, column,
//! what was read, what was expected and the nearest right spelling; a sheet
//! comes out only if there is no fault. Notices say what is odd and what is
//! lacking. No text makes it panic.
//!
//! The main types: [`Sheet`] holds rows as checked, [`Place`] is where parts
//! meet, [`Places`] are all of them with the junctions that wires make, and
//! [`ChassisStanding`] says whether the chassis is on the line.

mod chassis;
mod check_heaters;
mod check_lacks;
mod check_wiring;
mod contents;
mod heater_halves;
mod messages;
mod names;
mod part_kind;
mod place;
mod places;
mod read_bench;
mod read_heaters;
mod read_load;
mod read_rows;
mod read_small_parts;
mod read_state;
mod read_text;
mod read_tubes;
mod read_value;
mod reader;
mod spelling;
mod value_slots;

pub use chassis::ChassisStanding;
pub use contents::{
    Bench, BenchMeter, Chart, ChartReading, DcSource, HeaterArrangement, HeaterRow, Measured,
    MeasuredValue, Sheet, SheetPart, SheetTube, SheetWinding, State,
};
pub(crate) use messages::shown;
pub use messages::{Fault, Notice};
pub use part_kind::{CapacitorStyle, CoilKind, LampRating, PartKind, PartValue, ResistorMake};
pub use place::Place;
pub use places::{Junction, JunctionId, Places, UnknownPlace};
pub use read_bench::read_meter;
pub use read_text::{SheetReading, read_anything, read_sheet, read_sheet_bytes};
