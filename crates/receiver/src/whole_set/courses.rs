//! Many faulty sets of few courses: each course is solved where it bends and told in between.
//!
//! Units of the readings. Faults that change one conductance of the direct-current network, be it a
//! resistor risen or fallen, a leak or a short, lie on one course. With `R` the resistance that its
//! two ends show in the healthy set and `g` the conductance that is added, every reading of a linear
//! network goes straight in `gR / (1 + gR)` (one changed branch: superposition, closed form), from
//! the healthy set at 0 to the short at 1 and below 0 to the open part. Tubes bend it. So the far end
//! is solved, then the middle; where a straight line told the middle well enough ([`SHARE`]), the
//! parabola through the three tells the rest, if it tells one more of many; else each half is looked
//! at in the same way. Faults of
//! other figures go as [`super::course_of`] says. Where a set cannot
//! be solved its neighbours are solved and not told. A fault on no course is solved by itself.

use std::collections::BTreeMap;

use rayon::prelude::*;

use crate::bands::Values;
use crate::conditions::BenchConditions;
use crate::probes::Probe;
use crate::wiring::{SetModel, Variation};

use super::couple::WholeSet;
use super::course_of::On;
use super::faulty::{Bed, FaultyReadings, FaultyWork, nothing};

/// How far a straight line may miss the middle of a stretch, as a share of the shift there: a third
/// of what the shift is doubted by when readings are weighed.
const SHARE: f64 = 0.03;
/// The same as a share of the healthy reading: a third of a common meter's doubt.
const OF_READING: f64 = 0.005;
/// The same in the unit of the reading: what a meter's last figure tells.
const LEAST: f64 = 0.01;
/// Sets told by one parabola at most without a second look.
const MOST_FILLED: usize = 5;

/// The faults of a course on one side of the healthy set, nearest first.
struct Side {
    /// Coordinate of each; the healthy set, 0, comes first.
    along: Vec<f64>,
    /// The variations that stand there.
    members: Vec<Vec<usize>>,
    /// What was found; `None` while it was not asked.
    found: Vec<Option<Option<Values>>>,
    /// Stretches not looked at yet, by their ends.
    open: Vec<(usize, usize)>,
}

impl Side {
    /// Of variations with their coordinates, all on one side.
    fn of(mut list: Vec<(f64, usize)>, healthy: &Values) -> Side {
        list.sort_by(|a, b| a.0.abs().total_cmp(&b.0.abs()).then(a.1.cmp(&b.1)));
        let mut side = Side {
            along: vec![0.0],
            members: vec![Vec::new()],
            found: vec![Some(Some(healthy.clone()))],
            open: Vec::new(),
        };
        for (along, variation) in list {
            match (side.along.last(), side.members.last_mut()) {
                (Some(last), Some(members)) if *last == along => members.push(variation),
                _ => {
                    side.along.push(along);
                    side.members.push(vec![variation]);
                    side.found.push(None);
                }
            }
        }
        side.open.push((0, side.along.len() - 1));
        side
    }

    /// The place between two others that lies nearest to this share of the way.
    fn between(&self, low: usize, high: usize, share: f64) -> Option<usize> {
        let at = self.along[low] + share * (self.along[high] - self.along[low]);
        let off = |own: &usize| (self.along[*own] - at).abs();
        (low + 1..high).min_by(|a, b| off(a).total_cmp(&off(b)))
    }

