//! What is handed on with a set, for people and scripts: the report of a restoration.
//!
//! Units as the fields say; readings in the unit of their `what`. What is not written down is
//! `null`, an empty list or a sentence in `not_written_down`, never a guess. Nothing here fails.

use serde::Serialize;

use super::{EntryView, NoticeView, PictureView, ProofView};

/// The answer of `hand-on`.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct HandingOnView {
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
    /// When this was asked.
    pub at: String,
    /// The set and the work in short.
    pub cover: CoverView,
    /// How the chassis stands to the line, fuses, plugs.
    pub standing: SetStandingView,
    /// What can hurt whoever opens the back, the deadliest first.
    pub cautions: Vec<CautionView>,
    /// How stored charge is taken away, in short.
    pub stored_charge: Vec<&'static str>,
    /// Whether the set was proven safe at the end.
    pub safety: SafetyView,
    /// What the next owner should watch.
    pub watch: Vec<WatchView>,
    /// Parts replaced, in the order of the entries.
    pub replaced: Vec<ReplacedView>,
    /// Other changes that stand.
    pub changed: Vec<EntryView>,
    /// What is original and what was not touched.
    pub original: OriginalView,
    /// The maker's chart with what was read last.
    pub chart: AsLeftView,
    /// Readings of one place before and after the set was changed.
    pub before_and_after: Vec<BeforeAndAfterView>,
    /// The picture tube.
    pub picture_tube: PictureHandedView,
    /// The first power-up.
    pub power_up: PowerHandedView,
    /// What was decided.
    pub decided: Vec<EntryView>,
    /// The story in its order, as the entries stand.
    pub story: Vec<StoryLineView>,
    /// Entries that were undone, undos, corrections and marks on photographs, which the story leaves out.
    pub left_out: usize,
    /// What is not written down.
    pub not_written_down: Vec<String>,
    /// What is worth knowing besides.
    pub notices: Vec<NoticeView>,
}

/// The set and the work in short.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CoverView {
    /// Name of the set by its sheet.
    pub set: Option<String>,
    /// Year of make.
    pub made: Option<u16>,
    /// Line volts rms for which it is made.
    pub line_volts: Option<f64>,
    /// Frequency of the line.
    pub line_hertz: Option<f64>,
    /// Who restored it, where that was said.
    pub restored_by: Option<String>,
    /// Day of the first entry.
    pub first_day: Option<String>,
    /// Day of the last entry.
    pub last_day: Option<String>,
    /// How many entries the file has.
    pub entries: usize,
    /// How many photographs are shown.
    pub photographs: usize,
    /// Tubes on the sheet.
    pub tubes: usize,
    /// Other parts on the sheet.
    pub parts: usize,
}

/// How the chassis stands to the line.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct SetStandingView {
    /// `on_the_line`, `isolated` or `not_told`.
    pub chassis: &'static str,
    /// In words.
    pub text: String,
    /// Capacitors between line and chassis.
    pub line_capacitors: Vec<String>,
    /// Fuses with their marking and place, one line each.
    pub fuses: Vec<String>,
    /// Plugs and interlocks, one line each.
    pub plugs: Vec<String>,
}

/// One danger.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct CautionView {
    /// Its name in the list of dangers.
    pub id: String,
    /// What it is called.
    pub hazard: String,
    /// What is told.
    pub caution: String,
    /// What to do instead.
    pub safe_way: String,
}

/// The safety proof.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SafetyView {
    /// Whether anything was entered for one.
    pub written_down: bool,
    /// How it stands, in words.
    pub text: String,
    /// The check list with its answers; `null` where nothing was entered or it cannot be worked out.
    pub proof: Option<Box<ProofView>>,
}

/// Something to watch.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct WatchView {
    /// `proof`, `condemned`, `weak`, `cut_loose`, `re_formed`, `as_found`, `outside`, `power_up`, `picture_tube`.
    pub kind: &'static str,
    /// The part or place.
    pub about: String,
    /// What to watch, and why.
    pub text: String,
    /// The entry it rests on; `null` for the sheet.
    pub entry: Option<u64>,
}

/// A part that was replaced.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ReplacedView {
    /// The part.
    pub part: String,
    /// Its kind; empty where the sheet has it not.
    pub kind: String,
    /// Where it sits.
    pub place: String,
    /// What was there, as it was entered; empty if not said.
    pub old: String,
    /// What the sheet that was taken in says of it; empty where it has it not.
    pub by_sheet: String,
    /// What is there now; empty where only the sheet says that it was replaced.
    pub new: String,
    /// Its rating; empty if not said.
    pub rating: String,
    /// When it was entered; `null` where only the sheet says so.
    pub at: Option<String>,
    /// Number of the entry.
    pub entry: Option<u64>,
    /// Anything else.
    pub note: String,
    /// The later entry by which it was replaced again.
    pub again: Option<u64>,
}

