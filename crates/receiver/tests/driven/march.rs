//! A multivibrator with the grid, screen and cathode of the output tube that it drives,
//! followed in small steps of time.
//!
//! Seconds, volts against the chassis, amperes, farads. Implicit Euler, one length of step,
//! slopes by differences, on the chart maker's textbook laws: neither the solver nor the laws
//! of the program. The parts are those of [`super::sheet`] without its coil, at their marks.
//! Fails by panic where a step does not settle or the stage does not swing.

use nalgebra::{SMatrix, SVector};

use crate::law::{Electrodes, Law, sections};

/// Common cathode, first plate and grid, second plate and grid, below the charging capacitor;
/// grid, cathode and screen of the output tube.
const PLACES: usize = 9;
const K: usize = 0;
const P1: usize = 1;
const G1: usize = 2;
const P2: usize = 3;
const G2: usize = 4;
const PEAK: usize = 5;
const G17: usize = 6;
const K17: usize = 7;
const S17: usize = 8;

type X = SVector<f64, PLACES>;

const STEP: f64 = 25e-9;
const SECONDS: f64 = 4e-3;
/// Wiring and electrodes at every place (judgement).
const STRAY: f64 = 8e-12;

/// The lines that feed the stages, and the plate of the output while it conducts, volts.
pub struct Lines {
    pub multivibrator: f64,
    pub sweep: f64,
    pub plate: f64,
}

/// What a meter shows.
pub struct Means {
    pub hertz: f64,
    pub first_plate: f64,
    pub second_plate: f64,
    pub second_grid: f64,
    pub output_grid: f64,
    pub output_screen: f64,
    pub output_cathode: f64,
}

/// Amperes that leave each place through resistors and tubes.
fn leaves(x: &X, lines: &Lines, leak: f64, tubes: &[Law; 2]) -> X {
    let mut out = X::zeros();
    let mut resistor = |a: usize, to: f64, ohms: f64| out[a] += (x[a] - to) / ohms;
    resistor(K, 0.0, 1e3);
    resistor(P1, lines.multivibrator, 15e3);
    resistor(G1, 0.0, 1.1e6);
    resistor(P2, lines.multivibrator, 100e3);
    resistor(G2, 0.0, leak);
    resistor(PEAK, 0.0, 5.6e3);
    resistor(G17, 0.0, 470e3);
    resistor(K17, 0.0, 100.0);
    resistor(S17, lines.sweep, 8.2e3);
    for (plate, grid) in [(P1, G1), (P2, G2)] {
        let drawn = tubes[0].currents(Electrodes {
            plate: x[plate] - x[K],
            grid: x[grid] - x[K],
            ..Electrodes::default()
        });
        out[plate] += drawn.plate;
        out[grid] += drawn.grid;
        out[K] -= drawn.plate + drawn.grid;
    }
    let drawn = tubes[1].currents(Electrodes {
        plate: lines.plate - x[K17],
        screen: x[S17] - x[K17],
        grid: x[G17] - x[K17],
        third: 0.0,
    });
    out[G17] += drawn.grid;
    out[S17] += drawn.screen;
    out[K17] -= drawn.plate + drawn.screen + drawn.grid;
    out
}

/// Follows the stages, with this grid leak of the second triode, and reads them.
pub fn follow(lines: &Lines, leak: f64) -> Means {
    let tubes = ["6SN7-GT", "6BG6-G"].map(|kind| Law::through(sections(kind)[0].point));
    let mut charge = SMatrix::<f64, PLACES, PLACES>::identity() * STRAY;
    for (a, b, farads) in [
        (P1, Some(G2), 180e-12),
        (P2, Some(PEAK), 470e-12),
        (P2, Some(G17), 390e-12),
        (K17, None, 0.1e-6),
        (S17, Some(K17), 0.05e-6),
    ] {
        charge[(a, a)] += farads;
        if let Some(b) = b {
            charge[(b, b)] += farads;
            charge[(a, b)] -= farads;
            charge[(b, a)] -= farads;
        }
    }
    // Steps of full length, and finer ones for the moments of switching over.
    let one = |x: &X, step: f64| -> Option<X> {
        let charge = charge / step;
        let held = charge * x;
        let mut x = *x;
        for _ in 0..30 {
            let here = leaves(&x, lines, leak, &tubes);
            let left = here + charge * x - held;
            let mut slopes = charge;
            for column in 0..PLACES {
                let mut moved = x;
                moved[column] += 1e-4;
                let change = (leaves(&moved, lines, leak, &tubes) - here) / 1e-4;
                for row in 0..PLACES {
                    slopes[(row, column)] += change[row];
                }
            }
            let change = slopes.lu().solve(&left)?;
            x -= change * (20.0 / change.amax()).min(1.0);
            if change.amax() < 1e-6 {
                return Some(x);
            }
        }
        None
    };
    let mut x = X::zeros();
    (x[P1], x[P2]) = (lines.multivibrator, 0.5 * lines.multivibrator);
    x[S17] = 0.8 * lines.sweep;
    let steps = (SECONDS / STEP) as usize;
    let mut sum = X::zeros();
    let mut marks: Vec<(usize, X)> = Vec::new();
    let (mut lowest, mut highest) = (f64::INFINITY, f64::NEG_INFINITY);
    for step in 0..steps {
        let before = x[G2];
        let next = [1, 16, 256]
            .into_iter()
            .find_map(|parts| (0..parts).try_fold(x, |x, _| one(&x, STEP / f64::from(parts))));
        x = next.unwrap_or_else(|| panic!("no step after {} s", step as f64 * STEP));
        sum += x;
        if 3 * step > steps {
            let middle = 0.5 * (lowest + highest);
            if 2 * step > steps && before < middle && x[G2] >= middle {
                marks.push((step, sum));
            }
            lowest = lowest.min(x[G2]);
            highest = highest.max(x[G2]);
        }
    }
    assert!(marks.len() > 5, "the stage does not swing");
    let (first, last) = (&marks[0], &marks[marks.len() - 1]);
    let count = (last.0 - first.0) as f64;
    let mean = (last.1 - first.1) / count;
    Means {
        hertz: (marks.len() - 1) as f64 / (count * STEP),
        first_plate: mean[P1],
        second_plate: mean[P2],
        second_grid: mean[G2],
        output_grid: mean[G17],
        output_screen: mean[S17],
        output_cathode: mean[K17],
    }
}
