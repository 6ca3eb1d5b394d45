//! When the level headed for will be known to within 5 percent.
//!
//! Minutes. The record is continued as the fit expects, at its own pace, each second reading a
//! needle's error high and the others as much low, with the heater at rated volts where it was noted, and
//! fitted anew for a few horizons. The first whose band is narrow enough is told, rounded up.
//! What really comes may differ: it is an expectation, not a promise.

use super::fit::{Fit, Point, Problem, fit};
use super::mixture::Mixture;
use super::outlook::{Heading, KnownWhen};

/// Half the width of a band over its value that counts as known.
const KNOWN: f64 = 0.05;
/// Horizons over what the record has lasted so far.
const HORIZONS: [f64; 6] = [0.25, 0.5, 1.0, 2.0, 4.0, 8.0];
/// Longest wait that is looked at, minutes.
const LONGEST_WAIT: f64 = 600.0;
/// Further readings that are supposed, at most.
const FURTHER: usize = 60;
/// Readings of the record that are used, at most: more slow the answer and change it little.
const USED: usize = 60;

pub(super) fn known_when(problem: &Problem, found: &Fit, heading: &Heading) -> KnownWhen {
    let band = heading.band();
    if matches!(heading, Heading::Told(_)) && band.width() <= 2.0 * KNOWN * band.expected {
        return KnownWhen::Now;
    }
    let (Some(first), Some(last)) = (problem.points.first(), problem.points.last()) else {
        return KnownWhen::CannotTell("there are no readings".to_owned());
    };
    let lasted = (last.minutes - first.minutes).max(1.0);
    let pace = lasted / (problem.points.len().max(2) - 1) as f64;
    let noted = last.log_emission.is_some();
    let mut looked_at = 0.0;
    for horizon in HORIZONS {
        let wait = (horizon * lasted).min(LONGEST_WAIT);
        if wait <= looked_at {
            break;
        }
        looked_at = wait;
        let count = ((wait / pace).ceil() as usize).clamp(2, FURTHER);
        let mut longer = thinned(problem);
        for index in 1..=count {
            let minutes = last.minutes + wait * index as f64 / count as f64;
            let error = problem.needle.unwrap_or(0.02) * problem.scale_end;
            let sign = if index % 2 == 0 { 1.0 } else { -1.0 };
            let Some(level) = middle_at(found, minutes) else {
                return KnownWhen::CannotTell("the readings leave no level".to_owned());
            };
            longer.points.push(Point {
                minutes,
                reading: (level + sign * error).clamp(0.0, problem.scale_end),
                log_emission: noted.then_some(0.0),
            });
        }
        let Some(again) = fit(&longer) else { continue };
        let pieces = again.final_level();
        let Some(mixture) = Mixture::new(&pieces, 0.0) else {
            continue;
        };
        let half = 0.5 * (mixture.quantile(0.95) - mixture.quantile(0.05));
        if half <= KNOWN * mixture.quantile(0.5) {
            return KnownWhen::AfterMinutes(wait.ceil());
        }
    }
    KnownWhen::NotWithin(looked_at.ceil())
}

fn middle_at(found: &Fit, minutes: f64) -> Option<f64> {
    let pieces = found.level_at(minutes);
    Some(Mixture::new(&pieces, 0.0)?.quantile(0.5))
}

/// Evenly chosen readings of a long record, the last one always among them.
fn thinned(problem: &Problem) -> Problem {
    let count = problem.points.len();
    let keep = count.min(USED);
    let points = (0..keep)
        .map(|index| problem.points[(index * (count - 1)).div_ceil((keep - 1).max(1))])
        .collect();
    Problem {
        scale_end: problem.scale_end,
        needle: problem.needle,
        points,
    }
}
