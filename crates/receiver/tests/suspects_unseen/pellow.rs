//! Faults in a set with electrostatic deflection.
//!
//! Ohms, shares of emission. Which way each reading goes is common practice, from memory. Fails by a panic where the
//! sheet has not the part, as a test may.

use receiver::wiring::FaultKind;

use crate::book::{Case, Down, Parts, Stays, Up};

pub fn cases(of: &Parts<'_, '_>) -> Vec<Case> {
    vec![
        // A leaky coupling capacitor: next grid positive, its cathode up, its plate down, the plate before it down.
        of.leaky(
            "C38",
            500e3,
            &[("V9.5", Up), ("V9.8", Up), ("V9.3", Down), ("V8.6", Down)],
        ),
        of.leaky(
            "C42",
            2e6,
            &[("V10.1", Up), ("V10.2", Down), ("V10.5", Down)],
        ),
        of.leaky(
            "C14",
            200e3,
            &[("V3.1", Up), ("V3.2", Up), ("V3.5", Down), ("V2.5", Down)],
        ),
        // A screen without its feed: no screen, no plate current.
        of.open(
            "R12",
            &[("V2.6", Down), ("V2.5", Up), ("V2.2", Down), ("B+ 260", Up)],
        ),
        of.leaky("C22", 15e3, &[("V5.6", Down), ("V5.8", Up), ("V5.5", Down)]),
        // Cathode resistor open: the cathode rises until the tube is nearly cut off.
        of.open("R40", &[("V9.8", Up), ("V9.3", Up), ("B+ 260", Up)]),
        // Its bypass shorted: no bias.
        of.leaky("C39", 15.0, &[("V9.8", Down), ("V9.3", Down)]),
        of.open("R42", &[("V10.6", Up), ("V10.5", Up)]),
        // Plate loads.
        of.risen("R38", 2.5, &[("V8.6", Down), ("B+ 260", Stays)]),
        of.open("R58", &[("V12.2", Down), ("B+ 370", Stays)]),
        of.risen(
            "R43",
            3.0,
            &[
                ("V10.5", Down),
                ("V10.6", Down),
                ("V10.1", Stays),
                ("B+ 260", Stays),
            ],
        ),
        // A capacitor to the deflection plates leaks: the plate, far from ground by megohms, goes up.
        of.leaky("C49", 5e6, &[("V18.7", Up), ("positioning", Up)]),
        // Supply.
        of.open("R1", &[("B+ 260", Down), ("B+ 370", Up), ("V9.8", Down)]),
        of.open("L1", &[("V17.8", Up), ("B+ 370", Down)]),
        of.leaky(
            "C2C",
            1.5e3,
            &[("B+ 260", Down), ("B+ 370", Down), ("V8.6", Down)],
        ),
        of.weak(
            "V17",
            (0.1, true),
            &[("V17.8", Down), ("B+ 370", Down), ("B+ 260", Down)],
        ),
        of.case(
            "C2A",
            FaultKind::FaradsTimes(of.0.part_index("C2A").expect("a part")),
            0.05,
            &[("V17.8", Down), ("B+ 370", Down)],
        ),
        // Tubes.
        of.weak("V9", (0.1, false), &[("V9.8", Down), ("V9.3", Up)]),
        of.cold("V5", &[("V5.5", Down), ("V5.8", Up), ("V5.6", Up)]),
        of.gassy("V9", ("V9.5", "V9.4", 10.0), &[("V9.5", Up), ("V9.8", Up)]),
    ]
}
