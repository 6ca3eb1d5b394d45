//! One energised step: what a healthy set shows, when to read, the limits.
//!
//! Volts, seconds. Source: the settled state and the warm-up of the set in the step's
//! conditions. Fails when that state cannot be solved.

use quantity::Band;

use crate::bands::as_read;
use crate::causes::{Coolness, supply_causes};
use crate::conditions::BenchConditions;
use crate::expect::Predictor;
use crate::plan::lamp::heater_share;
use crate::plan::limits::{Faults, Wanted, find_limits};
use crate::plan::watch::{NotSeen, Watch};
use crate::plan::{LampChoice, PlanWork};
use crate::probes::{Probe, all_probes};
use crate::reading::{Reading, Unknown, What};
use crate::wiring::Variation;

use super::reasons::{because, first_rise};
use super::{PoweredStep, Stage};

/// Moments at which the warm-up is compared with the settled state, seconds.
const WAITS: [f64; 13] = [
    2.0, 5.0, 10.0, 15.0, 20.0, 30.0, 45.0, 60.0, 90.0, 120.0, 180.0, 240.0, 300.0,
];

/// Solves one step and finds its limits.
pub(super) fn one_step(
    predictor: &Predictor<'_, '_>,
    stage: Stage,
    conditions: BenchConditions,
    lamp: Option<LampChoice>,
    faults: &Faults<'_>,
    work: &mut PlanWork,
) -> Result<PoweredStep, NotSeen> {
    let model = predictor.model;
    let mut watch = Watch::new(predictor, conditions.clone());
    let solved = predictor
        .solve(
            &conditions,
            &Variation::none(),
            &all_probes(model, None),
            None,
        )
        .map_err(|error| match error {
            crate::expect::ExpectError::NotSettled(error) => NotSeen::Circuit(error),
            crate::expect::ExpectError::Wiring(error) => NotSeen::Wiring(error),
            other => NotSeen::Apart(other),
        })?;
    work.solved_states += 1;
    let mut unknown = Vec::new();
    watch.probes.retain(|probe: &Probe| {
        if !crate::plan::powered_words::is_safe_to_read(model, probe, &solved.junction_peaks) {
            return false;
        }
        // What hangs on a tube stage is read once the set runs; it guards no step.
        if predictor.why_beyond_supply(probe).is_some() {
            return false;
        }
        match predictor.why_unknown(probe, &conditions, &solved) {
            Some(because) => {
                unknown.push(Unknown {
                    at: probe.at.clone(),
                    what: probe.what,
                    because,
                });
                false
            }
            None => true,
        }
    });
    leave_out_what_says_nothing(&mut watch, work)?;
    let wait_seconds = waiting(&watch, work)?;
    let early: &[f64] = match stage {
        Stage::Supply => &[2.0, 10.0],
        _ => &[2.0],
    };
    let early: Vec<f64> = early
        .iter()
        .copied()
        .filter(|seconds| *seconds < wait_seconds)
        .collect();
    let coolness = Coolness::of(&solved.tube_shares);
    let mut found_causes = supply_causes(model, &conditions);
    if let Some(coolness) = coolness {
        coolness.widen(&mut found_causes);
    }
    let limits = find_limits(
        &watch,
        &Wanted {
            faults,
            causes: &found_causes,
            coolness,
            early_seconds: &early,
            settled_seconds: wait_seconds,
        },
        work,
    )?;
    let expect = watch
        .probes
        .iter()
        .zip(&limits.bands)
        .filter_map(|(probe, band)| {
            Some(Reading {
                at: probe.at.clone(),
                to: probe.to.clone(),
                what: probe.what,
                lead: None,
                band: as_read(main_causes(band.clone()?), probe.what),
            })
        })
        .collect();
    let strains = crate::plan::ratings::strains(predictor, &conditions)?;
    work.warm_up_runs += 1;
    let share = heater_share(model, &limits.healthy);
    Ok(PoweredStep {
        stage,
        because: because(stage, &conditions, lamp.as_ref(), share)
            + &first_rise(model, stage, &strains, &watch, &limits),
        conditions,
        lamp,
        expect,
        unknown,
        wait_seconds,
        peaks_signed: solved
            .junction_volts
            .iter()
            .zip(&solved.junction_peaks)
            .map(|(mean, peak)| {
                // Where direct volts rule, the crest of the ripple is what the capacitor keeps.
                if peak - mean.abs() < 0.5 * mean.abs() {
                    mean.signum() * peak
                } else {
                    *mean
                }
            })
            .collect(),
        peaks: solved.junction_peaks,
        strains,
        heater_share: share,
        limits,
    })
}

/// Share of a band's width below which a cause is not named.
const LEAST_SHARE: f64 = 0.005;

/// The band with the causes that matter; none where the reading is nothing.
fn main_causes(mut band: Band) -> Band {
    if band.expected.abs() < 1e-3 {
        band.made_of.clear();
    }
    band.made_of.retain(|share| share.share >= LEAST_SHARE);
    let whole: f64 = band.made_of.iter().map(|share| share.share).sum();
    for share in &mut band.made_of {
        share.share /= whole;
    }
    band
}

/// Of the readings that a healthy set leaves at nothing, the first B+ line alone is
/// kept: it must show nothing, and that is worth one look.
fn leave_out_what_says_nothing(watch: &mut Watch<'_>, work: &mut PlanWork) -> Result<(), NotSeen> {
    let settled = watch.settled(&Variation::none(), None)?;
    work.solved_states += 1;
    let mut first = true;
    let mut number = 0;
    watch.probes.retain(|probe| {
        let value = settled.values.get(number).copied().flatten();
        number += 1;
        let nothing = value.is_none_or(|value| value.abs() < 0.5);
        match probe.what {
            What::DcVolts if nothing => std::mem::take(&mut first),
            What::RippleVoltsPeakToPeak | What::AcVoltsRms => !nothing,
            _ => value.is_some(),
        }
    });
    Ok(())
}

/// Seconds until every reading is within 3 percent of where it settles.
fn waiting(watch: &Watch<'_>, work: &mut PlanWork) -> Result<f64, NotSeen> {
    let settled = watch.settled(&Variation::none(), None)?;
    let moments = watch.at_moments(&Variation::none(), &WAITS)?;
    work.solved_states += 1;
    work.warm_up_runs += 1;
    let near = |values: &[Option<f64>]| {
        values
            .iter()
            .zip(&settled.values)
            .all(|(now, end)| match (now, end) {
                (Some(now), Some(end)) => (now - end).abs() <= 0.03 * end.abs() + 0.5,
                _ => true,
            })
    };
    let mut wait = WAITS[WAITS.len() - 1];
    for (seconds, seen) in moments.iter().rev() {
        if !near(&seen.values) {
            break;
        }
        wait = *seconds;
    }
    Ok(wait.round())
}
