//! A triode.
//!
//! Volts, amperes. The grid and the plate act on the space charge as one plate at the
//! controlling volts `v = Vg + Vc + Vp/mu` (H. J. van der Bijl, The Thermionic Vacuum
//! Tube, 1920, from memory), which draws by Child's three-halves law. A grid of uneven
//! pitch has not one mu but a spread of them, the wider in volts the higher the plate, so
//! `v` is averaged over a logistic spread of width `s = s0 + k Vp/mu`: below cut-off the
//! current dies by log-exp. A plate of a few volts cannot draw across what the grid lets
//! through: the current bends to nothing with the plate volts.
//!
//! ```text
//! I = G (s ln(1 + exp(v/s)))^1.5 b(Vp/Vk)     b(x) = x / sqrt(1 + x^2)
//! ```
//!
//! Grid current comes on top, see `grid_current`. Holds from below cut-off to a few volts
//! of positive grid; at a far positive grid the plate's part comes out too high. Nothing
//! here fails.

use super::grid_current::GridCurrent;
use super::soft::{bend, positive_part, rounded_positive, three_halves};
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
    /// Spread of the controlling volts as a share of `Vp/mu`.
    pub spread: f64,
    /// Spread that remains at no plate volts.
    pub least_spread_volts: f64,
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
        let pull = volts[PLATE] * over_mu;
        let (positive_pull, pull_slope) = rounded_positive(pull, PLATE_ROUNDING * over_mu);
        let over_cutoff = 1.0 / state.cutoff;
        let part = positive_part(
            grid_volts * over_cutoff + self.offset_volts + pull,
            self.least_spread_volts + self.spread * positive_pull,
        );
        let (power, power_slope) = three_halves(part.value);
        let over_low = 1.0 / self.low_plate_volts;
        let (drawn, drawn_slope) = rounded_positive(volts[PLATE], PLATE_ROUNDING);
        let (share, share_slope) = bend(drawn * over_low);
        let factor = self.perveance * state.strength;
        let by_part = factor * power_slope * share;
        let (grid_amperes, grid_slope) = self.grid.current(grid_volts, state.strength);
        let mut raw = Raw::default();
        raw.amperes[PLATE] = factor * power * share;
        raw.slopes[PLATE][PLATE] =
            by_part * (part.slope + part.by_softness * self.spread * pull_slope) * over_mu
                + factor * power * share_slope * drawn_slope * over_low;
        raw.slopes[PLATE][GRID] = by_part * part.slope * over_cutoff;
        raw.amperes[GRID] = grid_amperes;
        raw.slopes[GRID][GRID] = grid_slope;
        raw
    }
}
