//! Circuits at random: each is either solved with its currents in balance, or refused
//! with a reason. Nothing panics, and no result holds anything but numbers.
//!
//! Volts, amperes, ohms. Kirchhoff's laws and the return of the cycle to its start are
//! the checks; they hold for any circuit.

mod sets;

use circuit::solver::GoOn;
use circuit::thermal::{Arrangement, ThermalGroup};
use circuit::{
    BodyRef, Circuit, CircuitError, Element, RectifierLaw, Solver, SolverOptions, Start, Winding,
};
use proptest::prelude::*;

#[derive(Debug, Clone)]
enum Part {
    Resistor(usize, usize, f64),
    Switch(usize, usize, bool),
    Capacitor(usize, usize, f64, f64, f64),
    Coil(usize, usize, f64, f64),
    Source(usize, usize, f64, f64, f64),
    Tube(usize, usize, f64, bool),
    Cell(usize, usize, f64),
    Transformer([usize; 4], f64, f64, bool),
    Heater(usize, usize, f64, bool),
    Load(usize, usize, f64, bool),
}

const NODES: usize = 8;

/// Any size between two powers of ten.
fn size(low: f64, high: f64) -> impl Strategy<Value = f64> {
    (low..high).prop_map(|power| 10f64.powf(power))
}

fn part() -> impl Strategy<Value = Part> {
    let node = || 0..NODES;
    prop_oneof![
        4 => (node(), node(), size(-2.0, 7.0)).prop_map(|(a, b, r)| Part::Resistor(a, b, r)),
        1 => (node(), node(), any::<bool>()).prop_map(|(a, b, c)| Part::Switch(a, b, c)),
        3 => (node(), node(), size(-11.0, -3.0), prop_oneof![Just(0.0), size(-2.0, 3.0)],
              prop_oneof![Just(0.0), size(-9.0, -3.0)])
            .prop_map(|(a, b, c, r, g)| Part::Capacitor(a, b, c, r, g)),
        1 => (node(), node(), size(-3.0, 1.5), size(-1.0, 3.0))
            .prop_map(|(a, b, l, r)| Part::Coil(a, b, l, r)),
        1 => (node(), node(), size(-1.0, 3.0), -400.0..400.0, 0.0..600.0)
            .prop_map(|(a, b, r, d, p)| Part::Source(a, b, r, d, p)),
        2 => (node(), node(), size(-5.0, -3.0), any::<bool>())
            .prop_map(|(a, b, p, h)| Part::Tube(a, b, p, h)),
        2 => (node(), node(), size(0.0, 2.5)).prop_map(|(a, b, r)| Part::Cell(a, b, r)),
        1 => (prop::array::uniform4(node()), 0.02..5.0, size(-1.0, 2.5), any::<bool>())
            .prop_map(|(n, t, r, l)| Part::Transformer(n, t, r, l)),
        1 => (node(), node(), 2.0..50.0, any::<bool>())
            .prop_map(|(a, b, v, d)| Part::Heater(a, b, v, d)),
        1 => (node(), node(), size(-6.0, -2.0), any::<bool>())
            .prop_map(|(a, b, g, w)| Part::Load(a, b, g, w)),
    ]
}

fn build(parts: &[Part], hertz: f64) -> Circuit {
    let mut circuit = Circuit::new(hertz);
    while circuit.nodes < NODES {
        circuit.node();
    }
    // One source at least, from the line.
    circuit.add(Element::Source {
        a: 1,
        b: 0,
        ohms: 0.5,
        direct_volts: 0.0,
        peak_volts: 165.0,
        phase: 0.0,
    });
    let mut body = None;
    for part in parts {
        match *part {
            Part::Resistor(a, b, ohms) => {
                circuit.resistor(a, b, ohms);
            }
            Part::Switch(a, b, closed) => {
                circuit.add(Element::Switch { a, b, closed });
            }
            Part::Capacitor(a, b, farads, series_ohms, leak_siemens) => {
                circuit.add(Element::Capacitor {
                    a,
                    b,
                    farads,
                    series_ohms,
                    leak_siemens,
                });
            }
            Part::Coil(a, b, henries, ohms) => {
                circuit.add(Element::Inductor {
                    a,
                    b,
                    henries,
                    ohms,
                });
            }
            Part::Source(a, b, ohms, direct_volts, peak_volts) => {
                circuit.add(Element::Source {
                    a,
                    b,
                    ohms,
                    direct_volts,
                    peak_volts,
                    phase: 0.0,
                });
            }
            Part::Tube(anode, cathode, perveance, heated) => {
                circuit.add(Element::Rectifier {
                    anode,
                    cathode,
                    law: RectifierLaw::Tube {
                        perveance,
                        rated_emission: 1.0,
                    },
                    heated_by: body.filter(|_| heated),
                });
            }
            Part::Cell(anode, cathode, series_ohms) => {
                circuit.add(Element::Rectifier {
                    anode,
                    cathode,
                    law: RectifierLaw::Junction {
                        threshold: 0.7,
                        series_ohms,
                        corner: 0.1,
                        leak_siemens: 1e-6,
                    },
                    heated_by: None,
                });
            }
            Part::Transformer([a, b, c, d], turns, ohms, leaky) => {
                let leakage = if leaky { 0.01 } else { 0.0 };
                circuit.add(Element::Transformer {
                    windings: vec![
                        Winding {
                            start: a,
                            end: b,
                            turns: 1.0,
                            ohms,
                            leakage_henries: 0.0,
                        },
                        Winding {
                            start: c,
                            end: d,
                            turns,
                            ohms: ohms * turns * turns + 1e-3,
                            leakage_henries: leakage * turns * turns,
                        },
                    ],
                    loss_siemens: 1e-3,
                    magnetising_henries: leaky.then_some(2.0),
                });
            }
            Part::Heater(a, b, volts, direct) => {
                let heating = if direct {
                    circuit::thermal::Heating::Direct
                } else {
                    circuit::thermal::Heating::Indirect
                };
                let group = circuit.group(ThermalGroup {
                    arrangement: if direct {
                        Arrangement::Parallel
                    } else {
                        Arrangement::Series
                    },
                    bodies: vec![sets::heater(volts, 0.3, heating)],
                });
                circuit.add(Element::Warm { a, b, group });
                body = Some(BodyRef { group, body: 0 });
            }
            Part::Load(a, b, siemens, warm) => {
                circuit.add(Element::Load {
                    a,
                    b,
                    siemens,
                    warmed_by: body.filter(|_| warm),
                    reserve: 6.0,
                });
            }
        }
    }
    circuit
}

