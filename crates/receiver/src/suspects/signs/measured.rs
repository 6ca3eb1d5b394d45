//! A part measured by itself and found bad, in figures: how bad the fault is.
//!
//! Units of the fault table's rows: ohms across a capacitor, its capacitance over the marked one, ohms in
//! series with it. The figure has a doubt of `SURE` in its logarithm (judgement: leakage goes with volts and warmth).
//! Where the part is not what the readings show it may be as bad all the same, with its own chance and law:
//! the ratio of both densities is the weight (Bayes' rule, closed form). A figure that no way of failing of the part has
//! says nothing. Nothing here fails.

use crate::suspects::hypotheses::{Hypotheses, Spread, Suspect};
use crate::suspects::predict::Foretold;
use crate::wiring::FaultKind;

/// What was measured of a part by itself.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum PartFigure {
    /// Ohms across it: a capacitor's leakage at working volts.
    Across(f64),
    /// Its capacitance over the marked one.
    FaradsTimes(f64),
    /// Ohms in series with it.
    Series(f64),
    /// Its ohms over the marked ones.
    OhmsTimes(f64),
}

/// Doubt of the figure, in its natural logarithm.
const SURE: f64 = 0.25;

impl PartFigure {
    /// The figure, where this fault has such a one.
    fn of(self, kind: &FaultKind) -> Option<f64> {
        match (self, kind) {
            (PartFigure::Across(own), FaultKind::CapacitorLeak(_) | FaultKind::Across(_))
            | (PartFigure::FaradsTimes(own), FaultKind::FaradsTimes(_))
            | (PartFigure::Series(own), FaultKind::SeriesOhms { .. })
            | (PartFigure::OhmsTimes(own), FaultKind::OhmsTimes(_)) => {
                (own.is_finite() && own > 0.0).then_some(own)
            }
            _ => None,
        }
    }
}

/// Natural logarithms by hypothesis and solved severity, of how many times likelier the figure is than where the
/// part is not to blame.
pub(super) fn weighed(
    hypotheses: &Hypotheses,
    foretold: &[Foretold],
    suspect: Suspect,
    figure: PartFigure,
) -> Vec<Vec<f64>> {
    // Density of the figure, in its logarithm, where the part is bad by its own chance alone.
    let by_itself: f64 = hypotheses
        .of_suspect(suspect)
        .filter_map(|own| {
            let value = figure.of(&own.kind)?;
            let Spread::Law(law) = own.spread else {
                return None;
            };
            let inside = (law.low()..=law.high()).contains(&value);
            let range = (law.high() / law.low().max(f64::MIN_POSITIVE)).ln();
            inside.then(|| own.chance / range.max(SURE))
        })
        .sum();
    hypotheses
        .list
        .iter()
        .enumerate()
        .map(|(number, own)| {
            let severities = foretold
                .first()
                .and_then(|told| told.faulty.get(number))
                .map_or(&[][..], |own| own.severities.as_slice());
            let value = (own.suspect == suspect).then(|| figure.of(&own.kind));
            match value.flatten() {
                Some(value) if by_itself > 0.0 => severities
                    .iter()
                    .map(|severity| {
                        let off = (value / severity).ln() / SURE;
                        let bell = -0.5 * off * off - (SURE * std::f64::consts::TAU.sqrt()).ln();
                        (bell - by_itself.ln()).max(-14.0)
                    })
                    .collect(),
                _ => vec![0.0; severities.len().max(1)],
            }
        })
        .collect()
}
