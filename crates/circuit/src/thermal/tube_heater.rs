//! The heater of a tube with its cathode, or a directly heated oxide-coated filament.
//!
//! State: temperature of the heater wire and of the cathode, kelvin. Inside: volts, amperes,
//! ohms, watts, seconds.
//!
//! Indirectly heated, two masses, powers in shares of rated watts:
//!
//! ```text
//! Cw dTw/dt = power - Q        Q = (1-c)(Tw^4 - Tk^4)/(..) + c (Tw - Tk)/(..)
//! Ck dTk/dt = Q - S            S = (1-s)(Tk^4 - Ta^4)/(..) + s (Tk - Ta)/(..)
//! ```
//!
//! where `(..)` is the same difference at rated volts, so that Q = S = 1 there. The wire
//! settles at 1350 to 1600 K by its hot-to-cold ratio, the cathode at 1050 K (common figures
//! for oxide cathodes; from memory). `c` = 0.3 of the heat crosses the coating by contact,
//! `s` = 0.2 leaves the sleeve by its supports, and 0.15 of the heat capacity belongs to wire
//! and coating (all three judgement; with them a heater of 11 s controlled warm-up carries
//! three quarters of its tube's plate current 12 to 13 s after rated volts come on, and the
//! heat capacities agree with those of sleeves and coatings of the usual size). The total heat
//! capacity is found from the warm-up time.
//!
//! Directly heated: one mass at 1050 K with the loss S, `s` = 0.1.
//!
//! Resistance: from 1/hot_to_cold at 25 C to 1 at rated temperature, slightly curved as
//! tungsten is (Forsythe and Worthing 1925: 0.469 of the rise at half the way from 300 to
//! 1500 K). Oxide emission by Richardson's law, see `emission`.
//! Holds to about twice rated volts; the wire is held at 2300 K (alumina melts; filament
//! 1800 K) and the result is marked. Figures out of range are refused.

use super::emission::{USUAL_EMISSION_RESERVE, richardson_ratio, space_charge_share};
use super::fault::{Faults, ThermalError};
use super::integrate::{Balance, Drive, Flow, HeatLaw, time_until};
use super::{AMBIENT_KELVIN, Scale};

/// How a tube's cathode is heated.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Heating {
    /// The filament is the cathode.
    Direct,
    /// A heater inside a cathode sleeve.
    Indirect,
}

/// What is known of a tube's heater.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeaterSpec {
    /// Rated volts.
    pub volts: f64,
    /// Amperes at rated volts.
    pub amperes: f64,
    /// Direct or indirect.
    pub heating: Heating,
    /// Warm-up time, seconds. If `controlled`: until the heater has 80 percent of its rated
    /// volts in the standard test (three times its hot resistance in series on four times its
    /// volts). Otherwise: until emission carries three quarters of the settled plate current
    /// at rated volts. None takes 11, 20 (indirect) or 4 s (direct): usual figures.
    pub warm_up_seconds: Option<f64>,
    /// Made for series strings with controlled warm-up.
    pub controlled: bool,
    /// Hot over cold resistance, 3 to 15 (5 to 10 usual, 7 typical).
    pub hot_to_cold: f64,
}

/// Cathode temperature at rated volts, kelvin (from memory; oxide cathodes run at 1000 to 1100 K).
pub const RATED_CATHODE_KELVIN: f64 = 1050.0;

/// Part of the plate current, as a share of settled, at which a tube counts as warm.
const WARM_SHARE: f64 = 0.75;
const CONTACT_SHARE: f64 = 0.3;
const SUPPORT_SHARE: f64 = 0.2;
const FILAMENT_END_SHARE: f64 = 0.1;
const WIRE_CAPACITY_SHARE: f64 = 0.15;
const RESISTANCE_CURVATURE: f64 = 0.123;

/// How a heater's heat goes its ways; the defaults are those of the module's page.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeaterShares {
    /// Of the heat from wire to cathode, by contact.
    pub contact: f64,
    /// Of the heat from the cathode, by its supports.
    pub support: f64,
    /// Of the heat from a filament, by its ends.
    pub filament_end: f64,
    /// Of the heat capacity, that of wire and coating.
    pub wire_capacity: f64,
}

impl Default for HeaterShares {
    fn default() -> Self {
        Self {
            contact: CONTACT_SHARE,
            support: SUPPORT_SHARE,
            filament_end: FILAMENT_END_SHARE,
            wire_capacity: WIRE_CAPACITY_SHARE,
        }
    }
}

/// The law of one heater.
#[derive(Debug, Clone)]
pub struct HeaterLaw {
    scale: Scale,
    kind: HeaterKind,
}

/// The law in shares of the ratings.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct HeaterKind {
    heating: Heating,
    wire_kelvin: f64,
    cold_ratio: f64,
    /// One over the rise of the wire from cold to rated.
    over_rise: f64,
    /// Wire to cathode: fourth-power and linear coefficient.
    exchange: [f64; 2],
    /// Cathode (or filament) to surroundings: fourth-power and linear coefficient.
    outward: [f64; 2],
    /// Loss coefficients times the ambient terms, so that the loss is zero there.
    outward_ambient: f64,
    seconds_per_kelvin: [f64; 2],
}

