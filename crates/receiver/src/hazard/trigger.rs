//! When a hazard is before the restorer: typed words that the table names.
//!
//! A row's `trigger` is one or more alternatives parted by commas; within one, words joined by
//! ` + ` must all hold. Words are read with [`Trigger::read`]; an unknown word is a fault of the
//! table. Volts. A fact of the [`Situation`] that is not known counts as present, because a
//! caution too many costs a line and one too few costs more.

use super::act::{Act, ActKind};
use super::details::{Connected, Measured, Replacement, Setting, Treatment};
use super::place::ActPlace;
use super::situation::{Cabinet, Cord, Isolation, Seen, Sign, Situation};

/// When a hazard's caution is shown.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Trigger {
    /// Alternatives; all words of one must hold.
    alternatives: Vec<Vec<TriggerWord>>,
}

impl Trigger {
    /// A trigger of one word.
    #[must_use]
    pub fn of(word: TriggerWord) -> Self {
        Self {
            alternatives: vec![vec![word]],
        }
    }

    /// Reads a trigger as the table writes it.
    ///
    /// # Errors
    /// The words that are none, in the order read.
    pub fn read(text: &str) -> Result<Self, Vec<String>> {
        let mut unknown = Vec::new();
        let mut alternatives = Vec::new();
        for alternative in text.split(',') {
            let mut words = Vec::new();
            for word in alternative.split('+').map(str::trim) {
                match TriggerWord::read(word) {
                    Some(found) => words.push(found),
                    None => unknown.push(word.to_owned()),
                }
            }
            alternatives.push(words);
        }
        if unknown.is_empty() {
            Ok(Self { alternatives })
        } else {
            Err(unknown)
        }
    }

    /// True when the trigger holds for these acts in this situation.
    #[must_use]
    pub fn holds(&self, acts: &[Act], situation: &Situation) -> bool {
        self.alternatives
            .iter()
            .any(|words| words.iter().all(|word| word.holds(acts, situation)))
    }
}

