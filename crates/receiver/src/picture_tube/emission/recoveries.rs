//! The laws of recovery that are tried, each with its weight before any reading.
//!
//! Minutes. A law is the level it heads for plus decaying parts. A part dies away in one, two or
//! three stages of the same time (two and three start slowly, as a cathode does that must first
//! get warm), or as a blend of a fast and a slow exponential of one sign, or
//! of a fast one and a slow part in two stages, or as two exponentials
//! of free sign (a dip, an overshoot). The times are twelve steps of equal ratio. Trade practice
//! says that first readings settle within 5 to 120 minutes, 20 as a rule (common practice, figure
//! from memory; `data/trade_numbers.csv`, "emission settles"), so that the slow time, a third of
//! that, is likeliest near 6 minutes. The weights of the kinds are judgement, held against drawn
//! curves of other laws in `tests/emission_truth`. Nothing here fails.

use super::small_solve::MOST;

/// Times that are tried.
pub(super) const TIMES: usize = 12;
/// Stages a part may pass.
const STAGES: usize = 3;
/// Column of the constant level.
pub(super) const LEVEL: usize = 0;
/// Columns that laws may mix in pairs: the level and parts of one and two stages.
pub(super) const PAIRED: usize = 1 + 2 * TIMES;
/// Columns of level and decaying parts.
pub(super) const COLUMNS: usize = 1 + TIMES * STAGES;
/// Column of how strongly the reading follows the heater.
pub(super) const HEATER: usize = COLUMNS;
/// Column of the readings themselves.
pub(super) const READING: usize = COLUMNS + 1;
/// All columns.
pub(super) const WIDTH: usize = COLUMNS + 2;

/// Slow time that is likeliest before any reading, minutes.
const USUAL_MINUTES: f64 = 5.7;
/// Spread of that time, natural logarithm.
const USUAL_SPREAD: f64 = 1.0;
/// Shortest time that is tried, minutes, and as a share of the record.
const SHORTEST: (f64, f64) = (0.3, 1.0 / 40.0);
/// Longest time that is tried, minutes, and as a share of the record.
const LONGEST: (f64, f64) = (100.0, 1.5);
/// Weight of a level that does not change.
const STEADY: f64 = 0.05;
/// Weights of one part in one, two, three stages.
const ONE_PART: [f64; STAGES] = [0.11, 0.08, 0.04];
/// Weight of blends.
const BLEND: f64 = 0.5;
/// Weight of blends whose slow part begins late.
const DELAYED: f64 = 0.2;
/// Weight of two exponentials of free sign.
const FREE: f64 = 0.03;
/// Shares of the fast exponential in a blend.
const FAST_SHARES: [f64; 3] = [0.3, 0.6, 0.85];
/// Slow over fast time of a blend, at most.
const BLEND_RATIO: f64 = 16.0;
/// Slow time of a free pair as a share of the record, at most: a dip must have been seen.
const FREE_SPAN: f64 = 0.5;

/// Two columns with their factors.
pub(super) type Pair = [(usize, f64); 2];

/// One law of recovery.
#[derive(Clone, Debug)]
pub(super) struct Recovery {
    /// How many unknowns; the first is the level headed for.
    pub size: usize,
    /// How many of them belong to the level and its parts.
    pub parts: usize,
    /// What each unknown multiplies.
    pub columns: [Pair; MOST],
    /// Logarithm of its weight before any reading.
    pub log_weight: f64,
}

/// The times, minutes, for a record that spans so many minutes.
pub(super) fn times_for(span: f64) -> [f64; TIMES] {
    let shortest = SHORTEST.0.max(SHORTEST.1 * span);
    let longest = LONGEST.0.max(LONGEST.1 * span);
    std::array::from_fn(|k| shortest * (longest / shortest).powf(k as f64 / (TIMES - 1) as f64))
}

/// Writes the columns of the level and the parts at `minutes` after the first reading.
pub(super) fn write_columns(row: &mut [f64], times: &[f64; TIMES], minutes: f64) {
    row[LEVEL] = 1.0;
    for (k, time) in times.iter().enumerate() {
        let x = minutes / time;
        let decay = (-x).exp();
        row[column(k, 0)] = decay;
        row[column(k, 1)] = decay * (1.0 + x);
        row[column(k, 2)] = decay * (1.0 + x + 0.5 * x * x);
    }
}

/// Every law that is tried.
pub(super) fn recoveries(times: &[f64; TIMES], span: f64, follows_heater: bool) -> Vec<Recovery> {
    let likely = |k: usize| (-0.5 * ((times[k] / USUAL_MINUTES).ln() / USUAL_SPREAD).powi(2)).exp();
    let mut blends = Vec::new();
    let mut delayed = Vec::new();
    let mut free = Vec::new();
    for slow in 1..TIMES {
        for fast in 0..slow {
            let (a, b) = (column(fast, 0), column(slow, 0));
            if times[slow] < BLEND_RATIO * times[fast] {
                for share in FAST_SHARES {
                    blends.push((likely(slow), vec![[(a, share), (b, 1.0 - share)]]));
                    let late = column(slow, 1);
                    delayed.push((likely(slow), vec![[(a, share), (late, 1.0 - share)]]));
                }
            }
            if times[slow] < FREE_SPAN * span {
                free.push((likely(slow), vec![single(a), single(b)]));
            }
        }
    }
    let mut kinds = vec![
        (vec![(1.0, Vec::new())], STEADY),
        (blends, BLEND),
        (delayed, DELAYED),
        (free, FREE),
    ];
    for (stage, weight) in ONE_PART.into_iter().enumerate() {
        let one = |k: usize| (likely(k), vec![single(column(k, stage))]);
        kinds.push(((0..TIMES).map(one).collect(), weight));
    }
    let mut all = Vec::new();
    for (list, weight) in kinds {
        let sum: f64 = list.iter().map(|(own, _)| own).sum();
        for (own, decaying) in list {
            let mut columns = [single(LEVEL); MOST];
            let parts = 1 + decaying.len();
            columns[1..parts].copy_from_slice(&decaying);
            columns[parts] = single(HEATER);
            all.push(Recovery {
                size: parts + usize::from(follows_heater),
                parts,
                columns,
                log_weight: (weight * own / sum).ln(),
            });
        }
    }
    all
}

fn column(time: usize, stage: usize) -> usize {
    1 + stage * TIMES + time
}

fn single(column: usize) -> Pair {
    [(column, 1.0), (column, 0.0)]
}
