//! The tube stages of a set: which section of which tube sits between which places, by
//! what law, and whether a signal makes its direct volts.
//!
//! Volts, amperes; junction numbers are those of the sheet's places. Source: the sheet's
//! wiring and the laws fitted to the catalogue's published points. Rectifiers of the
//! supply and high-voltage rectifiers are no stages; the damper is one, because the
//! sweep drives it. Nothing here fails: a section that cannot be followed is listed as
//! incomplete, with the reason.

mod drive;
mod signals;
mod tested;

use std::sync::Arc;

use circuit::tube::{ELECTRODES, TubeLaw};
use parts::{Catalogue, PinName, SectionKind};

use crate::sheet::{PartValue, Place};
use crate::wiring::SetModel;

pub use drive::Drive;
pub(crate) use drive::family;
pub use tested::{TestedTube, TesterKind, TesterSaid};

/// One section of a tube with everything around it on the sheet.
#[derive(Debug, Clone)]
pub struct TubeStage {
    /// Position of the tube among the sheet's tubes.
    pub tube: usize,
    /// Name of the section as the catalogue has it.
    pub section: String,
    /// Which of the section's equal halves, from 0.
    pub unit: u8,
    /// What the section is.
    pub kind: SectionKind,
    /// Its law.
    pub law: Arc<TubeLaw>,
    /// Doubt of the plate current where the law was not fitted, as a share.
    pub model_error: f64,
    /// Junctions of plate and grids 1 to 3; `None` is inside at the cathode.
    pub electrodes: [Option<usize>; ELECTRODES],
    /// Pins of the same.
    pub pins: [Option<PinName>; ELECTRODES],
    /// Junction of the cathode.
    pub cathode: usize,
    /// Pairs of junctions that the tube joins inside: an electrode on two pins.
    pub joined: Vec<(usize, usize)>,
    /// Every pin of the section.
    pub all_pins: Vec<PinName>,
    /// Pin of the cathode.
    pub cathode_pin: PinName,
    /// What makes its direct volts.
    pub drive: Drive,
    /// Whether it is the beam of a picture tube, whose anode is fed by the sweep.
    pub is_beam: bool,
}

/// How far samples of one stage's tube lie apart; factors on the law, contact in volts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Samples {
    /// Currents.
    pub strength: laws::Spread,
    /// Emission.
    pub emission: laws::Spread,
    /// Grid volts of cut-off.
    pub cutoff: laws::Spread,
    /// Contact potential.
    pub contact_volts: laws::Spread,
}

/// A section that cannot be followed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Incomplete {
    /// Position of the tube.
    pub tube: usize,
    /// Name of the section; empty where the whole tube is meant.
    pub section: String,
    /// Pins of the section, as far as known.
    pub pins: Vec<PinName>,
    /// Why.
    pub because: String,
}

/// All stages of a set.
#[derive(Debug, Clone, Default)]
pub struct Stages {
    /// Those that can be calculated, in the order of the sheet's tubes.
    pub complete: Vec<TubeStage>,
    /// Those that cannot.
    pub incomplete: Vec<Incomplete>,
    /// Junctions where the sweep's pulses stand, by number: some hundred volts to kilovolts.
    pub pulsed: Vec<bool>,
    /// Junctions that large capacitors hold still for a signal, by number.
    pub held: Vec<bool>,
}

impl TubeStage {
    /// Every junction that it touches.
    pub fn junctions(&self) -> impl Iterator<Item = usize> + '_ {
        self.electrodes
            .iter()
            .flatten()
            .copied()
            .chain([self.cathode])
            .chain(self.joined.iter().map(|(_, twin)| *twin))
    }

    /// How far samples of it lie apart, new or used.
    pub fn usual(&self, is_new: bool) -> Samples {
        let spread = laws::tube_spread(self.kind);
        Samples {
            strength: if is_new {
                spread.strength_new
            } else {
                spread.strength_used
            },
            emission: if is_new {
                spread.emission_new
            } else {
                spread.emission_used
            },
            cutoff: spread.cutoff,
            contact_volts: spread.contact_volts,
        }
    }

    /// Whether it is a diode driven by the sweep that lifts the boosted line.
    pub fn is_damper(&self) -> bool {
        self.kind == SectionKind::Damper
    }
}

