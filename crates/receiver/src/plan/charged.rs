//! What stays charged after the plug is out, and for how long.
//!
//! Units: volts, seconds, ohms, farads. The set without its line is a network of
//! resistors and capacitors; it is brought down to the capacitors' volts and solved
//! in closed form (matrix exponential by repeated squaring), piece by piece between
//! the moments at which a metal rectifier begins or ends to conduct. Worst case
//! throughout: all tubes cold, loads draw nothing, and no capacitor leaks, because
//! nobody knows how well it insulates. A place that then has no way to discharge, or
//! needs longer than [`LONGEST_SECONDS`], gets no time at all; so does the picture
//! tube's anode. Fails when the conditions name what the sheet has not.

mod network;

use crate::conditions::BenchConditions;
use crate::plan::Charged;
use crate::sheet::PartValue;
use crate::wiring::{SetModel, Variation, WiringError};

use super::situation::{HURTFUL_DIRECT_VOLTS, capacitors, ends, lifted, picture_tube};

use network::Network;

/// Volts at which a place counts as discharged in the plan's times.
pub const DISCHARGED_VOLTS: f64 = 10.0;

/// Seconds after which nobody waits: a day.
pub const LONGEST_SECONDS: f64 = 86_400.0;

/// Least energy that is listed, joules: below half a millijoule a discharge is hardly
/// felt (from memory; standards put the threshold of feeling near it).
const LEAST_JOULES: f64 = 5e-4;

/// Mean volts across each capacitor part, + from its first end, from the volts of the
/// junctions against the chassis. Zero for other parts.
pub fn volts_across(model: &SetModel<'_>, junction_volts: &[f64]) -> Vec<f64> {
    across(model, |junction| {
        junction_volts.get(junction).copied().unwrap_or(0.0)
    })
}

fn across(model: &SetModel<'_>, volts: impl Fn(usize) -> f64) -> Vec<f64> {
    (0..model.sheet.parts.len())
        .map(
            |part| match (&model.sheet.parts[part].value, ends(model, part)) {
                (PartValue::Capacitor { .. }, Some((from, to))) => volts(from) - volts(to),
                _ => 0.0,
            },
        )
        .collect()
}

/// What stays charged when the plug is pulled with these volts across the capacitors.
///
/// Of several capacitors between the same places the first is named. The picture tube's
/// anode comes last, with the most that it can have held.
pub fn charged(
    model: &SetModel<'_>,
    conditions: &BenchConditions,
    capacitor_volts: &[f64],
) -> Result<Vec<Charged>, WiringError> {
    let mut listed: Vec<Charged> = Vec::new();
    let volts_of = |part: usize| capacitor_volts.get(part).copied().unwrap_or(0.0);
    let is_listed = |part: usize| {
        let volts = volts_of(part);
        let joules = 0.5 * model.farads(part).unwrap_or(0.0) * volts * volts;
        volts.abs() > HURTFUL_DIRECT_VOLTS && joules >= LEAST_JOULES
    };
    if capacitors(model).any(is_listed) {
        let network = Network::new(model, conditions, &Variation::none())?;
        let whole = network.seconds_to(DISCHARGED_VOLTS, capacitor_volts);
        let mut open = whole.clone();
        for bleeder in network.bleeders(model, capacitor_volts) {
            let without = Network::new(model, conditions, &lifted(bleeder))?;
            let seconds = without.seconds_to(DISCHARGED_VOLTS, capacitor_volts);
            for ((_, longest), (_, seconds)) in open.iter_mut().zip(seconds) {
                *longest = match (*longest, seconds) {
                    (Some(longest), Some(seconds)) => Some(longest.max(seconds)),
                    _ => None,
                };
            }
        }
        let mut seen: Vec<(usize, usize)> = Vec::new();
        for ((part, seconds), (_, if_open)) in whole.into_iter().zip(open) {
            let Some((from, to)) = ends(model, part).filter(|_| is_listed(part)) else {
                continue;
            };
            if seen.contains(&(from, to)) || seen.contains(&(to, from)) {
                continue;
            }
            seen.push((from, to));
            listed.push(Charged {
                at: charged_place(model, from, to),
                volts: volts_of(part),
                seconds_to_ten_volts: seconds,
                if_bleeder_open_seconds: if_open,
            });
        }
    }
    listed.extend(picture_tube_anode(model));
    Ok(listed)
}

fn charged_place(model: &SetModel<'_>, from: usize, to: usize) -> String {
    let name = |junction| model.junction_name(junction);
    if Some(to) == model.chassis {
        name(from)
    } else if Some(from) == model.chassis {
        name(to)
    } else {
        format!("{} to {}", name(from), name(to))
    }
}

/// The picture tube's anode with the highest volts that its type allows: it never counts
/// as discharged by time. `None` where the sheet has no picture tube, or its limit is not known.
pub fn picture_tube_anode(model: &SetModel<'_>) -> Option<Charged> {
    let tube = picture_tube(model)?;
    let volts = tube.kind.picture.as_ref()?.anode_max_volts?;
    Some(Charged {
        at: format!("{}.anode", tube.reference),
        volts,
        seconds_to_ten_volts: None,
        if_bleeder_open_seconds: None,
    })
}
