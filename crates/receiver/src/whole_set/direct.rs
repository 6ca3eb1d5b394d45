//! The direct-current network of a set: every place, every part, every stage by its law.
//!
//! Volts, amperes, siemens. It is made from the wired circuit of the supply's cycle, so
//! that a departure from the sheet is told once: capacitors are their leakage, coils and
//! windings their copper, heaters and loads the conductance that the cycle held, each way
//! of a rectifier a source behind a resistance. Where every figure of one sample comes from
//! is kept beside the branches. Fails as [`circuit::operating`] does.

use std::sync::Arc;

use circuit::operating::{Branch, Figure, Network, OPEN_SIEMENS, Operating, Point, SHORT_SIEMENS};
use circuit::{CircuitError, Element, Node};

use crate::wiring::{Figure as SetFigure, Rectifying, SetModel, Variation, Wired};

use super::figures::{element_figure, state_of, winding_siemens};
use super::overload;
use super::running::{Hold, Running};

/// Where the figure of a branch comes from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Role {
    /// An element of the circuit.
    Element(usize),
    /// One winding of a transformer.
    Winding(usize, usize),
    /// A way of a rectifier, by its position.
    Way(usize),
    /// A stage by its law.
    Stage(usize),
    /// One electrode of a driven stage.
    Held(usize, usize),
    /// The volts by which the damper lifts its cathode.
    Lift(usize),
    /// A crystal, neon lamp or voltage-dependent resistor, by the part's position.
    Small(usize),
    /// Junctions that the tube joins inside.
    Joined,
    /// The high voltage at a picture tube's anode.
    HighVoltage,
}

/// The mean volts of a way of a rectifier and the resistance behind which they stand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WaySource {
    /// Cathode over plate without load, volts.
    pub volts: f64,
    /// Siemens behind them.
    pub siemens: f64,
}

/// What one sample of the set needs beside its circuit.
#[derive(Clone, Copy)]
pub struct Supply<'a> {
    /// Each way of a rectifier; `None` where it is not in the circuit.
    pub ways: &'a [Option<WaySource>],
    /// Emission over its rated value by tube.
    pub emission: &'a [Option<f64>],
    /// Conductance of lamps and heaters, share of loads, by element.
    pub held: &'a [f64],
    /// Supply over the supply at which the driven stages were anchored.
    pub scale: f64,
    /// Siemens or volts that hold an electrode of a running stage in this sample, by stage and
    /// electrode, where they differ from those of [`Direct::new`].
    pub holds: &'a dyn Fn(usize, usize) -> Option<f64>,
}

/// Every stage held as the network has it.
pub(super) fn as_built(_: usize, _: usize) -> Option<f64> {
    None
}

/// The network made ready.
#[derive(Debug, Clone)]
pub struct Direct {
    /// The solver.
    pub operating: Operating,
    /// Node of each junction.
    pub nodes: Vec<Node>,
    roles: Vec<Role>,
    /// How each stage runs.
    pub(super) running: Vec<Running>,
}

