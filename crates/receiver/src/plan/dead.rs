//! Everything of the plan before power: look, discharge, measure dead, make the old capacitors safe.
//!
//! Units: ohms, volts. The steps follow from the sheet. Readings and their limits come
//! from the set's resistances with the plug out, healthy and with each likely fault; a
//! fault that no ohmmeter shows is named as such. A chassis that is on the line, or may
//! be, gets its isolation transformer before anything else. Fails when an act would be
//! refused (a fault of ours) or a network has no solution.

use circuit::ohm_network::OhmNetwork;
use quantity::{Band, Unit, bench};
use rayon::prelude::*;

use crate::bands::{Values, movements};
use crate::conditions::BenchConditions;
use crate::expect::ROOM_KELVIN;
use crate::hazard::{
    Act, ActKind, ActPlace, ChassisRelation, Connected, Instrument, Measured, Replacement, Saying,
    Setting, StoredCharge,
};
use crate::ohms::{USUAL_OHMMETER, causes_at_rest};
use crate::plan::{Charged, Limit, PlanWork, Step, StopRule};
use crate::reading::{Notice, Reading, Unknown, What};
use crate::sheet::{ChassisStanding, HeaterArrangement, PartValue, Place};
use crate::wiring::{SetModel, Variation};

use super::capacitors::{CapacitorReview, CapacitorState, Wish, review_capacitors};
use super::charged::picture_tube_anode;
use super::faults::{FaultKind, LikelyFault, likely_faults};
use super::powered::tube_rectifiers;
use super::re_forming::{CannotForm, ReForming, put_back, to_be_formed};
use super::situation::{
    HURTFUL_DIRECT_VOLTS, absence, absence_of_part, act_junction, act_part, act_place, ends,
    is_electrolytic, is_in_string, picture_tube, sweep_feed,
};
use super::step_builder::{PlanError, PlanState};

/// Ohms from line to chassis or core below which no power is given (common practice: a
/// sound line side reads tens of megohms).
const LEAST_LINE_OHMS: f64 = 1e6;
/// The same to metal that can be touched on a live chassis: isolating resistors at the
/// antenna were drawn from 470k up (from memory).
const LEAST_TOUCHED_OHMS: f64 = 3e5;
/// How far a limit stands from the expected value, in half widths of the band that holds nine of ten.
const HALF_WIDTHS: f64 = 2.2;
/// Least distance of a limit, relative to the reading.
const LEAST_RELATIVE: f64 = 0.06;
/// Least distance of a limit in ohms: leads and clips.
const LEAST_OHMS: f64 = 0.5;
/// Ohms below which a bench ohmmeter shows continuity and no more.
const CONTINUITY_OHMS: f64 = 1.0;
/// Ohms above which the needle does not move.
const END_OF_SCALE_OHMS: f64 = 2e8;
/// Farads above which a capacitor is discharged by hand in a step of its own.
const LEAST_DISCHARGED_FARADS: f64 = 0.5e-6;

/// What the steps before power came to.
#[derive(Debug, Clone, Default)]
pub struct DeadSteps {
    /// The steps in order.
    pub steps: Vec<Step>,
    /// Every capacitor and what the plan says of it.
    pub capacitors: Vec<CapacitorReview>,
    /// What was assumed, and what the plan would gain from more.
    pub notices: Vec<Notice>,
    /// Work done.
    pub work: PlanWork,
}

/// The steps before power; each is handed to `ready` as soon as it stands. `state` is then
/// that of a set ready for its first power. The isolation transformer's size is stated
/// where `needed_volt_amperes` tells it.
///
/// # Errors
/// A refused act (a fault of ours), or a network without a solution.
pub fn dead_steps(
    model: &SetModel<'_>,
    state: &mut PlanState,
    needed_volt_amperes: Option<f64>,
    ready: &mut dyn FnMut(&Step),
) -> Result<DeadSteps, PlanError> {
    let mut dead = Dead {
        model,
        state,
        ready,
        found: DeadSteps {
            capacitors: review_capacitors(model),
            ..DeadSteps::default()
        },
    };
    if dead.may_be_live() {
        dead.isolation(needed_volt_amperes)?;
    }
    dead.look_over()?;
    dead.discharge()?;
    dead.line_to_chassis()?;
    dead.cold_resistances()?;
    dead.paper_and_line_capacitors()?;
    dead.electrolytics()?;
    dead.what_remains()?;
    dead.ready_for_power()?;
    Ok(dead.found)
}

struct Dead<'d, 'm, 's> {
    model: &'m SetModel<'s>,
    state: &'d mut PlanState,
    ready: &'d mut dyn FnMut(&Step),
    found: DeadSteps,
}

fn proven(act: Act) -> Act {
    act.charge(StoredCharge::ProvenWithMeter)
}

