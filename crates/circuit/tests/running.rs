//! Stages that run, against closed forms, conservation laws and halved tolerances.
//!
//! Seconds, volts, amperes, ohms. Where an expected value comes from stands beside each check.

mod stages;

use std::f64::consts::TAU;

use circuit::CircuitError;
use circuit::running::{Limits, RunningFigures, Waveform};
use circuit::tube::TubeState;
use stages::*;

#[track_caller]
fn near(found: f64, expected: f64, relative: f64) {
    let off = (found - expected).abs();
    assert!(
        off <= relative * expected.abs().max(1e-12),
        "{found} instead of {expected}"
    );
}

const LINE: f64 = 63.5e-6;

#[test]
fn a_pulse_through_a_resistor_charges_by_exponentials() {
    // A square wave of 0 and 100 V through R into C: between y and z with
    // z = V (1 - a)/(1 - ab), a and b the decays of both halves (first-order circuits). Also
    // 1e-11 F beside 1e7 ohms, whose time constant is that of the line.
    for (ohms, farads) in [(1e7, 1e-11), (1e4, 1e-8), (1e3, 5e-9)] {
        let mut stage = Stage::new();
        let [input, output] = std::array::from_fn(|_| stage.node());
        let source = stage.source(input, 0, 0.0, 1e-3);
        let edge = 1e-5;
        stage.drive(source, Waveform::pulses(0.0, 100.0, 0.3, edge), LINE);
        stage.ohms(input, output, ohms);
        stage.farads(output, 0, farads);
        stage.figures.stray_farads = 1e-15;
        let wave = stage.wave(1e-6);
        let constant = ohms * (farads + 1e-15);
        let (up, down) = (
            (-0.3 * LINE / constant).exp(),
            (-0.7 * LINE / constant).exp(),
        );
        let top = 100.0 * (1.0 - up) / (1.0 - up * down);
        near(wave.volts[output].highest, top, 1e-3);
        near(wave.volts[output].lowest, top * down, 2e-3);
        near(wave.volts[output].average, 30.0, 1e-4);
    }
}

#[test]
fn coupled_coils_answer_a_sine_as_phasors_do() {
    // Two coupled coils: E = (R1 + jwL1) I1 + jwM I2, 0 = (R2 + RL + jwL2) I2 + jwM I1,
    // solved for |I2| by hand: I2 = -jwM E / ((Z1)(Z2) + (wM)^2).
    let (henries1, henries2, share) = (0.2f64, 0.05f64, 0.9);
    let (ohms1, ohms2, load) = (50.0, 20.0, 1000.0);
    let mut stage = Stage::new();
    let [input, inner, output] = std::array::from_fn(|_| stage.node());
    let source = stage.source(input, 0, 0.0, 1e-2);
    stage.drive(source, Waveform::sine(100.0), 1e-3);
    stage.ohms(input, inner, 1e-2);
    let one = stage.coil(inner, 0, ohms1, henries1);
    let two = stage.coil(output, 0, ohms2, henries2);
    stage.couple(one, two, share);
    stage.ohms(output, 0, load);
    stage.figures.stray_farads = 1e-15;
    let wave = stage.wave(1e-6);
    let omega = TAU / 1e-3;
    let mutual = share * (henries1 * henries2).sqrt();
    let z1 = (ohms1 + 0.02, omega * henries1);
    let z2 = (ohms2 + load, omega * henries2);
    let below = (
        z1.0 * z2.0 - z1.1 * z2.1 + (omega * mutual).powi(2),
        z1.0 * z2.1 + z1.1 * z2.0,
    );
    let second = omega * mutual * 100.0 / below.0.hypot(below.1);
    near(wave.volts[output].highest, second * load, 1e-3);
    near(
        wave.volts[output].effective,
        second * load / 2f64.sqrt(),
        1e-4,
    );
    // No coil keeps a mean voltage but that of its copper; here there is no mean current.
    assert!(wave.volts[output].average.abs() < 1e-3);
    assert!(wave.coil_amperes[0].average.abs() < 1e-6);
}

