//! Bayesian least squares with at most five unknowns, in closed form.
//!
//! Pure numbers: precisions and means in the units of whoever asks. The textbook result for a
//! linear model with normal errors and a normal prior (C. M. Bishop, Pattern Recognition and
//! Machine Learning, 2006, section 3.3; from memory). A matrix that is not positive gives `None`.

/// Most unknowns at once.
pub(super) const MOST: usize = 5;

/// A small square matrix; only the first rows and columns that are asked for count.
pub(super) type Small = [[f64; MOST]; MOST];

/// What the readings and the prior together say of the unknowns.
#[derive(Clone, Copy, Debug)]
pub(super) struct Posterior {
    /// Means.
    pub mean: [f64; MOST],
    /// Covariances.
    pub covariance: Small,
    /// Logarithm of the evidence, up to what all models of one noise law share.
    pub log_evidence: f64,
}

/// The posterior of `size` unknowns. `gram` and `moment` are the whitened columns against each
/// other (diagonal and below) and against the readings; the prior is independent, with means and precisions.
pub(super) fn posterior(
    size: usize,
    gram: &Small,
    moment: &[f64; MOST],
    prior_mean: &[f64; MOST],
    prior_precision: &[f64; MOST],
) -> Option<Posterior> {
    let mut matrix = *gram;
    let mut right = *moment;
    let mut log_prior = 0.0;
    let mut prior_square = 0.0;
    for i in 0..size {
        matrix[i][i] += prior_precision[i];
        right[i] += prior_precision[i] * prior_mean[i];
        log_prior += prior_precision[i].ln();
        prior_square += prior_precision[i] * prior_mean[i] * prior_mean[i];
    }
    let root = cholesky(size, &matrix)?;
    let inverse = inverse_of_root(size, &root);
    let mut covariance = [[0.0; MOST]; MOST];
    for i in 0..size {
        for j in 0..=i {
            let sum: f64 = (i..size).map(|k| inverse[k][i] * inverse[k][j]).sum();
            covariance[i][j] = sum;
            covariance[j][i] = sum;
        }
    }
    let mut mean = [0.0; MOST];
    let mut gain = 0.0;
    let mut log_root = 0.0;
    for i in 0..size {
        mean[i] = (0..size).map(|j| covariance[i][j] * right[j]).sum();
        gain += mean[i] * right[i];
        log_root += root[i][i].ln();
    }
    Some(Posterior {
        mean,
        covariance,
        log_evidence: 0.5 * (log_prior - prior_square + gain) - log_root,
    })
}

fn cholesky(size: usize, matrix: &Small) -> Option<Small> {
    let mut root = [[0.0; MOST]; MOST];
    for i in 0..size {
        for j in 0..=i {
            let sum: f64 = (0..j).map(|k| root[i][k] * root[j][k]).sum();
            let left = matrix[i][j] - sum;
            if i == j {
                if !(left > 0.0 && left.is_finite()) {
                    return None;
                }
                root[i][i] = left.sqrt();
            } else {
                root[i][j] = left / root[j][j];
            }
        }
    }
    Some(root)
}

fn inverse_of_root(size: usize, root: &Small) -> Small {
    let mut inverse = [[0.0; MOST]; MOST];
    for j in 0..size {
        inverse[j][j] = 1.0 / root[j][j];
        for i in j + 1..size {
            let sum: f64 = (j..i).map(|k| root[i][k] * inverse[k][j]).sum();
            inverse[i][j] = -sum / root[i][i];
        }
    }
    inverse
}
