//! Solves the equations of a circuit of resistors, capacitors, coils,
//! transformers, rectifiers, lamps and heaters on an alternating line.
//!
//! Inside: SI units throughout, plain `f64`. This crate knows no tube types, no
//! sheet and no advice; it is given constants and gives back currents and volts.
//!
//! A [`Circuit`] is a list of [`Element`]s between nodes, with the [`thermal`] groups
//! (lamps, heaters) that some of them name. A [`Solver`] makes it ready once; then
//! [`Solver::settled`] finds the state that repeats from line cycle to line cycle,
//! lamps and heaters included, and [`Solver::warm_up`] follows the minutes from
//! switch-on. Both hand out a [`record::CycleRecord`], from which volts, currents,
//! watts and the balance of currents can be read. [`switch_on::switch_on`] follows the
//! first second step by step, [`resting::resting`] gives direct current at rest, and
//! [`ohm_network`] what an ohmmeter shows. Whatever does not meet its equations is a
//! [`CircuitError`], never a number.
//!
//! Reading order: [`element`], [`rectifier`], [`thermal`], [`solver`], [`record`],
//! [`state`], [`switch_on`], [`resting`], [`ohm_network`], [`factor`].
//!
//! A half-wave rectifier on a 60-cycle line, 40 mfd and 2000 ohms behind it:
//!
//! ```
//! use circuit::{Circuit, Element, RectifierLaw, Solver, SolverOptions, Start};
//!
//! # fn main() -> Result<(), circuit::CircuitError> {
//! let mut circuit = Circuit::new(60.0);
//! let line = circuit.node();
//! let plus = circuit.node();
//! let source = circuit.add(Element::Source {
//!     a: line,
//!     b: 0,
//!     ohms: 10.0,
//!     direct_volts: 0.0,
//!     peak_volts: 117.0 * std::f64::consts::SQRT_2,
//!     phase: 0.0,
//! });
//! circuit.add(Element::Rectifier {
//!     anode: line,
//!     cathode: plus,
//!     // 20 V at 100 mA through one plate; a cathode good for an ampere.
//!     law: RectifierLaw::tube_through(20.0, 0.100, 1.0),
//!     heated_by: None,
//! });
//! circuit.add(Element::Capacitor {
//!     a: plus,
//!     b: 0,
//!     farads: 40e-6,
//!     series_ohms: 2.0,
//!     leak_siemens: 1e-6,
//! });
//! let load = circuit.resistor(plus, 0, 2000.0);
//!
//! let solver = Solver::new(&circuit, SolverOptions::default())?;
//! let settled = solver.settled(Start::Warm)?;
//! let volts = settled.record.volts(plus, 0);
//! assert!(volts.mean() > 100.0 && volts.highest() < 165.0);
//! // What flows through the load comes from the line, but for what the capacitor leaks.
//! let amperes = -settled.record.amperes(source).mean();
//! assert!((amperes - settled.record.amperes(load).mean()).abs() < 5e-3 * amperes);
//! assert!(settled.record.delivered_watts(source) > settled.record.watts(load));
//! // Doubt can be seen: amperes that do not add up at the worst node.
//! assert!(settled.record.balance().amperes < 1e-6);
//! # Ok(())
//! # }
//! ```

pub mod element;
pub mod error;
pub mod factor;
pub mod rectifier;
pub mod thermal;
pub mod tube;
pub mod two_terminal;

pub mod ohm_network;
pub mod operating;
pub mod record;
pub mod resting;
pub mod running;
pub mod solver;
pub mod state;
pub mod switch_on;

mod march;
mod warm_up;

mod cycle;
mod dense;
mod fold;
mod layout;
mod newton;
mod rectify;
mod sensitivity;
mod stage;
mod wave;

pub use element::{BodyRef, Circuit, Element, Node, Winding};
pub use error::CircuitError;
pub use rectifier::{MeasuredCurve, RectifierLaw};
pub use solver::{Solver, SolverOptions, Start};
