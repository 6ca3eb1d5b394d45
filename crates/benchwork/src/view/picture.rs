//! A picture tube judged, as it is shown and as scripts read it.
//!
//! Units: in each field's name; emission in the unit that its entry names. `null` is unknown,
//! never zero. Bands hold nine of ten. Making a view cannot fail.

use quantity::Band;
use serde::Serialize;

use super::{BaseView, EntryView, NoticeView, ShareView, six_figures};

/// The answer of `picture` after an entry.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FoundView {
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
    /// The tube judged with them; `null` while its type is not known.
    pub picture: Option<PictureView>,
    /// What is worth knowing besides.
    pub notices: Vec<NoticeView>,
}

/// The answer of `picture`.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PictureView {
    /// Edition of this form.
    pub format: u32,
    /// Version of the program.
    pub program: &'static str,
    /// Edition of the published figures.
    pub data: &'static str,
    /// The restoration's file; `null` for a type alone.
    pub file: Option<String>,
    /// Name of the restoration.
    pub restoration: Option<String>,
    /// The tube, such as V17; `null` for a type alone.
    pub tube: Option<String>,
    /// Its type.
    #[serde(rename = "type")]
    pub type_name: String,
    /// How many entries the judgement rests on.
    pub entries: usize,
    /// The verdict; `null` for a type alone.
    pub verdict: Option<VerdictView>,
    /// Cheap cures in the order in which they are tried; empty where none is needed.
    pub cures: Vec<CureView>,
    /// The heater.
    pub heater: HeaterJudgedView,
    /// Ohms between elements.
    pub leaks: Vec<LeakView>,
    /// Cut-off, drive and brightness.
    pub drive: DriveView,
    /// Emission against time, the last sitting last.
    pub emission: Vec<EmissionView>,
    /// The last sitting against the one before, or this tube against another.
    pub comparisons: Vec<ComparisonView>,
    /// The method without a tester.
    pub bench: BenchMethodView,
    /// The life test.
    pub life_test: Option<LifeTestView>,
    /// Cathode current of the working set.
    pub running_set: Option<RunningSetView>,
    /// The ion trap.
    pub ion_trap: IonTrapView,
    /// What changes with types that may stand in.
    pub stand_ins: Vec<StandInView>,
    /// Gentle recovery; `null` for a type alone.
    pub recovery: Option<RecoveryView>,
    /// Base and pins, where they are recorded.
    pub base: Option<BaseView>,
    /// What holds for every work at a picture tube.
    pub cautions: Vec<String>,
    /// What is worth knowing besides.
    pub notices: Vec<NoticeView>,
}

/// The verdict.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct VerdictView {
    /// `good`, `usable`, `tired`, `spent` or `cannot_tell`.
    pub standing: &'static str,
    /// In words.
    pub text: String,
    /// Why, the weightiest first.
    pub reasons: Vec<String>,
    /// What would change it.
    pub would_change: Vec<String>,
}

/// A cheap cure.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct CureView {
    /// Its short name, as `picture FILE tried` takes it.
    pub name: &'static str,
    /// What it is for.
    pub because: String,
    /// What is done.
    pub acts: Vec<ActView>,
    /// The rest in words.
    pub text: String,
    /// What it gained where it was tried; `null` where it was not.
    pub gained: Option<String>,
}

/// One act with its cautions.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct ActView {
    /// In words.
    pub text: String,
    /// What to mind.
    pub cautions: Vec<String>,
}

/// The heater.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct HeaterJudgedView {
    /// Rated volts.
    pub rated_volts: Option<f64>,
    /// Rated amperes.
    pub rated_amperes: Option<f64>,
    /// What it should measure cold, least.
    pub cold_ohms_low: Option<f64>,
    /// Most.
    pub cold_ohms_high: Option<f64>,
    /// What was found of it.
    pub findings: Vec<FindingView>,
}

/// One finding.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct FindingView {
    /// Its kind.
    pub kind: &'static str,
    /// In words.
    pub text: String,
}

/// A reading between two elements.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LeakView {
    /// Element at the plus lead.
    pub plus: &'static str,
    /// Element at the minus lead.
    pub minus: &'static str,
    /// Ohms; `null` for an open place.
    pub ohms: Option<f64>,
    /// Whether the heater was hot.
    pub hot: bool,
    /// `sound`, `watch`, `leaks`, `short` or `says_nothing`.
    pub verdict: &'static str,
    /// What it does, or why nothing is said.
    pub text: String,
}

