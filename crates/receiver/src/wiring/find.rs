//! Finds in a sheet what the circuit is built around: heaters, rectifiers, and the
//! capacitors and coils that a line cycle has to follow.
//!
//! Henries where a size counts; junction numbers are those of the sheet's places.
//! Source: the sheet's wiring and the catalogue's pins. Nothing here can fail: a
//! rectifier whose pins are not known is listed as left out.

use parts::SectionKind;

use crate::sheet::{CapacitorStyle, CoilKind, HeaterArrangement, PartValue, Place};

use super::SetModel;
use super::build::{HeaterPlace, Rectifying};
use super::figures::LeftOut;

/// Coils on one core with this one, itself among them: coils of one transformer share its name up to the
/// last letters (`T2A`, `T2B`). Halves of a yoke are taken by themselves.
pub(crate) fn coils_on_one_core(model: &SetModel<'_>, index: usize) -> Vec<usize> {
    let stem = |index: usize| {
        let reference = &model.sheet.parts[index].reference;
        reference
            .trim_end_matches(|letter: char| letter.is_ascii_alphabetic())
            .to_ascii_uppercase()
    };
    let plain = |index: usize| matches!(model.sheet.parts[index].value, PartValue::Coil { kind, .. } if kind == CoilKind::Coil);
    let own = stem(index);
    if !plain(index) || !own.starts_with('T') {
        return vec![index];
    }
    (0..model.sheet.parts.len())
        .filter(|&other| plain(other) && stem(other) == own)
        .collect()
}

/// Where the heaters are fed.
pub(super) fn heater_places(model: &SetModel<'_>) -> Vec<HeaterPlace> {
    let sheet = model.sheet;
    let mut found = Vec::new();
    let mut heated = vec![false; sheet.tubes.len()];
    for row in &sheet.heaters {
        let (Some(from), Some(to)) = (model.junction(&row.from), model.junction(&row.to)) else {
            continue;
        };
        let tubes: Vec<usize> = row
            .tubes
            .iter()
            .filter_map(|reference| model.tube_index(reference))
            .collect();
        for &tube in &tubes {
            heated[tube] = true;
        }
        found.push(HeaterPlace {
            from,
            to,
            arrangement: row.arrangement,
            tubes,
            straight: false,
        });
    }
    for (index, tube) in sheet.tubes.iter().enumerate() {
        if heated[index] {
            continue;
        }
        let mut ends: Vec<usize> = tube
            .kind
            .heater_pins()
            .into_iter()
            .filter_map(|pin| {
                model.junction(&Place::Pin {
                    tube: tube.reference.clone(),
                    pin,
                })
            })
            .collect();
        ends.dedup();
        let fed_by_winding = |junction: usize| {
            model
                .winding_ends
                .iter()
                .any(|ends| ends.contains(&Some(junction)))
        };
        if let [from, .., to] = ends[..]
            && from != to
            && (fed_by_winding(from) || fed_by_winding(to))
        {
            found.push(HeaterPlace {
                from,
                to,
                arrangement: HeaterArrangement::Parallel,
                tubes: vec![index],
                straight: true,
            });
        }
    }
    found
}

/// The ways for rectified current.
pub(super) fn rectifying(model: &mut SetModel<'_>) -> Vec<Rectifying> {
    let sheet = model.sheet;
    let mut found = Vec::new();
    for (index, tube) in sheet.tubes.iter().enumerate() {
        let Some(section) = tube.kind.rectifier_section() else {
            continue;
        };
        if section.kind == SectionKind::HvRectifier {
            continue;
        }
        let damper = section.kind == SectionKind::Damper;
        let paths = tube.kind.rectifier_paths();
        if paths.is_empty() {
            model.left_out.push(LeftOut {
                reference: tube.reference.clone(),
                because: format!("the pins of {} are not in the catalogue", tube.kind.name),
            });
        }
        for (number, path) in paths.iter().enumerate() {
            let place = |pin| Place::Pin {
                tube: tube.reference.clone(),
                pin,
            };
            let anode = model.junction(&place(path.plate));
            let cathodes: Vec<usize> = path
                .cathodes
                .iter()
                .filter_map(|&pin| model.junction(&place(pin)))
                .collect();
            // B+ is taken from the filament end that something besides the winding uses.
            let used = |junction: &usize| {
                model
                    .part_ends
                    .iter()
                    .any(|ends| ends.contains(&Some(*junction)))
            };
            let cathode = cathodes
                .iter()
                .copied()
                .find(used)
                .or(cathodes.last().copied());
            match (anode, cathode) {
                (Some(anode), Some(cathode)) => found.push(Rectifying::Tube {
                    tube: index,
                    path: number,
                    plate: place(path.plate),
                    anode,
                    cathode,
                    damper,
                }),
                _ => model.left_out.push(LeftOut {
                    reference: format!("{}.{}", tube.reference, path.plate),
                    because: "its plate or its cathode is not on the sheet".to_string(),
                }),
            }
        }
    }
    for (index, part) in sheet.parts.iter().enumerate() {
        if matches!(
            part.value,
            PartValue::Selenium { .. } | PartValue::Silicon { .. }
        ) {
            found.push(Rectifying::Metal { part: index });
        }
    }
    found
}

