//! Factor and solve: replay of a fixed pattern against a dense solution, in one run.
//!
//! The matrices are grids of resistors of about as many entries as a supply has.

use circuit::factor::{Matrix, Pattern};
use nalgebra::{DMatrix, DVector};

const SIZES: [usize; 3] = [30, 100, 300];

fn main() {
    divan::main();
}

/// A ladder with a rung across every few rows.
fn branches(size: usize) -> Vec<(usize, usize, f64)> {
    let chain = (1..size).map(|row| (row - 1, row, 1.0 + 0.01 * row as f64));
    let rungs = (0..size)
        .step_by(4)
        .map(|row| (row, (row * 7 + 3) % size, 0.3));
    chain.chain(rungs).filter(|(a, b, _)| a != b).collect()
}

fn sparse(size: usize) -> (Pattern, Matrix) {
    let branches = branches(size);
    let entries: Vec<(usize, usize)> = branches.iter().map(|&(a, b, _)| (a, b)).collect();
    let pattern = Pattern::new(size, &entries);
    let mut matrix = pattern.matrix();
    for row in 0..size {
        pattern.add(&mut matrix, row, row, 0.01);
    }
    for (a, b, siemens) in branches {
        for (row, column, value) in [
            (a, a, siemens),
            (b, b, siemens),
            (a, b, -siemens),
            (b, a, -siemens),
        ] {
            pattern.add(&mut matrix, row, column, value);
        }
    }
    (pattern, matrix)
}

fn dense(size: usize) -> DMatrix<f64> {
    let mut matrix = DMatrix::identity(size, size) * 0.01;
    for (a, b, siemens) in branches(size) {
        matrix[(a, a)] += siemens;
        matrix[(b, b)] += siemens;
        matrix[(a, b)] -= siemens;
        matrix[(b, a)] -= siemens;
    }
    matrix
}

#[divan::bench(args = SIZES)]
fn replay(bencher: divan::Bencher, size: usize) {
    let (pattern, matrix) = sparse(size);
    bencher.bench_local(|| {
        let mut side = vec![1.0; size];
        if let Ok(factors) = pattern.factor(divan::black_box(matrix.clone())) {
            factors.solve(&mut side);
        }
        side
    });
}

#[divan::bench(args = SIZES)]
fn dense_reference(bencher: divan::Bencher, size: usize) {
    let matrix = dense(size);
    let side = DVector::from_element(size, 1.0);
    bencher.bench_local(|| divan::black_box(matrix.clone()).lu().solve(&side));
}
