//! What a fault does to the circuit, with its severity.
//!
//! Severity: ohms for shorts and leaks, shares of turns for shorted turns, amperes for grid
//! current, plain ratios to the sheet's figure else, nothing where a fault is there or not.
//! Source: the kinds of fault in the catalogue's fault table (common practice; no counted
//! survey). Nothing here can fail: what the set has not is never asked for.

use super::variation::{Change, Figure, Variation};

/// Volts that drive a grid's stray current; it falls as the plate's volts do (judgement: a
/// plate or screen of 200 V).
const GRID_CURRENT_VOLTS: f64 = 200.0;

/// Ohms of an open winding over those of its copper: some ohms become some megohms, which the insulation at the break still
/// leaks by (judgement), so that an idle plate stands with its winding and not with what the tube leaks backwards.
const OPEN_COPPER: f64 = 1e6;

/// What a fault does to the circuit.
#[derive(Debug, Clone, PartialEq)]
pub enum FaultKind {
    /// A capacitor leaks or is shorted; severity in ohms.
    CapacitorLeak(usize),
    /// Another part leaks or is shorted from end to end; severity in ohms.
    Across(usize),
    /// A supply line touches the chassis; severity in ohms.
    LineToChassis(usize),
    /// A part is open.
    Open(usize),
    /// The wiper of a control makes poor contact or none; severity in ohms.
    AtWiper(usize),
    /// Ohms of a part, by position; severity as a ratio.
    OhmsTimes(usize),
    /// Farads of a part; severity as a ratio.
    FaradsTimes(usize),
    /// A capacitor with more series resistance; severity in ohms.
    SeriesOhms {
        /// The part.
        part: usize,
        /// What is usual, ohms.
        usual: f64,
    },
    /// Current of a crystal, neon lamp or voltage-dependent resistor; severity as a ratio of
    /// its drop.
    DropTimes(usize),
    /// Turns of a winding are shorted; severity as a share of its turns.
    ShortedTurns(usize),
    /// A winding of a power transformer is open.
    WindingOpen(usize),
    /// A heater touches its cathode; severity in ohms.
    HeaterToCathode {
        /// The tube.
        tube: usize,
        /// Junction of its cathode, or the chassis.
        cathode: usize,
    },
    /// A heater is open, by the tube.
    HeaterOpen(usize),
    /// A cathode is worn: it gives less than its rated emission, and the currents that go with it; severity as a ratio.
    Emission {
        /// The tube.
        tube: usize,
        /// Whether it rectifies for the supply.
        rectifies: bool,
    },
    /// A grid takes current from gas or from its own emission, as if through a resistance
    /// from a positive electrode; severity in amperes.
    GridCurrent {
        /// Junction of the grid.
        grid: usize,
        /// Junction of the electrode from which it comes.
        from: usize,
    },
    /// Two junctions touch inside a tube; severity in ohms.
    Between {
        /// One junction.
        a: usize,
        /// The other.
        b: usize,
    },
    /// The heater supply is shorted; severity in ohms.
    HeatersShorted(usize),
    /// A thermistor is shorted; severity in ohms beside it.
    ThermistorShorted(usize),
    /// Selenium has become resistive; severity as a ratio of its drop.
    SeleniumResistive(usize),
    /// A metal rectifier is shorted; severity in ohms.
    MetalShorted(usize),
    /// A plate of a rectifier tube touches its cathode; severity in ohms.
    TubeShorted {
        /// The tube.
        tube: usize,
        /// The path.
        path: usize,
    },
}

impl FaultKind {
    /// The set with this fault at a severity.
    pub fn variation(&self, severity: f64) -> Variation {
        match *self {
            FaultKind::CapacitorLeak(part)
            | FaultKind::Across(part)
            | FaultKind::ThermistorShorted(part)
            | FaultKind::MetalShorted(part) => Variation::change(Change::Beside {
                part,
                ohms: severity,
            }),
            FaultKind::LineToChassis(junction) => Variation::change(Change::Shunt {
                a: junction,
                b: usize::MAX,
                ohms: severity,
            }),
            FaultKind::Between { a, b } => Variation::change(Change::Shunt {
                a,
                b,
                ohms: severity,
            }),
            FaultKind::GridCurrent { grid, from } => Variation::change(Change::Shunt {
                a: grid,
                b: from,
                ohms: GRID_CURRENT_VOLTS / severity,
            }),
            FaultKind::Open(part) => Variation::change(Change::Open(part)),
            FaultKind::AtWiper(part) => Variation::change(Change::AtWiper {
                part,
                ohms: severity,
            }),
            FaultKind::OhmsTimes(part) => Variation::of(Figure::Ohms(part), severity),
            FaultKind::FaradsTimes(part) => Variation::of(Figure::Farads(part), severity),
            FaultKind::SeriesOhms { part, usual } => {
                Variation::of(Figure::SeriesOhms(part), severity / usual)
            }
            FaultKind::DropTimes(part) => Variation::of(Figure::SmallPart(part), 1.0 / severity),
            FaultKind::ShortedTurns(winding) => Variation::change(Change::ShortedTurns {
                winding,
                share: severity,
            }),
            FaultKind::WindingOpen(winding) => {
                Variation::of(Figure::WindingOhms(winding), OPEN_COPPER)
            }
            FaultKind::HeaterToCathode { tube, cathode } => {
                Variation::change(Change::HeaterToJunction {
                    tube,
                    junction: cathode,
                    ohms: severity,
                })
            }
            FaultKind::HeaterOpen(tube) => Variation::change(Change::HeaterOpen(tube)),
            FaultKind::Emission {
                tube,
                rectifies: true,
            } => Variation::of(Figure::WornRectifier(tube), severity),
            FaultKind::Emission { tube, .. } => Variation::of(Figure::Worn(tube), severity),
            FaultKind::HeatersShorted(place) => Variation::change(Change::AcrossHeaters {
                place,
                ohms: severity,
            }),
            FaultKind::SeleniumResistive(part) => Variation::of(Figure::Drop(part), severity),
            FaultKind::TubeShorted { tube, path } => Variation::change(Change::TubePathShort {
                tube,
                path,
                ohms: severity,
            }),
        }
    }
}
