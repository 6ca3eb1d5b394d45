//! The cold resistance between any two nodes of a circuit at rest, solved once.
//!
//! Inside: volts, amperes, ohms, siemens. Capacitors are open but for their leakage,
//! coils and windings are copper, sources are silent resistances, heaters and lamps
//! are cold, loads that follow a heater draw nothing. The network is factored once
//! and solved for a unit current at every node (the bus impedance matrix of network
//! theory); the resistance between two nodes is then `Zaa + Zbb - 2 Zab`. Metal
//! rectifiers, crystals and voltage-dependent resistors, which answer to an ohmmeter's own
//! volts, are added for each reading by Newton's method; their laws rise throughout, so
//! there is one answer.
//! Fails when a node is held by nothing or the rectifiers find no balance.

use crate::dense::dense_solve;
use crate::element::{CONTACT_OHMS, Circuit, Element, Node};
use crate::error::CircuitError;
use crate::factor::{Factors, Matrix, Pattern};
use crate::rectifier::RectifierLaw;
use crate::resting::{OPEN_OHMS, OhmMeter};
use crate::two_terminal::{LEAK_SIEMENS, NeonState, TwoTerminalLaw};

/// A circuit at rest, ready for an ohmmeter anywhere.
#[derive(Debug, Clone)]
pub struct OhmNetwork {
    nodes: usize,
    /// Volts at the row's node for an ampere put in at the column's, by islands.
    volts_per_ampere: Vec<f64>,
    island: Vec<usize>,
    bent: Vec<(Node, Node, Bent)>,
}

/// Something whose current is not in proportion to its volts.
#[derive(Debug, Clone, Copy)]
enum Bent {
    Rectifier(RectifierLaw),
    TwoTerminal(TwoTerminalLaw),
}

impl Bent {
    /// What it conducts beside its law, siemens; stands in the network already.
    fn base_siemens(&self) -> f64 {
        match self {
            Bent::Rectifier(law) => law.base_siemens(),
            Bent::TwoTerminal(_) => LEAK_SIEMENS,
        }
    }

    /// Amperes and siemens above the base. A neon lamp stays dark: no ohmmeter strikes it.
    fn current(&self, volts: f64) -> (f64, f64) {
        let (amperes, slope) = match self {
            Bent::Rectifier(law) => law.current(volts, 1.0),
            Bent::TwoTerminal(law) => law.current(volts, NeonState::default()),
        };
        let base = self.base_siemens();
        (amperes - base * volts, slope - base)
    }
}

/// Tries for the rectifiers of one reading.
const TRIES: usize = 80;
/// How well their volts have to agree, volts.
const CLOSE_VOLTS: f64 = 1e-9;
/// Largest change of a rectifier's volts in one try: a few corners of a cold stack.
const LONGEST_STEP: f64 = 1.0;
/// What holds an island of the circuit that nothing ties to node 0, siemens. A balanced
/// pair of currents puts nothing through it.
const HOLD_SIEMENS: f64 = 1.0;
/// Share of a resistance below which an update has lost its figures.
const LEAST_LEFT: f64 = 1e-7;
/// Right sides solved together.
const LANES: usize = 8;

impl OhmNetwork {
    /// Factors the circuit and solves it for a current at every node.
    pub fn new(circuit: &Circuit, ambient_kelvin: f64) -> Result<OhmNetwork, CircuitError> {
        OhmNetwork::with(circuit, ambient_kelvin, &[])
    }

