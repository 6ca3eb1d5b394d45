//! Tubes with a screen: pentodes, beam tubes, and heptodes with a second control grid.
//!
//! Volts, amperes. The screen takes the plate's place in the triode's law (see `control`,
//! `triode`); the plate adds a little by `Vp/mu_plate`. The current so made passes the
//! screen, which catches a share `q a`: nearly fixed in pentodes (`f` near 0), falling with
//! the plate volts where aligned wires only catch electrons that turn back (`f` near 1, beam
//! tubes; O. H. Schade, Proc. IRE 26 (1938) 137, from memory). The rest reaches the plate if
//! the plate can draw it: below the knee, whose volts rise with the controlling volts as
//! Child's law between screen and plate wants it, it turns back to the screen.
//!
//! ```text
//! I  = I(Vg + Vc + Vs/mu + Vp/mu_plate) b(Vs/Vlow)
//! Ip = I (1 - q a) m h(Vp/(k A))     Is = I - Ip      h(x) = x / (1 + x^4)^(1/4)
//! q  = 1 - f + 2 f (Vs^2 + 1)/(Vs^2 + Vp^2 + 2)
//! m  = 1 / (1 + exp(-(V3 + Vs/mu3)/w))       heptode; otherwise 1
//! ```
//!
//! Secondary emission (the tetrode's dip) is left out: suppressors and beams are there to
//! prevent it. Holds from below cut-off to a few volts of positive grid. Nothing here fails.

use super::control::Control;
use super::grid_current::GridCurrent;
use super::soft::{bend, gate, rounded_positive, sharp_bend};
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
    /// Half width of the spread of `Vs/mu_screen` along the cathode, as a share of it; below
    /// 1. Small for a sharp cut-off, near 1 for a remote one.
    pub spread: f64,
    /// Softness of the cut-off as a share of `Vs/mu_screen`.
    pub softness: f64,
    /// Screen volts below which the screen no longer draws all.
    pub low_screen_volts: f64,
    /// Share of the current that the screen catches with the plate at the screen's volts.
    pub screen_share: f64,
    /// How much of that share falls as the plate rises above the screen: 0 to 1.
    pub screen_share_fall: f64,
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

/// Controlling volts that are added for the knee, so that a tube cut off has one.
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
        let (plate, plate_slope) = rounded_positive(volts[PLATE], PLATE_ROUNDING);
        let (screen, screen_slope) = rounded_positive(volts[SCREEN], PLATE_ROUNDING);
        let passed = Control {
            volts: grid_volts * over_cutoff
                + self.offset_volts
                + volts[SCREEN] * over_mu
                + plate * over_plate_mu,
            by: [plate_slope * over_plate_mu, over_cutoff, over_mu],
            pull: screen * over_mu,
            pull_by: [0.0, 0.0, screen_slope * over_mu],
        }
        .passes(self.spread, self.softness);
        let over_low = 1.0 / self.low_screen_volts;
        let (drawn, drawn_slope) = bend(screen * over_low);
        // All that passes grid 1, and its slopes.
        let factor = self.perveance * state.strength;
        let total = factor * passed.current * drawn;
        let mut total_by = passed.by.map(|slope| factor * drawn * slope);
        total_by[SCREEN] += factor * passed.current * drawn_slope * screen_slope * over_low;
        // What the screen's wires do not catch.
        let over_squares = 1.0 / (screen * screen + plate * plate + 2.0);
        let ratio = 2.0 * (screen * screen + 1.0) * over_squares;
        let fall = self.screen_share * self.screen_share_fall;
        let missed = 1.0 - self.screen_share + fall - fall * ratio;
        let missed_by_plate = fall * ratio * 2.0 * plate * over_squares * plate_slope;
        let missed_by_screen = -fall
            * (4.0 * screen * over_squares - ratio * 2.0 * screen * over_squares)
            * screen_slope;
        // What the plate can draw.
        let over_knee = 1.0 / (self.knee * (passed.highest + LEAST_KNEE_CONTROL));
        let reach = plate * over_knee;
        let (bent, bent_slope) = sharp_bend(reach);
        let by_highest = -bent_slope * reach * over_knee * self.knee;
        let mut bent_by = passed.highest_by.map(|slope| by_highest * slope);
        bent_by[PLATE] += bent_slope * over_knee * plate_slope;
        // What a second control grid lets through.
        let (open, open_slope, over_gate_mu) = match &self.gate {
            Some(grid3) => {
                let over_width = 1.0 / grid3.width_volts;
                let over_gate_mu = 1.0 / grid3.mu;
                let grid3_volts = (volts[GRID3] + state.contact_volts) * over_cutoff;
                let (open, slope) = gate((grid3_volts + volts[SCREEN] * over_gate_mu) * over_width);
                (open, slope * over_width, over_gate_mu)
            }
            None => (1.0, 0.0, 0.0),
        };
        let share = missed * bent * open;
        let mut share_by = bent_by.map(|slope| missed * open * slope);
        share_by[PLATE] += bent * open * missed_by_plate;
        share_by[SCREEN] += bent * (open * missed_by_screen + missed * open_slope * over_gate_mu);
        let mut raw = Raw::default();
        raw.amperes[PLATE] = total * share;
        raw.amperes[SCREEN] = total * (1.0 - share);
        for electrode in 0..3 {
            let slope = total_by[electrode] * share + total * share_by[electrode];
            raw.slopes[PLATE][electrode] = slope;
            raw.slopes[SCREEN][electrode] = total_by[electrode] - slope;
        }
        let by_grid3 = total * missed * bent * open_slope * over_cutoff;
        raw.slopes[PLATE][GRID3] = by_grid3;
        raw.slopes[SCREEN][GRID3] = -by_grid3;
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
