//! One recorded cycle and what can be read from it.
//!
//! Inside: volts, amperes, watts, seconds. Currents come from each element's own
//! law at the recorded node volts, not from the reduced equations, so
//! [`CycleRecord::balance`] checks Kirchhoff's current law by a second path.
//! Element and node numbers that do not exist read as a flat zero.

use crate::cycle::{CycleModel, GAMMA, Grid, Room, Samples};
use crate::dense::dot;
use crate::element::{CONTACT_OHMS, Circuit, Element, Node};
use crate::layout::TIE_SIEMENS;
use crate::rectifier::RectifierLaw;
use crate::stage::{FLOATING_SIEMENS, LEAST_LOAD_SIEMENS, Stage};

pub use crate::wave::Wave;
/// How far Kirchhoff's current law is missed at a node.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Balance {
    /// The node.
    pub node: Node,
    /// Amperes that do not add up there, at the worst moment.
    pub amperes: f64,
    /// The same against the largest current at that node.
    pub relative: f64,
}

/// One recorded cycle.
#[derive(Debug, Clone)]
pub struct CycleRecord<'a> {
    circuit: &'a Circuit,
    m: usize,
    rectifiers: Vec<usize>,
    slow: Vec<usize>,
    cores: Vec<(usize, usize)>,
    /// Nodes that are tied to the reference.
    ties: Vec<Node>,
    states: Vec<(usize, usize)>,
    columns: usize,
    alpha: f64,
    /// Node rows of the solved stage.
    nodes: std::sync::Arc<Vec<f64>>,
    /// Volts of each unknown over the cycle, worked out when first asked for.
    waves: Vec<std::sync::OnceLock<Vec<f64>>>,
    /// Mean of each column over the cycle, worked out when first asked for.
    means: std::sync::OnceLock<Vec<f64>>,
    samples: Samples,
    weights: std::sync::Arc<Vec<f64>>,
    emission: Vec<f64>,
    siemens: Vec<f64>,
    laws: Vec<RectifierLaw>,
}

