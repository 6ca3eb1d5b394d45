//! What a measurement asks of the restorer, as acts that hazard is asked about.
//!
//! Volts are peak volts at the place: the highest among healthy and faulty sets. A measurement of
//! which any act is refused is not offered. Work on parts is done with the plug out, everything
//! discharged and proved. Fails by a damaged table of hazards.

use crate::conditions::BenchConditions;
use crate::hazard::{
    self, Absence, Act, ActKind, ActPlace, Connected, Instrument, Isolation, Measured, Situation,
    StoredCharge, TableFault,
};
use crate::plan::situation::{absence, absence_of_part, act_junction, act_part, situation_of};
use crate::probes::Spot;
use crate::reading::What;
use crate::sheet::PartValue;
use crate::sweep_drive::none_is_fed;
use crate::wiring::SetModel;

use super::super::predict::Foretold;
use super::{Asked, Measurement};

/// Leakage is read at most at these volts (common practice: bench sources end there).
const MOST_LEAKAGE_VOLTS: f64 = 500.0;

/// What is known of a set on the bench while a fault is hunted. It has been woken as the plan of
/// the first power-up has it: an isolation transformer feeds it, no old capacitor is left at the
/// line, coating and cage are in place. Whether the drive of the horizontal output tube was seen
/// is the caller's to tell ([`crate::sweep_drive`]): without it nothing under power is offered while
/// that stage is fed.
pub fn while_hunting(
    model: &SetModel<'_>,
    conditions: &BenchConditions,
    drive_known: bool,
) -> Situation {
    Situation {
        isolation: Isolation::IsolationTransformer,
        line_volts: conditions.line_volts,
        old_line_capacitors: Some(false),
        drive_known,
        limiter_lamp: !conditions.lamps.is_empty(),
        load_missing: !conditions.pulled.is_empty() || !conditions.open.is_empty(),
        coating_grounded: Some(true),
        cage_fitted: Some(true),
        ..situation_of(model)
    }
}

/// What is known while the set stands in these conditions: a horizontal output tube that is out, or that nothing feeds,
/// asks for no drive.
pub(super) fn situation_in(asked: &Asked<'_, '_>, conditions: &BenchConditions) -> Situation {
    let mut situation = asked.situation.clone();
    if !situation.drive_known && none_is_fed(asked.model, conditions) {
        situation.output_stage_fed = Some(false);
    }
    situation
}

/// The same of the conditions in which the set stands now.
pub(super) fn situation_now(asked: &Asked<'_, '_>) -> Situation {
    let told = asked.foretold.get(asked.present);
    told.map_or_else(
        || asked.situation.clone(),
        |told| situation_in(asked, &told.conditions),
    )
}

/// Whether every act may be advised, one after the other: once the plug is out it stays so.
pub(super) fn allowed(acts: &[Act], situation: &Situation) -> Result<bool, TableFault> {
    let table = hazard::table().map_err(|faults| faults[0].clone())?;
    let mut situation = situation.clone();
    for act in acts {
        if !table.judge(act, &situation).is_allowed() {
            return Ok(false);
        }
        if act.kind == ActKind::PlugOut {
            situation.plug_in = Some(false);
        }
    }
    Ok(true)
}

/// These acts, the plug pulled first.
pub(super) fn plug_out_first(acts: Vec<Act>) -> Vec<Act> {
    let mut all = vec![Act::new(ActKind::PlugOut, ActPlace::WholeSet)];
    all.extend(acts);
    all
}

