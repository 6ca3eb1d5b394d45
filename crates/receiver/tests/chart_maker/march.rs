//! The vertical oscillator and output of a set, followed in small steps of time.
//!
//! Seconds, volts against the chassis, amperes, farads, henries. Implicit Euler with one
//! length of step and a dense matrix, on the chart maker's own tube laws; what a meter shows
//! is the mean over the last whole cycles. Every capacitor and coil stands at its marked
//! value. Places that the signal does not reach stand at the volts of the set at large. Fails
//! by panic where a step does not settle or the stage does not swing.

use nalgebra::{DMatrix, DVector};

use crate::law::Electrodes;
use crate::set::Set;

/// Which stages are followed.
pub struct March {
    /// Pins that swing beside [`PLACES`]; the first is the oscillator's grid.
    pub pins: [&'static str; 5],
}

/// Named places that swing, the same in both sets.
const PLACES: [&str; 9] = [
    "height",
    "vertical peaking",
    "integrator 2",
    "vertical feedback",
    "vertical hold",
    "vertical yoke",
    "vertical linearity",
    "integrator 1",
    "yoke middle",
];
/// Coils of the output transformer.
const TRANSFORMER: [&str; 2] = ["T4", "T4B"];

/// Length of a step.
const STEP: f64 = 10e-6;
/// Seconds followed: three times the slowest coupling of these sets.
const SECONDS: f64 = 0.7;
/// Wiring and electrodes at every place, and the layers of a winding (judgement).
const STRAY: f64 = 10e-12;
const WINDING: f64 = 150e-12;
/// Flux that both windings share (judgement).
const SHARED: f64 = 0.98;
/// From this on a coil has layers enough to count.
const LAYERED: f64 = 0.1;

/// The mean of everything over the last whole cycles.
pub struct Means {
    /// By position of the stage: currents into its electrodes, and plate and grid over the
    /// cathode; `None` where it was not followed.
    pub stages: Vec<Option<(Electrodes, Electrodes)>>,
    /// Cycles in a second.
    pub hertz: f64,
}

impl March {
    /// Follows the stages of this set, whose other places stand at these volts.
    pub fn follow(&self, set: &Set, at_large: &DVector<f64>) -> Means {
        let places: Vec<usize> = self
            .pins
            .iter()
            .chain(&PLACES)
            .map(|place| set.find(place))
            .collect();
        let own = |junction: usize| places.iter().position(|&place| place == junction);
        let coils: Vec<_> = set
            .coils
            .iter()
            .filter(|coil| own(coil.from).is_some() || own(coil.to).is_some())
            .collect();
        let (nodes, size) = (places.len(), places.len() + coils.len());
        let mut linear = DMatrix::<f64>::zeros(size, size);
        // What flows out of a place to those that stand still.
        let mut still = DVector::<f64>::zeros(size);
        let mut charge = DMatrix::<f64>::zeros(size, size);
        let join = |matrix: &mut DMatrix<f64>,
                    still: Option<&mut DVector<f64>>,
                    a: usize,
                    b: usize,
                    value: f64| {
            let mut out = still;
            for (one, other) in [(a, b), (b, a)] {
                let Some(row) = own(one) else { continue };
                matrix[(row, row)] += value;
                match (own(other), &mut out) {
                    (Some(column), _) => matrix[(row, column)] -= value,
                    (None, Some(still)) => still[row] -= value * at_large[other],
                    (None, None) => {}
                }
            }
        };
        for &(a, b, siemens) in &set.conductances {
            let copper = coils
                .iter()
                .any(|coil| (coil.from, coil.to, 1.0 / coil.ohms) == (a, b, siemens));
            if !copper {
                join(&mut linear, Some(&mut still), a, b, siemens);
            }
        }
        for &(a, b, farads) in &set.capacitors {
            join(&mut charge, None, a, b, farads);
        }
        for node in 0..nodes {
            charge[(node, node)] += STRAY;
        }
        for (number, coil) in coils.iter().enumerate() {
            let row = nodes + number;
            for (end, sign) in [(coil.from, 1.0), (coil.to, -1.0)] {
                match own(end) {
                    Some(node) => {
                        linear[(node, row)] += sign;
                        linear[(row, node)] += sign;
                    }
                    None => still[row] += sign * at_large[end],
                }
            }
            linear[(row, row)] -= coil.ohms;
            charge[(row, row)] -= coil.henries;
            if coil.henries > LAYERED {
                join(&mut charge, None, coil.from, coil.to, WINDING);
            }
        }
        let [one, other] = TRANSFORMER.map(|name| {
            coils
                .iter()
                .position(|coil| coil.name == name)
                .expect("a winding of the transformer")
        });
        let mutual = SHARED * (coils[one].henries * coils[other].henries).sqrt();
        charge[(nodes + one, nodes + other)] -= mutual;
        charge[(nodes + other, nodes + one)] -= mutual;
        // Steps of full length, and finer ones for the moments of switching over.
        let finer: Vec<f64> = [1.0, 8.0, 64.0, 512.0].map(|parts| STEP / parts).to_vec();
        let charges: Vec<DMatrix<f64>> = finer.iter().map(|step| &charge / *step).collect();
        let fixed: Vec<DMatrix<f64>> = charges.iter().map(|charge| &linear + charge).collect();

        let followed: Vec<usize> = (0..set.stages.len())
            .filter(|&stage| set.stages[stage].at[0].and_then(own).is_some())
            .collect();
        let volts = |x: &DVector<f64>, junction: usize| match own(junction) {
            Some(node) => x[node],
            None => at_large[junction],
        };
        let across = |x: &DVector<f64>, stage: usize| {
            let at = set.stages[stage]
                .at
                .map(|at| at.map_or(0.0, |at| volts(x, at)));
            Electrodes {
                plate: at[0] - at[4],
                screen: at[1] - at[4],
                grid: at[2] - at[4],
                third: at[3] - at[4],
            }
        };
        let mut x = DVector::<f64>::zeros(size);
        for (node, &place) in places.iter().enumerate() {
            x[node] = at_large[place];
        }
        let mut sums: Vec<(Electrodes, Electrodes)> =
            vec![(Electrodes::default(), Electrodes::default()); followed.len()];
        let mut marks: Vec<(usize, Vec<(Electrodes, Electrodes)>)> = Vec::new();
        let (mut lowest, mut highest) = (f64::INFINITY, f64::NEG_INFINITY);
        let steps = (SECONDS / STEP) as usize;
        for step in 0..steps {
            let before = x[0];
            let one = |x: &DVector<f64>, level: usize| -> Option<DVector<f64>> {
                let held = &charges[level] * x;
                let mut x = x.clone();
                for _ in 0..40 {
                    let mut left = &fixed[level] * &x + &still - &held;
                    let mut slopes = fixed[level].clone();
                    for &stage in &followed {
                        set.stages[stage].stamp_at(&mut left, &mut slopes, |at| volts(&x, at), own);
                    }
                    let change = slopes.lu().solve(&left)?;
                    let largest = change.rows(0, nodes).amax();
                    x -= change.scale((40.0 / largest).min(1.0));
                    if largest < 1e-6 {
                        return Some(x);
                    }
                }
                None
            };
            let mut done = 0;
            while done < 512 {
                let level = (0..finer.len())
                    .filter(|&level| done % (512 >> (3 * level)) == 0)
                    .find_map(|level| Some((level, one(&x, level)?)));
                let (level, next) =
                    level.unwrap_or_else(|| panic!("no step after {} s", step as f64 * STEP));
                x = next;
                done += 512 >> (3 * level);
            }
            for (sum, &stage) in sums.iter_mut().zip(&followed) {
                let at = across(&x, stage);
                sum.0 += set.stages[stage].law.currents(at);
                sum.1 += at;
            }
            if 2 * step > steps {
                let middle = 0.5 * (lowest + highest);
                if 5 * step > 3 * steps && before < middle && x[0] >= middle {
                    marks.push((step, sums.clone()));
                }
                lowest = lowest.min(x[0]);
                highest = highest.max(x[0]);
            }
        }
        assert!(marks.len() > 3, "the stage does not swing");
        let (first, last) = (&marks[0], &marks[marks.len() - 1]);
        let count = (last.0 - first.0) as f64;
        let mut stages = vec![None; set.stages.len()];
        for (number, &stage) in followed.iter().enumerate() {
            let mean = |one: Electrodes, other: Electrodes| (one - other) * (1.0 / count);
            stages[stage] = Some((
                mean(last.1[number].0, first.1[number].0),
                mean(last.1[number].1, first.1[number].1),
            ));
        }
        Means {
            stages,
            hertz: (marks.len() - 1) as f64 / (count * STEP),
        }
    }
}