/// The bias at which a grid or diode gives back by its leak what the peaks of a sine charge:
/// mean of k (E cos + contact - B)^1.5 = B / R, by bisection on 4000 points of a cycle.
fn clamped(perveance: f64, begin: f64, peak: f64, ohms: f64) -> f64 {
    let (mut low, mut high) = (0.0, peak + begin);
    for _ in 0..80 {
        let bias = 0.5 * (low + high);
        let count = 4000;
        let sum: f64 = (0..count)
            .map(|n| {
                let angle = TAU * (f64::from(n) + 0.5) / f64::from(count);
                let volts = (peak * angle.cos() - bias + begin).max(0.0);
                perveance * volts.powf(1.5)
            })
            .sum();
        if sum / f64::from(count) > bias / ohms {
            low = bias;
        } else {
            high = bias;
        }
    }
    0.5 * (low + high)
}

#[test]
fn a_grid_leak_holds_the_bias_that_its_charge_needs() {
    // Charge balance of a grid with a leak (F. E. Terman, Radio Engineers' Handbook, 1943,
    // grid-leak bias; from memory). The capacitor is large, so that its ripple is small.
    for (peak, ohms) in [(10.0, 1e6), (30.0, 470e3), (60.0, 2.2e6)] {
        let law = sharp_triode(20.0, 1e-4);
        let mut stage = Stage::new();
        let [input, grid, top, plate] = std::array::from_fn(|_| stage.node());
        let source = stage.source(input, 0, 0.0, 1.0);
        stage.drive(source, Waveform::sine(peak), LINE);
        stage.farads(input, grid, 0.1e-6);
        stage.ohms(grid, 0, ohms);
        stage.source(top, 0, 250.0, 1.0);
        stage.ohms(top, plate, 10e3);
        stage.tube(&law, 0, [Some(plate), Some(grid), None, None]);
        let wave = stage.wave(1e-5);
        // The grid's law as `sharp_triode` gives it; its beginning is softer by some 0.03 V.
        let expected = clamped(5e-3, 0.0, peak, ohms);
        near(-wave.volts[grid].average, expected, 1e-2);
        assert!(wave.volts[grid].highest < 1.0);
    }
}

#[test]
fn a_plate_coupled_multivibrator_keeps_the_textbook_period() {
    // T = 2 (Rg + R') C ln(dV / Vco), R' the plate's side, dV the step of the plate, Vco the
    // cut-off at the full supply (O. S. Puckle, Time Bases, 1943; F. E. Terman, Radio
    // Engineers' Handbook, 1943; both from memory). The formula takes the grid to wait for
    // cut-off itself; the tube's least softness lets it go a little before.
    for (load, leak, farads) in [
        (20e3, 1e6, 1e-9),
        (20e3, 2.2e6, 100e-12),
        (33e3, 1e6, 0.01e-6),
    ] {
        let (mu, perveance) = (20.0, 1e-3);
        let stage = multivibrator(&sharp_triode(mu, perveance), load, leak, farads);
        let wave = stage.wave(1e-5);
        // The conducting plate at no grid volts: V + load k (V/mu)^1.5 = 250, by bisection.
        let (mut low, mut high) = (0.0f64, 250.0f64);
        for _ in 0..60 {
            let middle = 0.5 * (low + high);
            if middle + load * perveance * (middle / mu).powf(1.5) > 250.0 {
                high = middle;
            } else {
                low = middle;
            }
        }
        let conducting = low;
        let slope = 1.5 * perveance / mu * (conducting / mu).sqrt() + 1.0 / load;
        let half = (leak + 1.0 / slope) * farads * ((250.0 - conducting) / (250.0 / mu)).ln();
        near(wave.period_seconds, 2.0 * half, 0.03);
        // Equal halves rest equally long.
        near(wave.volts[2].average, wave.volts[4].average, 1e-3);
    }
}

