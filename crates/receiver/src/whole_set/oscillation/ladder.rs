//! How stages that drive themselves run on a fallen supply, learned once for a set of conditions.
//!
//! Volts, amperes, siemens; shares are those of the healthy supply. A fault that pulls the supply far
//! down leaves a stage another drive than that of the healthy set, or none. Running every such stage
//! anew for every fault would take longer than all else, so they are run at a few rungs ([`SHARES`])
//! of the whole supply, each asked for once, and told in between: what holds an electrode goes straight
//! from rung to rung over the supply; where a stage stands still on one of both, the nearer rung says.
//! A rung that cannot be solved is that of the healthy set. Nothing here fails.

use std::sync::OnceLock;

use circuit::tube::ELECTRODES;

use crate::wiring::{SetModel, Variation};

use super::super::couple::WholeSet;
use super::super::direct::{Supply, WaySource, as_built};
use super::super::running::Hold;
use super::{Around, Refreshed, refresh};

/// Shares of the healthy supply at which running stages are run, falling.
const SHARES: [f64; 5] = [0.75, 0.55, 0.4, 0.25, 0.12];
/// Share from which on the healthy set's drive goes with the supply.
const AS_HEALTHY: f64 = 0.9;

/// The rungs that were asked for so far.
#[derive(Debug, Default)]
pub(in crate::whole_set) struct Ladder([OnceLock<Refreshed>; SHARES.len()]);

impl Ladder {
    /// How the stages of a healthy set run where its supply stands at this share.
    pub(in crate::whole_set) fn at(
        &self,
        model: &SetModel<'_>,
        healthy: &WholeSet,
        share: f64,
    ) -> Refreshed {
        let Some(top) = &healthy.own_signals else {
            return Refreshed::default();
        };
        if share >= AS_HEALTHY || model.usual().oscillators.is_empty() {
            return top.clone();
        }
        // Two threads may work one out at once and find the same: a thread that waited for the other
        // could be the one that the other waits for.
        let rung = |at: usize| match self.0[at].get() {
            Some(known) => known.clone(),
            None => {
                let found = rung(model, healthy, top, SHARES[at]);
                self.0[at].get_or_init(|| found).clone()
            }
        };
        let Some(below) = SHARES.iter().position(|own| *own <= share) else {
            return rung(SHARES.len() - 1);
        };
        let (upper, from) = match below.checked_sub(1) {
            Some(above) => (rung(above), SHARES[above]),
            None => (top.clone(), 1.0),
        };
        let way = (share - SHARES[below]) / (from - SHARES[below]);
        between(&rung(below), &upper, way.clamp(0.0, 1.0))
    }
}

/// The stages run anew with all of the supply at a share.
fn rung(model: &SetModel<'_>, healthy: &WholeSet, top: &Refreshed, share: f64) -> Refreshed {
    let ways: Vec<Option<WaySource>> = healthy
        .ways
        .iter()
        .map(|way| {
            way.map(|way| WaySource {
                volts: share * way.volts,
                ..way
            })
        })
        .collect();
    let supply = Supply {
        ways: &ways,
        scale: share * healthy.scale,
        holds: &as_built,
        ..healthy.supply()
    };
    let (wired, direct) = (&healthy.cycle.wired, &healthy.direct);
    let variation = Variation::none();
    let figures = direct.figures(model, wired, &variation, &supply);
    let Ok(point) = direct.operating.solve(&figures, Some(&healthy.point.volts)) else {
        return top.clone();
    };
    let around = Around {
        wired,
        direct,
        figures: &figures,
        point: &point,
        variation: &variation,
        emission: &healthy.cycle.emission,
    };
    let learned = &model.usual().oscillators;
    refresh(model, learned, &around, supply.scale, &healthy.running, top)
}

/// Between two rungs; `way` is 0 at the lower one and 1 at the upper.
fn between(lower: &Refreshed, upper: &Refreshed, way: f64) -> Refreshed {
    let (near, other, own) = if way < 0.5 {
        (lower, upper, 1.0 - way)
    } else {
        (upper, lower, way)
    };
    let mut found = near.clone();
    let scale = found.scale;
    for (holds, _) in &mut found.holds {
        for (stage, holds) in holds {
            let beside = other.holds.iter().flat_map(|(holds, _)| holds);
            let Some((_, beside)) = beside.into_iter().find(|(other, _)| other == stage) else {
                continue;
            };
            *holds = std::array::from_fn::<Hold, ELECTRODES, _>(|electrode| {
                blend(
                    (holds[electrode], scale),
                    (beside[electrode], other.scale),
                    own,
                )
            });
        }
    }
    found
}

/// What holds an electrode between two rungs, at the scale of the first, which has this share.
fn blend((one, scale): (Hold, f64), (other, beside): (Hold, f64), own: f64) -> Hold {
    let mix = |one: f64, other: f64| own * one + (1.0 - own) * other;
    let over = |one: f64, other: f64| scale * mix(one / scale, other / beside);
    match (one, other) {
        (Hold::Draws { siemens }, Hold::Draws { siemens: other }) => Hold::Draws {
            siemens: mix(siemens, other),
        },
        (Hold::Volts { volts }, Hold::Volts { volts: other }) => Hold::Volts {
            volts: over(volts, other),
        },
        (
            Hold::Takes { amperes, at },
            Hold::Takes {
                amperes: other,
                at: there,
            },
        ) => Hold::Takes {
            amperes: over(amperes, other),
            at: over(at, there),
        },
        (one, _) => one,
    }
}
