//! The coefficients of the time step: ARK4(3)6L\[2\]SA, its implicit half.
//!
//! Pure numbers. Six stages, the first explicit and equal to the last of the step before, all
//! others with the same share [`OWN`] of the step on the diagonal; fourth order, an embedded
//! solution of third order for the error, stiffly accurate and L-stable, so that what has
//! died out stays dead however long the step (C. A. Kennedy and M. H. Carpenter, Appl. Numer.
//! Math. 44 (2003) 139; from memory, held by the order conditions in the tests below).
//! Nothing here fails.

/// Stages of a step.
pub(super) const STAGES: usize = 6;

/// Share of the step on the diagonal.
pub(super) const OWN: f64 = 0.25;

/// Where in the step each stage stands.
pub(super) const AT: [f64; STAGES] = [0.0, 0.5, 83.0 / 250.0, 31.0 / 50.0, 17.0 / 20.0, 1.0];

/// Weights of the stages before each stage.
pub(super) const BEFORE: [[f64; STAGES - 1]; STAGES] = [
    [0.0; 5],
    [0.25, 0.0, 0.0, 0.0, 0.0],
    [8611.0 / 62500.0, -1743.0 / 31250.0, 0.0, 0.0, 0.0],
    [
        5_012_029.0 / 34_652_500.0,
        -654_441.0 / 2_922_500.0,
        174_375.0 / 388_108.0,
        0.0,
        0.0,
    ],
    [
        15_267_082_809.0 / 155_376_265_600.0,
        -71_443_401.0 / 120_774_400.0,
        730_878_875.0 / 902_184_768.0,
        2_285_395.0 / 8_070_912.0,
        0.0,
    ],
    [
        82_889.0 / 524_892.0,
        0.0,
        15_625.0 / 83_664.0,
        69_875.0 / 102_672.0,
        -2_260.0 / 8_211.0,
    ],
];

/// Weights of the stages in the whole step.
pub(super) const WHOLE: [f64; STAGES] = [
    82_889.0 / 524_892.0,
    0.0,
    15_625.0 / 83_664.0,
    69_875.0 / 102_672.0,
    -2_260.0 / 8_211.0,
    0.25,
];

/// Weights of the embedded solution of third order.
pub(super) const EMBEDDED: [f64; STAGES] = [
    4_586_570_599.0 / 29_645_900_160.0,
    0.0,
    178_811_875.0 / 945_068_544.0,
    814_220_225.0 / 1_159_782_912.0,
    -3_700_637.0 / 11_593_932.0,
    61_727.0 / 225_920.0,
];

#[cfg(test)]
mod tests {
    use super::*;

    fn full() -> [[f64; STAGES]; STAGES] {
        std::array::from_fn(|row| {
            std::array::from_fn(|column| match column {
                _ if column < row => BEFORE[row][column],
                _ if column == row && row > 0 => OWN,
                _ => 0.0,
            })
        })
    }

    fn of(matrix: &[[f64; STAGES]; STAGES], values: [f64; STAGES]) -> [f64; STAGES] {
        std::array::from_fn(|row| (0..STAGES).map(|c| matrix[row][c] * values[c]).sum())
    }

    fn sum(weights: &[f64; STAGES], values: [f64; STAGES]) -> f64 {
        weights.iter().zip(values).map(|(w, v)| w * v).sum()
    }

    #[test]
    fn the_order_conditions_hold() {
        // J. C. Butcher's conditions of rooted trees up to order four (E. Hairer, S. P.
        // Norsett and G. Wanner, Solving Ordinary Differential Equations I; from memory).
        let matrix = full();
        let c = of(&matrix, [1.0; STAGES]);
        let c2 = c.map(|c| c * c);
        let c3 = c.map(|c| c * c * c);
        let ac = of(&matrix, c);
        let cac = std::array::from_fn(|i| c[i] * ac[i]);
        let conditions = [
            ([1.0; STAGES], 1.0),
            (c, 1.0 / 2.0),
            (c2, 1.0 / 3.0),
            (ac, 1.0 / 6.0),
            (c3, 1.0 / 4.0),
            (cac, 1.0 / 8.0),
            (of(&matrix, c2), 1.0 / 12.0),
            (of(&matrix, ac), 1.0 / 24.0),
        ];
        for (index, (values, expected)) in conditions.into_iter().enumerate() {
            assert!((sum(&WHOLE, values) - expected).abs() < 1e-14, "{index}");
            if index < 4 {
                assert!((sum(&EMBEDDED, values) - expected).abs() < 1e-14, "{index}");
            }
        }
        for stage in 0..STAGES {
            assert!((c[stage] - AT[stage]).abs() < 1e-14);
            // Every stage is of second order.
            assert!((ac[stage] - c2[stage] / 2.0).abs() < 1e-14);
            // Stiffly accurate: the last stage is the step.
            assert!((matrix[STAGES - 1][stage] - WHOLE[stage]).abs() < 1e-15);
        }
    }
}
