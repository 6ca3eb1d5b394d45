//! Faults put into a circuit that is built, and the ties of what floats.
//!
//! Ohms; nodes of the circuit. Source: the caller's [`Variation`]. Nothing here can
//! fail: a change whose ends are one node changes nothing.

use circuit::{Element, Node};

use crate::sheet::HeaterArrangement;

use super::SetModel;
use super::build::{Rectifying, Wired};
use super::variation::{Change, Variation};

impl SetModel<'_> {
    pub(super) fn wire_changes(&self, wired: &mut Wired, variation: &Variation) {
        for change in &variation.changes {
            match change {
                Change::Shunt { a, b, ohms } => {
                    let (a, b) = (wired.node(*a), wired.node(*b));
                    if a != b {
                        wired.add_fault(a, b, *ohms);
                    }
                }
                Change::Beside { part, ohms } => {
                    if let [Some(a), Some(b), _] = self.part_ends[*part] {
                        let (a, b) = (wired.node(a), wired.node(b));
                        if a != b {
                            wired.add_fault(a, b, *ohms);
                        }
                    }
                }
                Change::TubePathShort { tube, path, ohms } => {
                    for rectifying in &self.rectifying {
                        if let Rectifying::Tube {
                            tube: own,
                            path: own_path,
                            anode,
                            cathode,
                            ..
                        } = rectifying
                            && own == tube
                            && own_path == path
                        {
                            let (a, b) = (wired.node(*anode), wired.node(*cathode));
                            if a != b {
                                wired.add_fault(a, b, *ohms);
                            }
                        }
                    }
                }
                Change::AcrossHeaters { place, ohms } => {
                    if let Some(place) = self.heater_places.get(*place) {
                        let (a, b) = (wired.node(place.from), wired.node(place.to));
                        if a != b {
                            wired.add_fault(a, b, *ohms);
                        }
                    }
                }
                Change::HeaterToJunction {
                    tube,
                    junction,
                    ohms,
                } => {
                    // A string was parted where its heaters were wired.
                    if let Some(place) = self.heater_place(*tube)
                        && place.arrangement == HeaterArrangement::Parallel
                    {
                        let (a, b) = (wired.node(place.from), wired.node(*junction));
                        if a != b {
                            wired.add_fault(a, b, *ohms);
                        }
                    }
                }
                Change::AtWiper { part, ohms } => {
                    let ends = self.part_ends[*part];
                    if let ([Some(a), Some(b), Some(_)], Some(triangle)) =
                        (ends, self.at_wiper(*part, *ohms))
                    {
                        let (a, b) = (wired.node(a), wired.node(b));
                        if a != b {
                            wired.add_fault(a, b, triangle[2]);
                        }
                    }
                }
                Change::Open(_) | Change::ShortedTurns { .. } | Change::HeaterOpen(_) => {}
            }
        }
    }
}

/// Ties every part of the circuit that nothing joins to the chassis, and marks it.
pub(super) fn tie_floating(wired: &mut Wired) {
    let mut root: Vec<usize> = (0..wired.circuit.nodes).collect();
    fn find(root: &mut [usize], mut node: usize) -> usize {
        while root[node] != node {
            root[node] = root[root[node]];
            node = root[node];
        }
        node
    }
    for element in &wired.circuit.elements {
        let mut join = |a: Node, b: Node| {
            let (a, b) = (find(&mut root, a), find(&mut root, b));
            root[a.max(b)] = a.min(b);
        };
        match element {
            Element::Resistor { a, b, .. }
            | Element::Capacitor { a, b, .. }
            | Element::Inductor { a, b, .. }
            | Element::Source { a, b, .. }
            | Element::Warm { a, b, .. }
            | Element::Load { a, b, .. }
            | Element::Switch { a, b, .. } => join(*a, *b),
            Element::Rectifier { anode, cathode, .. } => join(*anode, *cathode),
            Element::Transformer { windings, .. } => {
                for winding in windings {
                    join(winding.start, winding.end);
                }
            }
        }
    }
    let preferred = wired.blades.map(|(_, line_b)| line_b);
    let mut tied = vec![false; wired.circuit.nodes];
    let order = preferred.into_iter().chain(1..wired.circuit.nodes);
    for node in order.collect::<Vec<_>>() {
        let own = find(&mut root, node);
        if own != find(&mut root, 0) && !tied[own] {
            tied[own] = true;
            let tie = wired.circuit.resistor(node, 0, 1.0);
            wired.ties.push(tie);
        }
    }
    for (junction, floating) in wired.floating.iter_mut().enumerate() {
        let own = find(&mut root, wired.nodes[junction]);
        *floating = tied[own];
    }
}
