//! Bands by slopes alone.
//!
//! Units of the readings. One set of slopes in place of drawn sets: right where causes are
//! small beside the bends of the laws; a test holds it against the draws. Fails with `None`
//! where the slopes are lost.

use crate::bands::{HIGH, LOW};
use crate::causes::Cause;
use crate::conditions::BenchConditions;
use crate::probes::{Probe, Spot};
use crate::reading::What;
use crate::wiring::{Figure as SetFigure, SetModel};

use super::super::couple::WholeSet;
use super::follow::Followed;
use super::shares::Shares;

/// Half width of each d.c. band by slopes alone: 1.645 standard deviations of all causes
/// together, by probe; `None` where the probe is no d.c. volts or the slopes are lost.
pub fn linear_bands(
    model: &SetModel<'_>,
    conditions: &BenchConditions,
    set: &WholeSet,
    probes: &[Probe],
    causes: &[Cause],
) -> Vec<Option<f64>> {
    let followed = Followed::of(model, conditions, set, probes, causes);
    let Some(shares) = Shares::of(model, conditions, set, causes, &followed) else {
        return vec![None; probes.len()];
    };
    // From half the way between tenths to a standard deviation, cause by cause.
    let sigma_of = |cause: &Cause| {
        let half = 0.5 * (cause.spread.ratio(HIGH) - cause.spread.ratio(LOW));
        let steps = 64;
        let drawn: Vec<f64> = (0..steps)
            .map(|step| {
                cause
                    .spread
                    .ratio((f64::from(step) + 0.5) / f64::from(steps))
            })
            .collect();
        let mean = drawn.iter().sum::<f64>() / f64::from(steps);
        let variance = drawn.iter().map(|own| (own - mean).powi(2)).sum::<f64>() / f64::from(steps);
        if half > 0.0 {
            variance.sqrt() / half
        } else {
            0.0
        }
    };
    let sigmas: Vec<f64> = causes.iter().map(sigma_of).collect();
    probes
        .iter()
        .map(|probe| {
            let Spot::ToChassis(junction) = probe.spot else {
                return None;
            };
            if probe.what != What::DcVolts {
                return None;
            }
            let node = set.direct.nodes.get(junction).copied()?;
            let expected = set.volts.get(junction).copied()?;
            let variance: f64 = shares
                .of_node(node)
                .into_iter()
                .zip(causes)
                .zip(&sigmas)
                .map(|((own, cause), sigma)| {
                    let own = match cause.figure {
                        SetFigure::Meter | SetFigure::Model => {
                            0.5 * expected * (cause.spread.ratio(HIGH) - cause.spread.ratio(LOW))
                        }
                        _ => own,
                    };
                    (own * sigma).powi(2)
                })
                .sum();
            Some(1.645 * variance.sqrt())
        })
        .collect()
}