impl Stages {
    /// Finds the stages of a set.
    pub fn of(model: &SetModel<'_>, catalogue: &Catalogue) -> Stages {
        let mut stages = Stages::default();
        for (index, tube) in model.sheet.tubes.iter().enumerate() {
            if let Some(load) = stood_for(model, &tube.reference) {
                stages.incomplete.push(Incomplete {
                    tube: index,
                    section: String::new(),
                    pins: tube.kind.pins.iter().map(|pin| pin.number).collect(),
                    because: format!("the load {load} stands for it"),
                });
                continue;
            }
            if !model.is_heated(index) {
                stages.incomplete.push(Incomplete {
                    tube: index,
                    section: String::new(),
                    pins: tube.kind.pins.iter().map(|pin| pin.number).collect(),
                    because: format!("the sheet does not say what heats {}", tube.reference),
                });
                continue;
            }
            if let Some(beam) = laws::beam_law(&tube.kind) {
                match complete(model, index, &section_of(beam)) {
                    Ok(mut stage) => {
                        stage.is_beam = true;
                        stages.complete.push(stage);
                    }
                    Err(Some(because)) => stages.incomplete.push(Incomplete {
                        tube: index,
                        section: String::new(),
                        pins: tube.kind.pins.iter().map(|pin| pin.number).collect(),
                        because,
                    }),
                    Err(None) => {}
                }
                continue;
            }
            for section in laws_of(&tube.kind, catalogue).iter() {
                if matches!(
                    section.kind,
                    SectionKind::Rectifier | SectionKind::HvRectifier
                ) {
                    continue;
                }
                match complete(model, index, section) {
                    Ok(stage) => stages.complete.push(stage),
                    Err(Some(because)) => stages.incomplete.push(Incomplete {
                        tube: index,
                        section: section.section.clone(),
                        pins: all_pins(section),
                        because,
                    }),
                    // No pin of the section is on the sheet: it is not in use.
                    Err(None) => {}
                }
            }
        }
        drive::judge(model, &mut stages);
        stages
    }

    /// The stages of a tube, by their position.
    pub fn of_tube(&self, tube: usize) -> impl Iterator<Item = (usize, &TubeStage)> {
        self.complete
            .iter()
            .enumerate()
            .filter(move |(_, stage)| stage.tube == tube)
    }

    /// Whether a pin belongs to a stage that can be calculated.
    pub fn covers(&self, tube: usize, pin: PinName) -> bool {
        self.of_tube(tube)
            .any(|(_, stage)| stage.all_pins.contains(&pin))
    }
}

/// The load that stands for this tube, if the sheet says so.
fn stood_for(model: &SetModel<'_>, reference: &str) -> Option<String> {
    model.sheet.parts.iter().find_map(|part| match &part.value {
        PartValue::Load { stands_for, .. }
            if stands_for
                .iter()
                .any(|own| own.eq_ignore_ascii_case(reference)) =>
        {
            Some(part.reference.clone())
        }
        _ => None,
    })
}

/// The laws of a tube's sections: by its number where the sheet's type is the catalogue's.
fn laws_of(kind: &parts::TubeType, catalogue: &Catalogue) -> Arc<[laws::SectionLaw]> {
    let laws = laws::laws(catalogue);
    let same = catalogue
        .tube_match(&kind.name)
        .is_some_and(|found| found.tube == kind);
    same.then(|| laws.of(&kind.name))
        .flatten()
        .unwrap_or_else(|| laws.of_type(kind))
}

