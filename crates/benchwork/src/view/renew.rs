//! The answers of `renew`, `silicon` and `order`: what is replaced, with what, and what is bought.
//!
//! Units in the field names; values of parts in bench notation beside the number. Nothing here fails.

use serde::Serialize;

use super::NoticeView;

/// The answer of `renew`.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RenewalPlanView {
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
    /// Line of the worst cases, volts.
    pub line_volts: f64,
    /// Cases solved.
    pub cases: usize,
    /// Cases that could not be solved.
    pub unsolved: Vec<String>,
    /// Parts and tubes in the order in which they are done.
    pub renewals: Vec<RenewalView>,
    /// What the set needs beside its parts.
    pub set_needs: Vec<SetNeedView>,
    /// First filters behind rectifier tubes, and what bounds them.
    pub first_filters: Vec<FirstFilterView>,
    /// Transformers that are kept.
    pub kept: Vec<String>,
    /// What to mind.
    pub cautions: Vec<String>,
    /// What is worth knowing besides.
    pub notices: Vec<NoticeView>,
}

/// One part of the plan.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RenewalView {
    /// Its reference.
    pub part: String,
    /// Its kind, as the sheet has it.
    pub kind: String,
    /// Value as marked, or the type of a tube.
    pub marked: String,
    /// From where to where; the job of a tube.
    pub place: String,
    /// What a capacitor does there.
    pub does: String,
    /// `now`, `before_long_use`, `test_first`, `leave` or `done`.
    pub verdict: &'static str,
    /// Reasons.
    pub because: Vec<String>,
    /// How it is tested.
    pub test: String,
    /// `power_transformer`, `flyback` or `picture_tube`; empty for none.
    pub protects: &'static str,
    /// Whether a person or the house is endangered.
    pub can_kill: bool,
    /// Chance that it has failed in one of its ways.
    pub chance_bad: Option<f64>,
    /// The part of today.
    pub right: Option<RightPartView>,
}

/// The part of today.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RightPartView {
    /// Value, rating and kind as one buys it.
    pub words: String,
    /// Its kind in the table of today's parts.
    pub kind: String,
    /// Value in SI units.
    pub value: f64,
    /// `ohms` or `farads`.
    pub unit: &'static str,
    /// How many pieces, and of which value each.
    pub pieces: u32,
    /// Value of each piece, SI.
    pub each: f64,
    /// A second piece beside the first, SI.
    pub beside: Option<f64>,
    /// Ohms across each of two electrolytics in series.
    pub balance_ohms: Option<f64>,
    /// Rated watts of each of these.
    pub balance_watts: Option<f64>,
    /// Rating of each.
    pub rating: f64,
    /// `volts_dc`, `volts_ac` or `watts`.
    pub rating_unit: &'static str,
    /// Tolerance, percent.
    pub tolerance_percent: f64,
    /// What stands on it.
    pub markings: Vec<String>,
    /// Lowest and highest value that the set bears, SI.
    pub borne: Option<(f64, f64)>,
    /// Ripple that it must be marked for at 120 cycles, amperes rms.
    pub ripple_amps_rms: Option<f64>,
    /// Why it is this one.
    pub why: Vec<String>,
    /// How it is fitted.
    pub fitting: Vec<String>,
    /// What it must not be.
    pub must_not: String,
    /// How far to trust what is said to be made today.
    pub standing: String,
}

/// Something the set needs.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct SetNeedView {
    /// What.
    pub what: String,
    /// As of a part.
    pub verdict: &'static str,
    /// Why.
    pub because: String,
}

/// What bounds a first filter.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FirstFilterView {
    /// The capacitor.
    pub part: String,
    /// The rectifier tube.
    pub tube: String,
    /// Largest value, mfd; null where four times the marked one is borne.
    pub largest_mfd: Option<f64>,
    /// Peak current of one plate with the marked value.
    pub peak_milliamps: f64,
    /// The tube's rated peak.
    pub rated_milliamps: f64,
}

/// The answer of `silicon`.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SiliconView {
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
    /// The line of today, volts.
    pub line_volts: f64,
    /// Where that line comes from.
    pub line_from: String,
    /// Each group of selenium.
    pub groups: Vec<SeleniumGroupView>,
    /// Rectifier tubes against silicon.
    pub tubes: Vec<TubeAgainstView>,
    /// What to mind.
    pub cautions: Vec<String>,
}

