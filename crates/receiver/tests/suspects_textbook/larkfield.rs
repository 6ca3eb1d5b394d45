//! Cases in the transformer set of 1950: supply, bias, tuner, i.f. and sound.
//!
//! What each fault does to each reading is common practice, from memory, as any handbook of receiver
//! servicing tells it: a stage without screen volts draws nothing and its plate stands at its supply; a leaky coupling
//! capacitor lifts the grid behind it; an open cathode lifts the cathode; a short pulls its line down and all behind it.

use crate::book::{Case, Down, Parts, Stays, Up};

pub fn supply(of: &Parts<'_, '_>) -> Vec<Case> {
    vec![
        // A shorted filter capacitor: its line is gone, the rectifier is pulled down, all of it comes back through the
        // bias resistors.
        of.leaky(
            "C4A",
            20.0,
            &[
                ("V14.8", Down),
                ("B+ main", Down),
                ("B+ 275", Down),
                ("B minus", Down),
                ("B+ 140", Down),
                ("V15.3", Down),
            ],
        ),
        // A leaky one: all lines low, more return current.
        of.leaky(
            "C1B",
            2e3,
            &[
                ("V14.8", Down),
                ("B+ main", Down),
                ("B+ 275", Down),
                ("B minus", Down),
                ("B+ 140", Down),
                ("V15.3", Down),
            ],
        ),
        // A weak rectifier: all lines low together, less return current.
        of.weak(
            "V14",
            (0.15, true),
            &[
                ("V14.8", Down),
                ("B+ main", Down),
                ("B+ 275", Down),
                ("B minus", Up),
                ("B+ 140", Down),
                ("V15.3", Down),
            ],
        ),
        // An open choke: volts before it high, none after it.
        of.open(
            "L1",
            &[
                ("V14.8", Up),
                ("B+ main", Down),
                ("B+ 275", Down),
                ("B minus", Up),
                ("B+ 140", Down),
                ("V15.3", Down),
            ],
        ),
        // An open bleeder: its tap rises.
        of.open(
            "R35",
            &[
                ("V14.8", Stays),
                ("B+ main", Stays),
                ("B+ 275", Stays),
                ("B minus", Stays),
                ("B+ 140", Up),
                ("V2.2", Up),
            ],
        ),
        // The feed of the tap open: the tap is dead, and all that hangs on it.
        of.open(
            "R34",
            &[
                ("B+ 275", Stays),
                ("B+ 140", Down),
                ("V2.1", Down),
                ("V2.2", Down),
                ("V1.6", Down),
                ("V1.5", Down),
            ],
        ),
        // The filter of the tap shorted: the same, with its dropper overloaded.
        of.leaky(
            "C4B",
            10.0,
            &[
                ("B+ 275", Down),
                ("B+ 140", Down),
                ("V2.1", Down),
                ("V2.2", Down),
                ("V1.5", Down),
                ("B minus", Down),
            ],
        ),
        // An open feed of the negative line: the output tubes lose their bias.
        of.open(
            "R36",
            &[
                ("bias -18", Up),
                ("V15.5", Up),
                ("V21.5", Up),
                ("V15.4", Down),
                ("B minus", Down),
                ("V21.8", Up),
            ],
        ),
        // Low line bias by a leaky filter of it.
        of.leaky(
            "C5",
            5e3,
            &[
                ("bias -18", Up),
                ("V15.5", Up),
                ("V21.5", Up),
                ("V15.4", Down),
                ("B minus", Down),
                ("bias tap", Down),
            ],
        ),
        // The same of the three volts: the first i.f. stage runs without bias.
        of.leaky(
            "C6",
            50.0,
            &[
                ("bias -3", Up),
                ("V3.1", Up),
                ("V3.7", Up),
                ("V3.6", Down),
                ("bias -18", Stays),
                ("B+ 275", Stays),
            ],
        ),
    ]
}

