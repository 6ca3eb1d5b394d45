//! Tubes with a screen: pentodes, beam tubes, and heptodes with a second control grid.
//!
//! Volts, amperes. The screen takes the plate's place in the triode's law (see `triode`);
//! the plate adds a little by `Vp/mu_plate`. The current so made passes the screen, which
//! catches a fixed share (F. Tank, Jahrb. d. drahtl. Telegr. 20 (1922) 82, gives the share
//! above the knee as nearly fixed; from memory), and reaches the plate if the plate can
//! draw it: below the knee, whose volts rise with the controlling volts as Child's law
//! between screen and plate wants it, the rest turns back to the screen.
//!
//! ```text
//! I  = G (s ln(1 + exp(v/s)))^1.5 b(Vs/Vk)   v = Vg + Vc + Vs/mu + Vp/mu_plate
//! Ip = I (1 - a) m b(Vp/(k v+))              Is = I - Ip
//! m  = 1 / (1 + exp(-(V3 + Vs/mu3)/w))       heptode; otherwise 1
//! ```
//!
//! Secondary emission (the tetrode's dip) is left out: suppressors and beams are there to
//! prevent it. Holds from below cut-off to a few volts of positive grid. Nothing here fails.

use super::grid_current::GridCurrent;
use super::soft::{bend, gate, positive_part, rounded_positive, three_halves};
use super::triode::PLATE_ROUNDING;
use super::{Electrode, Raw, TubeState};

/// Constants of a tube with a screen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PentodeLaw {
    /// Amperes per volt of controlling volts to the power 1.5.
    pub perveance: f64,
    /// Screen volts that do as much as one grid volt.
    pub mu_screen: f64,
    /// Plate volts that do as much as one grid volt.
    pub mu_plate: f64,
    /// Volts added to the controlling volts: contact potential and the electrons' own speed.
    pub offset_volts: f64,
    /// Spread of the controlling volts as a share of `Vs/mu_screen`: small for a sharp
    /// cut-off, large for a remote one.
    pub spread: f64,
    /// Spread that remains at no screen volts.
    pub least_spread_volts: f64,
    /// Screen volts below which the screen no longer draws all.
    pub low_screen_volts: f64,
    /// Share of the current that the screen catches above the knee.
    pub screen_share: f64,
    /// Volts of the knee for each volt of controlling volts.
    pub knee: f64,
    /// The current of grid 1.
    pub grid: GridCurrent,
    /// The second control grid; `None` where grid 3 is at the cathode or does nothing else.
    pub gate: Option<GridGate>,
    /// What the cathode can emit when new, amperes.
    pub emission_amperes: f64,
}

/// A grid behind the screen that divides the current between plate and screen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GridGate {
    /// Screen volts that do as much as one volt of this grid: half the current passes at
    /// minus the screen volts over this.
    pub mu: f64,
    /// Volts over which the passage widens by e.
    pub width_volts: f64,
    /// The current of this grid.
    pub grid: GridCurrent,
}

/// Controlling volts that the knee never falls below, so that a tube cut off has a knee.
const LEAST_KNEE_CONTROL: f64 = 0.2;

impl PentodeLaw {
    #[inline]
    pub(super) fn raw(&self, volts: [f64; 4], state: &TubeState) -> Raw {
        const PLATE: usize = Electrode::Plate as usize;
        const GRID: usize = Electrode::Grid1 as usize;
        const SCREEN: usize = Electrode::Grid2 as usize;
        const GRID3: usize = Electrode::Grid3 as usize;
        let grid_volts = volts[GRID] + state.contact_volts;
        let over_cutoff = 1.0 / state.cutoff;
        let over_mu = 1.0 / self.mu_screen;
        let over_plate_mu = 1.0 / self.mu_plate;
        let pull = volts[SCREEN] * over_mu;
        let (positive_pull, pull_slope) = rounded_positive(pull, PLATE_ROUNDING * over_mu);
        let (plate_volts, plate_slope) = rounded_positive(volts[PLATE], PLATE_ROUNDING);
        let part = positive_part(
            grid_volts * over_cutoff + self.offset_volts + pull + plate_volts * over_plate_mu,
            self.least_spread_volts + self.spread * positive_pull,
        );
        let (power, power_slope) = three_halves(part.value);
        let over_low = 1.0 / self.low_screen_volts;
        let (drawn, drawn_slope) = rounded_positive(volts[SCREEN], PLATE_ROUNDING);
        let (share, share_slope) = bend(drawn * over_low);
        // All that passes grid 1, and its slopes.
        let factor = self.perveance * state.strength;
        let total = factor * power * share;
        let by_part = factor * power_slope * share;
        let part_by = [
            part.slope * over_plate_mu * plate_slope,
            part.slope * over_cutoff,
            (part.slope + part.by_softness * self.spread * pull_slope) * over_mu,
        ];
        let total_by = [
            by_part * part_by[0],
            by_part * part_by[1],
            by_part * part_by[2] + factor * power * share_slope * drawn_slope * over_low,
        ];
        // What of it reaches the plate.
        let over_knee = 1.0 / (self.knee * (part.value + LEAST_KNEE_CONTROL));
        let reach = plate_volts * over_knee;
        let (bent, bent_slope) = bend(reach);
        let (open, open_slope, gate_mu) = match &self.gate {
            Some(grid3) => {
                let over_width = 1.0 / grid3.width_volts;
                let over_mu3 = 1.0 / grid3.mu;
                let (open, slope) = gate(
                    ((volts[GRID3] + state.contact_volts) * over_cutoff + volts[SCREEN] * over_mu3)
                        * over_width,
                );
                (open, slope * over_width, over_mu3)
            }
            None => (1.0, 0.0, 0.0),
        };
        let most = 1.0 - self.screen_share;
        let passed = most * bent * open;
        // Slope of the passed share against the controlling volts, by way of the knee.
        let passed_by_part = -most * open * bent_slope * reach * over_knee * self.knee;
        let passed_by = [
            passed_by_part * part_by[0] + most * open * bent_slope * over_knee * plate_slope,
            passed_by_part * part_by[1],
            passed_by_part * part_by[2] + most * bent * open_slope * gate_mu,
            most * bent * open_slope * over_cutoff,
        ];
        let mut raw = Raw::default();
        raw.amperes[PLATE] = total * passed;
        raw.amperes[SCREEN] = total * (1.0 - passed);
        for electrode in 0..3 {
            let plate = total_by[electrode] * passed + total * passed_by[electrode];
            raw.slopes[PLATE][electrode] = plate;
            raw.slopes[SCREEN][electrode] = total_by[electrode] - plate;
        }
        raw.slopes[PLATE][GRID3] = total * passed_by[3];
        raw.slopes[SCREEN][GRID3] = -total * passed_by[3];
        let (grid_amperes, grid_slope) = self.grid.current(grid_volts, state.strength);
        raw.amperes[GRID] = grid_amperes;
        raw.slopes[GRID][GRID] = grid_slope;
        if let Some(grid3) = &self.gate {
            let (amperes, slope) = grid3
                .grid
                .current(volts[GRID3] + state.contact_volts, state.strength);
            raw.amperes[GRID3] = amperes;
            raw.slopes[GRID3][GRID3] = slope;
        }
        raw
    }
}
