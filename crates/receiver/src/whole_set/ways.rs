//! The ways of rectifiers between the supply's cycle and the direct-current network.
//!
//! Volts, amperes, ohms. Each way is a source of the cycle's mean volts behind a resistance that two cycles of different
//! load tell; how far the currents of both solutions lie apart is a share of the largest. Nothing here fails.

use circuit::operating::{Figure, Point};

use crate::wiring::{Rectifying, SetModel};

use super::cycle::Way;
use super::direct::{Direct, WaySource};

/// Volts behind a way at most: a current source in all but name, and within what a network
/// takes.
const MOST_SOURCE_VOLTS: f64 = 2e4;
/// Bounds of what is learned, ohms.
const OHMS: (f64, f64) = (0.5, 1e8);

/// The ways as sources behind these resistances.
pub(super) fn sources(ways: &[Option<Way>], ohms: &[f64]) -> Vec<Option<WaySource>> {
    ways.iter()
        .zip(ohms)
        .map(|(way, ohms)| {
            let way = (*way)?;
            // A way that does not conduct holds nothing.
            if way.amperes.abs() < 1e-9 {
                return Some(WaySource {
                    volts: way.volts,
                    siemens: 0.0,
                });
            }
            let ohms = ohms.min(MOST_SOURCE_VOLTS / way.amperes.abs());
            Some(WaySource {
                volts: way.volts + way.amperes * ohms,
                siemens: 1.0 / ohms,
            })
        })
        .collect()
}

/// Learns the resistance behind each way from two cycles of different load.
pub(super) fn learn_ohms(earlier: &[Option<Way>], now: &[Option<Way>], ohms: &mut [f64]) {
    for ((earlier, now), ohms) in earlier.iter().zip(now).zip(ohms) {
        let (Some(earlier), Some(now)) = (earlier, now) else {
            continue;
        };
        let more = now.amperes - earlier.amperes;
        let fall = earlier.volts - now.volts;
        let moved = more.abs() > 3e-3 * now.amperes.abs().max(1e-6);
        // A cathode that is too cold for its load gives the same current at any volts.
        let saturated = fall.abs() > 1e-3 * now.volts.abs().max(0.1);
        if moved || saturated {
            let learned = match fall / more {
                learned if learned.is_finite() => learned,
                _ => OHMS.1,
            };
            if learned > 0.0 {
                *ohms = learned.clamp(OHMS.0, OHMS.1);
            } else if !moved {
                *ohms = OHMS.1;
            }
        }
    }
}

/// Amperes below which a way's current counts for nothing.
pub(super) const LEAST_AMPERES: f64 = 1e-4;

/// The largest current of all ways, amperes.
pub(super) fn largest(ways: &[Option<Way>]) -> f64 {
    let ways = ways.iter().flatten();
    ways.map(|way| way.amperes.abs()).fold(0.0, f64::max)
}

/// How far the currents of network and cycle differ, as a share of the largest, and at which
/// rectifier.
pub(super) fn disagreement_of(
    direct: &Direct,
    figures: &[Figure],
    point: &Point,
    ways: &[Option<Way>],
    least: f64,
) -> (f64, Option<usize>) {
    let largest = largest(ways).max(least);
    ways.iter()
        .enumerate()
        .filter_map(|(number, way)| {
            let found = direct.way_amperes(figures, point, number)?;
            Some((number, (found - (*way)?.amperes).abs() / largest))
        })
        .fold((0.0, None), |(most, at), (number, share)| {
            if share > most {
                (share, Some(number))
            } else {
                (most, at)
            }
        })
}

/// What a way of a rectifier is called.
pub(super) fn name_of_way(model: &SetModel<'_>, way: usize) -> String {
    match model.rectifying().get(way) {
        Some(Rectifying::Tube { plate, .. }) => plate.to_string(),
        Some(Rectifying::Metal { part }) => model.sheet.parts[*part].reference.clone(),
        None => "a rectifier".to_string(),
    }
}
