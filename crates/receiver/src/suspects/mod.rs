//! Which part explains the readings of a set: by calculation on its own circuit.
//!
//! Severity in the unit of the fault table's rows. Each part may fail in the ways of its kind
//! ([`hypotheses`]), each way with a chance and a spread of severity ([`severity`]). What is
//! assumed stands in docs/theory/suspects.md. No clock, file or chance is known here: the same
//! facts give the same answer. Nothing here fails: what a set has not is not suspected.

pub mod hypotheses;
mod rules;
pub mod severity;
