//! The answers of `suspects`: what explains the readings, one part's case, what a fault would do.
//!
//! Weights are plain, from 0 to 1; readings in the unit of their kind; chances plain. A reading
//! goes by the number of its entry, conditions by their place in the list, from 0. Nothing here
//! fails.

use serde::Serialize;

use super::{ConditionsView, DangerView, NoticeView};

/// The answer of `suspects FILE`.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SuspectsView {
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
    /// What must be done at once by what was read; null for nothing.
    pub danger: Option<DangerView>,
    /// `nothing_read`, `healthy`, `undecided` (no part stands out), `suspects` or `nothing_explains`.
    pub verdict: &'static str,
    /// The conditions in which something that counts was read.
    pub conditions: Vec<ConditionsView>,
    /// All readings of the restoration.
    pub readings: Vec<HuntedReadingView>,
    /// What was noticed beside the meter.
    pub noticed: Vec<NoticedView>,
    /// Suspects, heaviest first; the weight of two faults at once counts for both.
    pub suspects: Vec<SuspectView>,
    /// Two faults at once, heaviest first.
    pub pairs: Vec<PairView>,
    /// Weight of a set in which nothing is wrong.
    pub healthy: f64,
    /// Weight of a fault of a kind that is not listed.
    pub not_listed: f64,
    /// Faults that such readings cannot find.
    pub silent: Vec<SilentView>,
    /// Faults that could not be solved under these conditions.
    pub unsolved: usize,
    /// Faults of the table that nothing follows yet.
    pub not_followed: Vec<NotFollowedView>,
    /// What was found of single parts.
    pub found: Vec<PartFoundView>,
    /// What the facts have changed of the sheet.
    pub bent_by: Vec<String>,
    /// What of them could not be used.
    pub not_used: Vec<String>,
    /// What to mind while one looks for it.
    pub cautions: Vec<String>,
    /// What is worth knowing besides.
    pub notices: Vec<NoticeView>,
}

/// One reading of the restoration.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct HuntedReadingView {
    /// Number of its entry.
    pub entry: u64,
    /// Place, tube or part.
    pub at: String,
    /// Where the other lead was.
    pub to: String,
    /// What was read.
    pub what: &'static str,
    /// The value; null for an open place.
    pub value: Option<f64>,
    /// `weighed`, `former` (the set has changed since) or `not_weighed`.
    pub state: &'static str,
    /// Why it is not weighed; empty otherwise.
    pub because: String,
    /// The entry that made it one of a former state.
    pub since: Option<u64>,
    /// Which conditions.
    pub conditions: Option<usize>,
    /// Low end of what nine of ten healthy sets read.
    pub low: Option<f64>,
    /// What the calculated set reads.
    pub expected: Option<f64>,
    /// High end.
    pub high: Option<f64>,
    /// `inside`, `low` or `high`; empty where it is not weighed.
    pub verdict: &'static str,
}

/// One suspect with its case.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SuspectView {
    /// The part, tube or transformer.
    pub part: String,
    /// What it is.
    pub kind: String,
    /// Weight of all its ways of failing.
    pub weight: f64,
    /// Its ways of failing, heaviest first.
    pub ways: Vec<WayView>,
    /// Readings that speak for it, most first.
    pub speaks_for: Vec<SpeaksView>,
    /// Readings that speak against it.
    pub speaks_against: Vec<SpeaksView>,
    /// What was noticed that speaks for it, most first.
    pub noticed_for: Vec<NoticedSpeaksView>,
    /// What was noticed that speaks against it.
    pub noticed_against: Vec<NoticedSpeaksView>,
    /// Entries that it leaves unexplained.
    pub unexplained: Vec<u64>,
}

/// Something noticed beside the meter.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct NoticedView {
    /// Number of its entry.
    pub entry: u64,
    /// In words.
    pub text: String,
    /// `weighed`, `former` (the set has changed since) or `not_weighed`.
    pub state: &'static str,
    /// Why it is not weighed; empty otherwise.
    pub because: String,
    /// The entry that made it one of a former state.
    pub since: Option<u64>,
}

