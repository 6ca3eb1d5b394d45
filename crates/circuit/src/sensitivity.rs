//! The derivative of a cycle by its first state and by the conductances of lamps and heaters.
//!
//! Inside: volts, amperes, siemens. The stages of a cycle are differentiated one
//! after the other as they are run, with the rectifiers at the slopes they have.
//! Nothing here fails: where the rectifiers' volts were found, their slopes are too.

use crate::cycle::CARRY;
use crate::dense::{BLOCK, add_scaled, dot, product};
use crate::fold::Folded;
use crate::rectify::{Rectified, solve_active};

/// What follows the conductance of each thermal group, as the group's temperatures
/// move along their common way: loads and emissions.
#[derive(Debug, Clone, Default)]
pub(crate) struct Gains {
    /// For each slow port: place of the group it follows, and its siemens for each of
    /// the group's. A thermal group follows itself one for one.
    pub slow: Vec<(usize, f64)>,
    /// For each rectifier: place of the group, and the relative change of its emission
    /// for each siemens of the group's.
    pub emission: Vec<Option<(usize, f64)>>,
}

/// One stage of a cycle as it was solved.
pub(crate) struct Moment<'a> {
    /// Histories and sources.
    pub known: &'a [f64],
    pub rectified: &'a Rectified,
    /// Volts of the thermal groups.
    pub thermal: &'a [f64],
    /// First or second stage of the step.
    pub half: usize,
    /// The stage's share in a mean square.
    pub weight: f64,
}

/// The derivative so far. Columns: states, then thermal groups, padded to `wide`.
#[derive(Debug, Clone)]
pub(crate) struct Sensitivity {
    m: usize,
    k: usize,
    /// Numbers a row.
    pub wide: usize,
    /// Of the mean-square volts of the thermal groups, t rows.
    pub drive: Vec<f64>,
    /// Of the state at the start of the step; after a cycle, of its last state. m rows.
    pub states: Vec<f64>,
    history: Vec<f64>,
    /// Of rectifier volts, states, volts of thermal groups.
    out: Vec<f64>,
    active: Vec<usize>,
    square: Vec<f64>,
    right: Vec<f64>,
    held: Vec<f64>,
    /// For each slow port: the group's column and the current put in.
    inject: Vec<(usize, f64)>,
}

impl Sensitivity {
    pub fn new(m: usize, k: usize, t: usize) -> Sensitivity {
        let wide = (m + t).next_multiple_of(BLOCK);
        Sensitivity {
            m,
            k,
            wide,
            drive: vec![0.0; t * wide],
            states: vec![0.0; m * wide],
            history: vec![0.0; m * wide],
            out: vec![0.0; (k + m + t) * wide],
            active: Vec::with_capacity(k),
            square: Vec::with_capacity(k * k),
            right: Vec::with_capacity(k * wide),
            held: vec![0.0; k * wide],
            inject: Vec::new(),
        }
    }

    /// At the start of a cycle each state is its own derivative.
    pub fn begin(&mut self) {
        self.drive.fill(0.0);
        self.states.fill(0.0);
        for index in 0..self.m {
            self.states[index * self.wide + index] = 1.0;
        }
    }

    /// Carries the derivative through one stage. `emission` gives, for a rectifier, the
    /// place of the group that it follows and its change of current with it; `slow`
    /// what follows the groups among the slow ports.
    pub fn stage(
        &mut self,
        folded: &Folded,
        moment: &Moment<'_>,
        emission: impl Fn(usize) -> Option<(usize, f64)>,
        slow: &[(usize, f64)],
    ) {
        let (m, k, wide) = (self.m, self.k, self.wide);
        let after = k * wide..(k + m) * wide;
        if moment.half == 1 {
            for ((history, start), stage) in self
                .history
                .iter_mut()
                .zip(&self.states)
                .zip(&self.out[after.clone()])
            {
                *history = start + CARRY * (stage - start);
            }
        }
        let history = if moment.half == 0 {
            &self.states
        } else {
            &self.history
        };
        // volts change = row * history + forced + coupling * slopes * volts change
        product(
            &folded.by_row,
            folded.columns,
            m,
            history,
            wide,
            &mut self.out,
        );
        self.inject.clear();
        for (row, &(group, gain)) in folded.slow.chunks_exact(folded.slow_width.max(1)).zip(slow) {
            let volts = dot(&row[..folded.first], moment.known)
                + dot(
                    &row[folded.first..folded.columns],
                    &moment.rectified.amperes,
                );
            self.inject.push((group, gain * volts));
        }
        for (row, forced) in self
            .out
            .chunks_exact_mut(wide.max(1))
            .zip(folded.forced.chunks_exact(folded.q.max(1)))
        {
            for (forced, &(group, amperes)) in forced.iter().zip(&self.inject) {
                row[m + group] += forced * amperes;
            }
        }
        let slopes = &moment.rectified.slopes;
        if slopes.iter().any(|&slope| slope != 0.0) {
            self.rectify(folded, slopes, emission);
        }
        for ((drive, change), volts) in self
            .drive
            .chunks_exact_mut(wide.max(1))
            .zip(self.out[(k + m) * wide..].chunks_exact(wide.max(1)))
            .zip(moment.thermal)
        {
            add_scaled(drive, 2.0 * moment.weight * volts, change);
        }
        if moment.half == 1 {
            self.states.copy_from_slice(&self.out[after]);
        }
    }

    /// Adds what the rectifiers' currents change.
    fn rectify(
        &mut self,
        folded: &Folded,
        slopes: &[f64],
        emission: impl Fn(usize) -> Option<(usize, f64)>,
    ) {
        let (m, k, wide) = (self.m, self.k, self.wide);
        let (volts, others) = self.out.split_at_mut(k * wide);
        self.held.copy_from_slice(volts);
        for index in 0..k {
            if let Some((group, amperes)) = emission(index) {
                for row in 0..k {
                    self.held[row * wide + m + group] += folded.coupling(row)[index] * amperes;
                }
            }
        }
        // A vanishing pivot cannot occur where the Newton solution just converged; if it
        // did, the derivative would be off and the iteration would say so.
        if !solve_active(
            folded,
            slopes,
            &mut self.held,
            wide,
            &mut self.active,
            &mut self.square,
            &mut self.right,
        ) {
            return;
        }
        for ((index, held), slope) in self
            .held
            .chunks_exact_mut(wide.max(1))
            .enumerate()
            .zip(slopes)
        {
            for value in &mut *held {
                *value *= slope;
            }
            if let Some((group, amperes)) = emission(index) {
                held[m + group] += amperes;
            }
        }
        for (index, target) in others.chunks_exact_mut(wide.max(1)).enumerate() {
            let coupling = folded.coupling(k + index);
            for ((change, coupling), slope) in self
                .held
                .chunks_exact(wide.max(1))
                .zip(coupling)
                .zip(slopes)
            {
                if *slope != 0.0 {
                    add_scaled(target, *coupling, change);
                }
            }
        }
    }
}