impl HeaterLaw {
    /// Makes the law from the heater's figures.
    ///
    /// # Errors
    /// Figures out of range.
    pub fn new(spec: HeaterSpec) -> Result<Self, ThermalError> {
        Self::with_shares(spec, HeaterShares::default())
    }

    /// The same with other ways for the heat.
    ///
    /// # Errors
    /// Figures out of range; shares must lie between 0.01 and 0.9.
    pub fn with_shares(spec: HeaterSpec, shares: HeaterShares) -> Result<Self, ThermalError> {
        let mut faults = Faults::default();
        let manual = "see the tube manual";
        faults.within("volts", spec.volts, (0.2, 500.0), manual);
        faults.within("amperes", spec.amperes, (0.005, 50.0), manual);
        faults.within(
            "hot_to_cold",
            spec.hot_to_cold,
            (3.0, 15.0),
            "5 to 10 is usual",
        );
        if let Some(seconds) = spec.warm_up_seconds {
            faults.within(
                "warm_up_seconds",
                seconds,
                (0.1, 300.0),
                "leave it out if unknown",
            );
        }
        for (field, share) in [
            ("contact", shares.contact),
            ("support", shares.support),
            ("filament_end", shares.filament_end),
            ("wire_capacity", shares.wire_capacity),
        ] {
            faults.within(field, share, (0.01, 0.9), "a share of the heat");
        }
        faults.end()?;

        let mut kind = HeaterKind::new(spec.heating, spec.hot_to_cold, shares);
        let cold = [AMBIENT_KELVIN; 2];
        // all times go with the heat capacity: run once unscaled, then scale
        let unscaled = if spec.controlled {
            time_until(&kind, cold, Drive::WarmUpTest, 1e7, |kelvin| {
                let ratio = kind.ratio(kelvin[0]).0;
                4.0 * ratio / (3.0 + ratio) - 0.8
            })
        } else {
            time_until(&kind, cold, Drive::Volts(1.0), 1e7, |kelvin| {
                let emission = richardson_ratio(kind.cathode(kelvin), RATED_CATHODE_KELVIN);
                space_charge_share(emission, USUAL_EMISSION_RESERVE) - WARM_SHARE
            })
        };
        let usual = match (spec.controlled, spec.heating) {
            (true, _) => 11.0,
            (false, Heating::Indirect) => 20.0,
            (false, Heating::Direct) => 4.0,
        };
        let factor = spec.warm_up_seconds.unwrap_or(usual) / unscaled.unwrap_or(usual);
        kind.seconds_per_kelvin = kind.seconds_per_kelvin.map(|capacity| capacity * factor);
        Ok(Self {
            scale: Scale {
                volts: spec.volts,
                amperes: spec.amperes,
            },
            kind,
        })
    }

    /// The same kind of heater for other ratings: alike in shares of them. Ratings that
    /// are not above zero are left as they were.
    pub fn rated_at(&self, volts: f64, amperes: f64) -> Self {
        let held = |figure: f64, own: f64| if figure > 0.0 { figure } else { own };
        Self {
            scale: Scale {
                volts: held(volts, self.scale.volts),
                amperes: held(amperes, self.scale.amperes),
            },
            kind: self.kind,
        }
    }

    /// The same heater with all its times multiplied by a factor above zero.
    pub fn slower(&self, factor: f64) -> Self {
        let mut kind = self.kind;
        if factor > 0.0 {
            kind.seconds_per_kelvin = kind.seconds_per_kelvin.map(|seconds| seconds * factor);
        }
        Self {
            scale: self.scale,
            kind,
        }
    }

    /// The same heater with its cold resistance multiplied by a factor above zero, hot as
    /// before; held between a fifteenth and a third of the hot resistance.
    pub fn colder(&self, factor: f64) -> Self {
        let mut kind = self.kind;
        if factor > 0.0 && factor != 1.0 {
            kind.cold_ratio = (kind.cold_ratio * factor).clamp(1.0 / 15.0, 1.0 / 3.0);
        }
        Self {
            scale: self.scale,
            kind,
        }
    }

    /// Wire temperature at rated volts, kelvin.
    pub fn rated_wire_kelvin(&self) -> f64 {
        self.kind.wire_kelvin
    }

    /// Ohms at 25 C.
    pub fn cold_ohms(&self) -> f64 {
        self.scale.ohms() * self.kind.cold_ratio
    }

    pub(super) fn scale(&self) -> Scale {
        self.scale
    }

    pub(super) fn kind(&self) -> &HeaterKind {
        &self.kind
    }
}