/// A band.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BandView {
    /// Low end.
    pub low: f64,
    /// Expected.
    pub expected: f64,
    /// High end.
    pub high: f64,
    /// What makes it wide.
    pub made_of: Vec<ShareView>,
}

impl BandView {
    /// A band, its values multiplied by a factor.
    pub fn new(band: &Band, times: f64) -> BandView {
        let share = |share: &quantity::Share| ShareView {
            cause: share.cause.clone(),
            share: six_figures(share.share),
        };
        BandView {
            low: six_figures(band.low * times),
            expected: six_figures(band.expected * times),
            high: six_figures(band.high * times),
            made_of: band.made_of.iter().map(share).collect(),
        }
    }
}

/// Cut-off and drive.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DriveView {
    /// Volts of the second grid that it is told for.
    pub second_grid_volts: Option<f64>,
    /// Where these come from.
    pub second_grid_from: String,
    /// Volts that the grid must stand below the cathode, least and most of the type.
    pub cut_off_by_grid: Option<[f64; 2]>,
    /// Volts by which the cathode must be raised, least and most.
    pub cut_off_by_cathode: Option<[f64; 2]>,
    /// How the type's figures are known.
    pub standing: Option<String>,
    /// Where they come from.
    pub source: Option<String>,
    /// Why nothing is told.
    pub unknown: Option<String>,
    /// Cathode current at zero bias, microamperes.
    pub zero_bias_microamperes: Option<BandView>,
    /// The published laws side by side, the middle tube of the type.
    pub laws: Vec<LawPointView>,
    /// The brightest current for so many volts of picture.
    pub brightness: Vec<BrightnessView>,
    /// Cut-off readings against the type.
    pub readings: Vec<CutOffView>,
    /// What the set does to the tube between both ends of its brightness control.
    pub set_range: Option<SetRangeView>,
    /// Why that is not told; `null` where it is, or was not asked for.
    pub set_range_unknown: Option<String>,
}

/// The brightness control's range.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SetRangeView {
    /// The control.
    pub control: String,
    /// Its dark end.
    pub dark: RangeEndView,
    /// Its bright end.
    pub bright: RangeEndView,
}

/// One end of it, no picture on.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RangeEndView {
    /// Volts that the grid stands below the cathode.
    pub bias_volts: f64,
    /// Volts of the second grid to the cathode.
    pub second_grid_volts: Option<f64>,
    /// Cathode current there; `null` where the type's cut-off is not known.
    pub microamperes: Option<BandView>,
    /// In words.
    pub text: String,
}

/// Cathode current at one bias by each law.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LawPointView {
    /// Volts that the grid stands below the cathode.
    pub bias_volts: f64,
    /// Microamperes by each law, the one that falls least first.
    pub microamperes: Vec<f64>,
    /// All of the type's tubes.
    pub band: BandView,
}

/// The brightest current for one drive.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BrightnessView {
    /// Volts of picture from black to white.
    pub drive_volts: f64,
    /// Driven at the grid, microamperes.
    pub by_grid: BandView,
    /// Driven at the cathode, microamperes.
    pub by_cathode: BandView,
    /// What that is in a picture.
    pub text: String,
}

/// A reading of cut-off.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct CutOffView {
    /// Volts that the grid stood below the cathode.
    pub grid_volts: Option<f64>,
    /// Volts of the second grid.
    pub second_grid_volts: Option<f64>,
    /// Whether the beam went out.
    pub reached: Option<bool>,
    /// `inside`, `low`, `high` or `says_nothing`.
    pub verdict: &'static str,
    /// In words.
    pub text: String,
}

/// Emission of one sitting.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct EmissionView {
    /// The sitting's name; empty for the first one.
    pub sitting: String,
    /// Unit of all levels.
    pub unit: String,
    /// Where the scale ends.
    pub scale_end: f64,
    /// Minutes and readings, as they were read.
    pub readings: Vec<[f64; 2]>,
    /// Level at the last reading, at rated heater.
    pub now: BandView,
    /// Level it is heading for.
    pub heading: BandView,
    /// Whether that may be told.
    pub heading_is_told: bool,
    /// Why not; empty where it is.
    pub because: String,
    /// `rising`, `falling`, `steady` or `cannot_tell`.
    pub direction: &'static str,
    /// Chance that it still rises by more than a few percent.
    pub chance_of_rising: f64,
    /// Chance that it falls by as much.
    pub chance_of_falling: f64,
    /// When it is known to within 5 percent, in words.
    pub known: String,
    /// Further minutes until then; 0 now, `null` where that is not told.
    pub known_in_minutes: Option<f64>,
    /// `worth`, `not_worth` or `cannot_tell`.
    pub waiting: &'static str,
    /// Whether to wait, in words.
    pub waiting_text: String,
    /// Readings that look misread, counted from 1.
    pub misread: Vec<usize>,
    /// Readings at the end of the scale, counted from 1.
    pub at_scale_end: Vec<usize>,
    /// What is worth knowing besides.
    pub notices: Vec<String>,
    /// Minutes, low, middle, high: fit with its band, and forecast.
    pub curve: Vec<[f64; 4]>,
}

