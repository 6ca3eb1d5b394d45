//! Builds the circuit of a set for one state of the bench.
//!
//! Inside: volts, amperes, ohms, farads, henries. Junction numbers are those of the
//! sheet's places; the chassis is node 0. A part of the set that nothing ties to
//! the chassis is tied at one point through an ohm, which carries no current, and
//! its junctions are marked as floating. Fails when the conditions name what the
//! sheet has not.

use circuit::thermal::{Arrangement, ThermalBody, ThermalGroup, ThermalLaw};
use circuit::{Circuit, Element, Node};

use crate::conditions::BenchConditions;
use crate::sheet::{HeaterArrangement, PartValue, Place};

use super::stage_loads::StageLoad;
use super::variation::{Figure, Variation};
use super::wire_changes::tie_floating;
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
    /// Elements by which the line cycle ties them all the same.
    pub ties: Vec<usize>,
    /// Factors upon readings that no change of the circuit stands for.
    pub reading_factors: Vec<(Figure, f64)>,
    /// Line volts rms that were taken.
    pub line_volts: f64,
    /// The resistances that faults put in, in the order of the changes that have one.
    pub fault_elements: Vec<usize>,
    /// Loads that stand for tube stages.
    pub stage_loads: Vec<usize>,
    /// Parts that are open: cut loose, unplugged or taken away.
    pub open_parts: Vec<bool>,
}

impl Wired {
    pub(super) fn add_fault(&mut self, a: Node, b: Node, ohms: f64) {
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
        let usual = if conditions.direct_source.is_none() {
            self.usual().loads.as_slice()
        } else {
            &[]
        };
        self.wire_with_loads(conditions, variation, usual)
    }

    /// The same with these loads in place of the tube stages.
    pub(crate) fn wire_with_loads(
        &self,
        conditions: &BenchConditions,
        variation: &Variation,
        loads: &[StageLoad],
    ) -> Result<Wired, WiringError> {
        let mut wired = self.wire_fed(conditions, variation, true)?;
        self.wire_stage_loads(&mut wired, conditions, variation, loads);
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
            ties: Vec::new(),
            reading_factors: self.reading_factors(variation),
            line_volts: 0.0,
            fault_elements: Vec::new(),
            stage_loads: Vec::new(),
            open_parts: vec![false; sheet.parts.len()],
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
}
