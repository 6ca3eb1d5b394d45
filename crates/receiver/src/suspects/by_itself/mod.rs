//! A part measured by itself: what the instrument shows with each of its faults, and what that tells.
//!
//! Ohms, farads, percent of a new tube, share of the volts at a loose end; densities over the natural logarithm of the
//! figure. A sound part shows what its tolerance and age let it; one with a fault shows that fault at its severity,
//! unless the check misses it ([`super::outcome::missed`]). A part that is not to blame may be bad all the
//! same, so mildly that no foretold reading feels it: nine of ten waxed capacitors leak. So a leak proves a
//! capacitor only where the readings would feel one of that size, and the figure that was found counts, not the
//! verdict good or bad. Source: Bayes' rule; spreads from the causes of healthy sets, the instrument's doubt and all
//! shares judgement. What a check says nothing about gives no evidence; nothing here fails.

//!
//! - `gauge`: one part with all its ways of failing, and what an instrument shows of each.
//! - `found`: everything that was found, against the faults of its parts.

mod found;
mod gauge;
#[cfg(test)]
mod tests;

use super::hypotheses::Suspect;
use super::outcome::Check;
use circuit::thermal::worn_currents;

pub use found::AllByThemselves;
pub(super) use found::Figured;
pub(super) use gauge::Gauge;

/// Highest ohms that an instrument shows; an open path and a sound dielectric read as these.
pub const MOST_OHMS: f64 = 1e9;
/// Doubt of the instrument as a share of its figure (common practice: a bridge or an ohmmeter three percent).
pub const INSTRUMENT: f64 = 0.03;
/// The same of a tube tester (common practice: good ones lie ten percent apart).
pub const TESTER: f64 = 0.1;
/// Ohms below which a few volts show the leak of any capacitor (judgement).
pub const SHORTED_OHMS: f64 = 1e3;
/// Chance that a figure is a mistake: another part, a lead still in circuit, a decade misread (judgement).
const MISTAKE: f64 = 0.02;
/// Natural logarithm of the range over which a mistake lies.
const ANYWHERE: f64 = 12.0;
/// Chance that an exchange is taken to have cured what it has not (judgement: a contact moved,
/// the set cooled down).
pub(super) const BY_CHANCE: f64 = 0.02;
/// Share of the other end's volts below which nothing is told at a loose end: what the meter picks up and its
/// zero (judgement).
pub const NO_SHARE: f64 = 0.01;
/// Doubt of that share beside the instrument's own (judgement: half a hundredth of the other end's volts).
const SHARE_DOUBT: f64 = 0.005;
/// Least farads of an open capacitor, as a share of its own.
const NO_FARADS: f64 = 1e-3;
/// Percent below which a tester shows nothing.
const NO_PERCENT: f64 = 1.0;
/// Emission of a new tube over what a tester asks of it (judgement: a new cathode has six to ten times
/// what is needed).
const NEW_RESERVE: f64 = 8.0;
/// Share of shorted capacitors that an ohmmeter does not find (judgement).
const SHORT_MISSED: f64 = 0.05;
/// Points at which a severity is taken.
const POINTS: usize = 48;

/// A figure that was found.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ByItself {
    /// The part.
    pub suspect: Suspect,
    /// How it was measured.
    pub check: Check,
    /// Ohms, farads or percent of a new tube; infinity for an open path. At a loose end the share of the other
    /// end's volts. Of an exchange or a bridge 1 where it cured the set, else 0.
    pub value: f64,
}

/// Share of the volts of its other end that a meter of so many ohms shows at the loose end of a capacitor that leaks
/// so: the two are one divider (closed form).
pub fn share_at_loose_end(leak_ohms: f64, meter_ohms: f64) -> f64 {
    1.0 / (1.0 + leak_ohms / meter_ohms)
}

/// Percent of a new tube that a tester shows where the cathode gives this share of a new one's emission, and wear has left
/// this share of that: it reads transconductance, which a cathode with little in reserve limits, rounded as everywhere
/// ([`circuit::tube`]), and which falls with the patches that wear has killed.
pub fn tester_percent(emission: f64, worn: f64) -> f64 {
    let limit = |reserve: f64| 1.0 / (1.0 + (1.0 / reserve).powi(2)).sqrt();
    100.0 * worn_currents(worn) * limit(NEW_RESERVE * emission * worn) / limit(NEW_RESERVE)
}