/// The reading of a probe; `None` where it may not be taken.
pub(super) fn reading(
    asked: &Asked<'_, '_>,
    told: &Foretold,
    probe: usize,
) -> Result<Option<Act>, TableFault> {
    let Some(own) = told.probes.get(probe) else {
        return Ok(None);
    };
    let model = asked.model;
    let what = match own.what {
        What::DcVolts => Measured::DcVolts,
        What::RippleVoltsPeakToPeak => Measured::RippleVolts,
        What::AcVoltsRms | What::HeaterVoltsRms => Measured::AcVolts,
        What::LineWatts => Measured::LineWatts,
        What::Ohms => Measured::Ohms,
        _ => return Ok(None),
    };
    let act = match own.spot {
        _ if own.what == What::Ohms => {
            let (at, to) = match own.spot {
                Spot::Between(one, other) => (one, act_junction(model, other)),
                Spot::ToChassis(one) => (one, ActPlace::Chassis),
                _ => return Ok(None),
            };
            proven(Act::measure(what, act_junction(model, at), to)).with(Instrument::Ohmmeter)
        }
        Spot::ToChassis(_) | Spot::Between(..) => {
            let Some(peak) = told.peaks.get(probe).copied().flatten() else {
                return Ok(None);
            };
            let Some(meter) = Instrument::meter_for(peak) else {
                return Ok(None);
            };
            let (at, to) = match own.spot {
                Spot::Between(one, other) => (one, act_junction(model, other)),
                Spot::ToChassis(one) => (one, ActPlace::Chassis),
                _ => return Ok(None),
            };
            Act::measure(what, act_junction(model, at), to)
                .energised(Some(peak))
                .with(meter)
        }
        Spot::Line => {
            let volts = told.conditions.line_volts;
            let peak = volts.unwrap_or(1.05 * model.sheet.line_volts) * std::f64::consts::SQRT_2;
            Act::measure(what, ActPlace::LineCord, ActPlace::LineCord)
                .energised(Some(peak))
                .with(Instrument::FixedMeter {
                    rated_volts: Some(300.0),
                })
        }
        // The volts against the chassis of a heater in a string are those of the string.
        _ => return Ok(None),
    };
    let acts = match own.what {
        What::Ohms => plug_out_first(vec![act.clone()]),
        _ => vec![act.clone()],
    };
    let situation = situation_in(asked, &told.conditions);
    Ok(allowed(&acts, &situation)?.then_some(act))
}

/// What it takes to bring the bench to other conditions.
pub(super) struct Change {
    pub acts: Vec<Act>,
    pub effort: f64,
}

/// From the present conditions to these; `None` where the way there may not be advised.
pub(super) fn change(
    asked: &Asked<'_, '_>,
    conditions: usize,
) -> Result<Option<Change>, TableFault> {
    let mut found = Change {
        acts: Vec::new(),
        effort: 0.0,
    };
    let (Some(now), Some(then)) = (
        asked.foretold.get(asked.present),
        asked.foretold.get(conditions),
    ) else {
        return Ok(None);
    };
    let is_cold = then.is_cold();
    let (now, then) = (&now.conditions, &then.conditions);
    if conditions == asked.present {
        return Ok(Some(found));
    }
    let mut weighs = |row: &str, times: usize| {
        let own = asked.effort(row);
        found.effort += own.unwrap_or(f64::INFINITY) * times as f64;
    };
    if !is_cold && now.line_volts != then.line_volts {
        weighs("line", 1);
    }
    if !is_cold && now.lamps != then.lamps {
        weighs("lamp", 1);
    }
    let apart = |one: &[String], other: &[String]| {
        let own = one.iter().filter(|own| !other.contains(own)).count();
        own + other.iter().filter(|own| !one.contains(own)).count()
    };
    let tubes = apart(&now.pulled, &then.pulled);
    if tubes > 0 {
        weighs("pull-tube", tubes);
    }
    let parts = apart(&now.open, &then.open) + apart(&now.fitted_without, &then.fitted_without);
    if parts > 0 {
        weighs("open-part", parts);
    }
    if !found.effort.is_finite() || !is_cold && now.direct_source != then.direct_source {
        return Ok(None);
    }
    let model = asked.model;
    for name in then.pulled.iter().filter(|own| !now.pulled.contains(own)) {
        let Some(tube) = model.tube_index(name) else {
            return Ok(None);
        };
        found.acts.push(
            proven(Act::new(ActKind::Pull, ActPlace::Tube(name.clone())))
                .absence(absence(model, tube, then)),
        );
    }
    for name in now.pulled.iter().filter(|own| !then.pulled.contains(own)) {
        found
            .acts
            .push(proven(Act::new(ActKind::Fit, ActPlace::Tube(name.clone()))));
    }
    let gone = then.open.iter().chain(&then.fitted_without);
    for name in gone.filter(|own| !now.open.contains(own) && !now.fitted_without.contains(own)) {
        let Some(part) = model.part_index(name) else {
            return Ok(None);
        };
        let is_cut = then.fitted_without.contains(name);
        let kind = if is_cut { ActKind::Lift } else { ActKind::Open };
        found.acts.push(
            proven(Act::new(kind, act_part(model, part)))
                .absence(absence_of_part(model, part, then)),
        );
    }
    if is_cold || !found.acts.is_empty() {
        found.acts = plug_out_first(found.acts);
    }
    let ok = allowed(&found.acts, &situation_in(asked, then))?;
    Ok(ok.then_some(found))
}