impl Dead<'_, '_, '_> {
    fn push(&mut self, step: Step) {
        (self.ready)(&step);
        self.found.steps.push(step);
    }

    fn may_be_live(&self) -> bool {
        !matches!(
            self.model.sheet.chassis_standing(),
            ChassisStanding::Isolated { .. }
        )
    }

    fn isolation(&mut self, needed_volt_amperes: Option<f64>) -> Result<(), PlanError> {
        let because = match self.model.sheet.chassis_standing() {
            ChassisStanding::OnTheLine { blade, through } if through.is_empty() => {
                format!("The chassis is on {blade}: every screw and shaft may stand at line volts.")
            }
            ChassisStanding::OnTheLine { blade, through } => format!(
                "The chassis is on the line, from {blade} through {}: every screw and shaft may \
                 stand at line volts.",
                through.join(", ")
            ),
            _ => "The sheet does not tell yet whether the chassis is on the line, so it is taken \
                  as live: every screw and shaft may stand at line volts."
                .to_owned(),
        };
        let own = self
            .model
            .sheet
            .bench
            .as_ref()
            .and_then(|bench| bench.isolation_volt_amperes);
        let mut step = self.state.step("Isolation transformer first", because);
        step.act(Act::new(ActKind::PlugOut, ActPlace::LineCord));
        step.act(Act::new(
            ActKind::Connect(Connected::IsolationTransformer),
            ActPlace::WholeSet,
        ));
        step.say(match (needed_volt_amperes, own) {
            (Some(needed), Some(own)) if own >= needed => format!(
                "It needs {needed:.0} volt-amperes for this set; yours gives {own:.0}."
            ),
            (Some(needed), Some(own)) => format!(
                "It needs {needed:.0} volt-amperes for this set; yours gives {own:.0}. Get a larger \
                 one before the full line."
            ),
            (Some(needed), None) => format!(
                "It needs {needed:.0} volt-amperes. Without one this plan ends before the first power."
            ),
            (None, Some(own)) => format!("Yours gives {own:.0} volt-amperes."),
            (None, None) => "Without one this plan ends before the first power.".to_owned(),
        });
        step.say(
            "A variable transformer alone isolates nothing; it goes between isolation transformer and set.",
        );
        let mut made = step.finish()?;
        made.charged = self.charged();
        self.push(made);
        if own.is_none() {
            self.found.notices.push(Notice {
                text: "this set needs an isolation transformer and the sheet names none".to_owned(),
                hint: "write its size under [bench] isolation_va".to_owned(),
            });
        }
        Ok(())
    }

    fn look_over(&mut self) -> Result<(), PlanError> {
        let sheet = self.model.sheet;
        let fuses: Vec<String> = sheet
            .parts
            .iter()
            .filter_map(|part| match part.value {
                PartValue::Fuse {
                    amperes: Some(amperes),
                    slow,
                    ..
                } => Some(format!(
                    "{} ({}{})",
                    part.reference,
                    bench(amperes, Unit::Amperes),
                    if slow { " slow" } else { "" }
                )),
                _ => None,
            })
            .collect();
        let tubes = sheet.tubes.len();
        let mut step = self.state.step(
            "Look the set over, plug out",
            "What the eye finds costs nothing; what the first power finds may cost the transformer \
             or the picture tube. Nobody switches it on to see whether it works.",
        );
        step.act(Act::new(ActKind::PlugOut, ActPlace::LineCord));
        step.act(Act::new(ActKind::Say(Saying::TellSomebody), ActPlace::Bench));
        step.act(Act::new(ActKind::Look, ActPlace::WholeSet));
        step.say(
            "Look for bulged or leaking cans, cracked or sweated wax, burnt resistors, tar, chewed \
             wires, broken glass and earlier repairs; write each on the sheet.",
        );
        if tubes > 0 {
            step.say(format!(
                "Compare the {tubes} tubes with the sheet, type by type, and see that none is white \
                 inside: white means air."
            ));
        }
        if !fuses.is_empty() {
            step.say(format!(
                "See that the fuses are as marked, without foil, wire or a larger one: {}.",
                fuses.join(", ")
            ));
        }
        step.act(Act::new(
            ActKind::Replace(Replacement::Cord),
            ActPlace::LineCord,
        ));
        let mut made = step.finish()?;
        made.charged = self.charged();
        self.push(made);
        Ok(())
    }

    fn charged(&self) -> Vec<Charged> {
        picture_tube_anode(self.model).into_iter().collect()
    }

    fn discharge(&mut self) -> Result<(), PlanError> {
        let model = self.model;
        let mut places: Vec<(usize, usize, f64)> = Vec::new();
        for part in 0..model.sheet.parts.len() {
            let PartValue::Capacitor { volts, .. } = model.sheet.parts[part].value else {
                continue;
            };
            let Some((from, to)) = ends(model, part) else {
                continue;
            };
            let is_large = model
                .farads(part)
                .is_some_and(|farads| farads >= LEAST_DISCHARGED_FARADS)
                && volts.is_none_or(|volts| volts > HURTFUL_DIRECT_VOLTS);
            let boosted = self
                .found
                .capacitors
                .iter()
                .any(|review| {
                    review.part == part && review.place == super::capacitors::CapacitorPlace::Boost
                });
            if !is_large && !boosted {
                continue;
            }
            let (hot, other) = if Some(from) == model.chassis {
                (to, from)
            } else {
                (from, to)
            };
            match places
                .iter_mut()
                .find(|(own, own_other, _)| (*own, *own_other) == (hot, other))
            {
                Some((_, _, most)) => *most = most.max(volts.unwrap_or(0.0)),
                None => places.push((hot, other, volts.unwrap_or(1000.0))),
            }
        }
        let picture = picture_tube(model).is_some();
        let mut step = self.state.step(
            "Discharge, then prove it",
            "Somebody may have tried the set lately, and a bleeder may be open: nothing here counts \
             as discharged because it has stood.",
        );
        if picture {
            let ground = if step.situation().coating == Some(false) {
                ActPlace::Chassis
            } else {
                ActPlace::PictureTubeCoating
            };
            step.act(
                Act::new(ActKind::Discharge, ActPlace::PictureTubeAnode)
                    .to(ground)
                    .with(Instrument::DischargeRod),
            );
        }
        for (hot, other, _) in &places {
            step.act(
                Act::new(ActKind::Discharge, act_junction(model, *hot))
                    .to(act_junction(model, *other))
                    .with(Instrument::DischargeResistor),
            );
        }
        let most = places
            .iter()
            .map(|(_, _, volts)| *volts)
            .fold(0.0, f64::max);
        if let Some(meter) = Instrument::meter_for(most).filter(|_| most > 0.0) {
            step.act(
                Act::measure(
                    Measured::DcVolts,
                    ActPlace::Junction("each of these places".to_owned()),
                    ActPlace::Chassis,
                )
                .with(meter)
                .peak(Some(most)),
            );
        }
        if places.is_empty() {
            step.say(
                "The sheet shows no filter capacitor yet. Find each one, take its charge through a \
                 resistor of 1k to 10k, 10 W, on an insulated clip, and prove it with the meter.",
            );
        } else {
            step.say(
                "The resistor is 1k to 10k, 10 W, on an insulated clip. Each place has to read below \
                 a volt and stay there; do the same after every power.",
            );
        }
        if picture {
            if step.situation().coating != Some(false) {
                step.say(
                    "See that the spring or braid of the picture tube's outer coating lies on it and \
                     is joined to the chassis.",
                );
                step.situation().coating_grounded = Some(true);
            }
            if step.situation().metal_cone != Some(false) {
                step.say("A metal picture tube has its insulating boot and ring in place.");
                step.situation().cone_boot_fitted = Some(true);
            }
        }
        if step.situation().horizontal_output != Some(false) {
            step.say("The high-voltage cage and its shields are on, every cap lead on its tube.");
            step.situation().cage_fitted = Some(true);
        }
        let mut made = step.finish()?;
        made.charged = self.charged();
        self.push(made);
        Ok(())
    }

    fn switches_in_line(&self) -> Vec<usize> {
        let line = super::situation::line_side(self.model);
        (0..self.model.sheet.parts.len())
            .filter(|&part| {
                matches!(
                    self.model.sheet.parts[part].value,
                    PartValue::Switch { .. }
                ) && ends(self.model, part)
                    .is_some_and(|(from, to)| line.contains(&from) || line.contains(&to))
            })
            .collect()
    }

    fn line_to_chassis(&mut self) -> Result<(), PlanError> {
        let model = self.model;
        let standing = model.sheet.chassis_standing();
        let conditions = BenchConditions::default();
        let switches = self.switches_in_line();
        let cores: Vec<&str> = {
            let mut names: Vec<&str> = model
                .sheet
                .primaries()
                .iter()
                .map(|winding| winding.transformer.as_str())
                .collect();
            names.dedup();
            names
        };
        let on_line = matches!(standing, ChassisStanding::OnTheLine { .. });
        let mut pairs = Vec::new();
        for blade in [Place::LineA, Place::LineB] {
            if let (Some(a), Some(b)) = (model.junction(&blade), model.chassis) {
                pairs.push(Pair::of(blade.to_string(), "chassis".to_owned(), a, b));
            }
        }
        let seen = self.read_pairs(&conditions, &pairs)?;
        let because = match &standing {
            ChassisStanding::Isolated { line_capacitors } => format!(
                "The sheet parts the chassis from the line; this shows whether the transformer still \
                 does.{}",
                if line_capacitors.is_empty() {
                    String::new()
                } else {
                    format!(
                        " Between them are only {}.",
                        line_capacitors.join(", ")
                    )
                }
            ),
            ChassisStanding::OnTheLine { .. } => {
                "The chassis is on the line; what matters is that nothing a hand can touch is on the chassis."
                    .to_owned()
            }
            ChassisStanding::NotTold => {
                "The sheet does not tell how the chassis stands to the line; this does.".to_owned()
            }
        };
        let mut step = self.state.step("Megohms from the line to the chassis", because);
        for part in switches {
            step.act(Act::new(ActKind::Close, act_part(model, part)));
        }
        let mut measured = Vec::new();
        for blade in [Place::LineA, Place::LineB] {
            measured.push((act_place(model, &blade), ActPlace::Chassis));
        }
        let is_told = model.junction(&Place::LineA).is_some();
        for transformer in &cores {
            if is_told {
                measured.push((
                    act_place(model, &Place::LineA),
                    ActPlace::Part(format!("the core of {transformer}")),
                ));
            }
        }
        if on_line {
            measured.push((act_place(model, &Place::LineA), ActPlace::ExposedMetal));
            measured.push((ActPlace::Chassis, ActPlace::ExposedMetal));
        }
        for (at, to) in &measured {
            step.act(proven(
                Act::measure(Measured::Megohms, at.clone(), to.clone()).with(Instrument::Ohmmeter),
            ));
        }
        step.say(match &standing {
            ChassisStanding::Isolated { .. } => {
                "Each has to read open, or many megohms. Below 1 meg (common practice) there is no \
                 power until the path is found; an old capacitor at the line is the first suspect."
            }
            ChassisStanding::OnTheLine { .. } => {
                "Shafts, screws, antenna terminals and cabinet metal must not be on the chassis: the \
                 drawn isolating resistor of some hundred kilohms or more may show, nothing lower."
            }
            ChassisStanding::NotTold => {
                "If either blade reads less than 1 meg the chassis is on the line: write it on the \
                 sheet and work behind the isolation transformer. If both read open with the switch \
                 on, a transformer parts them: add its primary to the sheet."
            }
        });
        if matches!(standing, ChassisStanding::Isolated { .. }) {
            step.situation().chassis = ChassisRelation::IsolatedByTransformer;
        }
        let mut made = step.finish()?;
        made.conditions = conditions;
        match standing {
            ChassisStanding::Isolated { .. } => {
                for (pair, read) in pairs.iter().zip(&seen.expected) {
                    made.unknown.push(Unknown {
                        at: pair.at.clone(),
                        what: What::Ohms,
                        because: match read {
                            Some(ohms) => format!(
                                "only insulation joins it to the chassis, about {} when sound",
                                bench(*ohms, Unit::Ohms)
                            ),
                            None => "nothing joins it to the chassis: the meter reads open".to_owned(),
                        },
                    });
                    made.stop.push(below(
                        &pair.at,
                        "chassis",
                        LEAST_LINE_OHMS,
                        "the line side leaks to the chassis: transformer insulation or a capacitor at the line",
                    ));
                }
                for transformer in &cores {
                    made.stop.push(below(
                        "line a",
                        &format!("core of {transformer}"),
                        LEAST_LINE_OHMS,
                        "the primary leaks to the core",
                    ));
                }
            }
            ChassisStanding::OnTheLine { .. } => {
                made.expect = seen.readings(&pairs);
                made.unknown.extend(seen.unknown(&pairs));
                made.stop.push(below(
                    "chassis",
                    "metal that can be touched",
                    LEAST_TOUCHED_OHMS,
                    "touchable metal is on the chassis, and so on the line",
                ));
            }
            ChassisStanding::NotTold => {
                for (at, _) in measured {
                    made.unknown.push(Unknown {
                        at: at.to_string(),
                        what: What::Ohms,
                        because: "the sheet does not tell what joins the line to the chassis"
                            .to_owned(),
                    });
                }
            }
        }
        made.charged = self.charged();
        self.push(made);
        Ok(())
    }

    /// The pairs of places at which an ohmmeter tells most.
    fn cold_pairs(&self) -> Vec<Pair> {
        let model = self.model;
        let mut pairs: Vec<Pair> = Vec::new();
        let mut add = |at: String, to: String, a: usize, b: usize| {
            let known = pairs
                .iter()
                .any(|pair| (pair.a, pair.b) == (a, b) || (pair.a, pair.b) == (b, a));
            if a != b && !known {
                pairs.push(Pair::of(at, to, a, b));
            }
        };
        if let (Some(a), Some(b)) = (model.junction(&Place::LineA), model.junction(&Place::LineB)) {
            add("line a".to_owned(), "line b".to_owned(), a, b);
        }
        if let Some(chassis) = model.chassis {
            let mut supplies = model.supply_places();
            for review in &self.found.capacitors {
                if review.style == crate::sheet::CapacitorStyle::Electrolytic
                    && let Some((from, to)) = ends(model, review.part)
                {
                    supplies.extend([from, to]);
                }
            }
            for junction in supplies {
                add(
                    model.junction_name(junction),
                    "chassis".to_owned(),
                    junction,
                    chassis,
                );
            }
        }
        for winding in &model.sheet.windings {
            if let (Some(a), Some(b)) = (model.junction(&winding.start), model.junction(&winding.end))
            {
                add(winding.start.to_string(), winding.end.to_string(), a, b);
            }
        }
        for row in &model.sheet.heaters {
            if row.arrangement == HeaterArrangement::Series
                && let (Some(a), Some(b)) = (model.junction(&row.from), model.junction(&row.to))
            {
                add(row.from.to_string(), row.to.to_string(), a, b);
            }
        }
        for part in &model.sheet.parts {
            if matches!(
                part.value,
                PartValue::Coil {
                    kind: crate::sheet::CoilKind::Choke | crate::sheet::CoilKind::FocusCoil,
                    ..
                }
            ) && let (Some(a), Some(b)) = (model.junction(&part.from), model.junction(&part.to))
            {
                add(part.from.to_string(), part.to.to_string(), a, b);
            }
        }
        pairs
    }

    fn read_pairs(
        &mut self,
        conditions: &BenchConditions,
        pairs: &[Pair],
    ) -> Result<PairBands, PlanError> {
        let expected = solve(self.model, conditions, &Variation::none(), pairs)?;
        self.found.work.solved_states += 1;
        if expected.iter().all(Option::is_none) {
            return Ok(PairBands {
                bands: vec![None; pairs.len()],
                expected,
            });
        }
        let causes = causes_at_rest(self.model, conditions);
        let model = self.model;
        let moved = movements(&causes, expected.clone(), |variation| {
            solve(model, conditions, variation, pairs).ok()
        });
        let solved = moved.solved;
        let bands = moved.bands();
        self.found.work.solved_states += solved;
        Ok(PairBands { bands, expected })
    }

    fn cold_resistances(&mut self) -> Result<(), PlanError> {
        let conditions = BenchConditions::default();
        let pairs = self.cold_pairs();
        if pairs.is_empty() {
            self.found.notices.push(Notice {
                text: "the sheet shows no line plug, winding or B+ line, so no cold resistance can be told"
                    .to_owned(),
                hint: "add the power supply to the sheet".to_owned(),
            });
            return Ok(());
        }
        let seen = self.read_pairs(&conditions, &pairs)?;
        let model = self.model;
        let faults = likely_faults(model);
        let (stop, untold, solved) = limits(model, &conditions, &pairs, &seen, &faults);
        self.found.work.solved_states += solved;
        let mut step = self.state.step(
            "Cold resistances",
            "An ohmmeter finds a shorted can, a touching wire or an open winding without any risk. \
             It does not find what leaks only at volts.",
        );
        for pair in &pairs {
            step.act(proven(
                Act::measure(
                    Measured::Ohms,
                    pair_place(model, pair.a, &pair.at),
                    pair_place(model, pair.b, &pair.to),
                )
                .with(Instrument::Ohmmeter),
            ));
        }
        step.say(
            "The meter's + lead goes to the first place of each; wait until the needle stops, the cans \
             charge from the meter. A reading outside its band means look again; beyond a limit means \
             no power until the reason is found.",
        );
        let near_zero: Vec<String> = pairs
            .iter()
            .zip(&seen.expected)
            .filter(|(_, ohms)| ohms.is_some_and(|ohms| ohms < CONTINUITY_OHMS))
            .map(|(pair, _)| format!("{} to {}", pair.at, pair.to))
            .collect();
        if !near_zero.is_empty() {
            step.say(format!(
                "Less than an ohm, so that the meter tells open from whole and no more: {}.",
                near_zero.join(", ")
            ));
        }
        if !untold.is_empty() {
            step.say(format!(
                "No cold resistance tells these from a healthy set: {}.",
                untold.join("; ")
            ));
        }
        let mut made = step.finish()?;
        made.conditions = conditions;
        made.expect = seen.readings(&pairs);
        made.unknown = seen.unknown(&pairs);
        made.stop = stop;
        made.charged = self.charged();
        self.push(made);
        Ok(())
    }

    fn paper_and_line_capacitors(&mut self) -> Result<(), PlanError> {
        let model = self.model;
        let wanted: Vec<CapacitorReview> = self
            .found
            .capacitors
            .iter()
            .filter(|review| {
                matches!(review.wish, Wish::SafetyPart(_) | Wish::ReplaceOrCutLoose)
            })
            .cloned()
            .collect();
        if wanted.is_empty() {
            self.state.situation.old_line_capacitors =
                self.state.situation.line_capacitors.map(|_| false);
            return Ok(());
        }
        let mut step = self.state.step(
            "Capacitors that must not stay",
            "At these places a leak kills, or ruins a tube, coil or transformer before any meter tells it.",
        );
        for review in &wanted {
            let place = act_part(model, review.part);
            let replacement = match review.wish {
                Wish::SafetyPart(class) => Replacement::LineCapacitor {
                    class,
                    to_touched_metal: class == crate::hazard::SafetyClass::Y,
                    larger_than_drawn: false,
                },
                _ => Replacement::SameValue,
            };
            step.either(
                proven(Act::new(ActKind::Replace(replacement), place.clone())),
                proven(Act::new(ActKind::Lift, place)),
            );
            step.say(format!(
                "{}, {}: {}.",
                review.reference,
                review.place.words(),
                review.risk
            ));
        }
        if wanted
            .iter()
            .any(|review| matches!(review.wish, Wish::SafetyPart(_)))
        {
            step.say(
                "Safety parts carry the class on them: X across the line, Y from the line to metal. No \
                 larger than drawn; where local codes say more, they come first.",
            );
        }
        if wanted
            .iter()
            .any(|review| review.place == super::capacitors::CapacitorPlace::Boost)
        {
            step.say("A boost capacitor that was cut loose is back, and new, before the sweep feed is closed.");
        }
        let mut made = step.finish()?;
        made.charged = self.charged();
        self.push(made);
        self.state.situation.old_line_capacitors =
            self.state.situation.line_capacitors.map(|_| false);
        Ok(())
    }

    /// Rectifier tubes that may come out for the forming.
    fn rectifiers_to_pull(&self) -> Vec<usize> {
        let model = self.model;
        tube_rectifiers(model)
            .iter()
            .filter_map(|reference| model.tube_index(reference))
            .filter(|&tube| !is_in_string(model, tube))
            .collect()
    }

    fn electrolytics(&mut self) -> Result<(), PlanError> {
        let model = self.model;
        let parts = to_be_formed(&self.found.capacitors);
        if parts.is_empty() {
            if self.state.situation.electrolytics_as_found.is_some() {
                self.state.situation.electrolytics_as_found = Some(false);
            }
            return Ok(());
        }
        let feed = sweep_feed(model).map(|part| model.sheet.parts[part].reference.clone());
        let base = BenchConditions {
            pulled: tube_rectifiers(model)
                .into_iter()
                .filter(|reference| {
                    model
                        .tube_index(reference)
                        .is_some_and(|tube| !is_in_string(model, tube))
                })
                .collect(),
            open: feed.into_iter().collect(),
            ..BenchConditions::default()
        };
        let mut formings: Vec<ReForming> = Vec::new();
        let mut cannot: Vec<CannotForm> = Vec::new();
        for &part in &parts {
            match ReForming::of(model, part, &base)? {
                Ok(forming) => formings.push(forming),
                Err(reason) => cannot.push(reason),
            }
        }
        let source_named = formings.iter().all(|forming| forming.source_named);
        let pulled = self.rectifiers_to_pull();
        let mut step = self.state.step(
            "Old electrolytics: replace or re-form",
            "After decades an electrolytic draws more than the rectifier can give; the set's own \
             rectifier never forms it. A new part is the safer way, forming keeps the old one.",
        );
        for &part in &parts {
            step.act(proven(Act::new(
                ActKind::Replace(Replacement::Electrolytic {
                    polarity_checked: true,
                }),
                act_part(model, part),
            )));
        }
        for reason in &cannot {
            step.say(format!(
                "{} can only be replaced: {}.",
                model.sheet.parts[reason.part].reference, reason.because
            ));
        }
        if source_named {
            if !formings.is_empty() {
                step.say("Those that you replace need none of the forming steps that follow.");
                for &tube in &pulled {
                    step.act(proven(
                        Act::new(
                            ActKind::Pull,
                            ActPlace::Tube(model.sheet.tubes[tube].reference.clone()),
                        )
                        .absence(absence(model, tube, &base)),
                    ));
                }
            }
        } else if let Some(most) = formings
            .iter()
            .max_by(|one, other| one.top_volts.total_cmp(&other.top_volts))
        {
            step.say(format!(
                "To form them you need a separate d.c. source of up to {:.0} V that gives no more than \
                 10 mA; with {} and 10 W in series {} stays within {:.1} W. Write it under [bench] dc_source \
                 and the plan gives volts, resistor and leakage for each.",
                most.top_volts,
                bench(most.series_ohms, Unit::Ohms),
                model.sheet.parts[most.part].reference,
                most.most_can_watts
            ));
        }
        let mut made = step.finish()?;
        made.charged = self.charged();
        self.push(made);
        if source_named {
            for forming in &formings {
                let step = forming.step(model, self.state, &base)?;
                self.push(step);
            }
            let pulled = if formings.is_empty() {
                Vec::new()
            } else {
                pulled
            };
            if let Some(step) = put_back(model, self.state, &formings, &pulled)? {
                self.push(step);
            }
        }
        self.state.situation.load_missing = false;
        self.state.situation.electrolytics_as_found = Some(false);
        Ok(())
    }

    fn what_remains(&mut self) -> Result<(), PlanError> {
        let remaining: Vec<CapacitorReview> = self
            .found
            .capacitors
            .iter()
            .filter(|review| review.wish == Wish::Decide)
            .cloned()
            .collect();
        let loose: Vec<String> = self
            .found
            .capacitors
            .iter()
            .filter(|review| review.state == CapacitorState::CutLoose)
            .map(|review| format!("{} ({})", review.reference, review.place.words()))
            .collect();
        if remaining.is_empty() && loose.is_empty() {
            return Ok(());
        }
        let mut step = self.state.step(
            "What remains as found",
            "These may stay for the first power. What each risks is written beside it; you decide.",
        );
        let mut told: Vec<(String, Vec<String>)> = Vec::new();
        for review in remaining {
            let words = format!("{}: {}", review.place.words(), review.risk);
            match told.iter_mut().find(|(own, _)| *own == words) {
                Some((_, references)) => references.push(review.reference),
                None => told.push((words, vec![review.reference])),
            }
        }
        for (words, references) in told {
            step.say(format!("{}, {words}.", references.join(", ")));
        }
        if !loose.is_empty() {
            step.say(format!(
                "Cut loose and to be fitted before their stage is judged: {}.",
                loose.join(", ")
            ));
        }
        let mut made = step.finish()?;
        made.charged = self.charged();
        self.push(made);
        Ok(())
    }

    fn ready_for_power(&mut self) -> Result<(), PlanError> {
        let model = self.model;
        let feed = sweep_feed(model);
        let mut step = self.state.step(
            "Ready for the first power",
            "The horizontal output stage stays without B+ until everything before it is known to work.",
        );
        let mut opened = None;
        if let Some(part) = feed {
            let missing = absence_of_part(model, part, &BenchConditions::default());
            let by_hand = match model.sheet.parts[part].value {
                PartValue::Plug { .. } | PartValue::Switch { .. } | PartValue::Fuse { .. } => {
                    ActKind::Open
                }
                _ => ActKind::Lift,
            };
            let mut unknown = missing.lifts_picture_grid.is_none();
            if unknown && step.situation().heater_string != Some(true) {
                step.act(proven(Act::new(ActKind::Pull, ActPlace::PictureTubeSocket)));
                step.say(
                    "The sheet does not show the picture tube's grid and cathode, so its socket stays \
                     off until it does: nobody can tell that the grid stays below the cathode.",
                );
                unknown = false;
            }
            let harmless = !unknown
                && missing.leaves_screen_fed == Some(false)
                && missing.takes_drive == Some(false)
                && missing.takes_bias == Some(false);
            if harmless {
                step.act(proven(
                    Act::new(by_hand, act_part(model, part)).absence(missing),
                ));
                opened = Some(part);
            } else {
                self.found.notices.push(Notice {
                    text: format!(
                        "{} would open the sweep feed, but the sheet does not show what that does to \
                         the output stages and the picture tube's grid",
                        model.sheet.parts[part].reference
                    ),
                    hint: "add grid, plate and screen of the output tubes and the brightness control to the sheet"
                        .to_owned(),
                });
            }
        }
        if opened.is_some() {
            step.situation().output_stage_fed = Some(false);
        }
        if picture_tube(model).is_some() {
            step.act(Act::new(
                ActKind::Set(Setting::BrightnessToMinimum),
                ActPlace::WholeSet,
            ));
        }
        step.act(Act::new(ActKind::Look, ActPlace::WholeSet));
        step.say("Nothing loose lies in the chassis, every tool is away, the switch that kills the bench is in reach.");
        let mut made = step.finish()?;
        if let Some(part) = opened {
            made.conditions.open = vec![model.sheet.parts[part].reference.clone()];
        }
        made.charged = self.charged();
        self.push(made);
        Ok(())
    }
}

