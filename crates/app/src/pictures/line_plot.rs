//! Line plots.
