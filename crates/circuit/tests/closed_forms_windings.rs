//! Windings, ohmmeters and odd circuits against closed forms.
//!
//! Volts, amperes, ohms. Where an expected value comes from stands beside each check.

use std::f64::consts::{PI, SQRT_2, TAU};

use circuit::resting::{OhmMeter, cold_ohms};
use circuit::{BodyRef, Circuit, Element, RectifierLaw, Solver, SolverOptions};

mod forms;
mod sets;

use forms::*;

#[test]
fn transformers_with_copper_and_leakage() {
    // Secondary volts n V R / (R + r2 + n^2 r1) for a load R, closed form; with leakage l
    // on the secondary n V R / sqrt((R + r2 + n^2 r1)^2 + (w l)^2).
    let (volts, turns, copper, secondary, load) = (117.0, 3.0, 4.0, 50.0, 2000.0);
    for leakage_henries in [0.0, 3.0] {
        let mut circuit = Circuit::new(60.0);
        let (primary, out) = (circuit.node(), circuit.node());
        source(&mut circuit, primary, 0.0, volts * SQRT_2, 1e-6);
        let mut high = winding(out, 0, turns, secondary);
        high.leakage_henries = leakage_henries;
        circuit.add(Element::Transformer {
            windings: vec![winding(primary, 0, 1.0, copper), high],
            loss_siemens: 0.0,
            magnetising_henries: None,
        });
        circuit.resistor(out, 0, load);
        let settled = solve(&circuit, fine());
        let whole: f64 = load + secondary + turns * turns * copper;
        let reactance = TAU * 60.0 * leakage_henries;
        let expected = turns * volts * load / (whole * whole + reactance * reactance).sqrt();
        near(
            "secondary",
            settled.record.volts(out, 0).rms(),
            expected,
            0.01,
        );
    }
}

#[test]
fn idle_current_and_core_loss() {
    // Unloaded: V / (w L) from the core and V g of loss, at right angles; closed form
    // with the copper small against both.
    let mut circuit = Circuit::new(60.0);
    let primary = circuit.node();
    let line = source(&mut circuit, primary, 0.0, 117.0 * SQRT_2, 1e-3);
    let transformer = circuit.add(Element::Transformer {
        windings: vec![winding(primary, 0, 1.0, 1e-3)],
        loss_siemens: 8.0 / (117.0 * 117.0),
        magnetising_henries: Some(1.5),
    });
    let settled = solve(&circuit, fine());
    let magnetising = 117.0 / (TAU * 60.0 * 1.5);
    let loss = 8.0 / 117.0;
    near(
        "idle current",
        settled.record.amperes(line).rms(),
        f64::hypot(magnetising, loss),
        0.05,
    );
    near("core loss", settled.record.watts(transformer), 8.0, 0.05);
}

#[test]
fn a_half_wave_load_drives_its_direct_current_through_the_source_winding() {
    // No direct current crosses a transformer: the secondary carries the load's mean
    // current, the primary none (conservation of flux in the settled state).
    let mut circuit = Circuit::new(60.0);
    let (primary, secondary, plus) = (circuit.node(), circuit.node(), circuit.node());
    let line = source(&mut circuit, primary, 0.0, 165.0, 0.5);
    let isolation = circuit.add(Element::Transformer {
        windings: vec![
            winding(primary, 0, 1.0, 2.0),
            winding(secondary, 0, 1.0, 2.0),
        ],
        loss_siemens: 1e-3,
        magnetising_henries: Some(2.0),
    });
    rectifier(&mut circuit, secondary, plus);
    capacitor(&mut circuit, plus, 0, 100e-6);
    let load = circuit.resistor(plus, 0, 1000.0);
    let settled = solve(&circuit, SolverOptions::default());
    let direct = settled.record.amperes(load).mean();
    near(
        "secondary",
        -settled.record.winding_amperes(isolation, 1).mean(),
        direct,
        0.1,
    );
    assert!(settled.record.amperes(line).mean().abs() < 1e-3 * direct);
    // Without the transformer the line itself carries it.
    let mut circuit = Circuit::new(60.0);
    let (live, plus) = (circuit.node(), circuit.node());
    let line = source(&mut circuit, live, 0.0, 165.0, 4.0);
    rectifier(&mut circuit, live, plus);
    capacitor(&mut circuit, plus, 0, 100e-6);
    let load = circuit.resistor(plus, 0, 1000.0);
    let settled = solve(&circuit, SolverOptions::default());
    near(
        "line",
        -settled.record.amperes(line).mean(),
        settled.record.amperes(load).mean(),
        0.1,
    );
}

