//! Sets with one fault each, solved from the healthy set.
//!
//! Units of the readings. A fault that the supply's cycle does not feel changes figures of the
//! direct-current network alone, or lays one resistance beside it: all such sets are solved
//! side by side in one network, from the healthy point, with the rectifiers' ways as they were
//! found. Where the cycle alone can tell - a filter capacitor, a rectifier, a winding, a part in
//! the line - or where the ways' current moves far, supply and stages are brought to agreement
//! anew. What the meter takes away comes from the resistance that each place shows at the
//! faulty point, or from the network with the meter in it where that is far more than in the healthy set. A set that cannot
//! be solved gives `None` and is counted. Stages that a signal drives keep the drive of the healthy set, gone with the supply;
//! where the fault sits among stages that drive themselves they are run anew ([`super::oscillation`]), and a stage that has lost
//! its supply or its cathode runs no more.

use circuit::Node;
use circuit::operating::{Branch, Figure, Network, Operating, Point, SHORT_SIEMENS};

use crate::bands::Values;
use crate::conditions::BenchConditions;
use crate::probes::Probe;
use crate::sheet::HeaterArrangement;
use crate::wiring::{Change, Figure as SetFigure, Rectifying, SetModel, Variation};

use super::bands::acts_in_cycle;
use super::couple::WholeSet;
use super::direct::{Direct, Role};
use super::oscillation;
use super::overload;
use super::running::{LEAST_EMISSION, Running};

/// Share of the ways' current beyond which a moved network wants its cycle anew.
const FAR: f64 = 0.25;

/// Work done.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct FaultyWork {
    /// Networks solved on the healthy supply.
    pub networks: usize,
    /// Steps of Newton's method in all of them.
    pub iterations: usize,
    /// Line cycles solved.
    pub cycles: usize,
    /// Sets told by the course that their neighbours take ([`crate::whole_set::faulty_courses`]).
    pub filled: usize,
    /// Sets that could not be solved.
    pub lost: usize,
}

/// What the probes read in each faulty set.
pub struct FaultyReadings {
    /// The healthy set, read by the same method.
    pub healthy: Values,
    /// One a variation; `None` where it cannot be solved.
    pub values: Vec<Option<Values>>,
    /// Work done.
    pub work: FaultyWork,
}

/// Everything that all faulty sets share.
pub(super) struct Bed<'a, 's> {
    pub(super) model: &'a SetModel<'s>,
    pub(super) conditions: &'a BenchConditions,
    pub(super) set: &'a WholeSet,
    pub(super) probes: &'a [Probe],
    /// The healthy network with every resistance that a fault lays into it.
    pub(super) operating: Operating,
    /// Ends of those resistances, from the branch of this number on.
    laid: Vec<(Node, Node)>,
    pub(super) own: usize,
    /// Figures of the healthy set, nothing laid into it.
    pub(super) base: Vec<Figure>,
    /// Share of each probe's volts that the meter leaves in the healthy set.
    pub(super) shares: Vec<f64>,
}

/// The resistance that a change lays into the network: its ends, its ohms.
pub(super) fn lays(
    model: &SetModel<'_>,
    set: &WholeSet,
    change: &Change,
) -> Option<(Node, Node, f64)> {
    let wired = &set.cycle.wired;
    let (a, b, ohms) = match *change {
        Change::Shunt { a, b, ohms } => (wired.node(a), wired.node(b), ohms),
        Change::Beside { part, ohms } => {
            let [Some(a), Some(b), _] = *model.part_ends.get(part)? else {
                return None;
            };
            (wired.node(a), wired.node(b), ohms)
        }
        Change::AtWiper { part, ohms } => {
            let [Some(a), Some(b), Some(_)] = *model.part_ends.get(part)? else {
                return None;
            };
            (wired.node(a), wired.node(b), model.at_wiper(part, ohms)?[2])
        }
        Change::HeaterToJunction {
            tube,
            junction,
            ohms,
        } => {
            let place = model.heater_place(tube)?;
            if place.arrangement != HeaterArrangement::Parallel {
                return None;
            }
            (wired.node(place.from), wired.node(junction), ohms)
        }
        _ => return None,
    };
    (a != b).then_some((a.min(b), a.max(b), ohms.max(1e-3)))
}

