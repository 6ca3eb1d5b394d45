//! Current of a grid that collects electrons.
//!
//! Volts, amperes. A positive grid collects by the three-halves law; a grid a little
//! negative still catches the fast electrons of the cathode, whose energies follow
//! Maxwell's law, so that its current dies by a factor of e for every `kT/e` volts
//! (O. W. Richardson and F. C. Brown, Phil. Mag. 16 (1908) 353: 0.09 V at 1050 K; real
//! grids are softer). One log-exp joins both: `I = G (s ln(1 + exp((V + Vc)/s)))^1.5`,
//! whose tail falls by e in `s / 1.5` volts. Holds to some tens of volts positive;
//! secondary emission of the grid is left out. Nothing here fails.

use super::soft::{positive_part, three_halves};

/// Constants of the current of one grid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GridCurrent {
    /// Amperes per volt to the power 1.5, of the grid as a diode's plate. Not below 0.
    pub perveance: f64,
    /// Volts added to the grid's: it begins to conduct at minus this.
    pub contact_volts: f64,
    /// Width of the beginning, volts: the tail falls by e in two thirds of it. Above 0.
    pub softness_volts: f64,
}

impl GridCurrent {
    /// A grid that draws nothing.
    pub const NONE: GridCurrent = GridCurrent {
        perveance: 0.0,
        contact_volts: 0.0,
        softness_volts: 0.1,
    };

    /// Amperes and siemens at `volts`, with the sample's strength.
    #[inline]
    pub(super) fn current(&self, volts: f64, strength: f64) -> (f64, f64) {
        if self.perveance == 0.0 {
            return (0.0, 0.0);
        }
        let part = positive_part(volts + self.contact_volts, self.softness_volts);
        let (amperes, slope) = three_halves(part.value);
        let factor = self.perveance * strength;
        (factor * amperes, factor * slope * part.slope)
    }
}
