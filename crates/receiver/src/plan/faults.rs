//! The faults that a first power-up must reckon with, as changes to the circuit.
//!
//! Severity: ohms for shorts and leaks, shares for shorted turns, ratios else; each
//! fault runs from slight to gross. Source: the kinds of fault that the catalogue's
//! fault table lists for each kind of part, where the supply can feel them (common
//! practice; no counted survey). Nothing here can fail: a fault that the sheet's
//! set cannot have is not listed.

use crate::sheet::{CapacitorStyle, ChassisStanding, HeaterArrangement, PartValue, Place};
use crate::wiring::{FaultKind, Rectifying, SetModel, Variation};

/// One likely fault.
#[derive(Debug, Clone, PartialEq)]
pub struct LikelyFault {
    /// What it does.
    pub kind: FaultKind,
    /// In words, without its severity.
    pub name: String,
    /// Severities from slight to gross.
    pub severities: Vec<f64>,
    /// Unit of the severity, for words.
    pub unit: SeverityUnit,
    /// The part that cannot be bought again and that this fault endangers.
    pub endangers: Option<Endangered>,
}

/// How a severity is spoken of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SeverityUnit {
    /// Ohms; fewer are worse.
    OhmsDown,
    /// Percent of turns; more are worse.
    PercentOfTurns,
    /// A ratio above one; more is worse.
    TimesUp,
    /// A ratio below one; less is worse.
    TimesDown,
    /// The fault is there or not.
    None,
}

/// A part that cannot be bought again.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Endangered {
    /// A transformer, by its name and the number of its element among the transformers.
    Transformer(String),
    /// The picture tube, by its position.
    PictureTube(usize),
}

impl LikelyFault {
    /// The set with this fault at a severity.
    pub fn variation(&self, severity: f64) -> Variation {
        self.kind.variation(severity)
    }

    /// The fault with the severity from which on it is meant.
    pub fn in_words(&self, severity: f64) -> String {
        match self.unit {
            SeverityUnit::OhmsDown => format!(
                "{}, from {} down",
                self.name,
                quantity::bench(severity, quantity::Unit::Ohms)
            ),
            SeverityUnit::PercentOfTurns => {
                format!(
                    "{}, from {} percent of its turns on",
                    self.name,
                    figure(100.0 * severity)
                )
            }
            SeverityUnit::TimesUp => {
                format!(
                    "{}, from {} times its usual drop on",
                    self.name,
                    figure(severity)
                )
            }
            SeverityUnit::TimesDown => {
                format!(
                    "{}, from {} of its right value down",
                    self.name,
                    figure(severity)
                )
            }
            SeverityUnit::None => self.name.clone(),
        }
    }
}

/// Two significant figures.
fn figure(value: f64) -> String {
    let digits = if value >= 10.0 {
        0
    } else if value >= 1.0 {
        1
    } else {
        2
    };
    format!("{value:.digits$}")
}

fn ladder(from: f64, to: f64, steps: usize) -> Vec<f64> {
    (0..steps)
        .map(|step| from * (to / from).powf(step as f64 / (steps - 1) as f64))
        .collect()
}