    /// The same with crystals, neon lamps and voltage-dependent resistors, each with its ends.
    pub fn with(
        circuit: &Circuit,
        ambient_kelvin: f64,
        small: &[(Node, Node, TwoTerminalLaw)],
    ) -> Result<OhmNetwork, CircuitError> {
        circuit.check()?;
        let nodes = circuit.nodes;
        let mut branches: Vec<(Node, Node, f64)> = Vec::new();
        let mut bent = Vec::new();
        for (number, &(a, b, law)) in small.iter().enumerate() {
            law.check()?;
            if a >= nodes || b >= nodes {
                return Err(CircuitError::Missing {
                    element: circuit.elements.len() + number,
                    what: "node",
                    index: a.max(b),
                });
            }
            branches.push((a, b, LEAK_SIEMENS));
            bent.push((a, b, Bent::TwoTerminal(law)));
        }
        branches.extend(resting_branches(circuit, ambient_kelvin));
        for element in &circuit.elements {
            if let Element::Rectifier {
                anode,
                cathode,
                law,
                heated_by: None,
            } = element
            {
                bent.push((*anode, *cathode, Bent::Rectifier(*law)));
            }
        }
        let island = islands(nodes, &branches);
        let entries: Vec<(usize, usize)> = branches
            .iter()
            .filter(|(a, b, _)| a != b)
            .map(|(a, b, _)| (*a, *b))
            .collect();
        let pattern = Pattern::new(nodes, &entries);
        let mut matrix = pattern.matrix();
        for &(a, b, siemens) in &branches {
            if a != b {
                stamp(&pattern, &mut matrix, (a, b), siemens);
            }
        }
        for (node, &lowest) in island.iter().enumerate() {
            if lowest == node {
                pattern.add(&mut matrix, node, node, HOLD_SIEMENS);
            }
        }
        let factors = pattern
            .factor(matrix)
            .map_err(|vanished| CircuitError::Singular {
                node: vanished.row,
                pivot: vanished.pivot,
            })?;
        Ok(OhmNetwork {
            nodes,
            volts_per_ampere: inverse(&factors, nodes),
            island,
            bent,
        })
    }

    /// Whether a resistance, however high, joins two nodes.
    pub fn joined(&self, a: Node, b: Node) -> bool {
        match (self.island.get(a), self.island.get(b)) {
            (Some(one), Some(other)) => one == other,
            _ => false,
        }
    }

    /// What the meter shows with its + lead at `a` and the other at `b`; infinity where
    /// nothing joins them.
    pub fn ohms(&self, a: Node, b: Node, meter: OhmMeter) -> Result<f64, CircuitError> {
        if a == b {
            return Ok(0.0);
        }
        if !self.joined(a, b) {
            return Ok(f64::INFINITY);
        }
        let own = self.between((a, b), (a, b));
        let reached: Vec<(f64, Bent, (Node, Node))> = self
            .bent
            .iter()
            .filter(|(anode, cathode, _)| self.joined(*anode, a) && self.joined(*cathode, a))
            .map(|&(anode, cathode, law)| {
                (
                    self.between((anode, cathode), (a, b)),
                    law,
                    (anode, cathode),
                )
            })
            .collect();
        let ohms = if reached.iter().all(|(share, ..)| share.abs() < 1e-9 * own) {
            own
        } else {
            self.with_bent(own, &reached, meter)?
        };
        Ok(if ohms.is_finite() && ohms < OPEN_OHMS {
            ohms.max(0.0)
        } else {
            f64::INFINITY
        })
    }

    /// Volts from `c` to `d` for a volt from `a` to `b`, before any rectifier conducts; 0 where
    /// nothing joins the pairs.
    pub fn share(&self, (c, d): (Node, Node), (a, b): (Node, Node)) -> f64 {
        if a == b || !self.joined(a, b) || !self.joined(a, c) || !self.joined(a, d) {
            return 0.0;
        }
        let own = self.between((a, b), (a, b));
        if own > 0.0 {
            self.between((c, d), (a, b)) / own
        } else {
            0.0
        }
    }

    /// Ohms between two nodes after some branches have changed, each by its ends and by how many siemens it
    /// conducts more; rectifiers do not conduct. By the low-rank update of the solved network. `None` where a branch would join
    /// or part islands of the circuit: then it wants a network of its own.
    pub fn ohms_after(&self, changes: &[(Node, Node, f64)], (a, b): (Node, Node)) -> Option<f64> {
        if a == b {
            return Some(0.0);
        }
        if !self.joined(a, b) {
            return None;
        }
        let own = self.between((a, b), (a, b));
        let k = changes.len();
        let mut square = vec![0.0; k * k];
        let mut felt = Vec::with_capacity(k);
        for (row, &(c, d, more)) in changes.iter().enumerate() {
            if more == 0.0 || !self.joined(c, d) {
                return None;
            }
            felt.push(if self.joined(a, c) {
                self.between((c, d), (a, b))
            } else {
                0.0
            });
            for (column, &(e, f, _)) in changes.iter().enumerate() {
                square[row * k + column] = if self.joined(c, e) {
                    self.between((c, d), (e, f))
                } else {
                    0.0
                };
            }
            let around = square[row * k + row];
            square[row * k + row] += 1.0 / more;
            // The branch carries the only way: what is left is told by no update.
            if square[row * k + row].abs() < LEAST_LEFT * around {
                return None;
            }
        }
        let mut answer = felt.clone();
        dense_solve(&mut square, &mut answer, k, 1).ok()?;
        let less: f64 = felt
            .iter()
            .zip(&answer)
            .map(|(one, other)| one * other)
            .sum();
        let ohms = own - less;
        (ohms.is_finite() && ohms > LEAST_LEFT * own).then_some(ohms)
    }

