//! The linear part of a circuit, solved once for one time step length.
//!
//! Inside: volts, amperes, siemens, seconds. An implicit stage gives every
//! capacitor and inductor the form `state = history + alpha * rate`, so each
//! becomes a conductance beside a source that holds its history. The network is
//! then solved once for every history, every source and every port, where a port
//! is an element whose law is not linear (rectifier) or whose conductance drifts
//! slowly (lamp, heater, load). A time step afterwards costs only small products.
//!
//! `alpha` of [`Alpha::Resting`] stands for rest: capacitors open, coils copper.
//! Fails when a node is held by nothing.

use std::sync::Arc;

use crate::element::{CONTACT_OHMS, Circuit, Element, Node};
use crate::error::CircuitError;
use crate::layout::{Layout, SOURCES, TIE_SIEMENS};

/// The length of an implicit stage.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Alpha {
    /// Seconds between history and stage.
    Seconds(f64),
    /// Nothing changes any more.
    Resting,
}

/// A leak from every node to the reference, so that a floating part of the
/// circuit has a solution; far below any part that a meter can see.
pub(crate) const FLOATING_SIEMENS: f64 = 1e-12;

/// What a load draws at least, siemens; far below any tube.
pub(crate) const LEAST_LOAD_SIEMENS: f64 = 1e-9;

/// What a resting core's shunt stands for: a short for direct current.
const RESTING_CORE_SIEMENS: f64 = 1e9;

/// The solved linear network for one stage length.
#[derive(Debug, Clone)]
pub(crate) struct Stage {
    pub columns: usize,
    /// Node voltages, `unknowns` rows.
    pub nodes: Arc<Vec<f64>>,
    /// New states, one row each.
    pub states: Vec<f64>,
    /// Volts of the rectifier ports, then of the slow ports.
    pub ports: Vec<f64>,
}

/// How one state comes from its branch volts: `state = own * history + gain * volts`.
#[derive(Debug, Clone, Copy)]
struct Companion {
    siemens: f64,
    /// Branch current from a to b: `siemens * volts + offset * history`.
    offset: f64,
    own: f64,
    gain: f64,
}

fn capacitor(alpha: Alpha, farads: f64, series_ohms: f64, leak_siemens: f64) -> Companion {
    match alpha {
        Alpha::Seconds(alpha) => {
            let beta = 1.0 + alpha * leak_siemens / farads;
            let siemens = 1.0 / (series_ohms + alpha / (farads * beta));
            // current = siemens (volts - history / beta); state = volts - series_ohms current
            Companion {
                siemens,
                offset: -siemens / beta,
                own: series_ohms * siemens / beta,
                gain: 1.0 - series_ohms * siemens,
            }
        }
        Alpha::Resting => {
            let siemens = leak_siemens / (1.0 + series_ohms * leak_siemens);
            Companion {
                siemens,
                offset: 0.0,
                own: 0.0,
                gain: 1.0 - series_ohms * siemens,
            }
        }
    }
}

fn inductor(alpha: Alpha, henries: f64, ohms: f64) -> Companion {
    match alpha {
        Alpha::Seconds(alpha) => {
            let own = 1.0 / (1.0 + alpha * ohms / henries);
            let siemens = own * alpha / henries;
            Companion {
                siemens,
                offset: own,
                own,
                gain: siemens,
            }
        }
        Alpha::Resting => {
            let siemens = if ohms > 0.0 {
                1.0 / ohms
            } else {
                RESTING_CORE_SIEMENS
            };
            Companion {
                siemens,
                offset: 0.0,
                own: 0.0,
                gain: siemens,
            }
        }
    }
}

/// A branch as coefficients on node voltages: its volts are their sum.
type Branch = [(Node, f64); 3];

const NONE: (Node, f64) = (0, 0.0);

