//! The particulars of an act: what is measured with what, joined, set, replaced, carried or said.
//!
//! Volts are peak volts for instruments and places, r.m.s. for the line and heaters; amperes,
//! ohms, watts and seconds are SI. `None` is not known. Nothing here can fail.

/// What a meter is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Measured {
    /// Direct volts.
    DcVolts,
    /// Alternating volts, r.m.s.
    AcVolts,
    /// Ripple: alternating volts upon direct volts.
    RippleVolts,
    /// Direct volts of the high voltage at the picture tube.
    HighVolts,
    /// Resistance by the ohmmeter.
    Ohms,
    /// Insulation by the ohmmeter's highest range, megohms.
    Megohms,
    /// Current, the meter in the lead.
    Current,
    /// Line watts by a wattmeter in the line.
    LineWatts,
    /// Leakage from touched metal to earth through the 1500 ohm test resistor, on the closed set.
    LeakageOfTheClosedSet,
    /// Temperature of a part.
    Temperature,
}

impl Measured {
    /// True for what sends the meter's own current through the place.
    #[must_use]
    pub fn is_resistance(self) -> bool {
        matches!(self, Self::Ohms | Self::Megohms)
    }
}

/// Instrument or tool in an act.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Instrument {
    /// Ordinary volt or ampere meter with its leads.
    Meter {
        /// Highest volts for which meter, range, jack and leads are all made; `None` unknown.
        rated_volts: Option<f64>,
    },
    /// Ordinary meter with resistors added by the restorer to stretch its range.
    StretchedMeter,
    /// Meter wired in with the power off and read from a distance.
    FixedMeter {
        /// Highest volts for which it is made; `None` unknown.
        rated_volts: Option<f64>,
    },
    /// Ohmmeter.
    Ohmmeter,
    /// High-voltage probe for direct volts.
    HighVoltageProbe {
        /// Highest volts for which it is made; `None` unknown.
        rated_volts: Option<f64>,
    },
    /// Oscilloscope through a divider made for pulses of kilovolts.
    PulseDivider {
        /// Highest peak volts for which it is made; `None` unknown.
        rated_volts: Option<f64>,
    },
    /// Oscilloscope with its ordinary probe.
    Oscilloscope {
        /// Highest peak volts for which the probe is made; `None` unknown.
        rated_volts: Option<f64>,
    },
    /// Resistor of 1k to 10k, 10 W, on an insulated clip.
    DischargeResistor,
    /// Insulated rod with a high resistance in its lead.
    DischargeRod,
    /// Screwdriver.
    Screwdriver,
    /// Pencil.
    Pencil,
    /// Clip lead.
    ClipLead,
    /// Thermometer that needs no touch.
    Thermometer,
    /// Insulated pliers.
    InsulatedPliers,
    /// Cloth or glove.
    Cloth,
    /// Bare hand.
    Hand,
    /// Cutter for a part's lead.
    Cutter,
    /// Soldering iron.
    SolderingIron,
}

impl Instrument {
    /// An ordinary meter with the smallest usual rating that covers these peak volts
    /// (300, 600 or 1000 V, common practice); `None` above 1000 V.
    #[must_use]
    pub fn meter_for(peak_volts: f64) -> Option<Self> {
        [300.0, 600.0, 1000.0]
            .into_iter()
            .find(|rated_volts| peak_volts.abs() <= *rated_volts)
            .map(|rated_volts| Self::Meter {
                rated_volts: Some(rated_volts),
            })
    }

    /// Volts for which it is made: outer `None` when it has no such rating at all (a tool),
    /// inner `None` when the rating is not known.
    #[must_use]
    pub fn rated_volts(self) -> Option<Option<f64>> {
        match self {
            Self::Meter { rated_volts }
            | Self::FixedMeter { rated_volts }
            | Self::HighVoltageProbe { rated_volts }
            | Self::PulseDivider { rated_volts }
            | Self::Oscilloscope { rated_volts } => Some(rated_volts),
            Self::StretchedMeter => Some(None),
            _ => None,
        }
    }
}

