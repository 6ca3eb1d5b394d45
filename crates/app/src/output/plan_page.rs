//! The page of `wake`: opening, one part for each step, closing.
//!
//! In an energised step everything that asks for the plug to be pulled stands
//! before what is only interesting. Cautions and stop signs that an earlier step
//! has told already are said again, but in one paragraph, so that what is new
//! stands out. A short page, as in the demo, counts what it leaves out.

use std::collections::BTreeSet;

use benchwork::view::{PlanView, StepView};
use quantity::{Unit, bench};

use super::lists::{dashes, heading, indented, numbered, paragraph, sentence, title};
use super::readings_page::{Extent, not_predictable};
use super::step_tables::{charged_table, expect_table, lamp_part, stop_part};
use super::trouble_page::notices;

/// The most acts of one step in a short page.
const ACTS_FIRST: usize = 8;

/// The page of a plan, written step by step; it knows what it has told already.
pub struct PlanPage {
    extent: Extent,
    told: BTreeSet<String>,
}

impl PlanPage {
    /// A page of which nothing is written yet.
    pub fn new(extent: Extent) -> Self {
        PlanPage {
            extent,
            told: BTreeSet::new(),
        }
    }

    /// What comes before the first step.
    pub fn opening(&self) -> String {
        let mut page = title("The first power-up, step by step");
        page.push_str(&paragraph(
            "The voltages in this set can kill. Never work alone or tired; one hand in the pocket while \
             anything is live. Do the steps in their order, and go on only when a step shows what it should. \
             A reading outside its band means look again; a reading beyond a stop limit, or any stop sign, \
             means pull the plug first and ask afterwards.",
        ));
        page.push('\n');
        page
    }

    /// One step.
    pub fn step(&mut self, step: &StepView) -> String {
        let mut page = title(&format!("Step {}: {}", step.step, step.title));
        let power = if step.energised {
            "ENERGISED"
        } else {
            "No power"
        };
        page.push_str(&paragraph(&format!(
            "{power}: {}.",
            step.conditions.in_words()
        )));
        section(
            &mut page,
            "Beware",
            self.new_first(&step.cautions, "Still in force: "),
        );
        if !step.live.is_empty() {
            let live = format!("Live: {}", step.live.join(", "));
            page.push_str(&indented(&live, "", "      "));
        }
        section(&mut page, "Do", self.acts(&step.acts));
        let plug = if step.conditions.dc.is_some() {
            "Switch the source off"
        } else {
            "Pull the plug"
        };
        let signs = self.new_first(&step.stop_signs, "As before: ");
        section(
            &mut page,
            &format!("{plug} at once, before any question, when you notice"),
            signs,
        );
        let beyond = if step.energised {
            plug
        } else {
            "Go no further"
        };
        section(
            &mut page,
            &format!("{beyond} when the meter goes beyond"),
            stop_part(&step.stop, self.extent),
        );
        let wait = match step.wait_seconds {
            seconds if seconds > 0.0 => format!(
                "After {} a healthy set shows",
                bench(seconds, Unit::Seconds)
            ),
            _ => "A healthy set shows".to_owned(),
        };
        section(&mut page, &wait, expect_table(&step.expect, self.extent));
        page.push_str(&not_predictable(&step.unknown, Extent::Short));
        section(
            &mut page,
            "Still charged with the plug out: through a resistor, then prove it",
            charged_table(&step.charged),
        );
        section(
            &mut page,
            "The lamp",
            step.lamp
                .as_ref()
                .map(|lamp| lamp_part(lamp, self.extent))
                .unwrap_or_default(),
        );
        section(&mut page, "Why", paragraph(&step.because));
        page.push('\n');
        page
    }

    /// What comes after the last step.
    pub fn closing(&self, plan: &PlanView) -> String {
        let mut page = String::new();
        if !plan.unguarded.is_empty() {
            page.push_str(&heading("Not guarded by any reading of this plan"));
            for unguarded in &plan.unguarded {
                page.push_str(&indented(
                    &format!("{}: {}", unguarded.fault, unguarded.because),
                    "  - ",
                    "    ",
                ));
            }
            page.push('\n');
        }
        if !plan.notices.is_empty() {
            page.push_str(&heading("Worth knowing"));
            page.push_str(&notices(&plan.notices));
            page.push('\n');
        }
        page.push_str(&paragraph(&format!(
            "{} steps, found with {} solved states and {} runs from switch-on.",
            plan.steps.len(),
            plan.work.solved_states,
            plan.work.warm_up_runs
        )));
        page
    }

    /// What is new as a list, then what was told before in one paragraph.
    fn new_first(&mut self, sentences: &[String], before: &str) -> String {
        let (known, new): (Vec<&String>, Vec<&String>) = sentences
            .iter()
            .partition(|sentence| self.told.contains(*sentence));
        let mut part = dashes(new.iter().map(|sentence| sentence.as_str()));
        if !known.is_empty() {
            let text = match self.extent {
                Extent::Short => format!("{} that earlier steps have told", known.len()),
                Extent::Whole => {
                    let known: Vec<String> = known.iter().map(|known| clause(known)).collect();
                    known.join("; ")
                }
            };
            part.push_str(&indented(&format!("{before}{text}."), "  - ", "    "));
        }
        self.told.extend(new.into_iter().cloned());
        part
    }

