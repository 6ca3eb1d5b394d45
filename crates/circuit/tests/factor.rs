//! The replayed sparse factors against a dense solution by another library.
//!
//! Pure numbers. The matrices are those of resistor networks at random.

use circuit::factor::Pattern;
use nalgebra::{DMatrix, DVector};
use proptest::prelude::*;

/// Branches (from, to, conductance) of a network with a path to the reference everywhere.
fn network() -> impl Strategy<Value = (usize, Vec<(usize, usize, f64)>)> {
    (2usize..60).prop_flat_map(|size| {
        let branch = (0..size, 0..size, -6.0..3.0f64);
        prop::collection::vec(branch, size..4 * size).prop_map(move |mut branches| {
            for node in 1..size {
                branches.push((node - 1, node, -2.0));
            }
            let branches = branches
                .into_iter()
                .map(|(a, b, power)| (a, b, 10f64.powf(power)))
                .collect();
            (size, branches)
        })
    })
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn replay_meets_the_dense_solution((size, branches) in network(), seed in 0.1..1.0f64) {
        let entries: Vec<(usize, usize)> = branches.iter().map(|&(a, b, _)| (a, b)).collect();
        let pattern = Pattern::new(size, &entries);
        prop_assert_eq!(pattern.size(), size);
        let mut matrix = pattern.matrix();
        let mut dense = DMatrix::<f64>::zeros(size, size);
        let mut add = |row: usize, column: usize, value: f64| {
            dense[(row, column)] += value;
            pattern.add(&mut matrix, row, column, value)
        };
        prop_assert!(add(0, 0, 0.01));
        for &(a, b, siemens) in branches.iter().filter(|(a, b, _)| a != b) {
            for (row, column, value) in
                [(a, a, siemens), (b, b, siemens), (a, b, -siemens), (b, a, -siemens)]
            {
                prop_assert!(add(row, column, value));
            }
        }
        let right: Vec<f64> = (0..size).map(|row| (seed * (row + 1) as f64).sin()).collect();
        let factors = pattern.factor(matrix).expect("a network held by its reference");
        let mut found = right.clone();
        factors.solve(&mut found);
        let expected = dense
            .clone()
            .lu()
            .solve(&DVector::from_vec(right.clone()))
            .expect("a dense solution");
        let largest = expected.amax();
        for (found, expected) in found.iter().zip(expected.iter()) {
            prop_assert!((found - expected).abs() <= 1e-7 * largest, "{} {}", found, expected);
        }
        // What is left over, as a check that shares nothing with either.
        let left = dense * DVector::from_vec(found) - DVector::from_vec(right);
        prop_assert!(left.amax() <= 1e-10 * largest * 1e3);
        // Many right sides at once are the same as one after the other.
        let mut lanes: Vec<[f64; 4]> = (0..size).map(|row| [row as f64, 1.0, 0.0, -1.0]).collect();
        factors.solve_lanes(&mut lanes);
        let mut ones = vec![1.0; size];
        factors.solve(&mut ones);
        for (lane, one) in lanes.iter().zip(&ones) {
            prop_assert_eq!(lane[1], *one);
        }
    }
}

#[test]
fn a_row_held_by_nothing_is_named() {
    let pattern = Pattern::new(3, &[(0, 1)]);
    let mut matrix = pattern.matrix();
    for row in 0..2 {
        pattern.add(&mut matrix, row, row, 1.0);
    }
    let vanished = pattern.factor(matrix).expect_err("row 2 is empty");
    assert_eq!(vanished.row, 2);
    assert!(
        !pattern.add(&mut pattern.matrix(), 0, 2, 1.0),
        "outside the pattern"
    );
}

#[test]
fn a_ladder_is_factored_without_growth() {
    // A chain of n rows needs one multiply-add a row but the last: known of tridiagonal
    // matrices. Minimum degree must find that.
    for size in [2usize, 10, 300] {
        let entries: Vec<(usize, usize)> = (1..size).map(|row| (row - 1, row)).collect();
        assert_eq!(Pattern::new(size, &entries).multiply_adds(), size - 1);
    }
}