/// Reads the probes of each faulty set, every one of them solved.
pub fn faulty_readings(
    model: &SetModel<'_>,
    conditions: &BenchConditions,
    set: &WholeSet,
    probes: &[Probe],
    variations: &[Variation],
) -> FaultyReadings {
    let Some(bed) = Bed::new(model, conditions, set, probes, variations) else {
        return nothing(probes.len(), variations.len());
    };
    let mut work = FaultyWork::default();
    let asked: Vec<&Variation> = variations.iter().collect();
    let values = bed.solve(&asked, &mut work);
    work.lost = values.iter().filter(|value| value.is_none()).count();
    FaultyReadings {
        healthy: bed.healthy(),
        values,
        work,
    }
}

/// What is read where no network could be made.
pub(super) fn nothing(probes: usize, variations: usize) -> FaultyReadings {
    FaultyReadings {
        healthy: vec![None; probes],
        values: vec![None; variations],
        work: FaultyWork {
            lost: variations,
            ..FaultyWork::default()
        },
    }
}

impl<'a, 's> Bed<'a, 's> {
    pub(super) fn new(
        model: &'a SetModel<'s>,
        conditions: &'a BenchConditions,
        set: &'a WholeSet,
        probes: &'a [Probe],
        variations: &[Variation],
    ) -> Option<Bed<'a, 's>> {
        let mut network: Network = set.direct.operating.network().clone();
        let own = network.branches.len();
        let mut laid: Vec<(Node, Node)> = Vec::new();
        for change in variations.iter().flat_map(|variation| &variation.changes) {
            if let Some((a, b, _)) = lays(model, set, change)
                && !laid.contains(&(a, b))
            {
                network.add(Branch::Resistance { a, b });
                laid.push((a, b));
            }
        }
        let mut base = set.figures.clone();
        base.resize(base.len() + laid.len(), Figure::Siemens(0.0));
        let mut bed = Bed {
            base,
            shares: Vec::new(),
            model,
            conditions,
            set,
            probes,
            operating: Operating::new(&network).ok()?,
            laid,
            own,
        };
        bed.shares = bed.meter_shares();
        Some(bed)
    }

    /// The healthy set, read by the same method.
    pub(super) fn healthy(&self) -> Values {
        let set = self.set;
        let operating = &set.direct.operating;
        let by = (&set.direct, &set.cycle.wired);
        self.read(by, operating, &set.figures, &set.point, &set.cycle.values)
    }

    /// The figures of a faulty set on the healthy supply; `None` where its cycle is wanted.
    pub(super) fn figures(&self, variation: &Variation) -> Option<Vec<Figure>> {
        let (model, set, base) = (self.model, self.set, &self.base);
        if oscillation::runs_otherwise(model, set, variation) || self.ends_a_drive(variation) {
            return None;
        }
        if variation.figures().any(|figure| self.wants_cycle(figure)) {
            return None;
        }
        let mut figures = base.clone();
        if let Some((branch, own, factor)) = self.only_ohms(variation) {
            figures[branch] = Figure::Siemens((own / factor).min(SHORT_SIEMENS));
        } else if variation.figures().next().is_some() {
            let wired = model
                .wire_with_loads(self.conditions, variation, &set.loads)
                .ok()?;
            figures = set.direct.figures(model, &wired, variation, &set.supply());
            if figures.len() != self.own {
                return None;
            }
            figures.resize(base.len(), Figure::Siemens(0.0));
        }
        for change in &variation.changes {
            match *change {
                Change::Open(part) => {
                    if self.is_heavy(part) {
                        return None;
                    }
                    for &element in set.cycle.wired.parts.get(part)? {
                        let branch = set.direct.branch_of_element(element)?;
                        figures[branch] = match figures[branch] {
                            Figure::Siemens(_) => Figure::Siemens(0.0),
                            _ => return None,
                        };
                    }
                    if let Some(branch) = set.direct.branch_of_small(part) {
                        figures[branch] = Figure::TwoTerminal { scale: 0.0 };
                    }
                }
                Change::HeaterOpen(tube) => self.cool(tube, &mut figures)?,
                Change::AtWiper { part, ohms } => {
                    self.lift_wiper(part, ohms, &mut figures)?;
                    let (a, b, ohms) = lays(model, set, change)?;
                    let laid = self.laid.iter().position(|own| *own == (a, b))?;
                    figures[self.own + laid] = Figure::Siemens(1.0 / ohms);
                }
                _ => {
                    if let Change::Beside { part, .. } = *change
                        && self.alternates(part)
                    {
                        return None;
                    }
                    let (a, b, ohms) = lays(model, set, change)?;
                    let laid = self.laid.iter().position(|own| *own == (a, b))?;
                    figures[self.own + laid] = Figure::Siemens(1.0 / ohms);
                }
            }
        }
        Some(figures)
    }

