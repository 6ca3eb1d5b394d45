//! The voltage chart as the set is left: the maker's figure, what was read last, and what a healthy
//! set shows that stands as this one does now.
//!
//! Volts and ohms. A reading counts when the set has not been changed since, when nothing is
//! pulled, open or loose beyond what the sheet says, without a lamp, and with the line within a
//! tenth of the sheet's; cold resistances count with the plug out. For the prediction the line is
//! taken to the volt. Where nothing can be predicted the row says why. Fails only for a fault of
//! the program's own figures.

use std::collections::HashMap;

use logbook::{Fact, Logbook, Measured, StandingFact};
use receiver::conditions::BenchConditions;
use receiver::foresight::Foresight;
use receiver::judge_reading::{ReadingVerdict, TakenReading, judge_by};
use receiver::reading::What;
use receiver::sheet::{ChartReading, Place, Places, Sheet};
use receiver::untold::with_untold_tubes;
use receiver::wiring::SetModel;

use super::Handed;
use crate::check_sheet::catalogue;
use crate::hunt::{Gathered, Stands, gather};
use crate::judge_entry::foresight_of;
use crate::reading_words::last_figure;
use crate::trouble::Trouble;
use crate::view::{AsLeftRowView, AsLeftView, six_figures};

/// The line counts as full within this share of the sheet's.
const FULL_LINE: f64 = 0.1;
/// For so many ways in which the set stood the prediction is worked out at most.
const MOST_WAYS: usize = 6;

/// A reading that counts.
struct Left<'a> {
    gathered: &'a Gathered,
    measured: &'a Measured,
    at_time: String,
    what: What,
    conditions: BenchConditions,
}

/// The chart.
pub(super) fn rows(book: &mut Logbook, handed: &Handed<'_>) -> Result<AsLeftView, Trouble> {
    let sheet = &handed.so_far.sheet;
    let gathered = gather(sheet, handed.facts);
    let left = counting(sheet, &gathered, handed.facts);
    // Joined places are worked out once: a chart has many rows, a restoration many readings.
    let places = sheet.places();
    let mut rows = Vec::new();
    let mut used: Vec<u64> = Vec::new();
    let chart = sheet.chart.as_ref();
    let figures = chart.into_iter().flat_map(|chart| {
        let volts = chart.volts.iter().map(|row| (row, What::DcVolts));
        volts.chain(chart.ohms.iter().map(|row| (row, What::Ohms)))
    });
    for (figure, what) in figures {
        let own = left
            .iter()
            .rev()
            .find(|own| own.what == what && is_there(&places, own.gathered, figure));
        used.extend(own.map(|own| own.gathered.entry));
        rows.push((Some(figure), what, own));
    }
    // What was read besides, the last of each place.
    let mut besides: Vec<&Left<'_>> = Vec::new();
    for own in left.iter().rev() {
        let is_same = |other: &&Left<'_>| {
            other.what == own.what
                && other.gathered.at == own.gathered.at
                && other.gathered.to == own.gathered.to
        };
        let is_charted = rows.iter().any(|(figure, what, _)| {
            *what == own.what
                && figure.is_some_and(|figure| is_there(&places, own.gathered, figure))
        });
        if !is_charted && !besides.iter().any(is_same) {
            besides.push(own);
        }
    }
    besides.sort_by_key(|own| own.gathered.entry);
    rows.extend(besides.into_iter().map(|own| (None, own.what, Some(own))));
    let former = |figure: Option<&ChartReading>, what: What| -> Option<String> {
        let figure = figure?;
        gathered.iter().rev().find_map(|own| match &own.stands {
            Stands::Former { since, because }
                if own.what == what.name() && is_there(&places, own, figure) =>
            {
                Some(format!(
                    "read only before {because} (entry {since}): see before and after"
                ))
            }
            _ => None,
        })
    };
    let mut judge = Judge::new(book, handed)?;
    let mut made = Vec::new();
    for (figure, what, own) in rows {
        let mut row = row(figure, what, own);
        match own {
            Some(own) => judge.judge(own, &mut row),
            None => row.because = former(figure, what).unwrap_or_default(),
        }
        made.push(row);
    }
    Ok(AsLeftView {
        line_volts: chart.map(|chart| six_figures(chart.line_volts.unwrap_or(sheet.line_volts))),
        meter: chart
            .map(|chart| chart.meter_text.clone())
            .unwrap_or_default(),
        rows: made,
        because: match chart {
            Some(_) => String::new(),
            None => "The sheet has no chart of the maker's.".to_owned(),
        },
    })
}

/// Readings of the set as it is now under full line volts, and cold resistances, in their order.
fn counting<'a>(
    sheet: &Sheet,
    gathered: &'a [Gathered],
    facts: &'a [StandingFact<'a>],
) -> Vec<Left<'a>> {
    let by_number: HashMap<u64, &StandingFact<'_>> =
        facts.iter().map(|one| (one.number, one)).collect();
    let counts = |own: &'a Gathered| {
        let Stands::Now(what, conditions) = &own.stands else {
            return None;
        };
        let is_whole = conditions.pulled.is_empty()
            && conditions.open.is_empty()
            && conditions.fitted_without.is_empty()
            && conditions.direct_source.is_none()
            && conditions.lamps.is_empty();
        let is_full = conditions
            .line_volts
            .is_none_or(|volts| (volts / sheet.line_volts - 1.0).abs() <= FULL_LINE);
        if !is_whole || !is_full {
            return None;
        }
        let one = by_number.get(&own.entry)?;
        let Fact::Measured(measured) = one.fact else {
            return None;
        };
        let mut conditions = BenchConditions::clone(conditions);
        conditions.line_volts = conditions.line_volts.map(f64::round);
        Some(Left {
            gathered: own,
            measured,
            at_time: one.at.to_string(),
            what: *what,
            conditions,
        })
    };
    gathered.iter().filter_map(counts).collect()
}

