//! The one change that brings most of the disagreeing figures home.
//!
//! A slip of the pen is a factor of ten in a part or in a figure of the chart, a lost sign, two
//! figures or two pins exchanged, a part with a wrong end. Each possible one is tried on the
//! solved set quickly ([`super::candidates`]); the best are then undone on the sheet itself and
//! the whole set is solved again, and only what that shows is told. How far a figure lies
//! outside its band is counted in half widths of the band, at most [`MOST_EXCESS`], so that
//! one wild figure does not outweigh the rest. Nothing here fails: a change that cannot be
//! solved is none.

use parts::Catalogue;
use rayon::prelude::*;

use crate::reading::What;
use crate::sheet::Sheet;
use crate::wiring::SetModel;

use super::candidates;
use super::mended::mended;
use super::rows::{ChartRow, Laid, Told, digit, predict};

/// Half widths of a band beyond its edge that count at most.
pub(super) const MOST_EXCESS: f64 = 8.0;
/// Half widths that a change must bring home in all to be told.
const LEAST_GAIN: f64 = 4.0;
/// Half widths by which at least one figure brought home must have been outside: a slip of the
/// pen is a wild figure somewhere, while what moves a whole supply a little brings many home
/// that were hardly out.
pub(super) const LEAST_MOST: f64 = 3.0;
/// The quick look, which holds the supply as it was, may be this far short.
const HOPE: f64 = 0.5;
/// Changes for which the whole set is solved again.
const SOLVED_AGAIN: usize = 40;
/// Changes told.
const TOLD: usize = 3;
/// Half width of a band below which no slip is judged by it: two tube laws differ by as much.
const LEAST_VOLTS: f64 = 0.25;
/// The same in ohms: leads and contacts.
const LEAST_OHMS: f64 = 1.0;
/// Half width as a share of the value, from the narrowest to the widest that is believed: a
/// wide band must not make every other value fit.
const LEAST_SHARE: f64 = 0.1;
const MOST_SHARE: f64 = 0.35;
/// What a moved end must win over a wrong value: there are many more places than factors.
const END_COUNTS: f64 = 0.8;
/// Ohms that stand for an open reading where ohms are compared.
const OPEN_OHMS: f64 = 2e8;

/// One end of a part.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum End {
    /// Its first place.
    From,
    /// Its second place.
    To,
    /// Wiper or tap.
    Third,
}

/// What may have slipped, and how it would be right.
#[derive(Debug, Clone, PartialEq)]
pub enum SlipChange {
    /// A figure of the chart, by a factor of ten or its sign.
    Figure {
        /// Position among the rows.
        row: usize,
        /// As it would be right.
        would_be: f64,
    },
    /// Two figures of the chart stand in each other's place.
    FiguresExchanged {
        /// Position of the one among the rows.
        one: usize,
        /// Position of the other.
        other: usize,
    },
    /// The ohms of a part.
    PartOhms {
        /// Its reference.
        reference: String,
        /// Line of its row.
        line: usize,
        /// As written.
        written: f64,
        /// As they would be right.
        would_be: f64,
    },
    /// One end of a part.
    PartEnd {
        /// Its reference.
        reference: String,
        /// Line of its row.
        line: usize,
        /// Which end.
        end: End,
        /// The place as written.
        written: String,
        /// The place as it would be right.
        would_be: String,
    },
    /// Two pins of a tube, in all parts at them.
    PinsExchanged {
        /// Reference of the tube.
        tube: String,
        /// The one pin.
        one: String,
        /// The other pin.
        other: String,
        /// Lines of the parts at them.
        lines: Vec<usize>,
    },
}

/// One change and what it does to the figures.
#[derive(Debug, Clone, PartialEq)]
pub struct Slip {
    /// The change.
    pub change: SlipChange,
    /// The change in words.
    pub text: String,
    /// Other places of the same end that fit about as well.
    pub or_at: Vec<String>,
    /// Positions of rows that disagree and would agree.
    pub brings_home: Vec<usize>,
    /// Positions of rows that agree and would not.
    pub drives_out: Vec<usize>,
    /// Half widths of bands won in all.
    pub gain: f64,
}

