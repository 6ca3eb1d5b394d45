//! The laws of the tube types of the catalogue, found from published points.
//!
//! `parts` holds what makers printed of a type: one point of operation or three, its
//! transconductance, the grid volts that cut it off. `circuit` holds the equations of a
//! tube. Here the two meet: [`fit_tube`] finds for each section of a type the constants
//! with which the equations pass through its points, holding what the points do not tell
//! near what is usual for the kind. Volts, amperes, siemens inside; [`parts`] units where a
//! published figure is taken in.
//!
//! - [`laws`] and [`Laws::of`]: the laws of a type by its number, fitted at the first
//!   asking and kept.
//! - [`SectionLaw`]: one unit of a tube: which pins, which law, what it was fitted on and
//!   how far it may be off. Where there is no law, the reason stands.
//! - [`at_point`]: what a law says at a published point, self-bias included.
//! - [`tube_spread`]: how far samples of a kind lie apart, new and used.
//! - [`emission_at_heater_share`]: emission at other heater volts; [`emission_after_reduction`]: while it cools.
//! - [`beam_law`]: the beam of a picture tube.
//! - [`small`]: crystals, neon lamps, voltage-dependent resistors.
//!
//! Nothing here panics: a type that tells too little has no law and says why.
//!
//! ```
//! let catalogue = parts::catalogue().expect("the tables are sound");
//! let sections = laws::laws(catalogue).of("12AU7").expect("listed");
//! assert_eq!(sections.len(), 2); // two equal triodes
//! let law = sections[0].law.as_ref().expect("it has points");
//! // RCA: 250 V, -8.5 V, 10.5 mA.
//! let volts = [250.0, -8.5, 0.0, 0.0];
//! let plate = law.currents(volts, &circuit::tube::TubeState::default()).amperes[0];
//! assert!((plate / 0.0105 - 1.0).abs() < 0.05);
//! ```

mod beam;
mod cache;
mod fit;
mod heater;
mod section;
mod section_pins;
pub mod small;
mod spread;

pub use beam::{BeamLaw, beam_law};
pub use cache::{Laws, laws};
pub use fit::{AtPoint, PointFigure, at_point, fit_tube};
pub use heater::{emission_after_reduction, emission_at_heater_share, emission_while_warming};
pub use section::{FitRecord, Lack, LawBasis, Leftover, SectionLaw};
pub use section_pins::SectionPins;
pub use spread::{Spread, TubeSpread, tube_spread};
