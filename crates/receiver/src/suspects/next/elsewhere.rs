//! Bench conditions that may tell more than those at hand: a lower line, a lamp, a tube out.
//!
//! Volts, watts. Each is to be foretold before it can be offered from. A tube is pulled only where
//! hazard lets it be: where its absence was worked out and found harmless, and never one of a
//! heater string. Fails by a damaged table of hazards.

use crate::conditions::BenchConditions;
use crate::hazard::{Act, ActKind, ActPlace, Situation, StoredCharge, TableFault};
use crate::plan::situation::absence;
use crate::wiring::SetModel;

use super::acts::{allowed, plug_out_first};

/// Share of the line to which it is lowered: most stages still run (judgement).
const LOWER: f64 = 0.8;
/// Watts of a lamp in series with a set that draws a hundred and some (common practice).
const LAMP_WATTS: f64 = 100.0;

/// Conditions one step away from these, by what is easiest first; `tubes` are those that may be
/// pulled, in the order in which they are of interest.
///
/// # Errors
/// The first fault of the table of hazards.
pub fn elsewhere(
    model: &SetModel<'_>,
    present: &BenchConditions,
    situation: &Situation,
    tubes: &[usize],
) -> Result<Vec<BenchConditions>, TableFault> {
    let mut found = Vec::new();
    let line = present.line_volts.unwrap_or(model.sheet.line_volts);
    if line > 0.9 * model.sheet.line_volts {
        found.push(BenchConditions {
            line_volts: Some((LOWER * line).round()),
            ..present.clone()
        });
    }
    if present.lamps.is_empty() {
        found.push(BenchConditions {
            lamps: vec![LAMP_WATTS],
            ..present.clone()
        });
    }
    for &tube in tubes {
        let Some(own) = model.sheet.tubes.get(tube) else {
            continue;
        };
        if model.is_pulled(tube, present) || own.kind.is_picture_tube {
            continue;
        }
        let mut then = present.clone();
        then.pulled.push(own.reference.clone());
        let pull = Act::new(ActKind::Pull, ActPlace::Tube(own.reference.clone()))
            .charge(StoredCharge::ProvenWithMeter)
            .absence(absence(model, tube, &then));
        if allowed(&plug_out_first(vec![pull]), situation)? {
            found.push(then);
        }
    }
    Ok(found)
}
