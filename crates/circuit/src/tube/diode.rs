//! A vacuum diode.
//!
//! Volts, amperes. Above zero the three-halves law of C. D. Child (Phys. Rev. 32 (1911)
//! 492) and I. Langmuir (Phys. Rev. 2 (1913) 450); below, the current of the fast
//! electrons as in `grid_current`. Holds up to the emission limit, which the caller of
//! this module applies. Nothing here fails.

use super::grid_current::GridCurrent;
use super::{Electrode, Raw, TubeState};

/// Constants of a diode.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DiodeLaw {
    /// The plate's current, taken as that of a grid that collects all.
    pub plate: GridCurrent,
    /// What the cathode can emit when new, amperes.
    pub emission_amperes: f64,
}

impl DiodeLaw {
    #[inline]
    pub(super) fn raw(&self, volts: [f64; 4], state: &TubeState) -> Raw {
        let plate = Electrode::Plate as usize;
        let (amperes, slope) = self
            .plate
            .current(volts[plate] + state.contact_volts, state.strength);
        let mut raw = Raw::default();
        raw.amperes[plate] = amperes;
        raw.slopes[plate][plate] = slope;
        raw
    }
}
