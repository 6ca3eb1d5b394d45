//! A tube type of the catalogue, for people and scripts.
//!
//! Units: in each field's name; degrees clockwise from the base's mark, seen from
//! below. `null` is unknown, never zero. The columns named in `doubtful` and
//! `read` are those of `data/tubes.csv` and `data/picture_tubes.csv`. Making a
//! view cannot fail.

use parts::{
    Base, Catalogue, OperatingPoint, PinName, Provenance, RectifierRating, Section, TubeType,
};
use serde::Serialize;

use super::near_tube::NearTubeView;
use super::picture_tube::PictureTubeView;

/// The answer of `tube`.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TubeAnswerView {
    /// Edition of this form.
    pub format: u32,
    /// Version of the program.
    pub program: &'static str,
    /// Edition of the published figures.
    pub data: &'static str,
    /// The type number as it was asked.
    pub asked: String,
    /// What the answer rests on where the number asked is not that of the type.
    pub note: Option<String>,
    /// The type: the built-in one first, then the restorer's own beside it.
    pub types: Vec<TubeTypeView>,
    /// Near types, the nearest first; only where they were asked for.
    pub near: Option<Vec<NearTubeView>>,
    /// What to mind with every exchange of a tube; with `near` only.
    pub cautions: Vec<String>,
}

/// One type with all its figures.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TubeTypeView {
    /// The type number.
    #[serde(rename = "type")]
    pub name: String,
    /// `built_in` or `own`.
    pub origin: &'static str,
    /// What it is, such as `two triodes`.
    pub what: String,
    /// Other numbers of the same tube, American and European.
    pub other_numbers: Vec<String>,
    /// The type whose row the figures are taken from, where it is another.
    pub derived_from: Option<String>,
    /// The base with every contact; `null` when the base is unknown.
    pub base: Option<BaseView>,
    /// The maker's basing number.
    pub basing_code: Option<String>,
    /// The heater.
    pub heater: HeaterView,
    /// The parts that work apart.
    pub sections: Vec<SectionView>,
    /// What a picture tube has besides.
    pub picture_tube: Option<PictureTubeView>,
    /// Where the first row of figures comes from.
    pub source: SourceView,
}

/// A base with its contacts.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BaseView {
    /// Its name.
    pub name: String,
    /// What it is.
    pub meaning: String,
    /// What tells where the counting begins: `key`, `gap`, `thick pins`, `none`.
    pub mark: &'static str,
    /// Places for pins.
    pub pin_count: u8,
    /// Whether the steps between the pins are doubtful; their order is not.
    pub steps_are_doubtful: bool,
    /// Whether what the pins carry is recorded at all.
    pub pins_are_recorded: bool,
    /// Whether the record of the pins is named as doubtful.
    pub pins_are_doubtful: bool,
    /// Every place of the base in order, then caps and contacts on the bulb.
    pub contacts: Vec<ContactView>,
}

/// A pin, cap or contact.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ContactView {
    /// As written behind the dot: `6`, `cap`, `anode`, `coating`.
    pub contact: String,
    /// Where it stands; `null` for what is not on the base.
    pub degrees: Option<f64>,
    /// What it carries; empty where nothing is recorded.
    pub elements: Vec<String>,
}

/// A heater or filament.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct HeaterView {
    /// Rated volts.
    pub volts: Option<f64>,
    /// Rated amperes.
    pub amperes: Option<f64>,
    /// `direct`, `indirect`.
    pub heating: Option<&'static str>,
    /// Seconds of controlled warm-up.
    pub warm_up_seconds: Option<f64>,
    /// Whether it has a tap, so that its halves can be fed in parallel.
    pub has_tap: bool,
    /// How volts and amperes are known.
    pub standing: Option<String>,
    /// Whether they are named as doubtful.
    pub doubtful: bool,
}

/// A section with its ratings and points of operation.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SectionView {
    /// Its name in the catalogue.
    pub section: String,
    /// What it is.
    pub kind: &'static str,
    /// How many equal units the figures stand for.
    pub units: u8,
    /// Highest plate volts.
    pub max_plate_volts: Option<f64>,
    /// Highest plate dissipation.
    pub max_plate_watts: Option<f64>,
    /// Highest screen dissipation.
    pub max_screen_watts: Option<f64>,
    /// Highest average cathode current.
    pub max_cathode_milliamperes: Option<f64>,
    /// Highest peak cathode current.
    pub max_peak_cathode_milliamperes: Option<f64>,
    /// Ratings as a diode.
    pub rectifier: Option<RectifierView>,
    /// Published points; two that disagree stand side by side.
    pub operating_points: Vec<PointView>,
    /// Where the ratings come from.
    pub source: SourceView,
}

