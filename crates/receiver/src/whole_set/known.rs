//! How far the readings of a stage are known.
//!
//! No units. Source: [`super::running`] and [`super::oscillation`]. Nothing here fails.

/// How far the readings of a stage are known.
#[derive(Debug, Clone, PartialEq)]
pub enum Known {
    /// Calculated from the circuit and the tube's law.
    Calculated,
    /// Calculated as it runs, from its own oscillation.
    Running {
        /// Cycles in a second.
        hertz: f64,
    },
    /// Anchored on the maker's chart; electrodes that the chart leaves out are `true`.
    FromChart {
        /// Plate and grids 1 to 3 that are not known.
        missing: [bool; 4],
    },
    /// Not known; what the supply feels of it is what is usual.
    Unknown {
        /// Why.
        because: String,
    },
}