/// The likely faults of a set, as far as its sheet shows their place.
pub fn likely_faults(model: &SetModel<'_>) -> Vec<LikelyFault> {
    let sheet = model.sheet;
    let mut found = Vec::new();
    let transformer = model
        .transformer_firsts()
        .first()
        .map(|(_, name)| Endangered::Transformer(name.clone()));
    let picture = sheet
        .tubes
        .iter()
        .position(|tube| tube.kind.is_picture_tube)
        .map(Endangered::PictureTube);
    let supplies = model.supply_places();
    for (index, winding) in sheet.windings.iter().enumerate() {
        if winding.volts.is_none() {
            continue;
        }
        found.push(LikelyFault {
            kind: FaultKind::ShortedTurns(index),
            name: format!("shorted turns on {} {}", winding.transformer, winding.name),
            severities: ladder(0.002, 0.1, 9),
            unit: SeverityUnit::PercentOfTurns,
            endangers: Some(Endangered::Transformer(winding.transformer.clone())),
        });
    }
    for (index, part) in sheet.parts.iter().enumerate() {
        let reference = &part.reference;
        let ends = model.part_junctions(index);
        match &part.value {
            PartValue::Capacitor { .. }
                if model.follows(index)
                    || ends.iter().flatten().any(|end| supplies.contains(end)) =>
            {
                found.push(LikelyFault {
                    kind: FaultKind::CapacitorLeak(index),
                    name: format!("{reference} leaking or shorted"),
                    severities: ladder(30_000.0, 1.0, 10),
                    unit: SeverityUnit::OhmsDown,
                    endangers: transformer.clone(),
                });
            }
            PartValue::Resistor { watts, .. } => {
                let to_chassis = ends.contains(&model.chassis_junction());
                let from_supply = ends.iter().flatten().any(|end| supplies.contains(end));
                if to_chassis && from_supply && watts.is_none_or(|watts| watts >= 2.0) {
                    found.push(LikelyFault {
                        kind: FaultKind::Open(index),
                        name: format!("bleeder {reference} open"),
                        severities: vec![1.0],
                        unit: SeverityUnit::None,
                        endangers: None,
                    });
                }
                if model.drops_for_string(index) {
                    found.push(LikelyFault {
                        kind: FaultKind::OhmsTimes(index),
                        name: format!("dropping resistor {reference} wrong or partly shorted"),
                        severities: ladder(0.9, 0.02, 9),
                        unit: SeverityUnit::TimesDown,
                        endangers: picture.clone(),
                    });
                }
            }
            PartValue::Ballast { .. } => found.push(LikelyFault {
                kind: FaultKind::OhmsTimes(index),
                name: format!("ballast {reference} wrong or partly shorted"),
                severities: ladder(0.9, 0.02, 9),
                unit: SeverityUnit::TimesDown,
                endangers: picture.clone(),
            }),
            PartValue::Thermistor { .. } => found.push(LikelyFault {
                kind: FaultKind::ThermistorShorted(index),
                name: format!("thermistor {reference} shorted"),
                severities: ladder(30.0, 0.1, 6),
                unit: SeverityUnit::OhmsDown,
                endangers: picture.clone(),
            }),
            PartValue::Selenium { .. } => {
                found.push(LikelyFault {
                    kind: FaultKind::SeleniumResistive(index),
                    name: format!("selenium {reference} gone resistive"),
                    severities: ladder(2.0, 40.0, 8),
                    unit: SeverityUnit::TimesUp,
                    endangers: None,
                });
                found.push(metal_short(index, reference, &transformer));
            }
            PartValue::Silicon { .. } => found.push(metal_short(index, reference, &transformer)),
            _ => {}
        }
    }
    for rectifying in model.rectifying() {
        let Rectifying::Tube {
            tube,
            path,
            cathode,
            damper: false,
            plate,
            ..
        } = rectifying
        else {
            continue;
        };
        let kind = &sheet.tubes[*tube];
        found.push(LikelyFault {
            kind: FaultKind::TubeShorted {
                tube: *tube,
                path: *path,
            },
            name: format!("{plate} shorted to the cathode of {}", kind.reference),
            severities: ladder(2000.0, 1.0, 8),
            unit: SeverityUnit::OhmsDown,
            endangers: transformer.clone(),
        });
        let direct = kind.kind.is_directly_heated() == Some(true);
        if !direct && *path == 0 && !model.cathode_is_heater(*tube, *cathode) {
            found.push(LikelyFault {
                kind: FaultKind::HeaterToCathode {
                    tube: *tube,
                    cathode: *cathode,
                },
                name: format!("heater of {} shorted to its cathode", kind.reference),
                severities: ladder(20_000.0, 1.0, 9),
                unit: SeverityUnit::OhmsDown,
                endangers: transformer.clone(),
            });
        }
    }
    for (number, place) in model.heater_places().iter().enumerate() {
        if place.arrangement == HeaterArrangement::Parallel {
            if !place.straight {
                found.push(LikelyFault {
                    kind: FaultKind::HeatersShorted(number),
                    name: format!("heater line {} shorted", model.junction_name(place.from)),
                    severities: ladder(5.0, 0.02, 8),
                    unit: SeverityUnit::OhmsDown,
                    endangers: transformer.clone(),
                });
            }
            continue;
        }
        for &tube in &place.tubes {
            let cathode = model.cathode_junction(tube).or(model.chassis_junction());
            let Some(cathode) = cathode else {
                continue;
            };
            if cathode == place.from || cathode == place.to && place.tubes.last() == Some(&tube) {
                continue;
            }
            found.push(LikelyFault {
                kind: FaultKind::HeaterToCathode { tube, cathode },
                name: format!(
                    "heater of {} in the string shorted to its cathode",
                    sheet.tubes[tube].reference
                ),
                severities: ladder(1000.0, 0.5, 8),
                unit: SeverityUnit::OhmsDown,
                endangers: picture.clone(),
            });
        }
    }
    for &junction in &supplies {
        found.push(LikelyFault {
            kind: FaultKind::LineToChassis(junction),
            name: format!("{} touching the chassis", model.junction_name(junction)),
            severities: ladder(30_000.0, 1.0, 10),
            unit: SeverityUnit::OhmsDown,
            endangers: transformer.clone(),
        });
    }
    found
}

