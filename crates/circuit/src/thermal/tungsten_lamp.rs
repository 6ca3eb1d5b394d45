//! An incandescent lamp as a resistance that follows its filament's temperature.
//!
//! State: filament temperature, kelvin. Inside: volts, amperes, ohms, watts, seconds.
//!
//! ```text
//! R(T)  = R_rated rho(T) / rho(T_rated)
//! C dT/dt = power - W [ (1 - g) (rad(T) - rad(Ta)) / (rad(T_rated) - rad(Ta))
//!                       + g (T - Ta) / (T_rated - Ta) ]
//! ```
//!
//! `rho` and `rad` from the tungsten table; `g` is the share of rated watts that gas and leads
//! carry off; `T_rated` is where tungsten's resistivity over that at 25 C equals hot over cold
//! resistance; the heat capacity `C`, held constant, is such that the current after cold
//! switch-on at rated volts is within 5 percent of settled after `settle_seconds`.
//! Holds from cold to the last temperature of the table; beyond that the lamp is gone, the
//! temperature is held and the result is marked. Bulb warming and aging are left out.
//! Figures out of range are refused.

use super::fault::{Faults, ThermalError};
use super::integrate::{Balance, Drive, Flow, HeatLaw, time_until};
use super::tungsten::TungstenProperties;
use super::{AMBIENT_KELVIN, Scale};

/// What is known of an incandescent lamp.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LampSpec {
    /// Rated volts.
    pub rated_volts: f64,
    /// Watts at rated volts.
    pub rated_watts: f64,
    /// Ohms at 25 C; None takes hot over cold 15 (published for 100 W), 13 for vacuum lamps.
    pub cold_ohms: Option<f64>,
    /// Seconds until the current is within 5 percent of settled after cold switch-on at rated
    /// volts; None takes the published 0.10 s of a 100 W 120 V lamp, scaled as wire thickness.
    pub settle_seconds: Option<f64>,
    /// Share of rated watts carried off by gas and leads, 0 to 0.4; None takes
    /// [`usual_conduction_share`].
    pub conduction_share: Option<f64>,
}

impl LampSpec {
    /// A lamp of which only the marking is known.
    pub fn new(rated_volts: f64, rated_watts: f64) -> Self {
        Self {
            rated_volts,
            rated_watts,
            cold_ohms: None,
            settle_seconds: None,
            conduction_share: None,
        }
    }
}

/// Highest rating, in watts, of lamps usually made with a vacuum (from memory).
const VACUUM_LAMP_WATTS: f64 = 25.0;

/// Share of rated watts that gas and leads carry off in general-service lamps.
///
/// Gas plus end loss after the IES Lighting Handbook (from memory): 40 W 21 percent, 60 W 15,
/// 100 W 13, 200 W 15, 300 W 13; about 2 in vacuum lamps up to 25 W. A smooth figure between.
pub fn usual_conduction_share(rated_watts: f64) -> f64 {
    if rated_watts <= VACUUM_LAMP_WATTS {
        return 0.02;
    }
    if rated_watts <= 40.0 {
        return 0.21;
    }
    0.13 + 0.08 * (40.0 / rated_watts).powi(3)
}

/// The law of one lamp.
#[derive(Debug, Clone)]
pub struct LampLaw {
    scale: Scale,
    cold_ohms: f64,
    kind: LampKind,
}

/// The law in shares of the ratings.
#[derive(Debug, Clone)]
pub(super) struct LampKind {
    tungsten: TungstenProperties,
    rated_kelvin: f64,
    conduction_share: f64,
    over_rated_resistivity: f64,
    /// Share of rated watts per unit of tabled radiation.
    radiation_scale: f64,
    ambient_radiation: f64,
    /// Share of rated watts per kelvin above the surroundings.
    conduction_scale: f64,
    seconds_per_kelvin: f64,
}

