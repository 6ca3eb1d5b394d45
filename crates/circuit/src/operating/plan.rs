//! A network made ready: rows, the places of every stamp, the groups that hang together.
//!
//! Nodes are numbered as in the network; row `n - 1` of the matrix belongs to node `n`. What
//! falls on the reference is stamped into one spare place behind the last value, so that no
//! loop asks. Nothing here fails: the network was checked before.

use std::sync::Arc;

use super::network::{Branch, Figure, Network, OPEN_SIEMENS};
use crate::element::Node;
use crate::factor::Pattern;
use crate::tube::{ELECTRODES, TubeLaw};
use crate::two_terminal::TwoTerminalLaw;

/// Two ends with their four places: (a,a), (b,b), (a,b), (b,a).
#[derive(Clone, Debug)]
pub(crate) struct Ends {
    pub(crate) branch: usize,
    pub(crate) a: Node,
    pub(crate) b: Node,
    pub(crate) places: [usize; 4],
}

/// A tube: its electrodes that are not at the cathode, and the places of their stamps, row by
/// row with the cathode last.
#[derive(Clone, Debug)]
pub(crate) struct TubePlan {
    pub(crate) branch: usize,
    pub(crate) cathode: Node,
    pub(crate) electrodes: Vec<(usize, Node)>,
    pub(crate) places: Vec<usize>,
    pub(crate) law: Arc<TubeLaw>,
}

#[derive(Clone, Debug)]
pub(crate) struct Plan {
    pub(crate) nodes: usize,
    pub(crate) pattern: Pattern,
    /// Place of each node's diagonal.
    pub(crate) diagonal: Vec<usize>,
    /// Resistances and sources.
    pub(crate) lines: Vec<Ends>,
    /// Currents.
    pub(crate) feeds: Vec<Ends>,
    pub(crate) tubes: Vec<TubePlan>,
    /// Things with two ends.
    pub(crate) things: Vec<(Ends, TwoTerminalLaw)>,
    pub(crate) has_neon: bool,
    /// Nodes in groups that nothing ties even with every part in place.
    loose: Vec<Vec<Node>>,
}

impl Plan {
    pub(crate) fn new(network: &Network) -> Plan {
        Plan::with_pairs(network, &[])
    }

    /// As [`Plan::new`], with room for stamps between further pairs of nodes.
    pub(crate) fn with_pairs(network: &Network, pairs: &[(Node, Node)]) -> Plan {
        let rows = network.nodes.saturating_sub(1);
        let mut entries = Vec::new();
        let mut pair = |a: Node, b: Node| {
            if a != 0 && b != 0 && a != b {
                entries.push((a - 1, b - 1));
            }
        };
        for branch in &network.branches {
            let nodes = branch.nodes();
            if !matches!(branch, Branch::Current { .. }) {
                for (index, &one) in nodes.iter().enumerate() {
                    for &other in &nodes[index + 1..] {
                        pair(one, other);
                    }
                }
            }
        }
        for &(a, b) in pairs {
            pair(a, b);
        }
        let pattern = Pattern::new(rows, &entries);
        let spare = pattern.places();
        let place = |row: Node, column: Node| {
            if row == 0 || column == 0 {
                return spare;
            }
            pattern.place(row - 1, column - 1).unwrap_or(spare)
        };
        let mut plan = Plan {
            nodes: network.nodes,
            diagonal: (0..network.nodes).map(|node| place(node, node)).collect(),
            lines: Vec::new(),
            feeds: Vec::new(),
            tubes: Vec::new(),
            things: Vec::new(),
            has_neon: false,
            loose: Vec::new(),
            pattern: Pattern::default(),
        };
        for (index, branch) in network.branches.iter().enumerate() {
            let ends = |a: Node, b: Node| Ends {
                branch: index,
                a,
                b,
                places: [place(a, a), place(b, b), place(a, b), place(b, a)],
            };
            match branch {
                Branch::Resistance { a, b } | Branch::Source { a, b } => {
                    plan.lines.push(ends(*a, *b));
                }
                Branch::Current { a, b } => plan.feeds.push(ends(*a, *b)),
                Branch::TwoTerminal { a, b, law } => {
                    plan.has_neon |= matches!(law, TwoTerminalLaw::Neon { .. });
                    plan.things.push((ends(*a, *b), *law));
                }
                Branch::Tube {
                    cathode,
                    electrodes,
                    law,
                } => {
                    let electrodes: Vec<(usize, Node)> = (0..ELECTRODES)
                        .filter_map(|electrode| Some((electrode, electrodes[electrode]?)))
                        .filter(|(_, node)| node != cathode)
                        .collect();
                    let nodes: Vec<Node> = electrodes
                        .iter()
                        .map(|(_, node)| *node)
                        .chain([*cathode])
                        .collect();
                    let places = nodes
                        .iter()
                        .flat_map(|&row| nodes.iter().map(move |&column| (row, column)))
                        .map(|(row, column)| place(row, column))
                        .collect();
                    plan.tubes.push(TubePlan {
                        branch: index,
                        cathode: *cathode,
                        electrodes,
                        places,
                        law: Arc::clone(law),
                    });
                }
            }
        }
        plan.loose = plan.groups(|_| true);
        plan.pattern = pattern;
        plan
    }

    /// Groups of nodes that no resistance or source ties to the reference, each with its
    /// lowest node first.
    pub(crate) fn loose(&self, figures: &[Figure]) -> Vec<Vec<Node>> {
        let ties = |branch: usize| match figures[branch] {
            Figure::Siemens(siemens) | Figure::Source { siemens, .. } => siemens > OPEN_SIEMENS,
            _ => false,
        };
        if self.lines.iter().all(|line| ties(line.branch)) {
            return self.loose.clone();
        }
        self.groups(ties)
    }

    fn groups(&self, ties: impl Fn(usize) -> bool) -> Vec<Vec<Node>> {
        let mut root: Vec<Node> = (0..self.nodes).collect();
        fn find(root: &mut [Node], mut node: Node) -> Node {
            while root[node] != node {
                root[node] = root[root[node]];
                node = root[node];
            }
            node
        }
        for line in self.lines.iter().filter(|line| ties(line.branch)) {
            let (a, b) = (find(&mut root, line.a), find(&mut root, line.b));
            // The lower number stays the root, so the reference is the root of its group.
            root[a.max(b)] = a.min(b);
        }
        let mut groups: Vec<Vec<Node>> = vec![Vec::new(); self.nodes];
        for node in 1..self.nodes {
            let of = find(&mut root, node);
            if of != 0 {
                groups[of].push(node);
            }
        }
        groups.retain(|group| !group.is_empty());
        groups
    }
}
