//! From a sheet to a circuit.
//!
//! Inside: volts, amperes, ohms, farads, henries. A [`SetModel`] is made once for a
//! sheet; [`SetModel::wire`] then builds the circuit for given bench conditions and
//! departures from the sheet. Figures that the sheet lacks are taken from what is
//! usual (the parts catalogue's trade numbers), each listed in
//! [`SetModel::assumed`] with the width of its doubt, or the part is left out and
//! listed in [`SetModel::left_out`] with the reason.
//!
//! What is simplified, and why it does no harm to mean values: small capacitors
//! away from the line and the rectifiers are left open but for their leakage, and
//! signal coils are their copper, because the mean current of a capacitor and the
//! mean volts of a coil are zero once settled. Their ripple is therefore not told.

mod build;
mod fault_kind;
mod figures;
mod find;
mod rectifier_laws;
mod small_parts;
mod stage_loads;
mod variation;
mod wiper;
mod wire_changes;
mod wire_heaters;
mod wire_parts;
mod wire_transformers;

pub use build::{HeaterPlace, Rectifying, Wired, WiredHeaters};
pub use fault_kind::FaultKind;
pub use figures::{Assumed, LeftOut, leakage_limit_amperes};
pub(crate) use find::coils_on_one_core;
pub use stage_loads::StageLoad;
pub use variation::{Change, Figure, Variation};

use std::collections::HashMap;
use std::sync::{Arc, OnceLock};

use circuit::thermal::{
    HeaterLaw, HeaterSpec, Heating, LampLaw, LampSpec, ThermistorLaw, ThermistorSpec,
    TungstenProperties,
};
use circuit::two_terminal::TwoTerminalLaw;
use parts::Catalogue;

use crate::stages::Stages;
use crate::whole_set::Usual;

use crate::sheet::{LampRating, PartValue, Place, Places, Sheet};

/// A sheet made ready for wiring.
#[derive(Debug)]
pub struct SetModel<'s> {
    /// The sheet.
    pub sheet: &'s Sheet,
    /// Its places and junctions.
    pub places: Places,
    /// Figures taken from what is usual because the sheet lacks them.
    pub assumed: Vec<Assumed>,
    /// Parts and tubes that the circuit does without, with the reason.
    pub left_out: Vec<LeftOut>,
    pub(crate) heater_laws: Vec<Option<HeaterLaw>>,
    /// What each heater law was made from, at the common ratings.
    pub(crate) heater_specs: Vec<Option<HeaterSpec>>,
    pub(crate) lamp_laws: HashMap<u64, LampLaw>,
    pub(crate) part_lamps: HashMap<usize, LampLaw>,
    pub(crate) thermistors: HashMap<usize, ThermistorSpec>,
    pub(crate) resolved: figures::Resolved,
    /// Junction of each part's ends and wiper.
    pub(crate) part_ends: Vec<[Option<usize>; 3]>,
    pub(crate) winding_ends: Vec<[Option<usize>; 2]>,
    pub(crate) chassis: Option<usize>,
    pub(crate) rectifying: Vec<Rectifying>,
    pub(crate) heater_places: Vec<HeaterPlace>,
    /// Junctions where alternating volts are looked for.
    pub(crate) alternating: Vec<bool>,
    /// Parts whose capacitance or inductance the cycle has to follow.
    pub(crate) followed: Vec<bool>,
    /// The tube stages.
    pub stages: Stages,
    /// Laws of crystals, neon lamps and voltage-dependent resistors, by part.
    pub(crate) small_laws: HashMap<usize, TwoTerminalLaw>,
    /// What each tube's socket is called.
    pub(crate) socket_names: Vec<String>,
    /// What the stages draw from the supply at the sheet's line; worked out when first asked for.
    pub(crate) usual: OnceLock<Arc<Usual>>,
}