macro_rules! trigger_words {
    ($($name:ident $text:literal $doc:literal,)*) => {
        /// One word of a trigger.
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        pub enum TriggerWord {
            $(#[doc = $doc] $name,)*
        }

        impl TriggerWord {
            /// All words, as the table writes them, with their meaning.
            pub const ALL: &'static [(TriggerWord, &'static str, &'static str)] =
                &[$((Self::$name, $text, $doc),)*];
        }
    };
}

trigger_words! {
    Always "always" "Always.",
    Energised "energised" "Line or bench source gives power, or begins to.",
    Running "running" "The set runs from the line, or begins to run.",
    EnergisedWait "energised-wait" "A wait with the power on.",
    Capacitors "capacitors" "Capacitors that see more than 60 V.",
    PictureTube "picture-tube" "A picture tube is in the set.",
    PictureTubeHandled "picture-tube-handled" "The picture tube is bared, moved or worked at.",
    Coating "coating" "The picture tube has an outer coating not yet seen joined to chassis.",
    HighVoltageFilter "high-voltage-filter" "A filter capacitor or multiplier of the high voltage.",
    MetalCone "metal-cone" "The picture tube has a metal cone.",
    FrontGlassOff "front-glass-off" "The front glass is off.",
    BondedWindow "bonded-window" "The picture tube has a bonded window.",
    ChassisMayBeLive "chassis-may-be-live" "The chassis is on the line, or nobody knows.",
    ChassisMoved "chassis-moved" "Chassis or set is moved.",
    VariableTransformer "variable-transformer" "A variable transformer is in use.",
    IsolationInUse "isolation-in-use" "An isolation transformer is in use.",
    EarthConsidered "earth-considered" "Something would be joined to earth.",
    AntennaJoined "antenna-joined" "An act at the antenna terminals, or an antenna to be joined.",
    LineCapacitors "line-capacitors" "Capacitors at the line or at the antenna terminals.",
    HandOver "hand-over" "The set is handed over.",
    CordAsFound "cord-as-found" "The line cord is as found.",
    ResistanceCord "resistance-cord" "The set has a resistance cord.",
    FuseTouched "fuse-touched" "A fuse is replaced or bridged.",
    OpenSetRunning "open-set-running" "The open set runs.",
    LineAboveMarked "line-above-marked" "The line is above the volts the set is made for.",
    HorizontalOutput "horizontal-output" "The set has a horizontal output stage.",
    TopCaps "top-caps" "Tubes with a top cap.",
    AnodeAbove1Kilovolt "anode-above-1-kv" "The anode is above 1 kV while running.",
    AnodeNear16Kilovolts "anode-near-16-kv" "The anode is at 15 kV or more while running.",
    HighVoltageRaised "high-voltage-raised" "Something raises the high voltage.",
    LineFrequencyHighVoltage "line-frequency-high-voltage" "High voltage made from the line by a transformer.",
    CoronaNoticed "corona-noticed" "Hiss or purple glow is noticed.",
    ElectrolyticsAsFound "electrolytics-as-found" "Electrolytics as found.",
    ElectrolyticReplaced "electrolytic-replaced" "An electrolytic was replaced or turned.",
    CapacitorAcrossOld "capacitor-across-old" "A capacitor is put across an old one.",
    Selenium "selenium" "The set has a selenium rectifier.",
    OilFilledPartSeen "oil-filled-part-seen" "An oil-filled part was seen.",
    FibrousSheetSeen "fibrous-sheet-seen" "Fibrous sheet was seen.",
    Soldering "soldering" "Something is soldered.",
    Cleaning "cleaning" "Something is cleaned with a liquid.",
    OldCleanerSeen "old-cleaner-seen" "Old cleaner was seen.",
    BrokenTubeSeen "broken-tube-seen" "A broken tube with powder was seen.",
    RadioactiveMarkSeen "radioactive-mark-seen" "A mark of radioactivity was seen.",
    MercurySeen "mercury-seen" "Mercury was seen.",
    PowerTransformer "power-transformer" "The set has a power transformer.",
    WaxedParts "waxed-parts" "Waxed coils or paper parts.",
    LimiterLamp "limiter-lamp" "A lamp is in series with the set.",
    SweepMayBeMissing "sweep-may-be-missing" "There is a picture tube, and a sweep may be missing.",
    IonTrap "ion-trap" "The picture tube needs an ion trap.",
    HeaterVoltsRaised "heater-volts-raised" "A heater is fed above its rating.",
    HeaterString "heater-string" "The heaters are in series.",
    ShockConsidered "shock-considered" "A restoring shock is considered.",
    PartTakenAway "part-taken-away" "A tube, plug or part is taken away.",
    LoadMissing "load-missing" "Tubes are out, or a plug that carries B+ is open.",
    TubeHandled "tube-handled" "A tube is pulled or touched.",
    Oscilloscope "oscilloscope" "An oscilloscope or grounded generator is used.",
    Measuring "measuring" "Something is measured.",
}

impl TriggerWord {
    fn read(text: &str) -> Option<Self> {
        Self::ALL
            .iter()
            .find(|(_, written, _)| *written == text)
            .map(|(word, _, _)| *word)
    }

    /// True when this word holds for these acts in this situation.
    #[must_use]
    pub fn holds(self, acts: &[Act], s: &Situation) -> bool {
        let any = |test: fn(&Act) -> bool| acts.iter().any(test);
        let may = |fact: Option<bool>| fact != Some(false);
        let seen = |what: Seen| s.seen.contains(&what);
        match self {
            Self::Always => true,
            Self::Energised => any(Act::is_under_power),
            Self::Running => any(Act::runs_the_set),
            Self::EnergisedWait => {
                any(|act| matches!(act.kind, ActKind::Wait { .. }) && act.energised)
            }
            Self::Capacitors => may(s.capacitors_above_60_volts),
            Self::PictureTube => may(s.picture_tube),
            Self::PictureTubeHandled => {
                s.picture_tube_bared || any(|act| act.place.is_picture_tube() && act.is_by_hand())
            }
            Self::Coating => {
                may(s.picture_tube) && may(s.coating) && s.coating_grounded != Some(true)
            }
            Self::HighVoltageFilter => may(s.high_voltage_filter) && may(s.picture_tube),
            Self::MetalCone => may(s.metal_cone) && may(s.picture_tube),
            Self::FrontGlassOff => may(s.picture_tube) && s.front_glass_fitted != Some(true),
            Self::BondedWindow => may(s.bonded_window) && may(s.picture_tube),
            Self::ChassisMayBeLive => s.chassis_may_be_live(),
            Self::ChassisMoved => any(|act| matches!(act.kind, ActKind::Carry(_))),
            Self::VariableTransformer => {
                s.variable_transformer || s.isolation == Isolation::VariableAutotransformer
            }
            Self::IsolationInUse => s.isolation == Isolation::IsolationTransformer,
            Self::EarthConsidered => any(|act| {
                matches!(
                    act.kind,
                    ActKind::Connect(
                        Connected::Earth
                            | Connected::GroundedInstrument
                            | Connected::OscilloscopeGround
                    )
                ) || act.place == ActPlace::InstrumentEarth
            }),
            Self::AntennaJoined => any(|act| {
                act.place == ActPlace::AntennaTerminals
                    || act.kind == ActKind::Connect(Connected::Antenna)
            }),
            Self::LineCapacitors => may(s.line_capacitors),
            Self::HandOver => any(|act| act.kind == ActKind::HandOver),
            Self::CordAsFound => s.cord == Cord::AsFound,
            Self::ResistanceCord => may(s.resistance_cord),
            Self::FuseTouched => any(|act| {
                matches!(act.place, ActPlace::Fuse(_))
                    || matches!(act.kind, ActKind::Replace(Replacement::Fuse { .. }))
            }),
            Self::OpenSetRunning => s.cabinet == Cabinet::Open && any(Act::runs_the_set),
            Self::LineAboveMarked => {
                any(Act::runs_the_set)
                    && match (s.line_volts, s.marked_line_volts) {
                        (Some(line_volts), Some(marked_volts)) => line_volts > marked_volts,
                        _ => true,
                    }
            }
            Self::HorizontalOutput => may(s.horizontal_output),
            Self::TopCaps => may(s.top_caps),
            Self::AnodeAbove1Kilovolt => {
                may(s.picture_tube) && s.anode_volts.is_none_or(|volts| volts > 1_000.0)
            }
            Self::AnodeNear16Kilovolts => {
                may(s.picture_tube) && s.anode_volts.is_none_or(|volts| volts >= 15_000.0)
            }
            Self::HighVoltageRaised => any(|act| {
                matches!(
                    act.kind,
                    ActKind::Set(Setting::HighVoltage { .. })
                        | ActKind::Replace(Replacement::SweepPart { .. })
                )
            }),
            Self::LineFrequencyHighVoltage => may(s.line_frequency_high_voltage),
            Self::CoronaNoticed => s.shows(Sign::Corona),
            Self::ElectrolyticsAsFound => {
                may(s.capacitors_above_60_volts) && may(s.electrolytics_as_found)
            }
            Self::ElectrolyticReplaced => {
                s.electrolytic_replaced
                    || any(|act| {
                        matches!(act.kind, ActKind::Replace(Replacement::Electrolytic { .. }))
                    })
            }
            Self::CapacitorAcrossOld => any(|act| {
                matches!(
                    act.kind,
                    ActKind::Connect(
                        Connected::CapacitorAcrossOld { .. } | Connected::TestCapacitorAcrossOld
                    )
                )
            }),
            Self::Selenium => may(s.selenium),
            Self::OilFilledPartSeen => {
                seen(Seen::OilFilledPart) || any(|act| act.place == ActPlace::OilFilledPart)
            }
            Self::FibrousSheetSeen => {
                seen(Seen::FibrousSheet) || any(|act| act.place == ActPlace::FibrousSheet)
            }
            Self::Soldering => any(|act| matches!(act.kind, ActKind::Solder | ActKind::Replace(_))),
            Self::Cleaning => any(|act| {
                matches!(
                    act.kind,
                    ActKind::Treat(
                        Treatment::PeriodCleaner
                            | Treatment::ContactCleaner
                            | Treatment::ColdCleanerOnHotGlass
                    )
                )
            }),
            Self::OldCleanerSeen => seen(Seen::PeriodCleaner),
            Self::BrokenTubeSeen => {
                seen(Seen::BrokenTube) || any(|act| act.place == ActPlace::TubePowder)
            }
            Self::RadioactiveMarkSeen => {
                seen(Seen::RadioactiveMark) || any(|act| act.place == ActPlace::RadioactiveItem)
            }
            Self::MercurySeen => {
                seen(Seen::Mercury) || any(|act| act.place == ActPlace::MercuryItem)
            }
            Self::PowerTransformer => may(s.power_transformer),
            Self::WaxedParts => may(s.waxed_parts),
            Self::LimiterLamp => s.limiter_lamp,
            Self::SweepMayBeMissing => may(s.picture_tube) && s.sweeps_run != Some(true),
            Self::IonTrap => may(s.ion_trap_needed) && may(s.picture_tube),
            Self::HeaterVoltsRaised => any(|act| match act.kind {
                ActKind::Set(Setting::HeaterVolts {
                    volts, rated_volts, ..
                }) => rated_volts.is_none_or(|rated| volts > rated),
                _ => false,
            }),
            Self::HeaterString => may(s.heater_string),
            Self::ShockConsidered => any(|act| matches!(act.kind, ActKind::Shock(_))),
            Self::PartTakenAway => {
                any(|act| matches!(act.kind, ActKind::Lift | ActKind::Pull | ActKind::Open))
            }
            Self::LoadMissing => s.load_missing,
            Self::TubeHandled => any(|act| {
                matches!(act.place, ActPlace::Tube(_) | ActPlace::TubeCap(_)) && act.is_by_hand()
            }),
            Self::Oscilloscope => any(|act| {
                act.kind == ActKind::Connect(Connected::OscilloscopeGround)
                    || matches!(
                        act.instrument,
                        Some(
                            super::details::Instrument::Oscilloscope { .. }
                                | super::details::Instrument::PulseDivider { .. }
                        )
                    )
            }),
            Self::Measuring => any(|act| match act.kind {
                ActKind::Measure(what) => what != Measured::Temperature,
                _ => false,
            }),
        }
    }
}
