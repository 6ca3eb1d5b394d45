//! How stages that drive themselves answer to the parts and tubes around them, learned once.
//!
//! Volts, siemens and amperes of what holds an electrode, over the supply's scale. Running a group
//! anew for every part and tube around it takes longer than all else that a set of conditions asks
//! for, and its answer hardly changes with the line: a tube's law is nearly one of powers, so a
//! grid that moves by a tenth at the maker's line does so at a lower one. Each answer is therefore
//! calculated once in the maker's set, and taken over as a ratio wherever the group itself is as it
//! was there. Where it is not (a part of it cut loose, a tube on it pulled, a supply below
//! [`LEAST_SCALE`]) it is calculated anew. A cause that could not be solved is left out and named,
//! as everywhere.

use std::collections::HashMap;
use std::sync::{Arc, Mutex, PoisonError};

use circuit::running::Wave;
use circuit::tube::ELECTRODES;
use rayon::prelude::*;

use crate::bands::{HIGH, Values};
use crate::causes::Cause;
use crate::conditions::BenchConditions;
use crate::wiring::{Figure as SetFigure, SetModel, Variation};

use super::super::couple::{WholeSet, couple};
use super::super::oscillation::{self, Around, Found, Group, Terms};
use super::super::running::{Hold, Running};

/// Supply over that of the maker's set from which on an answer is taken over.
const LEAST_SCALE: f64 = 0.5;
/// Bounds within which an answer is taken over as a ratio; beyond, and where a sign turns, it is
/// taken as a difference.
const RATIO: (f64, f64) = (0.25, 4.0);

/// How one group answers to one cause in the maker's set: each hold there, and moved.
type Answer = Vec<Option<(f64, f64)>>;

/// A group by its position, a cause and its ratio.
type Key = (usize, SetFigure, u64);

/// The answers of one group by cause and ratio; `None` where it could not be solved.
type Of = HashMap<(SetFigure, u64), Option<Arc<Answer>>>;

/// The answers that were asked for so far.
#[derive(Debug, Default)]
pub struct Answers(Mutex<HashMap<Key, Option<Arc<Answer>>>>);

/// What moves of one group under some conditions: from the maker's set, or run anew.
pub(super) struct Answering<'a, 's> {
    model: &'a SetModel<'s>,
    conditions: &'a BenchConditions,
    set: &'a WholeSet,
    group: &'a Group,
    wave: &'a Wave,
    /// What holds each electrode here.
    pub expected: Values,
    /// Answers in the maker's set; `None` where the group is not as it was there.
    learned: Option<Of>,
}