/// Two places with an ohmmeter between them.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Pair {
    at: String,
    to: String,
    a: usize,
    b: usize,
}

impl Pair {
    fn of(at: String, to: String, a: usize, b: usize) -> Pair {
        Pair { at, to, a, b }
    }
}

fn pair_place(model: &SetModel<'_>, junction: usize, name: &str) -> ActPlace {
    match model.places.find(name) {
        Ok(place) => act_place(model, place),
        Err(_) => act_junction(model, junction),
    }
}

struct PairBands {
    expected: Values,
    bands: Vec<Option<Band>>,
}

impl PairBands {
    fn readings(&self, pairs: &[Pair]) -> Vec<Reading> {
        pairs
            .iter()
            .zip(&self.bands)
            .filter_map(|(pair, band)| {
                Some(Reading {
                    at: pair.at.clone(),
                    to: Some(pair.to.clone()),
                    what: What::Ohms,
                    band: band.clone()?,
                })
            })
            .collect()
    }

    fn unknown(&self, pairs: &[Pair]) -> Vec<Unknown> {
        pairs
            .iter()
            .zip(&self.bands)
            .filter(|(_, band)| band.is_none())
            .map(|(pair, _)| Unknown {
                at: pair.at.clone(),
                what: What::Ohms,
                because: format!(
                    "nothing but insulation joins it to {}: the needle does not move",
                    pair.to
                ),
            })
            .collect()
    }
}

