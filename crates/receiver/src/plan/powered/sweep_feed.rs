//! What opens the sweep feed: the plug, fuse, switch or part without which the damper
//! and the horizontal output stage get nothing.
//!
//! Ohms; junction numbers of the sheet's places. Source: the sheet's wiring. Nothing
//! here can fail: where no single part opens the feed there is none.

use crate::sheet::PartValue;
use crate::wiring::{Rectifying, SetModel};

/// What opens the sweep feed: the plug, fuse, switch or part without which the damper
/// and the horizontal output stage get nothing.
pub fn sweep_opening(model: &SetModel<'_>) -> Option<String> {
    let watched = sweep_junctions(model);
    if watched.is_empty() {
        return None;
    }
    let supplies = model.supply_places();
    let reaches = |without: usize| {
        let mut reached = supplies
            .iter()
            .copied()
            .filter(|junction| !watched.contains(junction))
            .collect::<Vec<_>>();
        let mut at = 0;
        while at < reached.len() {
            let here = reached[at];
            at += 1;
            for index in 0..model.sheet.parts.len() {
                if index == without || !passes_direct(model, index) {
                    continue;
                }
                let [Some(a), Some(b), _] = model.part_junctions(index) else {
                    continue;
                };
                for (one, other) in [(a, b), (b, a)] {
                    if one == here
                        && Some(other) != model.chassis_junction()
                        && !reached.contains(&other)
                    {
                        reached.push(other);
                    }
                }
            }
        }
        watched.iter().any(|junction| reached.contains(junction))
    };
    let rank = |value: &PartValue| match value {
        PartValue::Plug { .. } => Some(0),
        PartValue::Switch { .. } => Some(1),
        PartValue::Fuse { .. } => Some(2),
        PartValue::Coil { .. } | PartValue::Resistor { .. } => Some(3),
        _ => None,
    };
    let mut candidates: Vec<(usize, usize)> = model
        .sheet
        .parts
        .iter()
        .enumerate()
        .filter_map(|(index, part)| Some((rank(&part.value)?, index)))
        .collect();
    candidates.sort_unstable();
    candidates
        .into_iter()
        .find(|&(_, index)| {
            let on_line = model.part_junctions(index)[..2]
                .iter()
                .flatten()
                .any(|&end| model.alternates(end));
            !on_line && !reaches(index)
        })
        .map(|(_, index)| model.sheet.parts[index].reference.clone())
}

/// Plates of dampers: where the sweep stage takes its B+.
fn sweep_junctions(model: &SetModel<'_>) -> Vec<usize> {
    model
        .rectifying()
        .iter()
        .filter_map(|rectifying| match rectifying {
            Rectifying::Tube {
                anode,
                damper: true,
                ..
            } => Some(*anode),
            _ => None,
        })
        .collect()
}

fn passes_direct(model: &SetModel<'_>, index: usize) -> bool {
    match model.sheet.parts[index].value {
        PartValue::Plug { .. }
        | PartValue::Switch { .. }
        | PartValue::Fuse { .. }
        | PartValue::Coil { .. } => true,
        PartValue::Resistor { .. } => model.ohms(index).unwrap_or(0.0) < 20_000.0,
        _ => false,
    }
}
