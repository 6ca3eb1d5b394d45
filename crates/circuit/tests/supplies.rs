//! Rectifier supplies against closed forms and published operating points.
//!
//! Volts, amperes. The source of every expected value stands beside it.

use circuit::solver::Settled;
use circuit::{Circuit, Element, Node, RectifierLaw, Solver, SolverOptions, Start};

/// A rectifier with next to no drop of its own.
fn ideal() -> RectifierLaw {
    RectifierLaw::Junction {
        threshold: 0.0,
        series_ohms: 1e-3,
        corner: 1e-3,
        leak_siemens: 0.0,
    }
}

fn source(circuit: &mut Circuit, a: Node, b: Node, peak_volts: f64, ohms: f64, phase: f64) {
    circuit.add(Element::Source {
        a,
        b,
        ohms,
        direct_volts: 0.0,
        peak_volts,
        phase,
    });
}

struct Supply {
    plates: usize,
    peak: f64,
    source_ohms: f64,
    law: RectifierLaw,
    choke: Option<(f64, f64)>,
    farads: f64,
    load_ohms: f64,
}

impl Supply {
    fn build(&self) -> (Circuit, Node, Vec<usize>) {
        let mut circuit = Circuit::new(60.0);
        let input = circuit.node();
        let mut rectifiers = Vec::new();
        for plate in 0..self.plates {
            let anode = circuit.node();
            let phase = plate as f64 * std::f64::consts::PI;
            source(&mut circuit, anode, 0, self.peak, self.source_ohms, phase);
            rectifiers.push(circuit.add(Element::Rectifier {
                anode,
                cathode: input,
                law: self.law,
                heated_by: None,
            }));
        }
        let output = match self.choke {
            Some((henries, ohms)) => {
                let output = circuit.node();
                circuit.add(Element::Inductor {
                    a: input,
                    b: output,
                    henries,
                    ohms,
                });
                output
            }
            None => input,
        };
        if self.farads > 0.0 {
            circuit.add(Element::Capacitor {
                a: output,
                b: 0,
                farads: self.farads,
                series_ohms: 0.0,
                leak_siemens: 0.0,
            });
        }
        circuit.resistor(output, 0, self.load_ohms);
        (circuit, output, rectifiers)
    }
}

fn solve(circuit: &Circuit, options: SolverOptions) -> Settled<'_> {
    let solver = Solver::new(circuit, options).expect("a circuit that can be solved");
    let settled = solver.settled(Start::Warm).expect("a settled state");
    let balance = settled.record.balance();
    assert!(
        balance.relative < 1e-6,
        "current law at node {}: {:.3e} A",
        balance.node,
        balance.amperes
    );
    settled
}

fn fine() -> SolverOptions {
    SolverOptions {
        fine_steps: 480,
        coarse_steps: 96,
        ..SolverOptions::default()
    }
}

/// Checks mean volts at the load, in percent, on the usual and on a fine grid.
fn check(name: &str, supply: &Supply, expected: f64, percent: f64) {
    let (circuit, output, _) = supply.build();
    for options in [SolverOptions::default(), fine()] {
        let settled = solve(&circuit, options);
        let found = settled.record.volts(output, 0).mean();
        println!(
            "{name}: {found:.3} V, expected {expected:.3} V; {:.2} cycles, {} tries, {} iterations",
            settled.work.cycles, settled.work.rectifier_tries, settled.work.iterations
        );
        assert!(
            (found / expected - 1.0).abs() <= percent / 100.0,
            "{name} at {} steps: {found} V, expected {expected} V within {percent} %",
            options.fine_steps
        );
    }
}

fn capacitor_input(plates: usize, ratio: f64, w_c_r: f64) -> Supply {
    let load_ohms = 1000.0;
    Supply {
        plates,
        peak: 100.0,
        source_ohms: ratio * load_ohms,
        law: ideal(),
        choke: None,
        farads: w_c_r / (std::f64::consts::TAU * 60.0 * load_ohms),
        load_ohms,
    }
}

#[test]
fn without_a_filter_the_mean_is_the_closed_form() {
    // Half wave peak/pi, full wave 2 peak/pi: closed form; Navy training series,
    // module 6, chapter 3, A13 (0.636) and US Army TC 9-62, 4-11 (0.318).
    for (plates, share) in [(1, 1.0), (2, 2.0)] {
        let supply = Supply {
            plates,
            peak: 100.0,
            source_ohms: 1e-3,
            law: ideal(),
            choke: None,
            farads: 0.0,
            load_ohms: 1000.0,
        };
        check(
            "no filter",
            &supply,
            share * 100.0 / std::f64::consts::PI,
            0.2,
        );
    }
}

#[test]
fn a_very_large_capacitor_meets_the_limit() {
    // tan x - x = pi Rs / (n R), direct over peak = cos x: limit of Schade, Proc.
    // IRE 31 (1943) 341, closed form (checks RS027, RS029, RS030, RS031, RS032).
    for (plates, ratio, expected) in [
        (2, 0.01, 0.93764),
        (2, 0.1, 0.7518),
        (1, 0.01, 0.90354),
        (1, 0.05, 0.7518),
        (1, 0.1, 0.64546),
    ] {
        let supply = capacitor_input(plates, ratio, 3000.0);
        check(
            &format!("limit {plates} {ratio}"),
            &supply,
            100.0 * expected,
            0.3,
        );
    }
}

