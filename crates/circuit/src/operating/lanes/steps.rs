//! One step of Newton's method, lane by lane: laws evaluated, currents added up, the matrix
//! stamped, factored and solved.
//!
//! Volts, amperes, siemens. Source: the equations of docs/theory/operating_point.md. A pivot
//! that vanishes is told by lane; nothing else fails.

use super::*;

impl<const LANES: usize> Lanes<'_, LANES> {
    /// Stamps all that does not change within a solution.
    pub(crate) fn stamp_base(&mut self) {
        self.base.fill([0.0; LANES]);
        for (siemens, line) in self.siemens.iter().zip(&self.plan.lines) {
            stamp_ends(&mut self.base, &line.places, siemens);
        }
        for &(node, lane) in &self.holds {
            self.base[self.plan.diagonal[node]][lane] += HOLD_SIEMENS;
        }
    }

    /// Evaluates all laws in the busy lanes. `First` takes them where they are held; `Limited`
    /// moves them towards the volts of the nodes, `Exact` to these. Tells which lanes hold a
    /// device back.
    pub(crate) fn evaluate(&mut self, how: Move) -> [bool; LANES] {
        let plan = self.plan;
        let mut back = [false; LANES];
        for (tube, of) in self.tubes.iter_mut().zip(&plan.tubes) {
            for lane in 0..LANES {
                if self.lanes[lane] != Lane::Busy {
                    continue;
                }
                let cathode = self.volts[of.cathode][lane];
                let mut wanted = [0.0; ELECTRODES];
                for &(electrode, node) in &of.electrodes {
                    wanted[electrode] = self.volts[node][lane] - cathode;
                }
                let mut held = wanted;
                match how {
                    Move::Exact => {}
                    Move::First => {
                        for &(electrode, _) in &of.electrodes {
                            held[electrode] = tube.held[lane][electrode];
                        }
                    }
                    Move::Limited => {
                        for &(electrode, _) in &of.electrodes {
                            let (least, share) = if electrode % 2 == 0 {
                                PLATE_STEP
                            } else {
                                GRID_STEP
                            };
                            let from = tube.held[lane][electrode];
                            let most = least + share * from.abs();
                            held[electrode] = wanted[electrode].clamp(from - most, from + most);
                        }
                    }
                }
                let mut found = of.law.currents(held, &tube.state[lane]);
                if held != wanted {
                    back[lane] = true;
                    for (amperes, slopes) in found.amperes.iter_mut().zip(&found.slopes) {
                        for electrode in 0..ELECTRODES {
                            *amperes += slopes[electrode] * (wanted[electrode] - held[electrode]);
                        }
                    }
                }
                tube.held[lane] = held;
                for row in 0..ELECTRODES {
                    tube.amperes[row][lane] = found.amperes[row];
                    for column in 0..ELECTRODES {
                        tube.slopes[row][column][lane] = found.slopes[row][column];
                    }
                }
            }
        }
        for (thing, (ends, law)) in self.things.iter_mut().zip(&plan.things) {
            for lane in 0..LANES {
                if self.lanes[lane] != Lane::Busy {
                    continue;
                }
                let wanted = self.volts[ends.a][lane] - self.volts[ends.b][lane];
                let held = match how {
                    Move::Exact => wanted,
                    Move::First => thing.held[lane],
                    Move::Limited => limited(law, thing.held[lane], wanted),
                };
                let (amperes, siemens) = law.current(held, thing.lit[lane]);
                thing.held[lane] = held;
                thing.siemens[lane] = siemens * thing.scale[lane];
                thing.amperes[lane] =
                    amperes * thing.scale[lane] + thing.siemens[lane] * (wanted - held);
                back[lane] |= held != wanted;
            }
        }
        back
    }

    /// Adds up what leaves each node.
    pub(crate) fn add_up(&mut self) {
        let plan = self.plan;
        let (volts, left) = (&self.volts, &mut self.left);
        left.fill([0.0; LANES]);
        let mut carry = |ends: &Ends, amperes: [f64; LANES]| {
            for lane in 0..LANES {
                left[ends.a][lane] += amperes[lane];
            }
            for lane in 0..LANES {
                left[ends.b][lane] -= amperes[lane];
            }
        };
        for (index, line) in plan.lines.iter().enumerate() {
            let (a, b) = (&volts[line.a], &volts[line.b]);
            let (siemens, source) = (&self.siemens[index], &self.source_volts[index]);
            let mut amperes = [0.0; LANES];
            for lane in 0..LANES {
                amperes[lane] = siemens[lane] * (a[lane] - b[lane] - source[lane] * self.supply);
            }
            carry(line, amperes);
        }
        for (feed, ends) in self.feeds.iter().zip(&plan.feeds) {
            let mut amperes = *feed;
            for amperes in &mut amperes {
                *amperes *= self.supply;
            }
            carry(ends, amperes);
        }
        for (thing, (ends, _)) in self.things.iter().zip(&plan.things) {
            carry(ends, thing.amperes);
        }
        for (tube, of) in self.tubes.iter().zip(&plan.tubes) {
            let mut sum = [0.0; LANES];
            for &(electrode, node) in &of.electrodes {
                let amperes = &tube.amperes[electrode];
                let left = &mut left[node];
                for lane in 0..LANES {
                    left[lane] += amperes[lane];
                    sum[lane] += amperes[lane];
                }
            }
            let left = &mut left[of.cathode];
            for lane in 0..LANES {
                left[lane] -= sum[lane];
            }
        }
        for &(node, lane) in &self.holds {
            left[node][lane] += HOLD_SIEMENS * volts[node][lane];
        }
    }

    /// What is left over in each lane against what is noise there. Needs [`Lanes::add_up`].
    pub(crate) fn balance(&self) -> [Balance; LANES] {
        let plan = self.plan;
        let volts = &self.volts;
        let mut noise = vec![[AMPERES_ABSOLUTE; LANES]; plan.nodes];
        for (index, line) in plan.lines.iter().enumerate() {
            let (a, b) = (&volts[line.a], &volts[line.b]);
            for lane in 0..LANES {
                let source = self.source_volts[index][lane] * self.supply;
                let share = self.siemens[index][lane]
                    * (AMPERES_RELATIVE * (a[lane] - b[lane] - source).abs()
                        + ROUNDINGS * (a[lane].abs() + b[lane].abs() + source.abs()));
                noise[line.a][lane] += share;
                noise[line.b][lane] += share;
            }
        }
        for (tube, of) in self.tubes.iter().zip(&plan.tubes) {
            for &(electrode, node) in &of.electrodes {
                for lane in 0..LANES {
                    let share = AMPERES_RELATIVE * tube.amperes[electrode][lane].abs();
                    noise[node][lane] += share;
                    noise[of.cathode][lane] += share;
                }
            }
        }
        for (thing, (ends, _)) in self.things.iter().zip(&plan.things) {
            for lane in 0..LANES {
                // A crystal is so steep that the rounding of its volts shows.
                let across = volts[ends.a][lane].abs() + volts[ends.b][lane].abs();
                let share = AMPERES_RELATIVE * thing.amperes[lane].abs()
                    + ROUNDINGS * thing.siemens[lane] * across;
                noise[ends.a][lane] += share;
                noise[ends.b][lane] += share;
            }
        }
        std::array::from_fn(|lane| {
            let mut worst = Balance {
                node: 0,
                amperes: 0.0,
                good: true,
            };
            for node in 1..plan.nodes {
                let left = self.left[node][lane].abs();
                if left > worst.amperes || left.is_nan() {
                    worst.amperes = left;
                    worst.node = node;
                }
                worst.good &= left <= noise[node][lane];
            }
            worst
        })
    }

    /// Puts base and slopes together.
    pub(crate) fn stamp(&mut self) {
        let plan = self.plan;
        self.values.copy_from_slice(&self.base);
        let values = &mut self.values;
        for (thing, (ends, _)) in self.things.iter().zip(&plan.things) {
            stamp_ends(values, &ends.places, &thing.siemens);
        }
        for (tube, of) in self.tubes.iter().zip(&plan.tubes) {
            let count = of.electrodes.len();
            let mut columns = [[0.0; LANES]; ELECTRODES];
            let mut all = [0.0; LANES];
            for (row, &(electrode, _)) in of.electrodes.iter().enumerate() {
                let places = &of.places[row * (count + 1)..(row + 1) * (count + 1)];
                let mut sum = [0.0; LANES];
                for (column, &(other, _)) in of.electrodes.iter().enumerate() {
                    let slope = &tube.slopes[electrode][other];
                    let value = &mut values[places[column]];
                    for lane in 0..LANES {
                        value[lane] += slope[lane];
                        sum[lane] += slope[lane];
                        columns[column][lane] += slope[lane];
                    }
                }
                let value = &mut values[places[count]];
                for lane in 0..LANES {
                    value[lane] -= sum[lane];
                    all[lane] += sum[lane];
                }
            }
            let places = &of.places[count * (count + 1)..];
            for (column, &place) in columns.iter().zip(&places[..count]) {
                for lane in 0..LANES {
                    values[place][lane] -= column[lane];
                }
            }
            for lane in 0..LANES {
                values[places[count]][lane] += all[lane];
            }
        }
    }

    /// Factors what was stamped. Lanes without a pivot are told.
    pub(crate) fn factor(&mut self) -> [bool; LANES] {
        for lane in 0..LANES {
            if self.lanes[lane] == Lane::Busy {
                self.factorisations[lane] += 1;
            }
        }
        self.plan
            .pattern
            .factor_side_by_side(&mut self.values, &mut self.diagonal)
    }

    /// Turns what is left over into the change of volts, sign not yet turned.
    pub(crate) fn solve(&mut self) {
        self.plan
            .pattern
            .solve_side_by_side(&self.values, &mut self.left[1..]);
    }
}

fn stamp_ends<const LANES: usize>(
    values: &mut [[f64; LANES]],
    places: &[usize; 4],
    siemens: &[f64; LANES],
) {
    for &place in &places[..2] {
        for lane in 0..LANES {
            values[place][lane] += siemens[lane];
        }
    }
    for &place in &places[2..] {
        for lane in 0..LANES {
            values[place][lane] -= siemens[lane];
        }
    }
}

/// How far a thing with two ends may go at once.
fn limited(law: &TwoTerminalLaw, from: f64, wanted: f64) -> f64 {
    match law {
        TwoTerminalLaw::Crystal { .. } => {
            let (least, share) = CRYSTAL_STEP;
            wanted.min(from.max(0.0) * (1.0 + share) + least)
        }
        TwoTerminalLaw::VoltageDependent {
            volts_at_one_ampere,
            beta,
        } => {
            let (least, share) = VARISTOR_STEP;
            let one_milliampere = volts_at_one_ampere * 1e-3f64.powf(*beta);
            let most = least * one_milliampere + share * from.abs();
            wanted.clamp(from - most, from + most)
        }
        TwoTerminalLaw::Neon { .. } => wanted,
    }
}