/// Smallest inductance that a line cycle can feel beside the resistances of a supply, henries.
const FOLLOWED_HENRIES: f64 = 0.2;

/// Parts other than capacitors and wires from which on a place that a screen is tied to is a supply line (judgement: a
/// screen with its bypass has one or two).
const LINE_PARTS: usize = 3;

/// Which capacitors and coils the cycle has to follow: electrolytics, chokes, and
/// whatever lies at the line, at a winding or at a rectifier.
pub(super) fn followed(model: &SetModel<'_>) -> Vec<bool> {
    let mut near = vec![false; model.places.junctions().len()];
    let mut mark = |junction: Option<usize>| {
        if let Some(junction) = junction
            && let Some(near) = near.get_mut(junction)
        {
            *near = true;
        }
    };
    for place in [Place::LineA, Place::LineB] {
        mark(model.junction(&place));
    }
    for ends in &model.winding_ends {
        mark(ends[0]);
        mark(ends[1]);
    }
    for rectifying in &model.rectifying {
        match rectifying {
            Rectifying::Tube {
                anode,
                cathode,
                damper: false,
                ..
            } => {
                mark(Some(*anode));
                mark(Some(*cathode));
            }
            Rectifying::Tube { .. } => {}
            Rectifying::Metal { part } => {
                mark(model.part_ends[*part][0]);
                mark(model.part_ends[*part][1]);
            }
        }
    }
    for (index, part) in model.sheet.parts.iter().enumerate() {
        if matches!(
            part.value,
            PartValue::Fuse { .. } | PartValue::Switch { .. } | PartValue::Plug { .. }
        ) && model.part_ends[index][..2]
            .iter()
            .flatten()
            .any(|&end| near.get(end).copied().unwrap_or(false))
            && !model.part_ends[index][..2].contains(&model.chassis)
        {
            // A fuse or switch in the line carries the line on to its other end.
            let line_side = model.part_ends[index];
            for end in line_side[..2].iter().flatten() {
                if let Some(near) = near.get_mut(*end) {
                    *near = true;
                }
            }
        }
    }
    // What bypasses or loads one stage has no part in the supply's cycle; a line with several
    // parts on it has, though a screen may be tied to it by a wire.
    let feeds = |end: usize| {
        let stages = &model.stages.complete;
        let parts = model.sheet.parts.iter().zip(&model.part_ends);
        let brings = parts.filter(|(part, ends)| {
            ends.contains(&Some(end))
                && !matches!(part.value, PartValue::Capacitor { .. } | PartValue::Wire)
        });
        stages.iter().all(|stage| stage.cathode != end) && brings.count() >= LINE_PARTS
    };
    let at_a_stage =
        |index: usize, may_feed: bool| {
            model.has_stages()
                && model.part_ends[index][..2].iter().flatten().any(|&end| {
                    !near.get(end).copied().unwrap_or(false)
                        && model.stages.complete.iter().any(|stage| {
                            !stage.is_damper() && stage.junctions().any(|own| own == end)
                        })
                        && !(may_feed && feeds(end))
                })
        };
    let ends_near = |index: usize| {
        model.part_ends[index][..2]
            .iter()
            .flatten()
            .any(|&end| near.get(end).copied().unwrap_or(false) && Some(end) != model.chassis)
    };
    let used: Vec<usize> = {
        let mut used = vec![0; model.places.junctions().len()];
        for ends in &model.part_ends {
            for end in ends.iter().flatten() {
                if let Some(used) = used.get_mut(*end) {
                    *used += 1;
                }
            }
        }
        used
    };
    model
        .sheet
        .parts
        .iter()
        .enumerate()
        .map(|(index, part)| match &part.value {
            PartValue::Capacitor { style, .. } => {
                (*style == CapacitorStyle::Electrolytic && !at_a_stage(index, true))
                    || ends_near(index)
            }
            PartValue::Coil { kind, .. } => {
                let figures = model.resolved.parts.get(index).copied().unwrap_or_default();
                let hangs = model.part_ends[index][..2].iter().flatten().any(|&end| {
                    used.get(end).copied().unwrap_or(0) < 2 && Some(end) != model.chassis
                });
                figures.henries > 0.0
                    && match kind {
                        CoilKind::Choke | CoilKind::FocusCoil => true,
                        CoilKind::Coil | CoilKind::Yoke => {
                            figures.henries >= FOLLOWED_HENRIES
                                && !hangs
                                && !at_a_stage(index, false)
                        }
                    }
            }
            _ => false,
        })
        .collect()
}