    /// Places to be solved before anything more can be told.
    fn wanted(&mut self, healthy: &Values) -> Vec<usize> {
        let mut wanted = Vec::new();
        let mut waiting = Vec::new();
        while let Some((low, high)) = self.open.pop() {
            let middle = self.between(low, high, 0.5);
            let asked = [Some(high), middle].into_iter().flatten();
            let missing: Vec<usize> = asked.filter(|at| self.found[*at].is_none()).collect();
            if !missing.is_empty() {
                wanted.extend(missing);
                waiting.push((low, high));
                continue;
            }
            let Some(middle) = middle else { continue };
            let three = [low, middle, high];
            let mut is_told = self.tells(&[low, high], middle, healthy);
            if is_told && high - low - 1 > MOST_FILLED {
                let sides = [(low, middle), (middle, high)];
                let side = sides.into_iter().max_by_key(|(low, high)| high - low);
                let again = side.and_then(|(low, high)| self.between(low, high, 0.5));
                if let Some(again) = again {
                    if self.found[again].is_none() {
                        wanted.push(again);
                        waiting.push((low, high));
                        continue;
                    }
                    is_told = self.tells(&three, again, healthy);
                }
            }
            if is_told {
                self.fill(three);
            } else {
                self.open.extend([(low, middle), (middle, high)]);
            }
        }
        self.open = waiting;
        wanted
    }

    /// What the polynomial through the sets found at some places says at another; `None` where one
    /// of them is not solved.
    fn told(&self, by: &[usize], at: usize) -> Option<Values> {
        let x = self.along[at];
        let mut told: Option<Values> = None;
        for &own in by {
            let others = by.iter().filter(|other| **other != own);
            let share: f64 = others
                .map(|other| (x - self.along[*other]) / (self.along[own] - self.along[*other]))
                .product();
            let found = self.found[own].as_ref()?.as_ref()?;
            let parts = found.iter().map(|value| value.map(|value| share * value));
            told = Some(match told {
                None => parts.collect(),
                Some(sum) => {
                    let both = sum.into_iter().zip(parts);
                    both.map(|(sum, part)| Some(sum? + part?)).collect()
                }
            });
        }
        told
    }

    /// Whether the sets found at some places tell well enough what was found at another.
    fn tells(&self, by: &[usize], at: usize, healthy: &Values) -> bool {
        let found = self.found[at].as_ref().and_then(Option::as_ref);
        let (Some(found), Some(told)) = (found, self.told(by, at)) else {
            return false;
        };
        let mut all = told.iter().zip(found).zip(healthy);
        all.all(|((told, found), healthy)| match (told, found, healthy) {
            (Some(told), Some(found), Some(healthy)) => {
                let least = OF_READING * healthy.abs() + LEAST;
                (told - found).abs() <= SHARE * (found - healthy).abs() + least
            }
            (told, found, _) => told.is_none() && found.is_none(),
        })
    }

    /// Tells everything between three places that was not solved.
    fn fill(&mut self, three: [usize; 3]) {
        for at in three[0] + 1..three[2] {
            if self.found[at].is_none() {
                self.found[at] = Some(self.told(&three, at));
            }
        }
    }
}