#[test]
fn what_an_ohmmeter_shows() {
    // Series and parallel sums; a rectifier shows only to the + lead at its plate.
    let meter = OhmMeter {
        open_volts: 3.0,
        series_ohms: 100.0,
    };
    let mut circuit = Circuit::new(60.0);
    let (plus, cathode, high, open) = (
        circuit.node(),
        circuit.node(),
        circuit.node(),
        circuit.node(),
    );
    // Electrolytic with 2 microsiemens of leakage and 3 ohms in series: 500 003 ohm.
    circuit.add(Element::Capacitor {
        a: plus,
        b: 0,
        farads: 40e-6,
        series_ohms: 3.0,
        leak_siemens: 2e-6,
    });
    circuit.add(Element::Rectifier {
        anode: plus,
        cathode,
        law: ideal(),
        heated_by: None,
    });
    circuit.resistor(cathode, 0, 1000.0);
    circuit.add(Element::Transformer {
        windings: vec![winding(high, 0, 2.0, 62.0)],
        loss_siemens: 0.0,
        magnetising_henries: None,
    });
    capacitor(&mut circuit, open, 0, 0.1e-6);
    let reads = |a, b| cold_ohms(&circuit, a, b, meter, 298.0).expect("a reading");
    near(
        "forward",
        reads(plus, 0),
        1000.0 * 500_003.0 / 501_003.0,
        0.5,
    );
    near("backward", reads(0, plus), 500_003.0, 0.2);
    near("copper", reads(high, 0), 62.0, 1e-3);
    near("copper turned", reads(0, high), 62.0, 1e-3);
    assert!(reads(open, 0).is_infinite(), "{}", reads(open, 0));
    assert_eq!(reads(plus, plus), 0.0);
}

#[test]
fn odd_circuits_have_an_answer() {
    // No states, no rectifiers, open switches, nothing but a lamp, a tube that is cold,
    // a load beyond all measure: each is solved, or refused with a reason.
    let mut empty = Circuit::new(50.0);
    let node = empty.node();
    let settled = solve(&empty, SolverOptions::default());
    assert_eq!(settled.record.volts(node, 0).rms(), 0.0);

    let mut open = Circuit::new(25.0);
    let (a, b) = (open.node(), open.node());
    source(&mut open, a, 0.0, 100.0, 1.0);
    open.add(Element::Switch {
        a,
        b,
        closed: false,
    });
    open.resistor(b, 0, 100.0);
    let settled = solve(&open, SolverOptions::default());
    assert!(settled.record.volts(b, 0).rms() < 1e-6);

    // A capacitor shorted by a milliohm behind 50 ohm: 100 V peak drive 2 A.
    let mut shorted = Circuit::new(60.0);
    let (a, b) = (shorted.node(), shorted.node());
    source(&mut shorted, a, 0.0, 100.0, 50.0);
    rectifier(&mut shorted, a, b);
    capacitor(&mut shorted, b, 0, 40e-6);
    let short = shorted.resistor(b, 0, 1e-3);
    let settled = solve(&shorted, SolverOptions::default());
    near("short", settled.record.amperes(short).mean(), 2.0 / PI, 0.3);

    // A cold cathode feeds nothing.
    let mut cold = Circuit::new(60.0);
    let (a, b) = (cold.node(), cold.node());
    source(&mut cold, a, 0.0, 400.0, 50.0);
    let group = cold.group(circuit::thermal::ThermalGroup {
        arrangement: circuit::thermal::Arrangement::Parallel,
        bodies: vec![sets::heater(5.0, 2.0, circuit::thermal::Heating::Direct)],
    });
    cold.add(Element::Rectifier {
        anode: a,
        cathode: b,
        law: RectifierLaw::tube_through(50.0, 0.25, 1.0),
        heated_by: Some(BodyRef { group, body: 0 }),
    });
    capacitor(&mut cold, b, 0, 40e-6);
    cold.resistor(b, 0, 1e5);
    let settled = solve(&cold, SolverOptions::default());
    assert!(settled.record.volts(b, 0).mean().abs() < 0.01);

    // A group that two elements name is refused.
    cold.add(Element::Warm { a, b: 0, group });
    cold.add(Element::Warm { a: b, b: 0, group });
    assert!(Solver::new(&cold, SolverOptions::default()).is_err());
}