/// With the plug out, discharged and proved.
pub(super) fn proven(act: Act) -> Act {
    act.charge(StoredCharge::ProvenWithMeter)
}

/// The acts of a check of a part by itself; `None` where it may not be advised.
pub(super) fn of_check(
    asked: &Asked<'_, '_>,
    measurement: Measurement,
) -> Result<Option<Vec<Act>>, TableFault> {
    let model = asked.model;
    let lift = |part: usize| proven(Act::new(ActKind::Lift, act_part(model, part)));
    let acts = match measurement {
        Measurement::Read { .. } | Measurement::Signal { .. } => return Ok(None),
        Measurement::PartOhms(part) => super::in_place::acts(model, part),
        // The meter of capacitance sends nothing into the set.
        Measurement::PartCapacitance(part) => vec![lift(part)],
        Measurement::PartLeakage(part) => {
            let Some(PartValue::Capacitor {
                volts: Some(volts), ..
            }) = model.sheet.parts.get(part).map(|own| &own.value)
            else {
                return Ok(None);
            };
            let volts = volts.min(MOST_LEAKAGE_VOLTS);
            let end = act_part(model, part);
            vec![
                lift(part),
                Act::measure(Measured::Current, end.clone(), end)
                    .energised_by_source(Some(volts))
                    .with(Instrument::FixedMeter {
                        rated_volts: Some(MOST_LEAKAGE_VOLTS.max(600.0)),
                    }),
            ]
        }
        Measurement::LooseEnd { part, .. } => return super::loose_end::acts(asked, part),
        // What goes through the old one still does: for a trial, and never under power.
        Measurement::Bridge(part) => vec![proven(Act::new(
            ActKind::Connect(Connected::TestCapacitorAcrossOld),
            act_part(model, part),
        ))],
        Measurement::CapacitorExchange(part) => vec![
            lift(part),
            proven(Act::new(
                ActKind::Connect(Connected::CapacitorAcrossOld { old_stays: false }),
                act_part(model, part),
            )),
        ],
        Measurement::TubeExchange(tube) | Measurement::TubeTester(tube) => {
            let Some(own) = model.sheet.tubes.get(tube) else {
                return Ok(None);
            };
            // A picture tube is exchanged for no trial; it is tested where it sits, its socket off.
            let is_picture_tube = own.kind.is_picture_tube;
            if is_picture_tube && measurement == Measurement::TubeExchange(tube) {
                return Ok(None);
            }
            let at = || match is_picture_tube {
                true => ActPlace::PictureTubeSocket,
                false => ActPlace::Tube(own.reference.clone()),
            };
            // The set is off until a tube is back in the socket: it never runs without one.
            vec![
                proven(Act::new(ActKind::Pull, at())).absence(Absence::HARMLESS),
                proven(Act::new(ActKind::Fit, at())),
            ]
        }
    };
    let mut acts = plug_out_first(acts);
    // A tube that comes back into its socket may be fed by it.
    let comes_back = match measurement {
        Measurement::TubeExchange(tube) => {
            let told = asked.foretold.get(asked.present);
            told.is_some_and(|told| model.is_pulled(tube, &told.conditions))
        }
        _ => false,
    };
    let situation = match comes_back {
        true => asked.situation.clone(),
        false => situation_now(asked),
    };
    let mut is_allowed = allowed(&acts, &situation)?;
    let is_trial = matches!(
        measurement,
        Measurement::Bridge(_) | Measurement::CapacitorExchange(_) | Measurement::TubeExchange(_)
    );
    if is_trial {
        // Whether the fault is gone is seen with the set running.
        let told = asked.foretold.get(asked.present);
        let peaks = told.map_or(&[][..], |told| told.peaks.as_slice());
        let peak = peaks.iter().flatten().copied().reduce(f64::max);
        let runs = Act::new(ActKind::Look, ActPlace::WholeSet).energised(peak);
        is_allowed = is_allowed && allowed(std::slice::from_ref(&runs), &situation)?;
        acts.push(runs);
    }
    Ok(is_allowed.then_some(acts))
}
