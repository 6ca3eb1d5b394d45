//! An energised step in the restorer's words: what to do, what is live, what stays charged.
//!
//! Volts, seconds, watts. Every act is judged by the rules on hazards; one that must
//! not be advised makes the plan fail. Source: the solved step.

use crate::conditions::BenchConditions;
use crate::hazard::{
    Absence, Act, ActKind, ActPlace, Connected, Instrument, Isolation, Measured, Setting,
    StoredCharge, Watch as Watcher,
};
use crate::probes::{Probe, Spot};
use crate::reading::What;
use crate::sheet::PartValue;
use crate::wiring::SetModel;

use super::bench_facts::BenchFacts;
use super::charged::{charged, volts_across};
use super::lamp;
use super::powered::{PoweredStep, Stage};
use super::situation::{
    absence, absence_of_part, act_junction, act_part, nothing_opens_the_sweep, picture_tube,
};
use super::step_builder::{PlanError, PlanState, StepBuilder};
use super::step_kind::StepKind;
use super::{Charged, Step};

/// How the set stands between two steps.
#[derive(Debug, Clone, Default)]
pub struct Standing {
    /// Tubes out.
    pulled: Vec<String>,
    /// Parts cut loose for the plan.
    lifted: Vec<String>,
    /// Plugs open for the plan.
    open: Vec<String>,
    /// Lamps in the line.
    lamps: Vec<f64>,
    /// Isolation transformer in the line.
    isolated: bool,
    /// Variable transformer in the line.
    variable: bool,
    /// What the last step left charged.
    charged: Vec<Charged>,
    /// Whether any heater glowed in the last step.
    glowed: bool,
}

/// Seconds until glass can be touched (common practice: some minutes).
const COOLING_SECONDS: f64 = 300.0;

/// Volts above which a place counts as live: 60 V direct or 42.4 V peak (the usual limits).
const LIVE_PEAK_VOLTS: f64 = 42.4;

/// Puts an energised step into words.
pub fn in_words(
    model: &SetModel<'_>,
    bench: &BenchFacts,
    state: &mut PlanState,
    standing: &mut Standing,
    powered: &PoweredStep,
) -> Result<Step, PlanError> {
    let conditions = &powered.conditions;
    let kind = match powered.stage {
        Stage::TransformerAlone => StepKind::TransformerAlone,
        Stage::HeatersAlone => StepKind::HeatersAlone,
        Stage::Supply => StepKind::Supply,
    };
    let mut step = state.step(kind, title(powered), powered.because.clone());
    step.act(Act::new(ActKind::PlugOut, ActPlace::WholeSet));
    discharge(model, &mut step, standing);
    prepare(model, bench, &mut step, standing, conditions);
    if powered.stage == Stage::Supply {
        if nothing_opens_the_sweep(model) {
            step.say(
                "See that the wire to the damper's plate is open: nothing on the sheet opens the \
                 sweep feed. If it is not, go no further.",
            );
        }
        let plugs = supply_plugs(model, conditions);
        if !plugs.is_empty() {
            step.say(format!(
                "See that {} is home: B+ goes through it, and with a speaker or focus plug out B+ is missing or climbs.",
                plugs.join(", ")
            ));
        }
    }
    let volts_share = powered
        .strains
        .iter()
        .filter(|strain| strain.what == "volts")
        .map(|strain| strain.share)
        .fold(0.0, f64::max);
    {
        let situation = step.situation();
        situation.capacitor_volts_share = Some(volts_share);
        situation.output_stage_fed = Some(false);
        situation.screen_fed_without_plate = Some(false);
        situation.picture_grid_above_cathode = Some(false);
        situation.sweeps_run = Some(false);
        situation.anode_volts = Some(0.0);
        situation.line_volts = conditions.line_volts;
    }
    let line = conditions.line_volts.unwrap_or(model.sheet.line_volts);
    if bench.variable {
        step.act(Act::new(
            ActKind::Set(Setting::LineVolts {
                volts: line,
                marked_volts: Some(model.sheet.line_volts),
                for_hours: false,
                margin_computed: true,
            }),
            ActPlace::WholeSet,
        ));
    } else {
        step.say(format!(
            "The line is taken as {line:.0} V: read it before the plug goes in."
        ));
    }
    step.say("Clip the meters on now, with the plug out.");
    step.act(Act::new(ActKind::PlugIn, ActPlace::WholeSet).energised(Some(peak_of_line(line))));
    if has_switch(model) {
        step.act(
            Act::new(ActKind::SwitchOn, ActPlace::WholeSet).energised(Some(peak_of_line(line))),
        );
    }
    step.act(Act::new(ActKind::Look, ActPlace::WholeSet).energised(Some(peak_of_line(line))));
    step.act(
        Act::new(
            ActKind::Wait {
                seconds: powered.wait_seconds,
                watch: Watcher::Restorer,
            },
            ActPlace::WholeSet,
        )
        .energised(Some(peak_of_line(line))),
    );
    for reading in &powered.expect {
        if let Some(act) = measuring(
            model,
            powered,
            reading.what,
            &reading.at,
            reading.to.as_deref(),
        ) {
            step.act(act);
        }
    }
    step.act(Act::new(ActKind::PlugOut, ActPlace::WholeSet));
    step.say("A reading outside its band means look again. A reading beyond a stop limit, or a stop sign, means pull the plug.");
    let mut step = step.finish()?;
    step.energised = true;
    step.conditions = conditions.clone();
    step.wait_seconds = powered.wait_seconds;
    step.expect.clone_from(&powered.expect);
    step.unknown.clone_from(&powered.unknown);
    step.stop.clone_from(&powered.limits.rules);
    step.lamp.clone_from(&powered.lamp);
    step.live = live(model, powered);
    let capacitors = volts_across(model, &powered.peaks_signed);
    step.charged = charged(model, conditions, &capacitors)?;
    standing.charged.clone_from(&step.charged);
    standing.glowed = powered.heater_share.is_some();
    Ok(step)
}