/// What is known of the charge at a place with the power off.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum StoredCharge {
    /// Nothing is known.
    #[default]
    Unknown,
    /// By computation no capacitor above 60 V has a path to this place.
    NoneHere,
    /// Time has passed since the plug was pulled, nothing more.
    TimeHasPassed,
    /// Another capacitor was discharged, not this one.
    AnotherWasDischarged,
    /// Discharged once, not proven.
    DischargedOnce,
    /// Discharged through a resistor and proven with the meter.
    ProvenWithMeter,
    /// Discharged several times over some minutes, the clip lead left on.
    DischargedRepeatedlyClipLeft,
}

/// Where the power of an energised act comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum EnergisedBy {
    /// The line: the set runs.
    #[default]
    Line,
    /// The bench's d.c. source, the set's plug out.
    BenchSource,
}

/// How an instrument is held while the power is on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Hold {
    /// Clipped on with the plug out, hands away.
    #[default]
    ClippedWithPlugOut,
    /// One probe in one hand, the other lead clipped, the other hand in a pocket.
    OneHand,
    /// A probe in each hand, or one hand on the chassis.
    BothHands,
}

/// What the set would do, once powered, without what an act takes away. Computed;
/// `None` when it has not been worked out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Absence {
    /// The picture tube's grid would rise above its cathode.
    pub lifts_picture_grid: Option<bool>,
    /// An output tube's screen would stay fed without its plate.
    pub leaves_screen_fed: Option<bool>,
    /// A fed output tube would lose its drive.
    pub takes_drive: Option<bool>,
    /// A fed output tube would lose its bias.
    pub takes_bias: Option<bool>,
}

impl Absence {
    /// Worked out and found harmless in every respect.
    pub const HARMLESS: Self = Self {
        lifts_picture_grid: Some(false),
        leaves_screen_fed: Some(false),
        takes_drive: Some(false),
        takes_bias: Some(false),
    };
}

/// What is joined with a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Connected {
    /// A plain clip lead or wire between `place` and `to`.
    ClipLead,
    /// A set that draws line power through an isolation transformer.
    IsolationTransformer,
    /// A variable transformer in the line.
    VariableTransformer {
        /// True when the advice counts it as isolation.
        counted_as_isolation: bool,
    },
    /// A lamp in series with the line.
    LimiterLamp,
    /// A d.c. source of the bench through a resistor.
    DcSource {
        /// Volts of the source.
        volts: f64,
        /// Ohms in series.
        series_ohms: f64,
    },
    /// A second set or instrument on the same isolation transformer.
    SecondLoadOnIsolation,
    /// An instrument whose common lead is joined to the house earth.
    GroundedInstrument,
    /// Ground clip of a grounded oscilloscope or generator.
    OscilloscopeGround,
    /// Aerial, roof or indoor.
    Antenna,
    /// Earphone, charger, computer or converter without isolation of its own.
    AudioOrComputerLead,
    /// An earth wire or the third wire of a plug.
    Earth,
    /// A new capacitor across an old one.
    CapacitorAcrossOld {
        /// True when the old one stays joined.
        old_stays: bool,
    },
    /// A good capacitor across an old one for a trial, taken off again.
    TestCapacitorAcrossOld,
    /// A piece of wire across a fuse or fusible link.
    FuseBridge,
    /// A bridge across the interlock.
    InterlockBridge {
        /// True when it is meant to stay.
        for_good: bool,
    },
    /// A wire across the heater pins of a tube in a string.
    HeaterBridge,
    /// A resistor of the tube's heater rating in its socket.
    HeaterResistor,
    /// A resistor that draws what the missing load would.
    DummyLoad,
    /// The lead of a signal generator through a blocking capacitor.
    SignalThroughCapacitor {
        /// Volts for which the capacitor is made.
        rated_volts: f64,
    },
}

