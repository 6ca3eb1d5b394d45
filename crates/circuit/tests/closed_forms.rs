//! Circuits with an answer in closed form.
//!
//! Volts, amperes, ohms, henries, farads, seconds. Each test says which closed form or
//! published figure it holds to.

use std::f64::consts::{PI, SQRT_2, TAU};

use circuit::resting::{OhmMeter, cold_ohms, resting};
use circuit::solver::GoOn;
use circuit::switch_on::{StepControl, switch_on};
use circuit::{Circuit, Element, RectifierLaw, SolverOptions};

mod forms;

use forms::*;

#[test]
fn ladders_of_resistors() {
    // A ladder of n sections, series r and shunt r, ends in r: its input is
    // r F(2n+2) / F(2n+1) with Fibonacci's numbers, a textbook closed form.
    for sections in [1usize, 2, 5, 40] {
        let mut fibonacci = vec![1.0f64, 1.0];
        while fibonacci.len() < 2 * sections + 4 {
            let next = fibonacci[fibonacci.len() - 1] + fibonacci[fibonacci.len() - 2];
            fibonacci.push(next);
        }
        let ohms = 1000.0;
        let mut circuit = Circuit::new(60.0);
        let input = circuit.node();
        let mut last = input;
        for _ in 0..sections {
            let next = circuit.node();
            circuit.resistor(last, next, ohms);
            circuit.resistor(next, 0, ohms);
            last = next;
        }
        let meter = OhmMeter {
            open_volts: 1.5,
            series_ohms: 10.0,
        };
        let expected = ohms * fibonacci[2 * sections] / fibonacci[2 * sections - 1];
        let found = cold_ohms(&circuit, input, 0, meter, 298.0).expect("a reading");
        near("ladder", found, expected, 1e-4);
        // The same through a settled line cycle.
        let line = source(&mut circuit, input, 0.0, 100.0 * SQRT_2, 1e-3);
        let settled = solve(&circuit, SolverOptions::default());
        near(
            "ladder",
            100.0 / settled.record.amperes(line).rms(),
            expected,
            1e-2,
        );
    }
}

#[test]
fn awkward_sizes_side_by_side() {
    // 10 megohms with 10 picofarads across it, fed through a milliohm: the divider
    // 1e7 / (1e7 + 1e6), closed form, for direct and for line current alike.
    let mut circuit = Circuit::new(60.0);
    let (a, b, c) = (circuit.node(), circuit.node(), circuit.node());
    source(&mut circuit, a, 110.0, 0.0, 1e-3);
    circuit.add(Element::Switch { a, b, closed: true });
    circuit.resistor(b, c, 1e6);
    circuit.resistor(c, 0, 1e7);
    capacitor(&mut circuit, c, 0, 1e-11);
    let settled = solve(&circuit, SolverOptions::default());
    near("divider", settled.record.volts(c, 0).mean(), 100.0, 1e-4);
    let rest = resting(&circuit, 298.0).expect("at rest");
    near("divider", rest.volts(c, 0).mean(), 100.0, 1e-4);
}

#[test]
fn a_meter_pulls_the_divider_down() {
    // 300 V, 1 megohm over 1 megohm: 150 V; 100 V with a meter of 1 megohm; closed form.
    for (meter, expected) in [(None, 150.0), (Some(1e6), 100.0), (Some(11e6), 143.478_26)] {
        let mut circuit = Circuit::new(60.0);
        let (top, middle) = (circuit.node(), circuit.node());
        source(&mut circuit, top, 300.0, 0.0, 1e-3);
        circuit.resistor(top, middle, 1e6);
        circuit.resistor(middle, 0, 1e6);
        if let Some(ohms) = meter {
            circuit.resistor(middle, 0, ohms);
        }
        let rest = resting(&circuit, 298.0).expect("at rest");
        near("meter", rest.volts(middle, 0).mean(), expected, 1e-4);
    }
}

