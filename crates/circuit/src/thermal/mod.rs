//! Parts whose resistance follows their temperature: lamps, tube heaters, thermistors.
//!
//! Inside this module: plain `f64` in SI: volts, amperes, ohms, watts, kelvin, seconds.
//!
//! A [`ThermalBody`] is one such part with its [`ThermalLaw`]; a [`ThermalGroup`] is several
//! in parallel or in series, which a network sees as one conductance. The drive of a group is
//! the mean-square voltage across it (parallel) or the mean-square current through it (series):
//! thermal times are long against a line cycle, so the mean square is what heats (a 100 W
//! filament swings a few percent within a cycle, which is left out). Under a given current
//! each body here has a single settled state, whether its resistance rises or falls, which is
//! why a series group is driven by current.
//!
//! ```text
//! C dT/dt = power - loss(T)
//! power   = v^2 / R(T)  (parallel)    i^2 R(T)  (series)
//! ```
//!
//! - Lamp: resistivity after Forsythe and Worthing (Astrophysical Journal 61, 1925), radiation
//!   after Jones and Langmuir (General Electric Review 30, 1927), and heat carried by gas.
//! - Heater: a wire that warms a cathode sleeve; emission after O. W. Richardson (Phil. Mag.
//!   28, 1914) and S. Dushman (Phys. Rev. 21, 1923).
//! - Thermistor: `R = R_cold exp(B (1/T - 1/T25))`, loss in proportion to the rise.
//!
//! Heat is always lost to surroundings at [`AMBIENT_KELVIN`]; a body may start from another
//! temperature. Each law's page states its range. Figures that no such part can have are
//! refused when a law is made; afterwards nothing fails: drives and temperatures beyond the
//! range are held at its edge and the [`Response`] says so.
//!
//! ```
//! use circuit::thermal::*;
//! # fn main() -> Result<(), ThermalError> {
//! let heater = |volts, amperes| {
//!     HeaterLaw::new(HeaterSpec {
//!         volts,
//!         amperes,
//!         heating: Heating::Indirect,
//!         warm_up_seconds: None,
//!         controlled: true,
//!         hot_to_cold: 7.0,
//!     })
//! };
//! let string = ThermalGroup {
//!     arrangement: Arrangement::Series,
//!     bodies: vec![
//!         ThermalBody { law: ThermalLaw::Heater(heater(6.3, 0.6)?) },
//!         ThermalBody { law: ThermalLaw::Heater(heater(12.6, 0.6)?) },
//!         ThermalBody { law: ThermalLaw::Fixed { ohms: 10.0 } },
//!     ],
//! };
//! let warm = string.settled(0.6 * 0.6); // mean-square amperes
//! assert!((1.0 / warm.siemens - (10.5 + 21.0 + 10.0)).abs() < 1e-6);
//! let cold = string.cold_state(AMBIENT_KELVIN);
//! let after_a_second = string.advance(&cold, 0.36, 1.0);
//! assert!(after_a_second.siemens > warm.siemens);
//! # Ok(())
//! # }
//! ```

mod emission;
mod fault;
mod group;
mod integrate;
mod thermistor;
mod tube_heater;
mod tungsten;
mod tungsten_lamp;

pub use emission::{
    OXIDE_WORK_FUNCTION_KELVIN, USUAL_EMISSION_RESERVE, space_charge_share, worn_currents,
};
pub use fault::{ThermalError, ThermalFault};
pub use group::{Arrangement, GroupState, Response, ThermalGroup};
pub use thermistor::{ThermistorLaw, ThermistorSpec};
pub use tube_heater::{HeaterLaw, HeaterShares, HeaterSpec, Heating, RATED_CATHODE_KELVIN};
pub use tungsten::TungstenProperties;
pub use tungsten_lamp::{LampLaw, LampSpec, usual_conduction_share};

use emission::richardson_ratio;
use integrate::{Drive, HeatLaw, Run};

/// Temperature of the surroundings, kelvin (25 C).
pub const AMBIENT_KELVIN: f64 = 298.15;

/// Coldest and warmest start accepted, kelvin; others are held here.
const START_KELVIN: (f64, f64) = (250.0, 10_000.0);
/// Bounds of a fixed resistance, ohms; others are held here.
const FIXED_OHMS: (f64, f64) = (1e-9, 1e15);