fn solve(
    model: &SetModel<'_>,
    conditions: &BenchConditions,
    variation: &Variation,
    pairs: &[Pair],
) -> Result<Values, PlanError> {
    let wired = model.wire_unplugged(conditions, variation)?;
    let network = OhmNetwork::new(&wired.circuit, ROOM_KELVIN)?;
    pairs
        .iter()
        .map(|pair| {
            let ohms = network.ohms(wired.node(pair.a), wired.node(pair.b), USUAL_OHMMETER)?;
            Ok(Some(ohms).filter(|ohms| *ohms < END_OF_SCALE_OHMS))
        })
        .collect()
}

fn below(at: &str, to: &str, ohms: f64, tells: &str) -> StopRule {
    StopRule {
        at: at.to_owned(),
        to: Some(to.to_owned()),
        what: What::Ohms,
        limit: Limit::Below(ohms),
        after_seconds: 0.0,
        tells: vec![tells.to_owned()],
        cannot_tell: vec!["insulation that breaks down only at line volts".to_owned()],
    }
}

/// Where a healthy pair ends: below and above.
fn ends_of(band: &Band) -> (f64, f64) {
    let size = band.expected.abs();
    let down = (HALF_WIDTHS * (band.expected - band.low))
        .max(LEAST_RELATIVE * size)
        .max(LEAST_OHMS);
    let up = (HALF_WIDTHS * (band.high - band.expected))
        .max(LEAST_RELATIVE * size)
        .max(LEAST_OHMS);
    (band.expected - down, band.expected + up)
}

