//! Bands of a whole set: drawn sets solved in full, and the same by slopes.
//!
//! Units of the readings. Causes that change the supply's cycle are followed by the
//! movements of [`crate::bands`]: each way of a rectifier, each emission, each reading of
//! the cycle as a curve in the cause. Every drawn set then takes its own supply, its own
//! parts and its own tubes and is solved in full by [`circuit::operating`]; 1,024 draws of
//! scrambled Sobol points, one seed. What each cause has in a band is told by the slopes
//! of the network at its expected point ([`circuit::operating::Response`]), which also
//! give the bands where they are narrow enough to be straight: a test holds both together.
//! A reading that is already known narrows all others by their common draws. A draw that
//! cannot be solved is left out and counted.

mod answers;
mod follow;
mod linear;
mod narrow;
mod shares;

use circuit::operating::Figure;
use quantity::Band;
use rayon::prelude::*;

use crate::bands::{DRAWS, DrawnReading, SEED, Values, band_of, nine_of_ten, ratios, variation_of};
use crate::causes::Cause;
use crate::conditions::BenchConditions;
use crate::probes::Probe;
use crate::wiring::SetModel;

use super::couple::WholeSet;
use super::expecting::{is_direct, read_direct};
use super::metered::Metered;
use follow::{Followed, rows_of};
use shares::Shares;

pub use answers::Answers;
pub(super) use answers::taken_over;
pub(super) use follow::acts_in_cycle;
pub use linear::linear_bands;
pub use narrow::Narrowing;
pub(crate) use narrow::narrow;

/// All probes in every drawn set; readings that are known later narrow copies of it.
pub(super) struct Drawn {
    /// One a probe, with the weights of the causes.
    columns: Vec<Option<DrawnReading>>,
    /// Cycles solved.
    pub cycles: usize,
    /// Draws that could not be solved.
    pub lost: usize,
    /// Numbers of those that were, as the columns have them.
    pub kept: Vec<usize>,
    /// Causes whose ends could not be solved.
    pub unsolved: Vec<String>,
}

/// The readings of one drawn or moved set from its network.
fn direct_values(
    model: &SetModel<'_>,
    set: &WholeSet,
    probes: &[Probe],
    figures: &[Figure],
    point: &circuit::operating::Point,
) -> Values {
    probes
        .iter()
        .map(|probe| {
            is_direct(model, probe)
                .then(|| read_direct(model, &set.cycle.wired, &set.direct, figures, point, probe))
                .flatten()
        })
        .collect()
}

impl Drawn {
    /// A probe in every drawn set.
    pub fn column(&self, probe: usize) -> Option<&[f64]> {
        let (values, _) = self.columns.get(probe)?.as_ref()?;
        Some(values)
    }

    /// The band of each probe around what is expected, narrowed by what is known.
    pub fn bands(&self, expected: &[Option<f64>], known: &[Narrowing]) -> Vec<Option<Band>> {
        let mut columns = self.columns.clone();
        for known in known {
            narrow(&mut columns, known);
        }
        columns
            .into_par_iter()
            .zip(expected)
            .map(|(column, expected)| {
                let (mut values, weights) = column?;
                let expected = if known.is_empty() {
                    (*expected)?
                } else {
                    values.iter().sum::<f64>() / values.len().max(1) as f64
                };
                let (low, high) = nine_of_ten(&mut values);
                band_of(low, expected, high, weights)
            })
            .collect()
    }
}

/// The causes that vary, with their columns: one that stands still keeps its place among the
/// draws and moves nothing.
fn moving(causes: &[Cause], rows: Vec<Vec<f64>>) -> (Vec<Cause>, Vec<Vec<f64>>) {
    let varies = |cause: &&Cause| !cause.spread.is_still();
    let kept: Vec<Cause> = causes.iter().filter(varies).cloned().collect();
    if kept.len() == causes.len() {
        return (kept, rows);
    }
    let rows = rows
        .into_iter()
        .map(|row| {
            let own = row.into_iter().zip(causes);
            own.filter(|(_, cause)| varies(cause))
                .map(|(ratio, _)| ratio)
                .collect()
        })
        .collect();
    (kept, rows)
}