/// Something noticed that speaks for or against a suspect.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NoticedSpeaksView {
    /// Number of its entry.
    pub entry: u64,
    /// In words.
    pub text: String,
    /// How many times likelier it is with the fault than in a healthy set.
    pub times: f64,
}

/// The answer of `suspects FILE noticed` without a word: what can be noticed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SymptomsView {
    /// Edition of this form.
    pub format: u32,
    /// Version of the program.
    pub program: &'static str,
    /// Edition of the published figures.
    pub data: &'static str,
    /// The symptoms.
    pub symptoms: Vec<SymptomView>,
}

/// One symptom of the list.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SymptomView {
    /// Its name.
    pub symptom: String,
    /// What is seen, heard or smelled.
    pub what: String,
    /// What to look at first.
    pub first_check: String,
    /// What to beware of; empty where there is nothing of its own.
    pub caution: String,
    /// Sections that can cause it, most often first.
    pub sections: Vec<SymptomSectionView>,
}

/// A section that can cause a symptom.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SymptomSectionView {
    /// The section.
    pub section: &'static str,
    /// Share of the sets with this symptom in which the fault sits there.
    pub weight: f64,
    /// Where the weight comes from.
    pub source: String,
    /// How it is known.
    pub standing: String,
}

/// Two faults at once.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PairView {
    /// Both parts.
    pub parts: [String; 2],
    /// Both faults in words.
    pub texts: [String; 2],
    /// Weight of both together.
    pub weight: f64,
}

/// One way of failing.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WayView {
    /// The fault.
    pub fault: String,
    /// Its weight; 0 where it is silent or could not be solved.
    pub weight: f64,
    /// The severity that explains the readings best, in the unit; null where it is there or not.
    pub severity: Option<f64>,
    /// The unit of the severity; empty where it is there or not.
    pub unit: String,
    /// Fault and severity in words.
    pub text: String,
    /// `weighed`, `silent` (such readings cannot find it) or `unsolved`.
    pub state: &'static str,
    /// Chance of it in such a part before any reading.
    pub chance: f64,
    /// Where chance and severities come from.
    pub source: String,
    /// How they are known.
    pub standing: String,
}

/// A reading that speaks for or against.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SpeaksView {
    /// Number of its entry.
    pub entry: u64,
    /// Its place.
    pub at: String,
    /// How many times likelier it is with the fault than in a healthy set.
    pub times: f64,
}

/// Parts of which one fault cannot be found.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct SilentView {
    /// The fault.
    pub fault: String,
    /// The parts.
    pub parts: Vec<String>,
}

/// A fault of the table that nothing follows yet.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct NotFollowedView {
    /// The kind of part.
    pub kind: String,
    /// The fault.
    pub fault: String,
}

/// What was found of one part by itself.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct PartFoundView {
    /// Number of the entry.
    pub entry: u64,
    /// The part.
    pub part: String,
    /// `cleared` or `condemned`; `tried` for a trial with a good one and for volts at a loose end.
    pub verdict: &'static str,
    /// As it was entered.
    pub words: String,
}

/// The answer of `suspects FILE explain PART`.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ExplainView {
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
    /// The part, tube or transformer.
    pub part: String,
    /// What it is.
    pub kind: String,
    /// Weight of all its ways of failing.
    pub weight: f64,
    /// Its place among the suspects, from 1; null where nothing of it is weighed.
    pub place: Option<usize>,
    /// Its ways of failing, heaviest first.
    pub ways: Vec<WayView>,
    /// The way that the readings are set beside, in words; empty where there is none.
    pub beside: String,
    /// Watts that this way would turn into heat in the part, where it would boil or burn with them; null where it bears them.
    pub burns_watts: Option<f64>,
    /// The conditions.
    pub conditions: Vec<ConditionsView>,
    /// Every reading that counts beside it.
    pub readings: Vec<BesideView>,
    /// Everything noticed that counts beside it, with how many times likelier it is than in a healthy set.
    pub noticed: Vec<NoticedSpeaksView>,
    /// What was found of the part by itself.
    pub found: Vec<PartFoundView>,
}

