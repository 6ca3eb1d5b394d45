//! How much an electrolytic may leak: the form of JAN-C-62 for old ones, 0.01 CV for new ones.
//!
//! Amperes. Source: the EL rows of `data/checks.csv`. Both are known at second hand (a quotation of
//! JAN-C-62, an answer on data sheets); neither standard was read, and that is said beside the
//! figures. They hold at marked volts after some minutes. Nothing here fails.

use crate::wiring::leakage_limit_amperes;

/// Least limit of the modern form, amperes (checks row EL007: 3 uA or 0.01 CV, whichever is greater).
const MODERN_LEAST_AMPERES: f64 = 3e-6;

/// The two limits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeakLimits {
    /// kC + 0.3 mA, the form of JAN-C-62: holds for old cans, new when it was written.
    pub period_amperes: f64,
    /// 0.01 CV: what data sheets of today's new parts state.
    pub modern_amperes: f64,
}

/// The limits of a capacitor with these marks.
#[must_use]
pub fn leak_limits(farads: f64, marked_volts: f64) -> LeakLimits {
    LeakLimits {
        period_amperes: leakage_limit_amperes(farads, marked_volts),
        modern_amperes: (0.01 * farads * marked_volts).max(MODERN_LEAST_AMPERES),
    }
}

impl LeakLimits {
    /// Which one decides for an old can, and why, with the standing of both.
    #[must_use]
    pub fn words() -> &'static str {
        "The limit for an old can is that of JAN-C-62, k times the microfarads plus 0.3 mA (k 0.01 to 100 V, 0.02 \
         to 250 V, 0.025 to 350 V, 0.04 above): it was written for such cans. It is known from a quotation; the \
         standard was not read. The 0.01 CV of today's data sheets is far stricter and is for new parts; an old can \
         that meets it too is as tight as a new one. One that meets only the first is accepted by one source, and is \
         watched."
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: rows EL001, EL003, EL004, EL006 and EL007 of `data/checks.csv`.
    #[test]
    fn limits_are_those_of_the_checks() {
        for (mfd, volts, milliamperes) in [
            (10.0, 450.0, 0.7),
            (80.0, 150.0, 1.9),
            (20.0, 25.0, 0.5),
            (560.0, 400.0, 22.7),
        ] {
            let limit = leak_limits(mfd * 1e-6, volts).period_amperes * 1e3;
            assert!(
                (limit - milliamperes).abs() < 0.005 * milliamperes,
                "{limit}"
            );
        }
        assert!((leak_limits(100e-6, 10.0).modern_amperes - 10e-6).abs() < 1e-12);
        assert_eq!(leak_limits(1e-6, 10.0).modern_amperes, 3e-6);
    }
}
