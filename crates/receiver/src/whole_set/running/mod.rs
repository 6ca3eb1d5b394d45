//! Stages that a signal drives, as direct current sees them.
//!
//! Volts, amperes, siemens; junction numbers are those of the sheet's places. Plates and
//! screens become conductances, grids and the damper's lift become volts that go with the
//! supply. The figures come, in this order, from the stage's own running state
//! ([`super::oscillation`]), from the maker's chart (`chart`), or the stage is unknown and
//! the supply takes what such stages usually draw (`usual`). Which stages run under given
//! conditions stands in `which`. Nothing here fails; what is not known stays unknown.

mod chart;
mod usual;
mod which;

use circuit::tube::ELECTRODES;
use parts::SectionKind;

use crate::sheet::PartValue;
use crate::stages::{Drive, TubeStage};
use crate::wiring::{Rectifying, SetModel};

use super::known::Known;

pub(super) use chart::anchor;
pub(crate) use chart::charted;
pub(super) use which::{LEAST_EMISSION, LEAST_SUPPLY, under, without_signals};

/// How one electrode of a driven stage is held.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Hold {
    /// It draws nothing.
    Nothing,
    /// It draws in proportion to its volts over the cathode.
    Draws {
        /// Siemens.
        siemens: f64,
    },
    /// The signal holds it at these volts over the cathode, in proportion to the supply.
    Volts {
        /// Volts at the supply of the anchor.
        volts: f64,
    },
    /// It takes this current, hardly more or less where its volts are others.
    Takes {
        /// Amperes at the supply of the anchor.
        amperes: f64,
        /// Its volts over the cathode there.
        at: f64,
    },
}

/// How a stage runs.
#[derive(Debug, Clone, PartialEq)]
pub enum Running {
    /// Its tube is out or cold, or it is left out.
    Absent,
    /// By its own law, without signal.
    AtRest,
    /// A damper whose sweep has ended under its load: a diode, whose way the supply's cycle tells.
    Rectifies,
    /// A signal makes its direct volts.
    Driven {
        /// Plate and grids 1 to 3.
        holds: [Hold; ELECTRODES],
        /// How it is known.
        known: Known,
    },
    /// The sweep lifts its cathode above its plate: the damper.
    Lifts {
        /// Volts at the supply of the anchor.
        volts: f64,
        /// How it is known.
        known: Known,
    },
}

impl Running {
    /// How far the stage's readings are known.
    pub fn known(&self) -> Known {
        match self {
            Running::Absent | Running::AtRest | Running::Rectifies => Known::Calculated,
            Running::Driven { known, .. } | Running::Lifts { known, .. } => known.clone(),
        }
    }

    /// Whether nothing is known of what a signal makes at an electrode, and nothing stands for
    /// it in the network.
    pub fn is_open(&self, electrode: usize) -> bool {
        match self {
            Running::Driven { holds, known } => {
                let unknown = match known {
                    Known::Unknown { .. } => true,
                    Known::FromChart { missing } => missing[electrode],
                    Known::Calculated | Known::Running { .. } => false,
                };
                unknown && holds[electrode] == Hold::Nothing
            }
            _ => false,
        }
    }

    /// Whether a signal makes its volts.
    pub fn is_driven(&self) -> bool {
        matches!(self, Running::Driven { .. } | Running::Lifts { .. })
    }
}

/// Stages whose plates hang on the coils of the damper.
pub(super) fn sweep_outputs(model: &SetModel<'_>, stages: &[TubeStage]) -> Vec<usize> {
    let mut near = vec![false; model.places.junctions().len()];
    for stage in stages.iter().filter(|stage| stage.is_damper()) {
        for junction in [Some(stage.cathode), stage.electrodes[0]]
            .into_iter()
            .flatten()
        {
            for reached in along_coils(model, junction) {
                near[reached] = true;
            }
        }
    }
    let driven = |stage: &TubeStage| {
        matches!(stage.drive, Drive::Driven { .. } | Drive::Oscillates { .. })
            && matches!(stage.kind, SectionKind::Beam | SectionKind::Pentode)
    };
    let on_coils: Vec<usize> = (0..stages.len())
        .filter(|&number| {
            driven(&stages[number]) && stages[number].electrodes[0].is_some_and(|plate| near[plate])
        })
        .collect();
    if !on_coils.is_empty() {
        return on_coils;
    }
    (0..stages.len())
        .filter(|&number| driven(&stages[number]) && stages[number].kind == SectionKind::Beam)
        .collect()
}
/// Junctions that coils of little resistance, fuses, plugs and switches join to this one.
pub(crate) fn along_coils(model: &SetModel<'_>, from: usize) -> Vec<usize> {
    let mut found = vec![from];
    let mut at = 0;
    while at < found.len() {
        let here = found[at];
        at += 1;
        for (index, part) in model.sheet.parts.iter().enumerate() {
            let joins = match part.value {
                PartValue::Coil { .. } => model.ohms(index).is_some_and(|ohms| ohms < 100.0),
                PartValue::Fuse { .. } | PartValue::Switch { .. } | PartValue::Plug { .. } => true,
                _ => false,
            };
            if !joins {
                continue;
            }
            let ends = model.part_ends[index];
            if ends.contains(&Some(here)) {
                for &end in ends.iter().flatten() {
                    if !found.contains(&end) && Some(end) != model.chassis {
                        found.push(end);
                    }
                }
            }
        }
    }
    found
}
/// The highest mean volts at a rectifier's cathode.
pub(super) fn supply_of(model: &SetModel<'_>, volts: &[f64]) -> f64 {
    model
        .rectifying()
        .iter()
        .filter_map(|rectifying| match rectifying {
            Rectifying::Tube { damper: true, .. } => None,
            Rectifying::Tube { cathode, .. } => volts.get(*cathode).copied(),
            Rectifying::Metal { part } => {
                model.part_ends[*part][1].and_then(|end| volts.get(end).copied())
            }
        })
        .fold(0.0, f64::max)
}