impl Stage {
    pub fn new(circuit: &Circuit, layout: &Layout, alpha: Alpha) -> Result<Stage, CircuitError> {
        let unknowns = layout.unknowns;
        let columns = layout.columns();
        let states = layout.states.len();
        let mut matrix = layout.pattern.matrix();
        let mut side = vec![0.0; unknowns * columns];
        let stamp = |matrix: &mut crate::factor::Matrix, branch: &Branch, siemens: f64| {
            for &(row, row_share) in branch {
                for &(column, column_share) in branch {
                    if row != 0 && column != 0 && row_share != 0.0 && column_share != 0.0 {
                        layout.pattern.add(
                            matrix,
                            row - 1,
                            column - 1,
                            siemens * row_share * column_share,
                        );
                    }
                }
            }
        };
        // A current `amperes` that leaves the branch's first node through the element.
        let inject = |side: &mut Vec<f64>, column: usize, branch: &Branch, amperes: f64| {
            for &(row, share) in branch {
                if row != 0 {
                    side[(row - 1) * columns + column] -= amperes * share;
                }
            }
        };
        for row in 0..circuit.nodes - 1 {
            layout.pattern.add(&mut matrix, row, row, FLOATING_SIEMENS);
        }
        if alpha != Alpha::Resting {
            for &node in &layout.ties {
                layout
                    .pattern
                    .add(&mut matrix, node - 1, node - 1, TIE_SIEMENS);
            }
        }
        let mut branches: Vec<(Branch, Companion)> = Vec::with_capacity(states);
        let mut core_number = 0;
        let mut state_branch = |matrix: &mut crate::factor::Matrix,
                                side: &mut Vec<f64>,
                                branch: Branch,
                                companion: Companion| {
            let column = branches.len();
            stamp(matrix, &branch, companion.siemens);
            inject(side, column, &branch, companion.offset);
            branches.push((branch, companion));
        };
        for element in &circuit.elements {
            match element {
                Element::Resistor { a, b, ohms } => {
                    stamp(&mut matrix, &[(*a, 1.0), (*b, -1.0), NONE], 1.0 / ohms);
                }
                Element::Switch { a, b, closed } => {
                    if *closed {
                        stamp(
                            &mut matrix,
                            &[(*a, 1.0), (*b, -1.0), NONE],
                            1.0 / CONTACT_OHMS,
                        );
                    }
                }
                Element::Source {
                    a,
                    b,
                    ohms,
                    direct_volts,
                    peak_volts,
                    phase,
                } => {
                    let branch = [(*a, 1.0), (*b, -1.0), NONE];
                    stamp(&mut matrix, &branch, 1.0 / ohms);
                    inject(&mut side, states, &branch, -direct_volts / ohms);
                    if alpha != Alpha::Resting {
                        let sine = peak_volts * phase.cos();
                        let cosine = peak_volts * phase.sin();
                        inject(&mut side, states + 1, &branch, -sine / ohms);
                        inject(&mut side, states + 2, &branch, -cosine / ohms);
                    }
                }
                Element::Capacitor {
                    a,
                    b,
                    farads,
                    series_ohms,
                    leak_siemens,
                } => state_branch(
                    &mut matrix,
                    &mut side,
                    [(*a, 1.0), (*b, -1.0), NONE],
                    capacitor(alpha, *farads, *series_ohms, *leak_siemens),
                ),
                Element::Inductor {
                    a,
                    b,
                    henries,
                    ohms,
                } => state_branch(
                    &mut matrix,
                    &mut side,
                    [(*a, 1.0), (*b, -1.0), NONE],
                    inductor(alpha, *henries, *ohms),
                ),
                Element::Transformer {
                    windings,
                    loss_siemens,
                    magnetising_henries,
                } => {
                    let core = layout.cores[core_number];
                    core_number += 1;
                    layout
                        .pattern
                        .add(&mut matrix, core, core, FLOATING_SIEMENS);
                    for winding in windings {
                        let branch = [
                            (winding.start, 1.0),
                            (winding.end, -1.0),
                            (core + 1, -winding.turns),
                        ];
                        if winding.leakage_henries > 0.0 {
                            state_branch(
                                &mut matrix,
                                &mut side,
                                branch,
                                inductor(alpha, winding.leakage_henries, winding.ohms),
                            );
                        } else {
                            stamp(&mut matrix, &branch, 1.0 / winding.ohms);
                        }
                    }
                    let branch = [(core + 1, 1.0), NONE, NONE];
                    stamp(&mut matrix, &branch, *loss_siemens);
                    match magnetising_henries {
                        Some(henries) => state_branch(
                            &mut matrix,
                            &mut side,
                            branch,
                            inductor(alpha, *henries, 0.0),
                        ),
                        None if alpha == Alpha::Resting => {
                            stamp(&mut matrix, &branch, RESTING_CORE_SIEMENS);
                        }
                        None => {}
                    }
                }
                Element::Rectifier {
                    anode,
                    cathode,
                    law,
                    ..
                } => stamp(
                    &mut matrix,
                    &[(*anode, 1.0), (*cathode, -1.0), NONE],
                    law.base_siemens(),
                ),
                Element::Load {
                    a,
                    b,
                    siemens,
                    warmed_by: None,
                    ..
                } => stamp(
                    &mut matrix,
                    &[(*a, 1.0), (*b, -1.0), NONE],
                    siemens.max(LEAST_LOAD_SIEMENS),
                ),
                Element::Warm { .. } | Element::Load { .. } => {}
            }
        }
        let mut ports: Vec<Branch> = Vec::new();
        for &index in &layout.rectifiers {
            if let Element::Rectifier { anode, cathode, .. } = &circuit.elements[index] {
                ports.push([(*anode, 1.0), (*cathode, -1.0), NONE]);
            }
        }
        for port in &layout.slow {
            let branch = [(port.a, 1.0), (port.b, -1.0), NONE];
            stamp(&mut matrix, &branch, port.base_siemens);
            ports.push(branch);
        }
        for (number, branch) in ports.iter().enumerate() {
            inject(&mut side, states + SOURCES + number, branch, 1.0);
        }
        let factors = layout
            .pattern
            .factor(matrix)
            .map_err(|vanished| CircuitError::Singular {
                node: vanished.row + 1,
                pivot: vanished.pivot,
            })?;
        let nodes = solve_columns(&factors, side, unknowns, columns);
        let add_row = |row: &mut [f64], branch: &Branch, gain: f64| {
            for &(node, share) in branch {
                if node != 0 && share != 0.0 {
                    let from = &nodes[(node - 1) * columns..node * columns];
                    for (target, value) in row.iter_mut().zip(from) {
                        *target += gain * share * value;
                    }
                }
            }
        };
        let mut state_rows = vec![0.0; states * columns];
        for (number, (row, (branch, companion))) in state_rows
            .chunks_exact_mut(columns)
            .zip(&branches)
            .enumerate()
        {
            add_row(row, branch, companion.gain);
            row[number] += companion.own;
        }
        let mut port_rows = vec![0.0; ports.len() * columns];
        for (row, branch) in port_rows.chunks_exact_mut(columns).zip(&ports) {
            add_row(row, branch, 1.0);
        }
        Ok(Stage {
            columns,
            nodes: Arc::new(nodes),
            states: state_rows,
            ports: port_rows,
        })
    }
}

const LANES: usize = 8;

fn solve_columns(
    factors: &crate::factor::Factors<'_>,
    mut side: Vec<f64>,
    unknowns: usize,
    columns: usize,
) -> Vec<f64> {
    let mut lanes = vec![[0.0; LANES]; unknowns];
    let mut first = 0;
    while first < columns {
        let width = LANES.min(columns - first);
        for (row, lane) in lanes.iter_mut().enumerate() {
            *lane = [0.0; LANES];
            lane[..width].copy_from_slice(&side[row * columns + first..][..width]);
        }
        factors.solve_lanes(&mut lanes);
        for (row, lane) in lanes.iter().enumerate() {
            side[row * columns + first..][..width].copy_from_slice(&lane[..width]);
        }
        first += width;
    }
    side
}
