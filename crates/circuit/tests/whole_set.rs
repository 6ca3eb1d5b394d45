//! A whole set on the line: transformer, rectifier tube, heaters and a lamp.
//!
//! Volts, amperes, watts, seconds. Checked by conservation laws and by the plain
//! method of marching cycle by cycle.

mod sets;

use circuit::solver::GoOn;
use circuit::{Solver, SolverOptions, Start};
use sets::set;

#[test]
fn settled_meets_the_march_with_and_without_a_lamp() {
    for lamp in [None, Some(100.0), Some(40.0)] {
        let set = set(lamp);
        let solver = Solver::new(&set.circuit, SolverOptions::default()).expect("solvable");
        let start = if lamp.is_some() {
            Start::Cold
        } else {
            Start::Warm
        };
        let settled = solver.settled(start).expect("settled");
        let (marched, marched_work) = solver.marched(1e-3, 600.0).expect("marched");
        let main = settled.record.volts(set.main, 0).mean();
        let heater = settled.record.volts(set.heater, 0).rms();
        println!(
            "lamp {lamp:?}: B+ {main:.2} V, heaters {heater:.3} V, line {:.1} W {:.3} A; {:.2} cycles {} iterations, marched {:.0}: {:.0} times",
            settled.record.delivered_watts(set.line),
            settled.record.amperes(set.line).rms(),
            settled.work.cycles,
            settled.work.iterations,
            marched_work.cycles,
            marched_work.steps as f64 / settled.work.steps as f64,
        );
        for (now, then) in settled.at.state.electrical.iter().zip(&marched.electrical) {
            assert!(
                (now - then).abs() <= 2e-3 * then.abs() + 5e-3,
                "{now} against {then}"
            );
        }
        assert!(marched_work.steps >= 300 * settled.work.steps);
        let balance = settled.record.balance();
        assert!(balance.relative < 1e-6, "{balance:?}");
    }
}

#[test]
fn energy_is_kept_over_a_cycle() {
    let set = set(Some(100.0));
    let options = SolverOptions {
        fine_steps: 480,
        ..SolverOptions::default()
    };
    let solver = Solver::new(&set.circuit, options).expect("solvable");
    let settled = solver.settled(Start::Cold).expect("settled");
    let given = settled.record.delivered_watts(set.line);
    let taken: f64 = (0..set.circuit.elements.len())
        .filter(|&index| index != set.line)
        .map(|index| settled.record.watts(index))
        .sum();
    println!("given {given}, taken {taken}");
    assert!((given / taken - 1.0).abs() < 1e-3);
    assert!(
        set.loads
            .iter()
            .all(|&load| settled.record.watts(load) > 0.0)
    );
}

#[test]
fn the_warm_up_meets_the_march() {
    for lamp in [None, Some(100.0)] {
        let set = set(lamp);
        let solver = Solver::new(&set.circuit, SolverOptions::default()).expect("solvable");
        let moments: Vec<f64> = vec![
            0.05, 0.1, 0.3, 1.0, 2.0, 3.0, 5.0, 8.0, 12.0, 18.0, 30.0, 60.0, 120.0,
        ];
        let mut seen = Vec::new();
        let began = std::time::Instant::now();
        let work = solver
            .warm_up(&moments, &mut |moment| {
                seen.push((
                    moment.seconds,
                    moment.record.volts(set.main, 0).mean(),
                    moment.record.volts(set.heater, 0).rms(),
                ));
                GoOn::Yes
            })
            .expect("warm-up");
        println!("lamp {lamp:?}: {:?} {work:?}", began.elapsed());
        let mut full = Vec::new();
        solver
            .marched_moments(&moments, &mut |moment| {
                full.push((
                    moment.seconds,
                    moment.record.volts(set.main, 0).mean(),
                    moment.record.volts(set.heater, 0).rms(),
                ));
                GoOn::Yes
            })
            .expect("march");
        for (a, b) in seen.iter().zip(&full) {
            println!("{a:?} {b:?}");
        }
        for (a, b) in seen.iter().zip(&full) {
            assert!((a.1 - b.1).abs() < 0.02 * b.1 + 1.0, "B+ {a:?} {b:?}");
            assert!((a.2 - b.2).abs() < 0.02 * 6.3, "heaters {a:?} {b:?}");
        }
    }
}

#[test]
fn the_first_second_in_detail_meets_the_cycles() {
    use circuit::switch_on::{StepControl, switch_on};
    for lamp in [None, Some(100.0)] {
        let set = set(lamp);
        let solver = Solver::new(&set.circuit, SolverOptions::default()).expect("solvable");
        let mut end = 0.0;
        solver
            .warm_up(&[4.0], &mut |moment| {
                end = moment.record.volts(set.main, 0).mean();
                GoOn::Yes
            })
            .expect("warm-up");
        let (mut sum, mut weight, mut last, mut events) = (0.0, 0.0, 0.0, 0);
        let work = switch_on(&set.circuit, 4.0, StepControl::default(), &mut |instant| {
            if instant.seconds > 4.0 - 1.0 / 60.0 {
                sum += instant.volts(set.main, 0) * (instant.seconds - last);
                weight += instant.seconds - last;
            }
            events += usize::from(instant.event);
            last = instant.seconds;
            GoOn::Yes
        })
        .expect("switch-on");
        println!("{end} {} {events} events {work:?}", sum / weight);
        assert!((end - sum / weight).abs() < 0.02 * end.max(100.0));
    }
}

#[test]
fn a_string_set_with_a_doubler_settles_on_any_line() {
    // Heaters in a string and a selenium doubler straight on the line, with and without a
    // lamp; the plain march is the second method, the current law and energy the third.
    for (hertz, lamp) in [
        (60.0, None),
        (60.0, Some(150.0)),
        (50.0, Some(60.0)),
        (25.0, None),
    ] {
        let string = sets::string_set(hertz, lamp);
        let options = SolverOptions {
            fine_steps: 192,
            ..SolverOptions::default()
        };
        let solver = Solver::new(&string.circuit, options).expect("solvable");
        let settled = solver.settled(Start::Cold).expect("settled");
        let (marched, _) = solver.marched(1e-3, 600.0).expect("marched");
        println!(
            "{hertz} Hz, lamp {lamp:?}: B+ {:.2} V, string {:.2} V, {:.1} cycles",
            settled.record.volts(string.main, 0).mean(),
            settled.record.volts(string.heater, 0).rms(),
            settled.work.cycles,
        );
        for (now, then) in settled.at.state.electrical.iter().zip(&marched.electrical) {
            assert!(
                (now - then).abs() <= 2e-3 * then.abs() + 5e-3,
                "{now} {then}"
            );
        }
        let given = settled.record.delivered_watts(string.line);
        let taken: f64 = (0..string.circuit.elements.len())
            .filter(|&index| index != string.line)
            .map(|index| settled.record.watts(index))
            .sum();
        assert!((given / taken - 1.0).abs() < 2e-3, "{given} {taken}");
        assert!(settled.record.balance().relative < 1e-6);
        if lamp.is_none() {
            // Nothing but the line limits the heaters: from warm it is the same state.
            let warm = solver.settled(Start::Warm).expect("settled");
            let (one, two) = (
                warm.record.volts(string.main, 0).mean(),
                settled.record.volts(string.main, 0).mean(),
            );
            assert!((one / two - 1.0).abs() < 1e-4, "{one} {two}");
        }
    }
}
