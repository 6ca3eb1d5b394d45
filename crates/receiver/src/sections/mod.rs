//! Which section of the set each part and tube serves: supply, tuner, sweep, sound.
//!
//! Weights are plain and sum to 1 for each part; distances are counted in parts. A tube's sections are
//! told by its job on the sheet ([`of_job`]) and by its kind; a part serves the sections whose tubes' pins
//! it is nearest to, without crossing the chassis or a line that feeds several sections. Parts between such
//! lines are of the supply. Source: the block diagram of a set (common practice); how fast a
//! section fades with distance is judgement. A tube without a job, and parts that hang on nothing told,
//! have no section: an empty list, not a guess. Nothing here fails.

mod job;

use std::collections::VecDeque;

use parts::{SectionKind, SetSection};

use crate::sheet::{PartValue, Place};
use crate::wiring::{Rectifying, SetModel};

pub use job::of_job;

/// How much a section counts less with each part that lies between (judgement).
const FADES: f64 = 0.1;
/// Share below which a section is left out.
const LEAST: f64 = 0.02;

/// Sections with their shares, largest first.
pub type Shares = Vec<(SetSection, f64)>;

/// The sections of one set.
#[derive(Debug, Clone, PartialEq)]
pub struct Sections {
    parts: Vec<Shares>,
    tubes: Vec<Vec<SetSection>>,
    /// Junctions that feed several sections, and the chassis.
    shared: Vec<bool>,
}

impl Sections {
    /// Finds the sections of a set.
    pub fn of(model: &SetModel<'_>) -> Sections {
        let tubes: Vec<Vec<SetSection>> = (0..model.sheet.tubes.len())
            .map(|tube| of_tube(model, tube))
            .collect();
        let count = junction_count(model);
        let seeds = seeds(model, &tubes, count);
        let shared = shared_lines(model, &seeds, count);
        let distances: Vec<(SetSection, Vec<Option<u32>>)> = SetSection::WORDS
            .iter()
            .map(|(_, section)| {
                let of_it: Vec<usize> = (0..count)
                    .filter(|junction| seeds[*junction].contains(section))
                    .collect();
                (*section, steps(model, &shared, &of_it))
            })
            .collect();
        let parts = (0..model.sheet.parts.len())
            .map(|part| of_part(model, part, &distances, &shared))
            .collect();
        Sections {
            parts,
            tubes,
            shared,
        }
    }

    /// Sections that a part serves; empty where none is told.
    pub fn of_part(&self, part: usize) -> &[(SetSection, f64)] {
        self.parts.get(part).map_or(&[], Vec::as_slice)
    }

    /// Sections of a tube, each with an equal share.
    pub fn of_tube(&self, tube: usize) -> Shares {
        let own = self.tubes.get(tube).map_or(&[][..], Vec::as_slice);
        let share = 1.0 / own.len().max(1) as f64;
        own.iter().map(|section| (*section, share)).collect()
    }

    /// By junction how many parts lie between it and the nearest of these, not over the chassis nor over a
    /// line that feeds several sections; `None` where none is reached.
    pub(crate) fn steps(&self, model: &SetModel<'_>, from: &[usize]) -> Vec<Option<u32>> {
        steps(model, &self.shared, from)
    }

    /// Whether a junction is the chassis or a line that feeds several sections.
    pub fn is_shared(&self, junction: usize) -> bool {
        self.shared.get(junction).copied().unwrap_or(false)
    }
}

fn junction_count(model: &SetModel<'_>) -> usize {
    let most = model.part_ends.iter().flatten().flatten().max().copied();
    let of_stages = model.stages.complete.iter();
    let most_of_stages = of_stages.flat_map(|stage| stage.junctions()).max();
    most.max(most_of_stages)
        .max(model.chassis_junction())
        .map_or(0, |own| own + 1)
}

fn of_tube(model: &SetModel<'_>, tube: usize) -> Vec<SetSection> {
    let own = &model.sheet.tubes[tube];
    if own.kind.is_picture_tube {
        return vec![SetSection::PictureTube];
    }
    let told = of_job(&own.job);
    if !told.is_empty() {
        return told;
    }
    let rectifies = model.rectifying().iter().find_map(|path| match path {
        Rectifying::Tube {
            tube: own, damper, ..
        } if *own == tube => Some(*damper),
        _ => None,
    });
    let is_hv = own
        .kind
        .sections
        .iter()
        .any(|section| section.kind == SectionKind::HvRectifier);
    match rectifies {
        _ if is_hv => vec![SetSection::HighVoltage],
        Some(true) => vec![SetSection::Damper],
        Some(false) => vec![SetSection::Supply],
        None => Vec::new(),
    }
}