/// The beam of a picture tube as a section; its anode is no place of direct current.
fn section_of(beam: laws::BeamLaw) -> laws::SectionLaw {
    laws::SectionLaw {
        section: "beam".to_string(),
        unit: 0,
        kind: SectionKind::Pentode,
        pins: laws::SectionPins {
            plate: Vec::new(),
            ..beam.pins
        },
        law: Some(beam.law),
        lack: None,
        basis: None,
        fit: laws::FitRecord::default(),
        model_error: beam.model_error,
    }
}

/// Every pin of a section.
fn all_pins(section: &laws::SectionLaw) -> Vec<PinName> {
    let pins = &section.pins;
    [
        &pins.plate,
        &pins.cathode,
        &pins.grid1,
        &pins.grid2,
        &pins.grid3,
    ]
    .into_iter()
    .flatten()
    .copied()
    .collect()
}

/// A section between its places; `Err(None)` where it is not on the sheet at all.
fn complete(
    model: &SetModel<'_>,
    tube: usize,
    section: &laws::SectionLaw,
) -> Result<TubeStage, Option<String>> {
    let reference = &model.sheet.tubes[tube].reference;
    // A pin that only the chart names is not on the sheet yet.
    let junction = |pin: PinName| {
        let place = Place::Pin {
            tube: reference.clone(),
            pin,
        };
        model
            .junction(&place)
            .filter(|&junction| model.is_reached(junction))
    };
    let pins = &section.pins;
    let all = all_pins(section);
    if all.iter().all(|&pin| junction(pin).is_none()) {
        return Err(None);
    }
    let Some(law) = &section.law else {
        return Err(Some(section.because().unwrap_or_else(|| {
            "no law of it could be made from published points".to_string()
        })));
    };
    let mut joined = Vec::new();
    // The first pin of an electrode that the sheet shows; the others are joined to it.
    let mut place = |pins: &[PinName], what: &str| -> Result<(PinName, usize), Option<String>> {
        let found: Vec<(PinName, usize)> = pins
            .iter()
            .filter_map(|&pin| Some((pin, junction(pin)?)))
            .collect();
        let Some(&(pin, first)) = found.first() else {
            return Err(Some(match pins.first() {
                Some(pin) => format!("its {what} {reference}.{pin} is not on the sheet yet"),
                None => format!("the pin of its {what} is not known"),
            }));
        };
        joined.extend(
            found
                .iter()
                .filter(|(_, own)| *own != first)
                .map(|(_, own)| (first, *own)),
        );
        Ok((pin, first))
    };
    let is_beam = model.sheet.tubes[tube].kind.is_picture_tube;
    let plate = match is_beam {
        true => None,
        false => Some(place(&pins.plate, "plate")?),
    };
    let (cathode_pin, cathode) = place(&pins.cathode, "cathode")?;
    let mut electrodes = [plate.map(|(_, junction)| junction), None, None, None];
    let mut own_pins = [plate.map(|(pin, _)| pin), None, None, None];
    let grids = [
        (1, &pins.grid1, "grid"),
        (2, &pins.grid2, "screen"),
        (3, &pins.grid3, "third grid"),
    ];
    for (number, list, what) in grids {
        if list.is_empty() {
            continue;
        }
        // A suppressor that the sheet leaves out is taken as tied to the cathode; every
        // other electrode has to be there.
        let may_lack =
            number == 3 && matches!(section.kind, SectionKind::Pentode | SectionKind::Beam);
        match place(list, what) {
            Ok((pin, junction)) => {
                own_pins[number] = Some(pin);
                electrodes[number] = Some(junction);
            }
            Err(_) if may_lack => {}
            Err(because) => return Err(because),
        }
    }
    if pins.filament {
        // The ends of a filament are not joined; its first end on the sheet is the cathode.
        joined.retain(|(first, _)| *first != cathode);
    }
    Ok(TubeStage {
        tube,
        section: section.section.clone(),
        unit: section.unit,
        kind: section.kind,
        law: Arc::clone(law),
        model_error: section.model_error,
        electrodes,
        pins: own_pins,
        cathode,
        joined,
        all_pins: all,
        cathode_pin,
        drive: Drive::AtRest,
        is_beam,
    })
}
