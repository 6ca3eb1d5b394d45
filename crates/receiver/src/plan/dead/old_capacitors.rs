//! Old capacitors before power: what must not stay, what is formed anew, what remains.
//!
//! Units as the acts say. Source: the review of every capacitor. Fails when an act would
//! be refused (a fault of ours), or when the paths at a can have no solution.

use quantity::{Unit, bench};

use crate::conditions::BenchConditions;
use crate::hazard::{Absence, Act, ActKind, ActPlace, Replacement, SafetyClass};
use crate::plan::capacitors::{CapacitorPlace, CapacitorReview, CapacitorState, Wish};
use crate::plan::powered::tube_rectifiers;
use crate::plan::re_forming::{CannotForm, ReForming, put_back, to_be_formed};
use crate::plan::situation::{absence, act_part, is_in_string};
use crate::plan::step_builder::PlanError;
use crate::plan::step_kind::StepKind;
use crate::wiring::SetModel;

use super::{Dead, proven};

impl Dead<'_, '_, '_> {
    pub(super) fn paper_and_line_capacitors(&mut self) -> Result<(), PlanError> {
        let model = self.model;
        let wanted: Vec<CapacitorReview> = self
            .found
            .capacitors
            .iter()
            .filter(|review| matches!(review.wish, Wish::SafetyPart(_) | Wish::ReplaceOrCutLoose))
            .cloned()
            .collect();
        if wanted.is_empty() {
            self.state.situation.old_line_capacitors =
                self.state.situation.line_capacitors.map(|_| false);
            return Ok(());
        }
        let mut step = self.state.step(
            StepKind::CapacitorsToGo, "Capacitors that must not stay",
            "At these places a leak kills, or ruins a tube, coil or transformer before any meter tells it.",
        );
        for review in &wanted {
            let place = act_part(model, review.part);
            let replacement = match review.wish {
                Wish::SafetyPart(class) => Replacement::LineCapacitor {
                    class,
                    to_touched_metal: class == SafetyClass::Y,
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
            .any(|review| review.place == CapacitorPlace::Boost)
        {
            step.say("A boost capacitor that was cut loose is back, and new, before the sweep feed is closed.");
        }
        let mut made = step.finish()?;
        made.parts = wanted
            .iter()
            .map(|review| review.reference.clone())
            .collect();
        made.charged = self.charged();
        self.push(made);
        self.state.situation.old_line_capacitors =
            self.state.situation.line_capacitors.map(|_| false);
        Ok(())
    }

    /// Rectifier tubes that may come out for the forming: none of a string, and none whose
    /// absence was not found harmless.
    fn rectifiers_to_pull(&self) -> Vec<usize> {
        let model = self.model;
        let tubes: Vec<usize> = tube_rectifiers(model)
            .iter()
            .filter_map(|reference| model.tube_index(reference))
            .filter(|&tube| !is_in_string(model, tube))
            .collect();
        let conditions = BenchConditions {
            pulled: references(model, &tubes),
            ..BenchConditions::default()
        };
        tubes
            .into_iter()
            .filter(|&tube| absence(model, tube, &conditions) == Absence::HARMLESS)
            .collect()
    }

    pub(super) fn electrolytics(&mut self) -> Result<(), PlanError> {
        let model = self.model;
        let parts = to_be_formed(&self.found.capacitors);
        if parts.is_empty() {
            if self.state.situation.electrolytics_as_found.is_some() {
                self.state.situation.electrolytics_as_found = Some(false);
            }
            return Ok(());
        }
        let pulled = self.rectifiers_to_pull();
        let base = BenchConditions {
            pulled: references(model, &pulled),
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
        let mut step = self.state.step(
            StepKind::Electrolytics,
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
        // Those that can be formed have a step of their own each.
        made.parts = parts
            .iter()
            .filter(|&&part| !source_named || !formings.iter().any(|forming| forming.part == part))
            .map(|&part| model.sheet.parts[part].reference.clone())
            .collect();
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

    pub(super) fn what_remains(&mut self) -> Result<(), PlanError> {
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
            StepKind::Remains,
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
}

fn references(model: &SetModel<'_>, tubes: &[usize]) -> Vec<String> {
    tubes
        .iter()
        .filter_map(|&tube| model.sheet.tubes.get(tube))
        .map(|tube| tube.reference.clone())
        .collect()
}
