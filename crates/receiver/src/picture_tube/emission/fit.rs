//! The fit: every law of recovery weighed against the readings.
//!
//! Minutes, readings in their own unit. Each law is linear in its levels, so its share of truth
//! and what it says of the level headed for come in closed form (`small_solve`); the answer is
//! all laws by their weight (D. MacKay, Neural Computation 4, 1992, on weighing models by their
//! evidence; from memory). Six rounds settle what is not linear: which readings are misread
//! (a normal law with a broad second one, weights by expectation), how far a reading at the end
//! of the scale pulls (a censored normal reading), and how strongly the readings follow the
//! heater. No chance is in it: the same readings give the same fit. Work grows in proportion to
//! the readings. `None` when no law can be weighed, which takes figures beyond any instrument.

use super::mixture::Piece;
use super::noise::{LAW_DOUBT, MISREAD_BY, MISREAD_SHARE, NOT_NOTED, Noise, noises};
use super::normal::pull;
use super::recoveries::{
    COLUMNS, HEATER, LEVEL, PAIRED, READING, Recovery, TIMES, WIDTH, recoveries, times_for,
    write_columns,
};
use super::small_solve::{MOST, Posterior, posterior};
use super::wander::whiten;

/// One reading as the fit uses it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Point {
    /// Minutes since the heater was put on.
    pub minutes: f64,
    /// The reading.
    pub reading: f64,
    /// Logarithm of emission over that at rated heater; `None` when not noted.
    pub log_emission: Option<f64>,
}

/// What is to be fitted: points in the order of time, at least one.
#[derive(Clone, Debug)]
pub(super) struct Problem {
    /// End of the scale.
    pub scale_end: f64,
    /// Error of the needle, share of the scale.
    pub needle: Option<f64>,
    /// The readings.
    pub points: Vec<Point>,
}

/// One law under one noise, with its weight.
#[derive(Clone, Copy, Debug)]
struct Found {
    weight: f64,
    law: usize,
    noise: usize,
    posterior: Posterior,
}

/// All laws by their weight.
#[derive(Clone, Debug)]
pub(super) struct Fit {
    laws: Vec<Recovery>,
    found: Vec<Found>,
    times: [f64; TIMES],
    first: f64,
    /// Chance that each reading is no misread one; of a reading at the scale's end, how much it says.
    pub trust: Vec<f64>,
    /// Laws weighed in all rounds together.
    pub weighed: usize,
}

const ROUNDS: usize = 6;
/// Laws this far (natural logarithm) below the best one are not weighed again.
const DROPPED_BELOW: f64 = 12.0;
/// Laws this far below the best one have no part in the answer.
const LEFT_OUT_BELOW: f64 = 8.0;
/// Weight of the laws by which the spread at each reading is told.
const MOST_OF_THE_WEIGHT: f64 = 0.9;
/// What is expected of any level before any reading, in shares of the scale: mean, deviation.
const LEVEL_BEFORE: (f64, f64) = (0.5, 0.5);
/// How strongly readings follow the heater before any reading: 1 is Richardson's law in full,
/// 0 is a current that space charge rules. Mean, deviation (judgement).
const FOLLOWS_BEFORE: (f64, f64) = (0.8, 0.3);
/// What is taken for the wander in the first round where heater volts are not noted.
const FIRST_WANDER: f64 = 0.05;

/// What the rounds hand on.
struct Round {
    level: Vec<f64>,
    level_variance: Vec<f64>,
    wander_share: f64,
    needle: f64,
    follows: f64,
    trust: Vec<f64>,
}

/// Fits the readings.
pub(super) fn fit(problem: &Problem) -> Option<Fit> {
    let points = &problem.points;
    let first = points.first()?.minutes;
    let span = (points.last()?.minutes - first).max(0.1);
    let minutes: Vec<f64> = points.iter().map(|point| point.minutes).collect();
    let noted = points.iter().any(|point| point.log_emission.is_some());
    let times = times_for(span);
    let laws = recoveries(&times, span, noted);
    let noises = noises(problem.needle, noted);
    let heater = filled_in(points);
    let mut rows = vec![0.0; points.len() * WIDTH];
    for (row, at) in rows.chunks_exact_mut(WIDTH).zip(&minutes) {
        write_columns(row, &times, at - first);
    }
    let mut round = first_round(problem, &heater, noted);
    let mut tried: Vec<(usize, usize)> = (0..noises.len())
        .flat_map(|noise| (0..laws.len()).map(move |law| (noise, law)))
        .collect();
    let mut weighed = 0;
    let mut found = Vec::new();
    for turn in 0..ROUNDS {
        let variance = weigh_readings(problem, &heater, &mut round, &mut rows, turn == 0);
        weighed += tried.len();
        let scale = problem.scale_end;
        found = weigh_laws(
            &laws, &noises, &tried, &rows, &minutes, &round, &variance, scale,
        );
        let best = found.first().map(|(score, _)| *score)?;
        if turn == 1 {
            found.retain(|(score, _)| *score > best - DROPPED_BELOW);
            tried = found.iter().map(|(_, one)| (one.noise, one.law)).collect();
            tried.sort_unstable();
        }
        found.retain(|(score, _)| *score > best - LEFT_OUT_BELOW);
        share_out(&mut found, best);
        take_over(&found, &laws, &noises, &rows, scale, noted, &mut round);
    }
    Some(Fit {
        laws,
        found: found.into_iter().map(|(_, one)| one).collect(),
        times,
        first,
        trust: round.trust,
        weighed,
    })
}

