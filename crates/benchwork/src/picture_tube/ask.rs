//! What is asked about a picture tube, beside what is kept of it.
//!
//! Volts as their names say. Nothing here fails.

use std::path::PathBuf;

/// What is asked.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct PictureAsk {
    /// Which tube of the restoration; the set's own if `None`.
    pub tube: Option<String>,
    /// Its type, where neither sheet nor entries say it.
    pub type_number: Option<String>,
    /// Volts of the second grid in the set; else measured ones, else the type's usual ones.
    pub second_grid: Option<String>,
    /// Volts of the d.c. source on the bench.
    pub source: Option<String>,
    /// Volts of picture that the set gives the tube, from black to white.
    pub drive: Option<String>,
    /// Reading from which on the instrument calls a tube good.
    pub good_from: Option<String>,
    /// A type that is to stand in.
    pub stand_in: Option<String>,
    /// Another restoration whose tube it is compared with.
    pub against: Option<PathBuf>,
    /// Another tube of the same restoration, or of the other one.
    pub against_tube: Option<String>,
}
