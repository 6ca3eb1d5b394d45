//! Faulty sets upon the healthy supply, and those that move it.
//!
//! Units of the readings. Sets whose figures are known are solved side by side in one network; where that shows the supply moved far, or
//! a stage without its own, the set is brought to agreement with its cycle, begun with what the stages draw there. Stages that run
//! otherwise are put into a network of their own. Source: [`super::faulty`]. A set that cannot be solved has no values.

use circuit::CircuitError;
use circuit::operating::{Figure, Point};
use rayon::prelude::*;

use crate::bands::Values;
use crate::wiring::{StageLoad, Variation};

use super::draws;
use super::faulty::{Bed, FaultyWork};
use super::near::couple_near;
use super::oscillation::{self, Around};
use super::running::{LEAST_SUPPLY, Running, supply_of};
use super::screens::let_screens_rule;

/// Share by which the supply has moved when the drive of running stages goes with it.
const DRIVE_GOES: f64 = 0.005;

/// What the network on the healthy supply tells of a set.
enum Stood {
    /// What the probes read.
    Near(Values),
    /// Not that: its supply feels it, or stages run no more. What its stages would draw, where it is known.
    Far(Option<Vec<StageLoad>>),
}

/// One set read, with the work that it took.
#[derive(Default)]
struct Read {
    values: Option<Values>,
    networks: usize,
    iterations: usize,
    cycles: usize,
}

impl Bed<'_, '_> {
    /// Reads the probes in each of these sets; `None` where one cannot be solved.
    pub(super) fn solve(
        &self,
        variations: &[&Variation],
        work: &mut FaultyWork,
    ) -> Vec<Option<Values>> {
        let model = self.model;
        model.usual().fault_answers.learn(model, variations);
        let figures: Vec<Option<Vec<Figure>>> = variations
            .par_iter()
            .map(|variation| self.figures(variation))
            .collect();
        let others: Vec<usize> = (0..figures.len())
            .filter(|&number| figures[number].is_none())
            .collect();
        let (ready, figures): (Vec<usize>, Vec<Vec<Figure>>) = figures
            .into_iter()
            .enumerate()
            .filter_map(|(number, figures)| Some((number, figures?)))
            .unzip();
        let (by_network, by_themselves) = rayon::join(
            || self.on_the_healthy_supply(&ready, variations, figures),
            || -> Vec<Read> {
                let others = others.par_iter();
                others.map(|&own| self.alone(variations[own])).collect()
            },
        );
        let mut values: Vec<Option<Values>> = vec![None; variations.len()];
        let numbers = ready.into_iter().chain(others);
        for (number, read) in numbers.zip(by_network.into_iter().chain(by_themselves)) {
            work.networks += read.networks;
            work.iterations += read.iterations;
            work.cycles += read.cycles;
            values[number] = read.values;
        }
        values
    }

    /// Sets whose figures are known on the healthy supply, all in one network; what moves the supply is brought to agreement with
    /// it.
    fn on_the_healthy_supply(
        &self,
        numbers: &[usize],
        variations: &[&Variation],
        mut figures: Vec<Vec<Figure>>,
    ) -> Vec<Read> {
        let start = Some(&self.set.point.volts[..]);
        let mut points = self.operating.solve_many(&figures, start);
        self.let_drives_go(&mut figures, &mut points);
        numbers
            .par_iter()
            .zip(&figures)
            .zip(&points)
            .map(|((&number, figures), point)| {
                let variation = variations[number];
                let mut read = match point {
                    Ok(point) => match self.stood(figures, point, variation) {
                        Stood::Near(values) => Read {
                            values: Some(values),
                            ..Read::default()
                        },
                        Stood::Far(loads) => self.by_cycle(variation, loads),
                    },
                    Err(_) => self.by_cycle(variation, None),
                };
                read.networks = 1;
                read.iterations = point.as_ref().map_or(0, |point| point.iterations);
                read
            })
            .collect()
    }

    /// A set that has no figures on the healthy supply.
    fn alone(&self, variation: &Variation) -> Read {
        let runs_otherwise = oscillation::runs_otherwise(self.model, self.set, variation);
        let otherwise = runs_otherwise.then(|| self.read_otherwise(variation));
        match otherwise.flatten() {
            Some(values) => Read {
                values: Some(values),
                networks: 1,
                ..Read::default()
            },
            None => self.by_cycle(variation, None),
        }
    }

