//! How stages that drive themselves run with a fault among them, learned once in the maker's set.
//!
//! Volts, amperes, siemens. A leaky coupling capacitor, a dead tube, an open grid leak changes the signal itself: such a
//! group is run anew ([`super::run`]), or comes to rest: a fault that has a size step by step from the healthy wave
//! ([`super::chain`]), a part taken away from that wave at once. That takes longer than all else of a
//! faulty set, and hardly hangs on the line, so each fault is run once in the maker's set; under other conditions what holds each
//! electrode moves by the same ratio. Where no running state is found with a fault the stage keeps the drive of the healthy set, as
//! where the maker's set does not settle. Nothing here fails.

use std::collections::{BTreeMap, HashMap};
use std::fmt;
use std::sync::{Arc, Mutex, OnceLock, PoisonError};

use circuit::operating::Point;
use circuit::tube::ELECTRODES;
use rayon::prelude::*;

use super::super::bands::taken_over;
use super::super::couple::{WholeSet, couple};
use super::super::direct::Direct;
use super::super::running::Hold;
use super::chain::{Chain, Family, family_of};
use super::{Around, Refreshed, Terms, felt_by, refresh_by};
use crate::wiring::{SetModel, Variation};

/// What was learned of faults so far.
#[derive(Default)]
pub struct FaultAnswers {
    /// By the fault.
    known: Mutex<HashMap<String, Arc<Refreshed>>>,
    /// By the family of faults.
    chains: Mutex<HashMap<String, Chain>>,
    /// The maker's set; none where it does not settle.
    set: OnceLock<Option<Box<WholeSet>>>,
}

impl fmt::Debug for FaultAnswers {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        let known = self.known.lock().unwrap_or_else(PoisonError::into_inner);
        write!(formatter, "{} faults", known.len())
    }
}

/// One fault by name: its figures and changes in full.
fn key(variation: &Variation) -> String {
    format!("{variation:?}")
}

impl FaultAnswers {
    fn known(&self, variation: &Variation) -> Option<Arc<Refreshed>> {
        let known = self.known.lock().unwrap_or_else(PoisonError::into_inner);
        known.get(&key(variation)).cloned()
    }

    /// Runs all groups that feel one of these faults and are not known with it yet.
    pub(in crate::whole_set) fn learn(&self, model: &SetModel<'_>, faults: &[&Variation]) {
        let missing: Vec<&Variation> = {
            let known = self.known.lock().unwrap_or_else(PoisonError::into_inner);
            let own = faults.iter().copied();
            own.filter(|own| felt_by(model, own).contains(&true))
                .filter(|own| !known.contains_key(&key(own)))
                .collect()
        };
        if missing.is_empty() {
            return;
        }
        // Nothing is held while others may work: a thread that waited here could be the one that the other waits for.
        let set = match self.set.get() {
            Some(known) => known,
            None => {
                let conditions = model.makers_conditions();
                let found = couple(model, &conditions, &Variation::none(), &[]);
                self.set.get_or_init(|| found.ok().map(Box::new))
            }
        };
        let Some(set) = set else {
            return;
        };
        let jobs = jobs(&missing);
        let found: Vec<Vec<(String, Refreshed)>> = jobs
            .into_par_iter()
            .map(|job| self.done(model, set, job))
            .collect();
        let mut known = self.known.lock().unwrap_or_else(PoisonError::into_inner);
        for (key, found) in found.into_iter().flatten() {
            known.insert(key, Arc::new(found));
        }
    }

    /// How the groups run with each fault of a job, by its name.
    fn done(&self, model: &SetModel<'_>, set: &WholeSet, job: Job<'_>) -> Vec<(String, Refreshed)> {
        let Some(healthy) = set.own_signals.as_ref() else {
            return Vec::new();
        };
        let from = |variation: &Variation, from: &Refreshed, terms: Terms| {
            with_fault(model, set, variation, from, terms)
        };
        match job {
            Job::Alone(variation) => from(variation, healthy, Terms::FAULTY_ALONE)
                .map(|found| (key(variation), found))
                .into_iter()
                .collect(),
            Job::Grows(family, asked) => {
                let kept = {
                    let mut chains = self.chains.lock().unwrap_or_else(PoisonError::into_inner);
                    chains.remove(family.name())
                };
                let mut chain = kept.unwrap_or_else(|| Chain::new(&family, healthy));
                let farthest = asked.iter().map(|own| own.0).fold(0.0, f64::max);
                chain.follow(farthest, |far, begin, terms| {
                    from(&family.at(far), begin, terms)
                });
                let told = asked.into_iter().filter_map(|(far, variation)| {
                    let own = chain
                        .at(far)
                        .or_else(|| from(variation, chain.last(), Terms::FAULTY))?;
                    Some((key(variation), own))
                });
                let told = told.collect();
                let mut chains = self.chains.lock().unwrap_or_else(PoisonError::into_inner);
                chains.insert(family.name().to_owned(), chain);
                told
            }
        }
    }
}

/// Members of a family that are asked for, with how far each has grown.
type Asked<'v> = Vec<(f64, &'v Variation)>;

/// What is learned in one piece.
enum Job<'v> {
    /// A fault by itself.
    Alone(&'v Variation),
    /// Faults of one family, each with how far it has grown.
    Grows(Family, Asked<'v>),
}

fn jobs<'v>(missing: &[&'v Variation]) -> Vec<Job<'v>> {
    let mut jobs = Vec::new();
    let mut families: BTreeMap<String, (Family, Asked<'v>)> = BTreeMap::new();
    for &variation in missing {
        match family_of(variation) {
            Some((family, far)) => {
                let own = families.entry(family.name().to_owned());
                own.or_insert_with(|| (family, Vec::new()))
                    .1
                    .push((far, variation));
            }
            None => jobs.push(Job::Alone(variation)),
        }
    }
    jobs.extend(
        families
            .into_values()
            .map(|(family, asked)| Job::Grows(family, asked)),
    );
    jobs
}

