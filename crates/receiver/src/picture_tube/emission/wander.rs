//! Readings that wander together, made independent.
//!
//! What the heater does between readings shifts neighbours alike. It is taken as a first-order
//! process (G. E. Uhlenbeck and L. S. Ornstein, Phys. Rev. 36, 1930): a standard deviation, in
//! shares of the level, and a time in minutes after which it has forgotten itself. Columns are
//! turned into independent ones of unit error by the filter of R. E. Kalman (J. Basic Eng. 82,
//! 1960), in one pass. Nothing here fails for positive errors.

/// One wandering law.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Wander {
    /// Standard deviation, share of the level.
    pub share: f64,
    /// Minutes of memory.
    pub minutes: f64,
}

/// Columns made independent.
pub(super) struct Whitened {
    /// The columns, reading after reading, `width` numbers each.
    pub rows: Vec<f64>,
    /// Sum of the logarithms of the variances.
    pub log_variance: f64,
}

/// Whitens `rows` (one reading after another, `width` columns each) with errors `variance`.
pub(super) fn whiten(
    rows: &[f64],
    width: usize,
    minutes: &[f64],
    level: &[f64],
    variance: &[f64],
    wander: Wander,
) -> Whitened {
    let mut out = rows.to_vec();
    let mut log_variance = 0.0;
    let mut state = vec![0.0; width];
    let stationary = wander.share * wander.share;
    let mut spread = stationary;
    let mut before = minutes.first().copied().unwrap_or(0.0);
    for (index, row) in out.chunks_exact_mut(width).enumerate() {
        let kept = (-(minutes[index] - before).max(0.0) / wander.minutes).exp();
        before = minutes[index];
        spread = kept * kept * spread + (1.0 - kept * kept) * stationary;
        let height = level[index];
        let total = height * height * spread + variance[index];
        let gain = spread * height / total;
        let scale = 1.0 / total.sqrt();
        for (value, state) in row.iter_mut().zip(&mut state) {
            *state *= kept;
            let left = *value - height * *state;
            *state += gain * left;
            *value = left * scale;
        }
        spread -= gain * height * spread;
        log_variance += total.ln();
    }
    Whitened {
        rows: out,
        log_variance,
    }
}
