//! Which places cannot be told, and why.
//!
//! Ratios only. A pin of a working tube whose current is in no calculation yet
//! must not show the volts of an idle circuit. A place that such a pin would pull
//! along is not told either. How far it is pulled is solved: the pin is moved by a
//! volt and the others are read.

use circuit::resting::resting;
use circuit::{Circuit, Element};

use crate::conditions::BenchConditions;
use crate::sheet::{PartValue, Place};
use crate::wiring::{Rectifying, SetModel, Variation, Wired};

/// A junction held by tube electrodes that no load stands for.
#[derive(Debug, Clone, PartialEq)]
pub struct OpenElectrode {
    /// The junction.
    pub junction: usize,
    /// Positions of the tubes, with the pin as written.
    pub pins: Vec<(usize, String)>,
    /// Junctions that move along when this one moves: how far, 0 to 1.
    pub pulls: Vec<f64>,
}

/// Share of a pull above which a place is not told.
pub const PULL_LIMIT: f64 = 0.1;

/// Ohms by which a rectifier stands in the small-signal circuit (judgement: the
/// sag of a tube supply is some hundred ohms; only resistances far above it matter here).
const RECTIFIER_OHMS: f64 = 200.0;

impl SetModel<'_> {
    /// The junctions whose volts depend on tube currents that are not calculated.
    pub fn open_electrodes(&self) -> Vec<OpenElectrode> {
        let covered = self.covered();
        let mut found: Vec<OpenElectrode> = Vec::new();
        for place in self.places.iter() {
            let Place::Pin { tube, pin } = place else {
                continue;
            };
            let (Some(index), Some(junction)) = (self.tube_index(tube), self.junction(place))
            else {
                continue;
            };
            if covered[junction]
                || (self.has_stages() && self.stages.covers(index, *pin))
                || !self.draws_unknown(index, *pin)
            {
                continue;
            }
            match found.iter_mut().find(|open| open.junction == junction) {
                Some(open) => open.pins.push((index, place.to_string())),
                None => found.push(OpenElectrode {
                    junction,
                    pins: vec![(index, place.to_string())],
                    pulls: Vec::new(),
                }),
            }
        }
        let still = self.small_signal(&BenchConditions::default());
        for open in &mut found {
            let grids_only = open
                .pins
                .iter()
                .all(|(tube, pin)| self.is_control_grid(*tube, pin));
            let high_voltage = open
                .pins
                .iter()
                .all(|(tube, _)| self.is_high_voltage(*tube));
            // A control grid draws too little to pull anything but itself; so does the high
            // voltage's own rectifier.
            if grids_only || high_voltage {
                open.pulls = vec![0.0; covered.len()];
                continue;
            }
            open.pulls = still
                .as_ref()
                .map(|(circuit, wired)| pulls(circuit, wired, open.junction, &covered))
                .unwrap_or_else(|| vec![0.0; covered.len()]);
            for (pull, covered) in open.pulls.iter_mut().zip(&covered) {
                if *covered {
                    *pull = 0.0;
                }
            }
        }
        found
    }

    /// Junctions where a load stands for the tubes, or that something stiff holds.
    fn covered(&self) -> Vec<bool> {
        let mut covered = vec![false; self.places.junctions().len()];
        let mut cover = |junction: Option<usize>| {
            if let Some(junction) = junction
                && let Some(covered) = covered.get_mut(junction)
            {
                *covered = true;
            }
        };
        cover(self.chassis);
        for blade in [Place::LineA, Place::LineB] {
            cover(self.junction(&blade));
        }
        for ends in &self.winding_ends {
            cover(ends[0]);
            cover(ends[1]);
        }
        for (index, part) in self.sheet.parts.iter().enumerate() {
            if matches!(part.value, PartValue::Load { .. }) {
                cover(self.part_ends[index][0]);
                cover(self.part_ends[index][1]);
            }
        }
        for rectifying in &self.rectifying {
            match rectifying {
                Rectifying::Tube {
                    anode,
                    cathode,
                    damper: false,
                    ..
                } => {
                    cover(Some(*anode));
                    cover(Some(*cathode));
                }
                Rectifying::Tube { .. } => {}
                Rectifying::Metal { part } => {
                    cover(self.part_ends[*part][0]);
                    cover(self.part_ends[*part][1]);
                }
            }
        }
        for place in &self.heater_places {
            cover(Some(place.from));
            cover(Some(place.to));
        }
        covered
    }

    /// Whether a pin carries a current that depends on its tube.
    fn draws_unknown(&self, tube: usize, pin: parts::PinName) -> bool {
        let Some(tube) = self.sheet.tubes.get(tube) else {
            return false;
        };
        let kind = &tube.kind;
        if kind.heater_pins().contains(&pin) && kind.is_directly_heated() != Some(true) {
            return false;
        }
        match kind.pin(pin) {
            Some(contact) => !contact.elements.iter().all(|element| {
                let element = element.as_str();
                element.starts_with("heater")
                    || element == "outer-coating"
                    || element == "shield"
                    || element == "shell"
                    || element == "no-connection"
            }),
            // A pin of which nothing is recorded may carry anything.
            None => true,
        }
    }

    /// Whether a tube is the rectifier of the high voltage.
    pub(crate) fn is_high_voltage(&self, tube: usize) -> bool {
        self.sheet.tubes.get(tube).is_some_and(|tube| {
            tube.kind
                .rectifier_section()
                .is_some_and(|section| section.kind == parts::SectionKind::HvRectifier)
        })
    }

    /// Whether a pin carries nothing but a control grid.
    fn is_control_grid(&self, tube: usize, pin: &str) -> bool {
        let Some(tube) = self.sheet.tubes.get(tube) else {
            return false;
        };
        pin.rsplit('.')
            .next()
            .and_then(|name| name.parse::<parts::PinName>().ok())
            .and_then(|name| tube.kind.pin(name))
            .is_some_and(|contact| {
                contact.elements.iter().all(|element| {
                    matches!(element.as_str(), "grid" | "grid1")
                        || (element == "grid2" && !has_screen(&tube.kind))
                })
            })
    }

    /// The set as a plain resistance network: working, or cold where a direct source
    /// feeds it, so that its tubes and loads conduct nothing.
    pub(crate) fn small_signal(&self, conditions: &BenchConditions) -> Option<(Circuit, Wired)> {
        let cold = conditions.direct_source.is_some();
        let wired = self.wire(conditions, &Variation::none()).ok()?;
        let mut circuit = wired.circuit.clone();
        circuit.groups.clear();
        circuit.elements = wired
            .circuit
            .elements
            .iter()
            .filter(|element| {
                let sleeps = matches!(
                    element,
                    Element::Load {
                        warmed_by: Some(_),
                        ..
                    } | Element::Rectifier {
                        heated_by: Some(_),
                        ..
                    }
                );
                !(cold && sleeps)
            })
            .map(|element| match element {
                Element::Rectifier { .. } if cold => element.clone(),
                Element::Rectifier { anode, cathode, .. } => Element::Resistor {
                    a: *anode,
                    b: *cathode,
                    ohms: RECTIFIER_OHMS,
                },
                Element::Load { a, b, siemens, .. } => Element::Resistor {
                    a: *a,
                    b: *b,
                    ohms: 1.0 / siemens.max(1e-9),
                },
                Element::Warm { a, b, group } => Element::Resistor {
                    a: *a,
                    b: *b,
                    ohms: wired
                        .circuit
                        .groups
                        .get(*group)
                        .map_or(1.0, |group| {
                            group
                                .bodies
                                .iter()
                                .map(|body| body.rated_ohms())
                                .sum::<f64>()
                        })
                        .clamp(1e-3, 1e6),
                },
                Element::Source { a, b, ohms, .. } => Element::Resistor {
                    a: *a,
                    b: *b,
                    ohms: *ohms,
                },
                other => other.clone(),
            })
            .collect();
        Some((circuit, wired))
    }
}

