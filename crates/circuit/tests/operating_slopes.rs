//! How the volts of an operating point answer to its figures, against differences;
//! and many samples side by side against one after the other.
//!
//! Volts, siemens, amperes. Each slope is held against two solutions of moved figures.

mod networks;

use circuit::CircuitError;
use circuit::operating::*;
use networks::{Chance, Sample, damaged, drawn, television};

#[track_caller]
fn near(found: f64, expected: f64, relative: f64) {
    let off = (found - expected).abs();
    assert!(
        off <= relative * expected.abs(),
        "{found} instead of {expected}"
    );
}

#[test]
fn slopes_meet_differences() {
    // Central differences of whole solutions; both ways round must give the same.
    let set = television(2);
    let operating = Operating::new(&set.network).expect("sound");
    let point = operating.solve(&set.figures, None).expect("a point");
    let response = operating.response(&set.figures, &point).expect("factors");
    let parameters: Vec<Parameter> = response.parameters().collect();
    assert!(parameters.len() > 300);
    let watched = [4usize, 10, 30, 57, 90, 120];
    let by_node: Vec<Vec<f64>> = watched.iter().map(|&node| response.of_node(node)).collect();
    for (index, &parameter) in parameters.iter().enumerate() {
        let direct = response.of_figure(parameter).expect("a number of the set");
        for (node, of_node) in watched.iter().zip(&by_node) {
            let (one, other) = (direct[*node], of_node[index]);
            assert!(
                (one - other).abs() <= 1e-9 * (one.abs() + 1e-3),
                "{parameter:?} {one} {other}"
            );
        }
        if index % 5 != 0 {
            continue;
        }
        let moved = |sign: f64| {
            let mut figures = set.figures.clone();
            let by = sign * step(&figures[parameter.branch], parameter.quantity);
            change(&mut figures[parameter.branch], parameter.quantity, by);
            operating
                .solve(&figures, Some(&point.volts))
                .expect("a point")
                .volts
        };
        let by = step(&set.figures[parameter.branch], parameter.quantity);
        let (more, less) = (moved(1.0), moved(-1.0));
        let largest = direct
            .iter()
            .fold(0.0f64, |most, slope| most.max(slope.abs()));
        for node in 1..more.len() {
            let difference = (more[node] - less[node]) / (2.0 * by);
            let off = (difference - direct[node]).abs();
            // Volts are good to a microvolt or so; the rest is the third derivative.
            assert!(
                off <= 2e-3 * direct[node].abs() + 2e-5 * largest + 1e-6 / by,
                "{parameter:?} node {node}: {} by slope, {difference} by difference",
                direct[node]
            );
        }
    }
    // A current into a divider sees both halves side by side: R1 R2 / (R1 + R2).
    let mut set = Sample::new();
    let [top, middle] = std::array::from_fn(|_| set.node());
    set.source(top, 0, 300.0, 1e-3);
    set.ohms(top, middle, 1e6);
    set.ohms(middle, 0, 470e3);
    let operating = Operating::new(&set.network).expect("sound");
    let point = operating.solve(&set.figures, None).expect("a point");
    let response = operating.response(&set.figures, &point).expect("factors");
    near(
        response.of_current(middle)[middle],
        1e6 * 470e3 / 1.47e6,
        1e-6,
    );
}

