//! The things a value text can hold, and what a number without a unit is taken for.
//!
//! Values are in SI (ohms, farads, ...), percent in percent, `at` as a fraction.

use std::ops::Range;

use crate::bench::{Unit, bench};
use crate::tolerance::Tolerance;

/// One thing read in a value text, with its place in that text.
#[derive(Clone, Debug, PartialEq)]
pub struct Item {
    /// Where it stands in the text, in bytes.
    pub span: Range<usize>,
    /// What it is.
    pub what: ItemKind,
}

/// What was read.
#[derive(Clone, Debug, PartialEq)]
pub enum ItemKind {
    /// Resistance in ohms, not negative.
    Ohms(f64),
    /// Capacitance in farads, not negative.
    Farads(f64),
    /// Inductance in henries, not negative.
    Henries(f64),
    /// Volts, either sign.
    Volts(f64),
    /// Volts from a lower to an upper value, as a variable source gives them: `0-450 V`.
    VoltsRange {
        /// Lower end, volts.
        low: f64,
        /// Upper end, volts.
        high: f64,
    },
    /// Farads from a lower to an upper value, as a trimmer is marked: `5-30 mmf`.
    FaradsRange {
        /// Lower end, farads.
        low: f64,
        /// Upper end, farads.
        high: f64,
    },
    /// Amperes, either sign.
    Amperes(f64),
    /// Watts, not negative.
    Watts(f64),
    /// Volt-amperes, not negative.
    VoltAmperes(f64),
    /// Hertz (cycles per second), not negative.
    Hertz(f64),
    /// Seconds, not negative.
    Seconds(f64),
    /// Kelvin, not negative (`°C` and `°F` are converted).
    Kelvin(f64),
    /// Conductance in siemens, not negative.
    Siemens(f64),
    /// A meter's ohms per volt: `20k/V`.
    OhmsPerVolt(f64),
    /// Percent, not negative; as a tolerance it means this much either way.
    Percent(f64),
    /// A tolerance with two sides: `+50 -10 %`.
    Limits(Tolerance),
    /// A fraction from 0 to 1 after `at`: `at 0.4`.
    At(f64),
    /// Volts after `at`: `95 mA at 330 V`. The span begins with the word `at`.
    AtVolts(f64),
    /// A count of rectifier plates.
    Plates(u32),
    /// A word. Words of the bench (`steady`, `idle`, `open`, `ac`, `peak`, ...) come in lower case without dots, all else as typed.
    Word(String),
    /// A number without a unit that the text and [`Expect`] leave without meaning.
    Bare(f64),
}

/// What the place of a text lets one expect; decides how a bare number and a lone prefix (`k`, `M`, `u`) are read.
///
/// | | bare number | lone `M` |
/// |---|---|---|
/// | `Anything` | stays [`ItemKind::Bare`] | fault: thousand or million |
/// | `Resistance` | ohms | fault: thousand or million |
/// | `MeterResistance` | ohms | megohm |
/// | `Capacitance` | below 1 mfd, else fault: mfd or mmf | fault |
/// | `PaperCapacitance` | up to 10 mfd (no paper capacitor has so few mmf), above fault | fault |
/// | `SmallCapacitance` (mica, ceramic, trimmer) | from 1 on mmf, below 0.1 mfd, between fault | fault |
/// | `Electrolytic` | mfd up to 10,000, above fault | fault |
/// | `Inductance` | fault: H, mH or uH | fault |
/// | `Voltage`, `Power`, `ApparentPower`, `Time`, `Percentage` | V, W, VA, s, % | fault |
/// | `Current` | fault: A or mA | fault |
/// | `Frequency` | up to 100 Hz, above fault: Hz or kHz | fault |
/// | `Conductance` | fault: mho or umho | fault |
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Expect {
    /// No expectation.
    Anything,
    /// The resistance of a part or between two places.
    Resistance,
    /// The resistance of a meter, in the modern notation of instruments: `10M` is 10 megohm.
    MeterResistance,
    /// A capacitor of unknown kind.
    Capacitance,
    /// A paper or film capacitor.
    PaperCapacitance,
    /// A mica or ceramic capacitor or a trimmer.
    SmallCapacitance,
    /// An electrolytic capacitor.
    Electrolytic,
    /// A coil or choke.
    Inductance,
    /// Volts.
    Voltage,
    /// Amperes.
    Current,
    /// Watts.
    Power,
    /// Volt-amperes.
    ApparentPower,
    /// Seconds, minutes, hours.
    Time,
    /// Cycles per second.
    Frequency,
    /// Mhos.
    Conductance,
    /// Percent.
    Percentage,
}