/// Whether a reading was taken where the maker took his.
fn is_there(places: &Places, own: &Gathered, figure: &ChartReading) -> bool {
    let same = |text: &str, place: &Place| {
        text.eq_ignore_ascii_case(&place.to_string())
            || places
                .find(text)
                .is_ok_and(|found| places.joined(found, place))
    };
    let to = own.to.as_deref().unwrap_or("chassis");
    same(&own.at, &figure.at) && same(to, &figure.to)
}

fn row(figure: Option<&ChartReading>, what: What, own: Option<&Left<'_>>) -> AsLeftRowView {
    let charted = figure.map(|figure| figure.value);
    let read = own.map(|own| own.gathered.value);
    let finite = |value: Option<f64>| value.filter(|value| value.is_finite()).map(six_figures);
    let at = match (figure, own) {
        (Some(figure), _) => figure.at.to_string(),
        (None, Some(own)) => own.gathered.at.clone(),
        (None, None) => String::new(),
    };
    let to = match (figure, own) {
        (Some(figure), _) => figure.to.to_string(),
        (None, own) => own
            .and_then(|own| own.gathered.to.clone())
            .unwrap_or_else(|| "chassis".to_owned()),
    };
    let percent = match (finite(charted), finite(read)) {
        (Some(charted), Some(read)) if charted != 0.0 => {
            Some(six_figures(100.0 * (read - charted) / charted.abs()))
        }
        _ => None,
    };
    AsLeftRowView {
        at,
        to,
        what: what.name(),
        charted: finite(charted),
        charted_open: charted.is_some_and(f64::is_infinite),
        read: finite(read),
        typed: own
            .map(|own| own.measured.typed.clone())
            .unwrap_or_default(),
        meter: own
            .map(|own| own.measured.meter.clone())
            .unwrap_or_default(),
        line_volts: own.and_then(|own| {
            let said = &own.measured.conditions;
            said.line_volts.or(said.dial_volts).map(six_figures)
        }),
        entry: own.map(|own| own.gathered.entry),
        at_time: own.map(|own| own.at_time.clone()),
        percent,
        low: None,
        expected: None,
        high: None,
        verdict: "not_read",
        because: String::new(),
    }
}

/// Sets readings against what the set foresees, solved once for each way in which it stood.
struct Judge<'a> {
    book: &'a mut Logbook,
    handed: &'a Handed<'a>,
    whole: Sheet,
    foreseen: HashMap<String, Result<Foresight, String>>,
}

impl<'a> Judge<'a> {
    fn new(book: &'a mut Logbook, handed: &'a Handed<'a>) -> Result<Judge<'a>, Trouble> {
        let sheet = &handed.so_far.sheet;
        let whole = with_untold_tubes(sheet, catalogue()?).map(|(whole, _)| whole);
        Ok(Judge {
            book,
            handed,
            whole: whole.unwrap_or_else(|| sheet.clone()),
            foreseen: HashMap::new(),
        })
    }

    fn judge(&mut self, own: &Left<'_>, row: &mut AsLeftRowView) {
        let unpredicted = |row: &mut AsLeftRowView, because: String| {
            row.verdict = "not_predicted";
            row.because = because;
        };
        let taken = TakenReading {
            at: own.gathered.at.clone(),
            to: own.gathered.to.clone(),
            what: own.what,
            value: own.gathered.value,
        };
        let Ok(catalogue) = catalogue() else {
            return unpredicted(row, "the figures of the program cannot be read".to_owned());
        };
        let model = SetModel::new(&self.whole, catalogue);
        let is_cold = own.what == What::Ohms;
        let key = format!("{is_cold} {:?} {:?}", taken.to, own.conditions);
        if !self.foreseen.contains_key(&key) {
            if self.foreseen.len() >= MOST_WAYS {
                let because = "the set stood in too many ways for all to be worked out here; `firstraster expect` tells this one";
                return unpredicted(row, because.to_owned());
            }
            let so_far = self.handed.so_far;
            let foreseen = foresight_of(self.book, so_far, &model, &own.conditions, &taken);
            let foreseen = foreseen.map_err(|error| error.to_string());
            self.foreseen.insert(key.clone(), foreseen);
        }
        let foresight = match self.foreseen.get(&key) {
            Some(Ok(foresight)) => foresight,
            Some(Err(because)) => return unpredicted(row, because.clone()),
            None => return,
        };
        let judgement = judge_by(&model, foresight, &taken, &[]);
        if let Some(band) = &judgement.band {
            row.low = Some(six_figures(band.low));
            row.expected = Some(six_figures(band.expected));
            row.high = Some(six_figures(band.high));
        }
        row.verdict = match judgement.verdict {
            ReadingVerdict::Inside => "inside",
            ReadingVerdict::Low => "low",
            ReadingVerdict::High => "high",
            ReadingVerdict::SaysNothing { because } => return unpredicted(row, because),
        };
        // What rounds to a value inside the band lies inside.
        let measured = own.measured;
        let step = last_figure(&measured.place, &measured.typed, measured.what);
        if let (Some(band), Some(step)) = (&judgement.band, step)
            && (band.low - 0.5 * step..=band.high + 0.5 * step).contains(&taken.value)
        {
            row.verdict = "inside";
        }
    }
}
