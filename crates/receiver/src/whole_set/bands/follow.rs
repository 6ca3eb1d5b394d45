//! How the supply's cycle and the stages that run answer to each cause.
//!
//! Units of the readings. Each is solved anew at two ends of every cause that it feels, and
//! followed in between as a curve in the cause ([`crate::bands`]); a drawn set then takes its
//! ways, its emissions and what holds its running stages from there. A cause whose ends
//! cannot be solved is left out and named.

use circuit::operating::Figure;
use circuit::tube::ELECTRODES;
use rayon::prelude::*;

use crate::bands::{HIGH, LOW, Movements, Values, movements, straight_movements};
use crate::causes::Cause;
use crate::conditions::BenchConditions;
use crate::probes::Probe;
use crate::wiring::{Figure as SetFigure, SetModel, Variation};

use super::super::couple::WholeSet;
use super::super::cycle;
use super::super::direct::{Supply, WaySource};
use super::super::oscillation;
use super::answers::Answering;

/// Share of the supply's current from which a resistor counts in the cycle.
const COUNTS_IN_CYCLE: f64 = 0.03;

/// Whether a cause moves the supply's cycle itself, not only what is drawn from it.
pub(in crate::whole_set) fn acts_in_cycle(
    model: &SetModel<'_>,
    set: &WholeSet,
    figure: SetFigure,
) -> bool {
    match figure {
        SetFigure::TubeStrength(_)
        | SetFigure::TubeCutoff(_)
        | SetFigure::TubeContact(_)
        | SetFigure::StageEmission(_)
        | SetFigure::Worn(_)
        | SetFigure::StageLaw(_)
        | SetFigure::StageDrive(_)
        | SetFigure::SweepPlate(_)
        | SetFigure::SmallPart(_) => false,
        SetFigure::Leak(part)
        | SetFigure::Farads(part)
        | SetFigure::SeriesOhms(part)
        | SetFigure::Henries(part) => model.follows(part),
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
        let asked = cycle::Asked {
            probes,
            peaks: false,
        };
        let cycle = cycle::solve(model, conditions, variation, &set.loads, asked, near).ok()?;
        let mut values = cycle.values.clone();
        values.extend(beside(set, &cycle));
        Some(values)
    })
}

/// How a set answers to its causes beside its network: its supply's cycle and its stages that
/// run.
pub(super) struct Followed {
    /// Readings of the cycle, then ways, then emissions.
    pub cycle: Movements,
    /// What holds the electrodes of each running stage, by stage.
    running: Movements,
    stages: Vec<usize>,
    /// Readings before the ways.
    first: usize,
}

/// Ways and emissions, and what holds the running stages, in every draw.
pub(super) struct Draws {
    cycle: Vec<Option<Vec<f64>>>,
    running: Vec<Option<Vec<f64>>>,
}

/// One moved sample: ways and emissions by their place, holds by stage and electrode.
pub(super) struct Moved<'a> {
    beside: &'a dyn Fn(usize) -> Option<f64>,
    holds: &'a dyn Fn(usize, usize) -> Option<f64>,
}

impl Followed {
    pub(super) fn of(
        model: &SetModel<'_>,
        conditions: &BenchConditions,
        set: &WholeSet,
        probes: &[Probe],
        causes: &[Cause],
    ) -> Followed {
        let of_cycle: Vec<Cause> = causes
            .iter()
            .filter(|cause| acts_in_cycle(model, set, cause.figure))
            .cloned()
            .collect();
        let (stages, running) = follow_running(model, conditions, set, causes);
        Followed {
            cycle: follow_cycle(model, conditions, set, probes, &of_cycle),
            running,
            stages,
            first: probes.len(),
        }
    }

    /// Sets solved.
    pub(super) fn solved(&self) -> usize {
        self.cycle.solved + self.running.solved
    }

    /// Causes whose ends could not be solved.
    pub(super) fn unsolved(&self) -> Vec<String> {
        let mut names = self.cycle.unsolved.clone();
        for name in &self.running.unsolved {
            if !names.contains(name) {
                names.push(name.clone());
            }
        }
        names
    }

