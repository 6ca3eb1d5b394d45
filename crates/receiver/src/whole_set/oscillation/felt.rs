//! Which groups of stages that drive themselves feel a cause or a fault.
//!
//! Groups by their position among those that were learned. A part counts with an end at a place that swings, a tube with a
//! stage of the group. Nothing here fails; a group that cannot be calculated feels nothing.

use crate::wiring::{Change, Figure as SetFigure, SetModel, Variation};

use super::Group;

/// Whether a cause is felt by a group's signal itself.
pub(in crate::whole_set) fn acts(model: &SetModel<'_>, group: &Group, figure: SetFigure) -> bool {
    let Ok(region) = &group.region else {
        return false;
    };
    match figure {
        SetFigure::Ohms(part)
        | SetFigure::Setting(part)
        | SetFigure::Farads(part)
        | SetFigure::Henries(part) => model.part_ends[part]
            .iter()
            .flatten()
            .any(|end| region.junctions.contains(end)),
        SetFigure::TubeStrength(tube)
        | SetFigure::TubeCutoff(tube)
        | SetFigure::TubeContact(tube)
        | SetFigure::StageEmission(tube)
        | SetFigure::Worn(tube) => {
            let mut told = group.told();
            told.any(|stage| model.stages.complete[stage].tube == tube)
        }
        SetFigure::StageLaw(stage) | SetFigure::SweepPlate(stage) => {
            group.told().any(|told| told == stage)
        }
        _ => false,
    }
}

/// By group: whether a fault sits among the places that swing there or in its tubes, so that the signal itself feels it.
pub(super) fn felt_by(model: &SetModel<'_>, variation: &Variation) -> Vec<bool> {
    let learned = model.usual().oscillators.iter();
    learned
        .map(|own| {
            let Ok(region) = &own.group.region else {
                return false;
            };
            let swings = |junction: usize| region.junctions.contains(&junction);
            let at_part = |part: usize| {
                let ends = model.part_ends.get(part);
                ends.is_some_and(|ends| ends.iter().flatten().any(|end| swings(*end)))
            };
            let of_tube = |tube: usize| {
                let mut told = own.group.told();
                told.any(|stage| model.stages.complete[stage].tube == tube)
            };
            let by_change = |change: &Change| match *change {
                Change::Shunt { a, b, .. } => swings(a) || swings(b),
                Change::Open(part) | Change::AtWiper { part, .. } | Change::Beside { part, .. } => {
                    at_part(part)
                }
                Change::HeaterToJunction { junction, .. } => swings(junction),
                Change::HeaterOpen(tube) => of_tube(tube),
                Change::ShortedTurns { .. }
                | Change::TubePathShort { .. }
                | Change::AcrossHeaters { .. } => false,
            };
            own.wave().is_some()
                && (variation
                    .figures()
                    .any(|own_figure| acts(model, &own.group, own_figure))
                    || variation.changes.iter().any(by_change))
        })
        .collect()
}