    fn acts(&self, acts: &[String]) -> String {
        let shown = if self.extent == Extent::Short {
            ACTS_FIRST
        } else {
            acts.len()
        };
        let mut part = numbered(acts.iter().take(shown).map(String::as_str));
        if acts.len() > shown {
            part.push_str(&indented(
                &format!("and {} more acts", acts.len() - shown),
                "      ",
                "      ",
            ));
        }
        part
    }
}

/// A sentence as a part of a longer one.
fn clause(text: &str) -> String {
    sentence(text.trim_end_matches('.'))
}

fn section(page: &mut String, name: &str, content: String) {
    if !content.trim().is_empty() {
        page.push('\n');
        page.push_str(&heading(name));
        page.push_str(&content);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use benchwork::view::{
        ChargedView, ConditionsView, LampFaultView, LampView, StopView, ThreatenedView,
    };
    use receiver::conditions::BenchConditions;

    fn energised_step() -> StepView {
        let conditions = BenchConditions {
            lamps: vec![100.0],
            ..Default::default()
        };
        StepView {
            step: 4,
            kind: "supply",
            key: "supply 1".to_owned(),
            title: "B+ behind the lamp".to_owned(),
            parts: Vec::new(),
            acts: vec!["Put the 100 W lamp in series.".to_owned()],
            conditions: ConditionsView::of(&conditions, 117.0, true),
            energised: true,
            wait_seconds: 30.0,
            because: "the lamp is the largest that guards the transformer".to_owned(),
            expect: Vec::new(),
            unknown: Vec::new(),
            stop: vec![StopView {
                at: "line".to_owned(),
                to: None,
                what: "line_watts",
                above: Some(120.0),
                below: None,
                after_seconds: 10.0,
                tells: vec!["shorted filter capacitor C1A".to_owned()],
                cannot_tell: vec!["few shorted turns".to_owned()],
            }],
            stop_signs: vec!["the lamp bright and staying so".to_owned()],
            live: vec!["B+ main".to_owned()],
            charged: vec![
                ChargedView {
                    at: "B+ main".to_owned(),
                    volts: 250.0,
                    seconds_to_10_volts: Some(5.0),
                    if_bleeder_open_seconds: Some(90.0),
                },
                ChargedView {
                    at: "V20.anode".to_owned(),
                    volts: 9000.0,
                    seconds_to_10_volts: None,
                    if_bleeder_open_seconds: None,
                },
            ],
            cautions: vec!["one hand in the pocket".to_owned()],
            lamp: Some(LampView {
                watts: vec![100.0],
                heater_share: Some(0.8),
                supply_share: Some(0.7),
                winding_share: None,
                faults: vec![LampFaultView {
                    fault: "C1A shorted".to_owned(),
                    part_watts: 20.0,
                    irreplaceable: Some(ThreatenedView {
                        part: "T1".to_owned(),
                        watts: 45.0,
                    }),
                }],
                remark: "It does not guard against a shorted C40.".to_owned(),
            }),
        }
    }

    #[test]
    fn a_step_tells_all_it_holds() {
        let page = PlanPage::new(Extent::Whole).step(&energised_step());
        for wanted in [
            "Step 4: B+ behind the lamp",
            "ENERGISED",
            "100 W lamp",
            "above 120 W",
            "few shorted turns",
            "the lamp bright",
            "before any question",
            "Live: B+ main",
            "never by time",
            "80 %",
            "T1 45 W",
            "one hand in the pocket",
        ] {
            assert!(page.contains(wanted), "`{wanted}` is not in\n{page}");
        }
    }

    #[test]
    fn stop_signs_come_before_what_a_healthy_set_shows() {
        let page = PlanPage::new(Extent::Whole).step(&energised_step());
        let signs = page.find("the lamp bright");
        let limits = page.find("above 120 W");
        let why = page.find("Why");
        assert!(signs < limits && limits < why, "{page}");
    }

    #[test]
    fn what_was_told_before_is_told_again_in_few_words() {
        let mut plan = PlanPage::new(Extent::Whole);
        let first = plan.step(&energised_step());
        let second = plan.step(&energised_step());
        assert!(first.contains("- one hand in the pocket"), "{first}");
        assert!(
            second.contains("Still in force: One hand in the pocket"),
            "{second}"
        );
        assert!(second.contains("As before: The lamp bright"), "{second}");
    }

    #[test]
    fn without_power_there_is_no_plug_to_pull() {
        let mut step = energised_step();
        step.energised = false;
        let page = PlanPage::new(Extent::Whole).step(&step);
        assert!(page.contains("Go no further when"), "{page}");
    }
}
