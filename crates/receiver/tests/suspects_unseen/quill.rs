//! Faults in a set whose sound output stands on top of its lower B+ line.
//!
//! Ohms, shares of emission. Which way each reading goes is common practice, from memory. Fails by a panic where the
//! sheet has not the part, as a test may.

use receiver::wiring::FaultKind;

use crate::book::{Case, Down, Parts, Stays, Up};

pub fn cases(of: &Parts<'_, '_>) -> Vec<Case> {
    let part = |name: &str| of.0.part_index(name).expect("a part");
    vec![
        // The lower line follows the grid of the tube that stands on it.
        of.risen(
            "R50",
            2.0,
            &[
                ("output divider", Down),
                ("V10.5", Down),
                ("B+ 140", Down),
                ("B+ 300", Stays),
            ],
        ),
        of.risen(
            "R51",
            2.0,
            &[("output divider", Up), ("V10.5", Up), ("B+ 140", Up)],
        ),
        of.leaky(
            "C42",
            100e3,
            &[("output divider", Down), ("V10.5", Down), ("B+ 140", Down)],
        ),
        // Its grid stands above the plate before it: a leaky coupling capacitor pulls the one down and the other up.
        of.leaky(
            "C41",
            500e3,
            &[
                ("V10.5", Down),
                ("V9.9", Up),
                ("B+ 140", Down),
                ("output divider", Down),
            ],
        ),
        of.weak(
            "V10",
            (0.2, false),
            &[("B+ 140", Down), ("V10.3", Up), ("output divider", Stays)],
        ),
        of.leaky(
            "C2C",
            1.5e3,
            &[("B+ 140", Down), ("V10.3", Down), ("V5.5", Down)],
        ),
        // Coupling capacitors.
        of.leaky(
            "C24",
            300e3,
            &[("V5.1", Up), ("V5.2", Up), ("V5.5", Down), ("V4.5", Down)],
        ),
        of.leaky("C32", 2e6, &[("V11.7", Up), ("V11.8", Up), ("V11.6", Down)]),
        of.leaky("C33", 2e6, &[("V11.2", Up), ("V11.1", Down)]),
        // Video, tied through to the picture tube.
        of.open(
            "R31",
            &[("V7.8", Down), ("V7.7", Up), ("V7.1", Down), ("V18.11", Up)],
        ),
        of.leaky("C30", 15e3, &[("V7.8", Down), ("V7.7", Up), ("V7.1", Down)]),
        of.open("R32", &[("V7.7", Down), ("V18.11", Down), ("B+ 300", Up)]),
        of.open("R29", &[("V7.1", Up), ("V7.7", Up), ("V18.11", Up)]),
        of.cold("V7", &[("V7.7", Up), ("V7.1", Down), ("V7.8", Up)]),
        // A cathode resistor of the picture i.f. open.
        of.open("R25", &[("V5.2", Up), ("V5.5", Up)]),
        of.risen("R48", 2.5, &[("V9.9", Down), ("B+ 300", Stays)]),
        of.risen("R39", 3.0, &[("V11.6", Down), ("V11.8", Down)]),
        // Supply.
        of.weak(
            "V17",
            (0.1, true),
            &[("V17.8", Down), ("B+ 300", Down), ("B+ 140", Down)],
        ),
        of.leaky(
            "C2B",
            1.2e3,
            &[("V17.8", Down), ("B+ 300", Down), ("B+ 140", Down)],
        ),
        of.case(
            "C2A",
            FaultKind::FaradsTimes(part("C2A")),
            0.05,
            &[("V17.8", Down), ("B+ 300", Down)],
        ),
        // The sweep output's screen without its feed, its bypass leaky: no screen, hardly any current.
        of.open("R70", &[("V14.4", Down), ("V14.8", Down), ("B+ 300", Up)]),
        of.leaky(
            "C56",
            12e3,
            &[("V14.4", Down), ("V14.8", Down), ("B+ 300", Up)],
        ),
    ]
}
