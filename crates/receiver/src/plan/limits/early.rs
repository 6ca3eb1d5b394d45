//! Limits of the first seconds: what gross faults push up fast.
//!
//! Units of the readings; seconds after switch-on. Faults that do not settle are passed over.

use rayon::prelude::*;

use crate::plan::PlanWork;
use crate::plan::course::Course;
use crate::plan::watch::{Seen, Watch};
use crate::reading::What;

use super::bounds::{Bound, NEAR_SETTLED, passes, rule};
use super::{StepLimits, Told, Wanted};

/// By how many seconds a moment read may differ from the one asked for.
const MOMENT: f64 = 0.05;

/// Limits of the first seconds: gross faults at a few early moments.
pub(super) fn early(
    watch: &Watch<'_>,
    wanted: &Wanted<'_>,
    course: &Course,
    settled: &[Bound],
    limits: &mut StepLimits,
    work: &mut PlanWork,
) {
    let moments = wanted.early_seconds;
    let working: Vec<usize> = (0..wanted.faults.all.len())
        .filter(|fault| !limits.idle.contains(fault))
        .collect();
    let gross: Vec<(usize, Vec<(f64, Seen)>)> = working
        .into_par_iter()
        .filter_map(|number| {
            let fault = &wanted.faults.all[number];
            let severity = fault.severities[fault.severities.len() - 1];
            let seen = watch
                .roughly_at_moments(&fault.variation(severity), moments)
                .ok()?;
            Some((number, seen))
        })
        .collect();
    work.warm_up_runs += gross.len();
    // Only what a gross fault pushes up fast is a limit of the first seconds.
    for own in settled
        .iter()
        .filter(|bound| bound.above && rises_early(watch.probes[bound.probe].what))
    {
        let mut last = f64::INFINITY;
        for &seconds in moments
            .iter()
            .filter(|seconds| **seconds < own.after_seconds)
        {
            let Some(value) = course.from(own.probe, seconds, true) else {
                continue;
            };
            // A limit that counts already from an earlier moment on is not told twice.
            if value > last / NEAR_SETTLED {
                continue;
            }
            let bound = Bound {
                value,
                after_seconds: seconds,
                ..*own
            };
            let telling: Vec<usize> = gross
                .iter()
                .filter(|(_, seen)| {
                    seen.iter().any(|(moment, seen)| {
                        *moment > seconds - MOMENT && passes(&bound, &seen.values)
                    })
                })
                .map(|(number, _)| *number)
                .collect();
            if telling.is_empty() {
                continue;
            }
            last = value;
            let mut rule = rule(watch, &bound);
            for &number in &telling {
                let fault = &wanted.faults.all[number];
                let severity = fault.severities[fault.severities.len() - 1];
                rule.tells.push(fault.in_words(severity));
                // Told by the first seconds alone: a thermistor that does not limit, say.
                if !limits.told.iter().any(|told| told.fault == number) {
                    limits.untold.retain(|(own, _)| *own != number);
                    limits.told.push(Told {
                        fault: number,
                        severity,
                        rule: limits.rules.len(),
                    });
                }
            }
            limits.rules.push(rule);
        }
    }
}

/// Readings that a gross fault pushes up within seconds.
fn rises_early(what: What) -> bool {
    matches!(
        what,
        What::LampVoltsRms
            | What::LineAmpsRms
            | What::LineWatts
            | What::DcVolts
            | What::HeaterVoltsRms
    )
}
