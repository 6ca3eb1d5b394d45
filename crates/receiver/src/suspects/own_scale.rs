//! The scale on which readings of a kind are weighed together: volts as they are, ohms by their logarithm.
//!
//! Volts, watts and currents keep their unit. Ohms of one set go over eight decades and their tolerances are
//! shares, so they are weighed as logarithms, stretched until the whole scale of an ohmmeter is as wide as
//! all that a meter of the set can read: a slip, which may lie anywhere, is then as thin in both. Nothing here fails.

use crate::ohms::END_OF_SCALE_OHMS;
use crate::probes::Probe;
use crate::reading::What;

/// Ohms below which all are one.
const LEAST_OHMS: f64 = 0.1;
/// Least doubt of a reading of ohms, as a share: no needle is read better.
const LEAST_DOUBT: f64 = 0.02;
/// Doubt of an open place in the logarithm: needles stop moving between ten and some hundred megohms.
const OPEN_DOUBT: f64 = 1.5;
/// Ohms from which a place is as good as open.
const OPEN_OHMS: f64 = 2e7;

/// The scale of one reading.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum OwnScale {
    /// The unit of the reading.
    Plain,
    /// Logarithms, times this.
    Logarithm(f64),
}

impl OwnScale {
    /// The scale of a probe in a set whose other readings lie within `range`, without sign.
    pub fn of(probe: &Probe, range: f64) -> OwnScale {
        match probe.what {
            What::Ohms => OwnScale::Logarithm(2.0 * range / (END_OF_SCALE_OHMS / LEAST_OHMS).ln()),
            _ => OwnScale::Plain,
        }
    }

    /// A reading on it.
    pub fn to(self, value: f64) -> f64 {
        match self {
            OwnScale::Plain => value,
            OwnScale::Logarithm(times) => times * value.clamp(LEAST_OHMS, END_OF_SCALE_OHMS).ln(),
        }
    }

    /// A reading from its place on it.
    pub fn back(self, own: f64) -> f64 {
        match self {
            OwnScale::Plain => own,
            OwnScale::Logarithm(times) => (own / times).exp(),
        }
    }

    /// A shift of a reading.
    pub fn shift(self, healthy: f64, shift: f64) -> f64 {
        match self {
            OwnScale::Plain => shift,
            OwnScale::Logarithm(_) => self.to(healthy + shift) - self.to(healthy),
        }
    }

    /// The doubt of a reading.
    pub fn doubt(self, value: f64, doubt: f64) -> f64 {
        match self {
            OwnScale::Plain => doubt,
            OwnScale::Logarithm(times) if value >= OPEN_OHMS => times * OPEN_DOUBT,
            OwnScale::Logarithm(times) => {
                times * (doubt / value.max(LEAST_OHMS)).clamp(LEAST_DOUBT, OPEN_DOUBT)
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::probes::Spot;

    fn probe(what: What) -> Probe {
        Probe {
            at: "V1.1".to_string(),
            to: None,
            what,
            spot: Spot::ToChassis(1),
        }
    }

    /// By hand: the whole scale of ohms is as wide as both signs of the volts.
    #[test]
    fn ohms_are_weighed_by_ratios() {
        let own = OwnScale::of(&probe(What::Ohms), 400.0);
        let whole = own.to(END_OF_SCALE_OHMS) - own.to(LEAST_OHMS);
        assert!((whole - 800.0).abs() < 1e-9);
        let (one, other) = (own.shift(1e3, 1e3), own.shift(1e6, 1e6));
        assert!((one - other).abs() < 1e-9);
        assert!((own.back(own.to(4700.0)) / 4700.0 - 1.0).abs() < 1e-12);
        assert!(own.to(f64::INFINITY).is_finite());
        assert!(own.doubt(f64::INFINITY, 1.0) > own.doubt(4700.0, 200.0));
        let plain = OwnScale::of(&probe(What::DcVolts), 400.0);
        assert_eq!((plain.to(-3.0), plain.back(-3.0)), (-3.0, -3.0));
        assert_eq!((plain.shift(5.0, -7.0), plain.doubt(5.0, 0.1)), (-7.0, 0.1));
    }
}
