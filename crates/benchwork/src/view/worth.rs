//! The answer of `worth`: the three parts, cost, evenings, and the next test.
//!
//! Money as the restorer counts it, evenings, chances from 0 to 1. Nothing here fails.

use serde::Serialize;

use super::NoticeView;

/// The answer of `worth`.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WorthView {
    /// Edition of this form.
    pub format: u32,
    /// Version of the program.
    pub program: &'static str,
    /// Edition of the published figures.
    pub data: &'static str,
    /// The file, as it was named.
    pub file: String,
    /// Name of the set.
    pub set: String,
    /// `go_on` or `stop`.
    pub advice: &'static str,
    /// Picture tube, power transformer, flyback with yoke.
    pub three: Vec<IrreplaceableView>,
    /// What else is missing or found bad.
    pub missing: Vec<String>,
    /// Chance that the set plays in the end.
    pub plays: f64,
    /// Chance that all three are good.
    pub all_three_good: f64,
    /// Parts of the plan and tubes, money.
    pub parts_money: SpreadView,
    /// Another one of the three where it is bad and found, money.
    pub irreplaceable_money: SpreadView,
    /// Evenings of work.
    pub evenings: SpreadView,
    /// What going on is worth on average, over its cost.
    pub going_on_money: f64,
    /// What stopping is worth.
    pub stopping_money: f64,
    /// What the finished set must be worth for going on to be no loss.
    pub break_even_money: Option<f64>,
    /// The next tests, the one to make first on top.
    pub next_tests: Vec<NextTestView>,
    /// Reasons in plain words.
    pub because: Vec<String>,
    /// The figures that were used, each with its standing.
    pub figures: Vec<WorthFigureView>,
    /// What is worth knowing besides.
    pub notices: Vec<NoticeView>,
}

/// One of the three.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct IrreplaceableView {
    /// `picture_tube`, `power_transformer` or `flyback`.
    pub which: &'static str,
    /// In words.
    pub called: &'static str,
    /// Its names on the sheet.
    pub parts: Vec<String>,
    /// Chance that it is good; null where the set has none.
    pub good: Option<f64>,
    /// Low end of that chance.
    pub low: Option<f64>,
    /// High end.
    pub high: Option<f64>,
    /// Where it comes from.
    pub because: Vec<String>,
}

/// From a tenth to nine tenths of the cases, with the mean.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct SpreadView {
    /// A tenth of the cases lie below.
    pub low: f64,
    /// On average.
    pub expected: f64,
    /// A tenth lie above.
    pub high: f64,
}

/// A test and what would follow from it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NextTestView {
    /// Its name.
    pub test: String,
    /// What it is a test of.
    pub of: &'static str,
    /// Minutes.
    pub minutes: f64,
    /// How it is done.
    pub how: String,
    /// Chance that it passes.
    pub passes: f64,
    /// Chance of a good part after it passed.
    pub good_if_passed: f64,
    /// Chance of a good part after it failed.
    pub good_if_failed: f64,
    /// `go_on` or `stop` after it passed.
    pub if_passed: &'static str,
    /// The same after it failed.
    pub if_failed: &'static str,
    /// Whether its outcome changes what one does.
    pub changes: bool,
    /// What it saves on average, money.
    pub saves_money: f64,
}

/// One figure that was used.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WorthFigureView {
    /// Its name.
    pub name: String,
    /// Low, usual, high.
    pub low: f64,
    /// Usual.
    pub typical: f64,
    /// High.
    pub high: f64,
    /// Its unit.
    pub unit: String,
    /// What it means.
    pub meaning: String,
    /// How far to trust it.
    pub standing: String,
}
