//! An electrolytic formed anew outside the set, for people and scripts.
//!
//! Units are in the names; leakage in milliamperes. Curves are rows of minutes, low, expected, high;
//! nine of ten lie between low and high. `null` is not known. Making a view cannot fail.

use serde::Serialize;

use super::{EntryView, NoticeView};

/// The answer of `reform` about one capacitor.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FormingView {
    /// Edition of this form.
    pub format: u32,
    /// Version of the program.
    pub program: &'static str,
    /// Edition of the published figures.
    pub data: &'static str,
    /// The file, as it was named; `null` for a capacitor named by its marks.
    pub file: Option<String>,
    /// Name of the restoration.
    pub restoration: Option<String>,
    /// The section.
    pub part: String,
    /// `as_found`, `re_formed` or `replaced`, by the sheet and the facts.
    pub state: Option<&'static str>,
    /// Marked capacitance.
    pub microfarads: f64,
    /// Marked volts.
    pub marked_volts: f64,
    /// Other sections of the same can; they share its negative end.
    pub other_sections: Vec<String>,
    /// Whether a source was named; otherwise it is told what one would have to give.
    pub source_is_named: bool,
    /// Highest volts of the source.
    pub top_volts: f64,
    /// Volts of the source, rising.
    pub source_volts: Vec<f64>,
    /// The resistor between source and capacitor.
    pub series: SeriesResistorView,
    /// Its time constant with the capacitor.
    pub charging_seconds: f64,
    /// Leakage at which this one is accepted.
    pub limit_milliamperes: f64,
    /// Whose limit that is: `old_cans`, or `new_parts` for one that was replaced.
    pub limit_is_of: &'static str,
    /// The form of JAN-C-62, for old cans.
    pub limit_of_old_cans_milliamperes: f64,
    /// What data sheets of new parts state.
    pub limit_of_new_parts_milliamperes: f64,
    /// Which one decides, and why.
    pub limit_words: &'static str,
    /// The discharge resistor.
    pub discharge_ohms: f64,
    /// Energy at the highest volts.
    pub discharge_joules: f64,
    /// Seconds until 10 V are left.
    pub discharge_seconds_to_ten_volts: f64,
    /// Leakage at the highest volts before anything is read: an estimate.
    pub expected: Vec<[f64; 4]>,
    /// What to do, in order.
    pub acts: Vec<String>,
    /// When to take the volts off at once.
    pub stop_signs: Vec<String>,
    /// Cautions of these acts.
    pub cautions: Vec<String>,
    /// What was read.
    pub readings: Vec<FormingReadingView>,
    /// `not_begun`, `go_on`, `next_volts`, `accepted`, `stop` or `replace`.
    pub verdict: &'static str,
    /// Why.
    pub because: Vec<String>,
    /// Volts to put on next, of `next_volts`.
    pub next_volts: Option<f64>,
    /// Volts across the section at the last reading.
    pub section_volts: Option<f64>,
    /// Heat in it then.
    pub section_watts: Option<f64>,
    /// Whether the last reading meets what data sheets of new parts state.
    pub meets_limit_of_new_parts: Option<bool>,
    /// Leakage at which it may be accepted: the limit, or less where that would leave too few volts across the section.
    pub goal_milliamperes: f64,
    /// The readings continued, held against that; `null` before there are three at the same volts.
    pub forecast: Option<FormingForecastView>,
    /// Volts that were left at the last discharge; `null` where none was entered since the last reading.
    pub volts_left: Option<f64>,
    /// How it ended; `null` while it has not.
    pub ended: Option<FormingEndView>,
}

/// The resistor between source and capacitor.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SeriesResistorView {
    /// Ohms of all pieces together.
    pub ohms: f64,
    /// Pieces in series.
    pub pieces: usize,
    /// Ohms of each.
    pub piece_ohms: f64,
    /// Rated watts of each.
    pub piece_watts: f64,
    /// Highest volts across each.
    pub piece_volts: f64,
    /// Least ohms that keep the current of a dead short.
    pub least_ohms_for_current: f64,
    /// Least ohms that keep the heat in the can.
    pub least_ohms_for_heat: f64,
    /// Heat in all pieces when the section is a dead short.
    pub watts_at_a_short: f64,
    /// Current then.
    pub milliamperes_at_a_short: f64,
    /// Most heat in the can, whatever it leaks.
    pub most_watts_in_can: f64,
}

/// One reading.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FormingReadingView {
    /// The entry.
    pub entry: u64,
    /// Minutes since the volts were put on.
    pub minutes: f64,
    /// Volts of the source.
    pub source_volts: f64,
    /// Volts across the section, where measured.
    pub section_volts: Option<f64>,
    /// Leakage.
    pub milliamperes: f64,
    /// Warmth of the case.
    pub case_celsius: Option<f64>,
    /// Whether it was taken at the present volts in the present go.
    pub is_at_present_volts: bool,
}

/// The readings continued.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FormingForecastView {
    /// Minutes, low, expected, high.
    pub curve: Vec<[f64; 4]>,
    /// Weight of meeting the goal within a day, 0 to 1.
    pub meets_within_a_day: f64,
    /// Minutes at which the goal is met: early, middle, late; `null` beyond a day.
    pub meets_at_minutes: [Option<f64>; 3],
}

/// How a forming ended.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct FormingEndView {
    /// `accepted`, `stopped` or `replace`.
    pub end: &'static str,
    /// Why.
    pub because: String,
    /// The entry.
    pub entry: u64,
    /// When.
    pub at: String,
}

/// The answer of `reform` that entered something.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FormingRecordedView {
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
    /// The forming as it stands now.
    pub forming: FormingView,
    /// What is worth knowing besides.
    pub notices: Vec<NoticeView>,
}

/// The answer of `reform` about a whole set.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FormingsView {
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
    /// Its electrolytics in the order of the sheet.
    pub electrolytics: Vec<FormingListView>,
}

/// One electrolytic of a set.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FormingListView {
    /// The section.
    pub part: String,
    /// Marked capacitance.
    pub microfarads: f64,
    /// Marked volts; `null` where the sheet has none, and then it is not formed.
    pub volts: Option<f64>,
    /// `as_found`, `re_formed` or `replaced`.
    pub state: &'static str,
    /// The verdict of its readings; `null` where it cannot be formed.
    pub verdict: Option<&'static str>,
    /// How its forming ended.
    pub ended: Option<&'static str>,
    /// Leakage at which it is accepted.
    pub limit_milliamperes: Option<f64>,
}
