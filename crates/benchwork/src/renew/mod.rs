//! What to replace, with what, and what to buy for it.
//!
//! Units of the views. The set comes from a sheet or from a restoration; of a restoration all that was read, found and
//! fitted counts ([`with_set`](set::with_set)). Nothing is written but by [`tick_off`] and [`keep_plan`]. Fails as reading the set does, for a set that finds no
//! settled state, for a part that the sheet has not, and for a table of prices with faults.

mod kept;
mod order;
mod plan;
mod prices;
mod set;
mod silicon;
mod tick_off;

pub use kept::keep_plan;
pub(crate) use order::{Bought, bought, order_lines};
pub use order::{OrderAsk, OrderOut, order_list};
pub(crate) use plan::planned;
pub use plan::{RenewAsk, tell_renewal};
pub(crate) use prices::Prices;
pub(crate) use set::{SetAsked, with_set};
pub use silicon::tell_silicon;
pub use tick_off::tick_off;