/// What the search found.
pub(super) struct Found {
    pub slips: Vec<Slip>,
    pub tried: usize,
    pub stopped: bool,
}

/// How a row is judged under another sheet.
struct Judge {
    charted: f64,
    expected: f64,
    low: f64,
    high: f64,
    /// Least half width.
    least: f64,
}

impl Judge {
    fn of(row: &ChartRow) -> Option<Judge> {
        let band = row.expected.as_ref().filter(|_| row.verdict.tells())?;
        Some(Judge {
            charted: row.charted.min(OPEN_OHMS),
            expected: band.expected,
            low: band.low,
            high: band.high,
            least: if row.what == What::DcVolts {
                LEAST_VOLTS
            } else {
                LEAST_OHMS
            },
        })
    }

    /// Half widths beyond the band that would stand about `value`.
    fn excess(&self, value: f64) -> f64 {
        let value = value.min(OPEN_OHMS);
        let off = self.charted - value;
        let own = if off >= 0.0 {
            self.high - self.expected
        } else {
            self.expected - self.low
        };
        let share = own / self.expected.abs().max(1e-9);
        let half = (share.clamp(LEAST_SHARE, MOST_SHARE) * value.abs())
            .max(digit(self.charted))
            .max(self.least);
        ((off.abs() - digit(self.charted)) / half - 1.0).clamp(0.0, MOST_EXCESS)
    }
}

/// Judges all rows of a chart together.
pub(super) struct Judges {
    rows: Vec<Option<Judge>>,
    base: Vec<f64>,
}

/// What a change does.
#[derive(Debug, Clone, Default, PartialEq)]
pub(super) struct Score {
    pub home: Vec<usize>,
    pub out: Vec<usize>,
    pub gain: f64,
    /// Most of one row that comes home.
    pub most: f64,
}

impl Score {
    pub fn net(&self) -> isize {
        self.home.len() as isize - self.out.len() as isize
    }

    /// How much speaks for it: half widths won, and each figure that comes home.
    pub fn worth(&self) -> f64 {
        self.gain + 0.5 * self.net() as f64
    }

    /// Whether the quick look leaves hope that the whole solution will tell it.
    pub fn may_be_told(&self) -> bool {
        self.most >= HOPE * LEAST_MOST && self.gain >= HOPE * LEAST_GAIN
    }

    /// The same in steps that count.
    pub fn steps(&self) -> i64 {
        steps(self.worth())
    }
}

impl Judges {
    pub fn of(rows: &[ChartRow]) -> Judges {
        let rows: Vec<Option<Judge>> = rows.iter().map(Judge::of).collect();
        let base = rows
            .iter()
            .map(|row| row.as_ref().map_or(0.0, |row| row.excess(row.expected)))
            .collect();
        Judges { rows, base }
    }

    /// Half widths by which each row lies outside now.
    pub fn base(&self) -> &[f64] {
        &self.base
    }

    /// The rows under other values; a row without one stays as it is.
    pub fn score(&self, values: &[Option<f64>]) -> Score {
        let mut score = Score::default();
        for (number, (judge, base)) in self.rows.iter().zip(&self.base).enumerate() {
            if let (Some(judge), Some(Some(value))) = (judge, values.get(number)) {
                score.count(number, *base, judge.excess(*value));
            }
        }
        score
    }

    /// One row with another figure of the chart.
    pub fn with_figure(&self, score: &mut Score, row: usize, charted: f64) {
        if let Some(Some(judge)) = self.rows.get(row) {
            let moved = Judge { charted, ..*judge };
            score.count(row, self.base[row], moved.excess(judge.expected));
        }
    }
}

impl Score {
    fn count(&mut self, row: usize, before: f64, after: f64) {
        self.gain += before - after;
        if before > 0.0 && after == 0.0 {
            self.home.push(row);
            self.most = self.most.max(before);
        } else if before == 0.0 && after > 0.0 {
            self.out.push(row);
        }
    }
}

