//! The set with the plug out as a network of resistors and capacitors, brought down to the
//! capacitors' volts and solved in closed form.
//!
//! Volts, ohms, farads, seconds. Between two moments at which a metal rectifier begins or
//! ends to conduct the network is linear: the volts after a span are the matrix
//! exponential of the rates times the volts before (scaling and squaring, C. Moler and C.
//! Van Loan, SIAM Rev. 45 (2003) 3; from memory). Spans double from a millisecond or less
//! to a day. A network in which a node hangs free discharges nothing.

use circuit::{Element, Node};

use crate::conditions::BenchConditions;
use crate::expect::ROOM_KELVIN;
use crate::plan::situation::{capacitors, ends, is_named};
use crate::sheet::PartValue;
use crate::wiring::{SetModel, Variation, WiringError};

use super::LONGEST_SECONDS;

/// Capacitors below this take no part, farads: at 1000 V they hold the least energy.
const LEAST_FARADS: f64 = 1e-9;
/// Time constant that a capacitor has with its own series resistance at least, seconds.
/// Far below every time that is told; it keeps the equations well scaled.
const OWN_SECONDS: f64 = 1e-4;
/// Ohms between a part of the circuit that nothing ties and the chassis.
const NOWHERE_OHMS: f64 = 1e13;
/// Seconds in which neighbouring cans come to one level through chokes and small resistors.
const EVENED_SECONDS: f64 = 0.2;
/// Most resistors that are opened in turn.
const MOST_BLEEDERS: usize = 6;
/// Share of the heat of discharge from which a resistor counts as a bleeder.
const BLEEDER_SHARE: f64 = 0.02;

/// The set without its line, as conductances and capacitors.
pub(super) struct Network {
    nodes: usize,
    /// Conductances between nodes; node 0 is the chassis.
    branches: Vec<(Node, Node, f64)>,
    /// Metal rectifiers: anode, cathode, siemens while conducting.
    rectifiers: Vec<(Node, Node, f64)>,
    capacitors: Vec<Reservoir>,
    /// Elements of each part in `branches`, for finding the bleeders.
    part_branches: Vec<Vec<(Node, Node, f64)>>,
}

#[derive(Clone, Copy)]
struct Reservoir {
    part: usize,
    a: Node,
    b: Node,
    farads: f64,
    siemens: f64,
}

impl Network {
    pub(super) fn new(
        model: &SetModel<'_>,
        conditions: &BenchConditions,
        variation: &Variation,
    ) -> Result<Network, WiringError> {
        let wired = model.wire_unplugged(conditions, variation)?;
        let circuit = &wired.circuit;
        let mut is_capacitor = vec![false; circuit.elements.len()];
        let mut network = Network {
            nodes: circuit.nodes,
            branches: Vec::new(),
            rectifiers: Vec::new(),
            capacitors: Vec::new(),
            part_branches: vec![Vec::new(); model.sheet.parts.len()],
        };
        for part in capacitors(model) {
            for &element in wired.parts.get(part).map_or(&[][..], Vec::as_slice) {
                is_capacitor[element] = true;
            }
            let reference = &model.sheet.parts[part].reference;
            let is_out = is_named(&conditions.fitted_without, reference)
                || is_named(&model.sheet.state.cut_loose, reference);
            let (Some((from, to)), Some(farads), false) =
                (ends(model, part), model.farads(part), is_out)
            else {
                continue;
            };
            let (a, b) = (wired.node(from), wired.node(to));
            if a == b || farads < LEAST_FARADS {
                continue;
            }
            let ohms = model.series_ohms(part).max(OWN_SECONDS / farads);
            network.capacitors.push(Reservoir {
                part,
                a,
                b,
                farads,
                siemens: 1.0 / ohms,
            });
        }
        let groups = circuit.cold(ROOM_KELVIN);
        let mut of_element: Vec<Vec<(Node, Node, f64)>> = vec![Vec::new(); is_capacitor.len()];
        for (index, element) in circuit.elements.iter().enumerate() {
            if is_capacitor[index] {
                continue;
            }
            let mut join = |a: Node, b: Node, siemens: f64| {
                if a != b && siemens > 0.0 {
                    network.branches.push((a, b, siemens));
                    of_element[index].push((a, b, siemens));
                }
            };
            match element {
                Element::Resistor { a, b, ohms } | Element::Inductor { a, b, ohms, .. } => {
                    join(*a, *b, 1.0 / ohms);
                }
                Element::Switch { a, b, closed } => {
                    if *closed {
                        join(*a, *b, 1.0 / circuit::element::CONTACT_OHMS);
                    }
                }
                Element::Transformer { windings, .. } => {
                    for winding in windings {
                        join(winding.start, winding.end, 1.0 / winding.ohms);
                    }
                }
                Element::Warm { a, b, group } => {
                    if let (Some(law), Some(state)) =
                        (circuit.groups.get(*group), groups.get(*group))
                    {
                        join(*a, *b, law.siemens(state));
                    }
                }
                Element::Rectifier {
                    anode,
                    cathode,
                    law: circuit::RectifierLaw::Junction { series_ohms, .. },
                    ..
                } if anode != cathode => {
                    network
                        .rectifiers
                        .push((*anode, *cathode, 1.0 / series_ohms));
                }
                // Cold tubes and the loads that stand for them conduct nothing; a source is out.
                Element::Rectifier { .. }
                | Element::Load { .. }
                | Element::Source { .. }
                | Element::Capacitor { .. } => {}
            }
        }
        for (part, elements) in wired.parts.iter().enumerate() {
            for &element in elements {
                network.part_branches[part].extend_from_slice(&of_element[element]);
            }
        }
        Ok(network)
    }

