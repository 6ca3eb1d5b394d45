//! Numbers with units, as a bench writes them.
//!
//! - [`units`]: one type for each unit, SI inside ([`Volts`], [`Ohms`], [`Farads`], ...).
//! - [`mod@bench`]: prints them as the papers of 1946 to 1965 do ([`bench()`], `Display`): `345 V`, `4.7k`, `0.05 mfd`, `220 mmf`.
//! - [`notation`]: reads texts, period and modern, into [`Item`]s ([`read_items`], [`read_ohms`], ...). All faults of a text come
//!   at once as [`NotationError`]s with their places; what can be read in two ways is a fault that names both readings, and
//!   [`Expect`] is how the caller tells what the place of the text excludes.
//! - [`tolerance`] and [`band`]: how far a part may lie from its mark ([`Tolerance`]), how far a healthy reading may lie from the
//!   expected one and why ([`Band`], [`Share`]).
//! - [`colour_code`]: values from bands and dots. [`series`]: preferred values.
//!
//! This crate knows no tubes, no circuits and no sheets. It has no state and touches no file or clock, and no text that can be typed
//! makes it panic.
//!
//! # Example
//! ```
//! use quantity::colour_code::{read_bands, read_colours};
//! use quantity::{Band, Expect, ItemKind, Ohms, Series, Tolerance, Unit, bench, read_farads, read_items, read_ohms};
//!
//! // One row of a sheet: the value, the rating and the tolerance of a resistor.
//! let items = read_items("4.7k 2 W 10%", Expect::Resistance).expect("a clean text");
//! assert_eq!(items[0].what, ItemKind::Ohms(4700.0));
//! assert_eq!(items[1].what, ItemKind::Watts(2.0));
//! assert_eq!(items[2].what, ItemKind::Percent(10.0));
//! assert_eq!(&"4.7k 2 W 10%"[items[1].span.clone()], "2 W");
//!
//! // Old papers use M for thousand as well as for million, so the reader asks.
//! let fault = read_ohms("10M").expect_err("two readings");
//! assert_eq!(fault.readings, ["10k", "10 meg"]);
//! assert_eq!(fault.to_string(), "\"10M\": can be read as 10k or as 10 meg; write k for thousand or meg for million");
//!
//! // All faults of a text come at once, each with its column and the nearest spelling.
//! let text = "0.05 mdf 600 votls";
//! let faults = read_items(text, Expect::PaperCapacitance).expect_err("two faults");
//! let columns: Vec<usize> = faults.iter().map(|fault| fault.column_in(text)).collect();
//! assert_eq!(columns, [6, 14]);
//! assert_eq!(faults[0].hint, "write mfd");
//!
//! // Printing, and what is printed reads back.
//! assert_eq!(bench(0.095, Unit::Amperes), "95 mA");
//! let capacitor = read_farads(".05").expect("mfd on old papers");
//! assert_eq!(capacitor.to_string(), "0.05 mfd");
//! assert_eq!(Series::E12.nearest(capacitor.0), Some(0.047e-6));
//!
//! // Colours, and what the tolerance allows.
//! let colours = read_colours("yellow violet orange").expect("three colours");
//! let resistor = read_bands(&colours).expect("three bands");
//! assert_eq!((resistor.ohms, resistor.tolerance), (Ohms(47e3), Tolerance { down: 0.2, up: 0.2 }));
//! assert!(!resistor.tolerance.holds(resistor.ohms.0, 61e3));
//!
//! // An expected reading with what makes its band wide.
//! let band = Band::new(331.0, 345.2, 360.1, [("line", 3.0), ("T1 regulation", 1.0)]).expect("in order");
//! assert_eq!(band.made_of[0].share, 0.75);
//! ```

pub mod units;

pub mod bench;

pub mod notation;

pub mod tolerance;

pub mod band;

pub mod colour_code;

pub mod marking;

pub mod series;

pub use band::{Band, BandError, Share};
pub use bench::{Unit, bench, bench_figures};
pub use notation::{
    Expect, Item, ItemKind, NotationError, nearest_spelling, read_amperes, read_anything,
    read_farads, read_henries, read_hertz, read_items, read_meter_ohms, read_ohms, read_seconds,
    read_siemens, read_volt_amperes, read_volts, read_watts,
};
pub use series::Series;
pub use tolerance::{Tolerance, ToleranceError};
pub use units::{
    Amperes, Farads, Henries, Hertz, Kelvin, Ohms, Seconds, Siemens, VoltAmperes, Volts, Watts,
};
