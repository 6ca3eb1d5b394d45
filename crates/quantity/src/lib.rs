//! Numbers with units, as a bench writes them.
//!
//! Placeholder for the page.

pub mod band;
pub mod bench;
pub mod notation;
pub mod series;
pub mod tolerance;
pub mod units;

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
