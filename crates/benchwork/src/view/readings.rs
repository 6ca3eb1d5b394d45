//! What a meter should show, as `expect` and `ohms` answer it.
//!
//! Units: with each reading's `what`. From low to high lie nine of ten healthy
//! sets of the sheet; a reading that cannot be told stands in `unknown` with its
//! reason and never as a number.

use receiver::reading::{Lead, Reading, Unknown};
use serde::Serialize;

use crate::view::{ConditionsView, NoticeView, six_figures};

/// The answer of `expect` and of `ohms`.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ExpectationView {
    /// Edition of this form.
    pub format: u32,
    /// Version of the program.
    pub program: &'static str,
    /// Edition of the published figures.
    pub data: &'static str,
    /// How the set stands on the bench.
    pub conditions: ConditionsView,
    /// What is read where.
    pub readings: Vec<ReadingView>,
    /// What cannot be told, and why.
    pub unknown: Vec<UnknownView>,
    /// What is worth knowing besides.
    pub notices: Vec<NoticeView>,
}

/// One predicted reading.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ReadingView {
    /// Place, tube or part; `line` or `lamp` for those of the whole set.
    pub at: String,
    /// Where the other lead is.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub to: Option<String>,
    /// What is read, with its unit.
    pub what: &'static str,
    /// Which lead of the ohmmeter is at the place, `+` or `-`; absent where it makes no difference.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub lead: Option<&'static str>,
    /// Lower end of the band.
    pub low: f64,
    /// The nominal value.
    pub expected: f64,
    /// Upper end of the band.
    pub high: f64,
    /// What the band is made of, the largest share first.
    pub made_of: Vec<ShareView>,
}

impl From<&Reading> for ReadingView {
    fn from(reading: &Reading) -> Self {
        ReadingView {
            at: reading.at.clone(),
            to: reading.to.clone(),
            what: reading.what.name(),
            lead: reading.lead.map(Lead::sign),
            low: six_figures(reading.band.low),
            expected: six_figures(reading.band.expected),
            high: six_figures(reading.band.high),
            made_of: reading
                .band
                .made_of
                .iter()
                .map(|share| ShareView {
                    cause: share.cause.clone(),
                    share: six_figures(share.share),
                })
                .collect(),
        }
    }
}

/// One cause of a band's width.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ShareView {
    /// The cause in words.
    pub cause: String,
    /// Its share; all shares of a band make one.
    pub share: f64,
}

/// A reading that cannot be told.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct UnknownView {
    /// Place, tube or part.
    pub at: String,
    /// What would be read.
    pub what: &'static str,
    /// Why it cannot be told.
    pub because: String,
}

impl From<&Unknown> for UnknownView {
    fn from(unknown: &Unknown) -> Self {
        UnknownView {
            at: unknown.at.clone(),
            what: unknown.what.name(),
            because: unknown.because.clone(),
        }
    }
}