/// How far every junction follows when one is moved by a volt.
fn pulls(circuit: &Circuit, wired: &Wired, junction: usize, covered: &[bool]) -> Vec<f64> {
    let node = wired.node(junction);
    let nothing = vec![0.0; wired.nodes.len()];
    if node == 0 {
        return nothing;
    }
    let mut moved = circuit.clone();
    // Where a load stands for the tubes their current is counted already, so those
    // places are held.
    for (other, covered) in covered.iter().enumerate() {
        let held = wired.node(other);
        if *covered && held != 0 && held != node {
            moved.resistor(held, 0, 0.01);
        }
    }
    moved.add(Element::Source {
        a: node,
        b: 0,
        ohms: 1e-3,
        direct_volts: 1.0,
        peak_volts: 0.0,
        phase: 0.0,
    });
    match resting(&moved, 298.0) {
        Ok(record) => wired
            .nodes
            .iter()
            .map(|&node| record.volts(node, 0).mean().abs().min(1.0))
            .collect(),
        Err(_) => nothing,
    }
}

/// Whether a tube has a second grid in front of its first: then `grid2` is no control grid.
fn has_screen(kind: &parts::TubeType) -> bool {
    kind.sections
        .iter()
        .any(|section| !section.kind.is_diode() && section.kind != parts::SectionKind::Triode)
        || kind.is_picture_tube
}
