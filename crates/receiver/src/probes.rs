//! Where a meter is put: every reading that a solved set can give.
//!
//! Units as each kind of reading says. A probe names junctions, parts and tubes of
//! the sheet, so the same probe reads every variation of the set.
//! A probe whose part is not in the circuit reads nothing.

use circuit::record::CycleRecord;
use circuit::thermal::GroupState;

use crate::reading::What;
use crate::sheet::{CapacitorStyle, PartValue, Place};
use crate::wiring::{Figure, Rectifying, SetModel, Wired};

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
    /// All paths of a rectifier tube together, by the tube's position.
    RectifierTube(usize),
    /// A transformer, by its position among the wired ones.
    Transformer(usize),
    /// A current of a tube stage, by the stage's position.
    Stage(usize, StageCurrent),
}

/// Ohms from every place of the sheet to the chassis, each junction once.
pub fn ohms_probes(model: &SetModel<'_>) -> Vec<Probe> {
    let mut found: Vec<Probe> = Vec::new();
    for place in model.places.iter() {
        let Some(junction) = model.junction(place) else {
            continue;
        };
        let spot = Spot::ToChassis(junction);
        let is_known = found.iter().any(|own| own.spot == spot);
        if Some(junction) != model.chassis_junction() && !is_known {
            found.push(Probe {
                at: place.to_string(),
                to: None,
                what: What::Ohms,
                spot,
            });
        }
    }
    found
}

