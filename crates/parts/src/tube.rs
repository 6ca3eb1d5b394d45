//! A tube type as the catalogue knows it.
//!
//! Volts, amperes, milliamperes, watts, ohms as each name says. Figures are
//! those of makers' manuals, mostly from memory; see the standing of each. An
//! unknown figure is `None`, an unknown pin map is empty. Nothing here fails;
//! reading a tube type from a table or a sheet is in `read_tube`.

use crate::picture_tube::PictureTubeData;
use crate::pin::{Pin, PinName};
use crate::standing::{Provenance, Standing};

/// A receiving tube or a picture tube.
#[derive(Clone, Debug, PartialEq)]
pub struct TubeType {
    /// The type number, such as `5U4-G`.
    pub name: String,
    /// Other numbers of the same tube with the same figures.
    pub aliases: Vec<String>,
    /// The type whose row this one is taken from, where only the number, the
    /// warm-up or a rating differs; the difference is in the notes.
    pub derived_from: Option<String>,
    /// The base by its name in `data/bases.csv`; empty when unknown.
    pub base: String,
    /// The maker's basing number, such as `5T`; empty when unknown.
    pub basing_code: String,
    /// Places for pins on the base; `None` when the base is unknown.
    pub pin_count: Option<u8>,
    /// The contacts whose elements are recorded. May be incomplete or empty.
    pub pins: Vec<Pin>,
    /// Rated heater volts, also where the amperes are not known; `None` when unknown.
    pub heater_volts: Option<f64>,
    /// The heater or filament; `None` when its volts or amperes are unknown.
    pub heater: Option<HeaterRating>,
    /// The parts of the tube that work apart; empty for a picture tube.
    pub sections: Vec<Section>,
    /// Whether it is a picture tube.
    pub is_picture_tube: bool,
    /// What is known of it as a picture tube.
    pub picture: Option<PictureTubeData>,
    /// Where the figures of its first row come from.
    pub provenance: Provenance,
}

/// How the emitting surface is heated.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Heating {
    /// A filament that is itself the cathode: it emits within seconds.
    Direct,
    /// A heater inside a cathode sleeve.
    Indirect,
}

/// The rating of a heater or filament.
#[derive(Clone, Debug, PartialEq)]
pub struct HeaterRating {
    /// Rated volts, both halves in series where it has a tap.
    pub volts: f64,
    /// Rated amperes at those volts.
    pub amperes: f64,
    /// Directly or indirectly heated; `None` when unknown.
    pub heating: Option<Heating>,
    /// Seconds to reach four fifths of the heater volts in the standard
    /// circuit (heater in series with three times its hot resistance, on four
    /// times its volts); known for controlled types only.
    pub warm_up_seconds: Option<f64>,
    /// Whether it is a controlled warm-up type, made for series strings.
    pub controlled_warm_up: bool,
    /// Whether the middle of the heater is on a pin, so that the halves can
    /// be fed in parallel.
    pub has_tap: bool,
    /// How the volts and amperes are known: the weaker of the two.
    pub standing: Standing,
    /// Whether volts or amperes are named as doubtful.
    pub doubtful: bool,
}

impl HeaterRating {
    /// Rated watts.
    pub fn watts(&self) -> f64 {
        self.volts * self.amperes
    }

    /// Hot resistance in ohms.
    pub fn hot_ohms(&self) -> f64 {
        self.volts / self.amperes
    }

    /// Volts and amperes with the two halves in parallel; `None` without tap.
    pub fn halves_in_parallel(&self) -> Option<(f64, f64)> {
        self.has_tap
            .then_some((self.volts / 2.0, self.amperes * 2.0))
    }
}

/// What a section is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum SectionKind {
    /// A rectifier for the power supply.
    Rectifier,
    /// A damper diode of the horizontal sweep.
    Damper,
    /// A high-voltage rectifier.
    HvRectifier,
    /// A small signal diode.
    Diode,
    /// A triode.
    Triode,
    /// A pentode.
    Pentode,
    /// A beam power tube.
    Beam,
    /// A tube with five grids.
    Pentagrid,
    /// A gated-beam tube.
    GatedBeam,
}

impl SectionKind {
    /// The words of the tables.
    pub const WORDS: [(&'static str, SectionKind); 9] = [
        ("rectifier", SectionKind::Rectifier),
        ("damper", SectionKind::Damper),
        ("hv-rectifier", SectionKind::HvRectifier),
        ("diode", SectionKind::Diode),
        ("triode", SectionKind::Triode),
        ("pentode", SectionKind::Pentode),
        ("beam", SectionKind::Beam),
        ("pentagrid", SectionKind::Pentagrid),
        ("gated-beam", SectionKind::GatedBeam),
    ];

    /// The word of the tables for this kind.
    pub fn word(self) -> &'static str {
        Self::WORDS
            .iter()
            .find(|(_, kind)| *kind == self)
            .map_or("triode", |(word, _)| word)
    }

