//! How far a reading may be off: needle, misread needle, wandering heater.
//!
//! Shares of the whole scale for the needle, of the level for the heater. One reading in fifteen
//! is taken as possibly misread by something like an eighth of the scale (judgement; tests draw
//! misread needles of up to a fifth). Where heater volts were not noted, a line that
//! wanders within 3 percent comes back as some 5 percent of emission (Richardson's law, see
//! [`circuit::thermal`]), with a memory of minutes (judgement). Nothing here fails.

use super::wander::Wander;

/// Share of readings that may be misread.
pub(super) const MISREAD_SHARE: f64 = 0.07;
/// How far a misread needle is off, share of the scale, one standard deviation.
pub(super) const MISREAD_BY: f64 = 0.12;
/// Doubt in the law of recovery itself, share of the level it heads for.
pub(super) const LAW_DOUBT: f64 = 0.013;
/// Doubt about one reading whose heater volts were not noted while others were, share of level.
pub(super) const NOT_NOTED: f64 = 0.05;

/// One way in which readings may be off, with its weight before any reading.
#[derive(Clone, Copy, Debug)]
pub(super) struct Noise {
    /// Error of the needle, share of the scale.
    pub needle: f64,
    /// How the heater wanders.
    pub wander: Wander,
    /// Weight.
    pub weight: f64,
}

/// Every way that is tried.
pub(super) fn noises(needle: Option<f64>, noted: bool) -> Vec<Noise> {
    let wanders: &[(f64, f64, f64)] = if noted {
        &[(0.0, 5.0, 0.6), (0.02, 5.0, 0.4)]
    } else {
        &[(0.015, 4.0, 0.25), (0.05, 1.5, 0.3), (0.055, 5.0, 0.45)]
    };
    let needles = match needle {
        Some(share) => vec![(share, 1.0)],
        None => vec![(0.01, 0.3), (0.02, 0.4), (0.04, 0.3)],
    };
    needles
        .into_iter()
        .flat_map(|(needle, own)| {
            wanders.iter().map(move |(share, minutes, weight)| Noise {
                needle,
                wander: Wander {
                    share: *share,
                    minutes: *minutes,
                },
                weight: own * weight,
            })
        })
        .collect()
}