/// Plugs, other than the open ones, that B+ goes through.
pub(super) fn supply_plugs(model: &SetModel<'_>, conditions: &BenchConditions) -> Vec<String> {
    model
        .sheet
        .parts
        .iter()
        .enumerate()
        .filter(|(index, part)| {
            let [Some(a), Some(b), _] = model.part_junctions(*index) else {
                return false;
            };
            let supply = model.supply_places();
            matches!(part.value, PartValue::Plug { .. })
                && !conditions.open.contains(&part.reference)
                && (supply.contains(&a) || supply.contains(&b))
                && !(model.alternates(a) && model.alternates(b))
        })
        .map(|(_, part)| part.reference.clone())
        .collect()
}

fn title(powered: &PoweredStep) -> String {
    let conditions = &powered.conditions;
    let line = conditions.line_volts.unwrap_or(0.0);
    let ahead = if conditions.lamps.is_empty() {
        format!("at {line:.0} V")
    } else {
        format!("behind {}", lamp::words(&conditions.lamps))
    };
    match powered.stage {
        Stage::TransformerAlone => format!("The transformer alone, {ahead}"),
        Stage::HeatersAlone => format!("Heaters without B+, {ahead}"),
        Stage::Supply => format!(
            "B+{}{}, {ahead}",
            if conditions.open.is_empty() {
                ""
            } else {
                " with the sweep feed open"
            },
            if conditions.pulled.is_empty() {
                String::new()
            } else {
                format!(", {} out", conditions.pulled.join(" and "))
            }
        ),
    }
}

fn peak_of_line(line: f64) -> f64 {
    line * std::f64::consts::SQRT_2
}

fn has_switch(model: &SetModel<'_>) -> bool {
    model
        .sheet
        .parts
        .iter()
        .any(|part| matches!(part.value, PartValue::Switch { .. }))
}

/// Takes the charge of the last step away, at every place that kept some.
fn discharge(model: &SetModel<'_>, step: &mut StepBuilder<'_>, standing: &mut Standing) {
    for kept in standing.charged.drain(..) {
        if kept.seconds_to_ten_volts.is_none() {
            continue;
        }
        let (from, to) = match kept.at.split_once(" to ") {
            Some((from, to)) => (from.to_string(), to.to_string()),
            None => (kept.at.clone(), "chassis".to_string()),
        };
        let place = |name: &str| {
            model
                .places
                .find(name)
                .ok()
                .and_then(|place| model.junction(place))
                .map_or_else(
                    || ActPlace::junction(name),
                    |junction| act_junction(model, junction),
                )
        };
        step.act(
            Act::new(ActKind::Discharge, place(&from))
                .to(place(&to))
                .with(Instrument::DischargeResistor)
                .peak(Some(kept.volts.abs())),
        );
        if let Some(meter) = Instrument::meter_for(kept.volts) {
            step.act(
                Act::measure(Measured::DcVolts, place(&from), place(&to))
                    .with(meter)
                    .peak(Some(kept.volts.abs()))
                    .charge(StoredCharge::DischargedOnce),
            );
        }
    }
}