impl HeaterKind {
    fn new(heating: Heating, hot_to_cold: f64, shares: HeaterShares) -> Self {
        let fourth = |kelvin: f64| kelvin.powi(4);
        let pair = |share: f64, hot: f64, cold: f64| {
            [
                (1.0 - share) / (fourth(hot) - fourth(cold)),
                share / (hot - cold),
            ]
        };
        let (wire_kelvin, end_share) = match heating {
            // tungsten's resistivity goes about as the 1.209 power of temperature (Forsythe and
            // Worthing 1925, 300 to 1500 K); alloys and cold ends make up the rest
            Heating::Indirect => (
                (AMBIENT_KELVIN * hot_to_cold.powf(1.0 / 1.209)).clamp(1350.0, 1600.0),
                shares.support,
            ),
            Heating::Direct => (RATED_CATHODE_KELVIN, shares.filament_end),
        };
        let outward = pair(end_share, RATED_CATHODE_KELVIN, AMBIENT_KELVIN);
        let (exchange, seconds_per_kelvin) = match heating {
            Heating::Indirect => (
                pair(shares.contact, wire_kelvin, RATED_CATHODE_KELVIN),
                [
                    0.02 * shares.wire_capacity,
                    0.02 * (1.0 - shares.wire_capacity),
                ],
            ),
            Heating::Direct => ([0.0; 2], [0.005, f64::INFINITY]),
        };
        Self {
            heating,
            wire_kelvin,
            cold_ratio: 1.0 / hot_to_cold,
            over_rise: 1.0 / (wire_kelvin - AMBIENT_KELVIN),
            exchange,
            outward,
            outward_ambient: outward[0] * fourth(AMBIENT_KELVIN) + outward[1] * AMBIENT_KELVIN,
            seconds_per_kelvin,
        }
    }

    /// The temperature of what emits.
    pub(super) fn cathode(&self, kelvin: [f64; 2]) -> f64 {
        match self.heating {
            Heating::Direct => kelvin[0],
            Heating::Indirect => kelvin[1],
        }
    }

    fn outward(&self, kelvin: f64) -> (f64, f64) {
        let cube = kelvin * kelvin * kelvin;
        (
            self.outward[0] * cube * kelvin + self.outward[1] * kelvin - self.outward_ambient,
            4.0 * self.outward[0] * cube + self.outward[1],
        )
    }

    fn exchange(&self, wire: f64, cathode: f64) -> [f64; 3] {
        let (wire_cube, cathode_cube) = (wire * wire * wire, cathode * cathode * cathode);
        let [fourth, linear] = self.exchange;
        [
            fourth * (wire_cube * wire - cathode_cube * cathode) + linear * (wire - cathode),
            4.0 * fourth * wire_cube + linear,
            -4.0 * fourth * cathode_cube - linear,
        ]
    }
}

impl HeatLaw for HeaterKind {
    #[inline]
    fn ratio(&self, kelvin: f64) -> (f64, f64) {
        let way = (kelvin - AMBIENT_KELVIN) * self.over_rise;
        let span = 1.0 - self.cold_ratio;
        let bend = RESISTANCE_CURVATURE;
        let ratio = self.cold_ratio + span * way * (1.0 - bend + bend * way);
        let least = 0.25 * self.cold_ratio;
        if ratio < least {
            return (least, 0.0);
        }
        (
            ratio,
            span * self.over_rise * (1.0 - bend + 2.0 * bend * way),
        )
    }

    #[inline]
    fn flow(&self, wire: f64, cathode: f64) -> Flow {
        match self.heating {
            Heating::Direct => {
                let (loss, slope) = self.outward(wire);
                Flow {
                    loss: [loss, slope, 0.0],
                    gain: [0.0; 3],
                }
            }
            Heating::Indirect => {
                let loss = self.exchange(wire, cathode);
                let (outward, slope) = self.outward(cathode);
                Flow {
                    loss,
                    gain: [loss[0] - outward, loss[1], loss[2] - slope],
                }
            }
        }
    }

    fn balance(&self, wire: f64) -> Balance {
        if self.heating == Heating::Direct {
            let (loss, loss_slope) = self.outward(wire);
            return Balance {
                loss,
                loss_slope,
                cathode: wire,
            };
        }
        // exchange = outward is a rising quartic in the cathode's temperature; Newton from a
        // point above the root comes down on it without fail, from below it first jumps above
        let mut cathode = AMBIENT_KELVIN + 0.65 * (wire - AMBIENT_KELVIN);
        for _ in 0..20 {
            let exchange = self.exchange(wire, cathode);
            let (outward, slope) = self.outward(cathode);
            let change = (outward - exchange[0]) / (slope - exchange[2]);
            cathode -= change;
            if change.abs() < 1e-9 * cathode {
                break;
            }
        }
        let exchange = self.exchange(wire, cathode);
        let (loss, slope) = self.outward(cathode);
        let loss_slope = slope * exchange[1] / (slope - exchange[2]);
        Balance {
            loss,
            loss_slope,
            cathode,
        }
    }

    fn quickness(&self) -> [f64; 2] {
        [
            1.0 / self.seconds_per_kelvin[0],
            1.0 / self.seconds_per_kelvin[1],
        ]
    }

    fn limit_kelvin(&self) -> f64 {
        match self.heating {
            Heating::Direct => 1800.0,
            Heating::Indirect => 2300.0,
        }
    }

    fn ambient_kelvin(&self) -> f64 {
        AMBIENT_KELVIN
    }
}