#[test]
fn a_blocking_oscillator_waits_as_its_capacitor_discharges() {
    // After the pulse the capacitor's charge leaves by the leak alone: its volts fall as
    // exp(-t/RC) until cut-off, Vco = E/mu (Puckle, as above). The mean current of the leak is
    // then that charge over the period.
    for (henries, farads, leak) in [(1.0, 22e-9, 1e6), (0.5, 10e-9, 2.2e6)] {
        let stage = blocking(&sharp_triode(20.0, 1e-3), henries, farads, leak);
        let wave = stage.wave(1e-5);
        let (grid, winding) = (3, 4);
        // Volts of the capacitor at the samples; the highest is that which blocks.
        let held: Vec<f64> = wave.samples.iter().map(|x| x[winding] - x[grid]).collect();
        let (most, blocked) = held
            .iter()
            .enumerate()
            .max_by(|one, other| one.1.total_cmp(other.1))
            .map(|(index, volts)| (index, *volts))
            .expect("samples");
        let least = held.iter().copied().fold(f64::INFINITY, f64::min);
        let constant = leak * farads;
        let wait = constant * (blocked / least).ln();
        // The pulse is short beside the wait.
        near(wave.period_seconds, wait, 0.02);
        // It lets go near cut-off: 200 V over mu, seen through the supply's own ohms.
        near(least, 200.0 / 20.0, 0.25);
        // And in the middle of the wait the law holds by itself.
        let late = (0..held.len())
            .filter(|&n| {
                let since = (wave.seconds[n] - wave.seconds[most]).rem_euclid(wave.period_seconds);
                since > 0.4 * wave.period_seconds && since < 0.7 * wave.period_seconds
            })
            .collect::<Vec<_>>();
        for &n in &late {
            let since = (wave.seconds[n] - wave.seconds[most]).rem_euclid(wave.period_seconds);
            near(held[n], blocked * (-since / constant).exp(), 0.02);
        }
        assert!(!late.is_empty());
    }
}

#[test]
fn a_tuned_oscillator_keeps_the_amplitude_of_its_describing_function() {
    // The tank's loss is made up by the plate current in step with it (N. Kryloff and N.
    // Bogoliuboff, Introduction to Non-Linear Mechanics, 1943; from memory): the mean of
    // i(t) cos over a cycle times twice the plate's swing is what the losses take. Here the
    // wave's own fundamental is held against the tube's law on a pure cosine.
    let law = triode(20.0, 1e-3);
    let stage = tapped_coil(&law, 47e3);
    let wave = stage.wave(1e-5);
    let (plate, tank, grid) = (2, 3, 4);
    // Tank: 1 mH and 1000 mmf with the strays and the other coil's capacitances.
    let farads = 1000e-12 + 2.0 * 5e-12 + 5e-12;
    let plain = TAU * (1e-3f64 * farads).sqrt();
    near(wave.period_seconds, plain, 0.03);
    let bias = wave.volts[grid].average;
    let swing = |node: usize| 0.5 * wave.volts[node].peak_to_peak();
    let mut in_step = 0.0;
    let count = 400;
    let mut grid_in_step = 0.0;
    for n in 0..count {
        let angle = TAU * f64::from(n) / f64::from(count);
        let at = [
            wave.volts[plate].average - swing(plate) * angle.cos(),
            bias + swing(grid) * angle.cos(),
            0.0,
            0.0,
        ];
        let amperes = law.currents(at, &TubeState::default()).amperes;
        in_step += 2.0 * amperes[0] * angle.cos() / f64::from(count);
        grid_in_step += 2.0 * amperes[1] * angle.cos() / f64::from(count);
    }
    let made = 0.5 * in_step * swing(plate);
    // Losses: the resistor across the tank, copper, the grid's peaks and its leak.
    let copper =
        0.5 * wave.coil_amperes[1].effective.powi(2) + 0.5 * wave.coil_amperes[0].effective.powi(2);
    let lost = wave.volts[tank].effective.powi(2) / 20e3
        + copper
        + 0.5 * grid_in_step * swing(grid)
        + (wave.volts[grid].effective.powi(2) - bias * bias) / 47e3;
    // A cosine is not quite the wave, and peaks are sharp: a tenth.
    near(made, lost, 0.12);
}

#[test]
fn what_no_part_can_be_is_refused() {
    let stage = tapped_coil(&triode(20.0, 1e-3), 47e3);
    let running = stage.running();
    let refused = |change: &dyn Fn(&mut RunningFigures)| {
        let mut figures = stage.figures.clone();
        change(&mut figures);
        running.settle(&figures, None, Limits::default())
    };
    for result in [
        refused(&|figures| figures.farads[0] = -1e-12),
        refused(&|figures| figures.farads[0] = f64::NAN),
        refused(&|figures| figures.henries[0] = 0.0),
        refused(&|figures| figures.couplings[0] = 1.0),
        refused(&|figures| figures.stray_farads = 0.0),
        refused(&|figures| {
            figures.henries.pop();
        }),
    ] {
        assert!(
            matches!(result, Err(CircuitError::Value { .. })),
            "{result:?}"
        );
    }
    for limits in [
        Limits {
            tolerance: 0.1,
            ..Limits::default()
        },
        Limits {
            missed: f64::NAN,
            ..Limits::default()
        },
    ] {
        let result = running.settle(&stage.figures, None, limits);
        assert!(
            matches!(result, Err(CircuitError::Value { .. })),
            "{result:?}"
        );
    }
    let mut network = stage.network.clone();
    network.capacitances[0].0 = 99;
    assert!(circuit::running::Running::new(&network).is_err());
    let mut network = stage.network.clone();
    network.coils[1] = network.coils[0];
    assert!(circuit::running::Running::new(&network).is_err());
    // Three coils that all oppose one another closely: no windings are so.
    let mut stage = Stage::new();
    let nodes: [usize; 3] = std::array::from_fn(|_| stage.node());
    let coils = nodes.map(|node| stage.coil(node, 0, 10.0, 1e-3));
    for (one, other) in [(0, 1), (1, 2), (0, 2)] {
        stage.couple(coils[one], coils[other], -0.9);
    }
    let result = stage
        .running()
        .settle(&stage.figures, None, Limits::default());
    assert!(matches!(result, Err(CircuitError::Value { .. })));
}

