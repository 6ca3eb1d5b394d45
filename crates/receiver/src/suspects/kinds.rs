//! What an act of the fault table does to a part or a tube of one set.
//!
//! Acts are those of [`super::rules`]; the result is a change of the circuit, one for each section that it can strike.
//! `None` or nothing where it has no place in this set. Nothing here fails.

use parts::SectionKind;

use crate::wiring::{FaultKind, Rectifying, SetModel};

use super::rules::Act;

/// What an act does to a part.
pub(super) fn kind_of_part(model: &SetModel<'_>, part: usize, act: Act) -> Option<FaultKind> {
    let known_ohms = || model.ohms(part).is_some() || model.thermistors.contains_key(&part);
    Some(match act {
        Act::CapacitorLeak => FaultKind::CapacitorLeak(part),
        Act::Across => FaultKind::Across(part),
        Act::Open => FaultKind::Open(part),
        Act::PercentUp | Act::OhmsTimes => known_ohms().then_some(FaultKind::OhmsTimes(part))?,
        Act::WiperOhms | Act::WiperOpen => {
            let has_wiper = model.part_junctions(part)[2].is_some();
            has_wiper.then_some(FaultKind::AtWiper(part))?
        }
        Act::SectionLeak => section_leak(model, part)?,
        Act::ToChassis => {
            let [from, to, _] = model.part_junctions(part);
            let is_chassis = |end: Option<usize>| end.is_none() || end == model.chassis_junction();
            // A leak from an end that lies on the chassis does nothing.
            let end = if is_chassis(from) { to } else { from };
            (!is_chassis(end)).then_some(FaultKind::LineToChassis(end?))?
        }
        Act::FaradsTimes => FaultKind::FaradsTimes(part),
        Act::SeriesOhms => {
            let usual = model.series_ohms(part);
            (usual > 0.0).then_some(FaultKind::SeriesOhms { part, usual })?
        }
        Act::RectifierDrop => FaultKind::SeleniumResistive(part),
        Act::RectifierLeak => FaultKind::MetalShorted(part),
        Act::SmallDrop => FaultKind::DropTimes(part),
        _ => return None,
    })
}

/// Volts from which a winding that the line does not feed is one of the plates (common practice: heaters take 2.5 to 40).
const PLATE_VOLTS: f64 = 60.0;

/// What an act does to a winding of a power transformer.
pub(super) fn kind_of_winding(model: &SetModel<'_>, winding: usize, act: Act) -> Option<FaultKind> {
    let own = model.sheet.windings.get(winding)?;
    let primaries = model.sheet.primaries();
    let is_primary = primaries.iter().any(|primary| std::ptr::eq(*primary, own));
    match act {
        Act::ShortedTurns => Some(FaultKind::ShortedTurns(winding)),
        Act::PrimaryOpen => is_primary.then_some(FaultKind::WindingOpen(winding)),
        Act::PlateWindingOpen => {
            (!is_primary && own.volts? >= PLATE_VOLTS).then_some(FaultKind::WindingOpen(winding))
        }
        _ => None,
    }
}