impl Fit {
    /// The level headed for.
    pub fn final_level(&self) -> Vec<Piece> {
        self.pieces(|_| Some([1.0, 0.0, 0.0]), LAW_DOUBT)
    }

    /// The level at a time, at rated heater.
    pub fn level_at(&self, minutes: f64) -> Vec<Piece> {
        let row = self.row(minutes);
        self.pieces(|law| Some(weights_at(law, &row, 1.0)), LAW_DOUBT)
    }

    /// What is still to come after a time: the level headed for less the level then.
    pub fn still_to_come(&self, minutes: f64) -> Vec<Piece> {
        let row = self.row(minutes);
        self.pieces(
            |law| {
                let mut weights = weights_at(law, &row, -1.0);
                weights[0] += 1.0;
                Some(weights)
            },
            0.0,
        )
    }

    /// Variance of the level headed for, by cause: laws that differ, readings, the law's own doubt.
    pub fn causes(&self) -> [f64; 3] {
        let (mut mean, mut square, mut within) = (0.0, 0.0, 0.0);
        for one in &self.found {
            let level = one.posterior.mean[0];
            mean += one.weight * level;
            square += one.weight * level * level;
            within += one.weight * one.posterior.covariance[0][0];
        }
        let between = (square - mean * mean).max(0.0);
        [between, within.max(0.0), (LAW_DOUBT * mean).powi(2)]
    }

    fn row(&self, minutes: f64) -> Vec<f64> {
        let mut row = vec![0.0; WIDTH];
        write_columns(&mut row, &self.times, (minutes - self.first).max(0.0));
        row
    }

    /// One piece a law: a weighted sum of its level and parts.
    fn pieces(&self, weights: impl Fn(&Recovery) -> Option<[f64; 3]>, doubt: f64) -> Vec<Piece> {
        let mut pieces = Vec::with_capacity(self.found.len());
        for one in &self.found {
            let law = &self.laws[one.law];
            let Some(weights) = weights(law) else {
                continue;
            };
            let (mut mean, mut variance) = (0.0, 0.0);
            for i in 0..law.parts {
                mean += weights[i] * one.posterior.mean[i];
                for j in 0..law.parts {
                    variance += weights[i] * weights[j] * one.posterior.covariance[i][j];
                }
            }
            let own = variance.max(0.0).sqrt().hypot(doubt * mean);
            pieces.push(Piece {
                weight: one.weight,
                mean,
                deviation: own.max(1e-9 * one.posterior.mean[0].abs()).max(1e-12),
            });
        }
        pieces
    }
}

/// What each unknown of a law counts for in the level at a row.
fn weights_at(law: &Recovery, row: &[f64], sign: f64) -> [f64; 3] {
    let mut weights = [0.0; 3];
    for (weight, [(a, by_a), (b, by_b)]) in weights.iter_mut().zip(law.columns).take(law.parts) {
        *weight = sign * (by_a * row[a] + by_b * row[b]);
    }
    weights
}

/// Logarithm of emission at each reading; where it was not noted, that of the reading before it
/// (or the first noted one), and zero when none was.
fn filled_in(points: &[Point]) -> Vec<f64> {
    let mut last = points
        .iter()
        .find_map(|point| point.log_emission)
        .unwrap_or(0.0);
    points
        .iter()
        .map(|point| {
            last = point.log_emission.unwrap_or(last);
            last
        })
        .collect()
}

