//! What each cause has in a band, by the slopes of the network at its expected point.
//!
//! Units of the readings; weights are squares of half the way from low to high. Source:
//! [`circuit::operating::Response`]. A probe that the slopes do not reach has no shares.

use circuit::operating::{Figure, Parameter, Quantity, Response};
use rayon::prelude::*;

use crate::bands::{HIGH, LOW};
use crate::causes::Cause;
use crate::conditions::BenchConditions;
use crate::probes::{Probe, Spot};
use crate::reading::What;
use crate::wiring::{Figure as SetFigure, SetModel};

use super::super::couple::WholeSet;
use super::follow::Followed;

/// Volts behind an electrode from which on it is a source of current.
const FAR_VOLTS: f64 = 1e4;

/// How each cause moves the figures of the network, for shares by slopes.
pub(super) struct Shares<'a> {
    response: Response<'a>,
    parameters: Vec<Parameter>,
    /// For each cause: half of what each parameter moves from its low to its high end.
    halves: Vec<Vec<(usize, f64)>>,
}

impl<'a> Shares<'a> {
    pub(super) fn of(
        model: &SetModel<'_>,
        conditions: &BenchConditions,
        set: &'a WholeSet,
        causes: &[Cause],
        followed: &Followed,
    ) -> Option<Shares<'a>> {
        let response = set
            .direct
            .operating
            .response(&set.figures, &set.point)
            .ok()?;
        let parameters: Vec<Parameter> = response.parameters().collect();
        let halves = causes
            .par_iter()
            .map(|cause| {
                let end = |high: bool| followed.end(model, conditions, set, cause, high);
                let (Some(low), Some(high)) = (end(false), end(true)) else {
                    return Vec::new();
                };
                parameters
                    .iter()
                    .enumerate()
                    .filter_map(|(number, parameter)| {
                        let half = 0.5
                            * (number_of(high.get(parameter.branch)?, parameter.quantity)?
                                - number_of(low.get(parameter.branch)?, parameter.quantity)?);
                        (half != 0.0).then_some((number, half))
                    })
                    .collect()
            })
            .collect();
        Some(Shares {
            response,
            parameters,
            halves,
        })
    }

    /// What each cause moves a node by, half of its way from low to high.
    pub(super) fn of_node(&self, node: usize) -> Vec<f64> {
        let slopes = self.response.of_node(node);
        self.halves
            .iter()
            .map(|halves| {
                halves
                    .iter()
                    .map(|(number, half)| slopes[*number] * half)
                    .sum()
            })
            .collect()
    }

    /// Weight of each cause in the width of a probe; none for readings that are no volts.
    pub(super) fn of_probe(
        &self,
        model: &SetModel<'_>,
        set: &WholeSet,
        probe: &Probe,
        causes: &[Cause],
        expected: f64,
    ) -> Vec<(String, f64)> {
        let node = |junction: usize| set.direct.nodes.get(junction).copied().unwrap_or(0);
        let (a, b) = match (probe.what, probe.spot) {
            (What::DcVolts, Spot::ToChassis(a)) => (node(a), 0),
            (What::DcVolts, Spot::Between(a, b)) => (node(a), node(b)),
            (_, Spot::Part(part)) => match model.part_ends[part] {
                [Some(a), Some(b), _] => (node(a), node(b)),
                _ => return Vec::new(),
            },
            (_, Spot::Stage(stage, _)) => {
                let stage = &model.stages.complete[stage];
                match stage.electrodes[0] {
                    Some(plate) => (node(plate), node(stage.cathode)),
                    None => return Vec::new(),
                }
            }
            _ => return Vec::new(),
        };
        let mut moves = self.of_node(a);
        if b != 0 {
            for (move_a, move_b) in moves.iter_mut().zip(self.of_node(b)) {
                *move_a -= move_b;
            }
        }
        // A plate that takes its current whatever its volts are: by that current.
        if let Spot::Stage(stage, _) = probe.spot
            && let Some(branch) = set.direct.branch_of_hold(stage, 0)
            && let Some(Figure::Source { volts, siemens }) = set.figures.get(branch)
            && volts.abs() > FAR_VOLTS
        {
            let across = set.point.volts.get(a).zip(set.point.volts.get(b));
            let across = across.map_or(0.0, |(a, b)| a - b) - volts;
            for (own, halves) in moves.iter_mut().zip(&self.halves) {
                *own *= siemens;
                for (number, half) in halves {
                    let parameter = self.parameters[*number];
                    if parameter.branch == branch {
                        *own += half
                            * match parameter.quantity {
                                Quantity::Volts => -siemens,
                                Quantity::Siemens => across,
                                _ => 0.0,
                            };
                    }
                }
                *own *= 1e3;
            }
        }
        debug_assert_eq!(self.parameters.len(), self.response.parameters().count());
        causes
            .iter()
            .zip(moves)
            .filter_map(|(cause, own)| {
                let own = match cause.figure {
                    SetFigure::Meter | SetFigure::Model => {
                        0.5 * expected * (cause.spread.ratio(HIGH) - cause.spread.ratio(LOW))
                    }
                    _ => own,
                };
                let weight = own * own;
                (weight > 1e-12 * expected * expected && weight > 0.0)
                    .then(|| (cause.name.clone(), weight))
            })
            .collect()
    }
}

/// One number of a figure.
fn number_of(figure: &Figure, quantity: Quantity) -> Option<f64> {
    match (figure, quantity) {
        (Figure::Siemens(siemens) | Figure::Source { siemens, .. }, Quantity::Siemens) => {
            Some(*siemens)
        }
        (Figure::Source { volts, .. }, Quantity::Volts) => Some(*volts),
        (Figure::Amperes(amperes), Quantity::Amperes) => Some(*amperes),
        (Figure::Tube(state), Quantity::Emission) => Some(state.emission),
        (Figure::Tube(state), Quantity::Strength) => Some(state.strength),
        (Figure::Tube(state), Quantity::Cutoff) => Some(state.cutoff),
        (Figure::Tube(state), Quantity::ContactVolts) => Some(state.contact_volts),
        (Figure::TwoTerminal { scale }, Quantity::Scale) => Some(*scale),
        _ => None,
    }
}