/// By junction the sections whose tubes have a pin there.
fn seeds(model: &SetModel<'_>, tubes: &[Vec<SetSection>], count: usize) -> Vec<Vec<SetSection>> {
    let mut seeds = vec![Vec::new(); count];
    let mut add = |junction: usize, sections: &[SetSection]| {
        let Some(own) = seeds.get_mut(junction) else {
            return;
        };
        for section in sections {
            if !own.contains(section) {
                own.push(*section);
            }
        }
    };
    for stage in &model.stages.complete {
        for junction in stage.junctions() {
            add(junction, &tubes[stage.tube]);
        }
    }
    for path in model.rectifying() {
        if let Rectifying::Tube {
            tube,
            anode,
            cathode,
            ..
        } = path
        {
            add(*anode, &tubes[*tube]);
            add(*cathode, &tubes[*tube]);
        }
    }
    // Pins of tubes that make no stage, such as a high-voltage rectifier.
    let has_stage = |tube: usize| {
        let stages = model.stages.complete.iter();
        stages.clone().any(|stage| stage.tube == tube)
    };
    let heaters: Vec<usize> = model
        .heater_places()
        .iter()
        .flat_map(|place| [place.from, place.to])
        .collect();
    for (part, own) in model.sheet.parts.iter().enumerate() {
        let places = [Some(&own.from), Some(&own.to), own.third.as_ref()];
        for (place, junction) in places.into_iter().zip(model.part_ends[part]) {
            let (Some(place), Some(junction)) = (place, junction) else {
                continue;
            };
            let tube = pin_of(model, place).filter(|tube| !has_stage(*tube));
            if let Some(tube) = tube
                && !heaters.contains(&junction)
            {
                add(junction, &tubes[tube]);
            }
        }
    }
    seeds
}

fn pin_of(model: &SetModel<'_>, place: &Place) -> Option<usize> {
    let (tube, _) = place.pin()?;
    model.tube_index(tube)
}

/// The chassis, and lines at no tube that stand still for signals and from which several sections are fed.
fn shared_lines(model: &SetModel<'_>, seeds: &[Vec<SetSection>], count: usize) -> Vec<bool> {
    let mut fed: Vec<Vec<SetSection>> = vec![Vec::new(); count];
    for (part, own) in model.sheet.parts.iter().enumerate() {
        if matches!(own.value, PartValue::Capacitor { .. }) {
            continue;
        }
        let ends = model.part_ends[part];
        for (here, there) in [(0, 1), (1, 0), (0, 2), (1, 2), (2, 0), (2, 1)] {
            if let (Some(here), Some(there)) = (ends[here], ends[there])
                && here != there
            {
                for section in &seeds[there] {
                    if !fed[here].contains(section) {
                        fed[here].push(*section);
                    }
                }
            }
        }
    }
    let chassis = model.chassis_junction();
    let held = |junction: usize| model.stages.held.get(junction).copied().unwrap_or(false);
    (0..count)
        .map(|junction| {
            Some(junction) == chassis
                || seeds[junction].is_empty() && held(junction) && fed[junction].len() > 1
        })
        .collect()
}

/// By junction how many parts lie between it and the nearest of these, not over a shared one; `None` where
/// none is reached.
fn steps(model: &SetModel<'_>, shared: &[bool], from: &[usize]) -> Vec<Option<u32>> {
    let mut found: Vec<Option<u32>> = vec![None; shared.len()];
    let mut queue = VecDeque::new();
    for &junction in from {
        if shared.get(junction) == Some(&false) {
            found[junction] = Some(0);
            queue.push_back(junction);
        }
    }
    while let Some(junction) = queue.pop_front() {
        let next = found[junction].map(|own| own + 1);
        for ends in &model.part_ends {
            if !ends.contains(&Some(junction)) {
                continue;
            }
            for other in ends.iter().flatten() {
                if found[*other].is_none() && !shared[*other] {
                    found[*other] = next;
                    queue.push_back(*other);
                }
            }
        }
    }
    found
}

