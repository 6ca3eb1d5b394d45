//! The heaters of a set and the tube rectifiers they heat, as elements of its circuit.
//!
//! Volts, amperes, ohms, seconds. Source: the catalogue's ratings and the law of a
//! heater. Nothing here can fail: a heater whose law is not known is left out, and
//! a string with such a heater, or with a tube pulled, carries nothing.

use circuit::thermal::{
    Arrangement, HeaterLaw, HeaterShares, HeaterSpec, ThermalBody, ThermalGroup, ThermalLaw,
};
use circuit::{BodyRef, Element};

use crate::sheet::HeaterArrangement;

use super::SetModel;
use super::build::{Rectifying, Wired, WiredHeaters};
use super::variation::{Change, Figure, Variation};

impl SetModel<'_> {
    /// The heaters' laws with their heat going other ways, one for each kind of heater;
    /// none where a variation leaves them as they are.
    fn other_laws(&self, variation: &Variation) -> Vec<(HeaterSpec, HeaterLaw)> {
        let ways = variation.factor(Figure::HeatWays);
        let mut made: Vec<(HeaterSpec, HeaterLaw)> = Vec::new();
        if ways != 1.0 {
            for spec in self.heater_specs.iter().flatten() {
                if made.iter().all(|(own, _)| own != spec)
                    && let Some(law) = other_ways(spec, ways)
                {
                    made.push((*spec, law));
                }
            }
        }
        made
    }

    fn heater_body(
        &self,
        place: usize,
        tube: usize,
        others: &[(HeaterSpec, HeaterLaw)],
        variation: &Variation,
    ) -> Option<ThermalBody> {
        let spec = self.heater_specs.get(tube)?.as_ref()?;
        let other = others.iter().find(|(own, _)| own == spec);
        let law = match other {
            Some((_, law)) => law,
            None => self.heater_laws.get(tube)?.as_ref()?,
        };
        let rating = self.sheet.tubes[tube].kind.heater.as_ref()?;
        let (volts, amperes) = (rating.volts, rating.amperes);
        let law = law
            .rated_at(
                volts,
                amperes * variation.factor(Figure::HeaterAmperes(place)),
            )
            .colder(variation.factor(Figure::HeaterCold(place)))
            .slower(variation.factor(Figure::WarmUp));
        Some(ThermalBody {
            law: ThermalLaw::Heater(law),
        })
    }

    pub(super) fn wire_heaters(&self, wired: &mut Wired, pulled: &[bool], variation: &Variation) {
        let open = |tube: usize| variation.changes.contains(&Change::HeaterOpen(tube));
        let others = self.other_laws(variation);
        for (number, place) in self.heater_places.iter().enumerate() {
            let series = place.arrangement == HeaterArrangement::Series;
            let broken = series && place.tubes.iter().any(|&tube| pulled[tube] || open(tube));
            let fitted: Vec<usize> = place
                .tubes
                .iter()
                .copied()
                .filter(|&tube| !pulled[tube] && !open(tube))
                .collect();
            let from = wired.nodes[place.from];
            let to = wired.nodes[place.to];
            if broken || fitted.is_empty() || from == to {
                wired.heaters.push(Vec::new());
                continue;
            }
            // A resistance from inside a string to elsewhere parts the string there.
            let cut = series
                .then(|| {
                    variation.changes.iter().find_map(|change| match change {
                        Change::HeaterToJunction {
                            tube,
                            junction,
                            ohms,
                        } if fitted.contains(tube) => Some((*tube, *junction, *ohms)),
                        _ => None,
                    })
                })
                .flatten();
            let bodies_of = |tubes: &[usize]| -> Option<Vec<ThermalBody>> {
                tubes
                    .iter()
                    .map(|&tube| self.heater_body(number, tube, &others, variation))
                    .collect()
            };
            let arrangement = if series {
                Arrangement::Series
            } else {
                Arrangement::Parallel
            };
            if let Some((tube, junction, ohms)) = cut {
                let position = fitted.iter().position(|&other| other == tube).unwrap_or(0);
                let middle = wired.circuit.node();
                let cathode = wired.nodes.get(junction).copied().unwrap_or(0);
                let element = wired.circuit.resistor(middle, cathode, ohms.max(1e-3));
                wired.fault_elements.push(element);
                let mut parted = Vec::new();
                // The short is taken at the end of the heater that faces the string's start.
                for (tubes, a, b) in [
                    (&fitted[..position], from, middle),
                    (&fitted[position..], middle, to),
                ] {
                    if tubes.is_empty() {
                        wired.circuit.resistor(a, b, 1e-3);
                        continue;
                    }
                    let Some(bodies) = bodies_of(tubes) else {
                        continue;
                    };
                    let group = wired.circuit.group(ThermalGroup {
                        arrangement,
                        bodies,
                    });
                    let element = wired.circuit.add(Element::Warm { a, b, group });
                    parted.push(WiredHeaters {
                        element,
                        group,
                        tubes: tubes.to_vec(),
                    });
                }
                wired.heaters.push(parted);
                continue;
            }
            let known: Vec<usize> = fitted
                .iter()
                .copied()
                .filter(|&tube| self.heater_laws.get(tube).is_some_and(Option::is_some))
                .collect();
            if known.is_empty() || (series && known.len() < fitted.len()) {
                wired.heaters.push(Vec::new());
                continue;
            }
            let Some(bodies) = bodies_of(&known) else {
                wired.heaters.push(Vec::new());
                continue;
            };
            let group = wired.circuit.group(ThermalGroup {
                arrangement,
                bodies,
            });
            let element = wired.circuit.add(Element::Warm {
                a: from,
                b: to,
                group,
            });
            wired.heaters.push(vec![WiredHeaters {
                element,
                group,
                tubes: known,
            }]);
        }
    }

    pub(super) fn heated(&self, wired: &Wired, tube: usize) -> Option<BodyRef> {
        wired.heaters.iter().flatten().find_map(|heaters| {
            heaters
                .tubes
                .iter()
                .position(|&other| other == tube)
                .map(|body| BodyRef {
                    group: heaters.group,
                    body,
                })
        })
    }

    /// The heater that stands for those of the tubes behind a load: one of the
    /// largest group of ordinary, indirectly heated tubes.
    pub(super) fn ordinary(&self, wired: &Wired) -> Option<BodyRef> {
        let heaters = wired
            .heaters
            .iter()
            .flatten()
            .max_by_key(|heaters| heaters.tubes.len())?;
        let ordinary = |tube: usize| {
            let kind = &self.sheet.tubes[tube].kind;
            kind.is_directly_heated() != Some(true)
                && !kind.is_picture_tube
                && kind.rectifier_section().is_none()
        };
        let body = heaters
            .tubes
            .iter()
            .position(|&tube| ordinary(tube))
            .or(heaters.tubes.iter().position(|&tube| {
                self.sheet.tubes[tube].kind.is_directly_heated() != Some(true)
            }))?;
        Some(BodyRef {
            group: heaters.group,
            body,
        })
    }

    pub(super) fn wire_rectifiers(
        &self,
        wired: &mut Wired,
        pulled: &[bool],
        variation: &Variation,
    ) {
        for rectifying in &self.rectifying {
            let Rectifying::Tube {
                tube,
                anode,
                cathode,
                ..
            } = rectifying
            else {
                wired.rectifiers.push(None);
                continue;
            };
            let law = self.tube_law(*tube, variation);
            let heated_by = self.heated(wired, *tube);
            let (Some(law), Some(heated_by), false) = (law, heated_by, pulled[*tube]) else {
                wired.rectifiers.push(None);
                continue;
            };
            let (anode, cathode) = (wired.nodes[*anode], wired.nodes[*cathode]);
            wired
                .rectifiers
                .push(Some(wired.circuit.add(Element::Rectifier {
                    anode,
                    cathode,
                    law,
                    heated_by: Some(heated_by),
                })));
        }
    }
}

/// A heater whose heat goes other ways, all shares multiplied by one factor.
fn other_ways(spec: &HeaterSpec, factor: f64) -> Option<HeaterLaw> {
    let usual = HeaterShares::default();
    let held = |share: f64| (share * factor).clamp(0.02, 0.8);
    let shares = HeaterShares {
        contact: held(usual.contact),
        support: held(usual.support),
        filament_end: held(usual.filament_end),
        wire_capacity: held(usual.wire_capacity),
    };
    HeaterLaw::with_shares(*spec, shares).ok()
}