/// A comparison.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ComparisonView {
    /// The first.
    pub first: String,
    /// The second.
    pub second: String,
    /// `first`, `second` or `cannot_tell`.
    pub better: &'static str,
    /// Chance that it is.
    pub chance: Option<f64>,
    /// Ratio of the levels headed for, first over second.
    pub ratio: Option<BandView>,
    /// In words.
    pub text: String,
}

/// The method without a tester.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BenchMethodView {
    /// Why it is not told; `null` where it is.
    pub unknown: Option<String>,
    /// Volts of the d.c. source.
    pub source_volts: f64,
    /// The protective resistor.
    pub resistor_ohms: Option<f64>,
    /// The most that can flow.
    pub most_microamperes: Option<f64>,
    /// The wires.
    pub wires: Vec<WireView>,
    /// What is done, in its order.
    pub acts: Vec<ActView>,
    /// Current to expect of a sound tube.
    pub expected_microamperes: Option<BandView>,
    /// The same at half the source's volts.
    pub at_half_microamperes: Option<BandView>,
    /// Why no current is told.
    pub current_unknown: Option<String>,
    /// What was read so far against the type.
    pub readings: Vec<BenchReadingView>,
    /// `follows_the_law`, `tired`, `spent` or `cannot_tell`; `null` before a reading.
    pub cathode: Option<FindingView>,
}

/// A wire.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct WireView {
    /// One end.
    pub from: String,
    /// The other.
    pub to: String,
    /// What it leads through; empty for a plain wire.
    pub through: String,
}

/// A bench current.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BenchReadingView {
    /// Volts at the second grid.
    pub second_grid_volts: f64,
    /// At once.
    pub microamperes: f64,
    /// Ten seconds later.
    pub microamperes_later: f64,
    /// What the type should show.
    pub band: Option<BandView>,
    /// `inside`, `low`, `high` or `says_nothing`.
    pub verdict: &'static str,
}

/// The life test.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LifeTestView {
    /// Reserve of emission over demand; `null` where it is not told.
    pub reserve: Option<BandView>,
    /// At least so much, where the fall is too small to tell more.
    pub reserve_at_least: Option<f64>,
    /// Seconds of the last reading that counts.
    pub at_seconds: Option<f64>,
    /// Share of the first reading left then.
    pub left: Option<f64>,
    /// Share that a good cathode leaves, least and most.
    pub good_leaves: Option<[f64; 2]>,
    /// In words.
    pub text: String,
}

/// Cathode current of the working set.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RunningSetView {
    /// `inside`, `low` or `high`.
    pub verdict: &'static str,
    /// What is usual.
    pub usual_microamperes: BandView,
}

/// The ion trap.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct IonTrapView {
    /// `none`, `single`, `double` or `not_known`.
    pub need: &'static str,
    /// Why.
    pub text: String,
    /// How it is set, step by step; empty where none is needed.
    pub setting: Vec<String>,
    /// What a wrong setting does.
    pub wrong: String,
}

/// A type that may stand in.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct StandInView {
    /// Its number.
    #[serde(rename = "type")]
    pub name: String,
    /// Whether it was asked for, or is the catalogue's own word.
    pub asked: bool,
    /// What changes by the two rows.
    pub changes: Vec<String>,
    /// What the catalogue's list of replacements says; empty where it says nothing.
    pub listed_as: String,
}

/// Gentle recovery.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RecoveryView {
    /// Steps in their order.
    pub steps: Vec<RecoveryStepView>,
    /// Highest heater volts of any step.
    pub highest_volts: Option<f64>,
    /// Longest time in all, minutes.
    pub total_minutes: f64,
    /// Why more is not advised now.
    pub not_advised: Vec<String>,
    /// What it may cost.
    pub cost: String,
    /// What harsher ways are.
    pub harsher: String,
}

/// One step of it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RecoveryStepView {
    /// What is done.
    pub act: ActView,
    /// Heater volts.
    pub heater_volts: f64,
    /// Longest time at it, minutes.
    pub longest_minutes: f64,
    /// When to stop.
    pub stop_rule: String,
}
