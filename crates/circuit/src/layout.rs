//! Where the unknowns of a circuit lie.
//!
//! Siemens where a size counts; numbers of nodes and elements otherwise. The same for every
//! stage length: states of capacitors and coils, ports of rectifiers and of what drifts, the
//! places that nothing ties to the reference, and the order of elimination. Fails where the
//! pattern of the equations cannot be made.

use std::sync::Arc;

use crate::element::{Circuit, Element, Node};
use crate::error::CircuitError;
use crate::factor::Pattern;
use crate::stage::LEAST_LOAD_SIEMENS;

/// Source columns: steady, sine, cosine.
pub(crate) const SOURCES: usize = 3;

/// What ties a part of the circuit that nothing but capacitors and rectifiers joins to
/// the reference, at one of its nodes: a gigohm, as good insulation has. It carries no
/// more than what rectifiers and capacitors bring.
pub(crate) const TIE_SIEMENS: f64 = 1e-9;

/// Where the unknowns of a circuit lie; the same for every stage length.
#[derive(Debug, Clone)]
pub(crate) struct Layout {
    /// Unknown nodes: the circuit's nodes less the reference, then one a core.
    pub unknowns: usize,
    pub states: Vec<StateOf>,
    pub rectifiers: Vec<usize>,
    pub slow: Vec<SlowPort>,
    /// The slow ports that are thermal groups: (port, group).
    pub thermal: Vec<(usize, usize)>,
    /// For each slow port the place in `thermal` of the group that it follows; a thermal
    /// group follows itself.
    pub slow_follows: Vec<Option<usize>>,
    /// The same for each rectifier.
    pub emission_follows: Vec<Option<usize>>,
    pub cores: Vec<usize>,
    /// One node of each part that is joined to the reference by nothing linear.
    pub ties: Vec<Node>,
    /// Shared between circuits of the same shape.
    pub pattern: Arc<Pattern>,
    entries: Vec<(usize, usize)>,
}

/// Which element a state belongs to.
#[derive(Debug, Clone, Copy)]
pub(crate) struct StateOf {
    pub element: usize,
    /// Winding of a transformer, or `usize::MAX` for its core.
    pub winding: usize,
}

/// A port whose conductance is held for a while.
#[derive(Debug, Clone, Copy)]
pub(crate) struct SlowPort {
    pub element: usize,
    pub a: Node,
    pub b: Node,
    pub base_siemens: f64,
    /// The thermal group, for heaters and lamps.
    pub group: Option<usize>,
}

/// The lowest node of each part of a circuit that no direct current of a linear element
/// joins to the reference.
fn ties(circuit: &Circuit) -> Vec<Node> {
    let mut lowest: Vec<Node> = (0..circuit.nodes).collect();
    fn root(lowest: &mut [Node], mut node: Node) -> Node {
        while lowest[node] != node {
            lowest[node] = lowest[lowest[node]];
            node = lowest[node];
        }
        node
    }
    let mut join = |a: Node, b: Node| {
        let (a, b) = (root(&mut lowest, a), root(&mut lowest, b));
        lowest[a.max(b)] = a.min(b);
    };
    for element in &circuit.elements {
        match element {
            Element::Resistor { a, b, .. }
            | Element::Inductor { a, b, .. }
            | Element::Source { a, b, .. }
            | Element::Warm { a, b, .. }
            | Element::Load { a, b, .. }
            | Element::Switch { a, b, closed: true } => join(*a, *b),
            Element::Capacitor {
                a, b, leak_siemens, ..
            } if *leak_siemens >= TIE_SIEMENS => join(*a, *b),
            Element::Transformer { windings, .. } => {
                for winding in windings {
                    join(winding.start, winding.end);
                }
            }
            Element::Capacitor { .. } | Element::Switch { .. } | Element::Rectifier { .. } => {}
        }
    }
    (1..circuit.nodes)
        .filter(|&node| lowest[node] == node)
        .collect()
}