impl LampLaw {
    /// Makes the law from the lamp's figures and tungsten's properties.
    ///
    /// # Errors
    /// Figures out of range, among them a cold resistance that tungsten cannot have.
    pub fn new(spec: LampSpec, tungsten: &TungstenProperties) -> Result<Self, ThermalError> {
        let mut faults = Faults::default();
        let marking = "read the marking on the lamp";
        faults.within("rated_volts", spec.rated_volts, (0.5, 1000.0), marking);
        faults.within("rated_watts", spec.rated_watts, (0.01, 10_000.0), marking);
        let hot_ohms = spec.rated_volts * spec.rated_volts / spec.rated_watts;
        if let Some(cold) = spec.cold_ohms {
            let range = (hot_ohms / 18.0, hot_ohms / 3.0);
            faults.within(
                "cold_ohms",
                cold,
                range,
                "measure the lamp cold, leads subtracted",
            );
        }
        if let Some(seconds) = spec.settle_seconds {
            faults.within(
                "settle_seconds",
                seconds,
                (1e-4, 100.0),
                "leave it out if unknown",
            );
        }
        let conduction_share = spec
            .conduction_share
            .unwrap_or_else(|| usual_conduction_share(spec.rated_watts));
        let hint = "leave it out if unknown";
        faults.within("conduction_share", conduction_share, (0.0, 0.4), hint);
        faults.end()?;

        let usual_ratio = if spec.rated_watts <= VACUUM_LAMP_WATTS {
            13.0
        } else {
            15.0
        };
        let cold_ohms = spec.cold_ohms.unwrap_or(hot_ohms / usual_ratio);
        let cold_resistivity = tungsten.resistivity(AMBIENT_KELVIN);
        let Some(rated_kelvin) =
            tungsten.kelvin_at_resistivity(cold_resistivity * hot_ohms / cold_ohms)
        else {
            let mut faults = Faults::default();
            let most = tungsten.resistivity(tungsten.highest_kelvin()) / cold_resistivity;
            let hint = "the tungsten table does not reach this lamp's temperature";
            faults.within(
                "hot over cold ohms",
                hot_ohms / cold_ohms,
                (1.0, 0.99 * most),
                hint,
            );
            faults.end()?;
            // a table so short that it misses the room's own temperature
            return Err(ThermalError {
                faults: vec![super::fault::ThermalFault::TooFewPoints {
                    column: "resistivity",
                    read: 0,
                    wanted: 4,
                }],
            });
        };
        let ambient_radiation = tungsten.radiation(AMBIENT_KELVIN);
        let mut kind = LampKind {
            rated_kelvin,
            conduction_share,
            over_rated_resistivity: 1.0 / tungsten.resistivity(rated_kelvin),
            radiation_scale: (1.0 - conduction_share)
                / (tungsten.radiation(rated_kelvin) - ambient_radiation),
            ambient_radiation,
            conduction_scale: conduction_share / (rated_kelvin - AMBIENT_KELVIN),
            seconds_per_kelvin: 1.0,
            tungsten: tungsten.clone(),
        };
        // all times go with the heat capacity: run once with 1, then scale
        let amperes = spec.rated_watts / spec.rated_volts;
        let wanted = spec
            .settle_seconds
            .unwrap_or(0.10 * (amperes * 120.0 / 100.0).powf(2.0 / 3.0));
        let unscaled = time_until(
            &kind,
            [AMBIENT_KELVIN; 2],
            Drive::Volts(1.0),
            1e9,
            |kelvin| kind.ratio(kelvin[0]).0 - 1.0 / 1.05,
        );
        kind.seconds_per_kelvin = wanted / unscaled.unwrap_or(rated_kelvin);
        Ok(Self {
            scale: Scale {
                volts: spec.rated_volts,
                amperes,
            },
            cold_ohms,
            kind,
        })
    }

    /// The same lamp drawing its rated amperes times a factor above zero: a lamp at
    /// another place of its tolerance.
    pub fn rated_at_amperes_times(&self, factor: f64) -> Self {
        let mut other = self.clone();
        if factor > 0.0 {
            other.scale.amperes *= factor;
            other.cold_ohms /= factor;
        }
        other
    }

    /// Filament temperature at rated volts, kelvin.
    pub fn rated_kelvin(&self) -> f64 {
        self.kind.rated_kelvin
    }

    /// Ohms at 25 C.
    pub fn cold_ohms(&self) -> f64 {
        self.cold_ohms
    }

    pub(super) fn scale(&self) -> Scale {
        self.scale
    }

    pub(super) fn kind(&self) -> &LampKind {
        &self.kind
    }
}

impl LampKind {
    /// Whether two lamps behave alike in shares of their ratings.
    pub(super) fn alike(&self, other: &Self) -> bool {
        self.rated_kelvin == other.rated_kelvin
            && self.conduction_share == other.conduction_share
            && self.seconds_per_kelvin == other.seconds_per_kelvin
            && self.tungsten.same_table(&other.tungsten)
    }

    fn loss(&self, wire: f64) -> (f64, f64) {
        let (radiation, slope) = self.tungsten.radiation_with_slope(wire);
        (
            self.radiation_scale * (radiation - self.ambient_radiation)
                + self.conduction_scale * (wire - AMBIENT_KELVIN),
            self.radiation_scale * slope + self.conduction_scale,
        )
    }
}

impl HeatLaw for LampKind {
    #[inline]
    fn ratio(&self, kelvin: f64) -> (f64, f64) {
        let (resistivity, slope) = self.tungsten.resistivity_with_slope(kelvin);
        (
            resistivity * self.over_rated_resistivity,
            slope * self.over_rated_resistivity,
        )
    }

    #[inline]
    fn flow(&self, wire: f64, _cathode: f64) -> Flow {
        let (loss, slope) = self.loss(wire);
        Flow {
            loss: [loss, slope, 0.0],
            gain: [0.0; 3],
        }
    }

    fn balance(&self, wire: f64) -> Balance {
        let (loss, loss_slope) = self.loss(wire);
        Balance {
            loss,
            loss_slope,
            cathode: wire,
        }
    }

    fn quickness(&self) -> [f64; 2] {
        [1.0 / self.seconds_per_kelvin, 0.0]
    }

    fn limit_kelvin(&self) -> f64 {
        self.tungsten.highest_kelvin()
    }

    fn ambient_kelvin(&self) -> f64 {
        AMBIENT_KELVIN
    }
}