/// The state before the first round: a running median of five readings.
fn first_round(problem: &Problem, heater: &[f64], noted: bool) -> Round {
    let count = problem.points.len();
    let follows = if noted { FOLLOWS_BEFORE.0 } else { 0.0 };
    let needle = problem.needle.unwrap_or(0.02);
    let level = (0..count)
        .map(|index| {
            let around = &problem.points[index.saturating_sub(2)..(index + 3).min(count)];
            let mut near: Vec<f64> = around.iter().map(|point| point.reading).collect();
            near.sort_by(f64::total_cmp);
            let median = near.get(near.len() / 2).copied().unwrap_or(0.0);
            let beyond = if at_the_end(problem, index) {
                1.05
            } else {
                1.0
            };
            beyond * median.max(0.02 * problem.scale_end) / (follows * heater[index]).exp()
        })
        .collect();
    Round {
        level,
        level_variance: vec![(needle * problem.scale_end).powi(2); count],
        wander_share: if noted { 0.0 } else { FIRST_WANDER },
        needle,
        follows,
        trust: vec![1.0; count],
    }
}

pub(super) fn at_the_end(problem: &Problem, index: usize) -> bool {
    problem
        .points
        .get(index)
        .is_some_and(|point| point.reading >= problem.scale_end * (1.0 - 1e-6))
}

/// Writes the readings, taken to rated heater, into the rows and returns their variances (the
/// wander apart).
fn weigh_readings(
    problem: &Problem,
    heater: &[f64],
    round: &mut Round,
    rows: &mut [f64],
    is_first: bool,
) -> Vec<f64> {
    let any_noted = heater.iter().any(|log| *log != 0.0);
    let mut variances = Vec::with_capacity(problem.points.len());
    for (index, row) in rows.chunks_exact_mut(WIDTH).enumerate() {
        let point = problem.points[index];
        let to_rated = (-round.follows * heater[index]).exp();
        let level = round.level[index];
        let mut own = (round.needle * problem.scale_end * to_rated).powi(2);
        if any_noted && point.log_emission.is_none() {
            own += (NOT_NOTED * level).powi(2);
        }
        let total = own + (round.wander_share * level).powi(2);
        row[HEATER] = level * heater[index];
        if at_the_end(problem, index) {
            // A censored reading pulls as its likelihood does at the present level.
            let deviation = total.sqrt();
            let z = (level - problem.scale_end * to_rated) / deviation;
            let pulls = pull(z);
            let says = (pulls * (pulls + z)).clamp(1e-6, 1.0);
            round.trust[index] = says;
            row[READING] = level + deviation * pulls / says;
            variances.push(total / says);
            continue;
        }
        let reading = point.reading * to_rated;
        let off = (reading - level).powi(2) + round.level_variance[index];
        let misread = total + (MISREAD_BY * problem.scale_end * to_rated).powi(2);
        let sound = (1.0 - MISREAD_SHARE) * (-0.5 * off / total).exp() / total.sqrt();
        let slip = MISREAD_SHARE * (-0.5 * off / misread).exp() / misread.sqrt();
        let mut trust = sound / (sound + slip).max(f64::MIN_POSITIVE);
        if is_first {
            trust = trust.max(0.05);
        }
        round.trust[index] = trust;
        row[READING] = reading;
        variances.push(own / (trust + (1.0 - trust) * own / misread));
    }
    variances
}

/// Every law under every noise that is still tried, best first, with the logarithm of its weight.
#[allow(clippy::too_many_arguments)]
fn weigh_laws(
    laws: &[Recovery],
    noises: &[Noise],
    tried: &[(usize, usize)],
    rows: &[f64],
    minutes: &[f64],
    round: &Round,
    variance: &[f64],
    scale: f64,
) -> Vec<(f64, Found)> {
    let mut found = Vec::with_capacity(tried.len());
    let mut ready: Option<(usize, f64, Box<Gram>)> = None;
    for (noise, law) in tried {
        let prepared = match ready.take() {
            Some(prepared) if prepared.0 == *noise => prepared,
            _ => {
                let one = &noises[*noise];
                let wider = (one.needle / round.needle).powi(2);
                let own: Vec<f64> = variance.iter().map(|own| own * wider).collect();
                let white = whiten(rows, WIDTH, minutes, &round.level, &own, one.wander);
                let gram = gram(&white.rows);
                let left = white.log_variance + gram[READING][READING];
                (*noise, one.weight.ln() - 0.5 * left, gram)
            }
        };
        let recovery = &laws[*law];
        if let Some(posterior) = weigh_one(recovery, &prepared.2, scale, round.follows) {
            let score = prepared.1 + recovery.log_weight + posterior.log_evidence;
            if score.is_finite() {
                found.push((
                    score,
                    Found {
                        weight: 0.0,
                        law: *law,
                        noise: *noise,
                        posterior,
                    },
                ));
            }
        }
        ready = Some(prepared);
    }
    found.sort_by(|one, other| other.0.total_cmp(&one.0));
    found
}

type Gram = [[f64; WIDTH]; WIDTH];

