//! Bands narrowed by a reading that is known.
//!
//! Units of the readings. Source: the square-root form of the linear update of an ensemble.
//! A reading without spread narrows nothing; nothing here fails.

use crate::bands::DrawnReading;

/// A reading that is known: all bands narrow by it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Narrowing {
    /// Which probe.
    pub probe: usize,
    /// What was read.
    pub value: f64,
    /// Standard deviation of the reading itself.
    pub sigma: f64,
}

/// Draws updated by a known reading: each moves by what it shares with the reading.
///
/// The linear update of an ensemble with the reading's own spread taken into the gain
/// (the square-root form, which needs no drawn noise: J. S. Whitaker and T. M. Hamill,
/// Monthly Weather Review 130 (2002) 1913; from memory).
pub(crate) fn narrow(columns: &mut [Option<DrawnReading>], known: &Narrowing) {
    let Some(Some((own, _))) = columns.get(known.probe) else {
        return;
    };
    let own = own.clone();
    let count = own.len() as f64;
    let mean = own.iter().sum::<f64>() / count.max(1.0);
    let variance = own.iter().map(|value| (value - mean).powi(2)).sum::<f64>() / count.max(1.0);
    let whole = variance + known.sigma * known.sigma;
    if whole <= 0.0 || own.is_empty() {
        return;
    }
    let less = 1.0 / (1.0 + known.sigma / whole.sqrt());
    for (values, _) in columns.iter_mut().flatten() {
        if values.len() != own.len() {
            continue;
        }
        let average = values.iter().sum::<f64>() / count;
        let both = values
            .iter()
            .zip(&own)
            .map(|(value, own)| (value - average) * (own - mean))
            .sum::<f64>()
            / count;
        let gain = both / whole;
        for (value, own) in values.iter_mut().zip(&own) {
            *value += gain * (known.value - mean) - less * gain * (own - mean);
        }
    }
}
