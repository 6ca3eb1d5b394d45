//! Which part explains the readings of a set: by calculation on its own circuit.
//!
//! Units of the readings; severity in the unit of the fault table's rows. Each part may fail in
//! the ways of its kind ([`hypotheses`]), each way with a chance and a spread of severity
//! ([`severity`]). The set is solved with each fault at several severities from the point of
//! the healthy set, and the joint spread of all good parts is drawn once ([`predict`]). Readings
//! then weigh the faults by Bayes' rule ([`rank`]): one fault, or none, or none of those
//! listed. What is assumed stands in docs/theory/suspects.md. No clock, file or chance is known
//! here: the same facts give the same answer. What fails says so in each module.

pub mod by_itself;
#[cfg(test)]
mod divider_tests;
pub mod doubt;
pub mod evidence;
pub mod explain;
pub mod hypotheses;
mod kinds;
pub mod likelihood;
pub mod looks;
pub mod moved;
pub mod next;
pub mod outcome;
mod own_scale;
pub mod pairs;
pub mod predict;
pub mod predict_cold;
pub mod rank;
mod rules;
pub mod severity;
pub mod signs;
mod sockets;
pub mod stands;
mod strange;
mod sum;
