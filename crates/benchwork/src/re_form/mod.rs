//! Forming an old electrolytic anew outside the set: what to do, readings kept, their verdict.
//!
//! Units as the views name them. A capacitor is a part of a sheet or of a restoration, or a value in
//! bench notation. Fails where the file cannot be opened, for a part that is no electrolytic or has no
//! marked volts, and for what cannot be understood, all of it at once with nothing written.

mod enter;
mod gather;
mod job;
mod tell;

pub(crate) use gather::formed_volts;
pub(crate) use job::state_of;

pub use enter::{NewForming, NewFormingReading, record_forming};
pub use job::FormingAsk;
pub use tell::{tell_forming, tell_forming_of, tell_formings};
