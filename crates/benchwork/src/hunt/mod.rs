//! The fault hunted: which part explains the readings of a restoration, and what each fault does.
//!
//! Units of the readings; weights are plain and sum to 1. The readings that belong to the set as it
//! is now are gathered with their bench conditions and meters ([`gather`]); each set of conditions
//! is foretold once and kept beside the facts ([`foretell`]); what was found of single parts bends
//! their chances ([`outcomes`]); then the receiver ranks. Nothing is written into the restoration
//! but by [`record_outcome`] and [`record_notice`]. Fails where the file cannot be opened and for a sheet with faults.

mod as_read;
mod ask;
mod explain;
mod foretell;
mod foretell_cold;
mod gather;
mod kept_foretold;
mod next;
mod notice;
mod noticed;
mod outcomes;
mod rank;
mod record;
mod tried;
mod waves;
mod what_if;
mod words;

pub use as_read::tell_as_read;
pub(crate) use ask::{Without, hunt};
pub use explain::explain_suspect;
pub(crate) use gather::{Gathered, Stands, endings, gather};
pub use next::tell_next;
pub(crate) use notice::signal_end;
pub use notice::{NewNotice, record_notice, tell_symptoms};
pub(crate) use noticed::{came_word, is_dark, is_noticed};
pub use outcomes::CheckedBy;
pub(crate) use outcomes::outcomes;
pub use rank::tell_suspects;
pub use record::{NewOutcome, record_outcome};
pub use tried::{NewLooseEnd, NewTrial, TriedHow, record_loose_end, record_trial};
pub use what_if::tell_what_if;
pub(crate) use words::fault_in_words;
