//! Where an act is done, in the restorer's words.
//!
//! Text in a place is the sheet's own name of it (`B+ main`, `V5.6`, `C1A`). Nothing here
//! can fail: a place that does not exist in the set is the caller's to find.

use std::fmt;

/// Where an act is done.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ActPlace {
    /// A named junction or line (`B+ main`), or a pin (`V5.6`).
    Junction(String),
    /// The metal base.
    Chassis,
    /// House earth, a water pipe or a radiator.
    Earth,
    /// A blade of the set's plug (`line a`, `line b`).
    LineBlade(String),
    /// A part by its ref.
    Part(String),
    /// A switch with an insulated handle, by its ref.
    Switch(String),
    /// A plug inside the set, by its ref.
    Plug(String),
    /// The plug or feed of the horizontal output stage.
    SweepFeed(String),
    /// A tube by its ref.
    Tube(String),
    /// The top cap of a tube that is none of the sweep's high-voltage places.
    TubeCap(String),
    /// Plate cap of the horizontal output tube, or the top of the flyback.
    HorizontalOutputPlate(String),
    /// Cathode of the damper.
    DamperCathode(String),
    /// The high-voltage rectifier, any of its pins.
    HighVoltageRectifier(String),
    /// The picture tube as a whole.
    PictureTube,
    /// Its high-voltage contact, and the anode lead.
    PictureTubeAnode,
    /// Its outer coating with spring or braid.
    PictureTubeCoating,
    /// Its neck.
    PictureTubeNeck,
    /// Yoke, focus coil, base or ion trap on the neck.
    PartOnTheNeck,
    /// Its socket.
    PictureTubeSocket,
    /// Its metal cone, rim, boot and ring.
    MetalCone,
    /// Its bonded window.
    BondedWindow,
    /// Filter capacitor or multiplier of the high voltage.
    HighVoltageFilter(String),
    /// High voltage made from the line by a transformer.
    LineFrequencyHighVoltage(String),
    /// The flyback transformer.
    Flyback,
    /// Cage and shields of the high voltage.
    Cage,
    /// The heater pins of a tube in a string.
    HeaterPins(String),
    /// The whole set.
    WholeSet,
    /// The open chassis.
    OpenChassis,
    /// Metal that can be touched with the cabinet closed.
    ExposedMetal,
    /// Antenna terminals.
    AntennaTerminals,
    /// Line cord with its plug.
    LineCord,
    /// A fuse or fusible link by its ref.
    Fuse(String),
    /// Interlock of the back cover.
    Interlock,
    /// The front glass.
    FrontGlass,
    /// Safety earth of an instrument.
    InstrumentEarth,
    /// Fixed wiring of the house.
    HouseWiring,
    /// Bench with its supply.
    Bench,
    /// A selenium rectifier by its ref.
    Selenium(String),
    /// A sealed oil-filled part.
    OilFilledPart,
    /// Grey or white fibrous sheet near hot parts.
    FibrousSheet,
    /// Powder of a broken tube.
    TubePowder,
    /// A tube or paint marked as radioactive.
    RadioactiveItem,
    /// A tube or tilt switch with mercury.
    MercuryItem,
    /// Wax at a part.
    Wax,
}

impl ActPlace {
    /// A named junction, line or pin.
    #[must_use]
    pub fn junction(name: &str) -> Self {
        Self::Junction(name.to_owned())
    }

    /// A part by its ref.
    #[must_use]
    pub fn part(reference: &str) -> Self {
        Self::Part(reference.to_owned())
    }

    /// A tube by its ref.
    #[must_use]
    pub fn tube(reference: &str) -> Self {
        Self::Tube(reference.to_owned())
    }

    /// True where pulses of kilovolts stand while the sweep runs.
    #[must_use]
    pub fn has_sweep_pulses(&self) -> bool {
        matches!(
            self,
            Self::HorizontalOutputPlate(_) | Self::DamperCathode(_) | Self::HighVoltageRectifier(_)
        )
    }

    /// True where the picture tube's high voltage stands.
    #[must_use]
    pub fn has_high_voltage(&self) -> bool {
        matches!(
            self,
            Self::PictureTubeAnode
                | Self::MetalCone
                | Self::HighVoltageFilter(_)
                | Self::HighVoltageRectifier(_)
        )
    }

