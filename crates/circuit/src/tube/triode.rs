//! A triode.
//!
//! Volts, amperes. What the grid lets pass is given in `control`. A plate of a few volts
//! cannot draw all of it: the current bends to nothing with the plate volts.
//!
//! ```text
//! Ip = I(Vg + Vc + Vp/mu) b(Vp/Vlow)     b(x) = x / sqrt(1 + x^2)
//! ```
//!
//! Grid current comes on top, see `grid_current`. Holds from below cut-off to a few volts
//! of positive grid; at a far positive grid the plate's part comes out too high. Nothing
//! here fails.

use super::control::Control;
use super::grid_current::GridCurrent;
use super::soft::{bend, rounded_positive};
use super::{Electrode, Raw, TubeState};

/// Constants of a triode.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TriodeLaw {
    /// Amperes per volt of controlling volts to the power 1.5.
    pub perveance: f64,
    /// Plate volts that do as much as one grid volt.
    pub mu: f64,
    /// Volts added to the controlling volts: contact potential and the electrons' own speed.
    pub offset_volts: f64,
    /// Half width of the spread of `Vp/mu` along the cathode, as a share of it; below 1.
    pub spread: f64,
    /// Softness of the cut-off as a share of `Vp/mu`.
    pub softness: f64,
    /// Plate volts below which the plate no longer draws all.
    pub low_plate_volts: f64,
    /// The grid's current.
    pub grid: GridCurrent,
    /// What the cathode can emit when new, amperes.
    pub emission_amperes: f64,
}

/// Volts over which the rise of the current from zero plate volts is rounded.
pub(super) const PLATE_ROUNDING: f64 = 0.5;

impl TriodeLaw {
    #[inline]
    pub(super) fn raw(&self, volts: [f64; 4], state: &TubeState) -> Raw {
        const PLATE: usize = Electrode::Plate as usize;
        const GRID: usize = Electrode::Grid1 as usize;
        let grid_volts = volts[GRID] + state.contact_volts;
        let over_mu = 1.0 / self.mu;
        let over_cutoff = 1.0 / state.cutoff;
        let (drawn, drawn_slope) = rounded_positive(volts[PLATE], PLATE_ROUNDING);
        let passed = Control {
            volts: grid_volts * over_cutoff + self.offset_volts + volts[PLATE] * over_mu,
            by: [over_mu, over_cutoff],
            pull: drawn * over_mu,
            pull_by: [drawn_slope * over_mu, 0.0],
        }
        .passes(self.spread, self.softness);
        let over_low = 1.0 / self.low_plate_volts;
        let (share, share_slope) = bend(drawn * over_low);
        let factor = self.perveance * state.strength;
        let (grid_amperes, grid_slope) = self.grid.current(grid_volts, state.strength);
        let mut raw = Raw::default();
        raw.amperes[PLATE] = factor * passed.current * share;
        raw.slopes[PLATE][PLATE] =
            factor * (passed.by[0] * share + passed.current * share_slope * drawn_slope * over_low);
        raw.slopes[PLATE][GRID] = factor * passed.by[1] * share;
        raw.amperes[GRID] = grid_amperes;
        raw.slopes[GRID][GRID] = grid_slope;
        raw
    }
}