fn metal_short(index: usize, reference: &str, transformer: &Option<Endangered>) -> LikelyFault {
    LikelyFault {
        kind: FaultKind::MetalShorted(index),
        name: format!("rectifier {reference} shorted"),
        severities: ladder(300.0, 0.5, 7),
        unit: SeverityUnit::OhmsDown,
        endangers: transformer.clone(),
    }
}

impl SetModel<'_> {
    /// Junctions of the two ends and the tap of a part.
    pub fn part_junctions(&self, part: usize) -> [Option<usize>; 3] {
        self.part_ends.get(part).copied().unwrap_or([None; 3])
    }

    /// Junctions that carry B+: reached from a rectifier's cathode through chokes,
    /// resistors, fuses, plugs and coils, with a filter capacitor or a load on them.
    pub fn supply_places(&self) -> Vec<usize> {
        let mut starts = Vec::new();
        for rectifying in &self.rectifying {
            match rectifying {
                Rectifying::Tube {
                    cathode,
                    damper: false,
                    ..
                } => starts.push(*cathode),
                Rectifying::Metal { part } => starts.extend(self.part_ends[*part][1]),
                Rectifying::Tube { .. } => {}
            }
        }
        let mut reached = starts.clone();
        let mut at = 0;
        while at < reached.len() {
            let here = reached[at];
            at += 1;
            for (index, part) in self.sheet.parts.iter().enumerate() {
                let passes = matches!(
                    part.value,
                    PartValue::Coil { .. }
                        | PartValue::Resistor { .. }
                        | PartValue::Fuse { .. }
                        | PartValue::Plug { .. }
                        | PartValue::Switch { .. }
                );
                let [Some(a), Some(b), _] = self.part_ends[index] else {
                    continue;
                };
                let large = self.ohms(index).unwrap_or(0.0) > 20_000.0;
                if !passes || large {
                    continue;
                }
                for (one, other) in [(a, b), (b, a)] {
                    if one == here && Some(other) != self.chassis && !reached.contains(&other) {
                        reached.push(other);
                    }
                }
            }
        }
        let mut kept: Vec<usize> = reached
            .into_iter()
            .filter(|&junction| {
                Some(junction) != self.chassis
                    && (starts.contains(&junction)
                        || self.sheet.parts.iter().enumerate().any(|(index, part)| {
                            let ends = &self.part_ends[index][..2];
                            ends.contains(&Some(junction))
                                && match part.value {
                                    PartValue::Load { .. } => true,
                                    PartValue::Capacitor {
                                        style: CapacitorStyle::Electrolytic,
                                        ..
                                    } => ends.contains(&self.chassis) || starts.contains(&junction),
                                    _ => false,
                                }
                        }))
                    && !self.alternates_only(junction)
            })
            .collect();
        kept.dedup();
        kept
    }

    /// Junctions of negative lines: an electrolytic with its + end on the chassis.
    pub fn bias_places(&self) -> Vec<usize> {
        let mut found = Vec::new();
        for (index, part) in self.sheet.parts.iter().enumerate() {
            let electrolytic = matches!(
                part.value,
                PartValue::Capacitor {
                    style: CapacitorStyle::Electrolytic,
                    ..
                }
            );
            if let [Some(plus), Some(minus), _] = self.part_ends[index]
                && electrolytic
                && Some(plus) == self.chassis
                && !found.contains(&minus)
            {
                found.push(minus);
            }
        }
        found
    }

    /// Whether a junction is a rectifier's a.c. end and nothing else.
    fn alternates_only(&self, junction: usize) -> bool {
        self.rectifying.iter().any(|rectifying| match rectifying {
            Rectifying::Metal { part } => self.part_ends[*part][0] == Some(junction),
            Rectifying::Tube { anode, .. } => *anode == junction,
        })
    }

    /// Whether a resistor drops volts for a heater string.
    pub fn drops_for_string(&self, part: usize) -> bool {
        let strings: Vec<usize> = self
            .heater_places
            .iter()
            .filter(|place| place.arrangement == HeaterArrangement::Series)
            .flat_map(|place| [place.from, place.to])
            .filter(|junction| Some(*junction) != self.chassis)
            .collect();
        let [Some(a), Some(b), _] = self.part_ends[part] else {
            return false;
        };
        let touches = |junction: usize| {
            strings.contains(&junction)
                || self.sheet.parts.iter().enumerate().any(|(index, other)| {
                    matches!(
                        other.value,
                        PartValue::Thermistor { .. } | PartValue::Ballast { .. }
                    ) && self.part_ends[index][..2].contains(&Some(junction))
                        && self.part_ends[index][..2]
                            .iter()
                            .flatten()
                            .any(|end| strings.contains(end))
                })
        };
        (touches(a) || touches(b))
            && self.ohms(part).is_some_and(|ohms| ohms < 2000.0)
            && Some(a) != self.chassis
            && Some(b) != self.chassis
    }

    /// Junction of a tube's cathode, where it is told.
    pub fn cathode_junction(&self, tube: usize) -> Option<usize> {
        let tube = self.sheet.tubes.get(tube)?;
        ["cathode", "cathode1", "cathode2"]
            .iter()
            .flat_map(|element| tube.kind.pins_carrying(element))
            .find_map(|pin| {
                self.junction(&Place::Pin {
                    tube: tube.reference.clone(),
                    pin,
                })
            })
    }

    /// Whether a rectifier's cathode is one of its heater pins.
    fn cathode_is_heater(&self, tube: usize, cathode: usize) -> bool {
        self.sheet.tubes.get(tube).is_some_and(|tube| {
            tube.kind.heater_pins().into_iter().any(|pin| {
                self.junction(&Place::Pin {
                    tube: tube.reference.clone(),
                    pin,
                }) == Some(cathode)
            })
        })
    }

    /// Whether the chassis must be taken as live.
    pub fn chassis_may_be_live(&self) -> bool {
        !matches!(
            self.sheet.chassis_standing(),
            ChassisStanding::Isolated { .. }
        )
    }
}
