//! Each figure of the maker's chart beside the band of the prediction.
//!
//! Volts and ohms. The prediction is that of [`crate::expect`] and [`crate::ohms`] under the
//! maker's conditions; a figure counts as agreeing when it lies in the band, with one in a
//! hundred (at least a twentieth of a volt) for the chart's own last digit. Places that no
//! prediction reaches keep the reason. Fails as those two do.

use std::collections::BTreeMap;
use std::collections::btree_map::Entry;

use quantity::Band;

use crate::conditions::BenchConditions;
use crate::expect::{ExpectError, Expectation, Predictor};
use crate::ohms::{cold_ohms_of, reads_open};
use crate::reading::{Notice, What};
use crate::sheet::{ChartReading, Place, Sheet};
use crate::whole_set::Trials;
use crate::wiring::SetModel;

/// Share of a figure that its last printed digit may hide (common practice: two or three
/// figures are printed).
const DIGIT_SHARE: f64 = 0.01;
/// The same in volts where the figure is small.
const DIGIT_VOLTS: f64 = 0.05;

/// One figure of the chart beside the prediction.
#[derive(Debug, Clone, PartialEq)]
pub struct ChartRow {
    /// Where the maker put his lead.
    pub at: String,
    /// Where the other was.
    pub to: String,
    /// Volts or ohms.
    pub what: What,
    /// The maker's figure; infinite ohms where he found the place open.
    pub charted: f64,
    /// Line of the row in the sheet.
    pub line: usize,
    /// What the sheet predicts; `None` where nothing is told, or an ohmmeter finds it open.
    pub expected: Option<Band>,
    /// How both stand together.
    pub verdict: Verdict,
}

/// How a figure of the chart and the prediction stand together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Verdict {
    /// The figure lies in the band.
    Agrees,
    /// The chart is above the band.
    ChartHigh,
    /// The chart is below the band.
    ChartLow,
    /// The prediction rests on this figure, so it proves nothing.
    RestsOnChart,
    /// No prediction covers it.
    NotCovered {
        /// Why.
        because: String,
    },
}

impl Verdict {
    /// Whether figure and prediction disagree.
    pub fn disagrees(&self) -> bool {
        matches!(self, Verdict::ChartHigh | Verdict::ChartLow)
    }

    /// Whether the figure could be held against a prediction of its own.
    pub fn tells(&self) -> bool {
        matches!(
            self,
            Verdict::Agrees | Verdict::ChartHigh | Verdict::ChartLow
        )
    }
}

/// The chart laid out.
pub(super) struct Laid<'m, 's> {
    pub rows: Vec<ChartRow>,
    pub notices: Vec<Notice>,
    /// The solved set, on which changes are tried.
    pub trials: Trials<'m, 's>,
}

/// How the maker stood at his bench, the meter's other lead at `to`.
pub(super) fn conditions(sheet: &Sheet, to: &Place, bands: bool) -> BenchConditions {
    let chart = sheet.chart.as_ref();
    BenchConditions {
        line_volts: Some(
            chart
                .and_then(|chart| chart.line_volts)
                .unwrap_or(sheet.line_volts),
        ),
        meter: chart.and_then(|chart| chart.meter.clone()),
        to: (!to.is_chassis()).then(|| to.to_string()),
        bands,
        ..BenchConditions::default()
    }
}

/// What the sheet predicts for one row.
pub(super) enum Told {
    /// A band.
    Band(Band),
    /// An ohmmeter finds the place open.
    Open,
    /// Nothing, for this reason.
    Not(String),
}

/// What the sheet predicts for every row of its chart, in the chart's order.
pub(super) struct Predicted {
    /// One a row.
    pub rows: Vec<Told>,
    /// What the prediction had to say besides.
    pub notices: Vec<Notice>,
}