/// Brings tubes, lifted parts, plugs and the line's instruments to what the step wants.
fn prepare(
    model: &SetModel<'_>,
    bench: &BenchFacts,
    step: &mut StepBuilder<'_>,
    standing: &mut Standing,
    conditions: &BenchConditions,
) {
    let needed = model.chassis_may_be_live();
    if (bench.isolation_volt_amperes.is_some() || needed) && !standing.isolated {
        step.act(Act::new(
            ActKind::Connect(Connected::IsolationTransformer),
            ActPlace::WholeSet,
        ));
        step.situation().isolation = Isolation::IsolationTransformer;
        standing.isolated = true;
    }
    if bench.variable && !standing.variable {
        step.act(Act::new(
            ActKind::Connect(Connected::VariableTransformer {
                counted_as_isolation: false,
            }),
            ActPlace::WholeSet,
        ));
        standing.variable = true;
    }
    if conditions.lamps != standing.lamps {
        if conditions.lamps.is_empty() {
            step.say("Take the lamp out of the line.");
            step.situation().limiter_lamp = false;
        } else {
            step.act(Act::new(
                ActKind::Connect(Connected::LimiterLamp),
                ActPlace::WholeSet,
            ));
            step.say(format!(
                "The lamp: {}, incandescent.",
                lamp::words(&conditions.lamps)
            ));
            if let Some(notice) = lamp::of_the_line(model.sheet.line_volts) {
                step.say(format!("Heed before: {}; {}.", notice.text, notice.hint));
            }
        }
        standing.lamps.clone_from(&conditions.lamps);
    }
    for reference in conditions
        .open
        .iter()
        .filter(|own| !standing.open.contains(own))
    {
        step.act(opening(model, conditions, reference, ActKind::Open));
    }
    for reference in standing
        .open
        .iter()
        .filter(|own| !conditions.open.contains(own))
    {
        step.act(opening(model, conditions, reference, ActKind::Close));
    }
    standing.open.clone_from(&conditions.open);
    for reference in conditions
        .fitted_without
        .iter()
        .filter(|own| !standing.lifted.contains(own))
    {
        if let Some(part) = model.part_index(reference) {
            step.act(proven(
                Act::new(ActKind::Lift, act_part(model, part)).absence(Absence::HARMLESS),
            ));
        }
    }
    for reference in standing
        .lifted
        .iter()
        .filter(|own| !conditions.fitted_without.contains(own))
    {
        if let Some(part) = model.part_index(reference) {
            step.act(proven(Act::new(ActKind::Fit, act_part(model, part))));
        }
    }
    standing.lifted.clone_from(&conditions.fitted_without);
    let tubes_move = conditions.pulled != standing.pulled;
    if tubes_move && standing.glowed {
        step.act(Act::new(
            ActKind::Wait {
                seconds: COOLING_SECONDS,
                watch: Watcher::Restorer,
            },
            ActPlace::WholeSet,
        ));
    }
    if tubes_move {
        step.situation().tubes_hot = Some(false);
    }
    let picture = picture_tube(model).map(|tube| tube.reference.clone());
    let place_of = |reference: &str| {
        if Some(reference) == picture.as_deref() {
            ActPlace::PictureTubeSocket
        } else {
            ActPlace::tube(reference)
        }
    };
    let going: Vec<&String> = conditions
        .pulled
        .iter()
        .filter(|own| !standing.pulled.contains(own))
        .collect();
    let pulls = going
        .into_iter()
        .filter_map(|reference| {
            let tube = model.tube_index(reference)?;
            Some(proven(
                Act::new(ActKind::Pull, place_of(reference))
                    .absence(absence(model, tube, conditions)),
            ))
        })
        .collect();
    step.acts_together(pulls);
    let back = standing
        .pulled
        .iter()
        .filter(|own| !conditions.pulled.contains(own))
        .map(|reference| proven(Act::new(ActKind::Fit, place_of(reference))))
        .collect();
    step.acts_together(back);
    if conditions.pulled.is_empty() {
        step.situation().load_missing = !conditions.open.is_empty();
    }
    standing.pulled.clone_from(&conditions.pulled);
}

fn proven(act: Act) -> Act {
    act.charge(StoredCharge::ProvenWithMeter)
}

fn opening(
    model: &SetModel<'_>,
    conditions: &BenchConditions,
    reference: &str,
    kind: ActKind,
) -> Act {
    let part = model.part_index(reference);
    let place = match part.map(|part| &model.sheet.parts[part].value) {
        Some(PartValue::Plug { .. } | PartValue::Switch { .. }) => {
            ActPlace::SweepFeed(reference.to_string())
        }
        Some(PartValue::Fuse { .. }) => ActPlace::Fuse(reference.to_string()),
        _ => ActPlace::part(reference),
    };
    // Closing takes nothing away; opening does what it does with the rectifiers of the step.
    let absence = match part {
        Some(part) if kind == ActKind::Open => {
            let mut before = conditions.clone();
            before.open.retain(|own| own != reference);
            absence_of_part(model, part, &before)
        }
        _ => Absence::HARMLESS,
    };
    proven(Act::new(kind, place).absence(absence))
}

