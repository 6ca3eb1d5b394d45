//! The normal law: share below a value, and the ratio that censored readings need.
//!
//! Pure numbers, standard deviations from the mean. The error function is the Chebyshev fit of
//! W. H. Press and others, Numerical Recipes, 2nd edition 1992, section 6.2 (from memory),
//! relative error below 1.2e-7 everywhere. Not a number gives not a number.

/// Share of the normal law below `z`.
pub(super) fn share_below(z: f64) -> f64 {
    0.5 * erfc(-z / std::f64::consts::SQRT_2)
}

/// Density over the share below, at `z`: what a reading at the end of the scale pulls with.
pub(super) fn pull(z: f64) -> f64 {
    if z < -8.0 {
        return -z + 1.0 / -z;
    }
    (-0.5 * z * z).exp() / (2.0 * std::f64::consts::PI).sqrt() / share_below(z)
}

fn erfc(x: f64) -> f64 {
    const TERMS: [f64; 10] = [
        -1.265_512_23,
        1.000_023_68,
        0.374_091_96,
        0.096_784_18,
        -0.186_288_06,
        0.278_868_07,
        -1.135_203_98,
        1.488_515_87,
        -0.822_152_23,
        0.170_872_77,
    ];
    let t = 1.0 / (1.0 + 0.5 * x.abs());
    let sum = TERMS.iter().rev().fold(0.0, |sum, term| sum * t + term);
    let tail = t * (-x * x + sum).exp();
    if x >= 0.0 { tail } else { 2.0 - tail }
}
