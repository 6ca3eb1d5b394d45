//! A gated-beam tube: two grids in turn open or close a thin beam.
//!
//! Volts, amperes. An accelerator draws a sheet of electrons from the cathode by Child's
//! law; its edges stop what the grids turn back. Each grid goes from shut to open within a
//! volt or two and then lets no more pass (R. Adler, A gated beam tube, Electronics, Feb.
//! 1950, 82; from memory). The plate takes what both let pass, below the knee less.
//!
//! ```text
//! I  = G Vs+^1.5      Ip = I a m1 m3 b(Vp/Vk)      Is = I - Ip
//! m  = 1 / (1 + exp(-(V - Vmiddle)/w))
//! ```
//!
//! Holds for grids within some volts of their middle; grid currents are those of small
//! diodes. Nothing here fails.

use super::grid_current::GridCurrent;
use super::soft::{bend, gate, rounded_positive, three_halves};
use super::triode::PLATE_ROUNDING;
use super::{Electrode, Raw, TubeState};

/// Constants of a gated-beam tube.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GatedBeamLaw {
    /// Amperes per accelerator volt to the power 1.5.
    pub perveance: f64,
    /// Share of the current that reaches the plate with both grids open.
    pub plate_share: f64,
    /// The limiter grid, grid 1.
    pub limiter: BeamGate,
    /// The quadrature grid, grid 3.
    pub quadrature: BeamGate,
    /// Plate volts of the knee.
    pub knee_volts: f64,
    /// What the cathode can emit when new, amperes.
    pub emission_amperes: f64,
}

/// One of the two grids.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BeamGate {
    /// Volts at which half of the beam passes.
    pub middle_volts: f64,
    /// Volts over which the passage widens by e.
    pub width_volts: f64,
    /// The current of this grid.
    pub grid: GridCurrent,
}

impl BeamGate {
    /// Share that passes, its slope, amperes and their slope.
    #[inline]
    fn passes(&self, volts: f64, state: &TubeState) -> [f64; 4] {
        let grid_volts = volts + state.contact_volts;
        let (open, slope) =
            gate((grid_volts / state.cutoff - self.middle_volts) / self.width_volts);
        let (amperes, siemens) = self.grid.current(grid_volts, state.strength);
        [
            open,
            slope / (self.width_volts * state.cutoff),
            amperes,
            siemens,
        ]
    }
}

impl GatedBeamLaw {
    #[inline]
    pub(super) fn raw(&self, volts: [f64; 4], state: &TubeState) -> Raw {
        const PLATE: usize = Electrode::Plate as usize;
        const GRID: usize = Electrode::Grid1 as usize;
        const SCREEN: usize = Electrode::Grid2 as usize;
        const GRID3: usize = Electrode::Grid3 as usize;
        let (drawn, drawn_slope) = rounded_positive(volts[SCREEN], PLATE_ROUNDING);
        let (power, power_slope) = three_halves(drawn);
        let factor = self.perveance * state.strength;
        let total = factor * power;
        let total_by_screen = factor * power_slope * drawn_slope;
        let [open1, slope1, amperes1, siemens1] = self.limiter.passes(volts[GRID], state);
        let [open3, slope3, amperes3, siemens3] = self.quadrature.passes(volts[GRID3], state);
        let (plate_volts, plate_slope) = rounded_positive(volts[PLATE], PLATE_ROUNDING);
        let (bent, bent_slope) = bend(plate_volts / self.knee_volts);
        let most = self.plate_share;
        let passed = most * open1 * open3 * bent;
        let by = [
            total * most * open1 * open3 * bent_slope * plate_slope / self.knee_volts,
            total * most * slope1 * open3 * bent,
            total_by_screen * passed,
            total * most * open1 * slope3 * bent,
        ];
        let mut raw = Raw {
            amperes: [total * passed, amperes1, total * (1.0 - passed), amperes3],
            ..Raw::default()
        };
        raw.slopes[PLATE] = by;
        raw.slopes[SCREEN] = [-by[0], -by[1], total_by_screen - by[2], -by[3]];
        raw.slopes[GRID][GRID] = siemens1;
        raw.slopes[GRID3][GRID3] = siemens3;
        raw
    }
}
