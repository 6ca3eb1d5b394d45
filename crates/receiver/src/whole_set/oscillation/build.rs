//! The network of stages that run, cut out of the direct-current network of the set.
//!
//! Volts, amperes, siemens, farads, henries. Every branch with an end at a place that swings
//! is taken over with its figure; the driven stages of the group come by their own laws;
//! capacitors and coils are added from the sheet. Places that stand still are sources of the
//! volts that the whole set gives them. Nothing here fails.

use std::collections::BTreeMap;
use std::sync::Arc;

use circuit::Node;
use circuit::operating::{Branch, Figure, Network};
use circuit::running::{RunningFigures, RunningNetwork, STRAY_FARADS};

use crate::sheet::{CapacitorStyle, PartValue};
use crate::wiring::{Figure as SetFigure, SetModel};

use super::super::direct::Role;
use super::super::figures::state_of;
use super::find::{DUST_SHARE, Group, IRON_HENRIES, Region};
use super::{Around, Terms};

/// Miss of a lap against one volt plus the volts of a node below which its coupling capacitors are charged: half a millivolt a volt
/// and cycle is some nanoamperes through a tenth of a microfarad at the rate of the fields.
const CHARGED: f64 = 5e-4;
/// Siemens behind the volts of a place that stands still.
const STANDS: f64 = 1.0;
/// Volts at the plate of a sweep output while it conducts: near its knee, as the transformer
/// is made for (common practice; half and twice this are in the bands).
const SWEEP_PLATE_VOLTS: f64 = 80.0;
/// Where a trimmer is set when nobody tells: in its middle (judgement).
const TRIMMER_SHARE: f64 = 0.5;
/// Capacitance of a winding on iron, and on a small dust core, farads (judgement: output
/// transformers have a hundred picofarads and more).
const IRON_FARADS: f64 = 100e-12;
const DUST_FARADS: f64 = 30e-12;
/// Resonance of a winding with its own capacitance over its loss (judgement: laminations
/// and the damped cores of blocking oscillators ring a few times).
const WINDING_QUALITY: f64 = 8.0;

/// A network ready to be run.
pub(super) struct Built {
    pub network: RunningNetwork,
    pub figures: RunningFigures,
    /// Node of the running network by node of the set.
    nodes: BTreeMap<Node, Node>,
    /// Branch of each stage that comes by its law.
    pub(super) tubes: Vec<(usize, usize)>,
    /// Mean volts of the sweep outputs' plates over their cathodes in the set, by stage.
    pub(super) plates: Vec<(usize, f64)>,
    /// Couplings whose sign the sheet does not tell.
    open_signs: Vec<usize>,
    /// Miss of a lap, in tolerances, below which its coupling capacitors are charged.
    pub(super) charged: f64,
}

impl Built {
    pub(super) fn new(
        model: &SetModel<'_>,
        group: &Group,
        region: &Region,
        at: &Around<'_>,
        terms: Terms,
    ) -> Built {
        let mut inner = vec![false; at.direct.operating.network().nodes];
        for &junction in &region.junctions {
            inner[at.wired.node(junction)] = true;
        }
        inner[0] = false;
        let mut own = Built {
            network: RunningNetwork {
                network: Network::new(),
                ..RunningNetwork::default()
            },
            figures: RunningFigures::new(Vec::new(), Vec::new(), Vec::new()),
            nodes: BTreeMap::from([(0, 0)]),
            tubes: Vec::new(),
            plates: Vec::new(),
            open_signs: Vec::new(),
            charged: CHARGED / terms.tolerance,
        };
        own.figures.stray_farads = STRAY_FARADS;
        // Branch of the running network by branch of the set, for the coils' copper.
        let mut branches: BTreeMap<usize, usize> = BTreeMap::new();
        for (number, (branch, role)) in at.direct.branches().enumerate() {
            let of_group = matches!(role, Role::Held(stage, _) | Role::Stage(stage)
                if group.told().any(|told| told == *stage));
            if of_group || !branch.nodes().iter().any(|&node| inner[node]) {
                continue;
            }
            let place = |own: &mut Built, node: Node| own.node(node, &inner, at);
            let branch = match branch {
                Branch::Resistance { a, b } => Branch::Resistance {
                    a: place(&mut own, *a),
                    b: place(&mut own, *b),
                },
                Branch::Source { a, b } => Branch::Source {
                    a: place(&mut own, *a),
                    b: place(&mut own, *b),
                },
                Branch::Current { a, b } => Branch::Current {
                    a: place(&mut own, *a),
                    b: place(&mut own, *b),
                },
                Branch::TwoTerminal { a, b, law } => Branch::TwoTerminal {
                    a: place(&mut own, *a),
                    b: place(&mut own, *b),
                    law: *law,
                },
                Branch::Tube {
                    cathode,
                    electrodes,
                    law,
                } => Branch::Tube {
                    cathode: place(&mut own, *cathode),
                    electrodes: electrodes.map(|node| Some(place(&mut own, node?))),
                    law: Arc::clone(law),
                },
            };
            let index = own.add(branch, at.figures[number]);
            branches.insert(number, index);
        }
        for stage in group.told() {
            // An empty socket loads nothing.
            if at.direct.is_absent(stage) {
                continue;
            }
            let tube = &model.stages.complete[stage];
            let cathode = own.node(at.wired.node(tube.cathode), &inner, at);
            let mut electrodes = tube.electrodes.map(|junction| {
                Some(own.node(at.wired.node(junction?), &inner, at)).filter(|&node| node != cathode)
            });
            if group.followers.contains(&stage) {
                electrodes[0] = Some(own.sweep_plate(model, stage, at));
            }
            let branch = Branch::Tube {
                cathode,
                electrodes,
                law: Arc::clone(&tube.law),
            };
            let state = state_of(model, stage, at.variation, at.emission);
            let index = own.add(branch, Figure::Tube(state));
            own.tubes.push((stage, index));
        }
        own.add_capacitors(model, region, &inner, at);
        own.add_coils(model, region, &branches, at, terms);
        own
    }

