//! Invented sets on which tests and benches agree.
//!
//! Volts, amperes, ohms, farads, henries. The figures are those of no set in particular.
#![allow(dead_code, missing_docs)]

use circuit::thermal::{
    Arrangement, HeaterLaw, HeaterSpec, Heating, LampLaw, LampSpec, ThermalBody, ThermalGroup,
    ThermalLaw, TungstenProperties,
};
use circuit::{BodyRef, Circuit, Element, Node, RectifierLaw, Winding};

pub fn tungsten() -> TungstenProperties {
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

pub fn heater(volts: f64, amperes: f64, heating: Heating) -> ThermalBody {
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

pub struct Set {
    pub circuit: Circuit,
    pub main: Node,
    pub heater: Node,
    pub line: usize,
    pub loads: Vec<usize>,
}

pub fn set(lamp_watts: Option<f64>) -> Set {
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

/// A supply of about the size of a whole set: thirty nodes, eight capacitors, two
/// coils, ten sections that draw, a negative line through a selenium cell.
pub fn large(lamp_watts: Option<f64>) -> Set {
    let mut set = set(lamp_watts);
    let Set {
        circuit,
        main,
        loads,
        ..
    } = &mut set;
    let heaters = BodyRef {
        group: circuit.groups.len() - 1,
        body: 0,
    };
    let capacitor = |circuit: &mut Circuit, a, b, farads| {
        circuit.add(Element::Capacitor {
            a,
            b,
            farads,
            series_ohms: 3.0,
            leak_siemens: 1e-6,
        });
    };
    // A second choke to the sweep, and decoupled sections behind resistors.
    let sweep = circuit.node();
    circuit.add(Element::Inductor {
        a: *main,
        b: sweep,
        henries: 1.5,
        ohms: 60.0,
    });
    capacitor(circuit, sweep, 0, 40e-6);
    let mut last = sweep;
    for (ohms, farads, amperes) in [
        (2200.0, Some(20e-6), 0.008),
        (4700.0, Some(10e-6), 0.005),
        (1000.0, None, 0.012),
        (3300.0, Some(10e-6), 0.004),
        (680.0, None, 0.015),
        (10e3, None, 0.002),
        (6800.0, None, 0.003),
        (1500.0, None, 0.010),
    ] {
        let node = circuit.node();
        circuit.resistor(last, node, ohms);
        if let Some(farads) = farads {
            capacitor(circuit, node, 0, farads);
        }
        loads.push(circuit.add(Element::Load {
            a: node,
            b: 0,
            siemens: amperes / 250.0,
            warmed_by: Some(heaters),
            reserve: 8.0,
        }));
        last = if ohms > 3000.0 { *main } else { sweep };
    }
    // A negative line from the heater winding's neighbour, through a selenium cell.
    let (bias_end, bias, filtered, tap, low) = (
        circuit.node(),
        circuit.node(),
        circuit.node(),
        circuit.node(),
        circuit.node(),
    );
    for element in &mut circuit.elements {
        if let Element::Transformer { windings, .. } = element {
            windings.push(Winding {
                start: bias_end,
                end: 0,
                turns: 60.0 / 117.0,
                ohms: 12.0,
                leakage_henries: 0.0,
            });
        }
    }
    circuit.add(Element::Rectifier {
        anode: bias,
        cathode: bias_end,
        law: RectifierLaw::Junction {
            threshold: 1.2,
            series_ohms: 30.0,
            corner: 0.3,
            leak_siemens: 1e-5,
        },
        heated_by: None,
    });
    capacitor(circuit, 0, bias, 50e-6);
    circuit.resistor(bias, filtered, 1000.0);
    capacitor(circuit, 0, filtered, 50e-6);
    circuit.resistor(filtered, tap, 3300.0);
    circuit.resistor(tap, low, 1500.0);
    circuit.resistor(low, 0, 1000.0);
    set
}

/// A set without a transformer: heaters in a string with a dropping resistor, and a
/// half-wave doubler of selenium cells, straight on the line.
pub fn string_set(hertz: f64, lamp_watts: Option<f64>) -> Set {
    let mut circuit = Circuit::new(hertz);
    let (line_a, live, pumped, plus, main) = (
        circuit.node(),
        circuit.node(),
        circuit.node(),
        circuit.node(),
        circuit.node(),
    );
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
                b: live,
                group,
            });
        }
        None => {
            circuit.resistor(line_a, live, 0.1);
        }
    }
    let heater_end = circuit.node();
    let mut bodies = vec![heater(25.0, 0.6, Heating::Indirect)];
    bodies.extend((0..12).map(|_| heater(6.3, 0.6, Heating::Indirect)));
    let heaters = circuit.group(ThermalGroup {
        arrangement: Arrangement::Series,
        bodies,
    });
    circuit.resistor(live, heater_end, 27.0);
    circuit.add(Element::Warm {
        a: heater_end,
        b: 0,
        group: heaters,
    });
    let inlet = circuit.node();
    circuit.resistor(live, inlet, 5.0);
    for (a, b, farads) in [(pumped, inlet, 120e-6), (plus, 0, 120e-6), (main, 0, 80e-6)] {
        circuit.add(Element::Capacitor {
            a,
            b,
            farads,
            series_ohms: 1.0,
            leak_siemens: 1e-6,
        });
    }
    for (anode, cathode) in [(0, pumped), (pumped, plus)] {
        circuit.add(Element::Rectifier {
            anode,
            cathode,
            law: RectifierLaw::Junction {
                threshold: 3.0,
                series_ohms: 10.0,
                corner: 0.5,
                leak_siemens: 5e-6,
            },
            heated_by: None,
        });
    }
    circuit.add(Element::Inductor {
        a: plus,
        b: main,
        henries: 1.0,
        ohms: 40.0,
    });
    let load = circuit.add(Element::Load {
        a: main,
        b: 0,
        siemens: 0.25 / 230.0,
        warmed_by: Some(BodyRef {
            group: heaters,
            body: 0,
        }),
        reserve: 6.0,
    });
    Set {
        circuit,
        main,
        heater: heater_end,
        line,
        loads: vec![load],
    }
}
