//! What low heater volts add to the spread of healthy sets.
//!
//! Plain ratios. Below their rated volts heaters and cathodes leave the one point that is
//! published of them: how much a tube still emits, how a string shares its volts, what a
//! rectifier far below its published current does. Expected bands and stop limits take this
//! doubt from here. Sizes are judgement, held by the drawn sets of
//! docs/theory/truth_of_bands.md and truth_of_stops.md. Nothing here can fail.

use circuit::thermal::{USUAL_EMISSION_RESERVE, space_charge_share};

use crate::wiring::Figure;

use super::spread::{Cause, Spread};

/// How far the tubes of a solved set stand below their emission at rated heater volts.
///
/// ```
/// # use receiver::causes::Coolness;
/// // At rated heater volts nothing is in doubt; below, what tubes draw is, both ways.
/// assert_eq!(Coolness::of(&[Some(1.0)]), None);
/// let [least, most] = Coolness::of(&[Some(0.4)]).unwrap().farthest_draws().unwrap();
/// assert!(least < 0.5 && most > 1.5);
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Coolness {
    /// Natural logarithm of rated over present emission.
    below: f64,
}

/// Coolness is not counted further: with a ten thousandth of its emission a tube draws
/// nothing that a meter shows.
const COOLEST: f64 = 9.0;

/// How far the emission over need may be off downwards and upwards, in the logarithm: a few
/// kelvin of the cathode where the heat goes other ways tell soon, and less and less as it
/// cools. Heat that goes astray cools a cathode more often than it warms it.
const EMISSION: [f64; 2] = [0.096, 0.048];
/// The same in a string, over that of parallel heaters: each heater has its own share of the
/// volts, so the cathodes differ more.
const STRING_EMISSION: f64 = 1.25;
/// Emission of the farthest healthy set, as a power of the calculated one besides one
/// (judgement: the cathode is some ten kelvin off). Measured: without it a quarter of the
/// sets of the string example were stopped on a line of 70 V, and with 0.3 still some.
const FARTHEST_POWER: f64 = 0.5;
/// Most and least emission at rated volts over the usual one, in the farthest healthy set.
const FARTHEST_RESERVES: f64 = 1.6;
/// Added to the spread of one heater's share of its string.
const OWN_HEATER: f64 = 0.005;
/// Added to the spread of the heaters' current.
const HEATER_AMPERES: f64 = 0.0025;
/// Added to the doubt of a peak: the rectifier works far below its published current. A
/// lamp in series rules the peak instead.
const CURVE_SHAPE: f64 = 0.0063;

impl Coolness {
    /// From the share of its normal current that each heated tube could give; `None` where
    /// no tube is heated or all are at their rating.
    pub fn of(tube_shares: &[Option<f64>]) -> Option<Coolness> {
        let shares: Vec<f64> = tube_shares.iter().flatten().copied().collect();
        let mean = shares.iter().sum::<f64>() / shares.len().max(1) as f64;
        if shares.is_empty() || mean >= 1.0 {
            return None;
        }
        // The space-charge share solved for the emission behind it.
        let reserve = USUAL_EMISSION_RESERVE * USUAL_EMISSION_RESERVE;
        let square = mean * mean / (1.0 + (1.0 - mean * mean) * reserve);
        let below = -0.5 * square.max(f64::MIN_POSITIVE).ln();
        Some(Coolness {
            below: below.clamp(0.0, COOLEST),
        })
    }

    /// The least and the most that healthy tubes draw now, over the calculated current: the
    /// ends that a stop limit must not touch, where a band ends at nine of ten. At rated
    /// heater volts both are one. `None` where the tubes give next to nothing.
    pub fn farthest_draws(self) -> Option<[f64; 2]> {
        let emission = (-self.below).exp();
        let usual = USUAL_EMISSION_RESERVE;
        let share = space_charge_share(emission, usual);
        (share > 1e-3).then(|| {
            [
                space_charge_share(
                    emission.powf(1.0 + FARTHEST_POWER),
                    usual / FARTHEST_RESERVES,
                ) / share,
                space_charge_share(
                    emission.powf(1.0 - FARTHEST_POWER),
                    usual * FARTHEST_RESERVES,
                ) / share,
            ]
        })
    }

    /// Widens the causes that low heater volts touch.
    pub fn widen(self, causes: &mut [Cause]) {
        let below = self.below;
        let in_a_string = causes
            .iter()
            .any(|cause| matches!(cause.figure, Figure::OwnHeater(_)));
        let way = below.powf(0.65) * if in_a_string { STRING_EMISSION } else { 1.0 };
        let behind_a_lamp = causes.iter().any(|cause| cause.figure == Figure::LampOhms);
        for cause in causes {
            match (cause.figure, &mut cause.spread) {
                (Figure::LoadReserve, Spread::EvenLog { low, high }) => {
                    *low *= (-EMISSION[0] * way).exp();
                    *high *= (EMISSION[1] * way).exp();
                }
                (Figure::OwnHeater(_), Spread::Bell { sigma }) => *sigma += OWN_HEATER * below,
                (Figure::HeaterAmperes(_), Spread::Bell { sigma }) => {
                    *sigma += HEATER_AMPERES * below.min(1.0);
                }
                (Figure::CurveShape, Spread::Bell { sigma }) if !behind_a_lamp => {
                    *sigma += CURVE_SHAPE * below;
                }
                _ => {}
            }
        }
    }
}
