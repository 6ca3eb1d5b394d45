//! The current that a grid lets pass: Child's law averaged over a grid of uneven mu.
//!
//! Volts, amperes. Grid and plate (or screen) act on the space charge as one plate at the
//! controlling volts `v = Vg + Vc + V/mu`, which draws by the three-halves law (H. J. van
//! der Bijl, The Thermionic Vacuum Tube, 1920; K. R. Spangenberg, Vacuum Tubes, 1948; both
//! from memory). No grid has one mu: its wires shade the cathode unevenly, its ends and
//! supports leak. Let `V/mu` be spread evenly from `v - s` to `v + s` along the cathode with
//! `s = s0 + k V/mu`, and each boundary be softened by the log-exp of width
//! `t = t0 + c V/mu`; then the average of the three-halves law is
//!
//! ```text
//! I = G (A^2.5 - B^2.5) / (5 s)     A = t ln(1 + exp((v+s)/t))   B likewise with v - s
//! ```
//!
//! For a small `s` this is `G v^1.5`; with a large one the beginning follows the 2.5th
//! power, mu falls and transconductance dies slowly toward cut-off, as in remote cut-off
//! tubes and in triodes of medium mu. `s` and `t` stay in proportion to the volts, so that
//! the law keeps Child's scaling: all volts doubled, the current is 2.83 times as large.
//! Nothing here fails.

use super::soft::positive_part;

/// Half width of the spread that remains at no volts on plate or screen.
const LEAST_SPREAD_VOLTS: f64 = 0.1;

/// Softness that remains there: energies of the electrons, about `kT/e` at 1050 K.
const LEAST_SOFTNESS_VOLTS: f64 = 0.1;

/// A controlling voltage with its slopes against `N` electrodes.
pub(super) struct Control<const N: usize> {
    /// Grid, contact and pull together, volts.
    pub(super) volts: f64,
    /// Slopes of `volts`.
    pub(super) by: [f64; N],
    /// What plate or screen contributes, not below zero, volts.
    pub(super) pull: f64,
    /// Slopes of `pull`.
    pub(super) pull_by: [f64; N],
}

/// What the control lets pass.
pub(super) struct Passed<const N: usize> {
    /// Amperes for a perveance of one.
    pub(super) current: f64,
    /// Slopes of `current`.
    pub(super) by: [f64; N],
    /// `A` above: the highest controlling volts along the cathode.
    pub(super) highest: f64,
    /// Slopes of `highest`.
    pub(super) highest_by: [f64; N],
}

impl<const N: usize> Control<N> {
    /// The average of the three-halves law over the spread; `spread` is `k`, `softness` `c`.
    #[inline]
    pub(super) fn passes(&self, spread: f64, softness: f64) -> Passed<N> {
        let half_width = LEAST_SPREAD_VOLTS + spread * self.pull;
        let soft = LEAST_SOFTNESS_VOLTS + softness * self.pull;
        let high = positive_part(self.volts + half_width, soft);
        let low = positive_part(self.volts - half_width, soft);
        let (high_root, low_root) = (high.value.sqrt(), low.value.sqrt());
        let (high_power, low_power) = (high.value * high_root, low.value * low_root);
        let over = 0.2 / half_width;
        let current = (high_power * high.value - low_power * low.value) * over;
        let high_rate = 2.5 * over * high_power;
        let low_rate = 2.5 * over * low_power;
        let by_volts = high_rate * high.slope - low_rate * low.slope;
        let by_pull = spread * (high_rate * high.slope + low_rate * low.slope)
            + softness * (high_rate * high.by_softness - low_rate * low.by_softness)
            - spread * current / half_width;
        let highest_by_pull = spread * high.slope + softness * high.by_softness;
        let mut by = [0.0; N];
        let mut highest_by = [0.0; N];
        for electrode in 0..N {
            by[electrode] = by_volts * self.by[electrode] + by_pull * self.pull_by[electrode];
            highest_by[electrode] =
                high.slope * self.by[electrode] + highest_by_pull * self.pull_by[electrode];
        }
        Passed {
            current,
            by,
            highest: high.value,
            highest_by,
        }
    }
}
