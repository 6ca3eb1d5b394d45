//! Forming an old electrolytic anew outside the set: bench, leakage against minutes, verdict.
//!
//! Units: volts, amperes, ohms, watts, farads, seconds; minutes and degrees Celsius where the name
//! says so. What is closed form (resistor, charging, discharge) is told as such; how leakage falls
//! with time is an estimate with its band until readings are there, and then these readings
//! continued. In the set, with its own rectifier or on the line, nothing is formed. Fails for a
//! capacitor without marked volts, for a source that cannot reach below them, and where no string of
//! resistors stands the volts.

mod bench;
mod judge;
mod law;
mod limits;
mod steps;

pub use bench::{Discharge, FormingBench, FormingJob, FormingSource, Piece, SeriesResistor};
pub use judge::{CanLook, FormingVerdict, JudgedForming, LeakReading, judge_forming};
pub use law::{Forecast, LeakBand, expected_leakage, forecast};
pub use limits::{LeakLimits, leak_limits};
pub use steps::{FormingSteps, forming_steps};

/// Why a forming cannot be planned.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum FormingError {
    /// The capacitor's marked volts or capacitance are no figures to work with.
    #[error("{what} of {read} cannot be formed to: {expected}")]
    Marked {
        /// Which figure.
        what: &'static str,
        /// As read.
        read: String,
        /// What would be right.
        expected: &'static str,
    },
    /// The source does not go down to what the capacitor can take.
    #[error(
        "the source begins at {low_volts} V, above the {marked_volts} V marked on the capacitor"
    )]
    SourceTooHigh {
        /// Lowest volts of the source.
        low_volts: f64,
        /// Marked volts.
        marked_volts: f64,
    },
    /// No string of today's resistors stands the volts and the heat of a dead short.
    #[error(
        "no {most_pieces} resistors of up to {most_watts} W in series stand {volts} V when the capacitor is a dead short"
    )]
    NoResistors {
        /// Volts of the source.
        volts: f64,
        /// Most pieces in series.
        most_pieces: usize,
        /// Watts of the largest piece.
        most_watts: f64,
    },
    /// The acts of the forming must not be advised: a fault of ours.
    #[error("the forming is at fault: \"{act}\" must not be advised, because {because}")]
    Refused {
        /// The act in words.
        act: String,
        /// The rules it breaks.
        because: String,
    },
}
