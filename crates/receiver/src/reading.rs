//! What a meter shows at a place: the kinds of reading and their bands.
//!
//! Units: as the kind says (volts, amperes, milliamperes, watts, ohms).
//! Source: the solved circuit. A reading that cannot be told is an [`Unknown`]
//! with its reason; it never becomes a number.

use quantity::Band;

/// The kinds of reading, with the unit in the name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum What {
    /// Mean volts of a place.
    DcVolts,
    /// Ripple upon the mean, peak to peak.
    RippleVoltsPeakToPeak,
    /// Alternating volts, rms.
    AcVoltsRms,
    /// Current from the line, rms.
    LineAmpsRms,
    /// Watts of the set alone, without the lamp.
    LineWatts,
    /// Volts across the limiter lamp, rms.
    LampVoltsRms,
    /// Volts across a tube's heater, rms.
    HeaterVoltsRms,
    /// Mean plate current.
    PlateMilliamps,
    /// Mean second-grid current.
    ScreenMilliamps,
    /// Mean cathode current.
    CathodeMilliamps,
    /// Mean current through a part.
    PartMilliamps,
    /// Highest momentary current of one rectifier plate or metal rectifier.
    RectifierPeakMilliamps,
    /// Alternating current through a capacitor, rms.
    CapacitorRippleAmpsRms,
    /// Heat in a part.
    PartWatts,
    /// Cold resistance.
    Ohms,
}

impl What {
    /// All kinds, in the order of their declaration.
    pub const ALL: [What; 15] = [
        What::DcVolts,
        What::RippleVoltsPeakToPeak,
        What::AcVoltsRms,
        What::LineAmpsRms,
        What::LineWatts,
        What::LampVoltsRms,
        What::HeaterVoltsRms,
        What::PlateMilliamps,
        What::ScreenMilliamps,
        What::CathodeMilliamps,
        What::PartMilliamps,
        What::RectifierPeakMilliamps,
        What::CapacitorRippleAmpsRms,
        What::PartWatts,
        What::Ohms,
    ];

    /// The kind of this name.
    pub fn from_name(name: &str) -> Option<What> {
        What::ALL.into_iter().find(|what| what.name() == name)
    }

    /// The name used in the machine-readable answers.
    pub fn name(self) -> &'static str {
        match self {
            What::DcVolts => "dc_volts",
            What::RippleVoltsPeakToPeak => "ripple_volts_peak_to_peak",
            What::AcVoltsRms => "ac_volts_rms",
            What::LineAmpsRms => "line_amps_rms",
            What::LineWatts => "line_watts",
            What::LampVoltsRms => "lamp_volts_rms",
            What::HeaterVoltsRms => "heater_volts_rms",
            What::PlateMilliamps => "plate_milliamps",
            What::ScreenMilliamps => "screen_milliamps",
            What::CathodeMilliamps => "cathode_milliamps",
            What::PartMilliamps => "part_milliamps",
            What::RectifierPeakMilliamps => "rectifier_peak_milliamps",
            What::CapacitorRippleAmpsRms => "capacitor_ripple_amps_rms",
            What::PartWatts => "part_watts",
            What::Ohms => "ohms",
        }
    }
}

/// One predicted reading.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// Place, tube or part; `line` or `lamp` for those of the whole set.
    pub at: String,
    /// Where the other lead is, for volts and ohms between places.
    pub to: Option<String>,
    /// What is read.
    pub what: What,
    /// Which lead of the ohmmeter is at the place; `None` where it makes no difference.
    pub lead: Option<Lead>,
    /// Nine of ten healthy sets of this sheet lie between its low and high.
    pub band: Band,
}

/// A lead of an ohmmeter, by the sign of the meter's own volts on it. On many old
/// volt-ohm meters the + volts of the ohms ranges are on the black lead.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Lead {
    /// The lead with the meter's + volts.
    Plus,
    /// The other one.
    Minus,
}

impl Lead {
    /// The sign, as the machine-readable answers have it.
    pub fn sign(self) -> &'static str {
        match self {
            Lead::Plus => "+",
            Lead::Minus => "-",
        }
    }
}

/// A reading that cannot be told, and why.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unknown {
    /// Place, tube or part.
    pub at: String,
    /// What would be read.
    pub what: What,
    /// Why it cannot be told.
    pub because: String,
}

/// Something worth knowing beside the result.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Notice {
    /// What was noticed.
    pub text: String,
    /// What to do about it; may be empty.
    pub hint: String,
}
