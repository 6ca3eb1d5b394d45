//! A reading judged, as it is shown and as scripts read it.
//!
//! Units of the reading's kind. Nothing here fails.

use receiver::judge_reading::{Judgement, MeantAs, ReadingVerdict, TakenReading};
use receiver::sweep_drive::Danger;
use serde::Serialize;

use super::DangerView;

/// A reading set against its band.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct JudgedView {
    /// `inside`, `low`, `high` or `says_nothing`.
    pub verdict: &'static str,
    /// Why nothing is said; empty otherwise.
    pub because: String,
    /// The kind of the reading.
    pub what: &'static str,
    /// Low end of the band.
    pub low: Option<f64>,
    /// What is expected.
    pub expected: Option<f64>,
    /// High end.
    pub high: Option<f64>,
    /// What the value may have been meant as, where it must be a slip.
    pub meant_as: Option<MeantView>,
    /// The bands that it narrows most, d.c. volts to chassis.
    pub narrows: Vec<NarrowedView>,
    /// What to read next, d.c. volts to chassis; null in danger.
    pub next: Option<NextView>,
    /// What must be done at once by what was read, this reading or one before it; null for nothing.
    pub danger: Option<DangerView>,
}

/// What a value may have been meant as.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct MeantView {
    /// `times`, `leads_exchanged` or `other_pin`.
    pub kind: &'static str,
    /// The value that would fit.
    pub value: f64,
    /// The place that would fit.
    pub at: String,
}

/// A narrowed band.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NarrowedView {
    /// The place.
    pub at: String,
    /// Low end before.
    pub before_low: f64,
    /// High end before.
    pub before_high: f64,
    /// Low end now.
    pub low: f64,
    /// High end now.
    pub high: f64,
}

/// The next reading.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct NextView {
    /// The place.
    pub at: String,
    /// Low end of its band.
    pub low: f64,
    /// What is expected.
    pub expected: f64,
    /// High end.
    pub high: f64,
    /// Why there.
    pub because: String,
}

impl JudgedView {
    /// A reading of which nothing can be said.
    pub fn nothing(because: &str) -> JudgedView {
        JudgedView {
            verdict: "says_nothing",
            because: because.to_owned(),
            what: "",
            low: None,
            expected: None,
            high: None,
            meant_as: None,
            narrows: Vec::new(),
            next: None,
            danger: None,
        }
    }

    /// The same with a danger: nothing is read next then.
    #[must_use]
    pub fn in_danger(self, danger: Option<Danger>) -> JudgedView {
        let Some(danger) = danger else { return self };
        JudgedView {
            next: None,
            danger: Some(danger.into()),
            ..self
        }
    }

    /// The view of a judgement.
    pub fn of(judgement: &Judgement, taken: &TakenReading) -> JudgedView {
        let (verdict, because) = match &judgement.verdict {
            ReadingVerdict::Inside => ("inside", String::new()),
            ReadingVerdict::Low => ("low", String::new()),
            ReadingVerdict::High => ("high", String::new()),
            ReadingVerdict::SaysNothing { because } => ("says_nothing", because.clone()),
        };
        let band = judgement.band.as_ref();
        JudgedView {
            verdict,
            because,
            what: taken.what.name(),
            low: band.map(|band| band.low),
            expected: band.map(|band| band.expected),
            high: band.map(|band| band.high),
            meant_as: judgement.meant_as.as_ref().map(|meant| match meant {
                MeantAs::Times(factor) => MeantView {
                    kind: "times",
                    value: factor * taken.value,
                    at: taken.at.clone(),
                },
                MeantAs::LeadsExchanged => MeantView {
                    kind: "leads_exchanged",
                    value: -taken.value,
                    at: taken.at.clone(),
                },
                MeantAs::OtherPin(at) => MeantView {
                    kind: "other_pin",
                    value: taken.value,
                    at: at.clone(),
                },
            }),
            narrows: judgement
                .narrows
                .iter()
                .map(|narrowed| NarrowedView {
                    at: narrowed.at.clone(),
                    before_low: narrowed.before.0,
                    before_high: narrowed.before.1,
                    low: narrowed.after.0,
                    high: narrowed.after.1,
                })
                .collect(),
            next: judgement.next.as_ref().map(|next| NextView {
                at: next.at.clone(),
                low: next.band.low,
                expected: next.band.expected,
                high: next.band.high,
                because: next.because.clone(),
            }),
            danger: None,
        }
    }
}