impl ExplainView {
    /// What the heat of the way set beside would do to it, in words; `None` where the part bears it.
    pub fn told_of_heat(&self) -> Option<String> {
        let watts = self.burns_watts?;
        let figure = if watts < 9.95 {
            format!("{watts:.1}")
        } else {
            format!("{watts:.0}")
        };
        Some(format!(
            "So it would turn {figure} W into heat, and boil or burn within minutes: a set that is read in peace hardly has that."
        ))
    }
}

/// One reading beside one fault.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BesideView {
    /// The reading.
    #[serde(flatten)]
    pub reading: HuntedReadingView,
    /// What is expected with the fault.
    pub with_fault: Option<f64>,
    /// How many times likelier it is with the fault than in a healthy set.
    pub times: Option<f64>,
    /// `for`, `against` or `neither`.
    pub speaks: &'static str,
}

/// The answer of `suspects FILE what-if PART`.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WhatIfView {
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
    /// The part, tube or transformer.
    pub part: String,
    /// What it is.
    pub kind: String,
    /// The fault.
    pub fault: String,
    /// The fault half way along its severities, in words; empty where it is there or not.
    pub half_way: String,
    /// The fault where it moves most, in words.
    pub at_worst: String,
    /// The part's other ways of failing.
    pub other_faults: Vec<String>,
    /// How the set stands.
    pub conditions: ConditionsView,
    /// Readings that leave their healthy band, largest first.
    pub rows: Vec<WhatIfRowView>,
    /// How many readings stay in theirs.
    pub stay: usize,
    /// Whether the part belongs to a stage whose volts a signal makes, of which only what rests is calculated: that readings stay
    /// then says nothing.
    pub hangs_on_signals: bool,
}

impl WhatIfView {
    /// What to say where no reading leaves its band.
    pub fn none_leaves(&self) -> &'static str {
        match self.hangs_on_signals {
            true => {
                "What it does to the signal in its stage is not calculated, nor what that does to these readings: that none leaves its \
                 band says little. Look at the signal there, or measure the part by itself."
            }
            false => {
                "So no such reading can find this fault: it needs a signal, another condition, or the part measured by itself."
            }
        }
    }
}

/// One reading that would change.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct WhatIfRowView {
    /// Place, tube or part.
    pub at: String,
    /// Other names of the same place.
    pub also: Vec<String>,
    /// Where the other lead is.
    pub to: String,
    /// What is read.
    pub what: &'static str,
    /// Low end of what nine of ten healthy sets read.
    pub low: f64,
    /// What the calculated set reads.
    pub expected: f64,
    /// High end.
    pub high: f64,
    /// With the fault half way along its severities; null where it is there or not.
    pub half_way: Option<f64>,
    /// With the fault where it moves most.
    pub at_worst: f64,
    /// Half widths of the band from the expected value at worst, with its sign.
    pub half_widths: f64,
    /// Its place on the chassis, tube by tube as on the sheet, from 0.
    pub on_chassis: usize,
}

/// How the weights of the suspects came about, reading by reading.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AsReadView {
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
    /// The parts that are followed: those that lead at the end, heaviest first, then those that led meanwhile.
    pub parts: Vec<String>,
    /// The weights after each reading that counts, in the order of the entries.
    pub steps: Vec<AfterReadingView>,
    /// Readings before the first step that is told.
    pub not_told: usize,
    /// What is worth knowing besides.
    pub notices: Vec<NoticeView>,
}

/// The weights after one reading more.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AfterReadingView {
    /// How many readings count by then.
    pub count: usize,
    /// The reading that came in; none before the first.
    pub reading: Option<HuntedReadingView>,
    /// Weight that nothing is wrong.
    pub healthy: f64,
    /// Weight of a fault of a kind that is not listed.
    pub not_listed: f64,
    /// Weight of each followed part, in their order.
    pub weights: Vec<f64>,
}
