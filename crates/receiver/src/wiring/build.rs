//! Builds the circuit of a set for one state of the bench.
//!
//! Inside: volts, amperes, ohms, farads, henries. Junction numbers are those of the
//! sheet's places; the chassis is node 0. A part of the set that nothing ties to
//! the chassis is tied at one point through an ohm, which carries no current, and
//! its junctions are marked as floating. Fails when the conditions name what the
//! sheet has not.

use circuit::thermal::{
    Arrangement, HeaterLaw, HeaterShares, HeaterSpec, ThermalBody, ThermalGroup, ThermalLaw,
    ThermistorLaw,
};
use circuit::{BodyRef, Circuit, Element, Node, RectifierLaw, Winding};
use parts::SectionKind;

use crate::conditions::BenchConditions;
use crate::sheet::{CapacitorStyle, CoilKind, HeaterArrangement, PartValue, Place};

use super::figures::LeftOut;
use super::variation::{Change, Figure, Variation};
use super::{SetModel, WiringError};

/// A place where heaters are fed: a row of the sheet, or a winding straight to the pins.
#[derive(Debug, Clone, PartialEq)]
pub struct HeaterPlace {
    /// Junction of one end.
    pub from: usize,
    /// Junction of the other.
    pub to: usize,
    /// Side by side or one after the other.
    pub arrangement: HeaterArrangement,
    /// Positions of the tubes among the sheet's tubes.
    pub tubes: Vec<usize>,
    /// Whether a winding goes straight to the pins, without a heater row.
    pub straight: bool,
    /// Rated volts over sheet volts, for heaters with a centre tap fed in halves.
    pub halved: bool,
}

/// One way for rectified current.
#[derive(Debug, Clone, PartialEq)]
pub enum Rectifying {
    /// A plate of a tube.
    Tube {
        /// Position of the tube.
        tube: usize,
        /// Number of the path in the tube.
        path: usize,
        /// The plate as the sheet calls it.
        plate: Place,
        /// Junction of the plate.
        anode: usize,
        /// Junction of the cathode.
        cathode: usize,
        /// Whether it is the damper of the sweep.
        damper: bool,
    },
    /// A metal or silicon rectifier.
    Metal {
        /// Position among the parts.
        part: usize,
    },
}

/// Where heaters ended up in the circuit.
#[derive(Debug, Clone, PartialEq)]
pub struct WiredHeaters {
    /// The element.
    pub element: usize,
    /// Index of its thermal group.
    pub group: usize,
    /// Tubes by their position, in the order of the bodies.
    pub tubes: Vec<usize>,
}

/// The circuit of a set and where everything of the sheet is in it.
#[derive(Debug, Clone)]
pub struct Wired {
    /// The circuit.
    pub circuit: Circuit,
    /// Node of each junction.
    pub nodes: Vec<Node>,
    /// The line, as a source; absent with the plug out.
    pub line: Option<usize>,
    /// The limiter lamp.
    pub lamp: Option<usize>,
    /// Node of the set's line a behind the lamp and node of line b.
    pub blades: Option<(Node, Node)>,
    /// Elements of each part: one, or two for a tapped part.
    pub parts: Vec<Vec<usize>>,
    /// Element of each transformer with the sheet position of each of its windings.
    pub transformers: Vec<(usize, Vec<usize>)>,
    /// Element of each rectifier path, in the order of [`SetModel::rectifying`].
    pub rectifiers: Vec<Option<usize>>,
    /// The tube of each rectifier path, `None` for metal ones.
    pub rectifier_tubes: Vec<Option<usize>>,
    /// Heaters, in the order of [`SetModel::heater_places`]; two where a fault parts a string.
    pub heaters: Vec<Vec<WiredHeaters>>,
    /// Junctions that nothing ties to the chassis.
    pub floating: Vec<bool>,
    /// Factors upon readings that no change of the circuit stands for.
    pub reading_factors: Vec<(Figure, f64)>,
    /// Line volts rms that were taken.
    pub line_volts: f64,
    /// The resistances that faults put in, in the order of the changes that have one.
    pub fault_elements: Vec<usize>,
}

