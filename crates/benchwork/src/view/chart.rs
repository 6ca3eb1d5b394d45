//! The maker's chart beside the prediction, as `chart` answers it.
//!
//! Volts and ohms, by each row's `what`. From low to high lie nine of ten sets as they left
//! the maker. An open reading of the chart in ohms is `null` with `open` beside it. Making a
//! view cannot fail.

use receiver::chart::{ChartReport, ChartRow, Slip, SlipChange, Verdict};
use serde::Serialize;

use crate::view::{NoticeView, six_figures};
use crate::{FORMAT, PROGRAM_VERSION};

/// The answer of `chart`.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ChartView {
    /// Edition of this form.
    pub format: u32,
    /// Version of the program.
    pub program: &'static str,
    /// Edition of the published figures.
    pub data: &'static str,
    /// Line volts of the maker's readings.
    pub line_volts: f64,
    /// The meter as the chart names it.
    pub meter: String,
    /// How many rows have each verdict.
    pub counts: ChartCountsView,
    /// Every figure of the chart.
    pub rows: Vec<ChartRowView>,
    /// Possible slips of the pen, the likeliest first.
    pub slips: Vec<SlipView>,
    /// Changes that were tried.
    pub tried: usize,
    /// What is worth knowing besides.
    pub notices: Vec<NoticeView>,
}

/// How many rows have each verdict.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct ChartCountsView {
    /// In the band.
    pub agrees: usize,
    /// Outside.
    pub disagrees: usize,
    /// The prediction rests on the figure itself.
    pub rests_on_chart: usize,
    /// No prediction covers it.
    pub not_covered: usize,
}

/// One figure of the chart.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ChartRowView {
    /// Where the maker put his lead.
    pub at: String,
    /// Where the other was.
    pub to: String,
    /// What is read, with its unit.
    pub what: &'static str,
    /// The maker's figure; `null` where he found the place open.
    pub charted: Option<f64>,
    /// Whether he found the place open.
    pub open: bool,
    /// Line of the row in the sheet.
    pub line: usize,
    /// Lower end of the band.
    pub low: Option<f64>,
    /// What the sheet predicts.
    pub expected: Option<f64>,
    /// Upper end of the band.
    pub high: Option<f64>,
    /// `agrees`, `chart_high`, `chart_low`, `rests_on_chart` or `not_covered`.
    pub verdict: &'static str,
    /// Why no prediction covers it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub because: Option<String>,
}

/// A possible slip.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SlipView {
    /// What may have slipped and how it would be right.
    pub text: String,
    /// `figure`, `figures_exchanged`, `part_ohms`, `part_end` or `pins_exchanged`.
    pub kind: &'static str,
    /// Places whose figures would agree then.
    pub brings_home: Vec<String>,
    /// Places whose figures would agree no more.
    pub drives_out: Vec<String>,
}

impl ChartView {
    /// The view of a report.
    pub fn of(report: &ChartReport, more: Vec<NoticeView>) -> ChartView {
        let mut notices: Vec<NoticeView> = report
            .notices
            .iter()
            .cloned()
            .map(NoticeView::from)
            .collect();
        for notice in more {
            if !notices.iter().any(|known| known.text == notice.text) {
                notices.push(notice);
            }
        }
        ChartView {
            format: FORMAT,
            program: PROGRAM_VERSION,
            data: parts::DATA_EDITION,
            line_volts: six_figures(report.line_volts),
            meter: report.meter.clone(),
            counts: ChartCountsView {
                agrees: report.count(|verdict| *verdict == Verdict::Agrees),
                disagrees: report.count(Verdict::disagrees),
                rests_on_chart: report.count(|verdict| *verdict == Verdict::RestsOnChart),
                not_covered: report.count(|verdict| matches!(verdict, Verdict::NotCovered { .. })),
            },
            rows: report.rows.iter().map(row).collect(),
            slips: report
                .slips
                .iter()
                .map(|own| slip(own, &report.rows))
                .collect(),
            tried: report.tried,
            notices,
        }
    }
}

fn row(row: &ChartRow) -> ChartRowView {
    let (verdict, because) = match &row.verdict {
        Verdict::Agrees => ("agrees", None),
        Verdict::ChartHigh => ("chart_high", None),
        Verdict::ChartLow => ("chart_low", None),
        Verdict::RestsOnChart => ("rests_on_chart", None),
        Verdict::NotCovered { because } => ("not_covered", Some(because.clone())),
    };
    let band = row.expected.as_ref();
    ChartRowView {
        at: row.at.clone(),
        to: row.to.clone(),
        what: row.what.name(),
        charted: row.charted.is_finite().then(|| six_figures(row.charted)),
        open: row.charted.is_infinite(),
        line: row.line,
        low: band.map(|band| six_figures(band.low)),
        expected: band.map(|band| six_figures(band.expected)),
        high: band.map(|band| six_figures(band.high)),
        verdict,
        because,
    }
}

fn slip(slip: &Slip, rows: &[ChartRow]) -> SlipView {
    let names = |positions: &[usize]| {
        let mut names: Vec<String> = Vec::new();
        for row in positions.iter().filter_map(|position| rows.get(*position)) {
            if !names.contains(&row.at) {
                names.push(row.at.clone());
            }
        }
        names
    };
    SlipView {
        text: slip.text.clone(),
        kind: match slip.change {
            SlipChange::Figure { .. } => "figure",
            SlipChange::FiguresExchanged { .. } => "figures_exchanged",
            SlipChange::PartOhms { .. } => "part_ohms",
            SlipChange::PartEnd { .. } => "part_end",
            SlipChange::PinsExchanged { .. } => "pins_exchanged",
        },
        brings_home: names(&slip.brings_home),
        drives_out: names(&slip.drives_out),
    }
}
