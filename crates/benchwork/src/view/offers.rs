//! The answer of `suspects FILE next`: measurements that are offered, and what each would mean.
//!
//! Information in bits, efforts in minutes with the danger in them, chances and weights plain.
//! Nothing here fails.

use serde::Serialize;

use super::{ConditionsView, DangerView, NoticeView};

/// The answer.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct OffersView {
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
    /// How the ranking stands, as in the answer of `suspects`.
    pub verdict: &'static str,
    /// The conditions that may be read in.
    pub conditions: Vec<ConditionsView>,
    /// Those in which the set stands now, by their place in the list.
    pub present: usize,
    /// What must be done at once by what was read; null for nothing.
    pub danger: Option<DangerView>,
    /// What comes before everything that is offered; empty for nothing.
    pub first: Vec<String>,
    /// What is offered, the best first.
    pub offers: Vec<NextOfferView>,
    /// How many more were offered.
    pub not_told: usize,
    /// The usual cautions.
    pub cautions: Vec<String>,
    /// Dangers of this set and bench, whatever is measured.
    pub dangers: Vec<String>,
    /// What is worth knowing besides.
    pub notices: Vec<NoticeView>,
}

/// One measurement.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NextOfferView {
    /// `read`, `part_ohms`, `ohms_in_place`, `ohms_out_of_holder`, `part_leakage`, `part_capacitance`, `loose_end`, `capacitor_bridge`, `capacitor_exchange`,
    /// `tube_exchange`, `tube_tester`, `signal` or `glow`.
    pub kind: &'static str,
    /// The place, part or tube.
    pub at: String,
    /// The kind of reading; null for a check of a part.
    pub what: Option<&'static str>,
    /// In which conditions, by their place in the list; null for a check of a part.
    pub conditions: Option<usize>,
    /// What it is expected to tell.
    pub bits: f64,
    /// What it takes.
    pub effort_minutes: f64,
    /// Other places where the same reading tells nearly the same.
    pub also: Vec<String>,
    /// What is done, in order.
    pub acts: Vec<String>,
    /// What to mind with it, besides.
    pub cautions: Vec<String>,
    /// What each outcome would mean.
    pub meanings: Vec<MeaningView>,
}

/// What one outcome would mean.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MeaningView {
    /// `low`, `inside` or `high` of a reading, each as one stretch or several; `good`, `bad` or `otherwise` (bad, but not as
    /// the readings ask for; of a signal weak or bent) of a part or a signal; of a heater how it glows: `dark`, `dim`,
    /// `as usual` or `too bright`.
    pub outcome: &'static str,
    /// From which reading on; null where it has no such end.
    pub from: Option<f64>,
    /// Up to which reading.
    pub to: Option<f64>,
    /// Its chance.
    pub chance: f64,
    /// Those that would gain most by it.
    pub gains: Vec<GainView>,
}

/// One that would gain.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct GainView {
    /// The part, or in words nothing wrong, or a fault not listed.
    pub who: String,
    /// Its weight now.
    pub now: f64,
    /// Its weight then.
    pub then: f64,
}