    /// A set brought to agreement with its supply, begun with what its stages draw where that is known.
    fn by_cycle(&self, variation: &Variation, loads: Option<Vec<StageLoad>>) -> Read {
        let begin = (self.set, loads);
        let found = couple_near(self.model, self.conditions, variation, self.probes, begin);
        let Ok(own) = found else {
            return Read::default();
        };
        let (direct, figures) = (&own.direct, &own.figures);
        let by = (direct, &own.cycle.wired);
        let cycle = &own.cycle.values;
        let values = self.read(by, &direct.operating, figures, &own.point, cycle);
        Read {
            values: Some(values),
            cycles: own.cycles,
            ..Read::default()
        }
    }

    /// What the network on the healthy supply tells of a set.
    fn stood(&self, figures: &[Figure], point: &Point, variation: &Variation) -> Stood {
        let set = self.set;
        let is_overloaded = self.overloads((&set.direct, &figures[..self.own], point));
        if is_overloaded || self.starves(point) {
            return Stood::Far(self.drawn_as_it_runs(variation, is_overloaded));
        }
        if self.is_near(self.ways_amperes(figures, point)) {
            let by = (&set.direct, &set.cycle.wired);
            let cycle = &set.cycle.values;
            return Stood::Near(self.read(by, &self.operating, figures, point, cycle));
        }
        let around = Around {
            wired: &set.cycle.wired,
            direct: &set.direct,
            figures: &figures[..self.own],
            point,
            variation,
            emission: &set.cycle.emission,
        };
        Stood::Far(Some(draws::of(self.model, &around)))
    }

    /// Solves again, with the drive of the running stages gone with it, where the supply has moved.
    fn let_drives_go(&self, ready: &mut [Vec<Figure>], points: &mut [Result<Point, CircuitError>]) {
        let (model, set) = (self.model, self.set);
        let healthy = supply_of(model, &set.volts);
        if healthy <= 0.0 || !set.running.iter().any(Running::is_driven) {
            return;
        }
        let mut moved: Vec<usize> = Vec::new();
        for (at, point) in points.iter().enumerate() {
            let Ok(point) = point else { continue };
            let share = supply_of(model, &set.direct.volts(point)) / healthy;
            if (share - 1.0).abs() > DRIVE_GOES && share > 0.0 {
                set.direct.scale_drives(&mut ready[at], share);
                moved.push(at);
            }
        }
        let own: Vec<&[Figure]> = moved.iter().map(|at| &ready[*at][..]).collect();
        let anew = self.operating.solve_many(&own, Some(&set.point.volts));
        for (at, point) in moved.into_iter().zip(anew) {
            points[at] = point;
        }
        let network = (&set.direct, &self.operating);
        let_screens_rule(model, set, network, ready, points);
    }

    /// Whether a stage whose volts a signal makes has lost its supply: it runs no more, nor what it drives.
    fn starves(&self, point: &Point) -> bool {
        let set = self.set;
        let across = |point: &Point, plate: usize, cathode: usize| {
            let at = |junction: usize| {
                let node = set.direct.nodes.get(junction).copied();
                node.and_then(|node| point.volts.get(node))
                    .copied()
                    .unwrap_or(0.0)
            };
            at(plate) - at(cathode).min(0.0)
        };
        let stages = self.model.stages.complete.iter().zip(&set.running);
        stages
            .filter(|(_, running)| matches!(running, Running::Driven { .. }))
            .any(|(stage, _)| {
                let Some(plate) = stage.electrodes[0] else {
                    return false;
                };
                let of = |point: &Point| across(point, plate, stage.cathode);
                of(&set.point) > LEAST_SUPPLY && of(point) < LEAST_SUPPLY
            })
    }

    /// Current of all rectifiers' ways in a faulty set.
    fn ways_amperes(&self, figures: &[Figure], point: &Point) -> f64 {
        let own = (0..self.set.ways.len()).filter_map(|way| {
            let branch = self.set.direct.branch_of_way(way)?;
            let amperes = self.operating.branch_amperes(figures, point, branch);
            Some(-amperes.ok()?)
        });
        own.sum()
    }
}