/// Which current of a tube stage.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StageCurrent {
    /// Into the plate.
    Plate,
    /// Into the second grid.
    Screen,
    /// Out of the cathode.
    Cathode,
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
    for tube in model.rectifier_tubes() {
        let reference = &model.sheet.tubes[tube].reference;
        for what in [
            What::PlateMilliamps,
            What::CathodeMilliamps,
            What::RectifierPeakMilliamps,
        ] {
            push(reference.clone(), None, what, Spot::RectifierTube(tube));
        }
    }
    for (at, what, spot) in stage_currents(model) {
        push(at, None, what, spot);
    }
    for (number, name) in model.transformer_names().into_iter().enumerate() {
        push(name, None, What::PartWatts, Spot::Transformer(number));
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

/// The currents of all stages: at the plate's pin, and at the tube where it has one stage only.
fn stage_currents(model: &SetModel<'_>) -> Vec<(String, What, Spot)> {
    let mut found = Vec::new();
    for (number, stage) in model.stages.complete.iter().enumerate() {
        if stage.is_damper() || stage.is_beam {
            continue;
        }
        let reference = &model.sheet.tubes[stage.tube].reference;
        let mut names = Vec::new();
        names.extend(stage.pins[0].map(|pin| format!("{reference}.{pin}")));
        let alone = model.stages.of_tube(stage.tube).count() == 1
            && !model
                .stages
                .incomplete
                .iter()
                .any(|other| other.tube == stage.tube);
        if alone {
            names.push(reference.clone());
        }
        for name in names {
            let mut push =
                |what, which| found.push((name.clone(), what, Spot::Stage(number, which)));
            push(What::PlateMilliamps, StageCurrent::Plate);
            if stage.electrodes[2].is_some() {
                push(What::ScreenMilliamps, StageCurrent::Screen);
            }
            if !stage.kind.is_diode() {
                push(What::CathodeMilliamps, StageCurrent::Cathode);
            }
        }
    }
    found
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
                let place = wired
                    .heaters
                    .iter()
                    .position(|parted| parted.contains(heaters))?;
                let own = wired.reading_factor(Figure::OwnHeater(place));
                Some(match group.arrangement {
                    circuit::thermal::Arrangement::Parallel => whole,
                    circuit::thermal::Arrangement::Series => {
                        let shares = group.body_share(groups.get(heaters.group)?);
                        own * whole * shares.get(body)?
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
                    // A current of peaks feels their doubt by some two thirds: mean and rms of
                    // a pulse go with its height and width, and the mean is the load's.
                    What::CapacitorRippleAmpsRms => Some(
                        record.amperes(first).alternating_rms()
                            * wired.reading_factor(Figure::CurveShape).powf(0.65),
                    ),
                    _ => {
                        let current = record.amperes(first);
                        let mean = current.mean();
                        // What carries alternating current alone is read in rms.
                        let rms = current.rms();
                        Some(1000.0 * if mean.abs() < 0.02 * rms { rms } else { mean })
                    }
                }
            }
            Spot::RectifierTube(tube) => {
                // Of one tube the plates' currents add up; its peak is that of one plate.
                let mut paths = self.paths_of(tube, wired, record, groups).peekable();
                paths.peek()?;
                Some(match self.what {
                    What::RectifierPeakMilliamps => paths.fold(0.0, f64::max),
                    _ => paths.sum(),
                })
            }
            // The supply's cycle knows no tubes.
            Spot::Stage(..) => None,
            Spot::Transformer(number) => {
                let (element, _) = wired.transformers.get(number)?;
                Some(record.watts(*element))
            }
            Spot::Rectifier(number) => {
                let element = (*wired.rectifiers.get(number)?)?;
                let current = record.amperes(element);
                Some(
                    1000.0
                        * match self.what {
                            What::RectifierPeakMilliamps => {
                                current.highest() * wired.reading_factor(Figure::CurveShape)
                            }
                            _ => current.mean(),
                        },
                )
            }
        }
    }

    /// What each path of a rectifier tube reads.
    fn paths_of<'r>(
        &'r self,
        tube: usize,
        wired: &'r Wired,
        record: &'r CycleRecord<'_>,
        groups: &'r [GroupState],
    ) -> impl Iterator<Item = f64> + 'r {
        let what = match self.what {
            What::CathodeMilliamps => What::PlateMilliamps,
            other => other,
        };
        wired
            .rectifier_tubes
            .iter()
            .enumerate()
            .filter(move |(_, own)| **own == Some(tube))
            .filter_map(move |(number, _)| {
                Probe {
                    at: String::new(),
                    to: None,
                    what,
                    spot: Spot::Rectifier(number),
                }
                .read(wired, record, groups)
            })
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

    /// Rectifier tubes of the supply, by position.
    pub fn rectifier_tubes(&self) -> Vec<usize> {
        let mut found = Vec::new();
        for rectifying in &self.rectifying {
            if let Rectifying::Tube {
                tube,
                damper: false,
                ..
            } = rectifying
                && !found.contains(tube)
            {
                found.push(*tube);
            }
        }
        found
    }

    /// Whether the ripple of a junction is solved for: an electrolytic sits on it, and the
    /// supply's cycle follows it.
    pub fn has_ripple(&self, junction: usize) -> bool {
        self.sheet.parts.iter().enumerate().any(|(index, part)| {
            self.follows(index)
                && matches!(
                    part.value,
                    PartValue::Capacitor {
                        style: CapacitorStyle::Electrolytic,
                        ..
                    }
                )
                && self.part_ends[index][..2].contains(&Some(junction))
        }) && Some(junction) != self.chassis
    }

    /// Whether alternating volts are looked for at a junction: the line and what feeds
    /// from it, a winding, a heater string.
    pub fn alternates(&self, junction: usize) -> bool {
        self.alternating.get(junction).copied().unwrap_or(false)
    }

    /// Works out where alternating volts are looked for.
    pub(crate) fn find_alternating(&self) -> Vec<bool> {
        let mut found = vec![false; self.places.junctions().len()];
        let mut queue: Vec<usize> = [Place::LineA, Place::LineB]
            .iter()
            .filter_map(|blade| self.junction(blade))
            .collect();
        queue.extend(self.winding_ends.iter().flatten().flatten());
        queue.extend(
            self.heater_places
                .iter()
                .flat_map(|place| [place.from, place.to]),
        );
        for rectifying in &self.rectifying {
            match rectifying {
                Rectifying::Tube {
                    anode,
                    damper: false,
                    ..
                } => queue.push(*anode),
                Rectifying::Tube { .. } => {}
                Rectifying::Metal { part } => queue.extend(self.part_ends[*part][0]),
            }
        }
        for &junction in &queue {
            if let Some(found) = found.get_mut(junction) {
                *found = true;
            }
        }
        // What the line feeds through fuses, switches and droppers alternates too.
        let mut line: Vec<usize> = [Place::LineA, Place::LineB]
            .iter()
            .filter_map(|blade| self.junction(blade))
            .filter(|junction| Some(*junction) != self.chassis)
            .collect();
        let mut at = 0;
        while at < line.len() {
            let here = line[at];
            at += 1;
            for (index, part) in self.sheet.parts.iter().enumerate() {
                let passes = match part.value {
                    PartValue::Fuse { .. }
                    | PartValue::Switch { .. }
                    | PartValue::Plug { .. }
                    | PartValue::Thermistor { .. }
                    | PartValue::Ballast { .. }
                    | PartValue::Lamp(_) => true,
                    PartValue::Resistor { .. } | PartValue::Coil { .. } => {
                        self.ohms(index).is_some_and(|ohms| ohms < 1000.0)
                    }
                    _ => false,
                };
                let [Some(a), Some(b), _] = self.part_ends[index] else {
                    continue;
                };
                for (one, other) in [(a, b), (b, a)] {
                    if passes
                        && one == here
                        && Some(other) != self.chassis
                        && !line.contains(&other)
                        && !self.rectified(other)
                    {
                        line.push(other);
                        found[other] = true;
                    }
                }
            }
        }
        found
    }

    /// Whether a junction is the + end of a rectifier.
    fn rectified(&self, junction: usize) -> bool {
        self.rectifying.iter().any(|rectifying| match rectifying {
            Rectifying::Tube { cathode, .. } => *cathode == junction,
            Rectifying::Metal { part } => self.part_ends[*part][1] == Some(junction),
        })
    }
}