    /// True under the chassis and on top of it, where stored charge of the B+ supply may stand.
    #[must_use]
    pub fn is_in_the_supply_wiring(&self) -> bool {
        matches!(
            self,
            Self::Junction(_)
                | Self::Chassis
                | Self::OpenChassis
                | Self::Part(_)
                | Self::Plug(_)
                | Self::SweepFeed(_)
                | Self::TubeCap(_)
                | Self::HorizontalOutputPlate(_)
                | Self::DamperCathode(_)
                | Self::Selenium(_)
                | Self::HeaterPins(_)
                | Self::Fuse(_)
                | Self::Flyback
                | Self::PartOnTheNeck
        )
    }

    /// True for the picture tube and everything that belongs to its glass.
    #[must_use]
    pub fn is_picture_tube(&self) -> bool {
        matches!(
            self,
            Self::PictureTube
                | Self::PictureTubeAnode
                | Self::PictureTubeCoating
                | Self::PictureTubeNeck
                | Self::PartOnTheNeck
                | Self::PictureTubeSocket
                | Self::MetalCone
                | Self::BondedWindow
        )
    }
}

impl fmt::Display for ActPlace {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Junction(name) | Self::LineBlade(name) => f.write_str(name),
            Self::Part(name) | Self::Tube(name) => f.write_str(name),
            Self::Chassis => f.write_str("chassis"),
            Self::Earth => f.write_str("earth"),
            Self::Switch(name) => write!(f, "switch {name}"),
            Self::Plug(name) => write!(f, "plug {name}"),
            Self::SweepFeed(name) => write!(f, "the sweep feed {name}"),
            Self::TubeCap(name) => write!(f, "the cap of {name}"),
            Self::HorizontalOutputPlate(name) => write!(f, "the plate cap of {name}"),
            Self::DamperCathode(name) => write!(f, "the damper cathode of {name}"),
            Self::HighVoltageRectifier(name) => write!(f, "the high-voltage rectifier {name}"),
            Self::PictureTube => f.write_str("the picture tube"),
            Self::PictureTubeAnode => f.write_str("the picture tube's anode contact"),
            Self::PictureTubeCoating => f.write_str("the picture tube's outer coating"),
            Self::PictureTubeNeck => f.write_str("the picture tube's neck"),
            Self::PartOnTheNeck => f.write_str("yoke, focus coil or base on the neck"),
            Self::PictureTubeSocket => f.write_str("the picture tube's socket"),
            Self::MetalCone => f.write_str("the picture tube's metal cone"),
            Self::BondedWindow => f.write_str("the picture tube's bonded window"),
            Self::HighVoltageFilter(name) => write!(f, "the high-voltage capacitor {name}"),
            Self::LineFrequencyHighVoltage(name) => {
                write!(f, "the high-voltage supply {name}")
            }
            Self::Flyback => f.write_str("the flyback"),
            Self::Cage => f.write_str("the high-voltage cage"),
            Self::HeaterPins(name) => write!(f, "the heater pins of {name}"),
            Self::WholeSet => f.write_str("the set"),
            Self::OpenChassis => f.write_str("the open chassis"),
            Self::ExposedMetal => f.write_str("metal that can be touched"),
            Self::AntennaTerminals => f.write_str("the antenna terminals"),
            Self::LineCord => f.write_str("the line cord"),
            Self::Fuse(name) => write!(f, "fuse {name}"),
            Self::Interlock => f.write_str("the interlock"),
            Self::FrontGlass => f.write_str("the front glass"),
            Self::InstrumentEarth => f.write_str("the instrument's safety earth"),
            Self::HouseWiring => f.write_str("the house wiring"),
            Self::Bench => f.write_str("the bench"),
            Self::Selenium(name) => write!(f, "the selenium rectifier {name}"),
            Self::OilFilledPart => f.write_str("the oil-filled part"),
            Self::FibrousSheet => f.write_str("the fibrous sheet"),
            Self::TubePowder => f.write_str("the powder of the broken tube"),
            Self::RadioactiveItem => f.write_str("the radioactive item"),
            Self::MercuryItem => f.write_str("the mercury tube or switch"),
            Self::Wax => f.write_str("the wax"),
        }
    }
}
