//! A case of the trade: a part, its fault, and how each reading goes.
//!
//! Volts to the chassis. Each reading goes up, down, or stays, against the same drawn set without the fault. A case is
//! planted in sets of drawn parts; every reading must go as the book has it, and the part must be among the first three.
//! Tube laws of truth and prediction are shared here; the benchmark has others. Fails by a panic, as a test may.

use receiver::wiring::{FaultKind, SetModel, Variation};

use crate::planted::{Bench, solved};
use crate::whole_sets::{nominal, sheet};

/// What a reading does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Goes {
    Up,
    Down,
    Stays,
}

pub use Goes::{Down, Stays, Up};

/// A case.
pub struct Case {
    pub name: &'static str,
    pub kind: FaultKind,
    pub severity: f64,
    /// Every place that is read, and how it goes.
    pub readings: Vec<(&'static str, Goes)>,
}

/// Drawn sets that each case is planted in.
const SETS: usize = 2;
/// Share of a reading by which one that goes must go at least, and one that stays at most.
const LEAST: f64 = 0.002;
const MOST: f64 = 0.06;
/// The same in volts.
const LEAST_VOLTS: f64 = 0.02;
const MOST_VOLTS: f64 = 0.3;

/// Names of a sheet as what fails.
pub struct Parts<'m, 's>(pub &'m SetModel<'s>);

impl Parts<'_, '_> {
    fn part(&self, name: &str) -> usize {
        self.0.part_index(name).expect("a part")
    }

    pub fn tube(&self, name: &str) -> usize {
        self.0.tube_index(name).expect("a tube")
    }

    pub fn junction(&self, place: &str) -> usize {
        let place = self.0.places.find(place).expect("a place");
        self.0.junction(place).expect("a junction")
    }

    pub fn open(&self, name: &'static str, readings: &[(&'static str, Goes)]) -> Case {
        self.case(name, FaultKind::Open(self.part(name)), 1.0, readings)
    }

    pub fn leaky(&self, name: &'static str, ohms: f64, readings: &[(&'static str, Goes)]) -> Case {
        self.case(
            name,
            FaultKind::CapacitorLeak(self.part(name)),
            ohms,
            readings,
        )
    }

    pub fn risen(&self, name: &'static str, times: f64, readings: &[(&'static str, Goes)]) -> Case {
        self.case(name, FaultKind::OhmsTimes(self.part(name)), times, readings)
    }

    /// Emission left, as a share; `rectifies` for a tube of the supply.
    pub fn weak(
        &self,
        name: &'static str,
        (left, rectifies): (f64, bool),
        readings: &[(&'static str, Goes)],
    ) -> Case {
        let tube = self.tube(name);
        self.case(
            name,
            FaultKind::Emission { tube, rectifies },
            left,
            readings,
        )
    }

    pub fn cold(&self, name: &'static str, readings: &[(&'static str, Goes)]) -> Case {
        self.case(name, FaultKind::HeaterOpen(self.tube(name)), 1.0, readings)
    }

    /// Grid current in microamperes, from one place to the grid.
    pub fn gassy(
        &self,
        name: &'static str,
        (grid, from, microamperes): (&str, &str, f64),
        readings: &[(&'static str, Goes)],
    ) -> Case {
        let kind = FaultKind::GridCurrent {
            grid: self.junction(grid),
            from: self.junction(from),
        };
        self.case(name, kind, 1e-6 * microamperes, readings)
    }

    pub fn case(
        &self,
        name: &'static str,
        kind: FaultKind,
        severity: f64,
        readings: &[(&'static str, Goes)],
    ) -> Case {
        Case {
            name,
            kind,
            severity,
            readings: readings.to_vec(),
        }
    }
}

/// Does work on the bench of one set.
pub fn with_bench(text: &str, look: impl FnOnce(&SetModel<'_>, &Bench<'_, '_>)) {
    let catalogue = parts::catalogue().expect("the tables are sound");
    let sheet = sheet(text);
    let model = SetModel::new(&sheet, catalogue);
    let bench = Bench::new(&model);
    look(&model, &bench);
}

/// Plants every case in two drawn sets; all that fails is told at once. A faulty set that does not settle is left out, but
/// not in both.
pub fn hold(bench: &Bench<'_, '_>, cases: &[Case]) {
    let mut wrong: Vec<String> = Vec::new();
    let mut held = vec![0; cases.len()];
    let sets = (1..20).filter_map(|seed| {
        let sound = solved(bench.model, &nominal(), &Variation::none(), seed).ok()?;
        Some((seed, sound))
    });
    for (seed, sound) in sets.take(SETS) {
        for (number, case) in cases.iter().enumerate() {
            let fault = case.kind.variation(case.severity);
            let volts = match solved(bench.model, &nominal(), &fault, seed) {
                Ok(volts) => volts,
                Err(because) => {
                    println!("{} {seed}: {because}", case.name);
                    continue;
                }
            };
            held[number] += 1;
            let places: Vec<(&str, usize, Goes)> = case
                .readings
                .iter()
                .map(|(at, goes)| (*at, Parts(bench.model).junction(at), *goes))
                .collect();
            for (at, junction, goes) in &places {
                let (now, before) = (volts[*junction], sound[*junction]);
                let more = now - before;
                let least = (LEAST * before.abs()).max(LEAST_VOLTS);
                let most = (MOST * before.abs()).max(MOST_VOLTS);
                let is_so = match goes {
                    Up => more > least,
                    Down => more < -least,
                    Stays => more.abs() < most,
                };
                if !is_so {
                    wrong.push(format!(
                        "{} {seed}: {at} goes from {before:.2} to {now:.2}, {goes:?} in the book",
                        case.name
                    ));
                }
            }
            let seen: Vec<_> = places
                .iter()
                .map(|(at, junction, _)| bench.seen(at, volts[*junction]))
                .collect();
            let ranking = bench.rank(&seen);
            let told = bench.told(&ranking);
            println!("{} {seed}: {told}", case.name);
            let place = bench.place_of(&ranking, case.name);
            if place > 3 {
                wrong.push(format!("{} {seed} is at {place}: {told}", case.name));
            }
            if ranking.nothing_explains {
                wrong.push(format!("{} {seed}: nothing explains: {told}", case.name));
            }
        }
    }
    let never = cases.iter().zip(&held).filter(|(_, held)| **held == 0);
    wrong.extend(never.map(|(case, _)| format!("{} never settles", case.name)));
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