/// Checks whatever comes out; true when there was a result.
fn sound(circuit: &Circuit) -> Result<bool, TestCaseError> {
    for start in [Start::Warm, Start::Cold] {
        let solver = match Solver::new(circuit, SolverOptions::default()) {
            Ok(solver) => solver,
            Err(CircuitError::Singular { .. }) => return Ok(false),
            Err(other) => return Err(TestCaseError::fail(other.to_string())),
        };
        match solver.settled(start) {
            Ok(settled) => {
                let balance = settled.record.balance();
                prop_assert!(
                    balance.relative < 1e-5 || balance.amperes < 1e-7,
                    "{balance:?}"
                );
                prop_assert!(settled.return_error <= circuit::solver::MOST_RETURN_ERROR);
                for node in 0..circuit.nodes {
                    prop_assert!(settled.record.volts(node, 0).rms().is_finite());
                }
                for index in 0..circuit.elements.len() {
                    prop_assert!(settled.record.watts(index).is_finite());
                    prop_assert!(settled.record.amperes(index).rms().is_finite());
                }
            }
            Err(
                CircuitError::NotSettled { .. }
                | CircuitError::Rectifier { .. }
                | CircuitError::Singular { .. },
            ) => return Ok(false),
            Err(other) => return Err(TestCaseError::fail(other.to_string())),
        }
    }
    Ok(true)
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 300,
        // The same circuits each time: a find is then everybody's.
        rng_seed: proptest::test_runner::RngSeed::Fixed(1947),
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    #[test]
    fn any_circuit_is_solved_or_refused(
        parts in prop::collection::vec(part(), 3..18),
        hertz in prop_oneof![Just(60.0), Just(50.0), Just(25.0)],
    ) {
        sound(&build(&parts, hertz))?;
    }

    #[test]
    fn any_warm_up_is_followed_or_refused(parts in prop::collection::vec(part(), 3..14)) {
        let circuit = build(&parts, 60.0);
        if let Ok(solver) = Solver::new(&circuit, SolverOptions::default()) {
            let mut seen = 0;
            let done = solver.warm_up(&[0.05, 0.5, 3.0], &mut |moment| {
                seen += 1;
                assert!(moment.record.volts(1, 0).rms().is_finite());
                GoOn::Yes
            });
            prop_assert!(done.is_err() || seen == 3);
        }
    }

    #[test]
    fn any_figure_is_taken_or_refused(
        ohms in any::<f64>(),
        farads in any::<f64>(),
        siemens in any::<f64>(),
        volts in any::<f64>(),
        node in 0usize..6,
    ) {
        let mut circuit = Circuit::new(60.0);
        let (a, b) = (circuit.node(), circuit.node());
        circuit.add(Element::Source {
            a, b: 0, ohms: 1.0, direct_volts: volts, peak_volts: 10.0, phase: 0.0,
        });
        circuit.resistor(a, b, ohms);
        circuit.add(Element::Capacitor {
            a: b, b: node, farads, series_ohms: 0.0, leak_siemens: siemens,
        });
        if let Ok(solver) = Solver::new(&circuit, SolverOptions::default())
            && let Ok(settled) = solver.settled(Start::Warm)
        {
            prop_assert!(settled.record.volts(b, 0).rms().is_finite());
        }
    }
}

#[test]
fn nearly_all_circuits_are_solved() {
    use proptest::strategy::ValueTree;
    use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};
    let rng = TestRng::from_seed(RngAlgorithm::ChaCha, &[7; 32]);
    let mut runner = TestRunner::new_with_rng(Config::default(), rng);
    let strategy = prop::collection::vec(part(), 3..18);
    let (mut solved, mut all) = (0, 0);
    for _ in 0..300 {
        let parts = strategy.new_tree(&mut runner).expect("parts").current();
        let circuit = build(&parts, 60.0);
        all += 1;
        match sound(&circuit) {
            Ok(true) => solved += 1,
            Ok(false) => {
                let why = Solver::new(&circuit, SolverOptions::default())
                    .and_then(|solver| solver.settled(Start::Cold).map(|_| ()));
                println!("refused: {why:?}");
            }
            Err(error) => panic!("{error}"),
        }
    }
    println!("{solved} of {all}");
    assert!(solved * 100 >= all * 99, "{solved} of {all} solved");
}
