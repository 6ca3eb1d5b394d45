//! What the stages draw from each supply junction.
//!
//! Amperes, siemens; junction numbers are those of the sheet's places. With the supply
//! junctions held at their volts, what is left of the set between them is a network of
//! resistances, in which the currents of the stages add up (superposition): each tube's own
//! currents, put in alone, give what each supply junction has to bring for it. A junction
//! that stages feed (the line below a stage that stands upon it) takes its current from
//! the one that brings most. A network that cannot be solved gives no draws.

use circuit::Node;
use circuit::operating::{Branch, Figure, Operating, Point};
use circuit::tube::TubeState;

use crate::sheet::PartValue;
use crate::wiring::{SetModel, StageLoad, Wired};

use super::direct::Direct;
use super::oscillation::Around;

/// Conductance by which the supply junctions are held, siemens.
const HOLD: f64 = 10.0;
/// Below this a junction brings nothing for a tube, amperes.
const LEAST_AMPERES: f64 = 3e-7;
/// Below this a junction is no supply, volts.
const LEAST_VOLTS: f64 = 0.5;

/// Draws of all stages at this point, each as it would be at rated heat.
pub(super) fn of(model: &SetModel<'_>, at: &Around<'_>) -> Vec<StageLoad> {
    let supply = supply_junctions(model, at.wired);
    draws(model, at.wired, at.direct, at.figures, at.point, &supply)
        .unwrap_or_default()
        .into_iter()
        .map(|load| load.at_rated_heat(at.emission, at.variation))
        .collect()
}

/// Junctions that bring current: electrolytics but for those of cathodes, rectifiers, both
/// sides of fuses, plugs and switches.
pub(super) fn supply_junctions(model: &SetModel<'_>, wired: &Wired) -> Vec<usize> {
    let cathodes: Vec<usize> = model
        .stages
        .complete
        .iter()
        .map(|stage| stage.cathode)
        .collect();
    let mut found: Vec<usize> = (0..model.places.junctions().len())
        .filter(|&junction| model.has_ripple(junction) && !cathodes.contains(&junction))
        .collect();
    for (index, part) in model.sheet.parts.iter().enumerate() {
        if matches!(
            part.value,
            PartValue::Fuse { .. } | PartValue::Plug { .. } | PartValue::Switch { .. }
        ) {
            found.extend(model.part_ends[index].iter().flatten());
        }
    }
    found.retain(|&junction| {
        wired.node(junction) != 0 && !model.alternates(junction) && !wired.floating[junction]
    });
    found.sort_unstable();
    found.dedup();
    // Junctions on one node are one.
    found.dedup_by_key(|junction| wired.node(*junction));
    found
}

fn draws(
    model: &SetModel<'_>,
    wired: &Wired,
    direct: &Direct,
    figures: &[Figure],
    point: &Point,
    supply: &[usize],
) -> Option<Vec<StageLoad>> {
    let mut network = direct.operating.network().clone();
    let mut held: Vec<Figure> = network
        .branches
        .iter()
        .zip(figures)
        .enumerate()
        .map(|(branch, (_, figure))| match figure {
            Figure::Tube(_) => Figure::Tube(TubeState {
                emission: 0.0,
                ..TubeState::default()
            }),
            Figure::TwoTerminal { .. } => Figure::TwoTerminal { scale: 0.0 },
            Figure::Source { siemens, .. } if direct.is_of_stage(branch) => Figure::Source {
                volts: 0.0,
                siemens: match direct.is_way_of_damper(model, branch) {
                    true => *siemens,
                    false => 0.0,
                },
            },
            figure => *figure,
        })
        .collect();
    for &junction in supply {
        let node = wired.node(junction);
        network.add(Branch::Source { a: node, b: 0 });
        held.push(Figure::Source {
            volts: point.volts.get(node).copied()?,
            siemens: HOLD,
        });
    }
    // A damper at rest passes on what the stages behind it draw; what parts take there the cycle has itself.
    for (a, b, siemens) in dampers_at_rest(model, wired, direct, figures, point) {
        network.add(Branch::Resistance { a, b });
        held.push(Figure::Siemens(siemens));
    }
    let operating = Operating::new(&network).ok()?;
    let rest = operating.solve(&held, Some(&point.volts)).ok()?;
    let response = operating.response(&held, &rest).ok()?;
    // How each supply junction answers to a current drawn anywhere.
    let answers: Vec<Vec<f64>> = supply
        .iter()
        .map(|&junction| response.to_node(wired.node(junction)))
        .collect();
    let mut by_junction: Vec<Vec<(Option<usize>, f64)>> = vec![Vec::new(); supply.len()];
    let mut bring = |tube: Option<usize>, drawn: &[(usize, f64)]| {
        for (list, answer) in by_junction.iter_mut().zip(&answers) {
            let moved = drawn
                .iter()
                .filter_map(|&(node, amperes)| Some(amperes * answer.get(node)?));
            let amperes = HOLD * moved.sum::<f64>();
            if amperes.abs() < LEAST_AMPERES {
                continue;
            }
            match list.iter_mut().find(|(own, _)| *own == tube) {
                Some((_, sum)) => *sum += amperes,
                None => list.push((tube, amperes)),
            }
        }
    };
    for (number, stage) in model.stages.complete.iter().enumerate() {
        if stage.is_beam || stage.is_damper() && !direct.lifts(number) {
            continue;
        }
        // A damper that lifts is part of the network; the cycle, which has it at rest, lacks what its lift sends through all that
        // hangs on the boosted line.
        if direct.lifts(number) {
            if let Some((cathode, plate, amperes)) = direct.lift_sends(figures, number) {
                bring(Some(stage.tube), &[(cathode, -amperes), (plate, amperes)]);
            }
            continue;
        }
        let Some(amperes) = direct.stage_amperes(figures, point, number) else {
            continue;
        };
        let mut drawn: Vec<(usize, f64)> = stage
            .electrodes
            .iter()
            .zip(amperes)
            .filter_map(|(junction, amperes)| Some((wired.node((*junction)?), amperes)))
            .collect();
        drawn.push((wired.node(stage.cathode), -amperes.iter().sum::<f64>()));
        bring(Some(stage.tube), &drawn);
    }
    let mut small: Vec<usize> = model.small_laws.keys().copied().collect();
    small.sort_unstable();
    for part in small {
        let [Some(from), Some(to), _] = model.part_ends[part] else {
            continue;
        };
        let amperes = direct
            .branch_of_small(part)
            .and_then(|branch| direct.operating.branch_amperes(figures, point, branch).ok());
        if let Some(amperes) = amperes {
            bring(
                None,
                &[(wired.node(from), amperes), (wired.node(to), -amperes)],
            );
        }
    }
    Some(as_loads(model, wired, point, supply, by_junction))
}

