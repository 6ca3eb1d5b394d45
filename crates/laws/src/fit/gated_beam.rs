//! The law of a gated-beam tube.
//!
//! Accelerator volts and current give the perveance, plate current the share; where the
//! gates lie comes from memory of R. Adler's article and the maker's curves: each opens over
//! about two volts around -1.5 V. Volts, amperes.

use circuit::tube::{BeamGate, Electrode, GatedBeamLaw, GridCurrent, TubeLaw};

use super::figures::{Observed, PointFigure};

/// One gate, see above. Its grid draws little: a thin beam passes between wide wires.
const GATE: BeamGate = BeamGate {
    middle_volts: -1.5,
    width_volts: 0.6,
    grid: GridCurrent {
        perveance: 1e-4,
        contact_volts: 0.2,
        softness_volts: 0.14,
    },
};

/// Plate volts of the knee, from memory of the maker's curves.
const KNEE_VOLTS: f64 = 20.0;

/// The law through the first point.
pub(super) fn fit(points: &[Observed], emission_amperes: f64) -> Option<TubeLaw> {
    let point = points.first()?;
    let figure = |wanted: PointFigure| {
        point
            .figures
            .iter()
            .find(|(figure, _, _)| *figure == wanted)
            .map(|(_, value, _)| *value)
    };
    let plate = figure(PointFigure::PlateCurrent)?;
    let total = plate + figure(PointFigure::ScreenCurrent)?;
    let made = |perveance: f64, plate_share: f64| {
        TubeLaw::GatedBeam(GatedBeamLaw {
            perveance,
            plate_share,
            limiter: GATE,
            quadrature: GATE,
            knee_volts: KNEE_VOLTS,
            emission_amperes,
        })
    };
    let screen_volts = point.volts[Electrode::Grid2 as usize];
    if screen_volts <= 0.0 {
        return None;
    }
    let perveance = total / screen_volts.powf(1.5);
    // What the gates let pass at the point, taken with a share of one half.
    let trial = made(perveance, 0.5);
    let passed = 2.0 * point.by_law(&trial, PointFigure::PlateCurrent) / total;
    let law = made(perveance, (plate / total / passed).clamp(0.01, 0.95));
    law.check().is_ok().then_some(law)
}
