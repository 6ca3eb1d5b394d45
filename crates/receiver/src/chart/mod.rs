//! The maker's chart laid beside the prediction: agreements, slips of the pen, gaps.
//!
//! Volts and ohms. The set is solved as the maker had it: at his line, with his meter, every
//! part and tube new and of its marked value, whatever `[state]` says of today. Each figure of
//! the chart is then held against the band of that prediction (`rows`). A figure on which
//! the prediction itself rests, because a signal makes the volts there, proves nothing and is
//! marked so. Where figures disagree, `slips` looks for the one change of the sheet or of
//! the chart that brings most of them home. Fails when the sheet has no chart, or as
//! [`crate::expect`] does.

mod candidates;
mod mended;
mod rows;
mod slips;
mod words;

use parts::Catalogue;

use crate::expect::ExpectError;
use crate::reading::Notice;
use crate::sheet::{Sheet, State};
use crate::wiring::SetModel;

pub use rows::{ChartRow, Verdict};
pub use slips::{End, Slip, SlipChange};

/// The chart beside the prediction.
#[derive(Debug, Clone)]
pub struct ChartReport {
    /// Every figure of the chart, in its order: volts, then ohms.
    pub rows: Vec<ChartRow>,
    /// Changes that bring disagreeing figures home, the best first.
    pub slips: Vec<Slip>,
    /// What was assumed, and what a chart cannot show.
    pub notices: Vec<Notice>,
    /// Line volts of the prediction.
    pub line_volts: f64,
    /// The meter's words; empty for an ideal one.
    pub meter: String,
    /// Changes tried.
    pub tried: usize,
    /// Whether the search for slips was stopped before its end.
    pub stopped: bool,
}

impl ChartReport {
    /// How many figures have this verdict.
    pub fn count(&self, fits: impl Fn(&Verdict) -> bool) -> usize {
        self.rows.iter().filter(|row| fits(&row.verdict)).count()
    }
}

/// Why no chart was laid.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ChartError {
    /// The sheet has no readings of the maker.
    #[error("the sheet has no chart: expected `[chart]` with `volts` or `ohms` rows")]
    NoChart,
    /// The set could not be solved.
    #[error(transparent)]
    Expect(#[from] ExpectError),
}

/// Lays the chart of a sheet beside its prediction. `go_on` is asked now and then with the
/// share of the work that is done; on `false` the search for slips ends and what was found
/// so far is told.
///
/// # Errors
/// [`ChartError`].
pub fn lay_chart(
    sheet: &Sheet,
    catalogue: &Catalogue,
    go_on: &mut dyn FnMut(f64) -> bool,
) -> Result<ChartReport, ChartError> {
    let chart = match &sheet.chart {
        Some(chart) if !(chart.volts.is_empty() && chart.ohms.is_empty()) => chart,
        _ => return Err(ChartError::NoChart),
    };
    let made = as_made(sheet);
    let model = SetModel::new(&made, catalogue);
    let laid = rows::lay(&model)?;
    let found = slips::search(&model, catalogue, &laid, go_on);
    let mut notices = laid.notices;
    if chart.meter.is_none() {
        let text = if chart.meter_text.is_empty() {
            "the chart does not say with which meter it was taken: an ideal one is assumed"
                .to_string()
        } else {
            format!(
                "the chart's meter \"{}\" is not understood: an ideal one is assumed",
                chart.meter_text
            )
        };
        notices.push(Notice {
            text,
            hint: "places behind high resistance read too low on a real meter".to_string(),
        });
    }
    if !chart.conditions.is_empty() {
        notices.push(Notice {
            text: format!(
                "the maker took his figures with: {}; the prediction has the controls as the sheet sets them",
                chart.conditions
            ),
            hint: "a control that the maker turned elsewhere moves its stage".to_string(),
        });
    }
    if found.stopped {
        notices.push(Notice {
            text: "the search for slips was stopped before its end".to_string(),
            hint: String::new(),
        });
    }
    Ok(ChartReport {
        rows: laid.rows,
        slips: found.slips,
        notices,
        line_volts: chart.line_volts.unwrap_or(sheet.line_volts),
        meter: chart.meter_text.clone(),
        tried: found.tried,
        stopped: found.stopped,
    })
}

/// The set as it left the maker: all parts and tubes new, nothing cut loose, no value
/// measured since.
fn as_made(sheet: &Sheet) -> Sheet {
    let tubes = sheet.tubes.iter().map(|tube| tube.reference.clone());
    let parts = sheet.parts.iter().map(|part| part.reference.clone());
    Sheet {
        state: State {
            replaced: tubes.chain(parts).collect(),
            ..State::default()
        },
        state_given: true,
        ..sheet.clone()
    }
}
