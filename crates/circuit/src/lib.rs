//! Solves the equations of a circuit of resistors, capacitors, coils,
//! transformers, rectifiers, lamps and heaters on an alternating line.
//!
//! Inside: SI units throughout, plain `f64`. This crate knows no tube types, no
//! sheet and no advice; it is given constants and gives back currents and volts.
//! Reading order: [`element`] (what a circuit is made of), [`rectifier`],
//! [`thermal`], [`solver`] (settled, warm-up), [`switch_on`] (the first second in detail), [`record`] (what can be read from a
//! solved cycle), [`resting`] (direct current and cold resistance).

pub mod element;
pub mod error;
pub mod rectifier;
pub mod thermal;

pub mod ohm_network;
pub mod record;
pub mod resting;
pub mod solver;
pub mod state;
pub mod switch_on;

mod march;
mod warm_up;

mod cycle;
mod dense;
mod factor;
mod fold;
mod newton;
mod rectify;
mod sensitivity;
mod stage;

pub use element::{BodyRef, Circuit, Element, Node, Winding};
pub use error::CircuitError;
pub use rectifier::{MeasuredCurve, RectifierLaw};
pub use solver::{Solver, SolverOptions, Start};