/// Looks for slips.
pub(super) fn search(
    model: &SetModel<'_>,
    catalogue: &Catalogue,
    laid: &Laid<'_, '_>,
    go_on: &mut dyn FnMut(f64) -> bool,
) -> Found {
    let judges = Judges::of(&laid.rows);
    // Nothing is wildly out, so no slip will be told.
    if judges.base().iter().all(|excess| *excess < LEAST_MOST) {
        return Found {
            slips: Vec::new(),
            tried: 0,
            stopped: false,
        };
    }
    let mut slips = candidates::figures(&laid.rows, &judges);
    let mut tried = slips.len();
    let quick = candidates::changes(model, laid, &judges, &mut |share| go_on(0.7 * share));
    tried += quick.tried;
    let mut stopped = quick.stopped;
    let again: Vec<SlipChange> = quick
        .best
        .into_iter()
        .take(SOLVED_AGAIN)
        .chain(candidates::pin_pairs(model.sheet, &laid.rows, &judges))
        .collect();
    let batches = again.len().div_ceil(BATCH).max(1);
    for (number, batch) in again.chunks(BATCH).enumerate() {
        if stopped || !go_on(0.7 + 0.3 * number as f64 / batches as f64) {
            stopped = true;
            break;
        }
        let scored: Vec<Option<Score>> = batch
            .par_iter()
            .map(|change| solve_again(model.sheet, catalogue, &judges, change))
            .collect();
        tried += batch.len();
        for (change, score) in batch.iter().zip(scored) {
            if let Some(score) = score {
                slips.push((change.clone(), score));
            }
        }
    }
    slips.retain(|(_, score)| {
        score.net() >= 1 && score.most >= LEAST_MOST && score.gain >= LEAST_GAIN
    });
    let worth = |(change, score): &(SlipChange, Score)| match change {
        SlipChange::PartEnd { .. } | SlipChange::PinsExchanged { .. } => END_COUNTS * score.worth(),
        _ => score.worth(),
    };
    // Stable: of changes that are worth the same the quick look's order stays.
    slips.sort_by_key(|slip| std::cmp::Reverse(steps(worth(slip))));
    let most = slips.first().map_or(0.0, worth);
    let mut told: Vec<Slip> = Vec::new();
    for (change, score) in slips.into_iter().filter(|slip| 2.0 * worth(slip) >= most) {
        if let Some((known, place)) = same_end(&mut told, &change) {
            known.or_at.push(place);
        } else if told.len() < TOLD {
            told.push(Slip {
                text: String::new(),
                change,
                or_at: Vec::new(),
                brings_home: score.home,
                drives_out: score.out,
                gain: score.gain,
            });
        }
    }
    for slip in &mut told {
        slip.text = super::words::sentence(&slip.change, &slip.or_at, &laid.rows);
    }
    Found {
        slips: told,
        tried,
        stopped,
    }
}

/// The slip that is told already of the same end of the same part, and the other place.
fn same_end<'t>(told: &'t mut [Slip], change: &SlipChange) -> Option<(&'t mut Slip, String)> {
    let SlipChange::PartEnd {
        reference,
        end,
        would_be,
        ..
    } = change
    else {
        return None;
    };
    let known = told.iter_mut().find(|slip| {
        matches!(&slip.change, SlipChange::PartEnd { reference: own, end: own_end, .. }
            if own == reference && own_end == end)
    })?;
    Some((known, would_be.clone()))
}

/// Worth in steps of half a band's half width: less is no difference.
fn steps(worth: f64) -> i64 {
    (2.0 * worth).round() as i64
}

/// Changes solved between two looks at the clock of whoever waits.
const BATCH: usize = 8;

fn solve_again(
    sheet: &Sheet,
    catalogue: &Catalogue,
    judges: &Judges,
    change: &SlipChange,
) -> Option<Score> {
    let mended = mended(sheet, change)?;
    let model = SetModel::new(&mended, catalogue);
    let predicted = predict(&model, false).ok()?;
    let values: Vec<Option<f64>> = predicted
        .rows
        .into_iter()
        .map(|told| match told {
            Told::Band(band) => Some(band.expected),
            Told::Open => Some(OPEN_OHMS),
            Told::Not(_) => None,
        })
        .collect();
    Some(judges.score(&values))
}

/// Whether a row is about ohms.
pub(super) fn is_ohms(row: &ChartRow) -> bool {
    row.what == What::Ohms
}
