//! Laws of vacuum tubes: the current into each electrode against the volts of all.
//!
//! Inside: volts against the cathode, amperes, siemens. A [`TubeLaw`] holds the constants
//! of one kind of tube (`diode`, `triode`, `pentode`, `gated_beam` give the equations with
//! their sources); a [`TubeState`] says how one sample departs from it. Whatever the
//! space charge would let pass, the cathode gives no more than it can emit: all currents
//! are divided by `sqrt(1 + (I/Isat)^2)`, the rounded shoulder of
//! [`crate::thermal::space_charge_share`].
//!
//! Every law has a continuous slope, rises in the volts of plate and screen, and is finite
//! for any volts within 10 kV. Each electrode leaks a little to the cathode
//! ([`LEAK_SIEMENS`]), so that no place hangs free. [`TubeLaw::check`] refuses constants that
//! no tube can have; nothing else fails. Thermal noise, transit time, capacitances, gas and
//! secondary emission are left out.

mod control;
mod diode;
mod gated_beam;
mod grid_current;
mod pentode;
mod soft;
mod triode;

pub use diode::DiodeLaw;
pub use gated_beam::{BeamGate, GatedBeamLaw};
pub use grid_current::GridCurrent;
pub use pentode::{GridGate, PentodeLaw};
pub use triode::TriodeLaw;

use crate::error::CircuitError;

/// Electrodes of a tube beside the cathode.
pub const ELECTRODES: usize = 4;

/// Leak from each electrode to the cathode, siemens: a clean bulb and socket.
pub const LEAK_SIEMENS: f64 = 1e-11;

/// An electrode of a tube, in the order of all arrays of this module.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Electrode {
    /// The plate.
    Plate = 0,
    /// The control grid.
    Grid1 = 1,
    /// The screen; grids 2 and 4 of a heptode; the accelerator of a gated-beam tube.
    Grid2 = 2,
    /// The suppressor, signal grid or quadrature grid.
    Grid3 = 3,
}

/// One sample of a tube: how it departs from the law's average new tube.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TubeState {
    /// What the cathode can emit over what the law was made with; 1 is good. Heater and age.
    pub emission: f64,
    /// Factor of all currents of this sample; 1 is average. Above 0.
    pub strength: f64,
    /// Factor of the grid volts that cut this sample off; 1 is average. Above 0.
    pub cutoff: f64,
    /// Volts added to the contact potential of the grids (of the plate in a diode).
    pub contact_volts: f64,
}

impl Default for TubeState {
    fn default() -> Self {
        TubeState {
            emission: 1.0,
            strength: 1.0,
            cutoff: 1.0,
            contact_volts: 0.0,
        }
    }
}

/// The constants of one kind of tube.
#[derive(Clone, Debug, PartialEq)]
pub enum TubeLaw {
    /// Plate and cathode.
    Diode(DiodeLaw),
    /// With one grid.
    Triode(TriodeLaw),
    /// With a screen: pentodes sharp and remote, beam tubes, heptodes.
    Pentode(PentodeLaw),
    /// With two gates in a thin beam.
    GatedBeam(GatedBeamLaw),
}

/// The currents at given volts, with all slopes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TubeCurrents {
    /// Into each electrode, amperes. Their sum leaves by the cathode.
    pub amperes: [f64; ELECTRODES],
    /// `slopes[i][j]` is the change of `amperes[i]` with the volts of electrode `j`, siemens.
    pub slopes: [[f64; ELECTRODES]; ELECTRODES],
}

impl TubeCurrents {
    /// The current that leaves by the cathode, amperes.
    pub fn cathode_amperes(&self) -> f64 {
        self.amperes.iter().sum()
    }
}

/// Currents before the emission limit and the leak.
#[derive(Clone, Copy, Debug, Default)]
struct Raw {
    amperes: [f64; ELECTRODES],
    slopes: [[f64; ELECTRODES]; ELECTRODES],
}

impl TubeLaw {
    /// Currents and slopes at `volts`, each against the cathode, in the order of
    /// [`Electrode`]. An electrode that the tube lacks has no current but its leak.
    #[inline]
    pub fn currents(&self, volts: [f64; ELECTRODES], state: &TubeState) -> TubeCurrents {
        let (raw, emission) = match self {
            TubeLaw::Diode(law) => (law.raw(volts, state), law.emission_amperes),
            TubeLaw::Triode(law) => (law.raw(volts, state), law.emission_amperes),
            TubeLaw::Pentode(law) => (law.raw(volts, state), law.emission_amperes),
            TubeLaw::GatedBeam(law) => (law.raw(volts, state), law.emission_amperes),
        };
        limited(raw, volts, emission * state.emission)
    }

    /// What the cathode can emit when new and at rated heater volts, amperes.
    pub fn emission_amperes(&self) -> f64 {
        match self {
            TubeLaw::Diode(law) => law.emission_amperes,
            TubeLaw::Triode(law) => law.emission_amperes,
            TubeLaw::Pentode(law) => law.emission_amperes,
            TubeLaw::GatedBeam(law) => law.emission_amperes,
        }
    }

