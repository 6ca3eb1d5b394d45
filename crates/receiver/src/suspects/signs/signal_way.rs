//! The way that a signal takes through a set, tube by tube, from a place to a place or to an end.
//!
//! Junction and tube numbers are those of the sheet. A signal goes from a tube's plate or cathode through
//! capacitors, resistors and coils to the next tube's grid, cathode or diode plate; it does not go over the
//! chassis nor over a line that feeds several sections. Coils of one transformer are coupled: those whose
//! references differ in their last letters only (`T5P` and `T5S`). Source: common practice of reading a diagram. A way
//! that is not on the sheet is no way: [`None`]. Nothing here fails.

use std::collections::VecDeque;

use parts::{SectionKind, SetSection};

use crate::sections::Sections;
use crate::stages::TubeStage;
use crate::wiring::{SetModel, coils_on_one_core};

/// Parts that a signal passes between two tubes at most (judgement).
const MOST_PARTS: u32 = 7;

/// Where a signal is looked or listened for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SignalEnd {
    /// At the loudspeaker.
    Ear,
    /// On the screen.
    Screen,
    /// In the height of the raster.
    Height,
    /// In the width of the raster.
    Width,
    /// With a meter or scope at a junction.
    Junction(usize),
}

/// Stages by number, as the set has them.
pub(crate) struct Ways<'m, 's> {
    pub model: &'m SetModel<'s>,
    pub sections: &'m Sections,
    /// By stage: the stages that its output reaches.
    onward: Vec<Vec<usize>>,
}

impl<'m, 's> Ways<'m, 's> {
    pub fn of(model: &'m SetModel<'s>, sections: &'m Sections) -> Ways<'m, 's> {
        let mut found = Ways {
            model,
            sections,
            onward: Vec::new(),
        };
        found.onward = (0..model.stages.complete.len())
            .map(|stage| {
                let out = outputs(&model.stages.complete[stage]);
                let mut own = found.stages_reached(&out);
                own.retain(|other| *other != stage);
                own
            })
            .collect();
        found
    }

    /// Tubes through which a signal goes from one place to an end; without a place from the antenna.
    pub fn tubes(&self, from: Option<usize>, end: SignalEnd) -> Option<Vec<usize>> {
        let stages = &self.model.stages.complete;
        let fed = match from {
            Some(junction) => self.nearest_stages(junction),
            None => self.first_stages(),
        };
        let forward = self.reach(&fed, |stage| self.onward[stage].clone());
        let last: Vec<usize> = match end {
            SignalEnd::Junction(junction) => (0..stages.len())
                .filter(|&stage| {
                    let near = self.junctions_reached(&outputs(&stages[stage]));
                    near.iter().any(|own| own.0 == junction)
                })
                .collect(),
            SignalEnd::Screen => (0..stages.len())
                .filter(|&own| stages[own].is_beam)
                .collect(),
            SignalEnd::Ear => self.last_of(SetSection::Sound),
            SignalEnd::Height => self.last_of(SetSection::VerticalOutput),
            SignalEnd::Width => self.last_of(SetSection::HorizontalOutput),
        };
        let backward = self.reach(&last, |stage| {
            let before = (0..stages.len()).filter(|&own| self.onward[own].contains(&stage));
            before.collect()
        });
        let mut tubes: Vec<usize> = (0..stages.len())
            .filter(|stage| forward[*stage] && backward[*stage])
            .filter(|&stage| self.is_of_end(stages[stage].tube, end))
            .map(|stage| stages[stage].tube)
            .collect();
        tubes.dedup();
        (!tubes.is_empty()).then_some(tubes)
    }

    /// Whether a tube can be on the way to an end by its section.
    fn is_of_end(&self, tube: usize, end: SignalEnd) -> bool {
        use SetSection as Section;
        let common = [
            Section::Tuner,
            Section::Intermediate,
            Section::VideoDetector,
            Section::VideoAmplifier,
        ];
        let own: &[Section] = match end {
            SignalEnd::Junction(_) => return true,
            SignalEnd::Ear => &[Section::Sound],
            SignalEnd::Screen => &[Section::PictureTube],
            SignalEnd::Height => &[
                Section::Sync,
                Section::VerticalOscillator,
                Section::VerticalOutput,
            ],
            SignalEnd::Width => &[
                Section::Sync,
                Section::HorizontalOscillator,
                Section::HorizontalOutput,
                Section::Damper,
            ],
        };
        let of_tube = self.sections.of_tube(tube);
        of_tube.is_empty()
            || of_tube
                .iter()
                .any(|(section, _)| own.contains(section) || common.contains(section))
    }

    /// Stages of the tuner that no other feeds.
    fn first_stages(&self) -> Vec<usize> {
        let stages = &self.model.stages.complete;
        let of_tuner: Vec<usize> = (0..stages.len())
            .filter(|&stage| {
                let own = self.sections.of_tube(stages[stage].tube);
                own.iter().any(|own| own.0 == SetSection::Tuner)
            })
            .collect();
        let is_fed = |stage: usize| {
            of_tuner
                .iter()
                .any(|&own| own != stage && self.onward[own].contains(&stage))
        };
        let first: Vec<usize> = of_tuner
            .iter()
            .copied()
            .filter(|&stage| !is_fed(stage))
            .collect();
        if first.is_empty() { of_tuner } else { first }
    }