/// What is original.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct OriginalView {
    /// Parts that the sheet says are as the maker fitted them.
    pub known: Vec<PartLineView>,
    /// Parts that this restoration has not touched; whether they are the maker's is not written down.
    pub not_touched: Vec<PartLineView>,
}

/// A part in a line.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct PartLineView {
    /// The part.
    pub part: String,
    /// Its kind, such as `resistor` or `tube`.
    pub kind: String,
    /// Its value by the sheet.
    pub value: String,
}

/// The maker's chart with what was read last.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AsLeftView {
    /// Line volts of the maker's readings; `null` without a chart.
    pub line_volts: Option<f64>,
    /// The maker's meter, as the chart names it.
    pub meter: String,
    /// Every figure of the chart, and what was read besides.
    pub rows: Vec<AsLeftRowView>,
    /// Why there is no chart; empty where there is one.
    pub because: String,
}

/// One place of it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct AsLeftRowView {
    /// The place.
    pub at: String,
    /// Where the other lead was.
    pub to: String,
    /// What is read, with its unit.
    pub what: &'static str,
    /// The maker's figure; `null` where he has none or found the place open.
    pub charted: Option<f64>,
    /// Whether the maker found the place open.
    pub charted_open: bool,
    /// What was read last in the set as it is now; `null` where nothing was, or for an open place.
    pub read: Option<f64>,
    /// The same, as it was typed.
    pub typed: String,
    /// Its meter.
    pub meter: String,
    /// Line volts when it was read, where they were said.
    pub line_volts: Option<f64>,
    /// Number of its entry.
    pub entry: Option<u64>,
    /// When it was entered.
    pub at_time: Option<String>,
    /// By how many percent it lies above the maker's figure.
    pub percent: Option<f64>,
    /// What a healthy set shows, as it is now and as it was read: low end.
    pub low: Option<f64>,
    /// Expected.
    pub expected: Option<f64>,
    /// High end.
    pub high: Option<f64>,
    /// `inside`, `low`, `high`, `not_predicted` or `not_read`.
    pub verdict: &'static str,
    /// Why nothing is predicted, or why a reading does not count; empty otherwise.
    pub because: String,
}

/// One place before and after.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BeforeAndAfterView {
    /// The place.
    pub at: String,
    /// Where the other lead was.
    pub to: String,
    /// What was read.
    pub what: &'static str,
    /// How the set stood, in words; both times the same.
    pub conditions: String,
    /// The reading before.
    pub before: String,
    /// Number of its entry.
    pub before_entry: u64,
    /// The reading after.
    pub after: String,
    /// Number of its entry.
    pub after_entry: u64,
    /// What was changed between.
    pub between: String,
}

/// The picture tube.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PictureHandedView {
    /// It judged; `null` where nothing is written down of it.
    pub picture: Option<Box<PictureView>>,
    /// Why not; empty where it is.
    pub because: String,
    /// What was found of it.
    pub found: Vec<EntryView>,
}

/// The first power-up.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PowerHandedView {
    /// `not_begun`, `under_way`, `stopped`, `left` or `step_done`: what the last entry says.
    pub state: &'static str,
    /// In words.
    pub text: String,
    /// The steps in the order in which they were begun.
    pub steps: Vec<StepHandedView>,
}

/// One step that was begun.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StepHandedView {
    /// Its title.
    pub title: String,
    /// Its name through every plan.
    pub key: String,
    /// When it was begun, or when the first entry of it was made.
    pub at: String,
    /// `done`, `skipped`, `stopped`, `left` or `begun`.
    pub how: &'static str,
    /// Why, where that was said.
    pub because: String,
    /// What it leaves unknown.
    pub leaves_unknown: Vec<String>,
    /// What was read in it.
    pub readings: Vec<StepReadingView>,
}

/// A reading of a step.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StepReadingView {
    /// The place.
    pub at: String,
    /// The other place; empty for the chassis.
    pub to: String,
    /// What was read, with its unit.
    pub what: &'static str,
    /// The value; `null` for an open place.
    pub value: Option<f64>,
    /// As it was typed.
    pub typed: String,
    /// Number of its entry.
    pub entry: u64,
}

/// A line of the story.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct StoryLineView {
    /// The entry as it stands.
    #[serde(flatten)]
    pub entry: EntryView,
    /// The photograph that it added.
    pub photograph: Option<ShownPhotographView>,
}

/// A photograph of the story.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ShownPhotographView {
    /// The SHA-256 of its bytes.
    pub sha256: String,
    /// Name of the file it came from.
    pub name: String,
    /// What it shows; empty if not said.
    pub shows: String,
    /// When it was taken, as the camera wrote it; empty if it did not.
    pub taken: String,
    /// Anything else.
    pub note: String,
    /// Where it lies in the folder that is handed on; empty where the file has it no longer.
    pub whole: String,
}
