//! Electrolytics that stand the wrong way round: as the sheet has them, by prediction.
//!
//! Volts. Source: the settled set on its own line. An electrolytic whose + end sits on the
//! more negative place conducts, heats and may burst, in the set or in the copy made of it;
//! most often two cells of the row were exchanged in writing. Cans at places that the
//! supply's cycle does not tell, or that a pulled or unknown current moves, are left alone;
//! where the set does not settle nothing is said.

use parts::Catalogue;

use crate::conditions::BenchConditions;
use crate::expect::Predictor;
use crate::probes::{Probe, Spot};
use crate::reading::{Notice, What};
use crate::sheet::{CapacitorStyle, PartValue, Sheet};
use crate::wiring::{SetModel, Variation};

/// Volts backwards that a healthy can stands without harm (common practice: one to two).
const HARMLESS_VOLTS: f64 = 2.0;

/// An electrolytic that stands the wrong way round.
#[derive(Debug, Clone, PartialEq)]
pub struct WrongWay {
    /// Its reference.
    pub reference: String,
    /// Place of its + end.
    pub positive: String,
    /// Place of its other end.
    pub negative: String,
    /// How far its + end is below the other, volts.
    pub volts: f64,
}

impl WrongWay {
    /// What `check` says of it.
    pub fn notice(&self) -> Notice {
        Notice {
            text: format!(
                "{}: its + end ({}) would stand {:.0} V below its other end ({})",
                self.reference, self.positive, self.volts, self.negative
            ),
            hint: "an electrolytic's `from` is its + end; exchange the two places, or, if it is \
                   fitted so, turn it round before any power: it would heat and may burst"
                .to_string(),
        }
    }
}

/// All electrolytics that stand the wrong way round when the set runs on its own line.
pub fn wrong_way(sheet: &Sheet, catalogue: &Catalogue) -> Vec<WrongWay> {
    let model = SetModel::new(sheet, catalogue);
    wrong_way_of(&Predictor::new(&model))
}

/// The same for a set at hand.
pub fn wrong_way_of(predictor: &Predictor<'_, '_>) -> Vec<WrongWay> {
    let (model, sheet) = (predictor.model, predictor.model.sheet);
    let cans: Vec<(usize, Probe)> = (0..sheet.parts.len())
        .filter(|&part| {
            matches!(
                sheet.parts[part].value,
                PartValue::Capacitor {
                    style: CapacitorStyle::Electrolytic,
                    ..
                }
            )
        })
        .filter_map(|part| {
            let [Some(from), Some(to), _] = *model.part_ends.get(part)? else {
                return None;
            };
            let probe = Probe {
                at: sheet.parts[part].from.to_string(),
                to: Some(sheet.parts[part].to.to_string()),
                what: What::DcVolts,
                spot: Spot::Between(from, to),
            };
            Some((part, probe))
        })
        .collect();
    if cans.is_empty() {
        return Vec::new();
    }
    let conditions = BenchConditions {
        line_volts: Some(sheet.line_volts),
        bands: false,
        ..BenchConditions::default()
    };
    let probes: Vec<Probe> = cans.iter().map(|(_, probe)| probe.clone()).collect();
    let Ok(solved) = predictor.solve(&conditions, &Variation::none(), &probes, None) else {
        return Vec::new();
    };
    cans.into_iter()
        .zip(&solved.values)
        .filter(|((_, probe), _)| {
            predictor.why_beyond_supply(probe).is_none()
                && predictor.why_unknown(probe, &conditions, &solved).is_none()
        })
        .filter_map(|((part, probe), value)| {
            let volts = -(*value)?;
            (volts > HARMLESS_VOLTS).then(|| WrongWay {
                reference: sheet.parts[part].reference.clone(),
                positive: probe.at,
                negative: probe.to.unwrap_or_default(),
                volts,
            })
        })
        .collect()
}