impl Direct {
    /// Builds the network of a wired circuit, each stage as it runs.
    ///
    /// # Errors
    /// Those of [`Operating::new`].
    pub fn new(
        model: &SetModel<'_>,
        wired: &Wired,
        running: &[Running],
    ) -> Result<Direct, CircuitError> {
        let mut network = Network::new();
        while network.nodes < wired.circuit.nodes {
            network.node();
        }
        let mut roles = Vec::new();
        let mut add = |network: &mut Network, branch: Branch, role: Role| {
            network.add(branch);
            roles.push(role);
        };
        for (index, element) in wired.circuit.elements.iter().enumerate() {
            if wired.stage_loads.contains(&index) || wired.rectifiers.contains(&Some(index)) {
                continue;
            }
            let (a, b) = match element {
                Element::Resistor { a, b, .. }
                | Element::Capacitor { a, b, .. }
                | Element::Inductor { a, b, .. }
                | Element::Warm { a, b, .. }
                | Element::Load { a, b, .. } => (*a, *b),
                Element::Switch { a, b, closed } => {
                    if !closed {
                        continue;
                    }
                    (*a, *b)
                }
                Element::Source { a, b, .. } => (*a, *b),
                Element::Rectifier { .. } => continue,
                Element::Transformer { windings, .. } => {
                    for (number, winding) in windings.iter().enumerate() {
                        if winding.start != winding.end {
                            let (a, b) = (winding.start, winding.end);
                            let role = Role::Winding(index, number);
                            add(&mut network, Branch::Resistance { a, b }, role);
                        }
                    }
                    continue;
                }
            };
            if a == b {
                continue;
            }
            let branch = match element {
                Element::Source { .. } => Branch::Source { a, b },
                _ => Branch::Resistance { a, b },
            };
            add(&mut network, branch, Role::Element(index));
        }
        for (number, (element, rectifying)) in
            wired.rectifiers.iter().zip(model.rectifying()).enumerate()
        {
            let damper = matches!(rectifying, Rectifying::Tube { damper: true, .. });
            let Some(Element::Rectifier { anode, cathode, .. }) =
                element.and_then(|element| wired.circuit.elements.get(element))
            else {
                continue;
            };
            if anode != cathode && (!damper || rectifies(model, running, rectifying)) {
                let (a, b) = (*cathode, *anode);
                add(&mut network, Branch::Source { a, b }, Role::Way(number));
            }
        }
        for (number, stage) in model.stages.complete.iter().enumerate() {
            let node = |junction: usize| wired.node(junction);
            let cathode = node(stage.cathode);
            for &(one, twin) in &stage.joined {
                let (a, b) = (node(one), node(twin));
                if a != b && running.get(number) != Some(&Running::Absent) {
                    add(&mut network, Branch::Resistance { a, b }, Role::Joined);
                }
            }
            match running.get(number) {
                None | Some(Running::Absent | Running::Rectifies) => {}
                Some(Running::AtRest) => {
                    let electrodes = stage
                        .electrodes
                        .map(|junction| junction.map(node).filter(|own| *own != cathode));
                    let mut electrodes = electrodes;
                    if stage.is_beam {
                        let anode = network.node();
                        let (a, b) = (anode, 0);
                        add(&mut network, Branch::Source { a, b }, Role::HighVoltage);
                        electrodes[0] = Some(anode);
                    }
                    let law = Arc::clone(&stage.law);
                    let branch = Branch::Tube {
                        cathode,
                        electrodes,
                        law,
                    };
                    add(&mut network, branch, Role::Stage(number));
                }
                Some(Running::Driven { holds, .. }) => {
                    for (electrode, hold) in holds.iter().enumerate() {
                        let Some(junction) = stage.electrodes[electrode] else {
                            continue;
                        };
                        let (a, b) = (node(junction), cathode);
                        if *hold != Hold::Nothing && a != b {
                            let role = Role::Held(number, electrode);
                            add(&mut network, Branch::Source { a, b }, role);
                        }
                    }
                }
                Some(Running::Lifts { .. }) => {
                    if let Some(plate) = stage.electrodes[0] {
                        let (a, b) = (cathode, node(plate));
                        if a != b {
                            add(&mut network, Branch::Source { a, b }, Role::Lift(number));
                        }
                    }
                }
            }
        }
        for (&part, law) in sorted(&model.small_laws) {
            if let ([Some(a), Some(b), _], false) = (
                model.part_ends[part],
                wired.open_parts.get(part).copied().unwrap_or(true),
            ) {
                let (a, b) = (wired.node(a), wired.node(b));
                if a != b {
                    let branch = Branch::TwoTerminal { a, b, law: *law };
                    add(&mut network, branch, Role::Small(part));
                }
            }
        }
        Ok(Direct {
            operating: Operating::new(&network)?,
            nodes: wired.nodes.clone(),
            roles,
            running: running.to_vec(),
        })
    }

