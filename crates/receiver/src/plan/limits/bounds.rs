//! Bounds on both sides of what healthy sets show, and the rules made of them.
//!
//! Units of the readings; seconds. A bound holds from the first moment at which it is near
//! its settled place. Nothing here fails.

use crate::plan::course::{Course, HALF_WIDTHS};
use crate::plan::watch::Watch;
use crate::plan::{Limit, StopRule};
use crate::reading::What;

/// A limit counts from the first moment at which it is this near to the settled one.
pub(super) const NEAR_SETTLED: f64 = 1.05;

/// A limit on one probe.
#[derive(Debug, Clone, Copy)]
pub(super) struct Bound {
    pub probe: usize,
    pub above: bool,
    pub value: f64,
    /// The limit holds from then on.
    pub after_seconds: f64,
    /// Relative half width of healthy sets on the side that faces the limit.
    pub doubt: f64,
}

/// Limits on both sides of what each probe shows once settled, each from the first
/// moment on at which it is near its settled place.
pub(super) fn settled_bounds(watch: &Watch<'_>, course: &Course, early: &[f64]) -> Vec<Bound> {
    let late = course.late_moments();
    let latest = late.iter().copied().fold(0.0, f64::max);
    let mut found = Vec::new();
    for (probe, own) in watch.probes.iter().enumerate() {
        let Some((low, expected, high)) = course.settled(probe) else {
            continue;
        };
        let what = own.what;
        let (size, least) = (expected.abs(), least_size(what));
        for above in [true, false] {
            let (own, distance) = if above {
                (high, high - expected)
            } else {
                (low, expected - low)
            };
            let useful = above || low > 0.02 * size && size > 3.0 * least || expected < 0.0;
            if !useful {
                continue;
            }
            // An upper limit may count already from the first seconds on.
            let first: &[f64] = if above { early } else { &[] };
            let near = first
                .iter()
                .chain(&late)
                .copied()
                .filter_map(|seconds| Some((seconds, course.from(probe, seconds, above)?)))
                .find(|(_, limit)| (limit - own).abs() <= (NEAR_SETTLED - 1.0) * own.abs());
            let (after_seconds, value) = match near {
                Some(near) => near,
                None => (latest, course.from(probe, latest, above).unwrap_or(own)),
            };
            found.push(Bound {
                probe,
                above,
                value,
                after_seconds,
                doubt: distance / HALF_WIDTHS / size.max(least),
            });
        }
    }
    found
}

/// What a bench meter can tell apart at all, in the unit of the reading.
pub(in crate::plan) fn least_size(what: What) -> f64 {
    match what {
        What::DcVolts => 3.0,
        What::AcVoltsRms => 1.0,
        What::HeaterVoltsRms => 0.15,
        What::RippleVoltsPeakToPeak => 1.0,
        What::LineAmpsRms => 0.03,
        What::LineWatts => 2.0,
        What::LampVoltsRms => 1.5,
        _ => 1e-3,
    }
}

/// Whether a faulty set passes a bound in nineteen of twenty cases.
pub(super) fn passes(bound: &Bound, values: &[Option<f64>]) -> bool {
    let Some(value) = values[bound.probe] else {
        return false;
    };
    let doubt = bound.doubt * value.abs();
    if bound.above {
        value - doubt > bound.value
    } else {
        value + doubt < bound.value
    }
}

pub(super) fn rule(watch: &Watch<'_>, bound: &Bound) -> StopRule {
    let probe = &watch.probes[bound.probe];
    StopRule {
        at: probe.at.clone(),
        to: probe.to.clone(),
        what: probe.what,
        limit: if bound.above {
            Limit::Above(rounded(bound.value))
        } else {
            Limit::Below(rounded(bound.value))
        },
        after_seconds: bound.after_seconds,
        tells: Vec::new(),
        cannot_tell: Vec::new(),
    }
}

/// Three significant figures: what a needle shows.
fn rounded(value: f64) -> f64 {
    if value == 0.0 || !value.is_finite() {
        return value;
    }
    let scale = 10f64.powf(2.0 - value.abs().log10().floor());
    (value * scale).round() / scale
}