impl<'a, 's> Answering<'a, 's> {
    /// `number` is the group's position among those that were learned, `wave` how it runs here.
    pub(super) fn new(
        model: &'a SetModel<'s>,
        conditions: &'a BenchConditions,
        set: &'a WholeSet,
        (number, wave): (usize, &'a Wave),
        causes: &[Cause],
    ) -> Option<Answering<'a, 's>> {
        let group = &model.usual().oscillators.get(number)?.group;
        let as_there = set.scale >= LEAST_SCALE && is_whole(model, conditions, group);
        Some(Answering {
            learned: as_there.then(|| model.usual().answers.of(model, number, causes)),
            expected: holds_of(&set.running, group, 1.0),
            model,
            conditions,
            set,
            group,
            wave,
        })
    }

    /// What holds each electrode with this figure moved; `None` where that cannot be solved.
    pub(super) fn moved(&self, variation: &Variation) -> Option<Values> {
        let Some(learned) = &self.learned else {
            let (model, conditions) = (self.model, self.conditions);
            return run_moved(
                model, conditions, self.set, self.group, self.wave, variation,
            );
        };
        let figure = variation.figures().next()?;
        let answer = learned.get(&(figure, variation.factor(figure).to_bits()))?;
        let own = self.expected.iter().zip(answer.as_ref()?.iter());
        Some(
            own.map(|(here, answer)| {
                let (there, moved) = (*answer)?;
                Some(taken_over((*here)?, there, moved))
            })
            .collect(),
        )
    }
}

/// An answer in the maker's set as it is here.
pub(in super::super) fn taken_over(here: f64, there: f64, moved: f64) -> f64 {
    let ratio = moved / there;
    if here * there > 0.0 && (RATIO.0..RATIO.1).contains(&ratio) {
        here * ratio
    } else {
        here + (moved - there)
    }
}

impl Answers {
    /// How a group answers to each of these causes at its high end.
    fn of(&self, model: &SetModel<'_>, number: usize, causes: &[Cause]) -> Of {
        let key = |cause: &Cause| (cause.figure, cause.spread.ratio(HIGH).to_bits());
        let known = || self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let missing: Vec<(SetFigure, u64)> = {
            let known = known();
            let own = causes.iter().map(key);
            own.filter(|(figure, ratio)| !known.contains_key(&(number, *figure, *ratio)))
                .collect()
        };
        // Nothing is held while others may work: two that ask at once find the same.
        if !missing.is_empty() {
            let found = in_makers_set(model, number, &missing);
            let mut known = known();
            for ((figure, ratio), answer) in missing.into_iter().zip(found) {
                known.insert((number, figure, ratio), answer.map(Arc::new));
            }
        }
        let known = known();
        causes
            .iter()
            .map(key)
            .map(|own| {
                let answer = known.get(&(number, own.0, own.1)).cloned();
                (own, answer.flatten())
            })
            .collect()
    }
}

/// The answers of a group in the maker's set.
fn in_makers_set(
    model: &SetModel<'_>,
    number: usize,
    asked: &[(SetFigure, u64)],
) -> Vec<Option<Answer>> {
    let nothing = || vec![None; asked.len()];
    let conditions = model.makers_conditions();
    let Ok(set) = couple(model, &conditions, &Variation::none(), &[]) else {
        return nothing();
    };
    let (Some(own), Some(Some(wave))) = (
        model.usual().oscillators.get(number),
        set.oscillators.get(number),
    ) else {
        return nothing();
    };
    let there = holds_of(&set.running, &own.group, 1.0);
    asked
        .par_iter()
        .map(|(figure, ratio)| {
            let variation = Variation::of(*figure, f64::from_bits(*ratio));
            let moved = run_moved(model, &conditions, &set, &own.group, wave, &variation)?;
            let both = there.iter().zip(moved);
            Some(
                both.map(|(there, moved)| Some(((*there)?, moved?)))
                    .collect(),
            )
        })
        .collect()
}

/// Whether nothing of a group is out of circuit.
fn is_whole(model: &SetModel<'_>, conditions: &BenchConditions, group: &Group) -> bool {
    let Ok(region) = &group.region else {
        return false;
    };
    let swings = |junction: usize| region.junctions.contains(&junction);
    let gone = conditions.open.iter().chain(&conditions.fitted_without);
    let parts_stay = gone.into_iter().all(|name| {
        let part = model.part_index(name);
        part.is_some_and(|part| {
            !model.part_ends[part]
                .iter()
                .flatten()
                .any(|end| swings(*end))
        })
    });
    let tubes_stay =
        model.stages.complete.iter().all(|stage| {
            !model.is_pulled(stage.tube, conditions) || !stage.junctions().any(swings)
        });
    parts_stay && tubes_stay
}

/// What holds the electrodes of a group's stages, by stage and electrode, over `scale`.
fn holds_of(running: &[Running], group: &Group, scale: f64) -> Values {
    let stages = group.told();
    stages
        .flat_map(|stage| held(running, stage).map(|hold| value_of(hold, scale)))
        .collect()
}

fn held(running: &[Running], stage: usize) -> [Hold; ELECTRODES] {
    match running.get(stage) {
        Some(Running::Driven { holds, .. }) => *holds,
        _ => [Hold::Nothing; ELECTRODES],
    }
}

fn value_of(hold: Hold, scale: f64) -> Option<f64> {
    match hold {
        Hold::Nothing => None,
        Hold::Draws { siemens } => Some(siemens),
        Hold::Volts { volts } => Some(volts / scale),
        Hold::Takes { amperes, .. } => Some(amperes / scale),
    }
}

/// What holds a group's stages with one figure moved.
fn run_moved(
    model: &SetModel<'_>,
    conditions: &BenchConditions,
    set: &WholeSet,
    group: &Group,
    wave: &Wave,
    variation: &Variation,
) -> Option<Values> {
    let wired = model
        .wire_with_loads(conditions, variation, &set.loads)
        .ok()?;
    let figures = set.direct.figures(model, &wired, variation, &set.supply());
    let direct = &set.direct;
    let point = direct
        .operating
        .solve(&figures, Some(&set.point.volts))
        .ok()?;
    let around = Around {
        wired: &wired,
        direct,
        figures: &figures,
        point: &point,
        variation,
        emission: &set.cycle.emission,
    };
    let Ok(Found::Runs { holds, .. }) =
        oscillation::run(model, group, &around, Terms::MOVED, Some(wave))
    else {
        return None;
    };
    let stages = group.told();
    Some(
        stages
            .flat_map(|stage| {
                let own = holds.iter().find(|(own, _)| *own == stage);
                let before = held(&set.running, stage);
                own.map_or([None; ELECTRODES], |(_, holds)| {
                    std::array::from_fn(|electrode| {
                        let same = std::mem::discriminant(&holds[electrode])
                            == std::mem::discriminant(&before[electrode]);
                        same.then(|| value_of(holds[electrode], set.scale))?
                    })
                })
            })
            .collect(),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::causes::{self, shared_causes};
    use crate::sheet::read_sheet;

    /// What holds no grid, amperes: 5 mV across half a megohm.
    const NOTHING: f64 = 1e-8;

    /// What a group does at a lower line and beside a pulled tube, run anew, against what was taken
    /// over from the maker's line.
    #[test]
    fn an_answer_taken_over_is_that_of_a_group_run_anew() {
        let catalogue = parts::catalogue().expect("the tables are sound");
        let text = include_str!("../../../../../examples/whole/larkfield_12t.toml");
        let sheet = read_sheet(text, catalogue).sheet.expect("no fault");
        let model = SetModel::new(&sheet, catalogue);
        let lower = BenchConditions {
            line_volts: Some(95.0),
            ..BenchConditions::default()
        };
        let pulled = BenchConditions {
            line_volts: Some(117.0),
            pulled: vec!["V15".to_owned()],
            ..BenchConditions::default()
        };
        for conditions in [lower, pulled] {
            let causes = causes::under(&shared_causes(&model), &model, &conditions);
            let set = couple(&model, &conditions, &Variation::none(), &[]).expect("settled");
            let mut held = 0;
            for (number, wave) in set.oscillators.iter().enumerate() {
                let Some(wave) = wave else { continue };
                let group = &model.usual().oscillators[number].group;
                let own: Vec<Cause> = causes
                    .iter()
                    .filter(|cause| oscillation::acts(&model, group, cause.figure))
                    .cloned()
                    .collect();
                let quick = Answering::new(&model, &conditions, &set, (number, wave), &own);
                let quick = quick.expect("a group");
                assert!(quick.learned.is_some());
                for cause in own.iter().step_by(2) {
                    let variation = Variation::of(cause.figure, cause.spread.ratio(HIGH));
                    let anew = run_moved(&model, &conditions, &set, group, wave, &variation);
                    let (taken, anew) = (quick.moved(&variation), anew.expect("it runs"));
                    let taken = taken.expect("it runs in the maker's set");
                    for ((taken, anew), here) in taken.iter().zip(&anew).zip(&quick.expected) {
                        let (Some(taken), Some(anew), Some(here)) = (taken, anew, here) else {
                            continue;
                        };
                        held += 1;
                        // Beside the tenth that laws and windings add to each of them.
                        let allowed = 0.02 * here.abs() + 0.2 * (anew - here).abs() + NOTHING;
                        let name = &cause.name;
                        assert!(
                            (taken - anew).abs() < allowed,
                            "{name}: {taken} {anew} {here}"
                        );
                    }
                }
            }
            assert!(held > 80, "{held}");
        }
    }
}
