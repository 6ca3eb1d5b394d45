//! Fits a triode's constants.
//!
//! The search runs over logarithms and the like, so that no constant leaves its range. What
//! one point cannot tell (spread, softness, contact potential, the bend at low plate volts)
//! stays near what the triodes with more points have in common, see `priors`.

use circuit::tube::{Electrode, TriodeLaw, TubeLaw};

use super::figures::{Observed, PointFigure};
use super::least_squares::{Prior, best, prior};
use super::priors::{self, grid_current, share_of};

/// Numbers that are searched for, in order.
const COUNT: usize = 6;

fn law_from(at: &[f64], emission_amperes: f64) -> TubeLaw {
    let get = |place: usize| at.get(place).copied().unwrap_or(0.0);
    let perveance = priors::bounded_exp(get(0));
    TubeLaw::Triode(TriodeLaw {
        perveance,
        mu: priors::bounded_exp(get(1)),
        offset_volts: get(2),
        spread: share_of(get(3), priors::MOST_SPREAD),
        softness: priors::bounded_exp(get(4)),
        low_plate_volts: priors::bounded_exp(get(5)),
        grid: grid_current(perveance),
        emission_amperes,
    })
}

/// The law that meets the points best.
pub(super) fn fit(points: &[Observed], emission_amperes: f64) -> Option<TubeLaw> {
    let first = points.first()?;
    let figure = |wanted: PointFigure| {
        first
            .figures
            .iter()
            .find(|(figure, _, _)| *figure == wanted)
            .map(|(_, value, _)| *value)
    };
    let plate = first.volts[Electrode::Plate as usize];
    let grid = first.volts[Electrode::Grid1 as usize];
    let current = figure(PointFigure::PlateCurrent)?;
    let from_slopes = match (
        figure(PointFigure::Transconductance),
        figure(PointFigure::PlateResistance),
    ) {
        (Some(siemens), Some(ohms)) => Some(siemens * ohms),
        _ => None,
    };
    let from_cutoff = first
        .cutoff
        .map(|cutoff| 1.3 * plate / -cutoff.volts[Electrode::Grid1 as usize].min(-0.5));
    let from_current = figure(PointFigure::Transconductance)
        .map(|siemens| plate / (1.5 * current / siemens - grid).max(0.3));
    let mu = figure(PointFigure::AmplificationFactor)
        .or(from_slopes)
        .or(from_current)
        .or(from_cutoff)
        .unwrap_or(20.0)
        .clamp(1.0, 200.0);
    let control = (grid + priors::TRIODE_OFFSET.usual + plate / mu).max(0.3);
    let perveance = current / control.powf(1.5);
    let start = [
        perveance.ln(),
        mu.ln(),
        priors::TRIODE_OFFSET.usual,
        priors::TRIODE_SPREAD.usual,
        priors::TRIODE_SOFTNESS.usual,
        priors::TRIODE_LOW_PLATE.usual,
    ];
    let priors: [Prior; COUNT] = [
        prior(perveance.ln(), 3.0),
        prior(mu.ln(), 1.5),
        priors::TRIODE_OFFSET,
        priors::TRIODE_SPREAD,
        priors::TRIODE_SOFTNESS,
        priors::TRIODE_LOW_PLATE,
    ];
    let found = best(&start, &priors, |at, into| {
        let law = law_from(at, emission_amperes);
        for point in points {
            point.misfits(&law, into);
        }
    });
    let law = law_from(&found, emission_amperes);
    law.check().is_ok().then_some(law)
}
