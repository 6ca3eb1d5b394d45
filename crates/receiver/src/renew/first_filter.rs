//! The largest first filter capacitor that a rectifier tube bears.
//!
//! Farads, amperes. The settled set is solved at the top of the line with the capacitor made larger until the
//! highest current of one plate reaches the tube's rated peak. Source of the rating: the tube's row of
//! data/tubes.csv. A tube without a rated peak, a capacitor that no rectifier tube charges, and a set that finds no
//! settled state give `None`: nothing is then said of a limit. The surge of a hot tube switched on upon an empty
//! capacitor is not part of it.

use crate::conditions::BenchConditions;
use crate::expect::Predictor;
use crate::probes::{Probe, Spot};
use crate::reading::What;
use crate::sheet::{CapacitorStyle, PartValue};
use crate::wiring::{Figure, Rectifying, SetModel, Variation};

/// How far the value is tried, as a factor.
const FARTHEST: f64 = 4.0;
/// Halvings of the range between what the tube bears and what not.
const HALVINGS: u32 = 6;

/// What bounds a first filter.
#[derive(Debug, Clone, PartialEq)]
pub struct FirstFilter {
    /// The largest capacitance, farads; `None` where four times the marked one is borne as well.
    pub largest_farads: Option<f64>,
    /// The rectifier tube.
    pub tube: String,
    /// Highest current of one plate with the marked capacitance, amperes.
    pub peak_amperes: f64,
    /// The rated peak, amperes.
    pub rated_amperes: f64,
}

/// The paths of rectifier tubes that charge this capacitor directly.
fn paths(model: &SetModel<'_>, part: usize) -> Vec<(usize, usize)> {
    let PartValue::Capacitor {
        style: CapacitorStyle::Electrolytic,
        ..
    } = model.sheet.parts[part].value
    else {
        return Vec::new();
    };
    let ends = model.part_ends[part];
    let ways = model.rectifying().iter().enumerate();
    ways.filter_map(|(number, way)| match way {
        Rectifying::Tube {
            tube,
            cathode,
            damper: false,
            ..
        } if ends[..2].contains(&Some(*cathode)) => Some((number, *tube)),
        _ => None,
    })
    .collect()
}

/// What the rectifier tube lets a first filter have at this line; `None` for any other part.
#[must_use]
pub fn first_filter(
    predictor: &Predictor<'_, '_>,
    part: usize,
    line_volts: f64,
) -> Option<FirstFilter> {
    let model = predictor.model;
    let paths = paths(model, part);
    let &(_, tube) = paths.first()?;
    let sheet_tube = &model.sheet.tubes[tube];
    let rating = sheet_tube.kind.rectifier_section()?.rectifier.as_ref()?;
    let rated_amperes = rating.max_peak_milliamperes? / 1e3;
    let farads = model.farads(part)?;
    let conditions = BenchConditions {
        line_volts: Some(line_volts),
        ..BenchConditions::default()
    };
    let probes: Vec<Probe> = paths
        .iter()
        .map(|(number, _)| Probe {
            at: sheet_tube.reference.clone(),
            to: None,
            what: What::RectifierPeakMilliamps,
            spot: Spot::Rectifier(*number),
        })
        .collect();
    let peak = |factor: f64| -> Option<f64> {
        let variation = Variation::of(Figure::Farads(part), factor);
        let solved = predictor
            .solve(&conditions, &variation, &probes, None)
            .ok()?;
        let values = solved.values.into_iter().flatten();
        Some(values.fold(0.0, f64::max) / 1e3)
    };
    let peak_amperes = peak(1.0)?;
    let largest_farads = if peak_amperes >= rated_amperes {
        Some(farads)
    } else if peak(FARTHEST)? <= rated_amperes {
        None
    } else {
        let (mut borne, mut not) = (1.0, FARTHEST);
        for _ in 0..HALVINGS {
            let middle = 0.5 * (borne + not);
            if peak(middle)? <= rated_amperes {
                borne = middle;
            } else {
                not = middle;
            }
        }
        Some(borne * farads)
    };
    Some(FirstFilter {
        largest_farads,
        tube: sheet_tube.reference.clone(),
        peak_amperes,
        rated_amperes,
    })
}