/// How the resistance of a body follows its temperature.
#[derive(Debug, Clone)]
pub enum ThermalLaw {
    /// An incandescent lamp.
    Lamp(LampLaw),
    /// A tube's heater or filament.
    Heater(HeaterLaw),
    /// A thermistor.
    Thermistor(ThermistorLaw),
    /// A resistance that does not change; held within 1e-9 to 1e15 ohms.
    Fixed {
        /// Resistance, ohms.
        ohms: f64,
    },
}

/// The temperatures of one body.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BodyState {
    /// Of filament, heater wire or bead, kelvin.
    pub kelvin: f64,
    /// Of the cathode sleeve, kelvin; the same as `kelvin` where there is none.
    pub cathode_kelvin: f64,
}

/// One part with a thermal law.
#[derive(Debug, Clone)]
pub struct ThermalBody {
    /// Its law.
    pub law: ThermalLaw,
}

/// The ratings by which a law is normalised.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Scale {
    volts: f64,
    amperes: f64,
}

impl Scale {
    fn ohms(self) -> f64 {
        self.volts / self.amperes
    }
}

/// Runs an expression with the normalised law of a body, or another one for a fixed body.
macro_rules! with_kind {
    ($law:expr, $kind:ident => $found:expr, $ohms:ident => $fixed:expr) => {
        match $law {
            ThermalLaw::Lamp(law) => {
                let $kind = law.kind();
                $found
            }
            ThermalLaw::Heater(law) => {
                let $kind = law.kind();
                $found
            }
            ThermalLaw::Thermistor(law) => {
                let $kind = law.kind();
                $found
            }
            ThermalLaw::Fixed { ohms: $ohms } => $fixed,
        }
    };
}

impl ThermalBody {
    /// The state of the body when everything has this temperature (held within 250 K up to the
    /// body's limit; not a number gives 25 C).
    pub fn state_at(&self, ambient_kelvin: f64) -> BodyState {
        let (kelvin, _) = held_start(ambient_kelvin, self.limit_kelvin());
        BodyState {
            kelvin,
            cathode_kelvin: kelvin,
        }
    }

    /// Resistance now, ohms.
    pub fn ohms(&self, state: &BodyState) -> f64 {
        self.ohms_with_slope(state.kelvin).0
    }

    /// Resistance at 25 C, ohms.
    pub fn cold_ohms(&self) -> f64 {
        match &self.law {
            ThermalLaw::Lamp(law) => law.cold_ohms(),
            ThermalLaw::Heater(law) => law.cold_ohms(),
            ThermalLaw::Thermistor(law) => law.cold_ohms(),
            ThermalLaw::Fixed { ohms } => held_ohms(*ohms),
        }
    }

    /// Resistance at the ratings, ohms.
    pub fn rated_ohms(&self) -> f64 {
        match (self.scale(), &self.law) {
            (Some(scale), _) => scale.ohms(),
            (None, ThermalLaw::Fixed { ohms }) => held_ohms(*ohms),
            (None, _) => f64::NAN,
        }
    }

    /// Rated volts (thermistor: volts at its hot point); None for a fixed resistance.
    pub fn rated_volts(&self) -> Option<f64> {
        self.scale().map(|scale| scale.volts)
    }

    /// Amperes at rated volts (thermistor: at its hot point); None for a fixed resistance.
    pub fn rated_amperes(&self) -> Option<f64> {
        self.scale().map(|scale| scale.amperes)
    }

    /// Watts at the ratings; None for a fixed resistance.
    pub fn rated_watts(&self) -> Option<f64> {
        self.scale().map(|scale| scale.volts * scale.amperes)
    }

    /// Cathode emission over its value at rated heater volts; None for what is no heater.
    pub fn emission_ratio(&self, state: &BodyState) -> Option<f64> {
        match &self.law {
            ThermalLaw::Heater(law) => {
                let cathode = law.kind().cathode([state.kelvin, state.cathode_kelvin]);
                Some(richardson_ratio(cathode, RATED_CATHODE_KELVIN))
            }
            _ => None,
        }
    }