    fn add(&mut self, branch: Branch, figure: Figure) -> usize {
        self.figures.figures.push(figure);
        self.network.network.add(branch)
    }

    /// The node of a place; one that stands still gets its source.
    fn node(&mut self, node: Node, inner: &[bool], at: &Around<'_>) -> Node {
        if let Some(&own) = self.nodes.get(&node) {
            return own;
        }
        let own = self.network.network.node();
        self.nodes.insert(node, own);
        if !inner.get(node).copied().unwrap_or(false) {
            let volts = at.point.volts.get(node).copied().unwrap_or(0.0);
            let siemens = STANDS;
            self.add(
                Branch::Source { a: own, b: 0 },
                Figure::Source { volts, siemens },
            );
        }
        own
    }

    /// The plate of a sweep output: where it stands while the tube conducts. What the flyback
    /// does to it happens while the grid is cut off.
    fn sweep_plate(&mut self, model: &SetModel<'_>, stage: usize, at: &Around<'_>) -> Node {
        let tube = &model.stages.complete[stage];
        let mean = |junction: usize| {
            let node = at.wired.node(junction);
            at.point.volts.get(node).copied().unwrap_or(0.0)
        };
        if let Some(plate) = tube.electrodes[0] {
            self.plates.push((stage, mean(plate) - mean(tube.cathode)));
        }
        let node = self.network.network.node();
        let volts = SWEEP_PLATE_VOLTS * at.variation.factor(SetFigure::SweepPlate(stage));
        let siemens = STANDS;
        self.add(
            Branch::Source { a: node, b: 0 },
            Figure::Source { volts, siemens },
        );
        node
    }

    fn add_capacitors(
        &mut self,
        model: &SetModel<'_>,
        region: &Region,
        inner: &[bool],
        at: &Around<'_>,
    ) {
        for &part in &region.capacitors {
            let [Some(a), Some(b), _] = model.part_ends[part] else {
                continue;
            };
            if at.wired.open_parts.get(part).copied().unwrap_or(true) {
                continue;
            }
            let share = match model.sheet.parts[part].value {
                PartValue::Capacitor {
                    style: CapacitorStyle::Trimmer,
                    ..
                } => TRIMMER_SHARE,
                _ => 1.0,
            };
            let farads = share
                * model.resolved.parts[part].farads
                * at.variation.factor(SetFigure::Farads(part));
            let (a, b) = (
                self.node(at.wired.node(a), inner, at),
                self.node(at.wired.node(b), inner, at),
            );
            if a != b {
                self.network.capacitances.push((a, b));
                self.figures.farads.push(farads);
            }
        }
    }

    fn add_coils(
        &mut self,
        model: &SetModel<'_>,
        region: &Region,
        branches: &BTreeMap<usize, usize>,
        at: &Around<'_>,
        terms: Terms,
    ) {
        let mut coil_of: BTreeMap<usize, usize> = BTreeMap::new();
        for (&part, &core) in region.coils.iter().zip(&region.cores) {
            for (position, &element) in at.wired.parts[part].iter().enumerate() {
                let branch = at
                    .direct
                    .branch_of_element(element)
                    .and_then(|branch| branches.get(&branch));
                let Some(&branch) = branch else { continue };
                // A tapped coil is two sections that share their turns by its tap.
                let turns = match (at.wired.parts[part].len(), &model.sheet.parts[part].value) {
                    (2, PartValue::Coil { at, .. }) => {
                        let tap = at.unwrap_or(0.5).clamp(0.01, 0.99);
                        if position == 0 { tap } else { 1.0 - tap }
                    }
                    _ => 1.0,
                };
                let henries = model.resolved.parts[part].henries
                    * turns
                    * turns
                    * at.variation.factor(SetFigure::Henries(core));
                let coil = self.network.coils.len();
                self.network.coils.push(branch);
                self.figures.henries.push(henries);
                self.add_winding(branch, henries, terms);
                if position == 0 {
                    coil_of.insert(part, coil);
                } else {
                    self.network.couplings.push((coil - 1, coil));
                    self.figures.couplings.push(DUST_SHARE);
                }
            }
        }
        for coupling in &region.couplings {
            let coils = coil_of.get(&coupling.one).zip(coil_of.get(&coupling.other));
            if let Some((&one, &other)) = coils {
                if !coupling.tapped {
                    self.open_signs.push(self.network.couplings.len());
                }
                self.network.couplings.push((one, other));
                self.figures.couplings.push(coupling.share);
            }
        }
    }

    /// What every winding has beside its turns: capacitance of its layers and loss of its core.
    fn add_winding(&mut self, branch: usize, henries: f64, terms: Terms) {
        let Branch::Resistance { a, b } = self.network.network.branches[branch] else {
            return;
        };
        let farads = terms.farads
            * if henries >= IRON_HENRIES {
                IRON_FARADS
            } else {
                DUST_FARADS
            };
        let ohms = terms.quality * WINDING_QUALITY * (henries / farads).sqrt();
        self.network.capacitances.push((a, b));
        self.figures.farads.push(farads);
        self.add(Branch::Resistance { a, b }, Figure::Siemens(1.0 / ohms));
    }

    /// Turns the couplings over whose sign the sheet does not tell; `false` if there are none.
    pub(super) fn turn_over(&mut self) -> bool {
        for &coupling in &self.open_signs {
            self.figures.couplings[coupling] *= -1.0;
        }
        !self.open_signs.is_empty()
    }
}