impl Wired {
    fn add_fault(&mut self, a: Node, b: Node, ohms: f64) {
        let element = self.circuit.resistor(a, b, ohms.max(1e-3));
        self.fault_elements.push(element);
    }

    /// The factor of a reading that no change of the circuit stands for; 1 for most.
    pub fn reading_factor(&self, figure: Figure) -> f64 {
        self.reading_factors
            .iter()
            .find(|(own, _)| *own == figure)
            .map_or(1.0, |(_, factor)| *factor)
    }

    /// Node of a junction; the chassis where the number is not of this sheet.
    pub fn node(&self, junction: usize) -> Node {
        self.nodes.get(junction).copied().unwrap_or(0)
    }
}

/// Where the heaters are fed.
pub(super) fn heater_places(model: &SetModel<'_>) -> Vec<HeaterPlace> {
    let sheet = model.sheet;
    let mut found = Vec::new();
    let mut heated = vec![false; sheet.tubes.len()];
    for row in &sheet.heaters {
        let (Some(from), Some(to)) = (model.junction(&row.from), model.junction(&row.to)) else {
            continue;
        };
        let tubes: Vec<usize> = row
            .tubes
            .iter()
            .filter_map(|reference| model.tube_index(reference))
            .collect();
        for &tube in &tubes {
            heated[tube] = true;
        }
        found.push(HeaterPlace {
            from,
            to,
            arrangement: row.arrangement,
            tubes,
            straight: false,
            halved: false,
        });
    }
    for (index, tube) in sheet.tubes.iter().enumerate() {
        if heated[index] {
            continue;
        }
        let mut ends: Vec<usize> = tube
            .kind
            .heater_pins()
            .into_iter()
            .filter_map(|pin| {
                model.junction(&Place::Pin {
                    tube: tube.reference.clone(),
                    pin,
                })
            })
            .collect();
        ends.dedup();
        let fed_by_winding = |junction: usize| {
            model
                .winding_ends
                .iter()
                .any(|ends| ends.contains(&Some(junction)))
        };
        if let [from, .., to] = ends[..]
            && from != to
            && (fed_by_winding(from) || fed_by_winding(to))
        {
            found.push(HeaterPlace {
                from,
                to,
                arrangement: HeaterArrangement::Parallel,
                tubes: vec![index],
                straight: true,
                halved: false,
            });
        }
    }
    found
}

/// The ways for rectified current.
pub(super) fn rectifying(model: &mut SetModel<'_>) -> Vec<Rectifying> {
    let sheet = model.sheet;
    let mut found = Vec::new();
    for (index, tube) in sheet.tubes.iter().enumerate() {
        let Some(section) = tube.kind.rectifier_section() else {
            continue;
        };
        if section.kind == SectionKind::HvRectifier {
            continue;
        }
        let damper = section.kind == SectionKind::Damper;
        let paths = tube.kind.rectifier_paths();
        if paths.is_empty() {
            model.left_out.push(LeftOut {
                reference: tube.reference.clone(),
                because: format!("the pins of {} are not in the catalogue", tube.kind.name),
            });
        }
        for (number, path) in paths.iter().enumerate() {
            let place = |pin| Place::Pin {
                tube: tube.reference.clone(),
                pin,
            };
            let anode = model.junction(&place(path.plate));
            let cathodes: Vec<usize> = path
                .cathodes
                .iter()
                .filter_map(|&pin| model.junction(&place(pin)))
                .collect();
            // B+ is taken from the filament end that something besides the winding uses.
            let used = |junction: &usize| {
                model
                    .part_ends
                    .iter()
                    .any(|ends| ends.contains(&Some(*junction)))
            };
            let cathode = cathodes
                .iter()
                .copied()
                .find(used)
                .or(cathodes.last().copied());
            match (anode, cathode) {
                (Some(anode), Some(cathode)) => found.push(Rectifying::Tube {
                    tube: index,
                    path: number,
                    plate: place(path.plate),
                    anode,
                    cathode,
                    damper,
                }),
                _ => model.left_out.push(LeftOut {
                    reference: format!("{}.{}", tube.reference, path.plate),
                    because: "its plate or its cathode is not on the sheet".to_string(),
                }),
            }
        }
    }
    for (index, part) in sheet.parts.iter().enumerate() {
        if matches!(
            part.value,
            PartValue::Selenium { .. } | PartValue::Silicon { .. }
        ) {
            found.push(Rectifying::Metal { part: index });
        }
    }
    found
}

