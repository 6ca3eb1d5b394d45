//! Whether a fault of some severity can disturb what a stage does: picture, sound, sweep.
//!
//! Plain chances; severity in the unit of the fault table's row, reach in standard deviations of healthy
//! sets. What moves direct volts far out disturbs, the farther the likelier; some faults disturb
//! without moving any, as an open coupling capacitor does. A sheet that is wrong disturbs nothing.
//! All chances are judgement; no counted survey is known. Nothing here fails.

use crate::suspects::hypotheses::Hypothesis;
use crate::wiring::FaultKind;

/// Standard deviations beyond which direct volts count as moved, and by how many more the chance that it
/// shows comes to two of three.
const MOVED: (f64, f64) = (1.645, 6.0);
/// Ohms below which a leak shorts a signal to the chassis, and their ratio to where it hardly does.
const SHORTS: (f64, f64) = (1e4, 30.0);

/// Ohms below which a leak is a dead short.
const DEAD: f64 = 100.0;

/// Chance that a fault of this severity disturbs what its stage does.
pub fn able(hypothesis: &Hypothesis, severity: f64, reach: f64) -> f64 {
    if hypothesis.is_of_sheet() {
        return 0.0;
    }
    let by_volts = if reach > MOVED.0 {
        1.0 - (-(reach - MOVED.0) / MOVED.1).exp()
    } else {
        0.0
    };
    by_volts
        .max(by_signal(&hypothesis.kind, severity))
        .min(0.97)
}

/// The same of what no direct volts tell.
fn by_signal(kind: &FaultKind, severity: f64) -> f64 {
    match kind {
        // A capacitor or coil in a signal's way, a jumper, a track.
        FaultKind::Open(_) => 0.8,
        FaultKind::HeaterOpen(_) => 0.97,
        // One that scratches is noticed when it is turned; that is no complaint of what stays.
        FaultKind::AtWiper(_) if severity > 1e9 => 0.8,
        // A third off is heard or seen in half of the places.
        FaultKind::FaradsTimes(_) => (severity.ln().abs() / 3f64.ln()).min(1.0) * 0.8,
        FaultKind::SeriesOhms { usual, .. } => {
            let times = (severity / usual.max(0.1)).max(1.0);
            (times.ln() / 100f64.ln()).min(1.0) * 0.7
        }
        FaultKind::CapacitorLeak(_) | FaultKind::Across(_) => {
            let over = (severity / SHORTS.0).max(1.0).ln() / SHORTS.1.ln();
            // Next to nothing passes a dead short.
            if severity < DEAD {
                0.95
            } else {
                0.8 * (1.0 - over).max(0.0)
            }
        }
        FaultKind::Emission { .. } => ((1.0 - severity) * 0.9).clamp(0.0, 0.9),
        // It hums where the heater runs on alternating current.
        FaultKind::HeaterToCathode { .. } => {
            let over = (severity / 1e4).max(1.0).ln() / 1e3f64.ln();
            0.8 * (1.0 - over).max(0.0)
        }
        FaultKind::ShortedTurns(_) => 0.5,
        _ => 0.0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::suspects::hypotheses::{Spread, Suspect};

    fn of(kind: FaultKind, severity: f64, reach: f64) -> f64 {
        let own = Hypothesis::judged(
            Suspect::Part(0),
            "a fault",
            kind,
            Spread::Once(severity),
            0.1,
            "judgement",
        );
        able(&own, severity, reach)
    }

    /// Common practice: an open coupling capacitor silences a stage whose volts are all right; a leak of
    /// hundreds of megohms does nothing where it moves no volts.
    #[test]
    fn what_disturbs_and_what_does_not() {
        assert!(of(FaultKind::Open(0), 1.0, 0.0) > 0.7);
        assert_eq!(of(FaultKind::CapacitorLeak(0), 5e8, 0.5), 0.0);
        assert!(of(FaultKind::CapacitorLeak(0), 5e6, 12.0) > 0.8);
        assert!(of(FaultKind::FaradsTimes(0), 0.95, 0.0) < 0.1);
        assert!(of(FaultKind::FaradsTimes(0), 0.05, 0.0) > 0.7);
        for reach in [0.0, 2.0, 1e6, f64::INFINITY] {
            for severity in [1e-6, 1.0, 1e9] {
                let own = of(FaultKind::CapacitorLeak(0), severity, reach);
                assert!((0.0..=1.0).contains(&own));
            }
        }
    }
}
