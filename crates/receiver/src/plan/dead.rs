//! Everything of the plan before power: look, discharge, measure dead, make the old capacitors safe.
//!
//! Units: ohms, volts. The steps follow from the sheet. Readings and their limits come
//! from the set's resistances with the plug out, healthy and with each likely fault; a
//! fault that no ohmmeter shows is named as such. A chassis that is on the line, or may
//! be, gets its isolation transformer before anything else. Fails when an act would be
//! refused (a fault of ours) or a network has no solution.

mod cold_pairs;
mod measure;
mod old_capacitors;

use crate::hazard::{
    Act, ActKind, ActPlace, Connected, Instrument, Measured, Replacement, Saying, Setting,
    StoredCharge,
};
use crate::plan::capacitors::{CapacitorPlace, CapacitorReview, review_capacitors};
use crate::plan::charged::picture_tube_anode;
use crate::plan::situation::{
    HURTFUL_DIRECT_VOLTS, act_junction, act_part, ends, nothing_opens_the_sweep, opening_the_sweep,
    picture_tube, sweep_feed,
};
use crate::plan::step_builder::{PlanError, PlanState};
use crate::plan::step_kind::StepKind;
use crate::plan::{Charged, PlanWork, Step};
use crate::reading::Notice;
use crate::sheet::{ChassisStanding, PartValue};
use crate::wiring::SetModel;
use quantity::{Unit, bench};

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
        let mut step = self
            .state
            .step(StepKind::Isolation, "Isolation transformer first", because);
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
            StepKind::LookOver,
            "Look the set over, plug out",
            "What the eye finds costs nothing; what the first power finds may cost the transformer \
             or the picture tube. Nobody switches it on to see whether it works.",
        );
        step.act(Act::new(ActKind::PlugOut, ActPlace::LineCord));
        step.act(Act::new(
            ActKind::Say(Saying::TellSomebody),
            ActPlace::Bench,
        ));
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
                .any(|review| review.part == part && review.place == CapacitorPlace::Boost);
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
            StepKind::Discharge, "Discharge, then prove it",
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

    fn ready_for_power(&mut self) -> Result<(), PlanError> {
        let model = self.model;
        let feed = sweep_feed(model);
        let mut step = self.state.step(
            StepKind::Ready, "Ready for the first power",
            "The horizontal output stage stays without B+ until everything before it is known to work.",
        );
        let mut opened = None;
        if let Some(part) = feed {
            let sweep = opening_the_sweep(model, part);
            let by_hand = match model.sheet.parts[part].value {
                PartValue::Plug { .. } | PartValue::Switch { .. } | PartValue::Fuse { .. } => {
                    ActKind::Open
                }
                _ => ActKind::Lift,
            };
            if sweep.socket_off {
                step.act(proven(Act::new(ActKind::Pull, ActPlace::PictureTubeSocket)));
                step.say(if sweep.absence.lifts_picture_grid == Some(true) {
                    "With the sweep feed open the picture tube's grid would rise above its cathode, \
                     so its socket stays off."
                } else {
                    "The sheet does not show the picture tube's grid and cathode, so its socket stays \
                     off until it does: nobody can tell that the grid stays below the cathode."
                });
            }
            if sweep.is_harmless {
                step.act(proven(
                    Act::new(by_hand, act_part(model, part)).absence(sweep.absence),
                ));
                opened = Some(part);
            } else {
                self.found.notices.push(Notice {
                    text: format!(
                        "{} would open the sweep feed, but the sheet does not show what that does to \
                         the output stages and the picture tube's grid: the plan ends before B+",
                        model.sheet.parts[part].reference
                    ),
                    hint: "add grid, plate and screen of the output tubes and the brightness control to the sheet"
                        .to_owned(),
                });
            }
        }
        if nothing_opens_the_sweep(model) {
            step.say(
                "Nothing on the sheet opens the sweep feed, and without drive the horizontal output \
                 tube and the flyback burn within a minute or two of B+. Discharged and proved, find \
                 the wire that feeds the damper's plate and open it now; until it is open go no \
                 further than the heaters.",
            );
            self.found.notices.push(Notice {
                text: "nothing on the sheet opens the sweep feed: the steps with B+ hold only with it open"
                    .to_owned(),
                hint: "enter the wire or fuse that feeds the damper's plate as a `plug`, so that the plan can open it"
                    .to_owned(),
            });
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