/// Smallest inductance that a line cycle can feel beside the resistances of a supply, henries.
const FOLLOWED_HENRIES: f64 = 0.2;

/// Which capacitors and coils the cycle has to follow: electrolytics, chokes, and
/// whatever lies at the line, at a winding or at a rectifier.
pub(super) fn followed(model: &SetModel<'_>) -> Vec<bool> {
    let mut near = vec![false; model.places.junctions().len()];
    let mut mark = |junction: Option<usize>| {
        if let Some(junction) = junction
            && let Some(near) = near.get_mut(junction)
        {
            *near = true;
        }
    };
    for place in [Place::LineA, Place::LineB] {
        mark(model.junction(&place));
    }
    for ends in &model.winding_ends {
        mark(ends[0]);
        mark(ends[1]);
    }
    for rectifying in &model.rectifying {
        match rectifying {
            Rectifying::Tube {
                anode,
                cathode,
                damper: false,
                ..
            } => {
                mark(Some(*anode));
                mark(Some(*cathode));
            }
            Rectifying::Tube { .. } => {}
            Rectifying::Metal { part } => {
                mark(model.part_ends[*part][0]);
                mark(model.part_ends[*part][1]);
            }
        }
    }
    for (index, part) in model.sheet.parts.iter().enumerate() {
        if matches!(
            part.value,
            PartValue::Fuse { .. } | PartValue::Switch { .. } | PartValue::Plug { .. }
        ) && model.part_ends[index][..2]
            .iter()
            .flatten()
            .any(|&end| near.get(end).copied().unwrap_or(false))
            && !model.part_ends[index][..2].contains(&model.chassis)
        {
            // A fuse or switch in the line carries the line on to its other end.
            let line_side = model.part_ends[index];
            for end in line_side[..2].iter().flatten() {
                if let Some(near) = near.get_mut(*end) {
                    *near = true;
                }
            }
        }
    }
    let ends_near = |index: usize| {
        model.part_ends[index][..2]
            .iter()
            .flatten()
            .any(|&end| near.get(end).copied().unwrap_or(false) && Some(end) != model.chassis)
    };
    let used: Vec<usize> = {
        let mut used = vec![0; model.places.junctions().len()];
        for ends in &model.part_ends {
            for end in ends.iter().flatten() {
                if let Some(used) = used.get_mut(*end) {
                    *used += 1;
                }
            }
        }
        used
    };
    model
        .sheet
        .parts
        .iter()
        .enumerate()
        .map(|(index, part)| match &part.value {
            PartValue::Capacitor { style, .. } => {
                *style == CapacitorStyle::Electrolytic || ends_near(index)
            }
            PartValue::Coil { kind, .. } => {
                let figures = model.resolved.parts.get(index).copied().unwrap_or_default();
                let hangs = model.part_ends[index][..2].iter().flatten().any(|&end| {
                    used.get(end).copied().unwrap_or(0) < 2 && Some(end) != model.chassis
                });
                figures.henries > 0.0
                    && match kind {
                        CoilKind::Choke | CoilKind::FocusCoil => true,
                        CoilKind::Coil | CoilKind::Yoke => {
                            figures.henries >= FOLLOWED_HENRIES && !hangs
                        }
                    }
            }
            _ => false,
        })
        .collect()
}

/// Emission over demand of the tubes that a load stands for (judgement: 6 to 10 healthy).
const LOAD_RESERVE: f64 = 8.0;
/// A healthy rectifier cathode gives about twice its rated peak (judgement).
const EMISSION_OVER_PEAK: f64 = 2.0;
/// Where no peak is rated, peak over direct current of a capacitor-input supply (judgement).
const PEAK_OVER_DIRECT: f64 = 4.0;

