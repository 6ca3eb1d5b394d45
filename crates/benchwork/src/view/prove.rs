//! The proof at the end, for people, scripts and the report.
//!
//! Figures are in the item's `unit`. `state` is `met`, `failed`, `open` or `not_of_this_set`; none of them says
//! that a set is safe. `null` is not known or not asked. Making a view cannot fail.

use serde::Serialize;

use super::{EntryView, NoticeView};

/// The answer of `prove`: the whole state of the list.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ProofView {
    /// Edition of this form.
    pub format: u32,
    /// Version of the program.
    pub program: &'static str,
    /// Edition of the published figures.
    pub data: &'static str,
    /// The file, as it was named.
    pub file: String,
    /// Name of the restoration; `null` for a sheet.
    pub restoration: Option<String>,
    /// Name of the set.
    pub set: String,
    /// `on_the_line`, `isolated` or `not_told`, by the sheet.
    pub chassis: &'static str,
    /// Items by their state.
    pub counts: ProofCountsView,
    /// The items in the order in which they are done.
    pub items: Vec<ProofItemView>,
    /// The last signature.
    pub signature: Option<ProofSignatureView>,
    /// What could not be solved for the list, and why.
    pub unknown: Vec<ProofUnknownView>,
    /// What the list says and what it does not.
    pub words: &'static str,
    /// What is worth knowing besides.
    pub notices: Vec<NoticeView>,
}

/// Items by their state.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ProofCountsView {
    /// Everything done, nothing beyond its figure.
    pub met: usize,
    /// Something beyond its figure.
    pub failed: usize,
    /// Something not done.
    pub open: usize,
    /// Not of this set.
    pub not_of_this_set: usize,
}

/// One item.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ProofItemView {
    /// Its key.
    pub key: String,
    /// What it is.
    pub title: String,
    /// `met`, `failed`, `open` or `not_of_this_set`.
    pub state: &'static str,
    /// Why, one sentence each.
    pub because: Vec<String>,
    /// `yes_no` or `figure`.
    pub asks: &'static str,
    /// The unit of its figures.
    pub unit: Option<&'static str>,
    /// At least.
    pub limit_low: Option<f64>,
    /// At most.
    pub limit_high: Option<f64>,
    /// Where the limit comes from.
    pub limit_source: Option<String>,
    /// `published`, `computed`, `from memory` or `judgement`.
    pub limit_standing: Option<&'static str>,
    /// Every answer that it needs, with what was answered.
    pub slots: Vec<ProofSlotView>,
    /// Whether further points may be named.
    pub takes_further_points: bool,
    /// What was computed of places that are not asked for.
    pub computed: Vec<String>,
    /// What to do.
    pub acts: Vec<String>,
    /// Cautions.
    pub cautions: Vec<String>,
    /// Why it is not to be done yet.
    pub not_yet: Vec<String>,
    /// What is not known about it, or remarkable in the set's own figures.
    pub unknown: Vec<String>,
    /// Items that come first.
    pub after: Vec<&'static str>,
    /// Work that took earlier answers back.
    pub reopened: Vec<ProofReopenedView>,
}

/// One answer that an item needs.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ProofSlotView {
    /// The point; empty for none.
    pub point: String,
    /// `one` or `other` way of the plug.
    pub plug: Option<&'static str>,
    /// `on` or `off`.
    pub switch: Option<&'static str>,
    /// Minutes of the soak.
    pub minutes: Option<f64>,
    /// `met`, `failed`, `open` or `not_of_this_set`.
    pub state: &'static str,
    /// Why, or what is remarkable.
    pub because: String,
    /// The figure.
    pub value: Option<f64>,
    /// Whether the meter showed an open path.
    pub is_open_path: bool,
    /// As it was typed.
    pub typed: Option<String>,
    /// Yes or no.
    pub answer: Option<bool>,
    /// What a healthy set gives: low, expected, high.
    pub expected: Option<[f64; 3]>,
    /// Who measured.
    pub by: Option<String>,
    /// When.
    pub at: Option<String>,
    /// The entry.
    pub entry: Option<u64>,
    /// Line volts then.
    pub line_volts: Option<f64>,
    /// With what.
    pub instrument: Option<String>,
    /// Anything else.
    pub note: Option<String>,
}

/// Work that made an item open again.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ProofReopenedView {
    /// The entry of the work.
    pub entry: u64,
    /// What it was.
    pub work: String,
}

/// A signature.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ProofSignatureView {
    /// Who signed.
    pub by: String,
    /// What was added.
    pub note: String,
    /// The entry.
    pub entry: u64,
    /// When.
    pub at: String,
    /// Whether nothing was entered since that it does not cover.
    pub stands: bool,
}

/// What could not be solved.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ProofUnknownView {
    /// What.
    pub what: String,
    /// Why.
    pub because: String,
}

/// The answer of `prove` that entered something.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ProofRecordedView {
    /// Edition of this form.
    pub format: u32,
    /// Version of the program.
    pub program: &'static str,
    /// Edition of the published figures.
    pub data: &'static str,
    /// The file, as it was named.
    pub file: String,
    /// Name of the restoration.
    pub restoration: String,
    /// The entries that were made.
    pub entries: Vec<EntryView>,
    /// The list as it stands now.
    pub proof: ProofView,
    /// What is worth knowing besides.
    pub notices: Vec<NoticeView>,
}

/// A number to three figures, for sentences.
pub(crate) fn three_figures(value: f64) -> String {
    let text = format!("{value:.2e}");
    text.parse::<f64>().map_or(text, |value| value.to_string())
}