/// One group of selenium.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SeleniumGroupView {
    /// The rectifiers.
    pub parts: Vec<String>,
    /// How they work together.
    pub circuit: &'static str,
    /// Where B+ is measured.
    pub place: String,
    /// B+ of the maker's set, volts.
    pub wanted_volts: f64,
    /// The maker's line, volts.
    pub makers_line_volts: f64,
    /// The resistor.
    pub resistor: Option<RectifierResistorView>,
    /// Type of the diode.
    pub diode: String,
    /// What the diode bears and what it is rated for, one line each.
    pub bears: Vec<String>,
    /// The ways of running the set.
    pub runs: Vec<RunView>,
    /// What must be said besides.
    pub notices: Vec<String>,
}

/// The resistor behind silicon.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RectifierResistorView {
    /// Ohms in series with each rectifier.
    pub each_ohms: f64,
    /// Ohms at which B+ is exactly the maker's.
    pub exact_ohms: f64,
    /// Heat in each, watts.
    pub each_watts: f64,
    /// Rating of each, watts: one that is made, or what it must stand where no single one does.
    pub rated_watts: f64,
    /// Ohms of one in the common lead instead.
    pub common_ohms: Option<f64>,
    /// Heat in that, watts.
    pub common_watts: Option<f64>,
    /// Ohms of the plain rule.
    pub rule_ohms: Option<f64>,
}

/// One way of running the set.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RunView {
    /// What it is.
    pub name: String,
    /// Line, volts.
    pub line_volts: f64,
    /// B+.
    pub b_plus_volts: f64,
    /// Heater volts over rated ones, percent, lowest.
    pub heaters_low_percent: Option<f64>,
    /// The same, highest.
    pub heaters_high_percent: Option<f64>,
    /// Line current.
    pub line_amps_rms: f64,
    /// Surge in a rectifier at switch-on.
    pub surge_amps: Option<f64>,
    /// What is to be said of it.
    pub remarks: Vec<String>,
}

/// A rectifier tube against silicon.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TubeAgainstView {
    /// The tube.
    pub tube: String,
    /// Where B+ is measured.
    pub place: String,
    /// Line of all figures.
    pub line_volts: f64,
    /// B+ settled with the tube.
    pub tube_volts: f64,
    /// The same with silicon.
    pub silicon_volts: f64,
    /// Highest volts on a filter from switch-on, with the tube.
    pub tube_highest_volts: f64,
    /// The same with silicon.
    pub silicon_highest_volts: f64,
    /// Surge at switch-on with silicon, amperes.
    pub silicon_surge_amps: f64,
    /// Capacitors above their marking with silicon.
    pub exceeded: Vec<ExceededView>,
    /// In a sentence.
    pub says: String,
}

/// A capacitor above its marking.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ExceededView {
    /// The capacitor.
    pub part: String,
    /// What it would see.
    pub volts: f64,
    /// What it is marked.
    pub marked_volts: f64,
}

/// The answer of `order`.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OrderView {
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
    /// What is bought, grouped.
    pub lines: Vec<OrderLineView>,
    /// What was bought and fitted already, by the facts.
    pub fitted: Vec<String>,
    /// The sum of all prices known; null where none is.
    pub total: Option<f64>,
    /// Lines without a price.
    pub without_price: usize,
    /// What is worth knowing besides.
    pub notices: Vec<NoticeView>,
}

/// One line of the order.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OrderLineView {
    /// Pieces for the set.
    pub count: u32,
    /// Spare pieces.
    pub spares: u32,
    /// What to ask for.
    pub what: String,
    /// Its kind: one of today's parts, `silicon`, or what the set needs besides, such as `line cord`.
    pub kind: String,
    /// What stands on it.
    pub marking: String,
    /// The parts of the set, each with its verdict.
    pub parts: Vec<String>,
    /// `now`, `before_long_use` or `test_first`: the most urgent of them.
    pub verdict: &'static str,
    /// Ripple to be marked, amperes rms at 120 cycles: the most of them.
    pub ripple_amps_rms: Option<f64>,
    /// Price of one, by the own table.
    pub price: Option<f64>,
}