/// How all groups run in the maker's set with a fault; `None` where its network cannot be solved.
fn with_fault(
    model: &SetModel<'_>,
    set: &WholeSet,
    variation: &Variation,
    from: &Refreshed,
    terms: Terms,
) -> Option<Refreshed> {
    let conditions = model.makers_conditions();
    let wired = model
        .wire_with_loads(&conditions, variation, &set.loads)
        .ok()?;
    let direct = Direct::new(model, &wired, &set.running).ok()?;
    let figures = direct.figures(model, &wired, variation, &set.supply());
    let point: Point = direct
        .operating
        .solve(&figures, Some(&set.point.volts))
        .ok()?;
    let around = Around {
        wired: &wired,
        direct: &direct,
        figures: &figures,
        point: &point,
        variation,
        emission: &set.cycle.emission,
    };
    let anew = felt_by(model, variation);
    let learned = &model.usual().oscillators;
    Some(refresh_by(
        terms,
        model,
        learned,
        &around,
        (&set.running, set.scale),
        (from, &anew),
    ))
}

impl Refreshed {
    /// How the groups of a healthy set run with a fault among them, by what it does in the maker's set.
    pub(in crate::whole_set) fn with(
        &self,
        model: &SetModel<'_>,
        variation: &Variation,
    ) -> Refreshed {
        let usual = model.usual();
        let Some(there) = usual.fault_answers.known(variation) else {
            return self.clone();
        };
        let mut found = Refreshed::default();
        for (number, (learned, is_felt)) in usual
            .oscillators
            .iter()
            .zip(felt_by(model, variation))
            .enumerate()
        {
            let runs = self.waves.get(number).is_some_and(Option::is_some);
            if !is_felt || !runs {
                found.stay(number, &learned.group, self);
                continue;
            }
            let own = self.holds.iter().find(|own| own.0 == number);
            let moved = there.holds.iter().find(|own| own.0 == number);
            let (Some(own), Some(moved), Ok((usually, _))) = (own, moved, &learned.state) else {
                // It stands still with the fault.
                found.stay(number, &learned.group, &there);
                continue;
            };
            let holds = own.1.iter().map(|(stage, here)| {
                let of = |all: &[(usize, [Hold; ELECTRODES])]| {
                    let own = all.iter().find(|own| own.0 == *stage);
                    own.map(|own| own.1)
                };
                let (Some(there), Some(moved_to)) = (of(usually), of(&moved.1)) else {
                    return (*stage, *here);
                };
                let to = std::array::from_fn(|at| {
                    let scales = (own.3, moved.3);
                    moved_hold(here[at], there[at], moved_to[at], scales)
                });
                (*stage, to)
            });
            let wave = moved.2.clone();
            found
                .holds
                .push((number, holds.collect(), wave.clone(), own.3));
            found.waves.push(Some(wave));
        }
        found
    }
}

/// What holds an electrode here with a fault that changed it so in the maker's set; `scales` are those of the supply here and there.
fn moved_hold(here: Hold, there: Hold, moved: Hold, (own, other): (f64, f64)) -> Hold {
    match (here, there, moved) {
        (Hold::Draws { siemens: a }, Hold::Draws { siemens: b }, Hold::Draws { siemens: c }) => {
            Hold::Draws {
                siemens: taken_over(a, b, c),
            }
        }
        (Hold::Volts { volts: a }, Hold::Volts { volts: b }, Hold::Volts { volts: c }) => {
            Hold::Volts {
                volts: taken_over(a, b, c),
            }
        }
        (
            Hold::Takes { amperes: a, at },
            Hold::Takes {
                amperes: b,
                at: there,
            },
            Hold::Takes {
                amperes: c,
                at: moved,
            },
        ) => Hold::Takes {
            amperes: taken_over(a, b, c),
            at: taken_over(at, there, moved),
        },
        // Held otherwise than before: as there, gone with the supply.
        (_, _, Hold::Volts { volts }) => Hold::Volts {
            volts: volts * own / other,
        },
        (_, _, Hold::Takes { amperes, at }) => Hold::Takes {
            amperes: amperes * own / other,
            at: at * own / other,
        },
        (_, _, moved) => moved,
    }
}

/// Whether some stages run otherwise with this fault than in the healthy set.
pub(in crate::whole_set) fn runs_otherwise(
    model: &SetModel<'_>,
    set: &WholeSet,
    variation: &Variation,
) -> bool {
    let felt = felt_by(model, variation);
    let run = set.oscillators.iter().map(Option::is_some);
    felt.into_iter().zip(run).any(|(felt, runs)| felt && runs)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_electrode_moves_by_the_ratio_of_the_makers_set() {
        let volts = |volts| Hold::Volts { volts };
        let scales = (0.8, 1.0);
        // By hand: -20 there becomes -10 there, so -16 here becomes -8.
        let moved = moved_hold(volts(-16.0), volts(-20.0), volts(-10.0), scales);
        assert_eq!(moved, volts(-8.0));
        // A grid that held itself and takes nothing any more; one that begins to.
        let nothing = moved_hold(volts(-16.0), volts(-20.0), Hold::Nothing, scales);
        assert_eq!(nothing, Hold::Nothing);
        let begun = moved_hold(Hold::Nothing, Hold::Nothing, volts(-10.0), scales);
        assert_eq!(begun, volts(-8.0));
    }
}
