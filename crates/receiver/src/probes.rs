//! Where a meter is put: every reading that a solved set can give.
//!
//! Units as each kind of reading says. A probe names junctions, parts and tubes of
//! the sheet, so the same probe reads every variation of the set.
//! A probe whose part is not in the circuit reads nothing.

use circuit::record::CycleRecord;
use circuit::thermal::GroupState;

use crate::reading::What;
use crate::sheet::{CapacitorStyle, PartValue, Place};
use crate::wiring::{Rectifying, SetModel, Wired};

/// One place to read.
#[derive(Debug, Clone, PartialEq)]
pub struct Probe {
    /// Place, tube or part as the answer names it.
    pub at: String,
    /// The other place of a reading between two.
    pub to: Option<String>,
    /// What is read.
    pub what: What,
    /// Where it is in the sheet.
    pub spot: Spot,
}

/// Where a probe sits.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Spot {
    /// From a junction to another.
    Between(usize, usize),
    /// From a junction to the chassis.
    ToChassis(usize),
    /// The whole set.
    Line,
    /// The limiter lamp.
    Lamp,
    /// A tube's heater, by the tube's position.
    Heater(usize),
    /// A part, by its position.
    Part(usize),
    /// A rectifier path, by its position.
    Rectifier(usize),
}

/// Everything that can be read in a set; the meter's other lead at `to` if given.
pub fn all_probes(model: &SetModel<'_>, to: Option<(usize, String)>) -> Vec<Probe> {
    let mut probes = Vec::new();
    let mut push = |at: String, to: Option<String>, what: What, spot: Spot| {
        probes.push(Probe { at, to, what, spot });
    };
    for place in model.places.iter() {
        let Some(junction) = model.junction(place) else {
            continue;
        };
        if Some(junction) == model.chassis_junction() && to.is_none() {
            continue;
        }
        let (spot, other) = match &to {
            Some((other, name)) => (Spot::Between(junction, *other), name.clone()),
            None => (Spot::ToChassis(junction), "chassis".to_string()),
        };
        push(place.to_string(), Some(other.clone()), What::DcVolts, spot);
        if model.has_ripple(junction) {
            push(
                place.to_string(),
                Some(other.clone()),
                What::RippleVoltsPeakToPeak,
                spot,
            );
        }
        if model.alternates(junction) {
            push(place.to_string(), Some(other), What::AcVoltsRms, spot);
        }
    }
    push("line".into(), None, What::LineAmpsRms, Spot::Line);
    push("line".into(), None, What::LineWatts, Spot::Line);
    push("lamp".into(), None, What::LampVoltsRms, Spot::Lamp);
    for (index, tube) in model.sheet.tubes.iter().enumerate() {
        if model
            .heater_places()
            .iter()
            .any(|place| place.tubes.contains(&index))
        {
            push(
                tube.reference.clone(),
                None,
                What::HeaterVoltsRms,
                Spot::Heater(index),
            );
        }
    }
    for (number, rectifying) in model.rectifying().iter().enumerate() {
        let at = match rectifying {
            Rectifying::Tube { damper: true, .. } => continue,
            Rectifying::Tube { plate, .. } => {
                push(
                    plate.to_string(),
                    None,
                    What::PlateMilliamps,
                    Spot::Rectifier(number),
                );
                plate.to_string()
            }
            Rectifying::Metal { part } => model.sheet.parts[*part].reference.clone(),
        };
        push(
            at,
            None,
            What::RectifierPeakMilliamps,
            Spot::Rectifier(number),
        );
    }
    for (index, part) in model.sheet.parts.iter().enumerate() {
        let reference = || part.reference.clone();
        match &part.value {
            PartValue::Capacitor { style, .. } => {
                if *style == CapacitorStyle::Electrolytic {
                    push(
                        reference(),
                        None,
                        What::CapacitorRippleAmpsRms,
                        Spot::Part(index),
                    );
                }
            }
            PartValue::Wire => {}
            PartValue::Switch { .. } | PartValue::Plug { .. } | PartValue::Load { .. } => {
                push(reference(), None, What::PartMilliamps, Spot::Part(index));
            }
            _ => {
                push(reference(), None, What::PartMilliamps, Spot::Part(index));
                push(reference(), None, What::PartWatts, Spot::Part(index));
            }
        }
    }
    probes
}