    /// Volts of every node for one volt on each capacitor in turn, node by node.
    fn node_volts(&self, conducting: &[bool]) -> Option<Vec<Vec<f64>>> {
        let (n, m) = (self.nodes.max(1) - 1, self.capacitors.len());
        let mut matrix = vec![0.0; n * n];
        let mut sides = vec![0.0; n * m];
        let mut join = |a: Node, b: Node, siemens: f64| {
            for (here, there) in [(a, b), (b, a)] {
                if here > 0 {
                    matrix[(here - 1) * n + here - 1] += siemens;
                    if there > 0 {
                        matrix[(here - 1) * n + there - 1] -= siemens;
                    }
                }
            }
        };
        for node in 1..=n {
            join(node, 0, 1.0 / NOWHERE_OHMS);
        }
        for &(a, b, siemens) in &self.branches {
            join(a, b, siemens);
        }
        for (&(a, b, siemens), _) in self
            .rectifiers
            .iter()
            .zip(conducting)
            .filter(|(_, conducting)| **conducting)
        {
            join(a, b, siemens);
        }
        for capacitor in &self.capacitors {
            join(capacitor.a, capacitor.b, capacitor.siemens);
        }
        for (column, capacitor) in self.capacitors.iter().enumerate() {
            if capacitor.a > 0 {
                sides[(capacitor.a - 1) * m + column] += capacitor.siemens;
            }
            if capacitor.b > 0 {
                sides[(capacitor.b - 1) * m + column] -= capacitor.siemens;
            }
        }
        eliminate(&mut matrix, &mut sides, n, m)?;
        let mut rows = vec![vec![0.0; m]];
        // Where every capacitor is out, each node has a row of nothing.
        rows.extend((0..n).map(|row| sides[row * m..(row + 1) * m].to_vec()));
        Some(rows)
    }

    fn start(&self, capacitor_volts: &[f64]) -> Vec<f64> {
        self.capacitors
            .iter()
            .map(|capacitor| capacitor_volts.get(capacitor.part).copied().unwrap_or(0.0))
            .collect()
    }

    /// Resistors that carry the discharge, the strongest first.
    pub(super) fn bleeders(&self, model: &SetModel<'_>, capacitor_volts: &[f64]) -> Vec<usize> {
        // What only evens out between neighbours is over by then.
        let Some(volts) = self.after(EVENED_SECONDS, self.start(capacitor_volts)) else {
            return Vec::new();
        };
        let Some((_, rows)) = self.at_rest(&volts) else {
            return Vec::new();
        };
        let at = |node: Node| dot(rows.get(node).map_or(&[][..], Vec::as_slice), &volts);
        let mut heat: Vec<(usize, f64)> = self
            .part_branches
            .iter()
            .enumerate()
            .filter(|(part, _)| {
                matches!(
                    model.sheet.parts[*part].value,
                    PartValue::Resistor { .. } | PartValue::Control { .. }
                )
            })
            .map(|(part, branches)| {
                let watts = branches
                    .iter()
                    .map(|&(a, b, siemens)| (at(a) - at(b)).powi(2) * siemens)
                    .sum();
                (part, watts)
            })
            .collect();
        heat.sort_by(|one, other| other.1.total_cmp(&one.1));
        let most = heat.first().map_or(0.0, |(_, watts)| *watts);
        heat.into_iter()
            .take_while(|(_, watts)| *watts > 0.0 && *watts >= BLEEDER_SHARE * most)
            .map(|(part, _)| part)
            .take(MOST_BLEEDERS)
            .collect()
    }