/// What is set to what.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Setting {
    /// Line volts at the set.
    LineVolts {
        /// Volts r.m.s. to be set.
        volts: f64,
        /// Line volts for which the set is made; `None` unknown.
        marked_volts: Option<f64>,
        /// True when the set is to stay there for hours.
        for_hours: bool,
        /// True when heater, B+ and transformer margins were computed at these volts.
        margin_computed: bool,
    },
    /// Heater volts of a tube that cannot be bought again.
    HeaterVolts {
        /// Volts to be set.
        volts: f64,
        /// Rated volts; `None` unknown.
        rated_volts: Option<f64>,
        /// True when hours at the rated heater came first.
        gentler_tried: bool,
        /// Longest time at these volts, seconds; `None` when no limit is stated.
        limit_seconds: Option<f64>,
    },
    /// Volts of the bench's d.c. source at an electrolytic.
    SourceVolts {
        /// Volts to be set.
        volts: f64,
        /// Volts marked on the electrolytic; `None` unknown.
        marked_volts: Option<f64>,
    },
    /// High voltage of the picture tube.
    HighVoltage {
        /// Volts to be reached.
        volts: f64,
        /// The tube's maximum; `None` unknown.
        maximum_volts: Option<f64>,
    },
    /// Brightness to minimum.
    BrightnessToMinimum,
    /// Brightness turned up.
    BrightnessUp,
    /// Screen volts of the horizontal output tube, raised for more width.
    OutputScreenUp,
    /// Ion trap for the brightest raster, at low brightness.
    IonTrapForBrightest,
    /// Ion trap moved to hide a shadow or to centre.
    IonTrapToHideShadow,
    /// A control to its middle or another stated point, in tenths of its travel.
    ControlTenths(u8),
}

/// How an electrolytic is formed anew.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ReFormed {
    /// In the set, through its own rectifier.
    ThroughOwnRectifier,
    /// From a separate source behind a resistor, plug out.
    FromSeparateSource {
        /// Volts of the source.
        volts: f64,
        /// Volts marked on the electrolytic; `None` unknown.
        marked_volts: Option<f64>,
        /// Ohms in series.
        series_ohms: f64,
        /// Most watts that can come up in the can; `None` when not computed.
        most_watts_in_can: Option<f64>,
        /// True when a shield stands between can and face.
        shield: bool,
    },
}

/// What takes the place of an old part.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Replacement {
    /// A part of the drawn value and rating.
    SameValue,
    /// A fuse.
    Fuse {
        /// Amperes of the new one.
        amperes: f64,
        /// Amperes marked or computed; `None` unknown.
        right_amperes: Option<f64>,
        /// True when a slow one takes the place of a fast one without a computation.
        slow_for_fast: bool,
    },
    /// A capacitor at the line or at the antenna terminals.
    LineCapacitor {
        /// Its safety class.
        class: SafetyClass,
        /// True when it has an end on metal that can be touched.
        to_touched_metal: bool,
        /// True when it is larger than the drawn value.
        larger_than_drawn: bool,
    },
    /// The antenna isolation network with its bleed resistor.
    AntennaIsolation {
        /// True when the drawn bleed resistor is fitted too.
        bleed_resistor: bool,
        /// True when the capacitors are larger than drawn.
        larger_than_drawn: bool,
    },
    /// The front glass.
    FrontGlass(Glass),
    /// A new cord.
    Cord,
    /// What replaces a resistance cord.
    ResistanceCord(CordReplacement),
    /// An electrolytic.
    Electrolytic {
        /// True when its + end was compared with the sheet.
        polarity_checked: bool,
    },
    /// A tube or flyback, with the high voltage it gives.
    SweepPart {
        /// Volts at the picture tube's anode with it; `None` unknown.
        high_voltage: Option<f64>,
        /// The picture tube's maximum; `None` unknown.
        maximum_volts: Option<f64>,
    },
    /// Silicon rectifier and computed series resistor for selenium.
    SiliconWithResistor,
}

