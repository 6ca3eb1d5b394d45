//! Upper limits on the work, in counts that do not depend on the machine.
//!
//! A cycle is one line cycle on the fine grid.

mod sets;

use circuit::solver::GoOn;
use circuit::{Circuit, Element, Solver, SolverOptions, Start};

fn solver(circuit: &Circuit) -> Solver<'_> {
    Solver::new(circuit, SolverOptions::default()).expect("a circuit that can be solved")
}

/// The circuit with all loads and all line volts multiplied.
fn changed(circuit: &Circuit, loads: f64, line: f64) -> Circuit {
    let mut other = circuit.clone();
    for element in &mut other.elements {
        match element {
            Element::Load { siemens, .. } => *siemens *= loads,
            Element::Source { peak_volts, .. } => *peak_volts *= line,
            _ => {}
        }
    }
    other
}

#[test]
fn a_whole_set_settles_in_a_few_cycles() {
    for (set, start, most) in [
        (sets::set(None), Start::Warm, 5.0),
        (sets::large(None), Start::Warm, 6.0),
        (sets::set(Some(100.0)), Start::Cold, 16.0),
        (sets::large(Some(100.0)), Start::Cold, 20.0),
        (sets::large(Some(40.0)), Start::Cold, 20.0),
    ] {
        let settled = solver(&set.circuit).settled(start).expect("settled");
        println!("{:?}", settled.work);
        assert!(settled.work.cycles <= most, "{:?}", settled.work);
    }
}

#[test]
fn a_neighbour_settles_in_two_to_six_cycles_and_to_the_same_end() {
    for (set, start) in [
        (sets::large(None), Start::Warm),
        (sets::large(Some(100.0)), Start::Cold),
    ] {
        let first = solver(&set.circuit).settled(start).expect("settled");
        for (loads, line, most) in [
            (1.0, 1.0, 1.0),
            (1.01, 1.0, 3.0),
            (1.1, 1.0, 4.0),
            (1.0, 1.05, 5.0),
            (0.8, 0.9, 7.0),
        ] {
            let other = changed(&set.circuit, loads, line);
            let solver = Solver::new_like(&solver(&set.circuit), &other, SolverOptions::default())
                .expect("a circuit that can be solved");
            let near = solver.settled(Start::Near(&first.at)).expect("settled");
            let anew = solver.settled(start).expect("settled");
            println!("loads {loads}, line {line}: {:.2} cycles", near.work.cycles);
            assert!(near.work.cycles <= most, "{:?}", near.work);
            let (found, expected) = (
                near.record.volts(set.main, 0).mean(),
                anew.record.volts(set.main, 0).mean(),
            );
            assert!((found / expected - 1.0).abs() < 1e-4, "{found} {expected}");
        }
    }
}

#[test]
fn a_warm_up_of_two_minutes_takes_less_than_three_hundred_cycles() {
    for lamp in [None, Some(100.0), Some(40.0)] {
        let set = sets::large(lamp);
        let work = solver(&set.circuit)
            .warm_up(&[1.0, 3.0, 10.0, 30.0, 120.0], &mut |_| GoOn::Yes)
            .expect("a warm-up");
        println!("{lamp:?}: {work:?}");
        assert!(work.cycles < 300.0, "{work:?}");
    }
}

#[test]
fn a_start_from_another_shape_is_no_harm() {
    let (small, large) = (sets::set(None), sets::large(None));
    let from = solver(&small.circuit)
        .settled(Start::Warm)
        .expect("settled");
    let solver = Solver::new_like(
        &solver(&small.circuit),
        &large.circuit,
        SolverOptions::default(),
    )
    .expect("a circuit that can be solved");
    let one = solver.settled(Start::Near(&from.at)).expect("settled");
    let two = solver.settled(Start::Warm).expect("settled");
    let volts = |settled: &circuit::solver::Settled<'_>| settled.record.volts(large.main, 0).mean();
    assert_eq!(volts(&one), volts(&two));
}