impl SetModel<'_> {
    /// Builds the circuit.
    pub fn wire(
        &self,
        conditions: &BenchConditions,
        variation: &Variation,
    ) -> Result<Wired, WiringError> {
        let mut wired = self.wire_fed(conditions, variation, true)?;
        tie_floating(&mut wired);
        Ok(wired)
    }

    /// Builds the circuit with the plug out and no source in it; what nothing ties to the
    /// chassis is left so.
    pub fn wire_unplugged(
        &self,
        conditions: &BenchConditions,
        variation: &Variation,
    ) -> Result<Wired, WiringError> {
        self.wire_fed(conditions, variation, false)
    }

    fn wire_fed(
        &self,
        conditions: &BenchConditions,
        variation: &Variation,
        fed: bool,
    ) -> Result<Wired, WiringError> {
        self.check_references(conditions)?;
        let sheet = self.sheet;
        let mut circuit = Circuit::new(sheet.line_hertz);
        let nodes: Vec<Node> = (0..self.places.junctions().len())
            .map(|junction| {
                if Some(junction) == self.chassis {
                    0
                } else {
                    circuit.node()
                }
            })
            .collect();
        let mut wired = Wired {
            line: None,
            lamp: None,
            blades: None,
            parts: vec![Vec::new(); sheet.parts.len()],
            transformers: Vec::new(),
            rectifiers: Vec::new(),
            rectifier_tubes: self
                .rectifying
                .iter()
                .map(|rectifying| match rectifying {
                    Rectifying::Tube { tube, .. } => Some(*tube),
                    Rectifying::Metal { .. } => None,
                })
                .collect(),
            heaters: Vec::new(),
            floating: vec![false; nodes.len()],
            reading_factors: self.reading_factors(variation),
            line_volts: 0.0,
            fault_elements: Vec::new(),
            nodes,
            circuit,
        };
        let pulled: Vec<bool> = sheet
            .tubes
            .iter()
            .map(|tube| {
                conditions
                    .pulled
                    .iter()
                    .any(|pulled| pulled.trim().eq_ignore_ascii_case(&tube.reference))
            })
            .collect();
        if fed {
            self.wire_feed(&mut wired, conditions, variation)?;
        }
        self.wire_transformers(&mut wired, variation);
        self.wire_heaters(&mut wired, &pulled, variation);
        self.wire_rectifiers(&mut wired, &pulled, variation);
        self.wire_parts(&mut wired, conditions, variation);
        self.wire_changes(&mut wired, variation);
        Ok(wired)
    }

    fn reading_factors(&self, variation: &Variation) -> Vec<(Figure, f64)> {
        (0..self.heater_places.len())
            .map(Figure::OwnHeater)
            .chain(std::iter::once(Figure::CurveShape))
            .map(|figure| (figure, variation.factor(figure)))
            .filter(|(_, factor)| *factor != 1.0)
            .collect()
    }

    fn check_references(&self, conditions: &BenchConditions) -> Result<(), WiringError> {
        let unknown = |read: &String| {
            Err(WiringError::UnknownReference {
                read: read.clone(),
                nearest: self.sheet.nearest_reference(read).map(str::to_string),
            })
        };
        for read in &conditions.pulled {
            if self.tube_index(read).is_none() {
                return unknown(read);
            }
        }
        for read in conditions.open.iter().chain(&conditions.fitted_without) {
            if self.part_index(read).is_none() {
                return unknown(read);
            }
        }
        Ok(())
    }

    fn wire_feed(
        &self,
        wired: &mut Wired,
        conditions: &BenchConditions,
        variation: &Variation,
    ) -> Result<(), WiringError> {
        if let Some(source) = &conditions.direct_source {
            let place = self.places.find(&source.place)?;
            let node = self
                .junction(place)
                .map_or(0, |junction| wired.nodes[junction]);
            wired.line = Some(wired.circuit.add(Element::Source {
                a: node,
                b: 0,
                ohms: source.series_ohms.max(1e-3),
                direct_volts: source.volts,
                peak_volts: 0.0,
                phase: 0.0,
            }));
            return Ok(());
        }
        let (Some(line_a), Some(line_b)) =
            (self.junction(&Place::LineA), self.junction(&Place::LineB))
        else {
            return Err(WiringError::NoPlug);
        };
        let (line_a, line_b) = (wired.nodes[line_a], wired.nodes[line_b]);
        let volts =
            conditions.line_volts.unwrap_or(self.sheet.line_volts) * variation.factor(Figure::Line);
        wired.line_volts = volts;
        wired.blades = Some((line_a, line_b));
        let wall = if conditions.lamps.is_empty() {
            line_a
        } else {
            let wall = wired.circuit.node();
            let mut bodies = Vec::new();
            for &watts in &conditions.lamps {
                let law = self
                    .lamp_laws
                    .get(&watts.to_bits())
                    .ok_or(WiringError::Lamp { watts })?
                    .rated_at_amperes_times(1.0 / variation.factor(Figure::LampOhms));
                bodies.push(ThermalBody {
                    law: ThermalLaw::Lamp(law),
                });
            }
            let group = wired.circuit.group(ThermalGroup {
                arrangement: Arrangement::Parallel,
                bodies,
            });
            wired.lamp = Some(wired.circuit.add(Element::Warm {
                a: wall,
                b: line_a,
                group,
            }));
            wall
        };
        wired.line = Some(wired.circuit.add(Element::Source {
            a: wall,
            b: line_b,
            ohms: conditions.source_ohms.max(1e-3),
            direct_volts: 0.0,
            peak_volts: volts * std::f64::consts::SQRT_2,
            phase: 0.0,
        }));
        Ok(())
    }

    fn wire_transformers(&self, wired: &mut Wired, variation: &Variation) {
        let warmth = variation.factor(Figure::CopperWarmth);
        let omega = std::f64::consts::TAU * self.sheet.line_hertz;
        for transformer in &self.resolved.transformers {
            let volts_of = |index: usize| self.resolved.windings[index].volts;
            let reference = transformer.primary.and_then(volts_of).or(transformer
                .windings
                .iter()
                .copied()
                .find_map(volts_of));
            let Some(reference) = reference else {
                continue;
            };
            let mut windings = Vec::new();
            let mut positions = Vec::new();
            for &index in &transformer.windings {
                let (Some(volts), [Some(start), Some(end)]) =
                    (volts_of(index), self.winding_ends[index])
                else {
                    continue;
                };
                windings.push(Winding {
                    start: wired.nodes[start],
                    end: wired.nodes[end],
                    turns: volts / reference * variation.factor(Figure::WindingVolts(index)),
                    ohms: self.resolved.windings[index].ohms
                        * variation.factor(Figure::WindingOhms(index))
                        * warmth,
                    leakage_henries: 0.0,
                });
                positions.push(index);
            }
            for change in &variation.changes {
                if let Change::ShortedTurns { winding, share } = change
                    && let Some(position) = positions.iter().position(|index| index == winding)
                {
                    let whole = windings[position];
                    windings.push(Winding {
                        start: 0,
                        end: 0,
                        turns: whole.turns * share,
                        ohms: (whole.ohms * share).max(1e-5),
                        leakage_henries: 0.0,
                    });
                }
            }
            let first = transformer.windings.first().copied().unwrap_or(0);
            let idle = variation.factor(Figure::Idle(first));
            let loss = transformer.idle_watts * idle / (reference * reference);
            let magnetising = transformer.idle_amperes.and_then(|amperes| {
                let in_phase = transformer.idle_watts / reference;
                let across = amperes * amperes - in_phase * in_phase;
                (across > 0.0).then(|| reference / (omega * across.sqrt() * idle))
            });
            let element = wired.circuit.add(Element::Transformer {
                windings,
                loss_siemens: loss.max(0.0),
                magnetising_henries: magnetising,
            });
            wired.transformers.push((element, positions));
        }
    }

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
        let (volts, amperes) = if self.heater_places.get(place)?.halved {
            rating.halves_in_parallel()?
        } else {
            (rating.volts, rating.amperes)
        };
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

    fn wire_heaters(&self, wired: &mut Wired, pulled: &[bool], variation: &Variation) {
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

    fn heated(&self, wired: &Wired, tube: usize) -> Option<BodyRef> {
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
    fn ordinary(&self, wired: &Wired) -> Option<BodyRef> {
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

    fn wire_rectifiers(&self, wired: &mut Wired, pulled: &[bool], variation: &Variation) {
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

    /// The law of one plate of a rectifier tube: the three-halves law through the
    /// published drops, their mean where they disagree.
    pub(crate) fn tube_law(&self, tube: usize, variation: &Variation) -> Option<RectifierLaw> {
        let section = self.sheet.tubes.get(tube)?.kind.rectifier_section()?;
        let rating = section.rectifier.as_ref()?;
        let mean_log = self
            .tube_perveances(tube)
            .iter()
            .map(|k| k.ln())
            .sum::<f64>()
            / rating.drop_points.len().max(1) as f64;
        if rating.drop_points.is_empty() {
            return None;
        }
        let drop = variation.factor(Figure::TubeDrop(tube));
        let peak = rating
            .max_peak_milliamperes
            .or(rating.max_dc_milliamperes.map(|dc| dc * PEAK_OVER_DIRECT))
            .unwrap_or(500.0)
            / 1000.0;
        Some(RectifierLaw::Tube {
            perveance: mean_log.exp() / drop.powf(1.5),
            rated_emission: EMISSION_OVER_PEAK * peak * variation.factor(Figure::Emission(tube)),
        })
    }

    /// The perveance that each published drop of a tube gives, amperes per volt^1.5.
    pub(crate) fn tube_perveances(&self, tube: usize) -> Vec<f64> {
        self.sheet
            .tubes
            .get(tube)
            .and_then(|tube| tube.kind.rectifier_section())
            .and_then(|section| section.rectifier.as_ref())
            .map(|rating| {
                rating
                    .drop_points
                    .iter()
                    .map(|point| point.milliamperes / 1000.0 / point.volts.powf(1.5))
                    .collect()
            })
            .unwrap_or_default()
    }

    /// The law of a metal or silicon rectifier part.
    pub(crate) fn metal_law(&self, part: usize, variation: &Variation) -> Option<RectifierLaw> {
        let figures = self.resolved.parts.get(part)?;
        let factor = variation.factor(Figure::Drop(part));
        match self.sheet.parts.get(part)?.value {
            PartValue::Selenium { .. } => {
                let threshold = SELENIUM_THRESHOLD * figures.plates;
                let rest = (figures.drop_volts - threshold).max(0.2 * figures.drop_volts);
                Some(RectifierLaw::Junction {
                    threshold: threshold * factor.min(1.3),
                    series_ohms: rest * factor / (CONDUCTING_OVER_DIRECT * figures.drop_amperes),
                    corner: 0.06 * figures.plates,
                    leak_siemens: SELENIUM_LEAK_SHARE * figures.drop_amperes
                        / (26.0 * figures.plates),
                })
            }
            PartValue::Silicon { .. } => {
                let threshold = 0.65;
                let rest = (figures.drop_volts - threshold).max(0.1);
                Some(RectifierLaw::Junction {
                    threshold,
                    series_ohms: rest * factor / figures.drop_amperes,
                    corner: 0.05,
                    leak_siemens: 1e-8,
                })
            }
            _ => None,
        }
    }

    fn is_open(&self, index: usize, conditions: &BenchConditions) -> bool {
        let part = &self.sheet.parts[index];
        let named = |list: &[String]| {
            list.iter()
                .any(|name| name.trim().eq_ignore_ascii_case(&part.reference))
        };
        let stands_open = matches!(
            part.value,
            PartValue::Switch { open: true } | PartValue::Plug { open: true }
        );
        stands_open
            || named(&conditions.open)
            || named(&conditions.fitted_without)
            || named(&self.sheet.state.cut_loose)
    }

    fn wire_parts(&self, wired: &mut Wired, conditions: &BenchConditions, variation: &Variation) {
        let ordinary = self.ordinary(wired);
        for (index, part) in self.sheet.parts.iter().enumerate() {
            let opened = variation.changes.contains(&Change::Open(index));
            let [Some(from), Some(to), third] = self.part_ends[index] else {
                continue;
            };
            if opened || self.is_open(index, conditions) {
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
                        let share = at.unwrap_or(0.5).clamp(0.0, 1.0);
                        for (one, other, ohms) in
                            [(a, middle, ohms * share), (middle, b, ohms * (1.0 - share))]
                        {
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
                        reserve: LOAD_RESERVE * variation.factor(Figure::LoadReserve),
                    })
                });
            }
            _ => {}
        }
        wired.parts[index] = elements;
    }

    fn wire_changes(&self, wired: &mut Wired, variation: &Variation) {
        for change in &variation.changes {
            match change {
                Change::Shunt { a, b, ohms } => {
                    let (a, b) = (wired.node(*a), wired.node(*b));
                    if a != b {
                        wired.add_fault(a, b, *ohms);
                    }
                }
                Change::Beside { part, ohms } => {
                    if let [Some(a), Some(b), _] = self.part_ends[*part] {
                        let (a, b) = (wired.node(a), wired.node(b));
                        if a != b {
                            wired.add_fault(a, b, *ohms);
                        }
                    }
                }
                Change::TubePathShort { tube, path, ohms } => {
                    for rectifying in &self.rectifying {
                        if let Rectifying::Tube {
                            tube: own,
                            path: own_path,
                            anode,
                            cathode,
                            ..
                        } = rectifying
                            && own == tube
                            && own_path == path
                        {
                            let (a, b) = (wired.node(*anode), wired.node(*cathode));
                            if a != b {
                                wired.add_fault(a, b, *ohms);
                            }
                        }
                    }
                }
                Change::AcrossHeaters { place, ohms } => {
                    if let Some(place) = self.heater_places.get(*place) {
                        let (a, b) = (wired.node(place.from), wired.node(place.to));
                        if a != b {
                            wired.add_fault(a, b, *ohms);
                        }
                    }
                }
                Change::HeaterToJunction {
                    tube,
                    junction,
                    ohms,
                } => {
                    // A string was parted where its heaters were wired.
                    let place = self
                        .heater_places
                        .iter()
                        .find(|place| place.tubes.contains(tube));
                    if let Some(place) = place
                        && place.arrangement == HeaterArrangement::Parallel
                    {
                        let (a, b) = (wired.node(place.from), wired.node(*junction));
                        if a != b {
                            wired.add_fault(a, b, *ohms);
                        }
                    }
                }
                Change::Open(_) | Change::ShortedTurns { .. } | Change::HeaterOpen(_) => {}
            }
        }
    }
}

