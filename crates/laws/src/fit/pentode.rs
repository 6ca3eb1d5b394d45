//! Fits the constants of a tube with a screen.
//!
//! As in `triode`; screen current and the screen's share come in, and for a heptode the gate
//! of grid 3. Remote and semi-remote cut-off is told by the notes of the type's row.

use circuit::tube::{Electrode, GridGate, PentodeLaw, TubeLaw};

use super::figures::{Observed, PointFigure};
use super::least_squares::{Prior, best, prior};
use super::priors::{self, Screened, grid_current, share_of};

fn law_from(at: &[f64], screened: Screened, emission_amperes: f64) -> TubeLaw {
    let get = |place: usize| at.get(place).copied().unwrap_or(0.0);
    let perveance = priors::bounded_exp(get(0));
    let mu_screen = priors::bounded_exp(get(1));
    let gate = (screened == Screened::Heptode).then(|| GridGate {
        mu: priors::bounded_exp(get(10)),
        width_volts: priors::bounded_exp(get(11)),
        grid: grid_current(0.3 * perveance),
    });
    TubeLaw::Pentode(PentodeLaw {
        perveance,
        mu_screen,
        mu_plate: mu_screen * priors::bounded_exp(get(2)),
        offset_volts: get(3),
        spread: share_of(get(4), priors::MOST_SPREAD),
        softness: priors::bounded_exp(get(5)),
        screen_share: share_of(get(6), priors::MOST_SCREEN_SHARE),
        screen_share_fall: share_of(get(7), 1.0),
        knee: mu_screen * priors::bounded_exp(get(8)),
        low_screen_volts: priors::bounded_exp(get(9)),
        grid: grid_current(perveance),
        gate,
        emission_amperes,
    })
}

/// The law that meets the points best.
pub(super) fn fit(
    points: &[Observed],
    screened: Screened,
    emission_amperes: f64,
) -> Option<TubeLaw> {
    let first = points.first()?;
    let figure = |wanted: PointFigure| {
        first
            .figures
            .iter()
            .find(|(figure, _, _)| *figure == wanted)
            .map(|(_, value, _)| *value)
    };
    let of_kind = screened.priors();
    let screen = first.volts[Electrode::Grid2 as usize];
    let grid = first.volts[Electrode::Grid1 as usize];
    let plate_current = figure(PointFigure::PlateCurrent)?;
    let cathode_current = plate_current + figure(PointFigure::ScreenCurrent).unwrap_or(0.0);
    let from_cutoff = first
        .cutoff
        .map(|cutoff| 1.3 * screen / -cutoff.volts[Electrode::Grid1 as usize].min(-0.5));
    let from_current = figure(PointFigure::Transconductance)
        .map(|siemens| screen / (1.5 * plate_current / siemens - grid).max(0.3));
    // Where figures tell mu they have it their own way; else it stays near the kind's.
    let screen_mu = match from_current.or(from_cutoff) {
        Some(mu) => prior(mu.clamp(2.0, 150.0).ln(), 1.5),
        None => of_kind.screen_mu,
    };
    let mu = screen_mu.usual.exp();
    let control = (grid + of_kind.offset.usual + screen / mu).max(0.3);
    let perveance = cathode_current / control.powf(1.5);
    let mut priors: Vec<Prior> = vec![
        prior(perveance.ln(), 3.0),
        screen_mu,
        of_kind.plate_mu,
        of_kind.offset,
        of_kind.spread,
        of_kind.softness,
        of_kind.share,
        of_kind.fall,
        of_kind.knee,
        of_kind.low_screen,
    ];
    if screened == Screened::Heptode {
        // Child's scaling: the gate is as wide as its screen is high.
        let [gate_mu, gate_width] = of_kind.gate;
        let wider = (screen / 100.0).max(0.05).ln();
        priors.push(gate_mu);
        priors.push(prior(gate_width.usual + wider, gate_width.deviation));
    }
    let start: Vec<f64> = priors.iter().map(|prior| prior.usual).collect();
    let found = best(&start, &priors, |at, into| {
        let law = law_from(at, screened, emission_amperes);
        for point in points {
            point.misfits(&law, into);
        }
    });
    let law = law_from(&found, screened, emission_amperes);
    law.check().is_ok().then_some(law)
}