#[test]
fn small_currents_into_all_nodes_meet_differences() {
    // Central differences of whole solutions with a current of its own into every node.
    let mut set = television(2);
    let before = set.figures.len();
    let count = set.network.nodes;
    for node in 1..count {
        set.current(0, node, 0.0);
    }
    let operating = Operating::new(&set.network).expect("sound");
    let point = operating.solve(&set.figures, None).expect("a point");
    let response = operating.response(&set.figures, &point).expect("factors");
    let mut chance = Chance(11);
    for round in 0..4 {
        let amperes: Vec<f64> = (0..count).map(|_| chance.between(-1e-9, 1e-9)).collect();
        let straight = response.of_currents(&amperes);
        let moved = |sign: f64| {
            let mut figures = set.figures.clone();
            for node in 1..count {
                figures[before + node - 1] = Figure::Amperes(sign * amperes[node]);
            }
            operating
                .solve(&figures, Some(&point.volts))
                .expect("a point")
                .volts
        };
        let (more, less) = (moved(1.0), moved(-1.0));
        assert!(straight.iter().any(|volts| volts.abs() > 1e-3));
        for node in 1..count {
            let difference = 0.5 * (more[node] - less[node]);
            let off = (difference - straight[node]).abs();
            // Volts are good to a microvolt or so.
            assert!(
                off <= 1e-3 * straight[node].abs() + 2e-6,
                "round {round} node {node}: {} straight, {difference} by difference",
                straight[node]
            );
        }
    }
    // By the network turned over the same: what one node answers to a current at each.
    for node in [3, 7, count - 1] {
        let told = response.to_node(node);
        for (from, told) in told.iter().enumerate().skip(1) {
            let direct = response.of_current(from)[node];
            let off = (told - direct).abs();
            assert!(off <= 1e-9 * direct.abs() + 1e-9, "{from} to {node}: {off}");
        }
    }
    assert_eq!(response.to_node(0), vec![0.0; count]);
    // One node alone is what a single current gives; the reference moves nothing.
    let one = response.of_current(7);
    let mut amperes = vec![5.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 1.0];
    assert_eq!(response.of_currents(&amperes), one);
    amperes.resize(2 * count, 1.0);
    assert_eq!(response.of_currents(&amperes).len(), count);
}

fn step(figure: &Figure, quantity: Quantity) -> f64 {
    match (figure, quantity) {
        (Figure::Siemens(siemens) | Figure::Source { siemens, .. }, Quantity::Siemens) => {
            1e-3 * siemens
        }
        (_, Quantity::Volts) => 0.05,
        (_, Quantity::Amperes) => 1e-6,
        (_, Quantity::Scale) => 1e-3,
        _ => 2e-3,
    }
}

fn change(figure: &mut Figure, quantity: Quantity, by: f64) {
    match (figure, quantity) {
        (Figure::Siemens(siemens) | Figure::Source { siemens, .. }, Quantity::Siemens) => {
            *siemens += by;
        }
        (Figure::Source { volts, .. }, Quantity::Volts) => *volts += by,
        (Figure::Amperes(amperes), Quantity::Amperes) => *amperes += by,
        (Figure::TwoTerminal { scale }, Quantity::Scale) => *scale += by,
        (Figure::Tube(state), Quantity::Emission) => state.emission += by,
        (Figure::Tube(state), Quantity::Strength) => state.strength += by,
        (Figure::Tube(state), Quantity::Cutoff) => state.cutoff += by,
        (Figure::Tube(state), Quantity::ContactVolts) => state.contact_volts += by,
        (figure, quantity) => panic!("{figure:?} has no {quantity:?}"),
    }
}

#[test]
fn side_by_side_is_one_after_the_other() {
    let set = television(3);
    let operating = Operating::new(&set.network).expect("sound");
    let healthy = operating.solve(&set.figures, None).expect("a point");
    let mut chance = Chance(3);
    let mut draws: Vec<Vec<Figure>> = (0..21)
        .map(|index| {
            if index % 4 == 0 {
                damaged(&set.figures, &mut chance)
            } else {
                drawn(&set.figures, &mut chance)
            }
        })
        .collect();
    draws[5][0] = Figure::Siemens(1.0);
    draws[9][1] = Figure::Siemens(f64::NAN);
    for start in [None, Some(healthy.volts.as_slice())] {
        let many = operating.solve_many(&draws, start);
        assert_eq!(many.len(), draws.len());
        for (index, (found, figures)) in many.iter().zip(&draws).enumerate() {
            let alone = operating.solve(figures, start);
            match (found, alone) {
                (Ok(found), Ok(alone)) => {
                    assert_eq!(found.floating, alone.floating);
                    for (found, expected) in found.volts.iter().zip(&alone.volts) {
                        let off = (found - expected).abs();
                        assert!(
                            off < 1e-5 + 1e-7 * expected.abs(),
                            "{index} {found} {expected}"
                        );
                    }
                }
                (Err(CircuitError::Figure { branch: 0, .. }), Err(_)) if index == 5 => {}
                (Err(CircuitError::Value { element: 1, .. }), Err(_)) if index == 9 => {}
                (found, alone) => panic!("{index}: {found:?} {alone:?}"),
            }
        }
    }
}