    /// Whether a tube whose volts a signal makes is dead with this fault.
    fn ends_a_drive(&self, variation: &Variation) -> bool {
        variation.figures().any(|figure| {
            let (SetFigure::Worn(tube) | SetFigure::WornRectifier(tube)) = figure else {
                return false;
            };
            let stages = self.model.stages.complete.iter().zip(&self.set.running);
            variation.factor(figure) < LEAST_EMISSION
                && stages
                    .filter(|(stage, _)| stage.tube == tube)
                    .any(|(_, running)| running.is_driven())
        })
    }

    /// Whether the boosted line is loaded so that the sweep ends, with the supply as in the healthy set.
    pub(super) fn overloads(&self, by: (&Direct, &[Figure], &Point)) -> bool {
        overload::is_overloaded(self.model, self.model.usual(), by, self.set.scale)
    }

    /// Whether a figure can be told by the supply's cycle alone. What merely draws from it is
    /// told by the ways' resistance, as far as [`FAR`].
    pub(super) fn wants_cycle(&self, figure: SetFigure) -> bool {
        match figure {
            SetFigure::Ohms(part) | SetFigure::Setting(part) => self.is_heavy(part),
            figure => acts_in_cycle(self.model, self.set, figure),
        }
    }

    /// Whether a part belongs to the cycle: followed by it, or alternating at both ends.
    pub(super) fn is_heavy(&self, part: usize) -> bool {
        let alternates = |end: &Option<usize>| end.is_some_and(|end| self.model.alternates(end));
        let ends = self.model.part_junctions(part);
        self.model.follows(part) || ends[..2].iter().all(alternates)
    }

    /// Whether alternating volts stand across a part.
    pub(super) fn alternates(&self, part: usize) -> bool {
        let ends = self.model.part_junctions(part);
        let alternates =
            |end: &usize| self.model.alternates(*end) && Some(*end) != self.model.chassis;
        ends.iter().flatten().any(alternates)
    }

    /// Both parts of a control's track with so many ohms at its wiper; `None` where the cycle feels it or an end lies on the wiper.
    fn lift_wiper(&self, part: usize, ohms: f64, figures: &mut [Figure]) -> Option<()> {
        if self.is_heavy(part) {
            return None;
        }
        let triangle = self.model.at_wiper(part, ohms)?;
        let [first, last] = self.set.cycle.wired.parts.get(part)?[..] else {
            return None;
        };
        for (element, own) in [(first, triangle[0]), (last, triangle[1])] {
            let branch = self.set.direct.branch_of_element(element)?;
            figures[branch] = match figures[branch] {
                Figure::Siemens(_) => Figure::Siemens(1.0 / own),
                _ => return None,
            };
        }
        Some(())
    }

    /// Takes the emission of a tube at rest in a parallel line; `None` where others feel it.
    fn cool(&self, tube: usize, figures: &mut [Figure]) -> Option<()> {
        let (model, set) = (self.model, self.set);
        let place = model.heater_place(tube)?;
        let rectifies = model
            .rectifying()
            .iter()
            .any(|own| matches!(own, Rectifying::Tube { tube: own, .. } if *own == tube));
        if place.arrangement != HeaterArrangement::Parallel || rectifies {
            return None;
        }
        for (number, stage) in model.stages.complete.iter().enumerate() {
            if stage.tube != tube {
                continue;
            }
            if set.running.get(number) != Some(&Running::AtRest) {
                return None;
            }
            for (branch, (_, role)) in set.direct.branches().enumerate() {
                if let (Role::Stage(own), Figure::Tube(state)) = (role, &mut figures[branch])
                    && *own == number
                {
                    state.emission = 0.0;
                }
            }
        }
        Some(())
    }

    /// Whether the current of all ways is near enough that of the healthy set that its cycle tells the supply.
    pub(super) fn is_near(&self, total: f64) -> bool {
        let ways = self.set.cycle.ways.iter().flatten();
        let own: f64 = ways.map(|way| way.amperes.abs()).sum();
        (total - own).abs() / own.max(1e-6) <= FAR
    }
}
