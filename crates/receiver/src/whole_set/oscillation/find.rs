//! Stages that make their signal together, and the parts of the set in which it runs.
//!
//! Henries, farads; junction numbers are those of the sheet's places. The signal runs from
//! the electrodes through every part as far as the next place that stands still: the
//! chassis, a supply line, what a large capacitor holds, and the pins of other stages. What
//! the sheet lacks for a calculation is told as the reason; nothing else fails.

use parts::SectionKind;

use crate::sheet::{PartValue, Place};
use crate::stages::{Drive, TubeStage};
use crate::wiring::{SetModel, coils_on_one_core};

/// Stages that make their signal together.
#[derive(Debug, Clone, PartialEq)]
pub struct Group {
    /// The stages whose running state is calculated, by position.
    pub stages: Vec<usize>,
    /// Stages that this signal drives and whose plates hang on the sweep's coils: their grids
    /// load the signal, and all but their plates is calculated with it.
    pub followers: Vec<usize>,
    /// Where the signal runs, or why it cannot be calculated.
    pub region: Result<Region, String>,
}

impl Group {
    /// Stages of which the calculation tells, by position.
    pub fn told(&self) -> impl Iterator<Item = usize> + '_ {
        self.stages.iter().chain(&self.followers).copied()
    }
}

/// Where a signal runs.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Region {
    /// Junctions that swing.
    pub junctions: Vec<usize>,
    /// Junctions that stand still around it.
    pub borders: Vec<usize>,
    /// Capacitors with an end there, by the part's position.
    pub capacitors: Vec<usize>,
    /// Coils with an end there, by the part's position.
    pub coils: Vec<usize>,
    /// For each of them the first coil on the same core, whose inductance they all follow.
    pub cores: Vec<usize>,
    /// Coils that share flux: two parts, the sign of their coupling and whether the sheet
    /// tells it.
    pub couplings: Vec<Coupling>,
}

impl Region {
    /// Whether a part that passes direct current lies between this border and a place that swings.
    pub(super) fn is_fed_by(&self, model: &SetModel<'_>, border: usize) -> bool {
        let parts = model.sheet.parts.iter().zip(&model.part_ends);
        parts
            .filter(|(part, _)| !matches!(part.value, PartValue::Capacitor { .. }))
            .any(|(_, ends)| {
                let mut ends_in = ends.iter().flatten();
                ends.contains(&Some(border)) && ends_in.any(|end| self.junctions.contains(end))
            })
    }
}

/// Two coils on one core.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Coupling {
    /// One coil, by the part's position.
    pub one: usize,
    /// The other.
    pub other: usize,
    /// Share of the flux, with its sign from `from` to `to` of both.
    pub share: f64,
    /// Whether both are one tapped winding, so that the sign is certain.
    pub tapped: bool,
}

/// Below this a coil belongs to a stage at radio frequency, henries: oscillators of the
/// sweep have millihenries (common practice).
const LEAST_HENRIES: f64 = 1e-4;
/// Flux that coils on iron share, and those on a small dust core (judgement).
const IRON_SHARE: f64 = 0.99;
pub(super) const DUST_SHARE: f64 = 0.9;
/// From this on a coil is taken to sit on iron, henries.
pub(super) const IRON_HENRIES: f64 = 0.2;
/// A signal that spreads over more junctions than this was not followed rightly.
const MOST_JUNCTIONS: usize = 40;

/// All groups of a set.
pub fn groups(model: &SetModel<'_>) -> Vec<Group> {
    let stages = &model.stages.complete;
    let mut group_of: Vec<Option<usize>> = vec![None; stages.len()];
    let mut found: Vec<Vec<usize>> = Vec::new();
    for number in 0..stages.len() {
        if group_of[number].is_some() || !matches!(stages[number].drive, Drive::Oscillates { .. }) {
            continue;
        }
        let mut members = vec![number];
        group_of[number] = Some(found.len());
        let mut at = 0;
        while at < members.len() {
            if let Drive::Oscillates { with } = &stages[members[at]].drive {
                for &other in with {
                    if group_of[other].is_none() {
                        group_of[other] = Some(found.len());
                        members.push(other);
                    }
                }
            }
            at += 1;
        }
        found.push(members);
    }
    found
        .into_iter()
        .map(|mut members| {
            let mut followers = Vec::new();
            let mut at = 0;
            while at < members.len() {
                for (number, stage) in stages.iter().enumerate() {
                    let own = matches!(&stage.drive, Drive::Driven { by }
                        if !by.is_empty() && by.iter().all(|by| members.contains(by)));
                    if !own || members.contains(&number) || followers.contains(&number) {
                        continue;
                    }
                    if on_sweep_coils(model, stage) {
                        followers.push(number);
                    } else {
                        members.push(number);
                    }
                }
                at += 1;
            }
            members.sort_unstable();
            let region = region(model, &members, &followers);
            Group {
                stages: members,
                followers,
                region,
            }
        })
        .collect()
}

/// Whether the plate swings with the sweep's pulses.
fn on_sweep_coils(model: &SetModel<'_>, stage: &TubeStage) -> bool {
    stage.kind == SectionKind::Beam
        && stage.electrodes[0].is_none_or(|plate| is_pulsed(model, plate))
        || stage.electrodes[0].is_some_and(|plate| is_pulsed(model, plate))
}

