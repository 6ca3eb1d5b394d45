//! A rectifier tube against silicon in its place, and why that is not recommended where it harms.
//!
//! Volts, amperes; both sets are solved at the top of today's line, settled and from switch-on. Sources: the set's own
//! circuit, the markings of its capacitors. Fails when a set finds no settled state; a set without a rectifier tube
//! gives an empty list.

use parts::Catalogue;

use crate::conditions::BenchConditions;
use crate::expect::{ExpectError, Predictor};
use crate::sheet::{CapacitorStyle, PartValue};
use crate::wiring::{Rectifying, SetModel, Variation};

use super::altered::without_rectifier_tube;
use super::burden::{Burden, supply_burdens};

/// The silicon that is put in the tube's place.
const DIODE: &str = "1N5408";

/// A rectifier tube against silicon in its place.
#[derive(Debug, Clone, PartialEq)]
pub struct TubeAgainstSilicon {
    /// The tube.
    pub tube: String,
    /// Where B+ is measured.
    pub place: String,
    /// Line of all figures, volts.
    pub line_volts: f64,
    /// B+ settled with the tube, with silicon.
    pub settled: (f64, f64),
    /// Highest B+ from switch-on with the tube, with silicon.
    pub from_cold: (f64, f64),
    /// Highest rectifier current in the first cycles with the tube, with silicon.
    pub surge: (f64, f64),
    /// Capacitors that stand above their marking with silicon: reference, volts, marked volts.
    pub exceeded: Vec<(String, f64, f64)>,
}

/// What silicon in place of each rectifier tube would do, and why it is not recommended where it harms.
///
/// # Errors
/// Those of [`Predictor::expect`].
pub fn tubes_against_silicon(
    predictor: &Predictor<'_, '_>,
    catalogue: &Catalogue,
) -> Result<Vec<TubeAgainstSilicon>, ExpectError> {
    let model = predictor.model;
    let line = model.todays_line();
    let rectifiers = model.rectifier_tubes();
    let mut found = Vec::new();
    if rectifiers.is_empty() {
        return Ok(found);
    }
    let with_tube = supply_burdens(predictor, line)?;
    let none = Variation::none();
    for tube in rectifiers {
        let sheet = without_rectifier_tube(model, tube, DIODE);
        let own = SetModel::new(&sheet, catalogue);
        let own_predictor = Predictor::new(&own);
        own.take_loads(model);
        let with_silicon = supply_burdens(&own_predictor, line)?;
        let cathode = model.rectifying().iter().find_map(|way| match way {
            Rectifying::Tube {
                tube: of,
                cathode,
                damper: false,
                ..
            } if *of == tube => Some(*cathode),
            _ => None,
        });
        let Some(place) = cathode.map(|own| model.junction_name(own)) else {
            continue;
        };
        let plus = |predictor: &Predictor<'_, '_>| -> Result<f64, ExpectError> {
            let model = predictor.model;
            let conditions = BenchConditions {
                line_volts: Some(line),
                ..BenchConditions::default()
            };
            let solved = predictor.solve(&conditions, &none, &[], None)?;
            let junction = model
                .places
                .find(&place)
                .ok()
                .and_then(|own| model.junction(own));
            Ok(junction
                .and_then(|own| solved.junction_volts.get(own).copied())
                .unwrap_or(0.0))
        };
        let settled = (plus(predictor)?, plus(&own_predictor)?);
        let electrolytics: Vec<usize> = (0..model.sheet.parts.len())
            .filter(|&part| {
                matches!(
                    model.sheet.parts[part].value,
                    PartValue::Capacitor {
                        style: CapacitorStyle::Electrolytic,
                        ..
                    }
                )
            })
            .collect();
        let highest = |all: &[Burden]| {
            let own = electrolytics
                .iter()
                .filter_map(|&part| all[part].volts.as_ref());
            own.map(|own| own.value).fold(0.0, f64::max)
        };
        let surge = |all: &[Burden]| {
            let own = all.iter().filter_map(|own| own.surge_amperes.as_ref());
            own.map(|own| own.value).fold(0.0, f64::max)
        };
        let exceeded = electrolytics
            .iter()
            .filter_map(|&part| {
                let PartValue::Capacitor {
                    volts: Some(marked),
                    ..
                } = model.sheet.parts[part].value
                else {
                    return None;
                };
                let seen = with_silicon.parts[part].volts.as_ref()?.value;
                (seen > marked).then(|| (model.sheet.parts[part].reference.clone(), seen, marked))
            })
            .collect();
        found.push(TubeAgainstSilicon {
            tube: model.sheet.tubes[tube].reference.clone(),
            place,
            line_volts: line,
            settled,
            from_cold: (highest(&with_tube.parts), highest(&with_silicon.parts)),
            surge: (surge(&with_tube.ways), surge(&with_silicon.ways)),
            exceeded,
        });
    }
    Ok(found)
}