    /// Stages of a section that feed no other of it.
    fn last_of(&self, section: SetSection) -> Vec<usize> {
        let stages = &self.model.stages.complete;
        let is_of = |stage: usize| {
            let own = self.sections.of_tube(stages[stage].tube);
            own.iter().any(|own| own.0 == section)
        };
        let all: Vec<usize> = (0..stages.len()).filter(|&own| is_of(own)).collect();
        let last: Vec<usize> = all
            .iter()
            .copied()
            .filter(|&stage| !self.onward[stage].iter().any(|&own| is_of(own)))
            .collect();
        if last.is_empty() { all } else { last }
    }

    fn reach(&self, from: &[usize], next: impl Fn(usize) -> Vec<usize>) -> Vec<bool> {
        let mut found = vec![false; self.model.stages.complete.len()];
        let mut queue: VecDeque<usize> = from.iter().copied().collect();
        for &own in from {
            found[own] = true;
        }
        while let Some(stage) = queue.pop_front() {
            for other in next(stage) {
                if !found[other] {
                    found[other] = true;
                    queue.push_back(other);
                }
            }
        }
        found
    }

    /// Stages whose inputs are nearest to a junction, counted in parts.
    fn nearest_stages(&self, from: usize) -> Vec<usize> {
        let near = self.junctions_reached(&[from]);
        let stages = self.model.stages.complete.iter().enumerate();
        let reached: Vec<(usize, u32)> = stages
            .filter_map(|(number, stage)| {
                let own = inputs(stage);
                let at = near.iter().filter(|(junction, _)| own.contains(junction));
                Some((number, at.map(|own| own.1).min()?))
            })
            .collect();
        let least = reached.iter().map(|own| own.1).min();
        let nearest = reached.iter().filter(|own| Some(own.1) == least);
        nearest.map(|own| own.0).collect()
    }

    fn stages_reached(&self, from: &[usize]) -> Vec<usize> {
        let near = self.junctions_reached(from);
        let stages = self.model.stages.complete.iter().enumerate();
        stages
            .filter(|(_, stage)| {
                let own = inputs(stage);
                near.iter().any(|(junction, _)| own.contains(junction))
            })
            .map(|(number, _)| number)
            .collect()
    }

    /// Junctions that a signal reaches through parts, each with how many.
    fn junctions_reached(&self, from: &[usize]) -> Vec<(usize, u32)> {
        let model = self.model;
        let mut found: Vec<(usize, u32)> = from
            .iter()
            .filter(|own| !self.sections.is_shared(**own))
            .map(|own| (*own, 0))
            .collect();
        let mut next = 0;
        while let Some(&(junction, parts)) = found.get(next) {
            next += 1;
            if parts == MOST_PARTS {
                continue;
            }
            let mut add = |other: usize| {
                let is_new = found.iter().all(|own| own.0 != other);
                if is_new && !self.sections.is_shared(other) {
                    found.push((other, parts + 1));
                }
            };
            for (part, ends) in model.part_ends.iter().enumerate() {
                if !ends.contains(&Some(junction)) {
                    continue;
                }
                ends.iter().flatten().copied().for_each(&mut add);
                for twin in coils_on_one_core(model, part) {
                    model.part_ends[twin]
                        .iter()
                        .flatten()
                        .copied()
                        .for_each(&mut add);
                }
            }
        }
        found
    }
}

/// Where a signal comes in: first and third grid, cathode; of a diode both ends.
fn inputs(stage: &TubeStage) -> Vec<usize> {
    let [plate, first, _, third] = stage.electrodes;
    let mut found: Vec<usize> = [first, third].into_iter().flatten().collect();
    if stage.kind == SectionKind::Diode || stage.is_damper() {
        found.extend(plate);
    }
    found.push(stage.cathode);
    found
}

/// Where it goes out: plate and cathode.
fn outputs(stage: &TubeStage) -> Vec<usize> {
    let mut found: Vec<usize> = stage.electrodes[0].into_iter().collect();
    found.push(stage.cathode);
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sheet::read_sheet;

    const LARKFIELD: &str = include_str!("../../../../../examples/whole/larkfield_12t.toml");

    fn tubes(from: Option<&str>, end: SignalEnd) -> Vec<String> {
        let catalogue = parts::catalogue().expect("the tables are sound");
        let sheet = read_sheet(LARKFIELD, catalogue).sheet.expect("no fault");
        let model = SetModel::new(&sheet, catalogue);
        let sections = Sections::of(&model);
        let from = from.map(|place| {
            let own = model.places.find(place).expect("a place");
            model.junction(own).expect("a junction")
        });
        let found = Ways::of(&model, &sections).tubes(from, end);
        let tubes = found.unwrap_or_default();
        let named = tubes.iter().map(|own| sheet.tubes[*own].reference.clone());
        named.collect()
    }

    /// By the diagram of the invented set: each stage nearer to the loudspeaker leaves fewer to suspect.
    #[test]
    fn the_way_gets_shorter_towards_the_end() {
        let all = tubes(None, SignalEnd::Ear);
        for tube in ["V1", "V3", "V5", "V11", "V22", "V13", "V15"] {
            assert!(
                all.iter().any(|own| own == tube),
                "{tube} is not in {all:?}"
            );
        }
        for tube in ["V21", "V16", "V17", "V20"] {
            assert!(all.iter().all(|own| own != tube), "{tube} is in {all:?}");
        }
        assert_eq!(tubes(Some("V13.1"), SignalEnd::Ear), ["V13", "V15"]);
        assert_eq!(tubes(Some("V15.5"), SignalEnd::Ear), ["V15"]);
        let picture = tubes(Some("V7.1"), SignalEnd::Screen);
        assert_eq!(picture, ["V7", "V8", "V20"]);
    }
}
