//! Cases in the set of 1957 with a doubler, its heaters in series and stages that stand on each other.
//!
//! What each fault does to each reading is common practice, from memory, as any handbook of receiver servicing tells it.

use crate::book::{Case, Down, Parts, Stays, Up};
use receiver::wiring::FaultKind;

pub fn supply(of: &Parts<'_, '_>) -> Vec<Case> {
    let part = |name: &str| of.0.part_index(name).expect("a part");
    vec![
        // Aged selenium: all lines low.
        of.case(
            "SR1",
            FaultKind::SeleniumResistive(part("SR1")),
            5.0,
            &[
                ("doubler middle", Down),
                ("B+ raw", Down),
                ("B+ 265", Down),
                ("B+ 140", Down),
                ("V9.5", Down),
                ("V6.8", Down),
            ],
        ),
        // The doubler's capacitor dried out: all lines low.
        of.case(
            "C1",
            FaultKind::FaradsTimes(part("C1")),
            0.1,
            &[
                ("doubler middle", Down),
                ("B+ raw", Down),
                ("B+ 265", Down),
                ("B+ 140", Down),
                ("V9.5", Down),
                ("V6.8", Down),
            ],
        ),
        // An open feed of the lower line. (Its bleeder open, R12, lifts it by hardly more than good sets differ.)
        of.open(
            "R11",
            &[
                ("B+ raw", Up),
                ("B+ 265", Up),
                ("B+ 140", Down),
                ("V7.5", Down),
                ("V2.3", Down),
            ],
        ),
        // The tap's filter shorted.
        of.leaky(
            "C3",
            10.0,
            &[
                ("B+ raw", Down),
                ("B+ 265", Down),
                ("B+ 140", Down),
                ("V7.5", Down),
                ("V2.3", Down),
            ],
        ),
    ]
}

pub fn signal(of: &Parts<'_, '_>) -> Vec<Case> {
    vec![
        // Two i.f. stages on each other: the divider's upper half open takes the upper cathode down.
        of.open(
            "R129",
            &[
                ("i.f. divider", Down),
                ("V5.1", Down),
                ("i.f. middle", Down),
                ("V4.5", Down),
                ("B+ 265", Stays),
            ],
        ),
        // The lower one's cathode open: no current in either, the middle rises.
        of.open(
            "R125",
            &[
                ("V4.2", Up),
                ("i.f. middle", Up),
                ("V5.5", Up),
                ("i.f. divider", Stays),
            ],
        ),
        of.open(
            "R121",
            &[
                ("V3.2", Up),
                ("V3.5", Up),
                ("i.f. 1 feed", Up),
                ("B+ 140", Up),
            ],
        ),
        // Video output: screen resistor open, screen bypass shorted, plate load open.
        of.open(
            "R41",
            &[
                ("V6.8", Down),
                ("V6.6", Down),
                ("V6.9", Up),
                ("B+ 265", Stays),
            ],
        ),
        of.leaky(
            "C41",
            5.0,
            &[
                ("V6.8", Down),
                ("V6.6", Down),
                ("V6.9", Up),
                ("B+ 265", Stays),
            ],
        ),
        of.open(
            "R40",
            &[
                ("V6.9", Down),
                ("V6.8", Down),
                ("B+ 265", Stays),
                ("V6.6", Down),
            ],
        ),
        // Sync: leaky coupling, open plate loads.
        of.leaky(
            "C143",
            5e5,
            &[
                ("V11.2", Up),
                ("V11.1", Down),
                ("V10.5", Down),
                ("V10.6", Stays),
                ("B+ 140", Stays),
            ],
        ),
        of.open(
            "R55",
            &[("V10.5", Down), ("V11.1", Stays), ("B+ 140", Stays)],
        ),
        of.open(
            "R149",
            &[("V11.1", Down), ("V10.5", Stays), ("B+ 265", Stays)],
        ),
    ]
}

pub fn sound_and_sweep(of: &Parts<'_, '_>) -> Vec<Case> {
    vec![
        // The coupling to the sound output leaks; its cathode resistor is open; its bypass is shorted.
        of.leaky(
            "C50",
            5e5,
            &[("V9.1", Up), ("V9.2", Up), ("V9.5", Down), ("V8.5", Down)],
        ),
        of.open("R52", &[("V9.2", Up), ("V9.5", Up), ("B+ 265", Up)]),
        of.leaky(
            "C170",
            10.0,
            &[("V9.2", Down), ("V9.5", Down), ("V9.1", Stays)],
        ),
        // The sound detector's plate load open.
        of.open(
            "R50",
            &[("V8.5", Down), ("B+ 265", Stays), ("B+ 140", Stays)],
        ),
        // Sound i.f.: screen resistor open, cathode open, screen bypass shorted.
        of.open(
            "R161",
            &[
                ("V7.6", Down),
                ("V7.7", Down),
                ("V7.5", Up),
                ("B+ 265", Stays),
            ],
        ),
        of.open(
            "R160",
            &[("V7.7", Up), ("V7.6", Up), ("V7.5", Up), ("B+ 265", Stays)],
        ),
        of.leaky(
            "C163",
            5.0,
            &[("V7.6", Down), ("V7.7", Down), ("B+ 265", Stays)],
        ),
        // Vertical output: leaky coupling, shorted bypass, open cathode.
        of.leaky(
            "C149",
            1e6,
            &[
                ("V12.2", Up),
                ("V12.3", Up),
                ("V12.6", Down),
                ("B+ 265", Stays),
            ],
        ),
        of.leaky(
            "C150",
            1.0,
            &[("V12.3", Down), ("V12.2", Down), ("B+ 265", Stays)],
        ),
        // Without its cathode's way the output no longer feeds back: the oscillator stands still, its other triode conducting steadily.
        of.open(
            "R157",
            &[
                ("V12.3", Up),
                ("V12.2", Up),
                ("V12.6", Down),
                ("B+ 265", Stays),
            ],
        ),
        // The sweep output's screen without its feed.
        of.open("R71", &[("V14.4", Down), ("B+ 265", Up), ("B+ 140", Up)]),
    ]
}
