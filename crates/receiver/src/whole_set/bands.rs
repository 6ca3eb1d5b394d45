//! Bands of a whole set: drawn sets solved in full, and the same by slopes.
//!
//! Units of the readings. Causes that change the supply's cycle are followed by the
//! movements of [`crate::bands`]: each way of a rectifier, each emission, each reading of
//! the cycle as a curve in the cause. Every drawn set then takes its own supply, its own
//! parts and its own tubes and is solved in full by [`circuit::operating`]; 1,024 draws of
//! scrambled Sobol points, one seed. What each cause has in a band is told by the slopes
//! of the network at its expected point ([`circuit::operating::Response`]), which also
//! give the bands where they are narrow enough to be straight: a test holds both together.
//! A reading that is already known narrows all others by their common draws. A draw that
//! cannot be solved is left out and counted.

use circuit::operating::{Figure, Parameter, Quantity, Response};
use quantity::Band;
use rayon::prelude::*;

use crate::bands::{
    DRAWS, DrawnReading, HIGH, LOW, Movements, SEED, Values, band_of, movements, nine_of_ten,
    ratios, variation_of,
};
use crate::causes::Cause;
use crate::conditions::BenchConditions;
use crate::probes::{Probe, Spot};
use crate::reading::What;
use crate::wiring::{Figure as SetFigure, SetModel, Variation};

use super::couple::WholeSet;
use super::cycle;
use super::direct::{Supply, WaySource};
use super::expecting::{is_direct, read_direct};

/// A reading that is known: all bands narrow by it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Narrowing {
    /// Which probe.
    pub probe: usize,
    /// What was read.
    pub value: f64,
    /// Standard deviation of the reading itself.
    pub sigma: f64,
}

/// The bands of all probes.
pub(super) struct WholeBands {
    /// One a probe.
    pub bands: Vec<Option<Band>>,
    /// Cycles solved.
    pub cycles: usize,
    /// Draws that could not be solved.
    pub lost: usize,
    /// Causes whose ends could not be solved.
    pub unsolved: Vec<String>,
}

/// Share of the supply's current from which a resistor counts in the cycle.
const COUNTS_IN_CYCLE: f64 = 0.03;

/// Whether a cause moves the supply's cycle itself, not only what is drawn from it.
pub(super) fn acts_in_cycle(model: &SetModel<'_>, set: &WholeSet, figure: SetFigure) -> bool {
    match figure {
        SetFigure::TubeStrength(_)
        | SetFigure::TubeCutoff(_)
        | SetFigure::TubeContact(_)
        | SetFigure::StageEmission(_)
        | SetFigure::StageLaw(_)
        | SetFigure::StageDrive(_)
        | SetFigure::SmallPart(_) => false,
        SetFigure::Leak(part) => model.follows(part),
        SetFigure::Setting(part) | SetFigure::Ohms(part) => {
            let ends = &model.part_ends[part];
            let alternating = ends
                .iter()
                .flatten()
                .any(|&end| model.alternates(end) && Some(end) != model.chassis_junction());
            let total: f64 = set
                .cycle
                .ways
                .iter()
                .flatten()
                .map(|way| way.amperes.abs())
                .sum();
            let own = set.cycle.wired.parts[part]
                .iter()
                .filter_map(|&element| set.direct.branch_of_element(element))
                .filter_map(|branch| {
                    let direct = &set.direct.operating;
                    direct.branch_amperes(&set.figures, &set.point, branch).ok()
                })
                .fold(0.0f64, |most, amperes| most.max(amperes.abs()));
            alternating || own > COUNTS_IN_CYCLE * total
        }
        _ => true,
    }
}

/// What is followed through the cycle beside the readings: ways, then emissions.
fn beside(set: &WholeSet, cycle: &cycle::Cycle) -> Values {
    let ways = set.ways.iter().zip(&cycle.ways).map(|(source, way)| {
        let (source, way) = ((*source)?, (*way)?);
        Some(if source.siemens > 0.0 {
            way.volts + way.amperes / source.siemens
        } else {
            way.volts
        })
    });
    ways.chain(cycle.emission.iter().copied()).collect()
}

/// The readings of one drawn or moved set from its network.
fn direct_values(
    model: &SetModel<'_>,
    set: &WholeSet,
    probes: &[Probe],
    figures: &[Figure],
    point: &circuit::operating::Point,
) -> Values {
    probes
        .iter()
        .map(|probe| {
            is_direct(model, probe)
                .then(|| read_direct(model, &set.cycle.wired, &set.direct, figures, point, probe))
                .flatten()
        })
        .collect()
}

/// How the cycle answers to its own causes.
fn follow_cycle(
    model: &SetModel<'_>,
    conditions: &BenchConditions,
    set: &WholeSet,
    probes: &[Probe],
    causes: &[Cause],
) -> Movements {
    let mut expected = set.cycle.values.clone();
    expected.extend(beside(set, &set.cycle));
    movements(causes, expected, |variation| {
        let near = Some(&set.cycle.near);
        let cycle = cycle::solve(model, conditions, variation, &set.loads, probes, near).ok()?;
        let mut values = cycle.values.clone();
        values.extend(beside(set, &cycle));
        Some(values)
    })
}