    /// The capacitors' volts about so many seconds later, the rectifiers as they are now.
    fn after(&self, seconds: f64, volts: Vec<f64>) -> Option<Vec<f64>> {
        let (_, rows) = self.at_rest(&volts)?;
        let m = self.capacitors.len();
        let strides = Strides::new(&self.rates(&rows), m);
        let number =
            (0..strides.powers.len()).find(|&number| strides.seconds(number) >= seconds)?;
        Some(apply(strides.powers.get(number)?, &volts, m))
    }

    /// Which rectifiers conduct with these volts on the capacitors, and the node volts then.
    fn at_rest(&self, volts: &[f64]) -> Option<(Vec<bool>, Vec<Vec<f64>>)> {
        let mut conducting = vec![false; self.rectifiers.len()];
        // Each turn switches the one that is most wrong, so this ends.
        for _ in 0..=4 * self.rectifiers.len() {
            let rows = self.node_volts(&conducting)?;
            match self.most_wrong(&conducting, &rows, volts) {
                Some(wrong) => conducting[wrong] = !conducting[wrong],
                None => return Some((conducting, rows)),
            }
        }
        let none = vec![false; self.rectifiers.len()];
        let rows = self.node_volts(&none)?;
        Some((none, rows))
    }

    fn most_wrong(&self, conducting: &[bool], rows: &[Vec<f64>], volts: &[f64]) -> Option<usize> {
        /// Volts by which a rectifier has to be wrong, to count.
        const CLOSE_VOLTS: f64 = 0.1;
        self.rectifiers
            .iter()
            .zip(conducting)
            .enumerate()
            .filter_map(|(index, (&(a, b, _), &conducts))| {
                let across = dot(&rows[a], volts) - dot(&rows[b], volts);
                let wrong = if conducts { -across * 1e3 } else { across };
                (wrong > CLOSE_VOLTS).then_some((index, wrong))
            })
            .max_by(|one, other| one.1.total_cmp(&other.1))
            .map(|(index, _)| index)
    }

    /// Rate of each capacitor's volts for one volt on each.
    fn rates(&self, rows: &[Vec<f64>]) -> Vec<f64> {
        let m = self.capacitors.len();
        let mut rates = vec![0.0; m * m];
        for (row, capacitor) in self.capacitors.iter().enumerate() {
            for column in 0..m {
                let own = if row == column { 1.0 } else { 0.0 };
                let across = rows[capacitor.a][column] - rows[capacitor.b][column];
                rates[row * m + column] = (across - own) * capacitor.siemens / capacitor.farads;
            }
        }
        rates
    }

    /// Seconds until each capacitor stays below `limit` volts, by its part; `None` where
    /// that takes longer than anybody waits.
    pub(super) fn seconds_to(
        &self,
        limit: f64,
        capacitor_volts: &[f64],
    ) -> Vec<(usize, Option<f64>)> {
        let m = self.capacitors.len();
        let mut volts = self.start(capacitor_volts);
        let mut last_above = vec![0.0; m];
        let mut now = 0.0;
        // Rectifiers switch a few times at most on the way down.
        'pieces: for _ in 0..=8 * (1 + self.rectifiers.len()) {
            let Some((conducting, rows)) = self.at_rest(&volts) else {
                break;
            };
            let strides = Strides::new(&self.rates(&rows), m);
            let mut longest = strides.powers.len() - 1;
            let mut stride = 0;
            while now < LONGEST_SECONDS && volts.iter().any(|volts| volts.abs() > limit) {
                let next = apply(&strides.powers[stride], &volts, m);
                let switches = self.most_wrong(&conducting, &rows, &next).is_some();
                if switches && stride > 0 {
                    // A rectifier switches within this stride: closer steps up to there.
                    longest = stride - 1;
                    stride = longest;
                    continue;
                }
                for (number, last) in last_above.iter_mut().enumerate() {
                    if volts[number].abs() > limit && next[number].abs() <= limit {
                        *last = now + strides.seconds_above(stride, &volts, number, limit);
                    }
                }
                volts = next;
                now += strides.seconds(stride);
                if switches {
                    continue 'pieces;
                }
                stride = (stride + 1).min(longest);
            }
            break;
        }
        self.capacitors
            .iter()
            .zip(last_above)
            .zip(&volts)
            .map(|((capacitor, last), volts)| {
                (capacitor.part, (volts.abs() <= limit).then_some(last))
            })
            .collect()
    }
}

/// What becomes of the capacitors' volts over spans of time, each twice the one before.
struct Strides {
    size: usize,
    first_seconds: f64,
    powers: Vec<Vec<f64>>,
}