#[test]
fn a_cycle_that_does_not_return_yet_is_told_where_it_is_asked_for() {
    // A far neighbour: the leak three times as large. The rate of a multivibrator goes with its leaks, so the last cycle followed
    // must be about three times as long, as the settled one is (second method: the same stage settled in full).
    let law = triode(20.0, 1.2e-5);
    let begin = multivibrator(&law, 4.7e4, 4.7e5, 1e-9).wave(1e-4);
    let stage = multivibrator(&law, 4.7e4, 1.41e6, 1e-9);
    let settled = stage.wave(1e-4);
    let limits = |last_steps| Limits {
        tolerance: 1e-3,
        missed: 1e-6,
        most_steps: 500,
        last_steps,
        only_beside: None,
    };
    let running = stage.running();
    let strict = running.settle(&stage.figures, Some(&begin), limits(0));
    assert!(matches!(strict, Err(CircuitError::NotSettled { .. })));
    let rough = running.settle(&stage.figures, Some(&begin), limits(600));
    let Ok(circuit::running::Settled::Repeats(rough)) = rough else {
        panic!("{rough:?}");
    };
    near(rough.period_seconds, settled.period_seconds, 0.1);
    assert!(rough.period_seconds > 2.0 * begin.period_seconds);
    assert!(rough.work.steps < 1200, "{:?}", rough.work);
}

#[test]
fn a_chain_of_neighbours_reaches_what_one_step_does_not() {
    // The rate of a multivibrator goes with its leaks. Three times the leak is too far from the wave for the search beside it, which
    // says so after a lap or two; in steps of a fifth it gets there, with the period of the stage settled from a push (second method).
    let law = triode(20.0, 1.2e-5);
    let begin = multivibrator(&law, 4.7e4, 4.7e5, 1e-9).wave(1e-4);
    let limits = Limits {
        tolerance: 1e-4,
        missed: 60.0,
        most_steps: 5000,
        last_steps: 0,
        only_beside: Some(0.6),
    };
    let far = multivibrator(&law, 4.7e4, 1.41e6, 1e-9);
    let at_once = far.running().settle(&far.figures, Some(&begin), limits);
    assert!(matches!(at_once, Err(CircuitError::NotSettled { .. })));
    let mut wave = begin.clone();
    let mut laps = 0;
    for step in 1..=6 {
        let ohms = 4.7e5 * 3f64.powf(f64::from(step) / 6.0);
        let stage = multivibrator(&law, 4.7e4, ohms, 1e-9);
        let found = stage.running().settle(&stage.figures, Some(&wave), limits);
        let Ok(circuit::running::Settled::Repeats(found)) = found else {
            panic!("step {step}: {found:?}");
        };
        laps += found.work.laps;
        wave = *found;
    }
    near(wave.period_seconds, far.wave(1e-4).period_seconds, 0.01);
    // Counted: five laps a step at most.
    assert!(laps <= 30, "{laps}");
    // A reach that means nothing is refused.
    for reach in [f64::NAN, -1.0, 0.0, 3.0] {
        let wrong = Limits {
            only_beside: Some(reach),
            ..limits
        };
        let refused = far.running().settle(&far.figures, Some(&begin), wrong);
        assert!(
            matches!(refused, Err(CircuitError::Value { .. })),
            "{reach}"
        );
    }
    // Without a neighbour there is nothing beside which to look.
    let none = far.running().settle(&far.figures, None, limits);
    assert!(matches!(none, Err(CircuitError::NotSettled { .. })));
}