impl Expect {
    /// What the value itself must be, when something particular is expected.
    pub(super) fn measure(self) -> Option<Measure> {
        Some(match self {
            Expect::Anything => return None,
            Expect::Resistance | Expect::MeterResistance => Measure::Ohms,
            Expect::Capacitance
            | Expect::PaperCapacitance
            | Expect::SmallCapacitance
            | Expect::Electrolytic => Measure::Farads,
            Expect::Inductance => Measure::Henries,
            Expect::Voltage => Measure::Volts,
            Expect::Current => Measure::Amperes,
            Expect::Power => Measure::Watts,
            Expect::ApparentPower => Measure::VoltAmperes,
            Expect::Time => Measure::Seconds,
            Expect::Frequency => Measure::Hertz,
            Expect::Conductance => Measure::Siemens,
            Expect::Percentage => Measure::Percent,
        })
    }
}

/// What a number with its unit measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Measure {
    Ohms,
    Farads,
    Henries,
    Volts,
    Amperes,
    Watts,
    VoltAmperes,
    Hertz,
    Seconds,
    Kelvin,
    Celsius,
    Fahrenheit,
    Siemens,
    OhmsPerVolt,
    Percent,
    Plates,
}

impl Measure {
    /// The unit for printing, when the measure has one of its own.
    fn unit(self) -> Option<Unit> {
        Some(match self {
            Measure::Ohms => Unit::Ohms,
            Measure::Farads => Unit::Farads,
            Measure::Henries => Unit::Henries,
            Measure::Volts => Unit::Volts,
            Measure::Amperes => Unit::Amperes,
            Measure::Watts => Unit::Watts,
            Measure::VoltAmperes => Unit::VoltAmperes,
            Measure::Hertz => Unit::Hertz,
            Measure::Seconds => Unit::Seconds,
            Measure::Kelvin => Unit::Kelvin,
            Measure::Siemens => Unit::Siemens,
            Measure::OhmsPerVolt => Unit::OhmsPerVolt,
            Measure::Celsius | Measure::Fahrenheit | Measure::Percent | Measure::Plates => {
                return None;
            }
        })
    }

    /// A value of this measure, printed.
    pub(super) fn printed(self, value: f64) -> String {
        match (self.unit(), self) {
            (Some(unit), _) => bench(value, unit),
            (None, Measure::Percent) => bench(value / 100.0, Unit::Fraction),
            (None, Measure::Plates) => format!("{value} plates"),
            (None, Measure::Celsius) => format!("{value} °C"),
            (None, _) => format!("{value} °F"),
        }
    }

    /// Its name in a message, with an example of its spelling.
    pub(super) fn name(self) -> &'static str {
        match self {
            Measure::Ohms => "a resistance (150 ohm, 4.7k, 1 meg)",
            Measure::Farads => "a capacitance (0.05 mfd, 220 mmf)",
            Measure::Henries => "an inductance (3.5 H, 20 mH, 250 uH)",
            Measure::Volts => "volts (450 V)",
            Measure::Amperes => "a current (95 mA, 0.6 A)",
            Measure::Watts => "watts (1/2 W)",
            Measure::VoltAmperes => "volt-amperes (250 VA)",
            Measure::Hertz => "a frequency (60 Hz, 15.75 kHz)",
            Measure::Seconds => "a time (30 s, 16 ms, 2 min)",
            Measure::Kelvin | Measure::Celsius | Measure::Fahrenheit => "a temperature (25 °C)",
            Measure::Siemens => "a conductance (2500 umho)",
            Measure::OhmsPerVolt => "ohms per volt (20k/V)",
            Measure::Percent => "percent (10%)",
            Measure::Plates => "a number of plates (5 plates)",
        }
    }

    /// Whether a value below zero has a meaning.
    pub(super) fn may_be_negative(self) -> bool {
        matches!(
            self,
            Measure::Volts | Measure::Amperes | Measure::Celsius | Measure::Fahrenheit
        )
    }
}
