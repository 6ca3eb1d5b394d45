//! The laws of a set's rectifiers from the catalogue's figures.
//!
//! Volts, amperes, ohms. Tubes through their published drops, metal rectifiers through
//! their drop at rated current. Gives nothing where the catalogue has no figure.

use circuit::RectifierLaw;
use circuit::thermal::worn_currents;

use crate::sheet::PartValue;

use super::SetModel;
use super::variation::{Figure, Variation};

/// A healthy rectifier cathode gives about twice its rated peak (judgement).
const EMISSION_OVER_PEAK: f64 = 2.0;

/// Where no peak is rated, peak over direct current of a capacitor-input supply (judgement).
const PEAK_OVER_DIRECT: f64 = 4.0;
/// Volts a plate at which selenium begins to conduct (from memory: 0.4 to 0.6).
const SELENIUM_THRESHOLD: f64 = 0.5;

/// Mean current while conducting over direct current, for which the published drop of
/// a stack holds (judgement: capacitor input conducts about a third of the time).
const CONDUCTING_OVER_DIRECT: f64 = 3.0;

/// Reverse current at rated volts over rated current (from memory: about a thousandth).
const SELENIUM_LEAK_SHARE: f64 = 1e-3;

impl SetModel<'_> {
    /// The law of one plate of a rectifier tube: the three-halves law through the
    /// published drops, their mean where they disagree.
    pub(crate) fn tube_law(&self, tube: usize, variation: &Variation) -> Option<RectifierLaw> {
        let section = self.sheet.tubes.get(tube)?.kind.rectifier_section()?;
        let rating = section.rectifier.as_ref()?;
        let mean_log = self
            .tube_perveances(tube)
            .iter()
            .map(|k| k.ln())
            .sum::<f64>()
            / rating.drop_points.len().max(1) as f64;
        if rating.drop_points.is_empty() {
            return None;
        }
        let drop = variation.factor(Figure::TubeDrop(tube));
        let worn = variation.factor(Figure::WornRectifier(tube));
        let peak = rating
            .max_peak_milliamperes
            .or(rating.max_dc_milliamperes.map(|dc| dc * PEAK_OVER_DIRECT))
            .unwrap_or(500.0)
            / 1000.0;
        Some(RectifierLaw::Tube {
            perveance: mean_log.exp() / drop.powf(1.5) * worn_currents(worn),
            rated_emission: EMISSION_OVER_PEAK
                * peak
                * variation.factor(Figure::Emission(tube))
                * worn,
        })
    }

    /// The perveance that each published drop of a tube gives, amperes per volt^1.5.
    pub(crate) fn tube_perveances(&self, tube: usize) -> Vec<f64> {
        self.sheet
            .tubes
            .get(tube)
            .and_then(|tube| tube.kind.rectifier_section())
            .and_then(|section| section.rectifier.as_ref())
            .map(|rating| {
                rating
                    .drop_points
                    .iter()
                    .map(|point| point.milliamperes / 1000.0 / point.volts.powf(1.5))
                    .collect()
            })
            .unwrap_or_default()
    }

    /// The law of a metal or silicon rectifier part.
    pub(crate) fn metal_law(&self, part: usize, variation: &Variation) -> Option<RectifierLaw> {
        let figures = self.resolved.parts.get(part)?;
        let factor = variation.factor(Figure::Drop(part));
        match self.sheet.parts.get(part)?.value {
            PartValue::Selenium { .. } => {
                let threshold = SELENIUM_THRESHOLD * figures.plates;
                let rest = (figures.drop_volts - threshold).max(0.2 * figures.drop_volts);
                // The whole drop at the rated current goes with the factor; what ages is mostly the resistance.
                let aged = threshold * factor.min(1.3);
                let rest = factor * (threshold + rest) - aged;
                Some(RectifierLaw::Junction {
                    threshold: aged,
                    series_ohms: rest / (CONDUCTING_OVER_DIRECT * figures.drop_amperes),
                    corner: 0.06 * figures.plates,
                    leak_siemens: SELENIUM_LEAK_SHARE * figures.drop_amperes
                        / (26.0 * figures.plates),
                })
            }
            PartValue::Silicon { .. } => {
                let threshold = 0.65;
                let rest = (figures.drop_volts - threshold).max(0.1);
                Some(RectifierLaw::Junction {
                    threshold,
                    series_ohms: rest * factor / figures.drop_amperes,
                    corner: 0.05,
                    leak_siemens: 1e-8,
                })
            }
            _ => None,
        }
    }
}
