//! How a practice stands, for people and scripts.
//!
//! Making a view cannot fail.

use serde::Serialize;

/// The answer of `practice`.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PracticeView {
    /// Edition of this form.
    pub format: u32,
    /// Version of the program.
    pub program: &'static str,
    /// Edition of the published figures.
    pub data: &'static str,
    /// The practice file, as it was named.
    pub file: String,
    /// Its name, with the number of the hidden set.
    pub practice: String,
    /// What its owner complains of, by the list of symptoms.
    pub complaint: Vec<String>,
    /// Readings and signals answered and parts measured by themselves.
    pub measurements: usize,
    /// `open`, `found` or `given_up`.
    pub state: &'static str,
    /// Faulty parts named.
    pub found: Vec<String>,
    /// Good parts named.
    pub named_wrongly: Vec<String>,
    /// Once it has ended: measurements after which the search itself gives nine of ten to a faulty part; null
    /// where thirty do not do.
    pub own_measurements: Option<usize>,
    /// How many faults are hidden.
    pub hidden_faults: usize,
    /// What was hidden; empty until the practice has ended.
    pub faults: Vec<HiddenFaultView>,
}

/// What was hidden.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct HiddenFaultView {
    /// The part.
    pub part: String,
    /// In the words of the fault table.
    pub fault: String,
    /// In the unit of the fault table.
    pub severity: f64,
    /// In words, with how bad it is.
    pub text: String,
}