/// Safety class of a capacitor (IEC 60384-14).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SafetyClass {
    /// No class: an ordinary film or ceramic part.
    Ordinary,
    /// X1 or X2: across the line.
    X,
    /// Y1 or Y2: line to metal that can be touched.
    Y,
}

/// What the front of the cabinet gets.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Glass {
    /// Ordinary window glass.
    Window,
    /// Laminated glass, tempered glass or thick polycarbonate of the same size.
    Safety,
}

/// What replaces a resistance cord.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CordReplacement {
    /// A plain cord and nothing else.
    PlainCord,
    /// The same cord, shortened.
    Shortened,
    /// The same cord, coiled up.
    CoiledUp,
    /// A new cord and a computed dropper in a ventilated place.
    NewCordAndDropper,
}

/// How something heavy or fragile is moved.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Carrying {
    /// How many people.
    pub people: u8,
    /// Where it is held or laid.
    pub grip: Grip,
    /// True with goggles, gloves and long sleeves on.
    pub protected: bool,
    /// True when others stand near.
    pub others_near: bool,
}

/// Where a picture tube or set is held.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Grip {
    /// Both hands under the face, face down on a soft cloth.
    UnderTheFace,
    /// By the neck.
    ByTheNeck,
    /// Against the body by the funnel.
    AgainstTheBody,
    /// A chassis laid so that its weight rests on tube, neck or cage.
    WeightOnTube,
    /// A chassis or set on blocks or by its frame.
    ByTheFrame,
}

/// What is done to a surface, a material or a part.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Treatment {
    /// Scrape, scratch, sand or brush.
    Scrape,
    /// Pry with metal.
    Pry,
    /// Open, drill, tear or break.
    BreakOpen,
    /// Burn or heat with a flame.
    Flame,
    /// Slow even warmth and thin wire, protected and watched.
    SlowWarmth,
    /// Heat in an oven.
    Oven,
    /// Sweep dry, blow or vacuum.
    SweepOrVacuum,
    /// Handle with bare hands.
    BareHands,
    /// Sniff for the place of a smell.
    Sniff,
    /// Shake.
    Shake,
    /// Household waste.
    HouseholdWaste,
    /// Gloves, wet wipe, sealed bag, local rules.
    SealAndHandIn,
    /// Leave as it is.
    LeaveAlone,
    /// Paint or lacquer.
    Paint,
    /// Water.
    Water,
    /// Cleaner of the time, carbon tetrachloride and its like.
    PeriodCleaner,
    /// Modern contact cleaner that burns until dry.
    ContactCleaner,
    /// Cold cleaner on hot glass.
    ColdCleanerOnHotGlass,
    /// Wipe wax away, fit a drip shield.
    WipeAway,
    /// Wire it anew: work on fixed wiring.
    Rewire,
}

/// When a restoring shock is considered.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ShockCase {
    /// Every gentler way was tried.
    pub gentler_tried: bool,
    /// The tube still gives a picture.
    pub still_gives_a_picture: bool,
    /// It has been done before.
    pub done_before: bool,
    /// The owner decided, told that it may be final.
    pub owner_decided: bool,
}

/// Who watches during a wait.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Watch {
    /// The restorer, plug within reach.
    Restorer,
    /// Nobody.
    Nobody,
    /// A timer switch.
    TimerSwitch,
}

/// What might be told about safety.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Saying {
    /// The set is safe to touch behind an isolation transformer.
    SafeBehindIsolation,
    /// The set is safe to touch behind a lamp.
    SafeBehindLamp,
    /// It is safe to work alone.
    SafeAlone,
    /// The set is approved, or has passed a standard.
    Approved,
    /// The place is discharged because time has passed.
    DischargedByTime,
    /// Everything inside is to be taken as live.
    TreatAsLive,
    /// Tell somebody when you begin and end.
    TellSomebody,
    /// Ask a licensed person.
    AskLicensedPerson,
}