    /// Volts across one pair for an ampere through another pair.
    fn between(&self, (a, b): (Node, Node), (c, d): (Node, Node)) -> f64 {
        let z = |row: Node, column: Node| self.volts_per_ampere[row * self.nodes + column];
        z(a, c) - z(a, d) - z(b, c) + z(b, d)
    }

    fn with_bent(
        &self,
        own: f64,
        reached: &[(f64, Bent, (Node, Node))],
        meter: OhmMeter,
    ) -> Result<f64, CircuitError> {
        let k = reached.len();
        let around = own + meter.series_ohms.max(CONTACT_OHMS);
        let open: Vec<f64> = reached
            .iter()
            .map(|(share, ..)| share * meter.open_volts / around)
            .collect();
        let mut coupling = vec![0.0; k * k];
        for row in 0..k {
            for column in 0..k {
                coupling[row * k + column] = reached[row].0 * reached[column].0 / around
                    - self.between(reached[row].2, reached[column].2);
            }
        }
        let mut volts = vec![0.0f64; k];
        let mut amperes = vec![0.0f64; k];
        let mut square = vec![0.0; k * k];
        for _ in 0..TRIES {
            let mut slopes = vec![0.0; k];
            for (row, (_, law, _)) in reached.iter().enumerate() {
                (amperes[row], slopes[row]) = law.current(volts[row]);
            }
            let mut left: Vec<f64> = (0..k)
                .map(|row| {
                    let fed: f64 = (0..k)
                        .map(|column| coupling[row * k + column] * amperes[column])
                        .sum();
                    open[row] - volts[row] + fed
                })
                .collect();
            if left.iter().all(|left| left.abs() < CLOSE_VOLTS) {
                let fed: f64 = reached
                    .iter()
                    .zip(&amperes)
                    .map(|((share, ..), amperes)| share * amperes)
                    .sum();
                let through = (meter.open_volts + fed) / around;
                let across = meter.open_volts - through * meter.series_ohms.max(CONTACT_OHMS);
                return Ok(across / through);
            }
            for row in 0..k {
                for column in 0..k {
                    let unit = f64::from(u8::from(row == column));
                    square[row * k + column] = unit - coupling[row * k + column] * slopes[column];
                }
            }
            if dense_solve(&mut square, &mut left, k, 1).is_err() {
                break;
            }
            for (volts, step) in volts.iter_mut().zip(&left) {
                *volts += step.clamp(-LONGEST_STEP, LONGEST_STEP);
            }
        }
        Err(CircuitError::Rectifier {
            seconds: 0.0,
            iterations: TRIES,
            volts: open
                .iter()
                .fold(0.0, |most: f64, volts| most.max(volts.abs())),
        })
    }
}

/// The branches of a circuit at rest: both ends, and what each conducts, siemens.
pub fn resting_branches(circuit: &Circuit, ambient_kelvin: f64) -> Vec<(Node, Node, f64)> {
    let mut branches = Vec::new();
    for element in &circuit.elements {
        collect(circuit, element, ambient_kelvin, &mut branches);
    }
    branches
}

/// The resistances of an element at rest.
fn collect(
    circuit: &Circuit,
    element: &Element,
    ambient_kelvin: f64,
    branches: &mut Vec<(Node, Node, f64)>,
) {
    match element {
        Element::Resistor { a, b, ohms } | Element::Source { a, b, ohms, .. } => {
            branches.push((*a, *b, 1.0 / ohms));
        }
        Element::Switch { a, b, closed: true } => branches.push((*a, *b, 1.0 / CONTACT_OHMS)),
        Element::Capacitor {
            a, b, leak_siemens, ..
        } if *leak_siemens > 0.0 => branches.push((*a, *b, *leak_siemens)),
        Element::Inductor { a, b, ohms, .. } => branches.push((*a, *b, 1.0 / ohms)),
        Element::Transformer { windings, .. } => {
            for winding in windings {
                branches.push((winding.start, winding.end, 1.0 / winding.ohms));
            }
        }
        Element::Warm { a, b, group } => {
            if let Some(group) = circuit.groups.get(*group) {
                let siemens = group.siemens(&group.cold_state(ambient_kelvin));
                if siemens > 0.0 {
                    branches.push((*a, *b, siemens));
                }
            }
        }
        Element::Load {
            a,
            b,
            siemens,
            warmed_by: None,
            ..
        } if *siemens > 0.0 => branches.push((*a, *b, *siemens)),
        // A cold tube conducts nothing; what it leaks no meter of the bench shows.
        Element::Rectifier {
            anode,
            cathode,
            law,
            heated_by: None,
        } => branches.push((*anode, *cathode, law.base_siemens())),
        Element::Capacitor { .. }
        | Element::Switch { .. }
        | Element::Load { .. }
        | Element::Rectifier { .. } => {}
    }
}