/// Volts a plate at which selenium begins to conduct (from memory: 0.4 to 0.6).
const SELENIUM_THRESHOLD: f64 = 0.5;
/// Mean current while conducting over direct current, for which the published drop of
/// a stack holds (judgement: capacitor input conducts about a third of the time).
const CONDUCTING_OVER_DIRECT: f64 = 3.0;
/// Reverse current at rated volts over rated current (from memory: about a thousandth).
const SELENIUM_LEAK_SHARE: f64 = 1e-3;

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

/// Ties every part of the circuit that nothing joins to the chassis, and marks it.
fn tie_floating(wired: &mut Wired) {
    let mut root: Vec<usize> = (0..wired.circuit.nodes).collect();
    fn find(root: &mut [usize], mut node: usize) -> usize {
        while root[node] != node {
            root[node] = root[root[node]];
            node = root[node];
        }
        node
    }
    for element in &wired.circuit.elements {
        let mut join = |a: Node, b: Node| {
            let (a, b) = (find(&mut root, a), find(&mut root, b));
            root[a.max(b)] = a.min(b);
        };
        match element {
            Element::Resistor { a, b, .. }
            | Element::Capacitor { a, b, .. }
            | Element::Inductor { a, b, .. }
            | Element::Source { a, b, .. }
            | Element::Warm { a, b, .. }
            | Element::Load { a, b, .. }
            | Element::Switch { a, b, .. } => join(*a, *b),
            Element::Rectifier { anode, cathode, .. } => join(*anode, *cathode),
            Element::Transformer { windings, .. } => {
                for winding in windings {
                    join(winding.start, winding.end);
                }
            }
        }
    }
    let preferred = wired.blades.map(|(_, line_b)| line_b);
    let mut tied = vec![false; wired.circuit.nodes];
    let order = preferred.into_iter().chain(1..wired.circuit.nodes);
    for node in order.collect::<Vec<_>>() {
        let own = find(&mut root, node);
        if own != find(&mut root, 0) && !tied[own] {
            tied[own] = true;
            wired.circuit.resistor(node, 0, 1.0);
        }
    }
    for (junction, floating) in wired.floating.iter_mut().enumerate() {
        let own = find(&mut root, wired.nodes[junction]);
        *floating = tied[own];
    }
}
