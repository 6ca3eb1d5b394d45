//! Builds the circuit of a set for one state of the bench.
//!
//! Inside: volts, amperes, ohms, farads, henries. Junction numbers are those of the
//! sheet's places; the chassis is node 0. A part of the set that nothing ties to
//! the chassis is tied at one point through an ohm, which carries no current, and
//! its junctions are marked as floating. Fails when the conditions name what the
//! sheet has not.

use circuit::thermal::{
    Arrangement, HeaterLaw, HeaterShares, HeaterSpec, ThermalBody, ThermalGroup, ThermalLaw,
};
use circuit::{BodyRef, Circuit, Element, Node, Winding};

use crate::conditions::BenchConditions;
use crate::sheet::{HeaterArrangement, PartValue, Place};

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

    pub(super) fn is_open(&self, index: usize, conditions: &BenchConditions) -> bool {
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
