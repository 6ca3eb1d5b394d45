//! A level of emission as it is written: three figures, as a needle is read.
//!
//! In the unit of the readings, whatever that is. Nothing here fails.

/// The level in about three significant figures.
pub fn level_text(level: f64) -> String {
    let decimals = match level.abs() {
        size if size >= 99.95 => 0,
        size if size >= 9.995 => 1,
        size if size >= 0.9995 => 2,
        _ => 3,
    };
    format!("{level:.decimals$}")
}