    /// Whether it is a diode of any sort: current one way, no grid.
    pub fn is_diode(self) -> bool {
        matches!(
            self,
            SectionKind::Rectifier
                | SectionKind::Damper
                | SectionKind::HvRectifier
                | SectionKind::Diode
        )
    }
}

/// A part of a tube that works apart from the others.
#[derive(Clone, Debug, PartialEq)]
pub struct Section {
    /// `triode`, `each-triode`, `full-wave`, `triode-1` and the like.
    pub name: String,
    /// What it is.
    pub kind: SectionKind,
    /// How many equal units the figures stand for: 2 for `each-...` and for
    /// the two plates of a full-wave rectifier, otherwise 1.
    pub units: u8,
    /// Highest plate volts.
    pub max_plate_volts: Option<f64>,
    /// Highest plate dissipation, watts.
    pub max_plate_watts: Option<f64>,
    /// Highest screen dissipation, watts.
    pub max_screen_watts: Option<f64>,
    /// Highest average cathode current, milliamperes; not for diodes.
    pub max_cathode_milliamperes: Option<f64>,
    /// Highest peak cathode current, milliamperes; not for diodes.
    pub max_peak_cathode_milliamperes: Option<f64>,
    /// Published points of operation; two that disagree stand side by side.
    pub operating_points: Vec<OperatingPoint>,
    /// Ratings and drop as a rectifier; diodes of any sort only.
    pub rectifier: Option<RectifierRating>,
    /// Where the ratings come from: the row of the section.
    pub provenance: Provenance,
}

/// One published point of operation.
#[derive(Clone, Debug, PartialEq)]
pub struct OperatingPoint {
    /// Plate to cathode, volts (to chassis where the notes say so).
    pub plate_volts: Option<f64>,
    /// Screen volts.
    pub screen_volts: Option<f64>,
    /// Grid bias, volts.
    pub grid_volts: Option<f64>,
    /// Cathode resistor that makes the bias, ohms.
    pub cathode_ohms: Option<f64>,
    /// Plate current, milliamperes.
    pub plate_milliamperes: Option<f64>,
    /// Screen current, milliamperes.
    pub screen_milliamperes: Option<f64>,
    /// Transconductance, micromhos.
    pub transconductance_micromhos: Option<f64>,
    /// Plate resistance, ohms.
    pub plate_resistance_ohms: Option<f64>,
    /// Amplification factor.
    pub amplification_factor: Option<f64>,
    /// Grid volts for cut-off.
    pub cutoff_volts: Option<f64>,
    /// Plate current at those volts, milliamperes.
    pub cutoff_milliamperes: Option<f64>,
    /// Where this point comes from.
    pub provenance: Provenance,
}

/// Ratings of a diode section.
#[derive(Clone, Debug, PartialEq)]
pub struct RectifierRating {
    /// Volts dropped at a d.c. plate current; several where sources disagree
    /// or give several currents. Empty when unknown.
    pub drop_points: Vec<DropPoint>,
    /// Highest inverse volts, peak. For a damper or high-voltage rectifier
    /// the pulse rating.
    pub max_inverse_volts: Option<f64>,
    /// Highest d.c. output, milliamperes; of both plates together for a
    /// full-wave rectifier, else of one plate (`dc_is_per_plate`).
    pub max_dc_milliamperes: Option<f64>,
    /// Whether `max_dc_milliamperes` is for one plate.
    pub dc_is_per_plate: bool,
    /// Highest steady peak current of one plate, milliamperes.
    pub max_peak_milliamperes: Option<f64>,
}

/// Volts across one plate at a steady current through it.
#[derive(Clone, Debug, PartialEq)]
pub struct DropPoint {
    /// Volts, plate to cathode.
    pub volts: f64,
    /// Milliamperes through that plate.
    pub milliamperes: f64,
    /// Where the point comes from.
    pub source: String,
    /// How it is known.
    pub standing: Standing,
    /// Whether it is named as doubtful.
    pub doubtful: bool,
}

/// A way through a rectifier: one plate and the contacts of its cathode.
#[derive(Clone, Debug, PartialEq)]
pub struct RectifierPath {
    /// The plate's contact.
    pub plate: PinName,
    /// The cathode's contacts; the two ends of a filament where it is one.
    pub cathodes: Vec<PinName>,
}

/// What is known of a contact that somebody named.
#[derive(Clone, Debug, PartialEq)]
pub enum PinKnowledge<'a> {
    /// The contact is there and what it carries is recorded.
    Recorded(&'a Pin),
    /// The base has this place but nothing is recorded for it.
    NotRecorded,
    /// The tube has no such contact.
    Absent {
        /// Why not.
        because: String,
        /// What may have been meant.
        hint: String,
    },
}

impl TubeType {
    /// The contact, if what it carries is recorded. A picture tube's `cap` is
    /// its anode.
    pub fn pin(&self, name: PinName) -> Option<&Pin> {
        let wanted = match name {
            PinName::Cap if self.is_picture_tube => PinName::Anode,
            other => other,
        };
        self.pins.iter().find(|pin| pin.number == wanted)
    }