fn weigh_one(law: &Recovery, gram: &Gram, scale: f64, follows: f64) -> Option<Posterior> {
    let mut small = [[0.0; MOST]; MOST];
    let mut moment = [0.0; MOST];
    let mut mean = [0.0; MOST];
    let mut precision = [1.0; MOST];
    for i in 0..law.size {
        let [(a, by_a), (b, by_b)] = law.columns[i];
        for (j, [(c, by_c), (d, by_d)]) in law.columns.into_iter().enumerate().take(i + 1) {
            let mut sum = by_a * by_c * gram[a][c];
            if by_b != 0.0 {
                sum += by_b * by_c * gram[b][c];
            }
            if by_d != 0.0 {
                sum += by_a * by_d * gram[a][d] + by_b * by_d * gram[b][d];
            }
            small[i][j] = sum;
        }
        moment[i] = by_a * gram[a][READING] + by_b * gram[b][READING];
        let (centre, deviation) = match a {
            LEVEL => (LEVEL_BEFORE.0 * scale, LEVEL_BEFORE.1 * scale),
            HEATER => (FOLLOWS_BEFORE.0 - follows, FOLLOWS_BEFORE.1),
            _ => (0.0, LEVEL_BEFORE.1 * scale),
        };
        mean[i] = centre;
        precision[i] = deviation.powi(-2);
    }
    posterior(law.size, &small, &moment, &mean, &precision)
}

/// Products of the columns that laws can ask for.
fn gram(rows: &[f64]) -> Box<Gram> {
    let mut gram = Box::new([[0.0; WIDTH]; WIDTH]);
    for row in rows.chunks_exact(WIDTH) {
        for a in 0..PAIRED {
            for b in a..PAIRED {
                gram[a][b] += row[a] * row[b];
            }
        }
        for b in PAIRED..COLUMNS {
            gram[b][b] += row[b] * row[b];
            gram[LEVEL][b] += row[LEVEL] * row[b];
        }
        for a in [HEATER, READING] {
            for b in 0..WIDTH {
                gram[a][b] += row[a] * row[b];
            }
        }
    }
    for a in 0..COLUMNS {
        for b in 0..a {
            gram[a][b] = gram[b][a];
        }
        gram[a][HEATER] = gram[HEATER][a];
        gram[a][READING] = gram[READING][a];
    }
    gram
}

fn share_out(found: &mut [(f64, Found)], best: f64) {
    let sum: f64 = found.iter().map(|(score, _)| (score - best).exp()).sum();
    for (score, one) in found {
        one.weight = (*score - best).exp() / sum;
    }
}

/// Takes over level, spread, wander and how strongly the heater is followed for the next round.
fn take_over(
    found: &[(f64, Found)],
    laws: &[Recovery],
    noises: &[Noise],
    rows: &[f64],
    scale: f64,
    noted: bool,
    round: &mut Round,
) {
    let mut together = [0.0; WIDTH];
    let (mut wander, mut needle) = (0.0, 0.0);
    for (_, one) in found {
        let law = &laws[one.law];
        wander += one.weight * noises[one.noise].wander.share.powi(2);
        needle += one.weight * noises[one.noise].needle.powi(2);
        for (pair, mean) in law.columns.iter().zip(one.posterior.mean).take(law.size) {
            for (column, by) in pair {
                together[*column] += one.weight * by * mean;
            }
        }
    }
    round.wander_share = wander.sqrt();
    round.needle = needle.sqrt();
    let mut seen = 0.0;
    let heaviest = found.iter().take_while(|(_, one)| {
        let goes_on = seen < MOST_OF_THE_WEIGHT;
        seen += one.weight;
        goes_on
    });
    let heaviest: Vec<&Found> = heaviest.map(|(_, one)| one).collect();
    let weight: f64 = heaviest.iter().map(|one| one.weight).sum();
    for (index, row) in rows.chunks_exact(WIDTH).enumerate() {
        let level: f64 = row[..COLUMNS]
            .iter()
            .zip(&together)
            .map(|(a, b)| a * b)
            .sum();
        round.level[index] = level.max(0.01 * scale);
        let (mut mean, mut square) = (0.0, 0.0);
        for one in &heaviest {
            let law = &laws[one.law];
            let at = weights_at(law, row, 1.0);
            let (mut own, mut spread) = (0.0, 0.0);
            for i in 0..law.parts {
                own += at[i] * one.posterior.mean[i];
                for j in 0..law.parts {
                    spread += at[i] * at[j] * one.posterior.covariance[i][j];
                }
            }
            mean += one.weight * own / weight;
            square += one.weight * (spread + own * own) / weight;
        }
        round.level_variance[index] = (square - mean * mean).max(0.0);
    }
    if noted {
        round.follows = (round.follows + together[HEATER]).clamp(-0.2, 1.5);
    }
}
