//! Least squares with priors.
//!
//! Plain numbers. Each constant of a law has a usual value and a usual deviation; being off
//! by one deviation costs as much as missing one figure by its doubt. The search is that of
//! the library `levenberg-marquardt` (J. J. Moré's form, 1978) with slopes by differences. A
//! search that ends early gives the best place found; the caller judges what is left over.

use levenberg_marquardt::{LeastSquaresProblem, LevenbergMarquardt};
use nalgebra::{DMatrix, DVector, Dyn, Owned};

/// What is usual for a constant, as it is searched for (often its logarithm).
#[derive(Clone, Copy, Debug)]
pub(super) struct Prior {
    /// The usual value.
    pub(super) usual: f64,
    /// The usual deviation.
    pub(super) deviation: f64,
}

/// Shorthand for a prior.
pub(super) const fn prior(usual: f64, deviation: f64) -> Prior {
    Prior { usual, deviation }
}

/// Step of the differences: far above rounding, far below any deviation.
const STEP: f64 = 1e-5;

/// Evaluations of the residuals for each constant after which the search ends.
const PATIENCE: usize = 60;

/// A misfit that stands for a figure that came out as no number.
const NO_NUMBER: f64 = 1e3;

struct Search<'a, R> {
    at: DVector<f64>,
    priors: &'a [Prior],
    misfits: &'a R,
}

impl<R: Fn(&[f64], &mut Vec<f64>)> Search<'_, R> {
    fn all_at(&self, at: &[f64]) -> Vec<f64> {
        let mut all: Vec<f64> = self
            .priors
            .iter()
            .zip(at)
            .map(|(prior, value)| (value - prior.usual) / prior.deviation)
            .collect();
        (self.misfits)(at, &mut all);
        for misfit in &mut all {
            if !misfit.is_finite() {
                *misfit = NO_NUMBER;
            }
        }
        all
    }
}

impl<R: Fn(&[f64], &mut Vec<f64>)> LeastSquaresProblem<f64, Dyn, Dyn> for Search<'_, R> {
    type ResidualStorage = Owned<f64, Dyn>;
    type JacobianStorage = Owned<f64, Dyn, Dyn>;
    type ParameterStorage = Owned<f64, Dyn>;

    fn set_params(&mut self, at: &DVector<f64>) {
        self.at.copy_from(at);
    }

    fn params(&self) -> DVector<f64> {
        self.at.clone()
    }

    fn residuals(&self) -> Option<DVector<f64>> {
        Some(DVector::from_vec(self.all_at(self.at.as_slice())))
    }

    fn jacobian(&self) -> Option<DMatrix<f64>> {
        let here = self.all_at(self.at.as_slice());
        let mut moved: Vec<f64> = self.at.as_slice().to_vec();
        let mut slopes = DMatrix::zeros(here.len(), moved.len());
        for (constant, mut column) in slopes.column_iter_mut().enumerate() {
            let Some(value) = moved.get_mut(constant) else {
                continue;
            };
            let before = *value;
            *value = before + STEP;
            let there = self.all_at(&moved);
            if let Some(value) = moved.get_mut(constant) {
                *value = before;
            }
            for (slope, (there, here)) in column.iter_mut().zip(there.iter().zip(&here)) {
                *slope = (there - here) / STEP;
            }
        }
        Some(slopes)
    }
}

/// The constants that meet figures and priors best. `misfits` adds one number for each
/// figure: law less published over its doubt.
pub(super) fn best<R: Fn(&[f64], &mut Vec<f64>)>(
    start: &[f64],
    priors: &[Prior],
    misfits: R,
) -> Vec<f64> {
    let search = Search {
        at: DVector::from_column_slice(start),
        priors,
        misfits: &misfits,
    };
    let (found, _) = LevenbergMarquardt::new()
        .with_tol(1e-7)
        .with_patience(PATIENCE)
        .minimize(search);
    found.at.as_slice().to_vec()
}