#[test]
fn capacitor_input_agrees_with_an_independent_integration() {
    // Rows RS033 to RS044 of the checks: own integration made apart from this code.
    for (plates, ratio, w_c_r, expected) in [
        (2, 0.01, 4.0, 0.8037),
        (2, 0.1, 4.0, 0.7152),
        (2, 0.05, 10.0, 0.8167),
        (2, 0.05, 40.0, 0.8312),
        (1, 0.01, 4.0, 0.6142),
        (1, 0.05, 10.0, 0.7058),
        (1, 0.1, 40.0, 0.6439),
    ] {
        let supply = capacitor_input(plates, ratio, w_c_r);
        check(
            &format!("input {plates} {ratio} {w_c_r}"),
            &supply,
            100.0 * expected,
            0.5,
        );
    }
}

#[test]
fn rectifier_peaks_agree_with_an_independent_integration() {
    // Rows RS035, RS037, RS039, RS042, RS044: peak of one diode over the whole load current.
    for (plates, ratio, w_c_r, expected) in [
        (2, 0.1, 4.0, 3.113),
        (2, 0.05, 10.0, 3.95),
        (2, 0.05, 40.0, 4.028),
        (1, 0.05, 10.0, 6.422),
        (1, 0.1, 40.0, 5.489),
    ] {
        let supply = capacitor_input(plates, ratio, w_c_r);
        let (circuit, output, rectifiers) = supply.build();
        let settled = solve(&circuit, SolverOptions::default());
        let load = settled.record.volts(output, 0).mean() / supply.load_ohms;
        let found = settled.record.amperes(rectifiers[0]).highest() / load;
        println!("peak {plates} {ratio} {w_c_r}: {found:.3}, expected {expected}");
        assert!((found / expected - 1.0).abs() < 0.02);
    }
}

#[test]
fn choke_input_above_the_critical_inductance_gives_two_over_pi() {
    // 2 sqrt2/pi x rms: closed form (check RS046).
    let supply = Supply {
        plates: 2,
        peak: 450.0 * std::f64::consts::SQRT_2,
        source_ohms: 1e-3,
        law: ideal(),
        choke: Some((20.0, 1e-3)),
        farads: 40e-6,
        load_ohms: 2000.0,
    };
    check("choke input", &supply, 405.14, 0.3);
}

/// 5U4-GB through 50 V at 275 mA a plate, 5Y3-GT through 50 to 60 V at 125 mA, 6X4
/// through 22 V at 70 mA: RCA Receiving Tube Manuals, from memory (checks rows).
#[test]
fn published_rectifier_operation_is_met() {
    for (name, rms, ohms, farads, load, drop, expected, percent) in [
        (
            "RS001",
            300.0,
            21.0,
            40e-6,
            0.300,
            (50.0, 0.275),
            290.0,
            3.0,
        ),
        (
            "RS004",
            450.0,
            67.0,
            40e-6,
            0.1375,
            (50.0, 0.275),
            520.0,
            3.0,
        ),
        (
            "RS005",
            550.0,
            97.0,
            40e-6,
            0.162,
            (50.0, 0.275),
            630.0,
            3.0,
        ),
        (
            "RS006",
            550.0,
            97.0,
            40e-6,
            0.081,
            (50.0, 0.275),
            680.0,
            3.0,
        ),
        (
            "RS012",
            350.0,
            50.0,
            20e-6,
            0.125,
            (55.0, 0.125),
            350.0,
            5.0,
        ),
        (
            "RS019",
            325.0,
            525.0,
            10e-6,
            0.070,
            (22.0, 0.070),
            310.0,
            4.0,
        ),
    ] {
        let supply = Supply {
            plates: 2,
            peak: rms * std::f64::consts::SQRT_2,
            source_ohms: ohms,
            law: RectifierLaw::tube_through(drop.0, drop.1, 3.0),
            choke: None,
            farads,
            // The load draws the stated current at the stated volts.
            load_ohms: expected / load,
        };
        check(name, &supply, expected, percent);
    }
}

#[test]
fn what_the_source_gives_is_what_the_parts_take() {
    // Energy over a cycle, a conservation law.
    let supply = Supply {
        plates: 2,
        peak: 460.0,
        source_ohms: 40.0,
        law: RectifierLaw::tube_through(44.0, 0.225, 3.0),
        choke: Some((3.5, 85.0)),
        farads: 40e-6,
        load_ohms: 1500.0,
    };
    let (circuit, ..) = supply.build();
    let settled = solve(&circuit, fine());
    let (mut given, mut taken) = (0.0, 0.0);
    for (index, element) in circuit.elements.iter().enumerate() {
        match element {
            Element::Source { ohms, .. } => {
                given += settled.record.delivered_watts(index);
                let _ = ohms;
            }
            _ => taken += settled.record.watts(index),
        }
    }
    println!("given {given:.4} W, taken {taken:.4} W");
    assert!((given / taken - 1.0).abs() < 2e-3);
}

#[test]
fn a_bare_supply_takes_at_most_five_cycles_of_work() {
    for (plates, ratio, w_c_r) in [(2, 0.05, 40.0), (1, 0.05, 40.0), (2, 0.01, 400.0)] {
        let supply = capacitor_input(plates, ratio, w_c_r);
        let (circuit, ..) = supply.build();
        let settled = solve(&circuit, SolverOptions::default());
        assert!(
            settled.work.cycles <= 5.0,
            "{} cycles of work",
            settled.work.cycles
        );
    }
}
