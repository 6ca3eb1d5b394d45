//! The person's own tables, as the commands take them: prices, figures, efforts, types of tubes.
//!
//! CSV files on the laptop, in the columns of the tables of this program. Each is read when an answer needs it, so
//! that a fault in one is told on the page that needs it and keeps nothing else from working. Nothing here fails.

use std::path::PathBuf;

/// Tables of one's own; those of the program where there is none.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct OwnTables {
    /// Prices of parts, for the order and for the worth.
    pub prices: Option<PathBuf>,
    /// Figures for the worth.
    pub figures: Option<PathBuf>,
    /// Minutes and dangers of measurements, for what to measure next.
    pub efforts: Option<PathBuf>,
    /// Types of tubes besides those of the catalogue.
    pub types: Option<PathBuf>,
}
