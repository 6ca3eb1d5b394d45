//! Small circuits for the closed forms, and the tests that every solution of them passes.
//!
//! Volts, amperes, ohms, farads, henries. Fails by a panic, as a test may.
#![allow(dead_code)]

use circuit::solver::Settled;
use circuit::{Circuit, Element, Node, RectifierLaw, Solver, SolverOptions, Start, Winding};
pub fn near(name: &str, found: f64, expected: f64, percent: f64) {
    assert!(
        (found - expected).abs() <= expected.abs() * percent / 100.0,
        "{name}: {found}, expected {expected} within {percent} %"
    );
}

pub fn source(
    circuit: &mut Circuit,
    a: Node,
    direct_volts: f64,
    peak_volts: f64,
    ohms: f64,
) -> usize {
    circuit.add(Element::Source {
        a,
        b: 0,
        ohms,
        direct_volts,
        peak_volts,
        phase: 0.0,
    })
}

pub fn capacitor(circuit: &mut Circuit, a: Node, b: Node, farads: f64) -> usize {
    circuit.add(Element::Capacitor {
        a,
        b,
        farads,
        series_ohms: 0.0,
        leak_siemens: 0.0,
    })
}

pub fn coil(circuit: &mut Circuit, a: Node, b: Node, henries: f64, ohms: f64) -> usize {
    circuit.add(Element::Inductor {
        a,
        b,
        henries,
        ohms,
    })
}

/// A rectifier with next to no drop of its own.
pub fn ideal() -> RectifierLaw {
    RectifierLaw::Junction {
        threshold: 0.0,
        series_ohms: 1e-3,
        corner: 1e-3,
        leak_siemens: 0.0,
    }
}

pub fn rectifier(circuit: &mut Circuit, anode: Node, cathode: Node) -> usize {
    circuit.add(Element::Rectifier {
        anode,
        cathode,
        law: ideal(),
        heated_by: None,
    })
}

pub fn fine() -> SolverOptions {
    SolverOptions {
        fine_steps: 768,
        coarse_steps: 96,
        ..SolverOptions::default()
    }
}

/// Solves, and holds the solution to Kirchhoff's current law and to the energy of a cycle.
pub fn solve(circuit: &Circuit, options: SolverOptions) -> Settled<'_> {
    let settled = Solver::new(circuit, options)
        .and_then(|solver| solver.settled(Start::Warm))
        .unwrap_or_else(|error| panic!("{error}"));
    let balance = settled.record.balance();
    // Below a nanoampere stands the rounding of milliohms.
    assert!(
        balance.relative < 1e-6 || balance.amperes < 1e-9,
        "{balance:?}"
    );
    let (mut given, mut taken) = (0.0, 0.0);
    for (index, element) in circuit.elements.iter().enumerate() {
        match element {
            Element::Source { .. } => given += settled.record.delivered_watts(index),
            _ => taken += settled.record.watts(index),
        }
    }
    assert!(
        (given - taken).abs() <= 5e-3 * given.abs() + 1e-6,
        "given {given} W, taken {taken} W"
    );
    settled
}

pub fn winding(start: Node, end: Node, turns: f64, ohms: f64) -> Winding {
    Winding {
        start,
        end,
        turns,
        ohms,
        leakage_henries: 0.0,
    }
}
