//! The questions put to the receiver, with its errors sorted into [`Trouble`].
//!
//! Units: the receiver's own (volts, amperes, watts, ohms, seconds). Each function
//! either has an answer or says who has to act.

use receiver::conditions::BenchConditions;
use receiver::plan::{PowerUpPlan, Step};
use receiver::reading::{Notice, Reading, Unknown};
use receiver::sheet::Sheet;

use crate::trouble::Trouble;

/// Readings with what cannot be told beside them.
#[derive(Debug, Clone, Default)]
pub struct Answer {
    /// What is read where.
    pub readings: Vec<Reading>,
    /// What cannot be told, and why.
    pub unknown: Vec<Unknown>,
    /// What is worth knowing besides.
    pub notices: Vec<Notice>,
}

/// What a meter shows under these conditions.
pub fn expect(_sheet: &Sheet, _conditions: &BenchConditions) -> Result<Answer, Trouble> {
    Err(Trouble::ours("no reading could be worked out"))
}

/// Cold resistances with the set unplugged.
pub fn cold_ohms(_sheet: &Sheet, _to: Option<&str>, _pulled: &[String]) -> Result<Answer, Trouble> {
    Err(Trouble::ours("no resistance could be worked out"))
}

/// The staged first power-up; each step is handed out as soon as it stands.
pub fn wake(_sheet: &Sheet, _on_step: &mut dyn FnMut(&Step)) -> Result<PowerUpPlan, Trouble> {
    Err(Trouble::ours("no plan could be worked out"))
}
