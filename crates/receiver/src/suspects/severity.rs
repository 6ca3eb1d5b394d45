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

    /// The share of all such faults that lies below a severity.
    pub fn share_below(&self, severity: f64) -> f64 {
        let share = match self.law {
            SeverityLaw::Uniform => (severity - self.low) / (self.high - self.low),
            SeverityLaw::LogUniform if severity <= 0.0 => 0.0,
            SeverityLaw::LogUniform => (severity / self.low).ln() / (self.high / self.low).ln(),
        };
        share.clamp(0.0, 1.0)
    }

    /// Share of a severity on the law's own scale: logarithmic or plain.
    pub fn density(&self, severity: f64) -> f64 {
        if !(self.low..=self.high).contains(&severity) {
            return 0.0;
        }
        match self.law {
            SeverityLaw::Uniform => 1.0 / (self.high - self.low),
            SeverityLaw::LogUniform => 1.0 / (severity * (self.high / self.low).ln()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Law;
    use parts::SeverityLaw;

    #[test]
    fn shares_and_severities_are_inverse() {
        for law in [SeverityLaw::Uniform, SeverityLaw::LogUniform] {
            let law = Law::new(1e4, 1e7, law).expect("a law");
            for share in [0.0, 0.2, 0.5, 1.0] {
                assert!((law.share_below(law.at(share)) - share).abs() < 1e-12);
            }
            assert_eq!(law.share_below(1.0), 0.0);
            assert_eq!(law.share_below(-1.0), 0.0);
            assert_eq!(law.density(9e3), 0.0);
        }
    }

    #[test]
    fn a_density_is_the_slope_of_its_shares() {
        let law = Law::new(1e4, 1e7, SeverityLaw::LogUniform).expect("a law");
        let (at, step) = (3e5, 1.0);
        let slope = (law.share_below(at + step) - law.share_below(at - step)) / (2.0 * step);
        assert!((slope / law.density(at) - 1.0).abs() < 1e-6);
    }

    #[test]
    fn no_law_without_a_range() {
        assert_eq!(Law::new(0.0, 1.0, SeverityLaw::LogUniform), None);
        assert_eq!(Law::new(2.0, 1.0, SeverityLaw::Uniform), None);
        assert_eq!(Law::new(1.0, f64::NAN, SeverityLaw::Uniform), None);
        assert!(Law::new(0.0, 1.0, SeverityLaw::Uniform).is_some());
    }
}
