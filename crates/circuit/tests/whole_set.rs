//! A whole set on the line: transformer, rectifier tube, heaters and a lamp.
//!
//! Volts, amperes, watts, seconds. Checked by conservation laws and by the plain
//! method of marching cycle by cycle.

use circuit::solver::GoOn;
use circuit::thermal::{
    Arrangement, HeaterLaw, HeaterSpec, Heating, LampLaw, LampSpec, ThermalBody, ThermalGroup,
    ThermalLaw, TungstenProperties,
};
use circuit::{
    BodyRef, Circuit, Element, Node, RectifierLaw, Solver, SolverOptions, Start, Winding,
};

fn tungsten() -> TungstenProperties {
    // Forsythe and Worthing 1925 (resistivity, microohm cm) and Jones and Langmuir
    // 1927 (radiation, W/cm2), as in any handbook of physics; rounded, from memory.
    TungstenProperties::from_points(&[
        (300.0, 5.65, Some(0.0001)),
        (600.0, 13.23, Some(0.0304)),
        (1000.0, 24.93, Some(0.602)),
        (1500.0, 40.36, Some(5.52)),
        (2000.0, 56.67, Some(23.8)),
        (2500.0, 73.91, Some(69.8)),
        (3000.0, 92.04, Some(160.5)),
        (3655.0, 117.1, Some(374.0)),
    ])
    .expect("a table that rises")
}

fn heater(volts: f64, amperes: f64, heating: Heating) -> ThermalBody {
    ThermalBody {
        law: ThermalLaw::Heater(
            HeaterLaw::new(HeaterSpec {
                volts,
                amperes,
                heating,
                warm_up_seconds: None,
                controlled: false,
                hot_to_cold: 7.0,
            })
            .expect("a heater"),
        ),
    }
}

struct Set {
    circuit: Circuit,
    main: Node,
    heater: Node,
    line: usize,
    loads: Vec<usize>,
}

fn set(lamp_watts: Option<f64>) -> Set {
    let mut circuit = Circuit::new(60.0);
    let line_a = circuit.node();
    let set_side = circuit.node();
    let line = circuit.add(Element::Source {
        a: line_a,
        b: 0,
        ohms: 0.3,
        direct_volts: 0.0,
        peak_volts: 117.0 * std::f64::consts::SQRT_2,
        phase: 0.0,
    });
    match lamp_watts {
        Some(watts) => {
            let law = LampLaw::new(LampSpec::new(120.0, watts), &tungsten()).expect("a lamp");
            let group = circuit.group(ThermalGroup {
                arrangement: Arrangement::Parallel,
                bodies: vec![ThermalBody {
                    law: ThermalLaw::Lamp(law),
                }],
            });
            circuit.add(Element::Warm {
                a: line_a,
                b: set_side,
                group,
            });
        }
        None => {
            circuit.add(Element::Switch {
                a: line_a,
                b: set_side,
                closed: true,
            });
        }
    }
    let (plate1, plate2, fil1, heater_line) = (
        circuit.node(),
        circuit.node(),
        circuit.node(),
        circuit.node(),
    );
    let cathode = circuit.node();
    let main = circuit.node();
    let second = circuit.node();
    let winding = |start, end, turns, ohms| Winding {
        start,
        end,
        turns,
        ohms,
        leakage_henries: 0.0,
    };
    circuit.add(Element::Transformer {
        windings: vec![
            winding(set_side, 0, 1.0, 4.1),
            winding(plate1, 0, 325.0 / 117.0, 31.0),
            winding(0, plate2, 325.0 / 117.0, 33.0),
            winding(cathode, fil1, 5.1 / 117.0, 0.03),
            winding(heater_line, 0, 6.5 / 117.0, 0.02),
        ],
        loss_siemens: 9.0 / (117.0 * 117.0),
        magnetising_henries: Some(1.3),
    });
    let rectifier_heater = circuit.group(ThermalGroup {
        arrangement: Arrangement::Parallel,
        bodies: vec![heater(5.0, 3.0, Heating::Direct)],
    });
    circuit.add(Element::Warm {
        a: cathode,
        b: fil1,
        group: rectifier_heater,
    });
    let heaters = circuit.group(ThermalGroup {
        arrangement: Arrangement::Parallel,
        bodies: (0..20)
            .map(|_| heater(6.3, 0.45, Heating::Indirect))
            .collect(),
    });
    circuit.add(Element::Warm {
        a: heater_line,
        b: 0,
        group: heaters,
    });
    for anode in [plate1, plate2] {
        circuit.add(Element::Rectifier {
            anode,
            cathode,
            law: RectifierLaw::tube_through(44.0, 0.225, 1.6),
            heated_by: Some(BodyRef {
                group: rectifier_heater,
                body: 0,
            }),
        });
    }
    for (a, farads) in [(cathode, 40e-6), (main, 40e-6), (second, 20e-6)] {
        circuit.add(Element::Capacitor {
            a,
            b: 0,
            farads,
            series_ohms: 4.0,
            leak_siemens: 1e-6,
        });
    }
    circuit.add(Element::Inductor {
        a: cathode,
        b: main,
        henries: 3.5,
        ohms: 85.0,
    });
    circuit.resistor(main, second, 4700.0);
    circuit.resistor(main, 0, 22e3);
    let mut loads = Vec::new();
    for (a, siemens) in [(main, 0.180 / 330.0), (second, 0.006 / 275.0)] {
        loads.push(circuit.add(Element::Load {
            a,
            b: 0,
            siemens,
            warmed_by: Some(BodyRef {
                group: heaters,
                body: 0,
            }),
            reserve: 6.0,
        }));
    }
    Set {
        circuit,
        main,
        heater: heater_line,
        line,
        loads,
    }
}

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
            assert!((a.1 - b.1).abs() < 0.02 * 360.0, "B+ {a:?} {b:?}");
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