impl Layout {
    /// Finds the places of a circuit's unknowns. The elimination order is taken from
    /// `like` where that has the same shape, and found anew otherwise.
    pub fn new(circuit: &Circuit, like: Option<&Layout>) -> Result<Layout, CircuitError> {
        circuit.check()?;
        let mut states = Vec::new();
        let mut rectifiers = Vec::new();
        let mut slow = Vec::new();
        let mut cores = Vec::new();
        let mut unknowns = circuit.nodes - 1;
        let mut entries = Vec::new();
        let link = |entries: &mut Vec<(usize, usize)>, a: Node, b: Node| {
            if a != 0 && b != 0 && a != b {
                entries.push((a - 1, b - 1));
            }
        };
        for (index, element) in circuit.elements.iter().enumerate() {
            let here = StateOf {
                element: index,
                winding: 0,
            };
            match element {
                Element::Resistor { a, b, .. }
                | Element::Switch { a, b, .. }
                | Element::Source { a, b, .. } => link(&mut entries, *a, *b),
                Element::Capacitor { a, b, .. } | Element::Inductor { a, b, .. } => {
                    states.push(here);
                    link(&mut entries, *a, *b);
                }
                Element::Transformer {
                    windings,
                    magnetising_henries,
                    ..
                } => {
                    let core = unknowns;
                    unknowns += 1;
                    cores.push(core);
                    for (number, winding) in windings.iter().enumerate() {
                        link(&mut entries, winding.start, winding.end);
                        for end in [winding.start, winding.end] {
                            if end != 0 {
                                entries.push((end - 1, core));
                            }
                        }
                        if winding.leakage_henries > 0.0 {
                            states.push(StateOf {
                                element: index,
                                winding: number,
                            });
                        }
                    }
                    if magnetising_henries.is_some() {
                        states.push(StateOf {
                            element: index,
                            winding: usize::MAX,
                        });
                    }
                }
                Element::Rectifier { anode, cathode, .. } => {
                    rectifiers.push(index);
                    link(&mut entries, *anode, *cathode);
                }
                Element::Warm { a, b, group } => {
                    link(&mut entries, *a, *b);
                    let cold =
                        circuit.groups[*group].siemens(&circuit.groups[*group].cold_state(300.0));
                    slow.push(SlowPort {
                        element: index,
                        a: *a,
                        b: *b,
                        base_siemens: cold * 0.2,
                        group: Some(*group),
                    });
                }
                Element::Load {
                    a,
                    b,
                    siemens,
                    warmed_by,
                    ..
                } => {
                    link(&mut entries, *a, *b);
                    if warmed_by.is_some() {
                        slow.push(SlowPort {
                            element: index,
                            a: *a,
                            b: *b,
                            base_siemens: siemens.max(LEAST_LOAD_SIEMENS),
                            group: None,
                        });
                    }
                }
            }
        }
        let pattern = match like {
            Some(like) if like.unknowns == unknowns && like.entries == entries => {
                Arc::clone(&like.pattern)
            }
            _ => Arc::new(Pattern::new(unknowns, &entries)),
        };
        let thermal: Vec<(usize, usize)> = slow
            .iter()
            .enumerate()
            .filter_map(|(port, slow): (usize, &SlowPort)| slow.group.map(|group| (port, group)))
            .collect();
        let follows = |element: usize| {
            let group = match &circuit.elements[element] {
                Element::Warm { group, .. } => *group,
                Element::Load {
                    warmed_by: Some(body),
                    ..
                }
                | Element::Rectifier {
                    heated_by: Some(body),
                    ..
                } => body.group,
                _ => return None,
            };
            thermal.iter().position(|&(_, other)| other == group)
        };
        let slow_follows = slow.iter().map(|port| follows(port.element)).collect();
        let emission_follows = rectifiers.iter().map(|&index| follows(index)).collect();
        Ok(Layout {
            unknowns,
            states,
            rectifiers,
            slow,
            thermal,
            slow_follows,
            emission_follows,
            ties: ties(circuit),
            cores,
            pattern,
            entries,
        })
    }

    /// Columns: histories, sources, rectifiers, slow ports.
    pub fn columns(&self) -> usize {
        self.states.len() + SOURCES + self.rectifiers.len() + self.slow.len()
    }
}