fn stamp(pattern: &Pattern, matrix: &mut Matrix, (a, b): (Node, Node), siemens: f64) {
    for (row, column, value) in [
        (a, a, siemens),
        (b, b, siemens),
        (a, b, -siemens),
        (b, a, -siemens),
    ] {
        pattern.add(matrix, row, column, value);
    }
}

/// For each node the lowest node that something joins it to.
fn islands(nodes: usize, branches: &[(Node, Node, f64)]) -> Vec<usize> {
    let mut root: Vec<usize> = (0..nodes).collect();
    fn find(root: &mut [usize], mut node: usize) -> usize {
        while root[node] != node {
            root[node] = root[root[node]];
            node = root[node];
        }
        node
    }
    for &(a, b, _) in branches {
        let (a, b) = (find(&mut root, a), find(&mut root, b));
        root[a.max(b)] = a.min(b);
    }
    (0..nodes).map(|node| find(&mut root, node)).collect()
}

fn inverse(factors: &Factors<'_>, nodes: usize) -> Vec<f64> {
    let mut whole = vec![0.0; nodes * nodes];
    let mut lanes = vec![[0.0; LANES]; nodes];
    for first in (0..nodes).step_by(LANES) {
        let width = LANES.min(nodes - first);
        lanes.fill([0.0; LANES]);
        for column in 0..width {
            lanes[first + column][column] = 1.0;
        }
        factors.solve_lanes(&mut lanes);
        for (row, lane) in lanes.iter().enumerate() {
            whole[row * nodes + first..][..width].copy_from_slice(&lane[..width]);
        }
    }
    whole
}

#[cfg(test)]
mod tests {
    use super::OhmNetwork;
    use crate::element::{Circuit, Element, Node};

    const LIST: [(Node, Node, f64); 6] = [
        (0, 1, 1e3),
        (1, 2, 2.2e6),
        (2, 0, 4.7e4),
        (1, 3, 10.0),
        (3, 2, 1e7),
        (3, 0, 330.0),
    ];

    fn network(list: &[(Node, Node, f64)]) -> OhmNetwork {
        let mut circuit = Circuit::new(60.0);
        for _ in 0..3 {
            circuit.node();
        }
        for &(a, b, ohms) in list {
            circuit.elements.push(Element::Resistor { a, b, ohms });
        }
        OhmNetwork::new(&circuit, 293.0).expect("a network")
    }

    /// A branch changed, one taken out and one laid beside, against the network written out anew.
    #[test]
    fn the_update_is_the_network_solved_anew() {
        let before = network(&LIST);
        for pair in [(1, 0), (2, 0), (3, 2), (1, 3)] {
            let mut list = LIST.to_vec();
            list[2].2 = 9.4e4;
            list.remove(4);
            list.push((1, 2, 1e5));
            let after = network(&list).between(pair, pair);
            let changes = [
                (2, 0, 1.0 / 9.4e4 - 1.0 / 4.7e4),
                (3, 2, -1e-7),
                (1, 2, 1e-5),
            ];
            let told = before.ohms_after(&changes, pair).expect("told");
            assert!(
                (told / after - 1.0).abs() < 1e-9,
                "{pair:?}: {told} {after}"
            );
        }
    }

    #[test]
    fn where_the_only_way_goes_nothing_is_told() {
        let before = network(&[(0, 1, 1e3), (1, 2, 2e3), (2, 3, 5e3)]);
        assert_eq!(before.ohms_after(&[(1, 2, -1.0 / 2e3)], (3, 0)), None);
        assert_eq!(before.ohms_after(&[(1, 2, 0.0)], (3, 0)), None);
        // By hand: 3k of 8k with 6k beside them, two thirds of 3k.
        let told = before.ohms_after(&[(2, 0, 1.0 / 6e3)], (3, 0));
        assert!((told.expect("told") - 7e3).abs() < 1e-6);
    }
}
