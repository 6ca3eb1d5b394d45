//! Published figures of tubes and parts, each with its source and standing.
//!
//! The tables are the CSV files in `data/`, which a person can read and
//! correct; `data/README.md` says how they may be wrong. [`catalogue`] reads
//! them once. A [`TubeType`] has pins, a [`HeaterRating`], and [`Section`]s
//! with their points of operation; a rectifier's section has a
//! [`RectifierRating`]. What is unknown is `None`, never zero. This crate
//! knows figures, not sets: no sheet, no circuit, no advice.
//!
//! Units are in each name: volts, milliamperes, ohms, watts, seconds. A table
//! at fault gives every fault at once and no catalogue.
//!
//! ```
//! let catalogue = parts::catalogue().expect("the tables are sound");
//!
//! // Case, spaces and dashes do not count.
//! let rectifier = catalogue.tube("5u4g").expect("listed");
//! assert_eq!(rectifier.name, "5U4-G");
//! let heater = rectifier.heater.as_ref().expect("known");
//! assert_eq!((heater.volts, heater.amperes), (5.0, 3.0));
//! assert_eq!(rectifier.is_directly_heated(), Some(true));
//!
//! // Two sources disagree about its drop; both stand.
//! let rating = rectifier.rectifier_section().and_then(|s| s.rectifier.as_ref());
//! assert_eq!(rating.map(|r| r.drop_points.len()), Some(2));
//!
//! // An answer that is not exact says what it rests on.
//! let other = catalogue.tube_match("ECC82").expect("a number of 12AU7");
//! assert_eq!(other.tube.name, "12AU7");
//! assert!(!other.exact && other.note.is_some());
//! ```

mod alias;
mod base;
mod catalogue;
mod effort;
mod fault;
#[cfg(test)]
mod faulty_tables;
mod lamp;
mod like;
mod metal_rectifier;
mod neon_lamp;
mod own_table;
mod own_things;
mod own_types;
mod picture_tube;
mod pin;
mod prices;
mod read_section;
mod read_tube;
mod small_diode;
mod standing;
mod symptom;
mod table;
mod thermistor;
mod thing_to_see;
mod todays_part;
mod trade;
mod tube;
mod tube_name;
mod tungsten;
mod worth;

pub use alias::Alias;
pub use base::{Base, BaseMark};
pub use catalogue::{Catalogue, TubeMatch, catalogue};
pub use effort::{Effort, MEASUREMENTS, efforts, read_efforts};
pub use fault::{ColumnFault, DataFault};
pub use lamp::LampType;
pub use like::{Change, Fit, Matter, NearTube, near_tubes};
pub use metal_rectifier::{SeleniumType, SiliconType};
pub use neon_lamp::NeonLampType;
pub use own_things::read_own_things;
pub use own_types::{OwnType, read_own_types};
pub use picture_tube::{
    CloseReplacement, Deflection, Envelope, Face, Focus, IonTrap, PictureTubeData,
};
pub use pin::{ELEMENTS, Pin, PinName, PinNameError};
pub use prices::{Price, read_prices};
pub use read_tube::TUBE_COLUMNS;
pub use small_diode::{
    DiodeMaterial, GENERAL_GERMANIUM_DIODE, GENERAL_SELENIUM_DIODE, SmallDiodeType,
};
pub use standing::{Provenance, Standing};
pub use symptom::{SectionOfSymptom, SetSection, Symptom, TypicalPart, symptoms};
pub use thermistor::{GENERAL_HEATER_STRING, ThermistorType};
pub use thing_to_see::{ThingToSee, things_to_see};
pub use todays_part::{
    KINDS_OF_TODAY, MadeIn, RatingUnit, ResistorVolts, RippleRating, TodaysPart, TodaysParts,
    todays_parts,
};
pub use trade::{
    Irreplaceable, PartFault, PartTrade, ReplacementRule, Severity, SeverityLaw, TradeNumber,
};
pub use tube::{
    DropPoint, HeaterRating, Heating, OperatingPoint, PinKnowledge, RectifierPath, RectifierRating,
    Section, SectionKind, TubeType,
};
pub use tungsten::{ROOM_KELVIN, TungstenRange, TungstenRow, TungstenTable};
pub use worth::{WorthFigure, WorthTest, own_worth_figures, worth_figures, worth_tests};

/// The edition of the tables, shown in reports and kept with advice.
pub const DATA_EDITION: &str = "2026.2";