/// The act of taking one reading.
fn measuring(
    model: &SetModel<'_>,
    powered: &PoweredStep,
    what: What,
    at: &str,
    to: Option<&str>,
) -> Option<Act> {
    let junction = |name: &str| {
        model
            .places
            .find(name)
            .ok()
            .and_then(|place| model.junction(place))
    };
    let line_peak = peak_of_line(
        powered
            .conditions
            .line_volts
            .unwrap_or(model.sheet.line_volts),
    );
    match what {
        What::DcVolts | What::AcVoltsRms | What::RippleVoltsPeakToPeak => {
            let from = junction(at)?;
            let other = to.and_then(junction);
            let peak = powered.peaks.get(from).copied().unwrap_or(0.0)
                + other.map_or(0.0, |other| {
                    powered.peaks.get(other).copied().unwrap_or(0.0)
                });
            let measured = match what {
                What::DcVolts => Measured::DcVolts,
                What::AcVoltsRms => Measured::AcVolts,
                _ => Measured::RippleVolts,
            };
            let other_place = other.map_or(ActPlace::Chassis, |other| act_junction(model, other));
            Some(
                Act::measure(measured, act_junction(model, from), other_place)
                    .with(Instrument::meter_for(peak)?)
                    .energised(Some(peak)),
            )
        }
        What::HeaterVoltsRms => Some(
            Act::new(
                ActKind::Measure(Measured::AcVolts),
                ActPlace::HeaterPins(at.to_string()),
            )
            .with(Instrument::meter_for(heater_peak(model, powered, at))?)
            .energised(Some(heater_peak(model, powered, at))),
        ),
        What::LampVoltsRms => Some(
            Act::measure(
                Measured::AcVolts,
                ActPlace::junction("one contact of the lamp"),
                ActPlace::junction("its other contact"),
            )
            .with(Instrument::meter_for(line_peak)?)
            .energised(Some(line_peak)),
        ),
        What::LineWatts => Some(
            Act::measure(Measured::LineWatts, ActPlace::WholeSet, ActPlace::WholeSet)
                .with(Instrument::meter_for(line_peak)?)
                .energised(Some(line_peak)),
        ),
        _ => None,
    }
}

/// Highest volts to chassis at a tube's heater.
fn heater_peak(model: &SetModel<'_>, powered: &PoweredStep, reference: &str) -> f64 {
    let Some(tube) = model.tube_index(reference) else {
        return 0.0;
    };
    model
        .heater_places()
        .iter()
        .filter(|place| place.tubes.contains(&tube))
        .flat_map(|place| [place.from, place.to])
        .map(|junction| powered.peaks.get(junction).copied().unwrap_or(0.0))
        .fold(0.0, f64::max)
}

/// Places that are live in this step, the highest first.
fn live(model: &SetModel<'_>, powered: &PoweredStep) -> Vec<String> {
    let mut found: Vec<(f64, String)> = powered
        .peaks
        .iter()
        .enumerate()
        .filter(|(_, peak)| **peak > LIVE_PEAK_VOLTS)
        .map(|(junction, peak)| {
            (
                *peak,
                format!(
                    "{} ({peak:.0} V peak to chassis)",
                    model.junction_name(junction)
                ),
            )
        })
        .collect();
    found.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut names: Vec<String> = found.into_iter().map(|(_, name)| name).collect();
    if model.chassis_may_be_live() {
        names.insert(
            0,
            "the chassis itself, its shafts and screws: full line volts to any earth".to_string(),
        );
    }
    names.push("line a, line b, switch and fuse: full line volts to earth".to_string());
    names
}

/// The probes of a step that a bench meter cannot reach safely are left out.
pub fn is_safe_to_read(model: &SetModel<'_>, probe: &Probe, peaks: &[f64]) -> bool {
    let place = match probe.spot {
        Spot::ToChassis(junction) | Spot::Between(junction, _) => act_junction(model, junction),
        _ => return true,
    };
    let peak = match probe.spot {
        Spot::ToChassis(junction) => peaks.get(junction).copied().unwrap_or(0.0),
        Spot::Between(a, b) => {
            peaks.get(a).copied().unwrap_or(0.0) + peaks.get(b).copied().unwrap_or(0.0)
        }
        _ => 0.0,
    };
    !place.has_sweep_pulses() && !place.has_high_voltage() && Instrument::meter_for(peak).is_some()
}
