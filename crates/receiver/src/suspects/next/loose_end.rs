//! A capacitor cut loose at one end, the set running: what a meter at that end would show of its leak.
//!
//! Volts, ohms. The end with fewer volts is cut loose and goes through the meter alone to the chassis; meter and leak
//! are one divider (closed form, [`share_at_loose_end`](super::super::by_itself::share_at_loose_end)). Offered where the
//! volts of the other end are foretold and drive a leak, of no electrolytic (its other end would float at the volts
//! of the line) and where no pulses stand. The set runs without the part then, and hazard is asked about that. Fails by
//! a damaged table of hazards.

use crate::hazard::{Act, ActKind, ActPlace, Instrument, Measured, TableFault};
use crate::plan::situation::{absence_of_part, act_part};
use crate::probes::Spot;
use crate::reading::What;
use crate::sheet::{PartKind, PartValue};

use super::Asked;
use super::acts::{allowed, plug_out_first, proven, situation_now};

/// Least volts of the other end (judgement: fewer drive no leak that a working set does not).
const LEAST_VOLTS: f64 = 20.0;

/// A capacitor that can be read so.
pub(super) struct LooseEnd {
    /// Direct volts foretold of the end that stays, size.
    pub volts: f64,
    /// Highest momentary volts there.
    pub peak: f64,
}

impl LooseEnd {
    /// `None` where it cannot be told or should not be done.
    pub fn of(asked: &Asked<'_, '_>, part: usize) -> Option<LooseEnd> {
        let model = asked.model;
        let own = model.sheet.parts.get(part)?;
        let PartValue::Capacitor { .. } = own.value else {
            return None;
        };
        if own.value.kind() == PartKind::Electrolytic {
            return None;
        }
        let told = asked.foretold.get(asked.present)?;
        let ends = model.part_ends.get(part)?;
        let mut volts: Vec<(f64, f64)> = Vec::with_capacity(2);
        for end in ends.iter().take(2) {
            let end = (*end)?;
            if model.stages.pulsed.get(end).copied().unwrap_or(false) {
                return None;
            }
            if Some(end) == model.chassis_junction() {
                volts.push((0.0, 0.0));
                continue;
            }
            let is_there = |own: &crate::probes::Probe| {
                own.spot == Spot::ToChassis(end) && own.what == What::DcVolts
            };
            let at = told.probes.iter().position(is_there)?;
            let healthy = told.healthy.get(at).copied().flatten()?;
            let peak = told.peaks.get(at).copied().flatten()?;
            volts.push((healthy.abs(), peak.abs()));
        }
        // The end with more volts stays in the set.
        let (volts, peak) = volts
            .into_iter()
            .max_by(|one, other| one.0.total_cmp(&other.0))?;
        (volts >= LEAST_VOLTS).then_some(LooseEnd { volts, peak })
    }
}

/// What is done, in order; `None` where it may not be advised.
pub(super) fn acts(asked: &Asked<'_, '_>, part: usize) -> Result<Option<Vec<Act>>, TableFault> {
    let model = asked.model;
    let told = asked.foretold.get(asked.present);
    let (Some(told), Some(own)) = (told, LooseEnd::of(asked, part)) else {
        return Ok(None);
    };
    let ActPlace::Part(name) = act_part(model, part) else {
        return Ok(None);
    };
    let Some(meter) = Instrument::meter_for(own.peak) else {
        return Ok(None);
    };
    let lift = proven(Act::new(ActKind::Lift, ActPlace::part(&name))).absence(absence_of_part(
        model,
        part,
        &told.conditions,
    ));
    let mut acts = plug_out_first(vec![lift]);
    // A shorted one brings all volts of the other end to the meter.
    let read = Act::measure(
        Measured::DcVolts,
        ActPlace::junction(&format!("the loose end of {name}")),
        ActPlace::Chassis,
    )
    .energised(Some(own.peak))
    .with(meter);
    let situation = situation_now(asked);
    if !allowed(&acts, &situation)? || !allowed(std::slice::from_ref(&read), &situation)? {
        return Ok(None);
    }
    acts.push(read);
    Ok(Some(acts))
}