/// The places of a stage other than its plate.
pub(super) fn beside_plate(stage: &TubeStage) -> impl Iterator<Item = usize> + '_ {
    let grids = stage.electrodes[1..].iter().flatten().copied();
    grids.chain([stage.cathode])
}

fn is_pulsed(model: &SetModel<'_>, junction: usize) -> bool {
    model.stages.pulsed.get(junction).copied().unwrap_or(false)
}

fn region(model: &SetModel<'_>, members: &[usize], followers: &[usize]) -> Result<Region, String> {
    let stages = &model.stages.complete;
    let own = |junction: usize| {
        members
            .iter()
            .any(|&member| stages[member].junctions().any(|own| own == junction))
    };
    let own_of_follower = |junction: usize| {
        followers
            .iter()
            .any(|&follower| beside_plate(&stages[follower]).any(|own| own == junction))
    };
    let grid_of_follower = |junction: usize| {
        followers
            .iter()
            .any(|&follower| stages[follower].electrodes[1] == Some(junction))
    };
    let cathode = |junction: usize| {
        members
            .iter()
            .chain(followers)
            .any(|&member| stages[member].cathode == junction)
    };
    let line = [Place::LineA, Place::LineB].map(|place| model.junction(&place));
    let stands = |junction: usize| {
        let held = model.stages.held.get(junction).copied().unwrap_or(false);
        let of_another = stages.iter().enumerate().any(|(number, stage)| {
            !members.contains(&number)
                && !followers.contains(&number)
                && stage.junctions().any(|other| other == junction)
        });
        Some(junction) == model.chassis
            || line.contains(&Some(junction))
            || (model.has_ripple(junction) && !cathode(junction))
            || (held && !own(junction) && !own_of_follower(junction))
            || is_pulsed(model, junction)
            || (of_another && !own(junction) && !grid_of_follower(junction))
    };
    let mut found = Region::default();
    let mut queue: Vec<usize> = Vec::new();
    for &member in members {
        queue.extend(stages[member].junctions());
    }
    for &follower in followers {
        queue.extend(beside_plate(&stages[follower]));
    }
    let mut at = 0;
    while at < queue.len() {
        let here = queue[at];
        at += 1;
        if found.junctions.contains(&here) {
            continue;
        }
        if stands(here) {
            if !found.borders.contains(&here) {
                found.borders.push(here);
            }
            continue;
        }
        found.junctions.push(here);
        for (index, part) in model.sheet.parts.iter().enumerate() {
            let ends = &model.part_ends[index];
            if !ends.contains(&Some(here)) {
                continue;
            }
            match &part.value {
                PartValue::Capacitor { .. } if !found.capacitors.contains(&index) => {
                    found.capacitors.push(index);
                }
                PartValue::Coil { .. } => {
                    for coil in coils_on_one_core(model, index) {
                        if !found.coils.contains(&coil) {
                            found.coils.push(coil);
                            queue.extend(model.part_ends[coil].iter().flatten());
                        }
                    }
                }
                _ => {}
            }
            queue.extend(ends.iter().flatten());
        }
    }
    if found.junctions.is_empty() {
        return Err("all its electrodes stand on supply lines".to_string());
    }
    if found.junctions.len() > MOST_JUNCTIONS {
        return Err(format!(
            "its signal spreads over {} places",
            found.junctions.len()
        ));
    }
    for &coil in &found.coils {
        let part = &model.sheet.parts[coil];
        match part.value {
            PartValue::Coil {
                henries: Some(henries),
                ..
            } if henries >= LEAST_HENRIES => {}
            PartValue::Coil {
                henries: Some(_), ..
            } => {
                return Err(format!(
                    "it runs at radio frequency ({}), where strays that no sheet holds count",
                    part.reference
                ));
            }
            _ => return Err(format!("the sheet gives no henries for {}", part.reference)),
        }
    }
    found.cores = found
        .coils
        .iter()
        .map(|&coil| {
            let related = coils_on_one_core(model, coil);
            let first = found.coils.iter().find(|other| related.contains(other));
            first.copied().unwrap_or(coil)
        })
        .collect();
    found.couplings = couplings(model, &found.coils);
    Ok(found)
}

fn couplings(model: &SetModel<'_>, coils: &[usize]) -> Vec<Coupling> {
    let mut found = Vec::new();
    for (position, &one) in coils.iter().enumerate() {
        let related = coils_on_one_core(model, one);
        for &other in &coils[position + 1..] {
            if !related.contains(&other) {
                continue;
            }
            let henries = |part: usize| model.resolved.parts[part].henries;
            let share = if henries(one).max(henries(other)) >= IRON_HENRIES {
                IRON_SHARE
            } else {
                DUST_SHARE
            };
            let [a, b, _] = model.part_ends[one];
            let [c, d, _] = model.part_ends[other];
            let moves = |end: Option<usize>| end != model.chassis;
            let along = (b == c && moves(b)) || (a == d && moves(a));
            let against = (a == c && moves(a)) || (b == d && moves(b));
            found.push(Coupling {
                one,
                other,
                share: if against { -share } else { share },
                tapped: along || against,
            });
        }
    }
    found
}