/// Ratings of a diode.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RectifierView {
    /// Highest inverse volts, peak.
    pub max_inverse_volts: Option<f64>,
    /// Highest d.c. output.
    pub max_dc_milliamperes: Option<f64>,
    /// Whether that is for one plate.
    pub dc_is_per_plate: bool,
    /// Highest steady peak current of one plate.
    pub max_peak_milliamperes: Option<f64>,
    /// Volts dropped at a current; sources that disagree stand side by side.
    pub drops: Vec<DropView>,
}

/// Volts across one plate at a steady current.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct DropView {
    /// Plate to cathode.
    pub volts: f64,
    /// Through that plate.
    pub milliamperes: f64,
    /// Whether it is named as doubtful.
    pub doubtful: bool,
    /// How it is known.
    pub standing: String,
    /// Where it comes from.
    pub source: String,
}

/// One published point of operation.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PointView {
    /// Plate to cathode.
    pub plate_volts: Option<f64>,
    /// Screen volts.
    pub screen_volts: Option<f64>,
    /// Grid bias.
    pub grid_volts: Option<f64>,
    /// Cathode resistor that makes the bias.
    pub cathode_ohms: Option<f64>,
    /// Plate current.
    pub plate_milliamperes: Option<f64>,
    /// Screen current.
    pub screen_milliamperes: Option<f64>,
    /// Transconductance.
    pub transconductance_micromhos: Option<f64>,
    /// Plate resistance.
    pub plate_resistance_ohms: Option<f64>,
    /// Amplification factor.
    pub amplification_factor: Option<f64>,
    /// Grid volts for cut-off.
    pub cutoff_volts: Option<f64>,
    /// Plate current at those volts.
    pub cutoff_milliamperes: Option<f64>,
    /// Where the point comes from.
    pub source: SourceView,
}

/// Where figures come from and how far to trust them.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SourceView {
    /// The source in words.
    pub source: String,
    /// The standing of the row.
    pub standing: String,
    /// Columns that were read in the source.
    pub read: Vec<String>,
    /// Columns whose figure is doubtful.
    pub doubtful: Vec<String>,
    /// Remarks.
    pub notes: String,
}

impl TubeTypeView {
    /// The view of a type.
    pub fn new(tube: &TubeType, catalogue: &Catalogue, is_own: bool) -> TubeTypeView {
        let mut other_numbers = tube.aliases.clone();
        for alias in catalogue.aliases() {
            if !is_own && alias.tube == tube.name && !other_numbers.contains(&alias.name) {
                other_numbers.push(alias.name.clone());
            }
        }
        TubeTypeView {
            name: tube.name.clone(),
            origin: if is_own { "own" } else { "built_in" },
            what: what_it_is(tube),
            other_numbers,
            derived_from: tube.derived_from.clone(),
            base: catalogue
                .base(&tube.base)
                .map(|base| BaseView::new(base, tube)),
            basing_code: some_text(&tube.basing_code),
            heater: HeaterView::new(tube),
            sections: tube.sections.iter().map(SectionView::new).collect(),
            picture_tube: tube.picture.as_ref().map(PictureTubeView::new),
            source: SourceView::new(&tube.provenance),
        }
    }
}

impl BaseView {
    fn new(base: &Base, tube: &TubeType) -> BaseView {
        let elements = |name: PinName| {
            tube.pin(name)
                .map(|pin| pin.elements.clone())
                .unwrap_or_default()
        };
        let on_base = (1..=base.pin_count).map(|pin| ContactView {
            contact: pin.to_string(),
            degrees: base.pin_degrees(pin),
            elements: elements(PinName::Number(pin)),
        });
        let elsewhere = tube
            .pins
            .iter()
            .filter(|pin| !matches!(pin.number, PinName::Number(_)))
            .map(|pin| ContactView {
                contact: pin.number.to_string(),
                degrees: None,
                elements: pin.elements.clone(),
            });
        BaseView {
            name: base.name.clone(),
            meaning: base.meaning.clone(),
            mark: base.mark.word(),
            pin_count: base.pin_count,
            steps_are_doubtful: base.steps_are_doubtful,
            pins_are_recorded: !tube.pins.is_empty(),
            pins_are_doubtful: tube.provenance.is_doubtful("pins"),
            contacts: on_base.chain(elsewhere).collect(),
        }
    }
}