    /// Heat given off to the surroundings now, watts; None for a fixed resistance.
    pub fn loss_watts(&self, state: &BodyState) -> Option<f64> {
        let share = with_kind!(&self.law, kind => {
            let flow = kind.flow(state.kelvin, state.cathode_kelvin);
            flow.loss[0] - flow.gain[0]
        }, _ohms => return None);
        Some(share * self.rated_watts()?)
    }

    /// Heat stored above 25 C, joules; None for a fixed resistance.
    pub fn stored_joules(&self, state: &BodyState) -> Option<f64> {
        let seconds = with_kind!(&self.law, kind => {
            let quickness = kind.quickness();
            let cathode = if quickness[1] > 0.0 {
                (state.cathode_kelvin - AMBIENT_KELVIN) / quickness[1]
            } else {
                0.0
            };
            (state.kelvin - AMBIENT_KELVIN) / quickness[0] + cathode
        }, _ohms => return None);
        Some(seconds * self.rated_watts()?)
    }

    /// Highest temperature at which the law means anything, kelvin.
    pub fn limit_kelvin(&self) -> f64 {
        with_kind!(&self.law, kind => kind.limit_kelvin(), _ohms => START_KELVIN.1)
    }

    /// Resistance and its slope per kelvin.
    fn ohms_with_slope(&self, kelvin: f64) -> (f64, f64) {
        let (kelvin, _) = held_start(kelvin, self.limit_kelvin());
        let (ratio, slope) = with_kind!(&self.law, kind => kind.ratio(kelvin), ohms => return (held_ohms(*ohms), 0.0));
        let rated = self.rated_ohms();
        (ratio * rated, slope * rated)
    }

    fn scale(&self) -> Option<Scale> {
        match &self.law {
            ThermalLaw::Lamp(law) => Some(law.scale()),
            ThermalLaw::Heater(law) => Some(law.scale()),
            ThermalLaw::Thermistor(law) => Some(law.scale()),
            ThermalLaw::Fixed { .. } => None,
        }
    }

    /// Whether two bodies behave alike in shares of their ratings.
    fn alike(&self, other: &Self) -> bool {
        match (&self.law, &other.law) {
            (ThermalLaw::Lamp(one), ThermalLaw::Lamp(two)) => one.kind().alike(two.kind()),
            (ThermalLaw::Heater(one), ThermalLaw::Heater(two)) => one.kind() == two.kind(),
            (ThermalLaw::Thermistor(one), ThermalLaw::Thermistor(two)) => one.kind() == two.kind(),
            _ => false,
        }
    }

    fn settle(&self, drive: Drive) -> Run {
        with_kind!(&self.law, kind => self.tidy(integrate::settle(kind, drive)), ohms => fixed(*ohms))
    }

    fn advance(&self, from: &BodyState, drive: Drive, seconds: f64, with_slope: bool) -> Run {
        let limit = self.limit_kelvin();
        let (wire, held) = held_start(from.kelvin, limit);
        let (cathode, _) = held_start(from.cathode_kelvin, limit);
        let mut run = with_kind!(&self.law, kind => {
            integrate::advance(kind, [wire, cathode], drive, seconds, with_slope)
        }, ohms => return fixed(*ohms));
        run.beyond_range |= held;
        self.tidy(run)
    }

    /// Lets the cathode's place follow the wire where there is no cathode.
    fn tidy(&self, mut run: Run) -> Run {
        let single = with_kind!(&self.law, kind => kind.quickness()[1] == 0.0, _ohms => true);
        if single {
            run.kelvin[1] = run.kelvin[0];
        }
        run
    }
}

fn fixed(ohms: f64) -> Run {
    let beyond_range = held_ohms(ohms) != ohms;
    Run {
        kelvin: [AMBIENT_KELVIN; 2],
        kelvin_per_drive: 0.0,
        beyond_range,
    }
}

fn held_ohms(ohms: f64) -> f64 {
    if ohms.is_nan() {
        FIXED_OHMS.1
    } else {
        ohms.clamp(FIXED_OHMS.0, FIXED_OHMS.1)
    }
}

/// A start temperature held within bounds, and whether it had to be.
fn held_start(kelvin: f64, limit: f64) -> (f64, bool) {
    if kelvin.is_nan() {
        return (AMBIENT_KELVIN, true);
    }
    let held = kelvin.clamp(START_KELVIN.0, limit.max(START_KELVIN.0));
    (held, held != kelvin)
}