/// Predicts every row of the chart.
pub(super) fn predict(model: &SetModel<'_>, bands: bool) -> Result<Predicted, ExpectError> {
    let sheet = model.sheet;
    let Some(chart) = &sheet.chart else {
        return Ok(Predicted {
            rows: Vec::new(),
            notices: Vec::new(),
        });
    };
    let mut notices: Vec<Notice> = Vec::new();
    let predictor = Predictor::new(model);
    let mut known: BTreeMap<(&Place, What), Expectation> = BTreeMap::new();
    let asked = chart.volts.iter().map(|row| (row, What::DcVolts));
    let asked = asked.chain(chart.ohms.iter().map(|row| (row, What::Ohms)));
    let mut rows = Vec::new();
    for (row, what) in asked {
        let (at, to) = leads(row);
        if model.junction(at).is_none() || model.junction(to).is_none() && !to.is_chassis() {
            rows.push(Told::Not(
                "no part of the sheet reaches this place".to_string(),
            ));
            continue;
        }
        let expectation = match known.entry((to, what)) {
            Entry::Occupied(known) => known.into_mut(),
            Entry::Vacant(place) => {
                let conditions = conditions(sheet, to, bands);
                let expectation = if what == What::Ohms {
                    cold_ohms_of(model, &conditions)?
                } else {
                    predictor.expect(&conditions)?
                };
                for notice in &expectation.notices {
                    if what == What::DcVolts && !notices.contains(notice) {
                        notices.push(notice.clone());
                    }
                }
                place.insert(expectation)
            }
        };
        rows.push(of(expectation, at, what, row.value));
    }
    Ok(Predicted { rows, notices })
}

/// The place that is read and the one it is read against.
fn leads(row: &ChartReading) -> (&Place, &Place) {
    (&row.at, &row.to)
}

fn of(expectation: &Expectation, at: &Place, what: What, charted: f64) -> Told {
    let name = at.to_string();
    // Where the leads matter there are two: the chart does not say which way round, so the
    // nearer one counts.
    let off = |band: &Band| (band.low - charted).max(charted - band.high).max(0.0);
    let nearest = expectation
        .readings
        .iter()
        .filter(|reading| reading.what == what && reading.at == name)
        .min_by(|one, other| off(&one.band).total_cmp(&off(&other.band)));
    if let Some(reading) = nearest {
        return Told::Band(reading.band.clone());
    }
    let unknown = expectation
        .unknown
        .iter()
        .find(|unknown| unknown.what == what && unknown.at == name);
    match unknown {
        Some(unknown) if reads_open(unknown) => Told::Open,
        Some(unknown) => Told::Not(unknown.because.clone()),
        // Both leads on one place.
        None => Band::exactly(0.0).map_or_else(|error| Told::Not(error.to_string()), Told::Band),
    }
}

/// Lays every row of the chart beside its prediction.
pub(super) fn lay<'m, 's>(model: &'m SetModel<'s>) -> Result<Laid<'m, 's>, ExpectError> {
    let sheet = model.sheet;
    let predicted = predict(model, true)?;
    let trials = Trials::new(model, &conditions(sheet, &Place::Chassis, false))?;
    let held = trials.held_by_chart();
    let is_held = |place: &Place| {
        model
            .junction(place)
            .and_then(|junction| held.get(junction).copied())
            .unwrap_or(false)
    };
    let volts = sheet.chart.iter().flat_map(|chart| &chart.volts);
    let ohms = sheet.chart.iter().flat_map(|chart| &chart.ohms);
    let charted = volts
        .map(|row| (row, What::DcVolts))
        .chain(ohms.map(|row| (row, What::Ohms)));
    let rows = charted
        .zip(predicted.rows)
        .map(|((row, what), predicted)| {
            let verdict = match &predicted {
                Told::Open if row.value.is_infinite() => Verdict::Agrees,
                Told::Open => Verdict::ChartLow,
                Told::Not(because) => Verdict::NotCovered {
                    because: because.clone(),
                },
                Told::Band(_)
                    if what == What::DcVolts && (is_held(&row.at) || is_held(&row.to)) =>
                {
                    Verdict::RestsOnChart
                }
                Told::Band(band) => beside(band, row.value),
            };
            ChartRow {
                at: row.at.to_string(),
                to: row.to.to_string(),
                what,
                charted: row.value,
                line: row.line,
                expected: predicted.band(),
                verdict,
            }
        })
        .collect();
    Ok(Laid {
        rows,
        notices: predicted.notices,
        trials,
    })
}

impl Told {
    /// The band, if there is one.
    pub fn band(self) -> Option<Band> {
        match self {
            Told::Band(band) => Some(band),
            Told::Open | Told::Not(_) => None,
        }
    }
}

/// What the chart's last digit may hide.
pub(super) fn digit(charted: f64) -> f64 {
    (DIGIT_SHARE * charted.abs()).max(DIGIT_VOLTS)
}

fn beside(band: &Band, charted: f64) -> Verdict {
    let digit = digit(charted);
    if charted > band.high + digit {
        Verdict::ChartHigh
    } else if charted < band.low - digit {
        Verdict::ChartLow
    } else {
        Verdict::Agrees
    }
}