/// What an act does to a tube: one way for each section that it can strike.
pub(super) fn kinds_of_tube(model: &SetModel<'_>, tube: usize, act: Act) -> Vec<FaultKind> {
    let rectifies = model.rectifying().iter().any(
        |own| matches!(own, Rectifying::Tube { tube: own, damper: false, .. } if *own == tube),
    );
    let stages = || {
        let own = model.stages.complete.iter();
        own.filter(move |stage| stage.tube == tube)
    };
    let followed = rectifies || stages().next().is_some();
    let heated = model.is_heated(tube);
    match act {
        Act::Emission | Act::NoEmission if followed => {
            vec![FaultKind::Emission { tube, rectifies }]
        }
        Act::HeaterOpen if heated => vec![FaultKind::HeaterOpen(tube)],
        Act::HeaterToCathode if heated => {
            let direct = model.sheet.tubes[tube].kind.is_directly_heated() == Some(true);
            let mut cathodes: Vec<usize> = stages().map(|stage| stage.cathode).collect();
            cathodes.extend(model.cathode_junction(tube));
            cathodes.retain(|own| Some(*own) != model.chassis_junction());
            cathodes.sort_unstable();
            cathodes.dedup();
            if direct {
                cathodes.clear();
            }
            cathodes
                .into_iter()
                .map(|cathode| FaultKind::HeaterToCathode { tube, cathode })
                .collect()
        }
        Act::GridCurrent => stages()
            .filter(|stage| stage.kind != SectionKind::Diode && !stage.is_damper())
            .filter_map(|stage| {
                let [plate, grid, screen, _] = stage.electrodes;
                let (grid, from) = (grid?, screen.or(plate)?);
                (grid != from && Some(grid) != model.chassis_junction())
                    .then_some(FaultKind::GridCurrent { grid, from })
            })
            .collect(),
        Act::Elements if rectifies => model
            .rectifying()
            .iter()
            .filter_map(|own| match own {
                Rectifying::Tube {
                    tube: own, path, ..
                } if *own == tube => Some(FaultKind::TubeShorted { tube, path: *path }),
                _ => None,
            })
            .collect(),
        Act::Elements | Act::GridToCathode => stages()
            .filter_map(|stage| between(stage.electrodes[1]?, stage.cathode))
            .collect(),
        Act::GridToScreen => stages()
            .filter_map(|stage| between(stage.electrodes[1]?, stage.electrodes[2]?))
            .collect(),
        _ => Vec::new(),
    }
}

fn between(a: usize, b: usize) -> Option<FaultKind> {
    (a != b).then_some(FaultKind::Between { a, b })
}

/// A leak to the next section of the same can: references that differ in their last letter only (`C4A`, `C4B`; common practice of
/// naming), with another + end.
fn section_leak(model: &SetModel<'_>, part: usize) -> Option<FaultKind> {
    let parts = &model.sheet.parts;
    let stem = |reference: &str| -> Option<String> {
        let (last, stem) = (
            reference.chars().next_back()?,
            reference.len().checked_sub(1)?,
        );
        last.is_ascii_alphabetic()
            .then(|| reference.get(..stem).map(str::to_uppercase))?
    };
    let own = parts.get(part)?;
    let (name, kind) = (stem(&own.reference)?, own.value.kind());
    let next = (part + 1..parts.len()).find(|other| {
        let other = &parts[*other];
        other.value.kind() == kind && stem(&other.reference).as_ref() == Some(&name)
    })?;
    let plus = |part: usize| model.part_junctions(part)[0];
    between(plus(part)?, plus(next)?)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::read_sheet;

    const LARKFIELD: &str = include_str!("../../../../examples/whole/larkfield_12t.toml");

    /// By the sheet: C4A and C4B are one can, C5 is a can by itself.
    #[test]
    fn sections_of_one_can_may_leak_to_each_other() {
        let catalogue = parts::catalogue().expect("the tables are sound");
        let sheet = read_sheet(LARKFIELD, catalogue).sheet.expect("no fault");
        let model = SetModel::new(&sheet, catalogue);
        let of = |name: &str| {
            let part = model.part_index(name).expect("a part");
            kind_of_part(&model, part, Act::SectionLeak)
        };
        let plus = |name: &str| {
            let part = model.part_index(name).expect("a part");
            model.part_junctions(part)[0].expect("an end")
        };
        let (a, b) = (plus("C4A"), plus("C4B"));
        assert_eq!(of("C4A"), Some(FaultKind::Between { a, b }));
        assert_eq!((of("C4B"), of("C5")), (None, None));
    }

    /// A leak to the case from an end that is not on the chassis.
    #[test]
    fn a_leak_to_the_case_starts_at_the_live_end() {
        let catalogue = parts::catalogue().expect("the tables are sound");
        let sheet = read_sheet(LARKFIELD, catalogue).sheet.expect("no fault");
        let model = SetModel::new(&sheet, catalogue);
        let r80 = model.part_index("R80").expect("the volume control");
        let live = model.part_junctions(r80)[0].expect("an end");
        let kind = kind_of_part(&model, r80, Act::ToChassis);
        assert_eq!(kind, Some(FaultKind::LineToChassis(live)));
    }
}