    /// What is known of a contact: recorded, not recorded, or absent.
    pub fn pin_knowledge(&self, name: PinName) -> PinKnowledge<'_> {
        if let Some(pin) = self.pin(name) {
            return PinKnowledge::Recorded(pin);
        }
        let absent = |because: String, hint: &str| PinKnowledge::Absent {
            because,
            hint: hint.to_string(),
        };
        match name {
            PinName::Number(number) => match self.pin_count {
                Some(count) if number > count => absent(
                    format!("{} has a base of {count} pins ({})", self.name, self.base),
                    "count the pins from the key, seen from below",
                ),
                _ => PinKnowledge::NotRecorded,
            },
            PinName::Cap if self.is_picture_tube => absent(
                format!("the high-voltage contact of {} is written anode", self.name),
                "write .anode",
            ),
            PinName::Cap if self.pins.is_empty() => PinKnowledge::NotRecorded,
            PinName::Cap => absent(
                format!("{} has no top cap", self.name),
                "give the pin by its number",
            ),
            PinName::Anode | PinName::Coating if !self.is_picture_tube => absent(
                format!("{} is no picture tube", self.name),
                "give the pin by its number, or .cap",
            ),
            PinName::Anode if self.pins.iter().any(|pin| pin.carries("anode2")) => absent(
                format!("the anode of {} is on its base", self.name),
                "give the pin by its number",
            ),
            PinName::Coating
                if self
                    .picture
                    .as_ref()
                    .is_some_and(|p| p.has_coating == Some(false)) =>
            {
                absent(
                    format!("{} has no outer coating", self.name),
                    "the set brings its own high-voltage filter capacitor",
                )
            }
            PinName::Anode | PinName::Coating => PinKnowledge::NotRecorded,
        }
    }

    /// The contacts that carry the element.
    pub fn pins_carrying(&self, element: &str) -> Vec<PinName> {
        self.pins
            .iter()
            .filter(|pin| pin.carries(element))
            .map(|pin| pin.number)
            .collect()
    }

    /// The two ends of the heater or filament, tap left out; empty when the
    /// pin map is not recorded.
    pub fn heater_pins(&self) -> Vec<PinName> {
        self.pins
            .iter()
            .filter(|pin| pin.carries("heater") || pin.carries("filament"))
            .map(|pin| pin.number)
            .collect()
    }

    /// Whether the cathode is a filament; `None` when unknown.
    pub fn is_directly_heated(&self) -> Option<bool> {
        let heating = self.heater.as_ref()?.heating?;
        Some(heating == Heating::Direct)
    }

    /// The diode section used as a power, damper or high-voltage rectifier.
    pub fn rectifier_section(&self) -> Option<&Section> {
        self.sections
            .iter()
            .find(|section| section.kind.is_diode() && section.kind != SectionKind::Diode)
    }

    /// The same type where it works as a damper, its plates tied together, as sets before the first damper types had it; `None`
    /// where it is no rectifier for a supply.
    pub fn as_damper(&self) -> Option<TubeType> {
        if self.rectifier_section()?.kind != SectionKind::Rectifier {
            return None;
        }
        let mut own = self.clone();
        let is_rectifier = |section: &&mut Section| section.kind == SectionKind::Rectifier;
        for section in own.sections.iter_mut().filter(is_rectifier) {
            let plates = f64::from(section.units.max(1));
            section.kind = SectionKind::Damper;
            section.units = 1;
            if let Some(rating) = &mut section.rectifier {
                for drop in &mut rating.drop_points {
                    drop.milliamperes *= plates;
                }
                if rating.dc_is_per_plate {
                    rating.max_dc_milliamperes =
                        rating.max_dc_milliamperes.map(|most| plates * most);
                    rating.dc_is_per_plate = false;
                }
                rating.max_peak_milliamperes =
                    rating.max_peak_milliamperes.map(|most| plates * most);
            }
        }
        for element in own.pins.iter_mut().flat_map(|pin| &mut pin.elements) {
            if element == "plate1" || element == "plate2" {
                *element = "plate".to_string();
            }
        }
        Some(own)
    }

    /// Each plate of a rectifier with the contacts of its cathode. Empty for
    /// other tubes and where the pin map is not recorded.
    pub fn rectifier_paths(&self) -> Vec<RectifierPath> {
        if self.rectifier_section().is_none() {
            return Vec::new();
        }
        ["plate", "plate1", "plate2"]
            .into_iter()
            .filter_map(|plate| {
                let contact = self.pins.iter().find(|pin| pin.carries(plate))?.number;
                let own = plate.replace("plate", "cathode");
                let cathodes = [own.as_str(), "cathode", "filament"]
                    .into_iter()
                    .map(|element| self.pins_carrying(element))
                    .find(|contacts| !contacts.is_empty())?;
                Some(RectifierPath {
                    plate: contact,
                    cathodes,
                })
            })
            .collect()
    }
}
