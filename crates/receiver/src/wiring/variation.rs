//! How one set departs from its sheet: tolerances drawn, and faults put in.
//!
//! Factors are plain ratios to the sheet's figure; ohms and shares as named.
//! Source: the caller. Nothing here can fail: a factor for something that the
//! sheet has not is never asked for.

use std::collections::BTreeMap;

/// A figure of the set that can differ from the sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Figure {
    /// Line volts.
    Line,
    /// Ohms of a part, by its position among the sheet's parts.
    Ohms(usize),
    /// Farads of a part.
    Farads(usize),
    /// Series resistance of a capacitor.
    SeriesOhms(usize),
    /// Leakage of a capacitor.
    Leak(usize),
    /// Henries of a coil.
    Henries(usize),
    /// Forward drop of a metal rectifier.
    Drop(usize),
    /// Current of a load.
    LoadCurrent(usize),
    /// Cold resistance of a thermistor.
    ColdOhms(usize),
    /// Volts of a winding, by its position among the sheet's windings.
    WindingVolts(usize),
    /// Copper of a winding.
    WindingOhms(usize),
    /// What a transformer draws idle, by the position of its first winding.
    Idle(usize),
    /// Drop of a rectifier tube, by its position among the sheet's tubes.
    TubeDrop(usize),
    /// Emission of a tube's cathode.
    Emission(usize),
    /// Amperes of the heaters fed at one place, by its position.
    HeaterAmperes(usize),
    /// Warm-up time of all tubes.
    WarmUp,
    /// Cold resistance of the heaters fed at one place, by its position.
    HeaterCold(usize),
    /// Emission of the tubes that loads stand for, over what they need.
    LoadReserve,
    /// Ways of the heat in all heaters: their shares by contact, support and wire.
    HeatWays,
    /// Share of its string's volts that each heater takes, by the string's position: a
    /// doubt of the readings at single heaters that no sum feels.
    OwnHeater(usize),
    /// Time that a thermistor takes, by its position among the parts.
    ThermistorSeconds(usize),
    /// Shape of the rectifiers' curves beyond the published point: a doubt of the peaks.
    CurveShape,
    /// Ohms of the limiter lamps.
    LampOhms,
    /// Warming of all copper.
    CopperWarmth,
    /// Current that one tube stage draws as a load of the supply, by the tube's position.
    StageDraw(usize),
    /// Currents that all tube stages draw as loads of the supply.
    StageDraws,
    /// Currents of one sample of a tube against the average, by the tube's position.
    TubeStrength(usize),
    /// Grid volts that cut one sample off against the average, by the tube's position.
    TubeCutoff(usize),
    /// Contact potential of a tube's grids: the factor less one is volts, by the tube's position.
    TubeContact(usize),
    /// Emission of a receiving tube's cathode, by the tube's position.
    StageEmission(usize),
    /// Emission that wear has left of a receiving tube's cathode, with the currents that go with it
    /// ([`circuit::thermal::worn_currents`]), by the tube's position.
    Worn(usize),
    /// The same of a rectifier of the supply.
    WornRectifier(usize),
    /// Doubt of the law of a stage, by its position among the stages.
    StageLaw(usize),
    /// What a signal makes of a stage, by its position among the stages.
    StageDrive(usize),
    /// Volts at the plate of a sweep output while it conducts, by its position among the stages.
    SweepPlate(usize),
    /// Setting of a control: the factor less one is added to its share, by the part's position.
    Setting(usize),
    /// Current of a crystal, neon lamp or voltage-dependent resistor, by the part's position.
    SmallPart(usize),
    /// What the meter adds; never asked for by the wiring.
    Meter,
    /// What the model of this kind of circuit leaves out; never asked for by the wiring.
    Model,
}

/// A change that a fault makes to the circuit. Junction numbers are the sheet's.
#[derive(Debug, Clone, PartialEq)]
pub enum Change {
    /// A resistance between two junctions; a number beyond the sheet's is the chassis.
    Shunt {
        /// One junction.
        a: usize,
        /// The other.
        b: usize,
        /// Ohms.
        ohms: f64,
    },
    /// A part taken away.
    Open(usize),
    /// A resistance in series at the wiper of a control.
    AtWiper {
        /// Position among the sheet's parts.
        part: usize,
        /// Ohms.
        ohms: f64,
    },
    /// A resistance beside a part.
    Beside {
        /// Position among the sheet's parts.
        part: usize,
        /// Ohms.
        ohms: f64,
    },
    /// Part of a winding's turns shorted on themselves.
    ShortedTurns {
        /// Position among the sheet's windings.
        winding: usize,
        /// Share of that winding's turns.
        share: f64,
    },
    /// A resistance across one path of a rectifier tube.
    TubePathShort {
        /// Position among the sheet's tubes.
        tube: usize,
        /// Which of its paths.
        path: usize,
        /// Ohms.
        ohms: f64,
    },
    /// A resistance from the heater of a tube to a junction: its cathode.
    HeaterToJunction {
        /// Position among the sheet's tubes.
        tube: usize,
        /// The junction.
        junction: usize,
        /// Ohms.
        ohms: f64,
    },
    /// A resistance across a place where heaters are fed.
    AcrossHeaters {
        /// Position among [`super::SetModel::heater_places`].
        place: usize,
        /// Ohms.
        ohms: f64,
    },
    /// A tube's heater open.
    HeaterOpen(usize),
}

/// One set's departures from the sheet.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Variation {
    factors: BTreeMap<Figure, f64>,
    /// Faults put in.
    pub changes: Vec<Change>,
}

impl Variation {
    /// The set as the sheet has it.
    pub fn none() -> Variation {
        Variation::default()
    }

    /// One figure multiplied by a factor.
    pub fn of(figure: Figure, factor: f64) -> Variation {
        Variation {
            factors: BTreeMap::from([(figure, factor)]),
            changes: Vec::new(),
        }
    }

    /// One change.
    pub fn change(change: Change) -> Variation {
        Variation {
            factors: BTreeMap::new(),
            changes: vec![change],
        }
    }

    /// Sets a factor, over an earlier one.
    pub fn set(&mut self, figure: Figure, factor: f64) {
        self.factors.insert(figure, factor);
    }

    /// The figures that have a factor.
    pub fn figures(&self) -> impl Iterator<Item = Figure> + '_ {
        self.factors.keys().copied()
    }

    /// The factor of a figure; 1 where none is set.
    pub fn factor(&self, figure: Figure) -> f64 {
        self.factors.get(&figure).copied().unwrap_or(1.0)
    }

    /// The same with these figures as the sheet has them.
    pub(crate) fn without(&self, out: impl Fn(Figure) -> bool) -> Variation {
        let mut own = self.clone();
        own.factors.retain(|figure, _| !out(*figure));
        own
    }
}
