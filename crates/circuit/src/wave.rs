//! One quantity over a recorded cycle.
//!
//! Units of the quantity. Samples with the weights of the time grid; nothing here fails, and
//! an empty wave reads as zero.

use crate::dense::dot;

/// A quantity over one cycle.
#[derive(Debug, Clone, PartialEq)]
pub struct Wave {
    /// Samples over the cycle.
    pub values: Vec<f64>,
    pub(crate) weights: std::sync::Arc<Vec<f64>>,
}

impl Wave {
    /// Mean over the cycle.
    pub fn mean(&self) -> f64 {
        dot(&self.values, &self.weights)
    }

    /// Root of the mean square.
    pub fn rms(&self) -> f64 {
        self.values
            .iter()
            .zip(self.weights.iter())
            .map(|(value, weight)| value * value * weight)
            .sum::<f64>()
            .sqrt()
    }

    /// Rms of what is left without the mean.
    pub fn alternating_rms(&self) -> f64 {
        let mean = self.mean();
        self.values
            .iter()
            .zip(self.weights.iter())
            .map(|(value, weight)| (value - mean) * (value - mean) * weight)
            .sum::<f64>()
            .sqrt()
    }

    /// Highest sample.
    pub fn highest(&self) -> f64 {
        self.values
            .iter()
            .copied()
            .fold(f64::NEG_INFINITY, f64::max)
    }

    /// Lowest sample.
    pub fn lowest(&self) -> f64 {
        self.values.iter().copied().fold(f64::INFINITY, f64::min)
    }

    /// Highest less lowest sample.
    pub fn peak_to_peak(&self) -> f64 {
        self.highest() - self.lowest()
    }

    /// The mean of the product of two waves of the same cycle.
    pub fn mean_product(&self, other: &Wave) -> f64 {
        self.values
            .iter()
            .zip(&other.values)
            .zip(self.weights.iter())
            .map(|((a, b), weight)| a * b * weight)
            .sum()
    }
}
