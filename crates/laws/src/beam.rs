//! The beam of a picture tube against the volts of its gun.
//!
//! Volts against the cathode, amperes. Below the cut-off nothing flows; above it the current
//! rises about as the 2.5th to third power of the drive, and with the grid at the cathode it is
//! about `3e-6 Vc^1.5` amperes, where `Vc` is the cut-off (H. Moss, Cathode ray tube progress,
//! and makers' sheets; from memory: 1.4 mA at a cut-off of 60 V). A grid whose mu is spread
//! from nothing to twice its middle along the cathode gives the 2.5th power, so the law is a
//! [`TubeLaw::Pentode`] of that spread and serves the solver of a set as any tube: plate is
//! the anode, grid 2 the first anode. The cut-off moves with the volts of grid 2; anode
//! volts hardly count. A type whose row has no cut-off takes what is usual and says so.

use std::sync::Arc;

use circuit::tube::{GridCurrent, PentodeLaw, TubeLaw};
use parts::{PinName, TubeType};

use crate::section_pins::SectionPins;
use crate::spread::Spread;

/// The law of a picture tube's beam.
#[derive(Clone, Debug, PartialEq)]
pub struct BeamLaw {
    /// Plate is the anode, grid 2 the first anode.
    pub law: Arc<TubeLaw>,
    /// Where the electrodes are.
    pub pins: SectionPins,
    /// Factor of the cut-off of samples, for [`circuit::tube::TubeState::cutoff`].
    pub cutoff: Spread,
    /// Cut-off of the middle sample, volts (negative), at `grid2_volts`.
    pub cutoff_volts: f64,
    /// Grid-2 volts at which that holds.
    pub grid2_volts: f64,
    /// Whether the cut-off is usual for its time and not the type's own figure.
    pub is_usual: bool,
    /// How far the beam may be off at a given drive above the sample's own cut-off.
    pub model_error: f64,
}

/// Beam with the grid at the cathode over the cut-off to the power 1.5 (see above).
const ZERO_BIAS_PERVEANCE: f64 = 3e-6;

/// Spread of mu along the cathode: from nearly nothing to nearly twice the middle.
const SPREAD: f64 = 0.98;

/// Cut-off where a row has none: -33 to -77 V at 250 or 300 V on grid 2, the commonest
/// figures of the table.
const USUAL_CUTOFF: (f64, f64, f64) = (-33.0, -77.0, 300.0);

/// The beam of a picture tube; `None` for another tube.
pub fn beam_law(tube: &TubeType) -> Option<BeamLaw> {
    if !tube.is_picture_tube {
        return None;
    }
    let known = tube.picture.as_ref().and_then(|picture| {
        Some((
            picture.cutoff_nearest_volts?,
            picture.cutoff_farthest_volts?,
            picture.grid2_typical_volts?,
        ))
    });
    let usable = known.filter(|(near, far, grid2)| *near < -1.0 && *far < -1.0 && *grid2 > 10.0);
    let (near, far, grid2_volts) = usable.unwrap_or(USUAL_CUTOFF);
    let (near, far) = (-near.max(far), -near.min(far));
    let middle = (near * far).sqrt();
    // The whole range of the sheet holds nearly every tube: nine of ten lie in the middle
    // four fifths.
    let inner = |limit: f64| (limit / middle).powf(0.8);
    // The ratio of cut-off and grid-2 volts fixes mu: v + s = 0 at the cut-off.
    let mu = (1.0 + SPREAD) * grid2_volts / middle;
    let perveance = ZERO_BIAS_PERVEANCE / zero_bias_share();
    let law = TubeLaw::Pentode(PentodeLaw {
        perveance,
        mu_screen: mu,
        // The anode is screened from the cathode by grid 2.
        mu_plate: 1e6,
        offset_volts: 0.0,
        spread: SPREAD,
        softness: 0.02,
        low_screen_volts: 5.0,
        // A little of the beam's edge ends on grid 2 (judgement).
        screen_share: 0.01,
        screen_share_fall: 0.0,
        // A few hundred volts draw the whole beam.
        knee: 2.0,
        grid: GridCurrent {
            perveance: 2e-6,
            contact_volts: 0.2,
            softness_volts: 0.14,
        },
        gate: None,
        // A cathode of two square millimetres at half an ampere to the square centimetre.
        emission_amperes: 0.01,
    });
    law.check().ok()?;
    Some(BeamLaw {
        law: Arc::new(law),
        pins: gun_pins(tube),
        cutoff: Spread {
            low: inner(near),
            middle: 1.0,
            high: inner(far),
        },
        cutoff_volts: -middle,
        grid2_volts,
        is_usual: usable.is_none(),
        model_error: if usable.is_none() { 0.6 } else { 0.4 },
    })
}

/// The law's current at zero bias over perveance and cut-off to the power 1.5: with
/// `v = Vc / (1 + k)` and `s = k v`, `(v + s)^2.5 - (v - s)^2.5` over `5 s`.
fn zero_bias_share() -> f64 {
    let v = 1.0 / (1.0 + SPREAD);
    let s = SPREAD * v;
    ((v + s).powf(2.5) - (v - s).powf(2.5)) / (5.0 * s)
}

fn gun_pins(tube: &TubeType) -> SectionPins {
    let first_of = |elements: &[&str]| -> Vec<PinName> {
        elements
            .iter()
            .map(|element| tube.pins_carrying(element))
            .find(|pins| !pins.is_empty())
            .unwrap_or_default()
    };
    SectionPins {
        plate: first_of(&["anode", "anode2"]),
        cathode: first_of(&["cathode"]),
        grid1: first_of(&["grid1"]),
        grid2: first_of(&["grid2", "anode1"]),
        ..SectionPins::default()
    }
}