/// Limits of the pairs with the faults that each tells, the faults that none tells, and
/// the networks solved.
fn limits(
    model: &SetModel<'_>,
    conditions: &BenchConditions,
    pairs: &[Pair],
    seen: &PairBands,
    faults: &[LikelyFault],
) -> (Vec<StopRule>, Vec<String>, usize) {
    let told: Vec<(Vec<(usize, bool, f64)>, usize)> = faults
        .par_iter()
        .map(|fault| told_by(model, conditions, pairs, seen, fault))
        .collect();
    let mut rules: Vec<(usize, bool, StopRule)> = Vec::new();
    let mut untold = Vec::new();
    let mut solved = 0;
    for (fault, (by, runs)) in faults.iter().zip(told) {
        solved += runs;
        if by.is_empty() {
            untold.push(fault.name.clone());
        }
        for (pair, is_above, severity) in by {
            let words = fault.in_words(severity);
            match rules
                .iter_mut()
                .find(|(own, own_above, _)| (*own, *own_above) == (pair, is_above))
            {
                Some((_, _, rule)) => rule.tells.push(words),
                None => {
                    let Some(band) = &seen.bands[pair] else {
                        continue;
                    };
                    let (low, high) = ends_of(band);
                    rules.push((
                        pair,
                        is_above,
                        StopRule {
                            at: pairs[pair].at.clone(),
                            to: Some(pairs[pair].to.clone()),
                            what: What::Ohms,
                            limit: if is_above {
                                Limit::Above(two_figures(high))
                            } else {
                                Limit::Below(two_figures(low))
                            },
                            after_seconds: 0.0,
                            tells: vec![words],
                            cannot_tell: Vec::new(),
                        },
                    ));
                }
            }
        }
    }
    rules.sort_by_key(|(pair, is_above, _)| (*pair, *is_above));
    let mut rules: Vec<StopRule> = rules.into_iter().map(|(_, _, rule)| rule).collect();
    for rule in &mut rules {
        if rule.to.as_deref() == Some("chassis") {
            rule.cannot_tell
                .push("leakage that begins only at working volts".to_owned());
        }
    }
    (rules, untold, solved)
}