/// All bands of a whole set. `meter` is what the meter shows of each open reading.
pub(super) fn bands(
    model: &SetModel<'_>,
    conditions: &BenchConditions,
    set: &WholeSet,
    probes: &[Probe],
    causes: &[Cause],
    meter: &[f64],
    known: &[Narrowing],
) -> WholeBands {
    let in_cycle: Vec<bool> = causes
        .iter()
        .map(|cause| acts_in_cycle(model, set, cause.figure))
        .collect();
    let cycle_causes: Vec<Cause> = causes
        .iter()
        .zip(&in_cycle)
        .filter(|(_, acts)| **acts)
        .map(|(cause, _)| cause.clone())
        .collect();
    let moved = follow_cycle(model, conditions, set, probes, &cycle_causes);
    let rows = ratios(causes, DRAWS, SEED);
    // Columns of the causes that were solved at both ends.
    let columns: Vec<usize> = moved
        .causes
        .iter()
        .filter_map(|own| causes.iter().position(|cause| cause.figure == own.figure))
        .collect();
    let cycle_rows: Vec<Vec<f64>> = rows
        .iter()
        .map(|row| columns.iter().map(|&column| row[column]).collect())
        .collect();
    let count = probes.len();
    let followed: Vec<Option<Vec<f64>>> = (count..moved.expected.len())
        .into_par_iter()
        .map(|reading| moved.drawn(reading, &cycle_rows).map(|(values, _)| values))
        .collect();
    let figures: Vec<Vec<Figure>> = rows
        .par_iter()
        .enumerate()
        .filter_map(|(draw, row)| {
            let (variation, _) = variation_of(causes, row);
            figures_of(model, conditions, set, &variation, &|reading| {
                followed.get(reading)?.as_ref()?.get(draw).copied()
            })
        })
        .collect();
    let points = set
        .direct
        .operating
        .solve_many(&figures, Some(&set.point.volts));
    let drawn: Vec<Option<Values>> = figures
        .par_iter()
        .zip(&points)
        .map(|(figures, point)| {
            let point = point.as_ref().ok()?;
            Some(direct_values(model, set, probes, figures, point))
        })
        .collect();
    let lost = drawn.iter().filter(|values| values.is_none()).count();
    let scales: Vec<f64> = rows.iter().map(|row| variation_of(causes, row).1).collect();
    let shares = Shares::of(model, conditions, set, causes, &moved, count);
    // Every probe in every draw that was solved.
    let mut columns_of: Vec<Option<DrawnReading>> = probes
        .par_iter()
        .enumerate()
        .map(|(number, probe)| {
            if is_direct(model, probe) {
                let own: Vec<f64> = drawn
                    .iter()
                    .zip(&scales)
                    .map(|(values, scale)| {
                        let value = values.as_ref()?.get(number).copied().flatten()?;
                        Some(value * scale * meter[number])
                    })
                    .collect::<Vec<Option<f64>>>()
                    .into_iter()
                    .flatten()
                    .collect();
                let expected = read_direct(
                    model,
                    &set.cycle.wired,
                    &set.direct,
                    &set.figures,
                    &set.point,
                    probe,
                )?;
                let weights = shares.as_ref().map_or_else(Vec::new, |shares| {
                    shares.of_probe(model, set, probe, causes, expected)
                });
                (own.len() == drawn.len() - lost).then_some((own, weights))
            } else {
                let (values, weights) = moved.drawn(number, &cycle_rows)?;
                let expected = moved.expected[number]?;
                let whole = values
                    .into_iter()
                    .zip(&drawn)
                    .filter(|(_, solved)| solved.is_some())
                    .map(|(value, _)| {
                        let (low, high) = moved.within_sign(number, expected, value, value);
                        low.max(high.min(value))
                    })
                    .collect();
                Some((whole, weights))
            }
        })
        .collect();
    for known in known {
        narrow(&mut columns_of, known);
    }
    let bands = probes
        .par_iter()
        .enumerate()
        .map(|(number, probe)| {
            let (values, weights) = columns_of[number].as_ref()?;
            let mut values = values.clone();
            let mean = values.iter().sum::<f64>() / values.len().max(1) as f64;
            let expected = if known.is_empty() {
                if is_direct(model, probe) {
                    read_direct(
                        model,
                        &set.cycle.wired,
                        &set.direct,
                        &set.figures,
                        &set.point,
                        probe,
                    )? * meter[number]
                } else {
                    set.cycle.values[number]?
                }
            } else {
                mean
            };
            let (low, high) = nine_of_ten(&mut values);
            band_of(low, expected, high, weights.clone())
        })
        .collect();
    WholeBands {
        bands,
        cycles: moved.solved,
        lost,
        unsolved: moved.unsolved.clone(),
    }
}

