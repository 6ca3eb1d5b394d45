//! Emission at other than rated heater volts.
//!
//! Shares: 1 is rated volts, 1 is rated emission. The heater is that of `circuit::thermal`,
//! so that the d.c. volts of a set follow the same cathode as its warm-up. A figure that is
//! not a number, or below zero, counts as zero.

use circuit::thermal::{
    Arrangement, BodyState, HeaterLaw, HeaterSpec, Heating, ThermalBody, ThermalGroup, ThermalLaw,
};

/// Emission of an indirectly heated tube whose heater has settled at this share of its rated
/// volts, over its emission at rated volts. About 0.55 at 0.9, a fifth at three quarters.
pub fn emission_at_heater_share(share_of_volts: f64) -> f64 {
    settled_emission(share_of_volts, Heating::Indirect)
}

/// The same for a heater while it warms: what its state in a
/// [`circuit::thermal::ThermalGroup`] says, for use as [`circuit::tube::TubeState::emission`].
/// `None` for a body that is no heater.
pub fn emission_while_warming(heater: &ThermalBody, state: &BodyState) -> Option<f64> {
    heater.emission_ratio(state)
}

/// Emission so many seconds after a heater that had settled at rated volts was reduced to this
/// share of them (0: cut off), over its emission at rated volts. `slower` multiplies all times of
/// the usual heater, which warms in 20 s. Seconds or a slowness that are not above zero count as
/// no time and as usual.
pub fn emission_after_reduction(share_of_volts: f64, seconds: f64, slower: f64) -> f64 {
    let Some(group) = one_heater(Heating::Indirect, slower) else {
        return 0.0;
    };
    let share = if share_of_volts > 0.0 {
        share_of_volts.min(3.0)
    } else {
        0.0
    };
    let mut state = group.settled(1.0).state;
    if seconds > 0.0 {
        group.advance_in_place(&mut state, share.powi(2), seconds);
    }
    match (group.bodies.first(), state.bodies.first()) {
        (Some(body), Some(state)) => body.emission_ratio(state).unwrap_or(0.0),
        _ => 0.0,
    }
}

fn settled_emission(share: f64, heating: Heating) -> f64 {
    if share.is_nan() || share <= 0.0 {
        return 0.0;
    }
    let Some(group) = one_heater(heating, 1.0) else {
        return 0.0;
    };
    // The drive is the mean square of the volts.
    let settled = group.settled(share.min(3.0).powi(2));
    match (group.bodies.first(), settled.state.bodies.first()) {
        (Some(body), Some(state)) => body.emission_ratio(state).unwrap_or(0.0),
        _ => 0.0,
    }
}

/// One heater alone, in shares of the ratings: one volt, one ampere.
fn one_heater(heating: Heating, slower: f64) -> Option<ThermalGroup> {
    let spec = HeaterSpec {
        volts: 1.0,
        amperes: 1.0,
        heating,
        warm_up_seconds: None,
        controlled: false,
        hot_to_cold: 7.0,
    };
    let law = HeaterLaw::new(spec).ok()?.slower(slower);
    Some(ThermalGroup {
        arrangement: Arrangement::Parallel,
        bodies: vec![ThermalBody {
            law: ThermalLaw::Heater(law),
        }],
    })
}
