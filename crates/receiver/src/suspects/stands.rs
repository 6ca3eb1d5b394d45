//! Which readings still tell after a part was replaced.
//!
//! Units of the readings. A reading of before belongs to a set with the old part in it. Where that part, as bad as the
//! ranking has it, moved it by no more than a quarter of what healthy sets and meter stray anyway, it reads the same with
//! the new one and need not be taken again. Ways of failing that hold less than a hundredth of the part's weight are left
//! aside. A reading of which nothing is foretold does not stand. Nothing here fails.

use super::evidence::{Evidence, Seen};
use super::explain::shifts_at;
use super::predict::Foretold;
use super::rank::Ranked;

/// Share of a standard deviation within which a reading counts as unmoved (judgement: a quarter is seen by no meter).
const UNMOVED: f64 = 0.25;
/// Share of a part's weight below which one of its ways is left aside.
const SLIGHT: f64 = 0.01;

/// Whether each of these readings still tells once this suspect was replaced.
pub fn stand_after(foretold: &[Foretold], seen: &[Seen], replaced: &Ranked) -> Vec<bool> {
    let evidence = Evidence::new(foretold, seen);
    let mut stand = vec![false; seen.len()];
    let all: f64 = replaced.ways.iter().map(|own| own.weight).sum();
    let ways = replaced
        .ways
        .iter()
        .filter(|own| own.weight >= SLIGHT * all);
    // How far each place is moved by each of its ways at each severity that counts.
    let moved: Vec<(usize, Option<Vec<Option<f64>>>)> = ways
        .flat_map(|way| {
            let severities = way.course.iter().map(|own| own.0).chain([way.severity]);
            severities.flat_map(move |severity| {
                let told = foretold.iter().enumerate();
                told.map(move |(at, told)| (at, shifts_at(told, way.hypothesis, severity)))
            })
        })
        .collect();
    for (at, &own) in evidence.used.iter().enumerate() {
        let Some(deviation) = evidence.deviation(at) else {
            continue;
        };
        let reading = &seen[own];
        let mut there = moved.iter().filter(|own| own.0 == reading.conditions);
        stand[own] = there.all(|(_, shifts)| {
            let shift = shifts
                .as_ref()
                .and_then(|own| own.get(reading.probe).copied().flatten())
                .and_then(|shift| evidence.own_shift(foretold, at, shift));
            shift.is_some_and(|shift| shift.abs() <= UNMOVED * deviation)
        });
    }
    stand
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::conditions::BenchConditions;
    use crate::probes::{Probe, Spot};
    use crate::reading::What;
    use crate::suspects::hypotheses::Suspect;
    use crate::suspects::predict::Faulty;
    use crate::suspects::rank::Weighed;
    use crate::whole_set::FaultyWork;

    /// By hand: of two places with a stray of some volts, one is moved by the first part alone; a place that no set
    /// foretells does not stand.
    #[test]
    fn what_the_part_could_not_move_stands() {
        let probe = |junction| Probe {
            at: format!("V1.{junction}"),
            to: None,
            what: What::DcVolts,
            spot: Spot::ToChassis(junction),
        };
        let faulty = |shifts: [f64; 2]| Faulty {
            severities: vec![1.0],
            shifts: vec![Some(shifts.iter().map(|own| Some(*own)).collect())],
            reach: vec![9.0],
        };
        let drawn: Vec<f64> = (0..=100).map(|own| 95.0 + 0.1 * f64::from(own)).collect();
        let told = Foretold {
            conditions: BenchConditions::default(),
            probes: vec![probe(1), probe(2)],
            healthy: vec![Some(100.0); 2],
            draws: (0..=100).collect(),
            drawn: vec![Some(drawn.clone()), Some(drawn)],
            faulty: vec![faulty([40.0, 0.1]), faulty([0.0, 2.0])],
            peaks: vec![Some(150.0); 2],
            work: FaultyWork::default(),
        };
        let way = |hypothesis, weight| Weighed {
            hypothesis,
            weight,
            severity: 1.0,
            course: vec![(1.0, 1.0)],
            felt: 1.0,
        };
        let ranked = |ways: Vec<Weighed>| Ranked {
            suspect: Suspect::Part(0),
            weight: 1.0,
            ways,
            speak_for: Vec::new(),
            speak_against: Vec::new(),
            unexplained: Vec::new(),
            tail: 1.0,
        };
        let seen = [0, 1, 7].map(|probe| Seen {
            conditions: 0,
            probe,
            value: 100.0,
            doubt: 1.0,
        });
        let after = |ways| stand_after(std::slice::from_ref(&told), &seen, &ranked(ways));
        assert_eq!(after(vec![way(0, 0.9)]), [false, true, false]);
        assert_eq!(after(vec![way(1, 0.9)]), [true, false, false]);
        // Both ways may have been it, or one of them hardly.
        assert_eq!(after(vec![way(0, 0.5), way(1, 0.4)]), [false, false, false]);
        assert_eq!(
            after(vec![way(0, 0.9), way(1, 0.001)]),
            [false, true, false]
        );
        // A way that nothing foretells.
        assert_eq!(after(vec![way(7, 0.9)]), [false, false, false]);
    }
}
