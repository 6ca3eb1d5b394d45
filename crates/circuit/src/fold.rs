//! A solved stage with its slow ports folded in, ready for time steps.
//!
//! Inside: volts, amperes, siemens. While the conductances of lamps, heaters and
//! loads are held, their ports are eliminated from the stage once; what remains
//! per step is one small product for the histories and one small Newton solution
//! for the rectifiers ([`crate::rectify`]). Only lamps and heaters need their volts
//! at every step; those of loads are worked out when a cycle is recorded.
//! Fails when the held conductances leave no single solution.

use crate::dense::{add_scaled, dense_solve, dot};
use crate::error::CircuitError;
use crate::layout::{Layout, SOURCES};
use crate::stage::Stage;

/// A stage with held conductances. Rows: rectifier volts (k), states (m), volts of
/// lamps and heaters (t). Columns: histories, sources, rectifier currents.
#[derive(Debug, Clone, Default)]
pub(crate) struct Folded {
    /// States.
    pub m: usize,
    /// Rectifiers.
    pub k: usize,
    /// Thermal groups.
    pub t: usize,
    /// Histories and sources.
    pub first: usize,
    /// Histories, sources and rectifiers.
    pub columns: usize,
    /// Rows: k + m + t.
    pub height: usize,
    /// The matrix, row by row.
    pub by_row: Vec<f64>,
    /// The matrix, column by column.
    pub by_column: Vec<f64>,
    /// Slow ports.
    pub q: usize,
    /// Response of every row to one ampere more through each slow port; only where
    /// asked for.
    pub forced: Vec<f64>,
    /// Conductance of each slow port less its base.
    pub excess: Vec<f64>,
    /// Volts of every slow port, `slow_width` numbers each, the first of them per column.
    pub slow: Vec<f64>,
    /// Numbers a row of `slow`.
    pub slow_width: usize,
    square: Vec<f64>,
}

impl Folded {
    /// Folds slow ports of these conductances (siemens, in the layout's order) into a stage.
    pub fn new(layout: &Layout, stage: &Stage, siemens: &[f64]) -> Result<Folded, CircuitError> {
        let mut folded = Folded::default();
        folded.fold(layout, stage, siemens, false)?;
        Ok(folded)
    }

    /// The same in the room of an earlier one, on request with the responses to
    /// currents through the slow ports.
    pub fn fold(
        &mut self,
        layout: &Layout,
        stage: &Stage,
        siemens: &[f64],
        with_forced: bool,
    ) -> Result<(), CircuitError> {
        let m = layout.states.len();
        let k = layout.rectifiers.len();
        let q = layout.slow.len();
        let t = layout.thermal.len();
        let first = m + SOURCES;
        let columns = first + k;
        let all = stage.columns;
        (self.m, self.k, self.t, self.q) = (m, k, t, q);
        (self.first, self.columns, self.height) = (first, columns, k + m + t);
        self.excess.clear();
        self.excess.extend(
            siemens
                .iter()
                .zip(&layout.slow)
                .map(|(siemens, port)| siemens - port.base_siemens),
        );
        // volts = direct + Z (excess * volts)  =>  (1 - Z excess) volts = direct
        let width = if with_forced { all } else { columns };
        self.slow_width = width;
        self.square.clear();
        self.slow.clear();
        for (row, from) in stage.ports[k * all..].chunks_exact(all).enumerate() {
            self.square.extend(
                from[columns..]
                    .iter()
                    .zip(&self.excess)
                    .map(|(value, excess)| -value * excess),
            );
            self.square[row * q + row] += 1.0;
            self.slow.extend_from_slice(&from[..width]);
        }
        dense_solve(&mut self.square, &mut self.slow, q, width)
            .map_err(|pivot| CircuitError::Singular { node: 0, pivot })?;
        self.by_row.clear();
        self.forced.clear();
        for source in [&stage.ports[..k * all], &stage.states[..]] {
            for from in source.chunks_exact(all) {
                let start = self.by_row.len();
                self.by_row.extend_from_slice(&from[..columns]);
                let forced = self.forced.len();
                self.forced.extend_from_slice(&from[columns..width]);
                for ((value, excess), volts) in from[columns..]
                    .iter()
                    .zip(&self.excess)
                    .zip(self.slow.chunks_exact(width.max(1)))
                {
                    let gain = value * excess;
                    if gain != 0.0 {
                        add_scaled(&mut self.by_row[start..], gain, &volts[..columns]);
                        add_scaled(&mut self.forced[forced..], gain, &volts[columns..]);
                    }
                }
            }
        }
        for &(port, _) in &layout.thermal {
            let volts = &self.slow[port * width..(port + 1) * width];
            self.by_row.extend_from_slice(&volts[..columns]);
            self.forced.extend_from_slice(&volts[columns..]);
        }
        self.by_column.resize(columns * self.height, 0.0);
        for (row, from) in self.by_row.chunks_exact(columns).enumerate() {
            for (column, value) in from.iter().enumerate() {
                self.by_column[column * self.height + row] = *value;
            }
        }
        Ok(())
    }

    /// Rectifier currents' columns of a rectifier's row.
    #[inline]
    pub fn coupling(&self, row: usize) -> &[f64] {
        &self.by_row[row * self.columns + self.first..(row + 1) * self.columns]
    }

    /// All rows for known histories and sources, before rectifier currents.
    #[inline]
    pub fn open(&self, known: &[f64], out: &mut [f64]) {
        out.fill(0.0);
        for (value, column) in known
            .iter()
            .zip(self.by_column.chunks_exact(self.height.max(1)))
        {
            add_scaled(out, *value, column);
        }
    }

    /// Adds the rectifier currents to all rows.
    #[inline]
    pub fn add_rectified(&self, amperes: &[f64], out: &mut [f64]) {
        for (value, column) in amperes
            .iter()
            .zip(self.by_column[self.first * self.height..].chunks_exact(self.height.max(1)))
        {
            if *value != 0.0 {
                add_scaled(out, *value, column);
            }
        }
    }

    /// Adds to `columns` one sample with the currents of the slow ports above their base
    /// after its histories, sources and rectifier currents.
    pub fn complete(&self, sample: &[f64], columns: &mut Vec<f64>) {
        columns.extend_from_slice(sample);
        columns.extend(
            self.slow
                .chunks_exact(self.slow_width.max(1))
                .zip(&self.excess)
                .map(|(row, excess)| dot(&row[..self.columns], sample) * excess),
        );
    }
}