    /// The figures of one sample: a circuit of the same shape with its departures.
    pub fn figures(
        &self,
        model: &SetModel<'_>,
        wired: &Wired,
        variation: &Variation,
        supply: &Supply<'_>,
    ) -> Vec<Figure> {
        self.roles
            .iter()
            .map(|role| match *role {
                Role::Element(index) => element_figure(wired, index, supply.held),
                Role::Winding(index, number) => {
                    Figure::Siemens(winding_siemens(wired, index, number))
                }
                Role::Way(number) => {
                    let way = supply.ways.get(number).copied().flatten();
                    let way = way.unwrap_or(WaySource {
                        volts: 0.0,
                        siemens: 0.0,
                    });
                    Figure::Source {
                        volts: way.volts,
                        siemens: way.siemens,
                    }
                }
                Role::Stage(number) => {
                    Figure::Tube(state_of(model, number, variation, supply.emission))
                }
                Role::Held(number, electrode) => {
                    let factor = variation.factor(SetFigure::StageDrive(number));
                    let own = (supply.holds)(number, electrode);
                    let given = overload::given(model, &self.running, variation, number);
                    match self.running.get(number) {
                        Some(Running::Driven { holds, .. }) => match holds[electrode] {
                            Hold::Draws { siemens } => Figure::Source {
                                volts: 0.0,
                                siemens: own.unwrap_or(siemens).max(0.0) * factor * given,
                            },
                            Hold::Volts { volts } => Figure::Source {
                                volts: own.unwrap_or(volts) * supply.scale * factor,
                                siemens: HOLD,
                            },
                            Hold::Takes { amperes, at } => {
                                let amperes = own.unwrap_or(amperes) * factor;
                                let siemens = YIELDS.max(amperes.abs() / YIELD_VOLTS);
                                Figure::Source {
                                    volts: (at - amperes / siemens) * supply.scale,
                                    siemens,
                                }
                            }
                            Hold::Nothing => NO_SOURCE,
                        },
                        _ => NO_SOURCE,
                    }
                }
                Role::Lift(number) => match self.running.get(number) {
                    Some(Running::Lifts { volts, .. }) => Figure::Source {
                        volts: volts
                            * supply.scale
                            * variation.factor(SetFigure::StageDrive(number))
                            * overload::lift_left(model, &self.running, variation, number),
                        siemens: HOLD,
                    },
                    _ => NO_SOURCE,
                },
                Role::Small(part) => Figure::TwoTerminal {
                    scale: variation.factor(SetFigure::SmallPart(part)),
                },
                Role::Joined => Figure::Siemens(SHORT_SIEMENS),
                Role::HighVoltage => Figure::Source {
                    volts: if self.sweeps() {
                        ANODE_VOLTS * supply.scale
                    } else {
                        0.0
                    },
                    siemens: HOLD,
                },
            })
            .collect()
    }

    /// Whether the sweep runs, so that there is high voltage.
    fn sweeps(&self) -> bool {
        self.running
            .iter()
            .any(|running| matches!(running, Running::Lifts { .. }))
    }

    /// Every branch with where its figure comes from.
    pub(super) fn branches(&self) -> impl Iterator<Item = (&Branch, &Role)> {
        self.operating.network().branches.iter().zip(&self.roles)
    }

    /// Volts by junction of a point.
    pub fn volts(&self, point: &Point) -> Vec<f64> {
        self.nodes
            .iter()
            .map(|&node| point.volts.get(node).copied().unwrap_or(0.0))
            .collect()
    }

    /// Amperes into each electrode of a stage, whatever stands for it; `None` where it is
    /// not in the network.
    pub fn stage_amperes(
        &self,
        figures: &[Figure],
        point: &Point,
        stage: usize,
    ) -> Option<[f64; 4]> {
        let mut amperes = [0.0; 4];
        let mut found = false;
        for (branch, role) in self.roles.iter().enumerate() {
            match *role {
                Role::Stage(own) if own == stage => {
                    amperes = self
                        .operating
                        .electrode_amperes(figures, point, branch)
                        .ok()?;
                    found = true;
                }
                Role::Held(own, electrode) if own == stage => {
                    amperes[electrode] +=
                        self.operating.branch_amperes(figures, point, branch).ok()?;
                    found = true;
                }
                Role::Lift(own) if own == stage => {
                    // From cathode to plate inside the source; into the plate is the same.
                    amperes[0] = -self.operating.branch_amperes(figures, point, branch).ok()?;
                    found = true;
                }
                _ => {}
            }
        }
        found.then_some(amperes)
    }

