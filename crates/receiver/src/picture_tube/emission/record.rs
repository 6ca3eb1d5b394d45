//! What was read: emission against minutes on any instrument, and whether it can be used.
//!
//! Minutes since the heater was put on, readings in the unit of the instrument (percent of a
//! scale, microamperes), heater volts r.m.s. as noted beside a reading. The scale's end and the
//! needle's error come from whoever used the instrument. All faults come at once, each with the
//! number of its reading, what was read, what was expected and what to do.

use std::fmt;

use quantity::Volts;

/// Readings of one tube on one instrument in one sitting.
#[derive(Clone, Debug, PartialEq)]
pub struct EmissionRecord {
    /// The unit of the readings, in the user's word.
    pub unit: String,
    /// Where the instrument's scale ends, in that unit. A reading there means "or more".
    pub scale_end: f64,
    /// Error of the needle as a share of the whole scale, one standard deviation; `None` when
    /// nobody knows: then 1, 2 and 4 percent are tried and the readings say which.
    pub needle_error_share: Option<f64>,
    /// Rated heater volts of the type, at which emission is told.
    pub rated_heater_volts: Volts,
    /// The readings, in any order.
    pub readings: Vec<EmissionReading>,
}

/// One reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EmissionReading {
    /// Minutes since the heater was put on.
    pub minutes: f64,
    /// What the needle showed.
    pub reading: f64,
    /// Heater volts noted with it; `None` when they were not noted.
    pub heater_volts: Option<Volts>,
}

/// One reason why a record cannot be used.
#[derive(Clone, Debug, PartialEq)]
pub struct EmissionFault {
    /// Number of the reading, counted from 1 in the order given; `None` for the whole record.
    pub reading: Option<usize>,
    /// Which entry.
    pub field: &'static str,
    /// What was read.
    pub read: String,
    /// What was expected.
    pub expected: &'static str,
    /// What to do.
    pub hint: &'static str,
}

impl fmt::Display for EmissionFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(number) = self.reading {
            write!(f, "reading {number}, ")?;
        }
        write!(
            f,
            "{}: {} read, {} expected; {}",
            self.field, self.read, self.expected, self.hint
        )
    }
}

/// Every fault of a record, never empty.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("{}", self.0.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"))]
pub struct EmissionFaults(pub Vec<EmissionFault>);

/// Most readings in one record; a fit beyond that tells nothing more.
pub const MOST_READINGS: usize = 2000;
/// Longest record, minutes: a week.
const LONGEST_MINUTES: f64 = 10_080.0;
/// Heater volts as a share of rated within which the law of emission is used.
const HEATER_SHARES: (f64, f64) = (0.5, 1.5);

/// Every fault of the record; empty when it can be used.
pub fn check_record(record: &EmissionRecord) -> Vec<EmissionFault> {
    let mut faults = Vec::new();
    let mut add = |reading: Option<usize>, field, read: String, expected, hint| {
        faults.push(EmissionFault {
            reading,
            field,
            read,
            expected,
            hint,
        });
    };
    let end = record.scale_end;
    let usable_end = end.is_finite() && (1e-9..=1e9).contains(&end);
    if !usable_end {
        add(
            None,
            "scale end",
            end.to_string(),
            "a figure above zero",
            "write the last mark of the scale, in the unit of the readings",
        );
    }
    if let Some(share) = record.needle_error_share
        && !(0.000_1..=0.2).contains(&share)
    {
        add(
            None,
            "needle error",
            share.to_string(),
            "0.0001 to 0.2 of the whole scale",
            "2 percent of full scale is 0.02",
        );
    }
    let rated = record.rated_heater_volts.0;
    let usable_rated = rated.is_finite() && (0.5..=120.0).contains(&rated);
    if !usable_rated {
        add(
            None,
            "rated heater volts",
            rated.to_string(),
            "0.5 to 120 volts",
            "take them from the type's row",
        );
    }
    if record.readings.is_empty() || record.readings.len() > MOST_READINGS {
        add(
            None,
            "readings",
            record.readings.len().to_string(),
            "1 to 2000",
            "note one every minute or two while it rises, fewer later",
        );
    }
    for (index, reading) in record.readings.iter().enumerate() {
        let number = Some(index + 1);
        if !(0.0..=LONGEST_MINUTES).contains(&reading.minutes) {
            add(
                number,
                "minutes",
                reading.minutes.to_string(),
                "0 to 10080 since the heater was put on",
                "seconds are sixtieths of a minute",
            );
        }
        let low = reading.reading.is_finite() && reading.reading >= 0.0;
        if !low || (usable_end && reading.reading > end * 1.000_001) {
            add(
                number,
                "reading",
                reading.reading.to_string(),
                "0 to the scale's end",
                "a needle at the end of the scale is entered as the end",
            );
        }
        if let Some(volts) = reading.heater_volts
            && usable_rated
            && !(HEATER_SHARES.0..=HEATER_SHARES.1).contains(&(volts.0 / rated))
        {
            add(
                number,
                "heater volts",
                volts.0.to_string(),
                "half to one and a half of the rated volts",
                "look for a slip of the point; leave them out when they were not noted",
            );
        }
    }
    faults
}