impl<'a> CycleRecord<'a> {
    /// A record of the samples left in the room.
    pub(crate) fn new(
        model: &CycleModel<'a>,
        grid: &Grid,
        room: &mut Room,
        emission: &[f64],
        siemens: &[f64],
    ) -> CycleRecord<'a> {
        let alpha = GAMMA * grid.step_seconds;
        let mut samples = std::mem::take(&mut room.samples);
        samples.complete(&room.folded);
        CycleRecord::build(model, &grid.stage, alpha, samples, emission, siemens)
    }

    /// A record of one sample at rest, where no capacitor current flows but leakage.
    pub(crate) fn at_rest(
        model: &CycleModel<'a>,
        stage: &Stage,
        samples: Samples,
        emission: &[f64],
        siemens: &[f64],
    ) -> CycleRecord<'a> {
        CycleRecord::build(model, stage, f64::INFINITY, samples, emission, siemens)
    }

    fn build(
        model: &CycleModel<'a>,
        stage: &Stage,
        alpha: f64,
        samples: Samples,
        emission: &[f64],
        siemens: &[f64],
    ) -> CycleRecord<'a> {
        let transformers = model
            .circuit
            .elements
            .iter()
            .enumerate()
            .filter(|(_, element)| matches!(element, Element::Transformer { .. }))
            .map(|(index, _)| index);
        CycleRecord {
            circuit: model.circuit,
            m: model.layout.states.len(),
            rectifiers: model.layout.rectifiers.clone(),
            slow: model.layout.slow.iter().map(|port| port.element).collect(),
            cores: transformers
                .zip(model.layout.cores.iter().copied())
                .collect(),
            ties: if alpha.is_finite() {
                model.layout.ties.clone()
            } else {
                Vec::new()
            },
            states: model
                .layout
                .states
                .iter()
                .map(|state| (state.element, state.winding))
                .collect(),
            columns: stage.columns,
            waves: vec![std::sync::OnceLock::new(); stage.nodes.len() / stage.columns.max(1)],
            means: std::sync::OnceLock::new(),
            alpha,
            nodes: std::sync::Arc::clone(&stage.nodes),
            weights: std::sync::Arc::new(samples.weights.clone()),
            samples,
            emission: emission.to_vec(),
            siemens: siemens.to_vec(),
            laws: model.laws.clone(),
        }
    }

    fn wave(&self, values: Vec<f64>) -> Wave {
        Wave {
            values,
            weights: std::sync::Arc::clone(&self.weights),
        }
    }

    fn flat(&self) -> Vec<f64> {
        vec![0.0; self.weights.len()]
    }

    /// Time of each sample from the start of the cycle, seconds.
    pub fn seconds(&self) -> &[f64] {
        &self.samples.seconds
    }

    fn unknown(&self, unknown: usize, share: f64, into: &mut [f64]) {
        let (Some(row), Some(wave)) = (
            self.nodes
                .get(unknown * self.columns..(unknown + 1) * self.columns),
            self.waves.get(unknown),
        ) else {
            return;
        };
        let wave = wave.get_or_init(|| {
            self.samples
                .columns
                .chunks_exact(self.columns)
                .map(|sample| dot(row, sample))
                .collect()
        });
        for (value, own) in into.iter_mut().zip(wave) {
            *value += share * own;
        }
    }

    fn between(&self, a: Node, b: Node) -> Vec<f64> {
        let mut values = self.flat();
        if a == b {
            return values;
        }
        if a != 0 {
            self.unknown(a - 1, 1.0, &mut values);
        }
        if b != 0 {
            self.unknown(b - 1, -1.0, &mut values);
        }
        values
    }

    /// Volts from `a` to `b`.
    pub fn volts(&self, a: Node, b: Node) -> Wave {
        self.wave(self.between(a, b))
    }

    /// Mean volts of a node: as [`Self::volts`] and [`Wave::mean`] tell them, without the wave.
    pub fn mean_volts(&self, node: Node) -> f64 {
        let means = self.means.get_or_init(|| {
            let mut means = vec![0.0; self.columns];
            let samples = self.samples.columns.chunks_exact(self.columns.max(1));
            for (sample, weight) in samples.zip(self.weights.iter()) {
                for (mean, value) in means.iter_mut().zip(sample) {
                    *mean += weight * value;
                }
            }
            means
        });
        let row = node.checked_sub(1).and_then(|unknown| {
            self.nodes
                .get(unknown * self.columns..(unknown + 1) * self.columns)
        });
        row.map_or(0.0, |row| dot(row, means))
    }

    fn state_of(&self, element: usize, winding: usize) -> Option<usize> {
        self.states
            .iter()
            .position(|&state| state == (element, winding))
    }

    fn state_values(&self, state: usize) -> Vec<f64> {
        self.samples
            .states
            .chunks_exact(self.m.max(1))
            .map(|sample| sample[state])
            .collect()
    }

    fn winding_current(&self, element: usize, number: usize) -> Vec<f64> {
        let Some(Element::Transformer { windings, .. }) = self.circuit.elements.get(element) else {
            return self.flat();
        };
        let Some(winding) = windings.get(number) else {
            return self.flat();
        };
        if let Some(state) = self.state_of(element, number) {
            return self.state_values(state);
        }
        let mut values = self.between(winding.start, winding.end);
        if let Some(&(_, core)) = self.cores.iter().find(|(index, _)| *index == element) {
            self.unknown(core, -winding.turns, &mut values);
        }
        for value in &mut values {
            *value /= winding.ohms;
        }
        values
    }

    /// Current through a winding of a transformer, from its start to its end.
    pub fn winding_amperes(&self, element: usize, winding: usize) -> Wave {
        self.wave(self.winding_current(element, winding))
    }

    fn scaled(&self, a: Node, b: Node, factor: f64) -> Vec<f64> {
        let mut values = self.between(a, b);
        for value in &mut values {
            *value *= factor;
        }
        values
    }

    fn held(&self, element: usize) -> f64 {
        match self.slow.iter().position(|&index| index == element) {
            Some(position) => self.siemens[position],
            None => match self.circuit.elements.get(element) {
                Some(Element::Load { siemens, .. }) => siemens.max(LEAST_LOAD_SIEMENS),
                _ => 0.0,
            },
        }
    }

    fn current(&self, element: usize) -> Vec<f64> {
        match self.circuit.elements.get(element) {
            Some(Element::Resistor { a, b, ohms }) => self.scaled(*a, *b, 1.0 / ohms),
            Some(Element::Switch { a, b, closed: true }) => self.scaled(*a, *b, 1.0 / CONTACT_OHMS),
            Some(Element::Source {
                a,
                b,
                ohms,
                direct_volts,
                peak_volts,
                phase,
            }) => {
                let mut values = self.between(*a, *b);
                for (value, sample) in values
                    .iter_mut()
                    .zip(self.samples.columns.chunks_exact(self.columns))
                {
                    let own = direct_volts
                        + peak_volts
                            * (phase.cos() * sample[self.m + 1] + phase.sin() * sample[self.m + 2]);
                    *value = (*value - own) / ohms;
                }
                values
            }
            Some(Element::Capacitor {
                farads,
                leak_siemens,
                ..
            }) => {
                let Some(state) = self.state_of(element, 0) else {
                    return self.flat();
                };
                self.samples
                    .states
                    .chunks_exact(self.m.max(1))
                    .zip(self.samples.columns.chunks_exact(self.columns))
                    .map(|(states, columns)| {
                        farads * (states[state] - columns[state]) / self.alpha
                            + leak_siemens * states[state]
                    })
                    .collect()
            }
            Some(Element::Inductor { .. }) => match self.state_of(element, 0) {
                Some(state) => self.state_values(state),
                None => self.flat(),
            },
            Some(Element::Rectifier { anode, cathode, .. }) => {
                let Some(position) = self.rectifiers.iter().position(|&index| index == element)
                else {
                    return self.flat();
                };
                let mut values = self.between(*anode, *cathode);
                for value in &mut values {
                    *value = self.laws[position]
                        .current(*value, self.emission[position])
                        .0;
                }
                values
            }
            Some(Element::Warm { a, b, .. } | Element::Load { a, b, .. }) => {
                self.scaled(*a, *b, self.held(element))
            }
            Some(Element::Switch { closed: false, .. } | Element::Transformer { .. }) | None => {
                self.flat()
            }
        }
    }

    /// Current through an element from its first end to its second; a source
    /// that delivers shows a negative one.
    pub fn amperes(&self, element: usize) -> Wave {
        self.wave(self.current(element))
    }

    /// Volts across an element from its first end to its second.
    pub fn across(&self, element: usize) -> Wave {
        match self.circuit.elements.get(element).and_then(ends) {
            Some((a, b)) => self.volts(a, b),
            None => self.wave(self.flat()),
        }
    }

    /// Mean heat in an element, watts. For a transformer: copper and core
    /// together. What a capacitor or coil only borrows does not count.
    pub fn watts(&self, element: usize) -> f64 {
        match self.circuit.elements.get(element) {
            Some(Element::Capacitor {
                series_ohms,
                leak_siemens,
                ..
            }) => {
                let current = self.amperes(element).rms();
                let held = match self.state_of(element, 0) {
                    Some(state) => self.wave(self.state_values(state)).rms(),
                    None => 0.0,
                };
                current * current * series_ohms + held * held * leak_siemens
            }
            Some(Element::Inductor { ohms, .. }) => {
                let current = self.amperes(element).rms();
                current * current * ohms
            }
            Some(Element::Transformer {
                windings,
                loss_siemens,
                ..
            }) => {
                let copper: f64 = windings
                    .iter()
                    .enumerate()
                    .map(|(number, winding)| {
                        let current = self.winding_amperes(element, number).rms();
                        current * current * winding.ohms
                    })
                    .sum();
                let core = self.core_volts(element).rms();
                copper + core * core * loss_siemens
            }
            Some(_) => self.across(element).mean_product(&self.amperes(element)),
            None => 0.0,
        }
    }

    /// Volts a turn of a transformer's core.
    pub fn core_volts(&self, element: usize) -> Wave {
        let mut values = self.flat();
        if let Some(&(_, core)) = self.cores.iter().find(|(index, _)| *index == element) {
            self.unknown(core, 1.0, &mut values);
        }
        self.wave(values)
    }

    /// Mean power that a source delivers, watts.
    pub fn delivered_watts(&self, source: usize) -> f64 {
        -self.across(source).mean_product(&self.amperes(source))
    }

    /// Conductance held by a lamp, heater or load in this cycle, siemens.
    pub fn siemens(&self, element: usize) -> f64 {
        self.held(element)
    }

    /// How well Kirchhoff's current law is met, at the worst node and moment.
    pub fn balance(&self) -> Balance {
        let nothing = Balance {
            node: 0,
            amperes: 0.0,
            relative: 0.0,
        };
        self.balances()
            .into_iter()
            .reduce(|worst, other| {
                if other.amperes > worst.amperes {
                    other
                } else {
                    worst
                }
            })
            .unwrap_or(nothing)
    }

    /// What is left over at each node but the reference, at its worst moment.
    pub fn balances(&self) -> Vec<Balance> {
        let samples = self.weights.len();
        let mut sums = vec![vec![0.0; samples]; self.circuit.nodes];
        let mut sizes = vec![0.0f64; self.circuit.nodes];
        let mut add = |a: Node, b: Node, values: &[f64]| {
            for (sample, value) in values.iter().enumerate() {
                sums[a][sample] += value;
                sums[b][sample] -= value;
                for node in [a, b] {
                    sizes[node] = sizes[node].max(value.abs());
                }
            }
        };
        for (index, element) in self.circuit.elements.iter().enumerate() {
            if let Element::Transformer { windings, .. } = element {
                for (number, winding) in windings.iter().enumerate() {
                    add(
                        winding.start,
                        winding.end,
                        &self.winding_current(index, number),
                    );
                }
            } else if let Some((a, b)) = ends(element) {
                add(a, b, &self.current(index));
            }
        }
        // The leaks that hold floating parts are known, not left over.
        for node in 1..self.circuit.nodes {
            let tie = if self.ties.contains(&node) {
                TIE_SIEMENS
            } else {
                0.0
            };
            add(node, 0, &self.scaled(node, 0, FLOATING_SIEMENS + tie));
        }
        (1..self.circuit.nodes)
            .map(|node| {
                let amperes = sums[node]
                    .iter()
                    .fold(0.0f64, |worst, value| worst.max(value.abs()));
                Balance {
                    node,
                    amperes,
                    relative: amperes / sizes[node].max(1e-12),
                }
            })
            .collect()
    }
}

/// The two ends of a two-ended element.
fn ends(element: &Element) -> Option<(Node, Node)> {
    match element {
        Element::Resistor { a, b, .. }
        | Element::Switch { a, b, .. }
        | Element::Capacitor { a, b, .. }
        | Element::Inductor { a, b, .. }
        | Element::Source { a, b, .. }
        | Element::Warm { a, b, .. }
        | Element::Load { a, b, .. } => Some((*a, *b)),
        Element::Rectifier { anode, cathode, .. } => Some((*anode, *cathode)),
        Element::Transformer { .. } => None,
    }
}