#[test]
fn steps_of_rc_and_rl() {
    // V (1 - exp(-t/RC)) and V/R (1 - exp(-t R/L)): closed forms.
    let control = StepControl {
        relative: 1e-6,
        ..StepControl::default()
    };
    let mut circuit = Circuit::new(60.0);
    let (a, b) = (circuit.node(), circuit.node());
    source(&mut circuit, a, 100.0, 0.0, 1.0);
    circuit.resistor(a, b, 999.0);
    capacitor(&mut circuit, b, 0, 40e-6);
    let mut worst = 0.0f64;
    switch_on(&circuit, 0.2, control, &mut |instant| {
        let expected = 100.0 * (1.0 - (-instant.seconds / 0.04).exp());
        worst = worst.max((instant.volts(b, 0) - expected).abs());
        GoOn::Yes
    })
    .expect("a run");
    assert!(worst < 0.02, "RC step off by {worst} V");

    let mut circuit = Circuit::new(60.0);
    let (a, b) = (circuit.node(), circuit.node());
    source(&mut circuit, a, 100.0, 0.0, 1.0);
    coil(&mut circuit, a, b, 5.0, 99.0);
    circuit.resistor(b, 0, 900.0);
    let mut worst = 0.0f64;
    switch_on(&circuit, 0.05, control, &mut |instant| {
        let expected = 90.0 * (1.0 - (-instant.seconds * 1000.0 / 5.0).exp());
        worst = worst.max((instant.volts(b, 0) - expected).abs());
        GoOn::Yes
    })
    .expect("a run");
    assert!(worst < 0.02, "RL step off by {worst} V");
}

#[test]
fn the_grid_converges_with_the_second_order() {
    // Current of a sine through R and C: V / sqrt(R^2 + 1/(wC)^2), closed form. The
    // scheme is of second order: twice the steps, a quarter of the error.
    let error = |steps: usize| {
        let mut circuit = Circuit::new(60.0);
        let (a, b) = (circuit.node(), circuit.node());
        let line = source(&mut circuit, a, 0.0, 100.0, 1.0);
        circuit.resistor(a, b, 499.0);
        capacitor(&mut circuit, b, 0, 4e-6);
        let options = SolverOptions {
            fine_steps: steps,
            coarse_steps: 16,
            ..SolverOptions::default()
        };
        let reactance = 1.0 / (TAU * 60.0 * 4e-6);
        let expected = 100.0 / SQRT_2 / (500.0f64 * 500.0 + reactance * reactance).sqrt();
        let settled = solve(&circuit, options);
        (settled.record.amperes(line).rms() / expected - 1.0).abs()
    };
    let errors: Vec<f64> = [12, 24, 48, 96].map(error).to_vec();
    println!("{errors:?}");
    for pair in errors.windows(2) {
        assert!(pair[1] < 0.32 * pair[0], "{errors:?}");
    }
    assert!(errors[3] < 1e-3);
}

#[test]
fn an_rc_section_passes_its_share_of_the_ripple() {
    // 10 V p-p of 120 Hz through 1000 ohm and 40 mfd: 1/sqrt(1 + (wRC)^2), check RS050.
    let mut circuit = Circuit::new(120.0);
    let (a, b) = (circuit.node(), circuit.node());
    source(&mut circuit, a, 300.0, 5.0, 1e-3);
    circuit.resistor(a, b, 1000.0);
    capacitor(&mut circuit, b, 0, 40e-6);
    let settled = solve(&circuit, fine());
    near(
        "ripple",
        settled.record.volts(b, 0).peak_to_peak(),
        0.331_39,
        0.5,
    );
    near("mean", settled.record.volts(b, 0).mean(), 300.0, 1e-3);
}

#[test]
fn ripple_of_the_capacitor_input() {
    // Ideal capacitor input: the rms ripple of the full wave is sqrt2 I / (4 w C), half
    // a sawtooth's peak-to-peak is I/(2 f C) at most; textbook, for small ripple (the
    // time of charging left out, which makes the true ripple a few percent smaller).
    let (farads, amperes, volts) = (200e-6, 0.1, 100.0);
    let mut circuit = Circuit::new(60.0);
    let (one, two, out) = (circuit.node(), circuit.node(), circuit.node());
    source(&mut circuit, one, 0.0, volts, 0.05);
    circuit.add(Element::Source {
        a: two,
        b: 0,
        ohms: 0.05,
        direct_volts: 0.0,
        peak_volts: volts,
        phase: PI,
    });
    rectifier(&mut circuit, one, out);
    rectifier(&mut circuit, two, out);
    capacitor(&mut circuit, out, 0, farads);
    circuit.resistor(out, 0, volts / amperes);
    let settled = solve(&circuit, fine());
    let found = settled.record.volts(out, 0).peak_to_peak();
    let most = amperes / (2.0 * 60.0 * farads);
    assert!(found < most && found > 0.85 * most, "{found} of {most}");
}