    /// Whether all constants are such as a tube can have.
    ///
    /// # Errors
    /// [`CircuitError::TubeConstant`] names the first that is not.
    pub fn check(&self) -> Result<(), CircuitError> {
        for (field, value, rule) in self.constants() {
            let good = match rule {
                Rule::Positive => value > 0.0,
                Rule::NotNegative => value >= 0.0,
                Rule::Share => (0.0..1.0).contains(&value),
                Rule::FullShare => (0.0..=1.0).contains(&value),
                Rule::HalfShare => (0.0..0.5).contains(&value),
                Rule::Any => true,
            };
            if !good || !value.is_finite() {
                return Err(CircuitError::TubeConstant {
                    field,
                    value,
                    expected: rule.words(),
                });
            }
        }
        Ok(())
    }

    fn constants(&self) -> Vec<(&'static str, f64, Rule)> {
        let mut list = vec![("emission_amperes", self.emission_amperes(), Rule::Positive)];
        let mut grid = |of: &GridCurrent| {
            list.push(("grid perveance", of.perveance, Rule::NotNegative));
            list.push(("grid contact_volts", of.contact_volts, Rule::Any));
            list.push(("grid softness_volts", of.softness_volts, Rule::Positive));
        };
        match self {
            TubeLaw::Diode(law) => {
                grid(&law.plate);
                list.push(("plate perveance", law.plate.perveance, Rule::Positive));
            }
            TubeLaw::Triode(law) => {
                grid(&law.grid);
                list.extend([
                    ("perveance", law.perveance, Rule::Positive),
                    ("mu", law.mu, Rule::Positive),
                    ("offset_volts", law.offset_volts, Rule::Any),
                    ("spread", law.spread, Rule::Share),
                    ("softness", law.softness, Rule::NotNegative),
                    ("low_plate_volts", law.low_plate_volts, Rule::Positive),
                ]);
            }
            TubeLaw::Pentode(law) => {
                grid(&law.grid);
                if let Some(gate) = &law.gate {
                    grid(&gate.grid);
                    list.push(("gate mu", gate.mu, Rule::Positive));
                    list.push(("gate width_volts", gate.width_volts, Rule::Positive));
                }
                list.extend([
                    ("perveance", law.perveance, Rule::Positive),
                    ("mu_screen", law.mu_screen, Rule::Positive),
                    ("mu_plate", law.mu_plate, Rule::Positive),
                    ("offset_volts", law.offset_volts, Rule::Any),
                    ("spread", law.spread, Rule::Share),
                    ("softness", law.softness, Rule::NotNegative),
                    ("low_screen_volts", law.low_screen_volts, Rule::Positive),
                    ("screen_share", law.screen_share, Rule::HalfShare),
                    ("screen_share_fall", law.screen_share_fall, Rule::FullShare),
                    ("knee", law.knee, Rule::Positive),
                ]);
            }
            TubeLaw::GatedBeam(law) => {
                for gate in [&law.limiter, &law.quadrature] {
                    grid(&gate.grid);
                }
                for gate in [&law.limiter, &law.quadrature] {
                    list.push(("gate middle_volts", gate.middle_volts, Rule::Any));
                    list.push(("gate width_volts", gate.width_volts, Rule::Positive));
                }
                list.extend([
                    ("perveance", law.perveance, Rule::Positive),
                    ("plate_share", law.plate_share, Rule::Share),
                    ("knee_volts", law.knee_volts, Rule::Positive),
                ]);
            }
        }
        list
    }
}

/// What a constant must be.
#[derive(Clone, Copy, Debug)]
enum Rule {
    Positive,
    NotNegative,
    /// From 0 to below 1.
    Share,
    /// From 0 to 1.
    FullShare,
    /// From 0 to below a half.
    HalfShare,
    Any,
}

impl Rule {
    fn words(self) -> &'static str {
        match self {
            Rule::Positive => "a finite number above 0",
            Rule::NotNegative => "a finite number not below 0",
            Rule::Share => "from 0 to below 1",
            Rule::FullShare => "from 0 to 1",
            Rule::HalfShare => "from 0 to below 0.5",
            Rule::Any => "a finite number",
        }
    }
}

/// Amperes of emission below which a cathode counts as cold.
const LEAST_EMISSION: f64 = 1e-15;

/// Applies the emission limit and adds the leak.
#[inline]
fn limited(mut raw: Raw, volts: [f64; ELECTRODES], emission: f64) -> TubeCurrents {
    if emission.is_nan() || emission < LEAST_EMISSION {
        raw = Raw::default();
    } else {
        let wanted: f64 = raw.amperes.iter().sum();
        let ratio = wanted / emission;
        let under = 1.0 / (1.0 + ratio * ratio);
        let share = under.sqrt();
        // Slope of the share against the wanted current.
        let share_slope = -share * under * ratio / emission;
        let mut wanted_by = [0.0; ELECTRODES];
        for row in &raw.slopes {
            for (sum, slope) in wanted_by.iter_mut().zip(row) {
                *sum += slope;
            }
        }
        for (amperes, row) in raw.amperes.iter_mut().zip(&mut raw.slopes) {
            for (slope, by) in row.iter_mut().zip(&wanted_by) {
                *slope = *slope * share + *amperes * share_slope * by;
            }
            *amperes *= share;
        }
    }
    for (electrode, volts) in volts.into_iter().enumerate() {
        raw.amperes[electrode] += LEAK_SIEMENS * volts;
        raw.slopes[electrode][electrode] += LEAK_SIEMENS;
    }
    TubeCurrents {
        amperes: raw.amperes,
        slopes: raw.slopes,
    }
}
