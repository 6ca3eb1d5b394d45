//! Tubes whose current nothing on the sheet tells.
//!
//! Milliamperes, volts. A tube that is heated, but has no stage on the sheet and no load that
//! stands for it, draws all the same: without it every B+ line would be told too high. Its
//! current is taken from the catalogue's published points as one load behind the filter, with
//! a wide doubt, and the answer says so. Where a load does not name its tubes it is taken to
//! stand for all the rest. Nothing here fails; a tube without published points is named and
//! not counted.

use parts::{Catalogue, SectionKind, TubeType};

use crate::reading::Notice;
use crate::sheet::{PartValue, Place, Sheet, SheetPart};
use crate::wiring::{Rectifying, SetModel};

/// The reference of the load that stands for them.
pub const UNTOLD: &str = "tubes not shown";

/// How far their current may be off, low and high, over the sum of the published points
/// (judgement: controls, bias and dividers set most stages below them, output tubes at them).
pub(crate) const UNTOLD_SHARES: (f64, f64) = (0.3, 1.3);

/// Their current over that sum, expected.
pub(crate) const USUAL_SHARE: f64 = 0.7;

/// The sheet with a load for the tubes that it does not tell, and what to say of it; `None`
/// where every tube is told, or no B+ line is.
pub fn with_untold_tubes(sheet: &Sheet, catalogue: &Catalogue) -> Option<(Sheet, Notice)> {
    let loads = || sheet.parts.iter().map(|part| &part.value);
    let unnamed = loads().any(|value| {
        matches!(value, PartValue::Load { steady: false, stands_for, .. } if stands_for.is_empty())
    });
    if unnamed || sheet.parts.is_empty() {
        return None;
    }
    let model = SetModel::new(sheet, catalogue);
    let place = behind_the_filter(&model)?;
    let stood_for = |reference: &str| {
        loads().any(|value| {
            matches!(value, PartValue::Load { stands_for, .. }
                if stands_for.iter().any(|own| own.eq_ignore_ascii_case(reference)))
        })
    };
    let untold: Vec<usize> = (0..sheet.tubes.len())
        .filter(|&tube| {
            let own = &sheet.tubes[tube];
            model.is_heated(tube)
                && !own.kind.is_picture_tube
                && own.kind.rectifier_section().is_none()
                && !stood_for(&own.reference)
                && model.stages.of_tube(tube).next().is_none()
        })
        .collect();
    let mut amperes = 0.0;
    let mut watts = 0.0;
    let mut unknown = Vec::new();
    for &tube in &untold {
        match usual_draw(&sheet.tubes[tube].kind) {
            Some((volts, milliamperes)) => {
                amperes += 1e-3 * milliamperes;
                watts += 1e-3 * milliamperes * volts;
            }
            None => unknown.push(sheet.tubes[tube].reference.clone()),
        }
    }
    if amperes <= 0.0 {
        return None;
    }
    let names: Vec<&str> = untold
        .iter()
        .map(|&tube| sheet.tubes[tube].reference.as_str())
        .collect();
    let left_out = if unknown.is_empty() {
        String::new()
    } else {
        format!(" ({} not counted: no published point)", unknown.join(", "))
    };
    let notice = Notice {
        text: format!(
            "nothing on the sheet tells what {} draw{}: {:.0} to {:.0} mA are assumed at {}, by published points{left_out}",
            names.join(", "),
            if names.len() == 1 { "s" } else { "" },
            1e3 * UNTOLD_SHARES.0 * amperes,
            1e3 * UNTOLD_SHARES.1 * amperes,
            place
        ),
        hint: "B+ and all that hangs on it is in doubt by that much; add their stages, or a \
               `load` that stands for them"
            .to_string(),
    };
    let mut whole = sheet.clone();
    whole.parts.push(SheetPart {
        reference: UNTOLD.to_string(),
        value: PartValue::Load {
            amperes: USUAL_SHARE * amperes,
            volts: watts / amperes,
            steady: false,
            stands_for: Vec::new(),
        },
        from: place,
        to: Place::Chassis,
        third: None,
        line: 0,
    });
    Some((whole, notice))
}

/// Plate volts and milliamperes of all sections together at their first published points.
fn usual_draw(kind: &TubeType) -> Option<(f64, f64)> {
    let (mut milliamperes, mut power) = (0.0, 0.0);
    for section in &kind.sections {
        if section.kind == SectionKind::Diode {
            continue;
        }
        let point = section
            .operating_points
            .iter()
            .find(|point| point.plate_milliamperes.is_some());
        let Some(point) = point else { continue };
        let own = f64::from(section.units)
            * (point.plate_milliamperes.unwrap_or(0.0) + point.screen_milliamperes.unwrap_or(0.0));
        milliamperes += own;
        power += own * point.plate_volts.unwrap_or(250.0);
    }
    (milliamperes > 0.0).then(|| (power / milliamperes, milliamperes))
}

/// The named B+ line on which most parts hang, rectifier cathodes last.
fn behind_the_filter(model: &SetModel<'_>) -> Option<Place> {
    let sheet = model.sheet;
    let cathodes: Vec<usize> = model
        .rectifying()
        .iter()
        .filter_map(|rectifying| match rectifying {
            Rectifying::Tube { cathode, .. } => Some(*cathode),
            Rectifying::Metal { part } => model.part_junctions(*part)[1],
        })
        .collect();
    let mut best: Option<(bool, usize, Place)> = None;
    for junction in model.supply_places() {
        if Some(junction) == model.chassis_junction() {
            continue;
        }
        let places = sheet.parts.iter().flat_map(|part| [&part.from, &part.to]);
        let here: Vec<&Place> = places
            .filter(|place| model.junction(place) == Some(junction))
            .collect();
        let Some(place) = here
            .iter()
            .find(|place| matches!(place, Place::Named(_)))
            .or(here.first())
        else {
            continue;
        };
        let raw = cathodes.contains(&junction);
        let better = best
            .as_ref()
            .is_none_or(|(own, count, _)| (!raw, here.len()) > (!own, *count));
        if better {
            best = Some((raw, here.len(), (*place).clone()));
        }
    }
    best.map(|(_, _, place)| place)
}
