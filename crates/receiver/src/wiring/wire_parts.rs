//! Puts the parts of a sheet into the circuit.
//!
//! Ohms, farads, henries, siemens. A part that is open, cut loose or whose ends are
//! one junction becomes no element. Nothing here can fail.

use circuit::thermal::{
    Arrangement, ThermalBody, ThermalGroup, ThermalLaw, ThermistorLaw, USUAL_EMISSION_RESERVE,
};
use circuit::{BodyRef, Element, Node};

use crate::conditions::BenchConditions;
use crate::sheet::PartValue;

use super::SetModel;
use super::build::{Rectifying, Wired};
use super::variation::{Change, Figure, Variation};
use super::wiper::with_contact;

/// Ohms that a fault has put at the wiper of a control.
fn contact_of(variation: &Variation, part: usize) -> Option<f64> {
    let mut all = variation.changes.iter();
    all.find_map(|own| match own {
        Change::AtWiper { part: own, ohms } if *own == part => Some(*ohms),
        _ => None,
    })
}

impl SetModel<'_> {
    pub(super) fn wire_parts(
        &self,
        wired: &mut Wired,
        conditions: &BenchConditions,
        variation: &Variation,
    ) {
        let ordinary = self.ordinary(wired);
        for (index, part) in self.sheet.parts.iter().enumerate() {
            let opened = variation.changes.contains(&Change::Open(index));
            let [Some(from), Some(to), third] = self.part_ends[index] else {
                continue;
            };
            if opened || self.is_open(index, conditions) {
                wired.open_parts[index] = true;
                if let Some(position) = self.metal_position(index) {
                    wired.rectifiers[position] = None;
                }
                continue;
            }
            let (a, b) = (wired.nodes[from], wired.nodes[to]);
            let middle = third.map(|third| wired.nodes[third]);
            self.wire_part(
                wired,
                index,
                &part.value,
                (a, b, middle),
                ordinary,
                variation,
            );
        }
    }

    /// The three resistances of a control with so many ohms at its wiper; `None` where it has none.
    pub(crate) fn at_wiper(&self, part: usize, contact: f64) -> Option<[f64; 3]> {
        let PartValue::Control { at, .. } = &self.sheet.parts.get(part)?.value else {
            return None;
        };
        self.part_ends.get(part)?[2]?;
        let (ohms, share) = (
            self.resolved.parts[part].ohms,
            at.unwrap_or(0.5).clamp(0.0, 1.0),
        );
        Some(with_contact(ohms * share, ohms * (1.0 - share), contact))
    }

    fn metal_position(&self, part: usize) -> Option<usize> {
        self.rectifying
            .iter()
            .position(|rectifying| *rectifying == Rectifying::Metal { part })
    }

    fn wire_part(
        &self,
        wired: &mut Wired,
        index: usize,
        value: &PartValue,
        (a, b, middle): (Node, Node, Option<Node>),
        ordinary: Option<BodyRef>,
        variation: &Variation,
    ) {
        let figures = self.resolved.parts[index];
        let circuit = &mut wired.circuit;
        let mut elements = Vec::new();
        match value {
            PartValue::Wire => {}
            PartValue::Resistor { at, .. } | PartValue::Control { at, .. } => {
                let ohms = figures.ohms * variation.factor(Figure::Ohms(index));
                match middle {
                    Some(middle) => {
                        let share = (at.unwrap_or(0.5) + variation.factor(Figure::Setting(index))
                            - 1.0)
                            .clamp(0.0, 1.0);
                        let (first, last) = match contact_of(variation, index) {
                            Some(contact) => {
                                let own = with_contact(ohms * share, ohms * (1.0 - share), contact);
                                (own[0], own[1])
                            }
                            None => (ohms * share, ohms * (1.0 - share)),
                        };
                        for (one, other, ohms) in [(a, middle, first), (middle, b, last)] {
                            if one != other {
                                elements.push(circuit.resistor(one, other, ohms.max(1e-2)));
                            }
                        }
                    }
                    None if a != b => elements.push(circuit.resistor(a, b, ohms.max(1e-3))),
                    None => {}
                }
            }
            PartValue::Ballast { .. } | PartValue::Fuse { .. } if a != b => {
                let ohms = figures.ohms * variation.factor(Figure::Ohms(index));
                elements.push(circuit.resistor(a, b, ohms.max(1e-3)));
            }
            PartValue::Switch { .. } | PartValue::Plug { .. } if a != b => {
                elements.push(circuit.add(Element::Switch { a, b, closed: true }));
            }
            PartValue::Thermistor { .. } if a != b => {
                if let Some(spec) = self.thermistors.get(&index) {
                    let mut spec = *spec;
                    spec.cold_ohms *= variation.factor(Figure::ColdOhms(index));
                    spec.hot_ohms *= variation.factor(Figure::Ohms(index));
                    spec.time_constant_seconds *=
                        variation.factor(Figure::ThermistorSeconds(index));
                    if let Ok(law) = ThermistorLaw::new(spec) {
                        let group = circuit.group(ThermalGroup {
                            arrangement: Arrangement::Series,
                            bodies: vec![ThermalBody {
                                law: ThermalLaw::Thermistor(law),
                            }],
                        });
                        elements.push(circuit.add(Element::Warm { a, b, group }));
                    }
                }
            }
            PartValue::Lamp(_) if a != b => {
                if let Some(law) = self.part_lamps.get(&index) {
                    let group = circuit.group(ThermalGroup {
                        arrangement: Arrangement::Parallel,
                        bodies: vec![ThermalBody {
                            law: ThermalLaw::Lamp(law.clone()),
                        }],
                    });
                    elements.push(circuit.add(Element::Warm { a, b, group }));
                }
            }
            PartValue::Capacitor { .. } if a != b => {
                let leak = figures.leak_siemens * variation.factor(Figure::Leak(index));
                if self.followed[index] {
                    elements.push(circuit.add(Element::Capacitor {
                        a,
                        b,
                        farads: figures.farads * variation.factor(Figure::Farads(index)),
                        series_ohms: figures.series_ohms
                            * variation.factor(Figure::SeriesOhms(index)),
                        leak_siemens: leak,
                    }));
                } else if leak > 1e-12 {
                    elements.push(circuit.resistor(a, b, 1.0 / leak));
                }
            }
            PartValue::Coil { at, .. } if a != b || middle.is_some() => {
                let warmth = variation.factor(Figure::CopperWarmth);
                let ohms = figures.ohms * variation.factor(Figure::Ohms(index)) * warmth;
                let henries = figures.henries * variation.factor(Figure::Henries(index));
                let mut sections = vec![(a, b, ohms, henries)];
                if let Some(middle) = middle {
                    let share = at.unwrap_or(0.5).clamp(0.01, 0.99);
                    sections = vec![
                        (a, middle, ohms * share, henries * share * share),
                        (
                            middle,
                            b,
                            ohms * (1.0 - share),
                            henries * (1.0 - share) * (1.0 - share),
                        ),
                    ];
                }
                for (a, b, ohms, henries) in sections {
                    if a == b {
                        continue;
                    }
                    elements.push(if self.followed[index] {
                        circuit.add(Element::Inductor {
                            a,
                            b,
                            henries,
                            ohms: ohms.max(1e-3),
                        })
                    } else {
                        circuit.resistor(a, b, ohms.max(1e-3))
                    });
                }
            }
            PartValue::Selenium { .. } | PartValue::Silicon { .. } if a != b => {
                if let Some(law) = self.metal_law(index, variation) {
                    let element = circuit.add(Element::Rectifier {
                        anode: a,
                        cathode: b,
                        law,
                        heated_by: None,
                    });
                    elements.push(element);
                    if let Some(position) = self.metal_position(index) {
                        wired.rectifiers[position] = Some(element);
                    }
                }
            }
            PartValue::Load { steady, .. } if a != b => {
                let siemens = variation.factor(Figure::LoadCurrent(index)) / figures.ohms;
                elements.push(if *steady {
                    circuit.resistor(a, b, 1.0 / siemens)
                } else {
                    circuit.add(Element::Load {
                        a,
                        b,
                        // Without any heater at work the tubes behind it draw nothing.
                        siemens: if ordinary.is_some() { siemens } else { 0.0 },
                        warmed_by: ordinary,
                        reserve: USUAL_EMISSION_RESERVE * variation.factor(Figure::LoadReserve),
                    })
                });
            }
            _ => {}
        }
        wired.parts[index] = elements;
    }
}