/// Draws a whole set. `meter` tells what each probe reads without and with one; shares of the
/// causes are told where they are wanted.
pub(super) fn draw(
    model: &SetModel<'_>,
    conditions: &BenchConditions,
    set: &WholeSet,
    probes: &[Probe],
    causes: &[Cause],
    meter: &Metered,
    with_shares: bool,
) -> Drawn {
    let expected = meter.open();
    let (causes, rows) = moving(causes, ratios(causes, DRAWS, SEED));
    let causes = &causes[..];
    let followed = Followed::of(model, conditions, set, probes, causes);
    let moved = &followed.cycle;
    let draws = followed.draws(causes, &rows);
    let wired: Vec<Option<(Vec<Figure>, f64)>> = rows
        .par_iter()
        .enumerate()
        .map(|(draw, row)| {
            let (variation, scale) = variation_of(causes, row);
            let figures = followed.figures(model, conditions, set, &variation, &draws, draw)?;
            Some((figures, scale))
        })
        .collect();
    let unwired = wired.iter().filter(|wired| wired.is_none()).count();
    let mut kept: Vec<Vec<f64>> = Vec::with_capacity(rows.len());
    let mut numbers: Vec<usize> = Vec::with_capacity(rows.len());
    let mut figures: Vec<Vec<Figure>> = Vec::with_capacity(rows.len());
    let mut scales: Vec<f64> = Vec::with_capacity(rows.len());
    for (number, (row, wired)) in rows.into_iter().zip(wired).enumerate() {
        if let Some((own, scale)) = wired {
            numbers.push(number);
            kept.push(row);
            figures.push(own);
            scales.push(scale);
        }
    }
    let cycle_rows = rows_of(moved, causes, &kept);
    let points = set
        .direct
        .operating
        .solve_many(&figures, Some(&set.point.volts));
    let drawn: Vec<Option<Values>> = figures
        .par_iter()
        .zip(&points)
        .map(|(figures, point)| {
            let point = point.as_ref().ok()?;
            Some(direct_values(model, set, probes, figures, point))
        })
        .collect();
    let unsolved = drawn.iter().filter(|values| values.is_none()).count();
    let mut solved = drawn.iter().map(Option::is_some);
    numbers.retain(|_| solved.next().unwrap_or(false));
    let shares = with_shares
        .then(|| Shares::of(model, conditions, set, causes, &followed))
        .flatten();
    // Every probe in every draw that was solved.
    let columns: Vec<Option<DrawnReading>> = probes
        .par_iter()
        .enumerate()
        .map(|(number, probe)| {
            if is_direct(model, probe) {
                let open: Vec<Option<f64>> = drawn
                    .iter()
                    .map(|values| values.as_ref()?.get(number).copied().flatten())
                    .collect();
                let (offset, slope) = meter.line(number, &figures, &open, &set.point);
                let own: Vec<f64> = open
                    .iter()
                    .zip(&scales)
                    .filter_map(|(value, scale)| Some((offset + slope * (*value)?) * scale))
                    .collect();
                let expected = expected[number]?;
                let weights = shares.as_ref().map_or_else(Vec::new, |shares| {
                    shares.of_probe(model, set, probe, causes, expected)
                });
                (own.len() == drawn.len() - unsolved).then_some((own, weights))
            } else {
                let (values, weights) = moved.drawn(number, &cycle_rows)?;
                let expected = moved.expected[number]?;
                let whole = values
                    .into_iter()
                    .zip(&drawn)
                    .filter(|(_, solved)| solved.is_some())
                    .map(|(value, _)| {
                        let (low, high) = moved.within_sign(number, expected, value, value);
                        low.max(high.min(value))
                    })
                    .collect();
                Some((whole, weights))
            }
        })
        .collect();
    Drawn {
        columns,
        cycles: followed.solved(),
        lost: unwired + unsolved,
        kept: numbers,
        unsolved: followed.unsolved(),
    }
}
