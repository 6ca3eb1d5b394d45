//! What an ohmmeter tells before power: line to chassis and core, then every cold resistance.
//!
//! Ohms. Readings and limits come from the set's resistances with the plug out, healthy and
//! with each likely fault; a fault that no ohmmeter shows is named as such. Fails when an act
//! would be refused (a fault of ours) or a network has no solution.

use super::cold_pairs::{Pair, below, cold_pairs, limits, pair_place, read_pairs};
use super::{Dead, proven};
use crate::conditions::BenchConditions;
use crate::hazard::{Act, ActKind, ActPlace, ChassisRelation, Instrument, Measured};
use crate::plan::capacitors::CapacitorPlace;
use crate::plan::faults::likely_faults;
use crate::plan::situation::{act_part, act_place, ends, line_side};
use crate::plan::step_builder::PlanError;
use crate::plan::step_kind::StepKind;
use crate::reading::{Notice, Unknown, What};
use crate::sheet::{ChassisStanding, PartValue, Place};
use crate::wiring::FaultKind;
use quantity::{Unit, bench};

/// Ohms from line to chassis or core below which no power is given (common practice: a
/// sound line side reads tens of megohms).
const LEAST_LINE_OHMS: f64 = 1e6;
/// The same to metal that can be touched on a live chassis: isolating resistors at the
/// antenna were drawn from 470k up (from memory).
const LEAST_TOUCHED_OHMS: f64 = 3e5;
/// Ohms below which a bench ohmmeter shows continuity and no more.
const CONTINUITY_OHMS: f64 = 1.0;

impl Dead<'_, '_, '_> {
    fn switches_in_line(&self) -> Vec<usize> {
        let line = line_side(self.model);
        (0..self.model.sheet.parts.len())
            .filter(|&part| {
                matches!(self.model.sheet.parts[part].value, PartValue::Switch { .. })
                    && ends(self.model, part)
                        .is_some_and(|(from, to)| line.contains(&from) || line.contains(&to))
            })
            .collect()
    }

    pub(super) fn line_to_chassis(&mut self) -> Result<(), PlanError> {
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
        let seen = read_pairs(model, &conditions, &pairs, &mut self.found.work)?;
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
        let mut step = self.state.step(
            StepKind::LineToChassis,
            "Megohms from the line to the chassis",
            because,
        );
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
                 power until the path is found; an old capacitor at the line is the first suspect. \
                 Measure again when those are replaced."
            }
            ChassisStanding::OnTheLine { .. } => {
                "Shafts, screws, antenna terminals and cabinet metal must not be on the chassis: the \
                 drawn isolating resistor of some hundred kilohms or more may show, nothing lower. A \
                 transformer's core that is bolted to the chassis reads what the chassis reads."
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
                            None => {
                                "nothing joins it to the chassis: the meter reads open".to_owned()
                            }
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

    pub(super) fn cold_resistances(&mut self) -> Result<(), PlanError> {
        let conditions = BenchConditions::default();
        let model = self.model;
        let pairs = cold_pairs(model, &self.found.capacitors);
        if pairs.is_empty() {
            self.found.notices.push(Notice {
                text: "the sheet shows no line plug, winding or B+ line, so no cold resistance can be told"
                    .to_owned(),
                hint: "add the power supply to the sheet".to_owned(),
            });
            return Ok(());
        }
        let seen = read_pairs(model, &conditions, &pairs, &mut self.found.work)?;
        // What lies at the line the step before has told.
        let at_line: Vec<usize> = self
            .found
            .capacitors
            .iter()
            .filter(|review| {
                matches!(
                    review.place,
                    CapacitorPlace::AcrossLine | CapacitorPlace::LineToChassis
                )
            })
            .map(|review| review.part)
            .collect();
        let faults: Vec<_> = likely_faults(model)
            .into_iter()
            .filter(|fault| match fault.kind {
                FaultKind::CapacitorLeak(part) => !at_line.contains(&part),
                FaultKind::SeleniumResistive(_) => false,
                _ => true,
            })
            .collect();
        let (stop, untold, solved) = limits(model, &conditions, &pairs, &seen, &faults);
        self.found.work.solved_states += solved;
        let mut step = self.state.step(
            StepKind::ColdResistances,
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
        let (turns, untold): (Vec<String>, Vec<String>) = untold
            .into_iter()
            .partition(|name| name.starts_with("shorted turns"));
        if !turns.is_empty() {
            step.say(
                "A few shorted turns change no cold resistance enough; the transformer alone on the \
                 line tells them.",
            );
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
}
