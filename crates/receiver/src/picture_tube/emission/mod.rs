//! Emission against time: where a waking cathode is heading, and whether waiting is worth it.
//!
//! Minutes since the heater was put on; readings in the unit of the instrument; heater volts
//! r.m.s. A record is checked ([`check_record`]), fitted with many laws of recovery at once, and
//! told as an [`EmissionOutlook`]: the level it is heading for at rated heater with a band that
//! nine of ten cathodes keep, rising or falling, what is still to come, when it will be known to
//! within 5 percent. Where the readings cannot tell, that is the result, with the reason. The
//! level is that of this sitting; some cathodes gain further over tens of hours in use (common
//! practice, `data/trade_numbers.csv`, "emission recovers at rated heater").
//!
//! Emission follows the heater by Richardson's law with the constants of [`circuit::thermal`].
//! Fails only on records with faults, all of them told at once.
//!
//! ```
//! use quantity::Volts;
//! use receiver::picture_tube::emission::{EmissionReading, EmissionRecord, Heading, judge_emission};
//!
//! // Percent of a scale, one reading every four minutes, heater not noted.
//! let shown = [22.0, 35.0, 44.0, 50.0, 54.0, 56.0, 58.0, 58.5, 59.0, 59.5, 59.5, 60.0];
//! let record = EmissionRecord {
//!     unit: "percent".into(),
//!     scale_end: 100.0,
//!     needle_error_share: Some(0.01),
//!     rated_heater_volts: Volts(6.3),
//!     readings: shown
//!         .iter()
//!         .enumerate()
//!         .map(|(index, reading)| EmissionReading {
//!             minutes: 2.0 + 4.0 * index as f64,
//!             reading: *reading,
//!             heater_volts: None,
//!         })
//!         .collect(),
//! };
//! let outlook = judge_emission(&record)?;
//! let Heading::Told(band) = &outlook.heading else { panic!("{outlook:?}") };
//! assert!(band.contains(60.5));
//! # Ok::<(), receiver::picture_tube::emission::EmissionFaults>(())
//! ```

mod record;
pub use record::{
    EmissionFault, EmissionFaults, EmissionReading, EmissionRecord, MOST_READINGS, check_record,
};

mod outlook;
pub use outlook::{
    CurvePoint, Direction, EmissionOutlook, FEWEST_READINGS, Heading, KnownWhen, TOO_WIDE, Waiting,
    judge_emission, judge_level,
};

mod level_text;
pub use level_text::level_text;

mod plot;
pub use plot::emission_panel;

mod forecast;

mod compare;
pub use compare::{Comparison, compare};

mod fit;
mod mixture;
mod noise;
mod normal;
mod recoveries;
mod small_solve;
mod wander;
