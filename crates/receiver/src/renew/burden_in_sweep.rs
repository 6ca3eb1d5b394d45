//! What the pulses of the horizontal output stage put on a part that hangs there.
//!
//! Volts and watts, at the top of the line; pulses from [`super::sweep_pulses`]. A part that they cannot be followed to
//! keeps [`Unknown::Pulses`] as its reason. Nothing here fails.

use super::burden::{Burden, Case, Unknown, raise, takes_volts};
use super::sweep_pulses::SweepPulses;
use crate::sheet::PartValue;
use crate::wiring::SetModel;

impl Burden {
    /// What the sweep puts on a part, where it stands there.
    pub(super) fn take_pulses(
        &mut self,
        model: &SetModel<'_>,
        part: usize,
        sweep: Option<&SweepPulses>,
    ) {
        if !at_pulses(model, part) {
            return;
        }
        let value = &model.sheet.parts[part].value;
        let ends = model.part_ends[part];
        let pulse = |end: usize| sweep?.at(model, end);
        let is_still = match ends {
            [Some(from), Some(to), None] => pulse(from) == Some(0.0) && pulse(to) == Some(0.0),
            _ => false,
        };
        self.is_pulsed = !is_still;
        if is_still && self.volts.is_some() {
            // It hangs where the pulse is shorted, and its volts are told.
            return;
        }
        let across = match ends {
            [Some(from), Some(to), None] if takes_volts(value) => {
                sweep.and_then(|own| own.across(model, from, to))
            }
            _ => None,
        };
        let Some(across) = across else {
            self.unknown = Some(Unknown::Pulses);
            return;
        };
        raise(&mut self.volts, across.highest(), || Case::Retrace);
        if let PartValue::Resistor { ohms, .. } = value {
            let watts = across.rms().powi(2) / ohms;
            raise(&mut self.watts, watts, || Case::Retrace);
        }
        self.unknown = None;
    }
}

/// Whether pulses of the horizontal output stage stand at a part.
fn at_pulses(model: &SetModel<'_>, part: usize) -> bool {
    let pulsed = &model.stages.pulsed;
    model.part_ends[part]
        .iter()
        .flatten()
        .any(|&end| Some(end) != model.chassis && pulsed.get(end).copied().unwrap_or(false))
}