/// Plate, cathode and conductance of each damper that stands as a diode and conducts.
fn dampers_at_rest(
    model: &SetModel<'_>,
    wired: &Wired,
    direct: &Direct,
    figures: &[Figure],
    point: &Point,
) -> Vec<(Node, Node, f64)> {
    let stages = model.stages.complete.iter().enumerate();
    stages
        .filter(|(number, stage)| stage.is_damper() && !direct.lifts(*number))
        .filter_map(|(number, stage)| {
            let amperes = direct.stage_amperes(figures, point, number)?[0];
            let (plate, cathode) = (wired.node(stage.electrodes[0]?), wired.node(stage.cathode));
            let at = |node: Node| point.volts.get(node).copied().unwrap_or(0.0);
            let across = at(plate) - at(cathode);
            (amperes > LEAST_AMPERES && across > 0.0)
                .then(|| (plate, cathode, (amperes / across).min(HOLD)))
        })
        .collect()
}

/// Currents as conductances to the chassis; what is given comes from the largest draw.
fn as_loads(
    model: &SetModel<'_>,
    wired: &Wired,
    point: &Point,
    supply: &[usize],
    by_junction: Vec<Vec<(Option<usize>, f64)>>,
) -> Vec<StageLoad> {
    let volts = |junction: usize| {
        point
            .volts
            .get(wired.node(junction))
            .copied()
            .unwrap_or(0.0)
    };
    let chassis = model.chassis_junction().unwrap_or(usize::MAX);
    let total =
        |list: &[(Option<usize>, f64)]| list.iter().map(|(_, amperes)| amperes).sum::<f64>();
    let most = supply
        .iter()
        .zip(&by_junction)
        .max_by(|one, other| total(one.1).total_cmp(&total(other.1)))
        .map(|(junction, _)| *junction);
    let mut loads: Vec<StageLoad> = Vec::new();
    for (&junction, list) in supply.iter().zip(&by_junction) {
        let whole = total(list);
        let across = volts(junction);
        if whole > 0.0 && across > LEAST_VOLTS {
            loads.push(StageLoad {
                from: junction,
                to: chassis,
                by_tube: list
                    .iter()
                    .map(|(tube, amperes)| (*tube, amperes / across))
                    .collect(),
            });
        } else if whole < -LEAST_AMPERES
            && let Some(most) = most
            && volts(most) > across + LEAST_VOLTS
        {
            // From the line that brings most to this one, and less from there to the chassis.
            loads.push(StageLoad {
                from: most,
                to: junction,
                by_tube: list
                    .iter()
                    .map(|(tube, amperes)| (*tube, -amperes / (volts(most) - across)))
                    .collect(),
            });
            let given: Vec<(Option<usize>, f64)> = list
                .iter()
                .map(|(tube, amperes)| (*tube, amperes / volts(most)))
                .collect();
            if let Some(own) = loads
                .iter_mut()
                .find(|load| load.from == most && load.to == chassis)
            {
                own.by_tube.extend(given);
            } else {
                loads.push(StageLoad {
                    from: most,
                    to: chassis,
                    by_tube: given,
                });
            }
        }
    }
    // Two entries for one junction are one load.
    let mut merged: Vec<StageLoad> = Vec::new();
    for load in loads {
        match merged
            .iter_mut()
            .find(|own| own.from == load.from && own.to == load.to)
        {
            Some(own) => own.by_tube.extend(load.by_tube),
            None => merged.push(load),
        }
    }
    merged
}
