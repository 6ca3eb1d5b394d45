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
