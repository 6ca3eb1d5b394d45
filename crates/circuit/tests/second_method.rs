//! Supplies against a second method: plain tiny steps written out by hand for each.
//!
//! Volts, amperes, ohms, farads. The second method shares nothing with the crate but
//! the circuit: explicit small steps on the capacitors with rectifiers of fixed drop
//! and resistance, marched until they settle.

use std::f64::consts::{PI, TAU};

use circuit::{Circuit, Element, Node, RectifierLaw, Solver, SolverOptions, Start};

const PEAK: f64 = 165.0;
const OHMS: f64 = 10.0;
const CELL_OHMS: f64 = 5.0;
const THRESHOLD: f64 = 2.0;
const LOAD: f64 = 1500.0;

fn cell(circuit: &mut Circuit, anode: Node, cathode: Node) {
    circuit.add(Element::Rectifier {
        anode,
        cathode,
        law: RectifierLaw::Junction {
            threshold: THRESHOLD,
            series_ohms: CELL_OHMS,
            corner: 1e-3,
            leak_siemens: 0.0,
        },
        heated_by: None,
    });
}

fn capacitor(circuit: &mut Circuit, a: Node, b: Node, farads: f64) {
    circuit.add(Element::Capacitor {
        a,
        b,
        farads,
        series_ohms: 0.0,
        leak_siemens: 0.0,
    });
}

fn line(circuit: &mut Circuit, a: Node, phase: f64) {
    circuit.add(Element::Source {
        a,
        b: 0,
        ohms: OHMS,
        direct_volts: 0.0,
        peak_volts: PEAK,
        phase,
    });
}

/// Mean of the output as this crate has it.
fn solved(circuit: &Circuit, a: Node, b: Node) -> f64 {
    for start in [Start::Warm, Start::Cold] {
        let settled = Solver::new(circuit, SolverOptions::default())
            .and_then(|solver| solver.settled(start))
            .unwrap_or_else(|error| panic!("{error}"));
        assert!(settled.work.cycles < 40.0);
        if matches!(start, Start::Cold) {
            return settled.record.volts(a, b).mean();
        }
    }
    unreachable!()
}

/// Marches by steps of 2 microseconds for 4 seconds; `rates` gives the capacitors' volts
/// a second, `output` what is averaged over the last cycle.
fn marched<const N: usize>(
    rates: impl Fn(f64, &[f64; N]) -> [f64; N],
    output: impl Fn(&[f64; N]) -> f64,
) -> f64 {
    let step = 1.0 / (60.0 * 8192.0);
    let mut volts = [0.0; N];
    let mut mean = 0.0;
    for number in 0..8192 * 240 {
        let wave = PEAK * (TAU * 60.0 * step * (f64::from(number) + 0.5)).sin();
        // Midpoint rule.
        let first = rates(wave, &volts);
        let mut middle = volts;
        for (middle, rate) in middle.iter_mut().zip(first) {
            *middle += 0.5 * step * rate;
        }
        let second = rates(wave, &middle);
        for (volts, rate) in volts.iter_mut().zip(second) {
            *volts += step * rate;
        }
        if number >= 8192 * 239 {
            mean += output(&volts) / 8192.0;
        }
    }
    mean
}

fn check(name: &str, found: f64, expected: f64) {
    println!("{name}: {found:.3}, second method {expected:.3}");
    assert!((found / expected - 1.0).abs() < 3e-3, "{name}");
}

/// What flows through source and one cell for `volts` around the loop.
fn through(volts: f64) -> f64 {
    ((volts - THRESHOLD) / (OHMS + CELL_OHMS)).max(0.0)
}

#[test]
fn half_wave_and_bridge() {
    let mut circuit = Circuit::new(60.0);
    let (a, b) = (circuit.node(), circuit.node());
    line(&mut circuit, a, 0.0);
    cell(&mut circuit, a, b);
    capacitor(&mut circuit, b, 0, 40e-6);
    circuit.resistor(b, 0, LOAD);
    let second = marched(
        |wave, [volts]| [(through(wave - volts) - volts / LOAD) / 40e-6],
        |[volts]| *volts,
    );
    check("half wave", solved(&circuit, b, 0), second);

    // Two phases to one capacitor.
    let mut circuit = Circuit::new(60.0);
    let (a, b, plus) = (circuit.node(), circuit.node(), circuit.node());
    line(&mut circuit, a, 0.0);
    line(&mut circuit, b, PI);
    cell(&mut circuit, a, plus);
    cell(&mut circuit, b, plus);
    capacitor(&mut circuit, plus, 0, 40e-6);
    circuit.resistor(plus, 0, LOAD);
    let second = marched(
        |wave, [volts]| [(through(wave.abs() - volts) - volts / LOAD) / 40e-6],
        |[volts]| *volts,
    );
    check("full wave", solved(&circuit, plus, 0), second);
}

#[test]
fn full_wave_doubler() {
    let mut circuit = Circuit::new(60.0);
    let (a, plus, minus) = (circuit.node(), circuit.node(), circuit.node());
    line(&mut circuit, a, 0.0);
    cell(&mut circuit, a, plus);
    cell(&mut circuit, minus, a);
    capacitor(&mut circuit, plus, 0, 100e-6);
    capacitor(&mut circuit, 0, minus, 100e-6);
    circuit.resistor(plus, minus, LOAD);
    let second = marched(
        |wave, [upper, lower]| {
            let drawn = (upper + lower) / LOAD;
            [
                (through(wave - upper) - drawn) / 100e-6,
                (through(-wave - lower) - drawn) / 100e-6,
            ]
        },
        |[upper, lower]| upper + lower,
    );
    check("full-wave doubler", solved(&circuit, plus, minus), second);
}

#[test]
fn half_wave_doubler() {
    let mut circuit = Circuit::new(60.0);
    let (a, middle, plus) = (circuit.node(), circuit.node(), circuit.node());
    line(&mut circuit, a, 0.0);
    capacitor(&mut circuit, middle, a, 100e-6);
    cell(&mut circuit, 0, middle);
    cell(&mut circuit, middle, plus);
    capacitor(&mut circuit, plus, 0, 100e-6);
    circuit.resistor(plus, 0, LOAD);
    let second = marched(
        |wave, [pumped, out]| {
            let charging = through(-wave - pumped);
            let passed = through(wave + pumped - out);
            [(charging - passed) / 100e-6, (passed - out / LOAD) / 100e-6]
        },
        |[_, out]| *out,
    );
    check("half-wave doubler", solved(&circuit, plus, 0), second);
}