fn of_part(
    model: &SetModel<'_>,
    part: usize,
    distances: &[(SetSection, Vec<Option<u32>>)],
    shared: &[bool],
) -> Shares {
    let own = &model.sheet.parts[part];
    let ends: Vec<usize> = model.part_ends[part].into_iter().flatten().collect();
    let named = |word: &str| {
        [Some(&own.from), Some(&own.to), own.third.as_ref()]
            .into_iter()
            .flatten()
            .any(|place| place.pin().is_none() && place.to_string().to_lowercase().contains(word))
    };
    match own.value.kind().name() {
        "fuse" | "selenium" | "silicon" | "choke" | "thermistor" | "ballast" | "cord" => {
            return vec![(SetSection::Supply, 1.0)];
        }
        "focus-coil" => {
            return vec![(SetSection::Focus, 0.5), (SetSection::Supply, 0.5)];
        }
        "yoke" if named("vertical") => return vec![(SetSection::VerticalOutput, 1.0)],
        "yoke" if named("horizontal") => return vec![(SetSection::HorizontalOutput, 1.0)],
        _ => {}
    }
    let mut found: Shares = Vec::new();
    for (section, at) in distances {
        let near = ends.iter().filter(|end| !shared[**end]);
        if let Some(nearest) = near.filter_map(|end| at[*end]).min() {
            found.push((*section, FADES.powi(nearest.min(30) as i32)));
        }
    }
    if found.is_empty() {
        // From line to line, from a line to the chassis, or to a place that reaches no tube.
        let chassis = model.chassis_junction();
        let all_shared = !ends.is_empty() && ends.iter().all(|end| shared[*end]);
        let at_line = ends.iter().any(|end| shared[*end] && Some(*end) != chassis);
        let on_line = named("line a") || named("line b");
        return if all_shared || at_line || on_line {
            vec![(SetSection::Supply, 1.0)]
        } else {
            Vec::new()
        };
    }
    if named("focus") {
        found.push((SetSection::Focus, 1.0));
    }
    shares(found)
}

/// Shares that sum to 1, largest first; the slightest are left out.
fn shares(mut found: Shares) -> Shares {
    for _ in 0..2 {
        let sum: f64 = found.iter().map(|own| own.1).sum();
        for own in &mut found {
            own.1 /= sum;
        }
        found.retain(|own| own.1 >= LEAST);
    }
    found.sort_by(|one, other| other.1.total_cmp(&one.1).then(one.0.cmp(&other.0)));
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::read_sheet;

    const LARKFIELD: &str = include_str!("../../../../examples/whole/larkfield_12t.toml");
    const MERROW: &str = include_str!("../../../../examples/whole/merrow_17s.toml");

    fn with(text: &str, look: impl FnOnce(&SetModel<'_>, &Sections)) {
        let catalogue = parts::catalogue().expect("the tables are sound");
        let sheet = read_sheet(text, catalogue).sheet.expect("no fault");
        let model = SetModel::new(&sheet, catalogue);
        look(&model, &Sections::of(&model));
    }

    /// What a technician would say of these parts (common practice of the block diagram).
    #[test]
    fn parts_serve_the_stages_that_they_sit_at() {
        with(LARKFIELD, |model, sections| {
            for (part, section) in [
                ("C1A", SetSection::Supply),
                ("R31", SetSection::Supply),
                ("F1", SetSection::Supply),
                ("R121", SetSection::Intermediate),
                ("C122", SetSection::Intermediate),
                ("R104", SetSection::Tuner),
                ("C162", SetSection::Sound),
                ("R71", SetSection::Sound),
                ("C50", SetSection::Sound),
                ("C54", SetSection::VerticalOutput),
                ("L32A", SetSection::VerticalOutput),
                ("C42", SetSection::PictureTube),
                ("R48", SetSection::VideoAmplifier),
                ("L2", SetSection::Focus),
            ] {
                let own = sections.of_part(model.part_index(part).expect("a part"));
                assert_eq!(
                    own.first().map(|own| own.0),
                    Some(section),
                    "{part}: {own:?}"
                );
            }
            for part in 0..model.sheet.parts.len() {
                let own = sections.of_part(part);
                let sum: f64 = own.iter().map(|own| own.1).sum();
                assert!(own.is_empty() || (sum - 1.0).abs() < 1e-9);
            }
        });
    }

    #[test]
    fn nearly_every_part_has_a_section() {
        for text in [LARKFIELD, MERROW] {
            with(text, |model, sections| {
                let without: Vec<&str> = (0..model.sheet.parts.len())
                    .filter(|part| sections.of_part(*part).is_empty())
                    .map(|part| model.sheet.parts[part].reference.as_str())
                    .collect();
                assert!(10 * without.len() < model.sheet.parts.len(), "{without:?}");
                for tube in 0..model.sheet.tubes.len() {
                    assert!(!sections.of_tube(tube).is_empty(), "{tube}");
                }
            });
        }
    }
}
