//! Faults in a half-wave set without transformer and with video tied through.
//!
//! Ohms, shares of emission. Which way each reading goes is common practice, from memory. Fails by a panic where the
//! sheet has not the part, as a test may.

use receiver::wiring::FaultKind;

use crate::book::{Case, Down, Parts, Stays, Up};

pub fn cases(of: &Parts<'_, '_>) -> Vec<Case> {
    let part = |name: &str| of.0.part_index(name).expect("a part");
    vec![
        // A leaky coupling capacitor: next grid positive, its cathode up, its plate down, the plate before it down.
        of.leaky(
            "C38",
            500e3,
            &[("V8.5", Up), ("V8.1", Up), ("V8.7", Down), ("V7.7", Down)],
        ),
        of.leaky("C28", 2e6, &[("V4.2", Up), ("V4.3", Down)]),
        of.leaky("C29", 1e6, &[("V9.7", Up), ("V9.8", Up), ("V9.6", Down)]),
        of.leaky("C18", 100e3, &[("V3.1", Up), ("V3.2", Up), ("V3.5", Down)]),
        // Cathode resistors open, a bypass shorted.
        of.open("R46", &[("V8.1", Up), ("V8.7", Up), ("B+ raw", Up)]),
        of.leaky("C39", 15.0, &[("V8.1", Down), ("V8.7", Down)]),
        of.open("R35", &[("V9.8", Up), ("V9.6", Up)]),
        // The video output's screen goes, its plate goes up, and with it, tied through, the picture tube's cathode.
        of.open(
            "R24",
            &[("V4.8", Down), ("V4.9", Up), ("V4.6", Down), ("V14.11", Up)],
        ),
        of.leaky("C24", 5e3, &[("V4.8", Down), ("V4.9", Up), ("V4.6", Down)]),
        of.risen(
            "R25",
            2.0,
            &[("V4.9", Down), ("V14.11", Down), ("V4.8", Stays)],
        ),
        // Plate loads, a dropper.
        of.risen("R33", 2.5, &[("V4.3", Down), ("B+ 125", Stays)]),
        of.open("R2", &[("B+ 115", Down), ("B+ 125", Up), ("V8.1", Down)]),
        of.leaky(
            "C2C",
            2e3,
            &[("B+ 115", Down), ("V8.1", Down), ("B+ 125", Down)],
        ),
        // The output transformer open: no plate volts, the screen takes all it can.
        of.open("T3A", &[("V8.7", Down), ("V8.1", Down), ("B+ raw", Up)]),
        // Supply.
        of.case(
            "SR1",
            FaultKind::SeleniumResistive(part("SR1")),
            6.0,
            &[("B+ raw", Down), ("B+ 125", Down), ("B+ 115", Down)],
        ),
        of.case(
            "C2A",
            FaultKind::FaradsTimes(part("C2A")),
            0.1,
            &[("B+ raw", Down), ("B+ 125", Down)],
        ),
        of.cold("V5", &[("V5.7", Down), ("V5.6", Up), ("V5.5", Up)]),
    ]
}