/// Reads the probes of each faulty set; of sets on one course as many are solved as it bends.
pub fn faulty_courses(
    model: &SetModel<'_>,
    conditions: &BenchConditions,
    set: &WholeSet,
    probes: &[Probe],
    variations: &[Variation],
) -> FaultyReadings {
    let Some(bed) = Bed::new(model, conditions, set, probes, variations) else {
        return nothing(probes.len(), variations.len());
    };
    let healthy = bed.healthy();
    let mut work = FaultyWork::default();
    let mut values: Vec<Option<Values>> = vec![None; variations.len()];
    let mut alone: Vec<usize> = Vec::new();
    // By course and side: a set on the other side of the healthy one tells nothing of this.
    let mut courses: BTreeMap<(On, bool), Vec<(f64, usize)>> = BTreeMap::new();
    let none = Variation::none();
    for ((number, own), place) in variations.iter().enumerate().zip(bed.places(variations)) {
        match place {
            _ if *own == none => values[number] = Some(healthy.clone()),
            Some((on, along)) if along.is_finite() && along != 0.0 => {
                courses
                    .entry((on, along > 0.0))
                    .or_default()
                    .push((along, number));
            }
            _ => alone.push(number),
        }
    }
    let on_courses: usize = courses.values().map(Vec::len).sum();
    let mut solved = 0;
    let mut sides: Vec<Side> = courses
        .into_values()
        .map(|list| Side::of(list, &healthy))
        .collect();
    loop {
        let mut asked: Vec<(Option<usize>, usize, usize)> = Vec::new();
        let wanted: Vec<Vec<usize>> = sides
            .par_iter_mut()
            .map(|side| side.wanted(&healthy))
            .collect();
        for (number, (side, wanted)) in sides.iter().zip(wanted).enumerate() {
            for at in wanted {
                asked.extend(side.members[at].first().map(|own| (Some(number), at, *own)));
            }
        }
        solved += asked.len();
        asked.extend(alone.drain(..).map(|own| (None, 0, own)));
        if asked.is_empty() {
            break;
        }
        let own: Vec<&Variation> = asked.iter().map(|own| &variations[own.2]).collect();
        let found = bed.solve(&own, &mut work);
        for ((side, at, number), found) in asked.into_iter().zip(found) {
            match side {
                Some(side) => sides[side].found[at] = Some(found),
                None => values[number] = found,
            }
        }
    }
    for side in sides {
        for (members, found) in side.members.iter().zip(side.found) {
            for number in members {
                values[*number] = found.clone().flatten();
            }
        }
    }
    work.filled = on_courses - solved;
    work.lost = values.iter().filter(|value| value.is_none()).count();
    FaultyReadings {
        healthy,
        values,
        work,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Solves what a side wants until it wants no more; how many were solved.
    fn followed(side: &mut Side, healthy: &Values, law: &dyn Fn(f64) -> Option<f64>) -> usize {
        let mut solved = 0;
        loop {
            let wanted = side.wanted(healthy);
            if wanted.is_empty() {
                return solved;
            }
            for at in wanted {
                solved += 1;
                side.found[at] = Some(law(side.along[at]).map(|own| vec![Some(own)]));
            }
        }
    }

    fn side_of(count: usize) -> Side {
        let list = (1..=count).map(|own| (own as f64 / count as f64, own));
        Side::of(list.collect(), &vec![Some(100.0)])
    }

    fn told(side: &Side, at: usize) -> Option<f64> {
        side.found[at].as_ref()?.as_ref()?[0]
    }

    /// Two resistors of 100k on 200 V, one of 50k in effect where they meet: with `g` laid from there
    /// to the chassis the place reads 100 V / (1 + g 50k), which is straight in gR / (1 + gR).
    #[test]
    fn a_linear_network_is_told_by_its_far_end_and_middle() {
        let law = |along: f64| Some(100.0 * (1.0 - along));
        let mut side = side_of(5);
        assert_eq!(followed(&mut side, &vec![Some(100.0)], &law), 2);
        for at in 1..=5 {
            let value = told(&side, at).expect("told");
            assert!((value - 100.0 * (1.0 - at as f64 / 5.0)).abs() < 1e-9);
        }
        // Many ask for one more look.
        assert_eq!(followed(&mut side_of(20), &vec![Some(100.0)], &law), 3);
    }

    /// A tube that cuts off half way: what lies around the bend is solved, the rest told.
    #[test]
    fn a_bend_is_solved() {
        let law = |along: f64| Some(100.0 + 200.0 * (along - 0.4).max(0.0));
        let mut side = side_of(20);
        let solved = followed(&mut side, &vec![Some(100.0)], &law);
        assert!((5..15).contains(&solved), "{solved}");
        for at in 1..=20 {
            let shift = 200.0 * (at as f64 / 20.0 - 0.4).max(0.0);
            let value = told(&side, at).expect("told");
            assert!(
                (value - 100.0 - shift).abs() < 0.1 * shift + 0.5,
                "{at} {value}"
            );
        }
    }

    #[test]
    fn beside_a_set_that_cannot_be_solved_nothing_is_told_by_a_line() {
        let law = |along: f64| (along < 0.65).then_some(100.0 - along);
        let mut side = side_of(10);
        followed(&mut side, &vec![Some(100.0)], &law);
        for at in 1..=10 {
            assert_eq!(told(&side, at).is_some(), at <= 6, "{at}");
        }
    }
}
