//! Bench conditions that may tell more than those at hand: a lower line, a lamp, a tube out; the sweep feed open
//! and nothing else while the drive of the horizontal output tube is not known.
//!
//! Volts, watts. Each is to be foretold before it can be offered from. A tube is pulled only where
//! hazard lets it be: where its absence was worked out and found harmless, and never one of a
//! heater string; nor one of the sweeps while the picture tube is in its socket, since a standing
//! line burns the screen (common practice). Fails by a damaged table of hazards.

use crate::conditions::BenchConditions;
use crate::hazard::{Act, ActKind, ActPlace, Situation, StoredCharge, TableFault};
use crate::plan::situation::{absence, opening_the_sweep, sweep_feed};
use crate::sweep_drive::none_is_fed;
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
    // Without drive nothing is read while the output stage is fed.
    if !situation.drive_known
        && situation.horizontal_output == Some(true)
        && !none_is_fed(model, present)
    {
        if let Some(feed) = sweep_feed(model) {
            let opening = opening_the_sweep(model, feed);
            if opening.is_harmless && !opening.socket_off {
                let mut then = present.clone();
                then.open.push(model.sheet.parts[feed].reference.clone());
                found.push(then);
            }
        }
        return Ok(found);
    }
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
    let picture_tube_in = (0..model.sheet.tubes.len()).any(|tube| {
        model.sheet.tubes[tube].kind.is_picture_tube && !model.is_pulled(tube, present)
    });
    for &tube in tubes {
        let Some(own) = model.sheet.tubes.get(tube) else {
            continue;
        };
        let is_lit = picture_tube_in && is_of_the_sweeps(model, tube);
        if model.is_pulled(tube, present) || own.kind.is_picture_tube || is_lit {
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

/// Whether a tube works in a sweep, by its job in the sheet's words; one whose job is not told may.
fn is_of_the_sweeps(model: &SetModel<'_>, tube: usize) -> bool {
    const WORDS: [&str; 9] = [
        "vertical",
        "horizontal",
        "sweep",
        "deflection",
        "damper",
        "frame",
        "field",
        "line output",
        "line oscillator",
    ];
    let job = model.sheet.tubes.get(tube).map_or("", |own| &own.job);
    let job = job.trim().to_lowercase();
    job.is_empty() || WORDS.iter().any(|word| job.contains(word))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::read_sheet;
    use crate::suspects::next::while_hunting;

    /// Common practice: a standing line burns the screen within seconds.
    #[test]
    fn no_tube_of_a_sweep_is_pulled_while_the_picture_tube_is_lit() {
        let catalogue = parts::catalogue().expect("the tables are sound");
        let text = include_str!("../../../../../examples/whole/larkfield_12t.toml");
        let sheet = read_sheet(text, catalogue).sheet.expect("no fault");
        let model = SetModel::new(&sheet, catalogue);
        let all: Vec<usize> = (0..sheet.tubes.len()).collect();
        let pulled = |present: &BenchConditions| -> Vec<String> {
            let situation = while_hunting(&model, present, true);
            let found = elsewhere(&model, present, &situation, &all).expect("sound");
            let last = found
                .into_iter()
                .filter_map(|own| own.pulled.last().cloned());
            last.filter(|own| !present.pulled.contains(own)).collect()
        };
        let lit = pulled(&BenchConditions::default());
        for tube in lit.iter().filter_map(|own| sheet.tube(own)) {
            let job = tube.job.to_lowercase();
            assert!(
                !job.contains("vertical") && !job.contains("horizontal"),
                "{job}"
            );
        }
        assert!(!lit.is_empty());
        // With the picture tube out of its socket the vertical sweep may rest.
        let picture = sheet.tubes.iter().find(|own| own.kind.is_picture_tube);
        let dark = pulled(&BenchConditions {
            pulled: vec![picture.expect("a picture tube").reference.clone()],
            ..BenchConditions::default()
        });
        assert!(dark.iter().any(|own| !lit.contains(own)), "{dark:?}");
    }
}