impl HeaterView {
    fn new(tube: &TubeType) -> HeaterView {
        let rating = tube.heater.as_ref();
        HeaterView {
            volts: tube.heater_volts,
            amperes: rating.map(|heater| heater.amperes),
            heating: rating
                .and_then(|heater| heater.heating)
                .map(|heating| match heating {
                    parts::Heating::Direct => "direct",
                    parts::Heating::Indirect => "indirect",
                }),
            warm_up_seconds: rating.and_then(|heater| heater.warm_up_seconds),
            has_tap: rating.is_some_and(|heater| heater.has_tap),
            standing: rating.map(|heater| heater.standing.to_string()),
            doubtful: rating.is_some_and(|heater| heater.doubtful),
        }
    }
}

impl SectionView {
    fn new(section: &Section) -> SectionView {
        SectionView {
            section: section.name.clone(),
            kind: section.kind.word(),
            units: section.units,
            max_plate_volts: section.max_plate_volts,
            max_plate_watts: section.max_plate_watts,
            max_screen_watts: section.max_screen_watts,
            max_cathode_milliamperes: section.max_cathode_milliamperes,
            max_peak_cathode_milliamperes: section.max_peak_cathode_milliamperes,
            rectifier: section.rectifier.as_ref().map(RectifierView::new),
            operating_points: section
                .operating_points
                .iter()
                .map(PointView::new)
                .collect(),
            source: SourceView::new(&section.provenance),
        }
    }
}

impl RectifierView {
    fn new(rating: &RectifierRating) -> RectifierView {
        RectifierView {
            max_inverse_volts: rating.max_inverse_volts,
            max_dc_milliamperes: rating.max_dc_milliamperes,
            dc_is_per_plate: rating.dc_is_per_plate,
            max_peak_milliamperes: rating.max_peak_milliamperes,
            drops: rating
                .drop_points
                .iter()
                .map(|drop| DropView {
                    volts: drop.volts,
                    milliamperes: drop.milliamperes,
                    doubtful: drop.doubtful,
                    standing: drop.standing.to_string(),
                    source: drop.source.clone(),
                })
                .collect(),
        }
    }
}

impl PointView {
    fn new(point: &OperatingPoint) -> PointView {
        PointView {
            plate_volts: point.plate_volts,
            screen_volts: point.screen_volts,
            grid_volts: point.grid_volts,
            cathode_ohms: point.cathode_ohms,
            plate_milliamperes: point.plate_milliamperes,
            screen_milliamperes: point.screen_milliamperes,
            transconductance_micromhos: point.transconductance_micromhos,
            plate_resistance_ohms: point.plate_resistance_ohms,
            amplification_factor: point.amplification_factor,
            cutoff_volts: point.cutoff_volts,
            cutoff_milliamperes: point.cutoff_milliamperes,
            source: SourceView::new(&point.provenance),
        }
    }
}

impl SourceView {
    fn new(provenance: &Provenance) -> SourceView {
        SourceView {
            source: provenance.source.clone(),
            standing: provenance.standing.to_string(),
            read: provenance.read_fields.clone(),
            doubtful: provenance.doubt_fields.clone(),
            notes: provenance.notes.clone(),
        }
    }

    /// Whether the column is named as doubtful.
    pub fn doubts(&self, column: &str) -> bool {
        self.doubtful.iter().any(|own| own == column)
    }
}

fn some_text(text: &str) -> Option<String> {
    (!text.is_empty()).then(|| text.to_string())
}

/// What the type is, in a few words.
fn what_it_is(tube: &TubeType) -> String {
    if tube.is_picture_tube {
        return "picture tube".to_string();
    }
    if tube.sections.is_empty() {
        return "type without recorded sections".to_string();
    }
    let words = tube.sections.iter().map(|section| {
        let kind = match section.kind.word() {
            "hv-rectifier" => "high-voltage rectifier",
            "beam" => "beam power tube",
            "gated-beam" => "gated-beam tube",
            other => other,
        };
        match (section.units, section.name.starts_with("full-wave")) {
            (_, true) => format!("full-wave {kind}"),
            (2, _) => format!("two {kind}s"),
            _ => kind.to_string(),
        }
    });
    let mut words: Vec<String> = words.collect();
    words.extend(diodes_beside(tube));
    match words.split_last() {
        Some((last, [])) => last.clone(),
        Some((last, before)) => format!("{} and {last}", before.join(", ")),
        None => String::new(),
    }
}

/// Small diodes that only the pins show, beside sections of other kinds.
fn diodes_beside(tube: &TubeType) -> Option<String> {
    let is_diode = |element: &&String| element.starts_with("diode");
    let count = tube
        .pins
        .iter()
        .flat_map(|pin| &pin.elements)
        .filter(is_diode)
        .collect::<std::collections::BTreeSet<_>>()
        .len();
    match count {
        0 => None,
        1 => Some("diode".to_owned()),
        2 => Some("two diodes".to_owned()),
        3 => Some("three diodes".to_owned()),
        _ => Some(format!("{count} diodes")),
    }
}