/// The figures of one drawn set; `followed` gives ways and emissions by their place.
fn figures_of(
    model: &SetModel<'_>,
    conditions: &BenchConditions,
    set: &WholeSet,
    variation: &Variation,
    followed: &dyn Fn(usize) -> Option<f64>,
) -> Option<Vec<Figure>> {
    let wired = model
        .wire_with_loads(conditions, variation, &set.loads)
        .ok()?;
    let ways: Vec<Option<WaySource>> = set
        .ways
        .iter()
        .enumerate()
        .map(|(number, way)| {
            let way = (*way)?;
            Some(WaySource {
                volts: followed(number).unwrap_or(way.volts),
                ..way
            })
        })
        .collect();
    let emission: Vec<Option<f64>> = set
        .cycle
        .emission
        .iter()
        .enumerate()
        .map(|(tube, own)| own.map(|own| followed(set.ways.len() + tube).unwrap_or(own).max(0.0)))
        .collect();
    let supply = Supply {
        ways: &ways,
        emission: &emission,
        held: &set.cycle.held,
        scale: set.scale * moved_scale(&set.ways, &ways),
    };
    Some(set.direct.figures(model, &wired, variation, &supply))
}

/// How far the supply as a whole has moved.
fn moved_scale(from: &[Option<WaySource>], to: &[Option<WaySource>]) -> f64 {
    let sum = |ways: &[Option<WaySource>]| -> f64 {
        ways.iter()
            .flatten()
            .filter(|way| way.siemens > 0.0)
            .map(|way| way.volts)
            .sum()
    };
    let (from, to) = (sum(from), sum(to));
    if from > 1.0 {
        (to / from).max(0.0)
    } else {
        1.0
    }
}

/// Draws updated by a known reading: each moves by what it shares with the reading.
///
/// The linear update of an ensemble with the reading's own spread taken into the gain
/// (the square-root form, which needs no drawn noise: J. S. Whitaker and T. M. Hamill,
/// Monthly Weather Review 130 (2002) 1913; from memory).
fn narrow(columns: &mut [Option<DrawnReading>], known: &Narrowing) {
    let Some(Some((own, _))) = columns.get(known.probe) else {
        return;
    };
    let own = own.clone();
    let count = own.len() as f64;
    let mean = own.iter().sum::<f64>() / count.max(1.0);
    let variance = own.iter().map(|value| (value - mean).powi(2)).sum::<f64>() / count.max(1.0);
    let whole = variance + known.sigma * known.sigma;
    if whole <= 0.0 || own.is_empty() {
        return;
    }
    let less = 1.0 / (1.0 + known.sigma / whole.sqrt());
    for (values, _) in columns.iter_mut().flatten() {
        if values.len() != own.len() {
            continue;
        }
        let average = values.iter().sum::<f64>() / count;
        let both = values
            .iter()
            .zip(&own)
            .map(|(value, own)| (value - average) * (own - mean))
            .sum::<f64>()
            / count;
        let gain = both / whole;
        for (value, own) in values.iter_mut().zip(&own) {
            *value += gain * (known.value - mean) - less * gain * (own - mean);
        }
    }
}

/// How each cause moves the figures of the network, for shares by slopes.
struct Shares<'a> {
    response: Response<'a>,
    parameters: Vec<Parameter>,
    /// For each cause: half of what each parameter moves from its low to its high end.
    halves: Vec<Vec<(usize, f64)>>,
}

impl<'a> Shares<'a> {
    fn of(
        model: &SetModel<'_>,
        conditions: &BenchConditions,
        set: &'a WholeSet,
        causes: &[Cause],
        moved: &Movements,
        first: usize,
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
                let at = moved
                    .causes
                    .iter()
                    .position(|own| own.figure == cause.figure);
                let end = |high: bool| {
                    let ratio = cause.spread.ratio(if high { HIGH } else { LOW });
                    let variation = Variation::of(cause.figure, ratio);
                    figures_of(model, conditions, set, &variation, &|reading| {
                        let (low, up) = moved.ends(at?, first + reading)?;
                        Some(if high { up } else { low })
                    })
                };
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
    fn of_node(&self, node: usize) -> Vec<f64> {
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
    fn of_probe(
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

/// Half width of each d.c. band by slopes alone: 1.645 standard deviations of all causes
/// together, by probe; `None` where the probe is no d.c. volts or the slopes are lost.
pub fn linear_bands(
    model: &SetModel<'_>,
    conditions: &BenchConditions,
    set: &WholeSet,
    probes: &[Probe],
    causes: &[Cause],
) -> Vec<Option<f64>> {
    let cycle_causes: Vec<Cause> = causes
        .iter()
        .filter(|cause| acts_in_cycle(model, set, cause.figure))
        .cloned()
        .collect();
    let moved = follow_cycle(model, conditions, set, probes, &cycle_causes);
    let Some(shares) = Shares::of(model, conditions, set, causes, &moved, probes.len()) else {
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
