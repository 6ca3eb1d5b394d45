//! The proof at the end: the check list of one set, its answers entered, and how all of it stands.
//!
//! Units as the views name them. [`tell_proof`] gives the whole state at once (items, answers, by whom and
//! when, what is open), for a page and for a report. It says what was measured against which figure and
//! never that a set is safe. Fails where the file cannot be opened or the sheet has faults, and for what
//! cannot be understood, all of it at once with nothing written.

mod enter;
mod gather;
mod tell;
mod values;

pub use enter::{NewProof, NewSignature, record_proof, sign_proof};
pub use tell::tell_proof;