/// Why no circuit could be made.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum WiringError {
    /// The sheet names neither blade of the plug, so nothing can be switched on.
    #[error("the sheet names no line a and line b, so the set has no plug")]
    NoPlug,
    /// A place named in the conditions is not on the sheet.
    #[error("{0}")]
    UnknownPlace(#[from] crate::sheet::UnknownPlace),
    /// A reference named in the conditions is not on the sheet.
    #[error("{read} is no part or tube of this sheet{}", .nearest.as_ref().map(|near| format!("; did you mean {near}?")).unwrap_or_default())]
    UnknownReference {
        /// What was read.
        read: String,
        /// The nearest reference.
        nearest: Option<String>,
    },
    /// A lamp of impossible rating.
    #[error("a lamp of {watts} W: expected 0.01 to 10000 W")]
    Lamp {
        /// The watts as read.
        watts: f64,
    },
}

impl<'s> SetModel<'s> {
    /// Reads the sheet's figures, fills in what is usual, and finds the rectifiers,
    /// heaters and junctions.
    pub fn new(sheet: &'s Sheet, catalogue: &Catalogue) -> SetModel<'s> {
        let places = sheet.places();
        let junction = |place: &Place| places.junction_of(place).map(|id| id.index());
        let part_ends: Vec<[Option<usize>; 3]> = sheet
            .parts
            .iter()
            .map(|part| {
                [
                    junction(&part.from),
                    junction(&part.to),
                    part.third.as_ref().and_then(junction),
                ]
            })
            .collect();
        let winding_ends = sheet
            .windings
            .iter()
            .map(|winding| [junction(&winding.start), junction(&winding.end)])
            .collect();
        let mut left_out = Vec::new();
        let (heater_specs, heater_laws) = heater_laws(sheet, &mut left_out);
        let tungsten = tungsten(catalogue);
        let mut lamp_laws = HashMap::new();
        let usual = [
            7.5, 15.0, 25.0, 40.0, 60.0, 75.0, 100.0, 150.0, 200.0, 250.0, 300.0,
        ];
        let own = sheet
            .bench
            .iter()
            .flat_map(|bench| bench.lamps.iter().copied());
        if let Some(tungsten) = &tungsten {
            for watts in usual.into_iter().chain(own) {
                if let Some(law) = limiter_lamp(watts, catalogue, tungsten) {
                    lamp_laws.insert(watts.to_bits(), law);
                }
            }
        }
        let part_lamps = tungsten
            .iter()
            .flat_map(|tungsten| {
                sheet
                    .parts
                    .iter()
                    .enumerate()
                    .filter_map(move |(index, part)| {
                        let PartValue::Lamp(rating) = &part.value else {
                            return None;
                        };
                        let (volts, watts) = match *rating {
                            LampRating::Watts { watts, volts } => (volts, watts),
                            LampRating::Amperes { volts, amperes } => (volts, volts * amperes),
                        };
                        LampLaw::new(LampSpec::new(volts, watts), tungsten)
                            .ok()
                            .map(|law| (index, law))
                    })
            })
            .collect();
        let mut assumed = Vec::new();
        let thermistors = thermistors(sheet, catalogue, &mut assumed, &mut left_out);
        let resolved = figures::resolve(sheet, catalogue, &mut assumed, &mut left_out);
        let mut model = SetModel {
            chassis: junction(&Place::Chassis),
            sheet,
            assumed,
            left_out,
            heater_laws,
            heater_specs,
            lamp_laws,
            part_lamps,
            thermistors,
            resolved,
            part_ends,
            winding_ends,
            rectifying: Vec::new(),
            heater_places: Vec::new(),
            followed: Vec::new(),
            alternating: Vec::new(),
            stages: Stages::default(),
            small_laws: HashMap::new(),
            socket_names: sheet
                .tubes
                .iter()
                .map(|own| format!("{}'s socket", own.reference))
                .collect(),
            usual: OnceLock::new(),
            places,
        };
        model.heater_places = find::heater_places(&model);
        model.rectifying = find::rectifying(&mut model);
        model.alternating = model.find_alternating();
        model.small_laws = small_parts::laws_of(&mut model, catalogue);
        model.stages = Stages::of(&model, catalogue);
        model.followed = find::followed(&model);
        model
    }

    /// The junction number of a place of the sheet.
    pub fn junction(&self, place: &Place) -> Option<usize> {
        self.places.junction_of(place).map(|id| id.index())
    }

    /// Whether a part, a winding or a heater feed reaches a junction; a chart may name others.
    pub fn is_reached(&self, junction: usize) -> bool {
        self.part_ends
            .iter()
            .flatten()
            .any(|end| *end == Some(junction))
            || self
                .sheet
                .windings
                .iter()
                .flat_map(|winding| [&winding.start, &winding.end])
                .any(|place| self.junction(place) == Some(junction))
            || self
                .heater_places
                .iter()
                .any(|place| place.from == junction || place.to == junction)
    }

    /// The name to call a junction by.
    pub fn junction_name(&self, junction: usize) -> String {
        self.places.junctions().get(junction).map_or_else(
            || "a place".to_string(),
            |junction| junction.label().to_string(),
        )
    }

    /// The junctions where heaters are fed, and what feeds them.
    pub fn heater_places(&self) -> &[HeaterPlace] {
        &self.heater_places
    }

    /// Where a tube's heater is fed; `None` where the sheet does not say.
    pub fn heater_place(&self, tube: usize) -> Option<&HeaterPlace> {
        self.heater_places
            .iter()
            .find(|place| place.tubes.contains(&tube))
    }

    /// Whether the sheet says what heats a tube.
    pub fn is_heated(&self, tube: usize) -> bool {
        self.heater_place(tube).is_some()
    }

    /// The set's rectifiers, tube paths and metal ones.
    pub fn rectifying(&self) -> &[Rectifying] {
        &self.rectifying
    }

    /// Position of a tube by its reference.
    pub fn tube_index(&self, reference: &str) -> Option<usize> {
        self.sheet
            .tubes
            .iter()
            .position(|tube| tube.reference.eq_ignore_ascii_case(reference.trim()))
    }

    /// Position of a part by its reference.
    pub fn part_index(&self, reference: &str) -> Option<usize> {
        self.sheet
            .parts
            .iter()
            .position(|part| part.reference.eq_ignore_ascii_case(reference.trim()))
    }

    /// Working series resistance of a capacitor part, ohms.
    pub fn series_ohms(&self, part: usize) -> f64 {
        self.resolved
            .parts
            .get(part)
            .map_or(0.0, |part| part.series_ohms)
    }

    /// Farads of a capacitor part.
    pub fn farads(&self, part: usize) -> Option<f64> {
        self.resolved
            .parts
            .get(part)
            .map(|part| part.farads)
            .filter(|farads| *farads > 0.0)
    }

    /// Ohms of a resistor, control or coil part as last known.
    pub fn ohms(&self, part: usize) -> Option<f64> {
        self.resolved
            .parts
            .get(part)
            .map(|part| part.ohms)
            .filter(|ohms| *ohms > 0.0)
    }
}

/// The law of a limiter lamp of these watts at 120 V.
pub(crate) fn limiter_lamp(
    watts: f64,
    catalogue: &Catalogue,
    tungsten: &TungstenProperties,
) -> Option<LampLaw> {
    let mut spec = LampSpec::new(120.0, watts);
    if let Some(lamp) = catalogue.lamp(watts).filter(|lamp| lamp.watts == watts) {
        spec.cold_ohms = Some(lamp.cold_ohms);
    }
    LampLaw::new(spec, tungsten).ok()
}

/// Tungsten's properties as the solver wants them.
pub(crate) fn tungsten(catalogue: &Catalogue) -> Option<TungstenProperties> {
    let points: Vec<(f64, f64, Option<f64>)> = catalogue
        .tungsten()
        .rows()
        .iter()
        .map(|row| {
            (
                row.kelvin,
                row.resistivity,
                row.radiation.filter(|radiation| *radiation > 0.0),
            )
        })
        .collect();
    TungstenProperties::from_points(&points).ok()
}

/// Hot over cold resistance of heaters where nothing better is known (common
/// practice: trade number "heater hot to cold resistance", 5 to 10, typical 7).
const HOT_TO_COLD: f64 = 7.0;
/// The same of an oxide-coated nickel filament (from memory: 4 to 6).
const FILAMENT_HOT_TO_COLD: f64 = 5.0;

fn heater_laws(
    sheet: &Sheet,
    left_out: &mut Vec<LeftOut>,
) -> (Vec<Option<HeaterSpec>>, Vec<Option<HeaterLaw>>) {
    let mut made: Vec<(HeaterSpec, HeaterLaw)> = Vec::new();
    sheet
        .tubes
        .iter()
        .map(|tube| {
            let Some(rating) = &tube.kind.heater else {
                left_out.push(LeftOut {
                    reference: tube.reference.clone(),
                    because: format!("the heater of {} is not in the catalogue", tube.kind.name),
                });
                return (None, None);
            };
            let direct = matches!(rating.heating, Some(parts::Heating::Direct));
            let spec = HeaterSpec {
                volts: 6.3,
                amperes: 0.3,
                heating: if direct {
                    Heating::Direct
                } else {
                    Heating::Indirect
                },
                warm_up_seconds: rating.warm_up_seconds,
                controlled: rating.controlled_warm_up,
                hot_to_cold: if direct {
                    FILAMENT_HOT_TO_COLD
                } else {
                    HOT_TO_COLD
                },
            };
            let law = match made.iter().find(|(other, _)| *other == spec) {
                Some((_, law)) => law.clone(),
                None => {
                    let Ok(law) = HeaterLaw::new(spec) else {
                        return (None, None);
                    };
                    made.push((spec, law.clone()));
                    law
                }
            };
            (Some(spec), Some(law.rated_at(rating.volts, rating.amperes)))
        })
        .unzip()
}

fn thermistors(
    sheet: &Sheet,
    catalogue: &Catalogue,
    assumed: &mut Vec<Assumed>,
    left_out: &mut Vec<LeftOut>,
) -> HashMap<usize, ThermistorSpec> {
    let mut specs = HashMap::new();
    for (index, part) in sheet.parts.iter().enumerate() {
        let PartValue::Thermistor {
            kind,
            cold_ohms,
            hot_ohms,
            amperes,
        } = &part.value
        else {
            continue;
        };
        let row = kind.as_deref().and_then(|kind| catalogue.thermistor(kind));
        let cold = cold_ohms.or(row.and_then(|row| row.cold_ohms));
        let hot = hot_ohms.or(row.and_then(|row| row.hot_ohms));
        let current = amperes.or(row.and_then(|row| row.rated_milliamperes.map(|ma| ma / 1000.0)));
        let seconds = row
            .and_then(|row| row.time_constant_seconds)
            .unwrap_or_else(|| {
                assumed.push(Assumed {
                    figure: Figure::ColdOhms(index),
                    what: format!("{} takes its usual time to warm", part.reference),
                    from: "trade number: strings with a thermistor settle in 25 to 90 seconds"
                        .to_string(),
                });
                40.0
            });
        match (cold, hot, current) {
            (Some(cold_ohms), Some(hot_ohms), Some(hot_amperes)) => {
                let spec = ThermistorSpec {
                    cold_ohms: sheet
                        .state
                        .measured_ohms(&part.reference)
                        .unwrap_or(cold_ohms),
                    hot_ohms,
                    hot_amperes,
                    time_constant_seconds: seconds,
                };
                if ThermistorLaw::new(spec).is_ok() {
                    specs.insert(index, spec);
                } else {
                    left_out.push(LeftOut {
                        reference: part.reference.clone(),
                        because: "its cold and hot ohms do not make a thermistor".to_string(),
                    });
                }
            }
            _ => left_out.push(LeftOut {
                reference: part.reference.clone(),
                because: "its cold ohms, hot ohms and current are not all known".to_string(),
            }),
        }
    }
    specs
}
