//! The second method: a plain dense Newton by another library, written from the equations.
//!
//! Volts, amperes. It shares the laws with the solver and nothing else. Steps are halved
//! until the currents left over shrink.

use circuit::Node;
use circuit::operating::{Branch, Figure, Network};
use circuit::two_terminal::NeonState;
use nalgebra::{DMatrix, DVector};

/// Currents that leave each node but the reference, and their slopes.
pub fn equations(
    network: &Network,
    figures: &[Figure],
    volts: &DVector<f64>,
) -> (DVector<f64>, DMatrix<f64>) {
    let rows = network.nodes - 1;
    let mut left = DVector::zeros(rows);
    let mut slopes = DMatrix::zeros(rows, rows);
    let at = |node: Node| if node == 0 { 0.0 } else { volts[node - 1] };
    let mut flow = |a: Node, b: Node, amperes: f64, by: &[(Node, f64)]| {
        for (node, sign) in [(a, 1.0), (b, -1.0)] {
            if node > 0 {
                left[node - 1] += sign * amperes;
                for &(of, slope) in by {
                    if of > 0 {
                        slopes[(node - 1, of - 1)] += sign * slope;
                    }
                }
            }
        }
    };
    for (branch, figure) in network.branches.iter().zip(figures) {
        match (branch, figure) {
            (Branch::Resistance { a, b }, Figure::Siemens(siemens)) => {
                let amperes = siemens * (at(*a) - at(*b));
                flow(*a, *b, amperes, &[(*a, *siemens), (*b, -siemens)]);
            }
            (Branch::Source { a, b }, Figure::Source { volts, siemens }) => {
                let amperes = siemens * (at(*a) - at(*b) - volts);
                flow(*a, *b, amperes, &[(*a, *siemens), (*b, -siemens)]);
            }
            (Branch::Current { a, b }, Figure::Amperes(amperes)) => flow(*a, *b, *amperes, &[]),
            (Branch::TwoTerminal { a, b, law }, Figure::TwoTerminal { scale }) => {
                let (amperes, siemens) = law.current(at(*a) - at(*b), NeonState::default());
                let siemens = siemens * scale;
                flow(*a, *b, amperes * scale, &[(*a, siemens), (*b, -siemens)]);
            }
            (
                Branch::Tube {
                    cathode,
                    electrodes,
                    law,
                },
                Figure::Tube(state),
            ) => {
                let nodes = electrodes.map(|node| node.unwrap_or(*cathode));
                let found = law.currents(nodes.map(|node| at(node) - at(*cathode)), state);
                for (row, node) in nodes.into_iter().enumerate() {
                    let mut by: Vec<(Node, f64)> = nodes
                        .into_iter()
                        .zip(found.slopes[row])
                        .filter(|(of, _)| of != cathode)
                        .collect();
                    by.push((*cathode, -by.iter().map(|(_, slope)| slope).sum::<f64>()));
                    if node != *cathode {
                        flow(node, *cathode, found.amperes[row], &by);
                    }
                }
            }
            _ => unreachable!("a figure of another kind"),
        }
    }
    (left, slopes)
}

/// Volts by node and the iterations made; `None` where the steps do not settle.
pub fn newton(
    network: &Network,
    figures: &[Figure],
    start: &[f64],
    most: usize,
) -> Option<(Vec<f64>, usize)> {
    let mut volts = DVector::from_column_slice(&start[1..]);
    let (mut left, mut slopes) = equations(network, figures, &volts);
    for iteration in 1..=most {
        let step = slopes.clone().lu().solve(&left)?;
        let mut share = 1.0;
        loop {
            let trial = &volts - share * &step;
            let (trial_left, trial_slopes) = equations(network, figures, &trial);
            if trial_left.norm() < left.norm() || share < 1e-3 || step.amax() < 1e-6 {
                volts = trial;
                left = trial_left;
                slopes = trial_slopes;
                break;
            }
            share *= 0.5;
        }
        if step.amax() < 1e-6 {
            let all = std::iter::once(0.0).chain(volts.iter().copied()).collect();
            return Some((all, iteration));
        }
    }
    None
}
