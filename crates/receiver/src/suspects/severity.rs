//! How bad a fault is: a continuous law over a range.
//!
//! Severity in the unit of the fault table's row (ohms, ratio, percent, microamperes). A law is
//! integrated over, never replaced by one typical value. Source of ranges: the catalogue's
//! fault table. Fails with `None` for a range that no law has (ends not positive for a
//! logarithm, or out of order).

use parts::SeverityLaw;

/// A spread of severity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Law {
    low: f64,
    high: f64,
    law: SeverityLaw,
}

impl Law {
    /// A law between two ends.
    pub fn new(low: f64, high: f64, law: SeverityLaw) -> Option<Law> {
        let ordered = low.is_finite() && high.is_finite() && low < high;
        let has_logarithm = law == SeverityLaw::Uniform || low > 0.0;
        (ordered && has_logarithm).then_some(Law { low, high, law })
    }

    /// The low end.
    pub fn low(&self) -> f64 {
        self.low
    }

    /// The high end.
    pub fn high(&self) -> f64 {
        self.high
    }

    /// The severity below which this share of all such faults lies.
    pub fn at(&self, share: f64) -> f64 {
        let share = share.clamp(0.0, 1.0);
        match self.law {
            SeverityLaw::Uniform => self.low + share * (self.high - self.low),
            SeverityLaw::LogUniform => self.low * (self.high / self.low).powf(share),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Law;
    use parts::SeverityLaw;

    /// The share below a severity is a closed form: its place along the range, on a plain scale
    /// or on one of logarithms.
    #[test]
    fn shares_and_severities_are_inverse() {
        let (low, high) = (1e4f64, 1e7f64);
        let uniform = Law::new(low, high, SeverityLaw::Uniform).expect("a law");
        let even = Law::new(low, high, SeverityLaw::LogUniform).expect("a law");
        for share in [0.0, 0.2, 0.5, 1.0] {
            let below = (uniform.at(share) - low) / (high - low);
            assert!((below - share).abs() < 1e-12);
            let below = (even.at(share) / low).ln() / (high / low).ln();
            assert!((below - share).abs() < 1e-12);
        }
        for (law, share, end) in [
            (uniform, -1.0, low),
            (even, -1.0, low),
            (uniform, 2.0, high),
            (even, 2.0, high),
        ] {
            assert!((law.at(share) / end - 1.0).abs() < 1e-12);
        }
    }

    #[test]
    fn no_law_without_a_range() {
        assert_eq!(Law::new(0.0, 1.0, SeverityLaw::LogUniform), None);
        assert_eq!(Law::new(2.0, 1.0, SeverityLaw::Uniform), None);
        assert_eq!(Law::new(1.0, f64::NAN, SeverityLaw::Uniform), None);
        assert!(Law::new(0.0, 1.0, SeverityLaw::Uniform).is_some());
    }
}
