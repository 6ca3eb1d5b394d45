//! What can be wrong with the figures a thermal law is made from.
//!
//! All faults of one specification are reported together. Units as named in each field.

/// Why a thermal law could not be made: every fault found in its figures.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{}", .faults.iter().map(ToString::to_string).collect::<Vec<_>>().join("; "))]
pub struct ThermalError {
    /// The faults in the order of the fields; never empty.
    pub faults: Vec<ThermalFault>,
}

/// One fault in the figures of a thermal law.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum ThermalFault {
    /// A figure lies outside the range in which the law holds (or is not a number at all).
    #[error("{field}: read {read}, expected {lowest} to {highest}; {hint}")]
    OutOfRange {
        /// Name of the field, with its unit.
        field: &'static str,
        /// The figure as given.
        read: f64,
        /// Lowest figure accepted.
        lowest: f64,
        /// Highest figure accepted.
        highest: f64,
        /// What to do.
        hint: &'static str,
    },
    /// The property table has too few points to interpolate.
    #[error(
        "property table: read {read} points of {column}, expected at least {wanted}; add lines"
    )]
    TooFewPoints {
        /// The column that is too short.
        column: &'static str,
        /// Usable points found.
        read: usize,
        /// Points needed.
        wanted: usize,
    },
    /// A line of the property table does not rise above the one before it (or is not positive).
    #[error(
        "property table, point {point}: {column} read {read}, expected a number above {above}; \
         order the lines by kelvin and check the figure"
    )]
    NotRising {
        /// Which point, counted from 1.
        point: usize,
        /// The column at fault.
        column: &'static str,
        /// The figure as given.
        read: f64,
        /// The figure it must exceed.
        above: f64,
    },
}

/// Gathers faults while the fields of a specification are looked at in turn.
#[derive(Default)]
pub(super) struct Faults(Vec<ThermalFault>);

impl Faults {
    /// Notes a fault unless `read` is a number within `lowest..=highest`.
    pub(super) fn within(
        &mut self,
        field: &'static str,
        read: f64,
        (lowest, highest): (f64, f64),
        hint: &'static str,
    ) {
        if !(read >= lowest && read <= highest) {
            self.0.push(ThermalFault::OutOfRange {
                field,
                read,
                lowest,
                highest,
                hint,
            });
        }
    }

    /// Notes a fault as it is.
    pub(super) fn push(&mut self, fault: ThermalFault) {
        self.0.push(fault);
    }

    /// Ends the look: an error when anything was noted.
    pub(super) fn end(self) -> Result<(), ThermalError> {
        if self.0.is_empty() {
            Ok(())
        } else {
            Err(ThermalError { faults: self.0 })
        }
    }
}
