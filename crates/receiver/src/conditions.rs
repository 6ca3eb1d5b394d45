//! Bench conditions: how the set stands on the bench when a meter is read.
//!
//! Units: volts rms at the wall side of the limiter lamp, watts, ohms, seconds
//! after switch-on from cold. Source: what the restorer says on the command line
//! or what a step of the plan asks for. Nothing here can fail; names of places
//! and parts are checked against the sheet by [`crate::expect`].

/// A d.c. source at one place, the line plug out.
#[derive(Debug, Clone, PartialEq)]
pub struct DirectSource {
    /// Name of the place at which the + lead is clipped; the other lead is on the chassis.
    pub place: String,
    /// Volts of the source before its resistor.
    pub volts: f64,
    /// The resistor between source and place, ohms.
    pub series_ohms: f64,
}

/// A reading that was taken already: all bands narrow by it.
#[derive(Debug, Clone, PartialEq)]
pub struct KnownReading {
    /// Name of the place; the other lead is on the chassis.
    pub place: String,
    /// D.c. volts as read.
    pub volts: f64,
}

/// A meter as its owner knows it.
#[derive(Debug, Clone, PartialEq)]
pub enum Meter {
    /// Electronic meter of this input resistance, ohms, on every range.
    InputOhms(f64),
    /// Moving-coil meter: ohms per volt and the range in use (volts). Without a
    /// range the lowest of 10, 50, 250, 500, 1000 V that holds the reading is taken.
    OhmsPerVolt {
        /// Ohms per volt of the range.
        ohms_per_volt: f64,
        /// Full scale of the range in use, volts.
        range_volts: Option<f64>,
    },
}

/// Everything that a prediction must be told besides the sheet.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct BenchConditions {
    /// Line volts rms; `None` is the sheet's own line, give or take 5 percent.
    pub line_volts: Option<f64>,
    /// Limiter lamps in parallel with each other, each by its rated watts at 120 V.
    pub lamps: Vec<f64>,
    /// Ohms of an isolation or variable transformer ahead of the set.
    pub source_ohms: f64,
    /// References of tubes out of their sockets.
    pub pulled: Vec<String>,
    /// References of switches and plugs that are open.
    pub open: Vec<String>,
    /// References of parts cut loose.
    pub fitted_without: Vec<String>,
    /// Seconds after switch-on from cold; `None` is settled.
    pub seconds: Option<f64>,
    /// The meter whose reading is predicted; `None` is an ideal one.
    pub meter: Option<Meter>,
    /// The d.c. source, if one feeds the set with the plug out.
    pub direct_source: Option<DirectSource>,
    /// The meter's other lead; `None` is the chassis.
    pub to: Option<String>,
    /// Readings taken already under these conditions.
    pub known: Vec<KnownReading>,
    /// Whether bands are wanted; without them low and high equal the expected value.
    pub bands: bool,
}
