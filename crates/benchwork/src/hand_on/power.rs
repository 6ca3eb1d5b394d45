//! The first power-up as it was done: its steps, how each ended, and what was read in it.
//!
//! Readings in the unit of their kind. Only facts count: no plan is worked out anew, since what was
//! done is not changed by one. Nothing here fails.

use logbook::{Fact, StandingFact, StepEvent};

use crate::view::{PowerHandedView, StepHandedView, StepReadingView, six_figures};

/// The power-up among the facts.
pub(super) fn handed(facts: &[StandingFact<'_>]) -> PowerHandedView {
    let mut steps: Vec<StepHandedView> = Vec::new();
    let mut is_open = false;
    let mut last = None;
    for one in facts {
        match one.fact {
            Fact::Stepped(stepped) => {
                last = Some(stepped);
                let goes_on = is_open
                    && stepped.event != StepEvent::Begun
                    && steps.last().is_some_and(|step| step.key == stepped.key);
                if !goes_on {
                    steps.push(StepHandedView {
                        title: stepped.step.clone(),
                        key: stepped.key.clone(),
                        at: one.at.to_string(),
                        how: "begun",
                        because: String::new(),
                        leaves_unknown: Vec::new(),
                        readings: Vec::new(),
                    });
                }
                if let Some(step) = steps.last_mut() {
                    step.how = stepped.event.word();
                    step.because = stepped.because.trim().to_owned();
                    let unknown = stepped.leaves_unknown.lines().map(str::trim);
                    step.leaves_unknown = unknown
                        .filter(|line| !line.is_empty())
                        .map(str::to_owned)
                        .collect();
                }
                is_open = stepped.event == StepEvent::Begun;
            }
            Fact::Measured(measured) if is_open => {
                if let Some(step) = steps.last_mut() {
                    let value = measured.value;
                    step.readings.push(StepReadingView {
                        at: measured.place.clone(),
                        to: measured.to.clone(),
                        what: measured.what.name(),
                        value: value.is_finite().then(|| six_figures(value)),
                        typed: measured.typed.clone(),
                        entry: one.number,
                    });
                }
            }
            _ => {}
        }
    }
    let (state, text) = match last.map(|stepped| (stepped.event, stepped)) {
        None => (
            "not_begun",
            "Nothing of a first power-up is written down.".to_owned(),
        ),
        Some((StepEvent::Begun, stepped)) => (
            "under_way",
            format!(
                "The last entry begins the step \"{}\"; how it ended is not written down.",
                stepped.step
            ),
        ),
        Some((StepEvent::Stopped, stepped)) => (
            "stopped",
            format!("The last entry is a stop in the step \"{}\".", stepped.step),
        ),
        Some((StepEvent::Left, stepped)) => (
            "left",
            format!(
                "The bench was left in the step \"{}\", and the power-up was not taken up again.",
                stepped.step
            ),
        ),
        Some((StepEvent::Done | StepEvent::Skipped, stepped)) => (
            "step_done",
            format!(
                "The last step that was passed is \"{}\". Whether it was the last of the plan is not told here.",
                stepped.step
            ),
        ),
    };
    PowerHandedView { state, text, steps }
}