pub fn signal(of: &Parts<'_, '_>) -> Vec<Case> {
    vec![
        // A weak amplifier draws less: less at its cathode, more at its screen.
        of.weak(
            "V5",
            (0.1, false),
            &[
                ("V5.1", Stays),
                ("V5.2", Down),
                ("V5.6", Up),
                ("V5.5", Stays),
            ],
        ),
        // An open screen resistor: no screen volts, hardly a current, the plate at its supply.
        of.open(
            "R121",
            &[
                ("V3.6", Down),
                ("V3.5", Up),
                ("V3.7", Down),
                ("V4.6", Stays),
                ("V4.7", Stays),
                ("B+ 275", Stays),
            ],
        ),
        // One that rose by far: the same, half way.
        of.risen(
            "R126",
            4.0,
            &[
                ("V4.6", Down),
                ("V4.7", Down),
                ("V4.5", Up),
                ("V3.6", Stays),
                ("V5.6", Stays),
                ("B+ 275", Stays),
            ],
        ),
        // A shorted screen bypass: no screen volts, the plate at its supply.
        of.leaky(
            "C153",
            5.0,
            &[
                ("V11.6", Down),
                ("V11.7", Down),
                ("V11.5", Up),
                ("sound feed", Up),
                ("B+ 275", Stays),
            ],
        ),
        // An open cathode resistor: the cathode rises, screen and plate stand at their supply.
        of.open(
            "R170",
            &[
                ("V11.7", Up),
                ("V11.6", Up),
                ("V11.5", Up),
                ("sound feed", Up),
                ("B+ 275", Stays),
            ],
        ),
        of.open(
            "R103",
            &[
                ("V1.2", Up),
                ("V1.6", Up),
                ("V1.5", Up),
                ("r.f. feed", Up),
                ("B+ tuner", Up),
            ],
        ),
        // The r.f. amplifier's screen bypass shorted: its resistor loads a line that is fed through a dropper.
        of.leaky(
            "C104",
            10.0,
            &[
                ("V1.6", Down),
                ("V1.2", Down),
                ("B+ tuner", Down),
                ("V2.2", Down),
                ("B+ 275", Stays),
            ],
        ),
        // An open plate load of the oscillator: no plate volts, and its line rises.
        of.open(
            "R110",
            &[("V2.1", Down), ("V2.2", Up), ("V1.6", Up), ("B+ tuner", Up)],
        ),
        of.open(
            "R108",
            &[
                ("V2.2", Down),
                ("mixer feed", Down),
                ("V2.1", Up),
                ("B+ tuner", Up),
            ],
        ),
        // A tube without heat: no cathode volts, plate and screen at their supply.
        of.cold(
            "V7",
            &[
                ("V7.5", Up),
                ("V7.6", Up),
                ("V7.7", Down),
                ("B+ 275", Stays),
                ("V8.4", Stays),
            ],
        ),
    ]
}

pub fn sound(of: &Parts<'_, '_>) -> Vec<Case> {
    vec![
        // A leaky coupling capacitor: the grid after it goes positive, plate and screen fall, and the plate before it.
        of.leaky(
            "C50",
            5e5,
            &[
                ("V15.5", Up),
                ("V15.3", Down),
                ("V15.4", Down),
                ("V13.7", Down),
                ("B minus", Down),
            ],
        ),
        // An open plate load: no plate volts; what is coupled by a capacitor does not feel it.
        of.open(
            "R71",
            &[
                ("V13.7", Down),
                ("V15.5", Stays),
                ("V15.4", Stays),
                ("B+ 275", Stays),
                ("bias -18", Stays),
            ],
        ),
        // An open grid leak of a tube with fixed bias: the bias is gone, the line that gave it is there, and more so.
        of.open(
            "R70",
            &[
                ("V15.5", Up),
                ("V15.3", Down),
                ("V15.4", Down),
                ("bias -18", Down),
                ("V13.7", Stays),
                ("B+ 275", Down),
            ],
        ),
        // A gassy output tube: as a leaky coupling capacitor, but the plate before it does not feel it.
        of.gassy(
            "V15",
            ("V15.5", "V15.4", 20.0),
            &[
                ("V15.5", Up),
                ("V15.3", Down),
                ("V15.4", Down),
                ("V13.7", Stays),
                ("B minus", Down),
            ],
        ),
        // An output tube that gives nothing: plate and screen rise towards their supply, all fixed bias falls.
        of.cold(
            "V15",
            &[
                ("V15.3", Up),
                ("V15.4", Up),
                ("V15.5", Up),
                ("V13.7", Up),
                ("B minus", Up),
            ],
        ),
        // Its screen resistor open: less return current, less bias of all. Its screen bypass shorted: more.
        of.open(
            "R79",
            &[
                ("V15.4", Down),
                ("V15.3", Up),
                ("V15.5", Up),
                ("B minus", Up),
                ("B+ 275", Up),
            ],
        ),
        of.leaky(
            "C164",
            10.0,
            &[
                ("V15.4", Down),
                ("B+ 275", Down),
                ("V13.7", Down),
                ("B minus", Down),
            ],
        ),
    ]
}