/// The pairs and sides that tell a fault, each from which severity on.
fn told_by(
    model: &SetModel<'_>,
    conditions: &BenchConditions,
    pairs: &[Pair],
    seen: &PairBands,
    fault: &LikelyFault,
) -> (Vec<(usize, bool, f64)>, usize) {
    if matches!(fault.kind, FaultKind::SeleniumResistive(_)) {
        return (Vec::new(), 0);
    }
    let mut runs = 0;
    let mut passes = |severity: f64| -> Vec<(usize, bool)> {
        runs += 1;
        let Ok(values) = solve(model, conditions, &fault.variation(severity), pairs) else {
            return Vec::new();
        };
        values
            .iter()
            .enumerate()
            .filter_map(|(pair, value)| {
                let (low, high) = ends_of(seen.bands[pair].as_ref()?);
                let doubt = |band: &Band| {
                    let size = band.expected.abs().max(1e-6);
                    (0.5 * (band.high - band.low) / size).max(0.02)
                };
                let doubt = doubt(seen.bands[pair].as_ref()?);
                match value {
                    None => Some((pair, true)),
                    Some(ohms) if ohms * (1.0 - doubt) > two_figures(high) => Some((pair, true)),
                    Some(ohms) if ohms * (1.0 + doubt) < two_figures(low) => Some((pair, false)),
                    Some(_) => None,
                }
            })
            .collect()
    };
    let Some(&gross) = fault.severities.last() else {
        return (Vec::new(), 0);
    };
    let by = passes(gross);
    if by.is_empty() {
        return (Vec::new(), runs);
    }
    // The slightest rung that the strongest pair still tells, by halving.
    let mut found: Vec<(usize, bool, f64)> = by
        .iter()
        .map(|&(pair, is_above)| (pair, is_above, gross))
        .collect();
    let (mut untold, mut told) = (-1isize, fault.severities.len() as isize - 1);
    while told - untold > 1 {
        let middle = (told + untold) / 2;
        let severity = fault.severities[usize::try_from(middle).unwrap_or(0)];
        let now = passes(severity);
        let mut any = false;
        for (pair, is_above, from) in &mut found {
            if now.contains(&(*pair, *is_above)) {
                *from = severity;
                any = true;
            }
        }
        if any {
            told = middle;
        } else {
            untold = middle;
        }
    }
    // One fault is told by the pair that tells it earliest; others would only repeat it.
    let slightest = fault.severities[usize::try_from(told).unwrap_or(0)];
    found.retain(|(_, _, from)| (*from - slightest).abs() < 1e-9 * slightest.abs());
    found.truncate(1);
    (found, runs)
}

/// Two significant figures, as a limit is read off a scale.
fn two_figures(value: f64) -> f64 {
    if value <= 0.0 || !value.is_finite() {
        return value;
    }
    let unit = 10f64.powf(value.log10().floor() - 1.0);
    (value / unit).round() * unit
}
