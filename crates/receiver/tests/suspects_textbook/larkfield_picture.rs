//! Cases in the transformer set of 1950: video, sync, vertical sweep and picture tube.
//!
//! What each fault does to each reading is common practice, from memory, as any handbook of receiver servicing tells it.

use crate::book::{Case, Down, Parts, Stays, Up};
use receiver::wiring::FaultKind;

pub fn video(of: &Parts<'_, '_>) -> Vec<Case> {
    vec![
        // A leaky coupling capacitor to the video output: its grid rises, it draws more, plate and screen fall.
        of.leaky(
            "C137",
            1e6,
            &[
                ("V8.4", Up),
                ("V8.5", Up),
                ("V8.6", Down),
                ("V8.8", Down),
                ("V7.5", Stays),
                ("B+ 275", Stays),
            ],
        ),
        // A screen resistor that rose by far, and one that is open.
        of.risen(
            "R49",
            4.0,
            &[
                ("V8.4", Stays),
                ("V8.5", Down),
                ("V8.6", Down),
                ("V8.8", Up),
                ("V7.5", Stays),
                ("B+ 275", Stays),
            ],
        ),
        of.open(
            "R138",
            &[
                ("V7.6", Down),
                ("V7.7", Down),
                ("V7.5", Up),
                ("V8.4", Stays),
                ("B+ 275", Stays),
            ],
        ),
        // A leaky screen bypass.
        of.leaky(
            "C43",
            3e4,
            &[
                ("V8.6", Down),
                ("V8.5", Down),
                ("V8.8", Up),
                ("V8.4", Stays),
                ("B+ 275", Stays),
            ],
        ),
        of.leaky(
            "C136",
            2e4,
            &[
                ("V7.6", Down),
                ("V7.7", Down),
                ("V7.5", Up),
                ("V8.4", Stays),
                ("B+ 275", Stays),
            ],
        ),
        // An open cathode resistor.
        of.open(
            "R50",
            &[
                ("V8.5", Up),
                ("V8.6", Up),
                ("V8.8", Up),
                ("V8.4", Stays),
                ("B+ 275", Stays),
            ],
        ),
        // An open plate load of a pentode: no plate volts, the screen takes the current and falls too.
        of.open(
            "R48",
            &[
                ("V8.8", Down),
                ("V8.6", Down),
                ("V8.4", Stays),
                ("V8.5", Down),
                ("B+ 275", Stays),
            ],
        ),
        // A plate load that rose: at low plate volts the screen takes more.
        of.risen(
            "R45",
            1.8,
            &[
                ("V9.1", Stays),
                ("V9.5", Down),
                ("V9.6", Down),
                ("V9.7", Stays),
                ("B+ 275", Stays),
                ("V8.8", Stays),
            ],
        ),
    ]
}

pub fn sweeps(of: &Parts<'_, '_>) -> Vec<Case> {
    vec![
        // A leaky coupling capacitor to the sync separator: its grid rises, its plate falls.
        of.leaky(
            "C45",
            1e6,
            &[
                ("V10.1", Up),
                ("V10.2", Down),
                ("V9.5", Stays),
                ("V9.6", Stays),
                ("V9.7", Stays),
                ("B+ 275", Stays),
            ],
        ),
        of.open(
            "R146",
            &[
                ("V10.2", Down),
                ("V9.5", Stays),
                ("V10.1", Stays),
                ("B+ 275", Stays),
            ],
        ),
        // The vertical output's coupling capacitor: grid and cathode rise, the plate before it falls.
        of.leaky(
            "C51",
            1e6,
            &[
                ("V21.5", Up),
                ("V21.8", Up),
                ("V10.5", Down),
                ("bias -18", Stays),
                ("B+ main", Stays),
            ],
        ),
        // Its cathode open: the cathode rises until it draws next to nothing.
        of.open(
            "R152",
            &[
                ("V21.8", Up),
                ("V21.3", Up),
                ("V21.5", Stays),
                ("bias -18", Stays),
            ],
        ),
        // Its cathode bypass shorted: no cathode volts, more current, the plate a little lower, and more return current
        // makes more of the fixed bias.
        of.leaky(
            "C54",
            1.0,
            &[
                ("V21.8", Down),
                ("V21.3", Down),
                ("V21.5", Down),
                ("B minus", Down),
            ],
        ),
        // Its cathode shorted to the heater, and that stands at the chassis: the same.
        of.case(
            "V21",
            FaultKind::HeaterToCathode {
                tube: of.tube("V21"),
                cathode: of.junction("V21.8"),
            },
            200.0,
            &[
                ("V21.8", Down),
                ("V21.3", Down),
                ("V21.5", Down),
                ("B minus", Down),
            ],
        ),
        // Without heat: no current, no bias of its own.
        of.cold(
            "V21",
            &[
                ("V21.8", Down),
                ("V21.3", Up),
                ("V21.5", Up),
                ("B minus", Up),
            ],
        ),
        // The height feed risen: low plate volts at the oscillator, more on its other side (a leak behind it would pull both down).
        of.risen(
            "R69",
            4.0,
            &[
                ("V10.5", Down),
                ("boost", Stays),
                ("V20.10", Stays),
                ("height", Up),
            ],
        ),
        // The sweep output's screen without its feed: no screen, hardly any current, and the supply rises.
        of.open("R75", &[("V17.8", Down), ("V17.3", Down), ("B+ main", Up)]),
        // Picture tube: brightness feed open, leaky filter of the second grid, its feed open.
        of.open(
            "R65",
            &[
                ("V20.11", Down),
                ("brightness top", Down),
                ("V20.2", Stays),
                ("B+ 275", Stays),
            ],
        ),
        of.leaky(
            "C61",
            2e5,
            &[("V20.10", Down), ("boost", Stays), ("V20.11", Stays)],
        ),
        of.open(
            "R67",
            &[("V20.10", Down), ("boost", Stays), ("V20.11", Stays)],
        ),
    ]
}