#[test]
fn choke_input_about_the_critical_inductance() {
    // Above the critical inductance 2 Vp/pi; below it B+ rises towards the peak. First
    // harmonic: R/(6 pi f), check RS047: 4.421 H for 5000 ohm at 60 Hz.
    let volts = |henries: f64| {
        let mut circuit = Circuit::new(60.0);
        let (one, two, input, out) = (
            circuit.node(),
            circuit.node(),
            circuit.node(),
            circuit.node(),
        );
        source(&mut circuit, one, 0.0, 500.0, 1e-2);
        circuit.add(Element::Source {
            a: two,
            b: 0,
            ohms: 1e-2,
            direct_volts: 0.0,
            peak_volts: 500.0,
            phase: PI,
        });
        rectifier(&mut circuit, one, input);
        rectifier(&mut circuit, two, input);
        let choke = coil(&mut circuit, input, out, henries, 1e-2);
        capacitor(&mut circuit, out, 0, 100e-6);
        circuit.resistor(out, 0, 5000.0);
        let settled = solve(&circuit, fine());
        (
            settled.record.volts(out, 0).mean() / (2.0 * 500.0 / PI),
            settled.record.amperes(choke).lowest(),
        )
    };
    let critical = 4.421;
    for (henries, above) in [(0.6, false), (0.85, false), (1.15, true), (2.0, true)]
        .map(|(share, above)| (share * critical, above))
    {
        let (share, lowest) = volts(henries);
        println!("{henries} H: {share} of 2 Vp/pi, current down to {lowest} A");
        if above {
            near("above critical", share, 1.0, 0.3);
            assert!(lowest > 0.0);
        } else {
            assert!(share > 1.003 && lowest < 1e-4, "{henries} H: {share}");
        }
    }
    assert!(volts(0.2).0 > 1.3);
}

#[test]
fn published_choke_input_operation() {
    // RS007, RS010: 5U4-GB; RS014: 5Y3-GT (RCA manuals, from memory). Tube curves through
    // 50 V at 275 mA and 60 V at 125 mA a plate; the drop is that at the load current.
    for (name, rms, amperes, drop, expected, percent) in [
        ("RS007", 450.0, 0.348, (50.0, 0.275), 345.0, 3.0),
        ("RS010", 550.0, 0.1375, (50.0, 0.275), 455.0, 3.0),
        ("RS014", 500.0, 0.125, (60.0, 0.125), 390.0, 4.0),
    ] {
        let mut circuit = Circuit::new(60.0);
        let (input, out) = (circuit.node(), circuit.node());
        for phase in [0.0, PI] {
            let anode = circuit.node();
            circuit.add(Element::Source {
                a: anode,
                b: 0,
                ohms: 1e-2,
                direct_volts: 0.0,
                peak_volts: rms * SQRT_2,
                phase,
            });
            circuit.add(Element::Rectifier {
                anode,
                cathode: input,
                law: RectifierLaw::tube_through(drop.0, drop.1, 3.0),
                heated_by: None,
            });
        }
        coil(&mut circuit, input, out, 10.0, 1e-2);
        capacitor(&mut circuit, out, 0, 40e-6);
        circuit.resistor(out, 0, expected / amperes);
        let settled = solve(&circuit, SolverOptions::default());
        let found = settled.record.volts(out, 0).mean();
        println!("{name}: {found}");
        near(name, found, expected, percent);
    }
}

#[test]
fn a_bridge_gives_the_mean_of_both_halves() {
    // 2 Vp/pi, closed form, with the secondary floating.
    let mut circuit = Circuit::new(60.0);
    let (primary, a, b, plus) = (
        circuit.node(),
        circuit.node(),
        circuit.node(),
        circuit.node(),
    );
    source(&mut circuit, primary, 0.0, 100.0, 1e-3);
    circuit.add(Element::Transformer {
        windings: vec![winding(primary, 0, 1.0, 1e-3), winding(a, b, 2.0, 1e-3)],
        loss_siemens: 0.0,
        magnetising_henries: Some(10.0),
    });
    for (anode, cathode) in [(a, plus), (b, plus), (0, a), (0, b)] {
        rectifier(&mut circuit, anode, cathode);
    }
    circuit.resistor(plus, 0, 1000.0);
    let settled = solve(&circuit, fine());
    near(
        "bridge",
        settled.record.volts(plus, 0).mean(),
        2.0 * 200.0 / PI,
        0.1,
    );
}