    /// Follows every row of ratios.
    pub(super) fn draws(&self, causes: &[Cause], rows: &[Vec<f64>]) -> Draws {
        let own = rows_of(&self.cycle, causes, rows);
        let cycle = (self.first..self.cycle.expected.len())
            .into_par_iter()
            .map(|reading| self.cycle.drawn(reading, &own).map(|(values, _)| values))
            .collect();
        let own = rows_of(&self.running, causes, rows);
        let running = (0..self.running.expected.len())
            .into_par_iter()
            .map(|reading| self.running.drawn(reading, &own).map(|(values, _)| values))
            .collect();
        Draws { cycle, running }
    }

    /// Position of an electrode's hold among the readings of the running stages.
    fn place(&self, stage: usize, electrode: usize) -> Option<usize> {
        let position = self.stages.iter().position(|&own| own == stage)?;
        Some(position * ELECTRODES + electrode)
    }

    /// The figures of one draw.
    pub(super) fn figures(
        &self,
        model: &SetModel<'_>,
        conditions: &BenchConditions,
        set: &WholeSet,
        variation: &Variation,
        draws: &Draws,
        draw: usize,
    ) -> Option<Vec<Figure>> {
        let at = |list: &[Option<Vec<f64>>], reading: usize| {
            list.get(reading)?.as_ref()?.get(draw).copied()
        };
        let moved = Moved {
            beside: &|reading| at(&draws.cycle, reading),
            holds: &|stage, electrode| at(&draws.running, self.place(stage, electrode)?),
        };
        figures_of(model, conditions, set, variation, &moved)
    }

    /// The figures with one cause at its low or high end.
    pub(super) fn end(
        &self,
        model: &SetModel<'_>,
        conditions: &BenchConditions,
        set: &WholeSet,
        cause: &Cause,
        high: bool,
    ) -> Option<Vec<Figure>> {
        let ratio = cause.spread.ratio(if high { HIGH } else { LOW });
        let variation = Variation::of(cause.figure, ratio);
        let end = |movements: &Movements, reading: usize| {
            // A cause may act on several groups: the one that moves this reading counts.
            let expected = (*movements.expected.get(reading)?)?;
            movements
                .causes
                .iter()
                .enumerate()
                .filter(|(_, own)| own.figure == cause.figure)
                .filter_map(|(at, _)| movements.ends(at, reading))
                .map(|(low, up)| if high { up } else { low })
                .max_by(|a, b| (a - expected).abs().total_cmp(&(b - expected).abs()))
        };
        let moved = Moved {
            beside: &|reading| end(&self.cycle, self.first + reading),
            holds: &|stage, electrode| end(&self.running, self.place(stage, electrode)?),
        };
        figures_of(model, conditions, set, &variation, &moved)
    }
}

/// The columns of the causes that were followed, row by row.
pub(super) fn rows_of(movements: &Movements, causes: &[Cause], rows: &[Vec<f64>]) -> Vec<Vec<f64>> {
    let columns: Vec<usize> = movements
        .causes
        .iter()
        .filter_map(|own| causes.iter().position(|cause| cause.figure == own.figure))
        .collect();
    rows.iter()
        .map(|row| columns.iter().map(|&column| row[column]).collect())
        .collect()
}

/// How the stages that drive themselves answer to the parts and tubes around them.
fn follow_running(
    model: &SetModel<'_>,
    conditions: &BenchConditions,
    set: &WholeSet,
    causes: &[Cause],
) -> (Vec<usize>, Movements) {
    let learned = &model.usual().oscillators;
    let mut stages: Vec<usize> = Vec::new();
    let mut merged = Movements::none();
    for (number, (own, wave)) in learned.iter().zip(&set.oscillators).enumerate() {
        let Some(wave) = wave else { continue };
        let group = &own.group;
        let own_causes: Vec<Cause> = causes
            .iter()
            .filter(|cause| oscillation::acts(model, group, cause.figure))
            .cloned()
            .collect();
        let Some(own) = Answering::new(model, conditions, set, (number, wave), &own_causes) else {
            continue;
        };
        let expected = own.expected.clone();
        let moved = straight_movements(&own_causes, expected, |variation| own.moved(variation));
        stages.extend(group.told());
        merged.join(moved);
    }
    (stages, merged)
}

/// The figures of one drawn set.
fn figures_of(
    model: &SetModel<'_>,
    conditions: &BenchConditions,
    set: &WholeSet,
    variation: &Variation,
    moved: &Moved<'_>,
) -> Option<Vec<Figure>> {
    let followed = moved.beside;
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
        holds: moved.holds,
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