impl Strides {
    /// From the rates, row by row.
    fn new(rates: &[f64], size: usize) -> Strides {
        let fastest = rates
            .chunks(size.max(1))
            .map(|row| row.iter().map(|rate| rate.abs()).sum::<f64>())
            .fold(1e-9, f64::max);
        // A millisecond is as closely as a time is told.
        let first_seconds = (0.25 / fastest).min(1e-3);
        // The exponential's series; at a quarter fourteen terms leave less than 1e-16.
        let mut power = identity(size);
        let mut term = identity(size);
        for order in 1..=14 {
            term = multiply(&term, rates, size);
            for value in &mut term {
                *value *= first_seconds / f64::from(order);
            }
            for (sum, value) in power.iter_mut().zip(&term) {
                *sum += value;
            }
        }
        let mut powers = vec![power];
        let mut seconds = first_seconds;
        while seconds < LONGEST_SECONDS {
            let last = &powers[powers.len() - 1];
            powers.push(multiply(last, last, size));
            seconds *= 2.0;
        }
        Strides {
            size,
            first_seconds,
            powers,
        }
    }

    fn seconds(&self, stride: usize) -> f64 {
        self.first_seconds * 2f64.powi(i32::try_from(stride).unwrap_or(i32::MAX))
    }

    /// Within one stride, how long the volts of one capacitor stay above the limit.
    fn seconds_above(&self, stride: usize, start: &[f64], number: usize, limit: f64) -> f64 {
        let mut volts = start.to_vec();
        let mut above = 0.0;
        for shorter in (0..stride).rev() {
            let next = apply(&self.powers[shorter], &volts, self.size);
            if next[number].abs() > limit {
                volts = next;
                above += self.seconds(shorter);
            }
        }
        above
    }
}

fn identity(size: usize) -> Vec<f64> {
    let mut matrix = vec![0.0; size * size];
    for row in 0..size {
        matrix[row * size + row] = 1.0;
    }
    matrix
}

fn multiply(one: &[f64], other: &[f64], size: usize) -> Vec<f64> {
    let mut product = vec![0.0; size * size];
    for row in 0..size {
        let out = &mut product[row * size..(row + 1) * size];
        for inner in 0..size {
            let factor = one[row * size + inner];
            for (sum, value) in out.iter_mut().zip(&other[inner * size..(inner + 1) * size]) {
                *sum += factor * value;
            }
        }
    }
    product
}

fn apply(matrix: &[f64], volts: &[f64], size: usize) -> Vec<f64> {
    matrix
        .chunks(size.max(1))
        .take(size)
        .map(|row| dot(row, volts))
        .collect()
}

fn dot(row: &[f64], volts: &[f64]) -> f64 {
    row.iter().zip(volts).map(|(one, other)| one * other).sum()
}

/// Solves `matrix * x = sides` in place for `m` right sides; `None` where a node hangs free.
fn eliminate(matrix: &mut [f64], sides: &mut [f64], n: usize, m: usize) -> Option<()> {
    for column in 0..n {
        let pivot = (column..n).max_by(|&one, &other| {
            matrix[one * n + column]
                .abs()
                .total_cmp(&matrix[other * n + column].abs())
        })?;
        if matrix[pivot * n + column].abs() < 1e-300 {
            return None;
        }
        if pivot != column {
            for index in 0..n {
                matrix.swap(pivot * n + index, column * n + index);
            }
            for index in 0..m {
                sides.swap(pivot * m + index, column * m + index);
            }
        }
        let (above, below) = matrix.split_at_mut((column + 1) * n);
        let pivots = &above[column * n..];
        let (sides_above, sides_below) = sides.split_at_mut((column + 1) * m);
        let pivot_sides = &sides_above[column * m..];
        for (row, side) in below.chunks_mut(n).zip(sides_below.chunks_mut(m.max(1))) {
            let factor = row[column] / pivots[column];
            if factor == 0.0 {
                continue;
            }
            for (value, pivot) in row[column..].iter_mut().zip(&pivots[column..]) {
                *value -= factor * pivot;
            }
            for (value, pivot) in side.iter_mut().zip(pivot_sides) {
                *value -= factor * pivot;
            }
        }
    }
    for row in (0..n).rev() {
        for column in row + 1..n {
            let factor = matrix[row * n + column];
            if factor != 0.0 {
                for side in 0..m {
                    sides[row * m + side] -= factor * sides[column * m + side];
                }
            }
        }
        let own = matrix[row * n + row];
        for side in &mut sides[row * m..(row + 1) * m] {
            *side /= own;
        }
    }
    Some(())
}
