//! A resistor that falls as it warms: the thermistor of a series string, the inrush limiter.
//!
//! State: bead temperature, kelvin. Inside: volts, amperes, ohms, watts, seconds.
//!
//! ```text
//! R(T) = R_cold exp(B (1/T - 1/T25))        C dT/dt = power - G (T - Ta)
//! ```
//!
//! The cold and the hot point leave one figure open. `B` is taken as 2600 K, an effective
//! figure: with heat loss linear in the temperature it follows the published ohms at 25, 50,
//! 75 and 100 percent of rated current of four inrush limiters (10 to 120 ohms cold) within
//! 10 percent, against a cold tolerance of 25. It is raised where the hot point would pass 700 K. `G` then
//! follows from `amperes^2 hot_ohms = G (T_hot - Ta)`, and `C` = G x time constant.
//! Body temperatures are therefore those of the model, not of the part. Holds to 200 K above
//! the hot point; there the temperature is held and the result is marked. Under a fixed
//! voltage several settled states exist: the one reached from cold is given. Figures out of
//! range are refused.

use super::fault::{Faults, ThermalError};
use super::integrate::{Balance, Flow, HeatLaw};
use super::{AMBIENT_KELVIN, Scale};

/// What is known of a thermistor.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ThermistorSpec {
    /// Ohms at 25 C.
    pub cold_ohms: f64,
    /// Ohms when settled at `hot_amperes`.
    pub hot_ohms: f64,
    /// The current that goes with `hot_ohms`, amperes.
    pub hot_amperes: f64,
    /// Seconds for the bead to cool to 37 percent of its rise.
    pub time_constant_seconds: f64,
}

const USUAL_B_KELVIN: f64 = 2600.0;
const HIGHEST_HOT_KELVIN: f64 = 700.0;

/// The law of one thermistor.
#[derive(Debug, Clone)]
pub struct ThermistorLaw {
    scale: Scale,
    cold_ohms: f64,
    kind: ThermistorKind,
}

/// The law in shares of the figures at the hot point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct ThermistorKind {
    b_kelvin: f64,
    hot_kelvin: f64,
    over_rise: f64,
    seconds_per_kelvin: f64,
}

impl ThermistorLaw {
    /// Makes the law from the thermistor's figures.
    ///
    /// # Errors
    /// Figures out of range, among them a hot resistance that is not well below the cold one.
    pub fn new(spec: ThermistorSpec) -> Result<Self, ThermalError> {
        let mut faults = Faults::default();
        faults.within(
            "cold_ohms",
            spec.cold_ohms,
            (0.1, 1e6),
            "measure it cold, one end free",
        );
        let range = (spec.cold_ohms.abs() * 1e-4, spec.cold_ohms.abs() * 0.9);
        let hint = "hot ohms are volts across it over string amperes when warm";
        faults.within("hot_ohms", spec.hot_ohms, range, hint);
        faults.within(
            "hot_amperes",
            spec.hot_amperes,
            (1e-4, 100.0),
            "the string's current",
        );
        let hint = "seconds, from the data sheet";
        faults.within(
            "time_constant_seconds",
            spec.time_constant_seconds,
            (0.01, 3600.0),
            hint,
        );
        faults.end()?;

        let log_ratio = (spec.cold_ohms / spec.hot_ohms).ln();
        let hot_at = |b_kelvin: f64| 1.0 / (1.0 / AMBIENT_KELVIN - log_ratio / b_kelvin);
        let least_b = log_ratio / (1.0 / AMBIENT_KELVIN - 1.0 / HIGHEST_HOT_KELVIN);
        let b_kelvin = USUAL_B_KELVIN.max(least_b);
        let hot_kelvin = hot_at(b_kelvin);
        let over_rise = 1.0 / (hot_kelvin - AMBIENT_KELVIN);
        let kind = ThermistorKind {
            b_kelvin,
            hot_kelvin,
            over_rise,
            seconds_per_kelvin: spec.time_constant_seconds * over_rise,
        };
        let volts = spec.hot_amperes * spec.hot_ohms;
        Ok(Self {
            scale: Scale {
                volts,
                amperes: spec.hot_amperes,
            },
            cold_ohms: spec.cold_ohms,
            kind,
        })
    }

    /// Ohms at 25 C.
    pub fn cold_ohms(&self) -> f64 {
        self.cold_ohms
    }

    pub(super) fn scale(&self) -> Scale {
        self.scale
    }

    pub(super) fn kind(&self) -> &ThermistorKind {
        &self.kind
    }
}

impl HeatLaw for ThermistorKind {
    #[inline]
    fn ratio(&self, kelvin: f64) -> (f64, f64) {
        let ratio = (self.b_kelvin * (1.0 / kelvin - 1.0 / self.hot_kelvin)).exp();
        (ratio, -ratio * self.b_kelvin / (kelvin * kelvin))
    }

    #[inline]
    fn flow(&self, wire: f64, _cathode: f64) -> Flow {
        let loss = (wire - AMBIENT_KELVIN) * self.over_rise;
        Flow {
            loss: [loss, self.over_rise, 0.0],
            gain: [0.0; 3],
        }
    }

    fn balance(&self, wire: f64) -> Balance {
        let loss = (wire - AMBIENT_KELVIN) * self.over_rise;
        Balance {
            loss,
            loss_slope: self.over_rise,
            cathode: wire,
        }
    }

    fn quickness(&self) -> [f64; 2] {
        [1.0 / self.seconds_per_kelvin, 0.0]
    }

    fn limit_kelvin(&self) -> f64 {
        self.hot_kelvin + 200.0
    }

    fn ambient_kelvin(&self) -> f64 {
        AMBIENT_KELVIN
    }

    fn falls(&self) -> bool {
        true
    }
}