impl Probe {
    /// The reading in a recorded cycle; `None` where the part is not in the circuit.
    pub fn read(
        &self,
        wired: &Wired,
        record: &CycleRecord<'_>,
        groups: &[GroupState],
    ) -> Option<f64> {
        let volts = |a: usize, b: Option<usize>| {
            record.volts(wired.node(a), b.map_or(0, |b| wired.node(b)))
        };
        match self.spot {
            Spot::Between(a, b) => Some(self.of_volts(&volts(a, Some(b)))),
            Spot::ToChassis(a) => Some(self.of_volts(&volts(a, None))),
            Spot::Line => {
                let line = wired.line?;
                match self.what {
                    What::LineAmpsRms => Some(record.amperes(line).rms()),
                    _ => {
                        let (a, b) = wired.blades?;
                        let current = record.amperes(line);
                        Some(-record.volts(a, b).mean_product(&current))
                    }
                }
            }
            Spot::Lamp => Some(record.across(wired.lamp?).rms()),
            Spot::Heater(tube) => {
                let heaters = wired
                    .heaters
                    .iter()
                    .flatten()
                    .find(|heaters| heaters.tubes.contains(&tube))?;
                let body = heaters.tubes.iter().position(|&other| other == tube)?;
                let whole = record.across(heaters.element).rms();
                let group = wired.circuit.groups.get(heaters.group)?;
                Some(match group.arrangement {
                    circuit::thermal::Arrangement::Parallel => whole,
                    circuit::thermal::Arrangement::Series => {
                        let shares = group.body_share(groups.get(heaters.group)?);
                        whole * shares.get(body)?
                    }
                })
            }
            Spot::Part(part) => {
                let elements = wired.parts.get(part)?;
                let first = *elements.first()?;
                match self.what {
                    What::PartWatts => {
                        Some(elements.iter().map(|&element| record.watts(element)).sum())
                    }
                    What::CapacitorRippleAmpsRms => Some(record.amperes(first).alternating_rms()),
                    _ => {
                        let current = record.amperes(first);
                        let mean = current.mean();
                        // What carries alternating current alone is read in rms.
                        let rms = current.rms();
                        Some(1000.0 * if mean.abs() < 0.02 * rms { rms } else { mean })
                    }
                }
            }
            Spot::Rectifier(number) => {
                let element = (*wired.rectifiers.get(number)?)?;
                let current = record.amperes(element);
                Some(
                    1000.0
                        * match self.what {
                            What::RectifierPeakMilliamps => current.highest(),
                            _ => current.mean(),
                        },
                )
            }
        }
    }

    fn of_volts(&self, wave: &circuit::record::Wave) -> f64 {
        match self.what {
            What::RippleVoltsPeakToPeak => wave.peak_to_peak(),
            What::AcVoltsRms => wave.alternating_rms(),
            _ => wave.mean(),
        }
    }
}

impl SetModel<'_> {
    /// The chassis, as a junction.
    pub fn chassis_junction(&self) -> Option<usize> {
        self.junction(&Place::Chassis)
    }

    /// Whether the ripple of a junction is solved for: an electrolytic sits on it.
    pub fn has_ripple(&self, junction: usize) -> bool {
        self.sheet.parts.iter().enumerate().any(|(index, part)| {
            matches!(
                part.value,
                PartValue::Capacitor {
                    style: CapacitorStyle::Electrolytic,
                    ..
                }
            ) && self.part_ends[index][..2].contains(&Some(junction))
        }) && Some(junction) != self.chassis
    }

    /// Whether alternating volts are looked for at a junction: the line, a winding,
    /// a heater string.
    pub fn alternates(&self, junction: usize) -> bool {
        let line = [Place::LineA, Place::LineB]
            .iter()
            .any(|blade| self.junction(blade) == Some(junction));
        line || self
            .winding_ends
            .iter()
            .any(|ends| ends.contains(&Some(junction)))
            || self
                .heater_places
                .iter()
                .any(|place| place.from == junction || place.to == junction)
            || self.rectifying.iter().any(|rectifying| match rectifying {
                crate::wiring::Rectifying::Tube { anode, damper, .. } => {
                    !damper && *anode == junction
                }
                crate::wiring::Rectifying::Metal { part } => {
                    self.part_ends[*part][0] == Some(junction)
                }
            })
    }
}