    /// Whether each junction is tied to the chassis by nothing: neither a part nor the way
    /// through a tube from plate or screen to cathode.
    pub fn floating(&self, figures: &[Figure]) -> Vec<bool> {
        let network = self.operating.network();
        let mut reached = vec![false; network.nodes];
        if let Some(chassis) = reached.first_mut() {
            *chassis = true;
        }
        let ways: Vec<(Node, Node)> = network
            .branches
            .iter()
            .zip(figures)
            .flat_map(|(branch, figure)| conducting(branch, figure))
            .collect();
        let mut again = true;
        while again {
            again = false;
            for &(a, b) in &ways {
                if reached[a] != reached[b] {
                    reached[a] = true;
                    reached[b] = true;
                    again = true;
                }
            }
        }
        self.nodes
            .iter()
            .map(|&node| !reached.get(node).copied().unwrap_or(false))
            .collect()
    }

    /// The branch of a way of a rectifier.
    pub(super) fn branch_of_way(&self, way: usize) -> Option<usize> {
        self.roles.iter().position(|role| *role == Role::Way(way))
    }

    /// Mean amperes from plate to cathode of a way.
    pub fn way_amperes(&self, figures: &[Figure], point: &Point, way: usize) -> Option<f64> {
        let branch = self.branch_of_way(way)?;
        Some(-self.operating.branch_amperes(figures, point, branch).ok()?)
    }

    /// Whether a branch stands for a stage that a signal drives, or for the high voltage.
    pub fn is_of_stage(&self, branch: usize) -> bool {
        matches!(
            self.roles.get(branch),
            Some(Role::Held(..) | Role::HighVoltage | Role::Way(_))
        )
    }

    /// The branches of an element of the circuit.
    pub fn branch_of_element(&self, element: usize) -> Option<usize> {
        self.roles
            .iter()
            .position(|role| *role == Role::Element(element))
    }

    /// The branch of a crystal, neon lamp or voltage-dependent resistor.
    pub fn branch_of_small(&self, part: usize) -> Option<usize> {
        self.roles
            .iter()
            .position(|role| *role == Role::Small(part))
    }
}

/// The ways through a branch by which direct current comes from one node to another.
fn conducting(branch: &Branch, figure: &Figure) -> Vec<(Node, Node)> {
    match (branch, figure) {
        (Branch::Resistance { a, b }, Figure::Siemens(siemens))
        | (Branch::Source { a, b }, Figure::Source { siemens, .. })
            if *siemens > OPEN_SIEMENS =>
        {
            vec![(*a, *b)]
        }
        (Branch::TwoTerminal { a, b, .. }, _) => vec![(*a, *b)],
        (
            Branch::Tube {
                cathode,
                electrodes: [plate, _, screen, _],
                ..
            },
            Figure::Tube(state),
        ) if state.emission > 0.0 => [plate, screen]
            .into_iter()
            .flatten()
            .map(|electrode| (*electrode, *cathode))
            .collect(),
        _ => Vec::new(),
    }
}

/// Conductance by which a stage's drive holds its grid or lifts the boosted line, siemens:
/// stiff beside megohms of grid leak, soft beside nothing else.
const HOLD: f64 = 1e-2;
/// Conductance behind a current that a grid takes, siemens: little beside ten megohms of
/// grid leak.
const YIELDS: f64 = 1e-9;
/// Volts behind it at most, for currents of milliamperes.
const YIELD_VOLTS: f64 = 5e4;
/// High voltage of a running set, volts (trade numbers: 8 to 16 kV). The beam hardly
/// depends on it; it is told to nobody.
const ANODE_VOLTS: f64 = 1e4;
const NO_SOURCE: Figure = Figure::Source {
    volts: 0.0,
    siemens: 0.0,
};

/// Whether a damper's way is one of the supply's.
fn rectifies(model: &SetModel<'_>, running: &[Running], own: &Rectifying) -> bool {
    let Rectifying::Tube { tube: own, .. } = own else {
        return false;
    };
    let mut stages = model.stages.complete.iter().zip(running);
    stages.any(|(stage, running)| stage.tube == *own && *running == Running::Rectifies)
}

fn sorted<T>(map: &std::collections::HashMap<usize, T>) -> Vec<(&usize, &T)> {
    let mut list: Vec<_> = map.iter().collect();
    list.sort_by_key(|(part, _)| **part);
    list
}
