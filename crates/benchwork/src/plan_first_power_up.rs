//! The staged first power-up of the set on the sheet.
//!
//! Units: as the views say. Steps are handed out one by one as soon as they
//! stand, so that the first can be read while the rest is still worked out.
//! Fails when the sheet has faults or when no settled state was found.

use receiver::conditions::BenchConditions;
use receiver::expect::Predictor;
use receiver::wiring::SetModel;

use crate::asked_of_receiver;
use crate::check_sheet::{catalogue, powered_sheet};
use crate::read_sheet_file::SheetFile;
use crate::trouble::Trouble;
use crate::view::{NoticeView, PlanView, StepView};

/// A plan as it is shown, with what a picture of one of its steps needs.
#[derive(Debug, Clone)]
pub struct PowerUp {
    /// The plan as it is shown.
    pub view: PlanView,
    /// How the set stands on the bench in each step that gives it power, by the step's number.
    pub energised: Vec<(usize, BenchConditions)>,
}

impl PowerUp {
    /// The conditions of a step that gives power; the last of them if none is named.
    pub fn conditions_of(&self, step: Option<usize>) -> Result<&BenchConditions, Trouble> {
        let found = match step {
            Some(number) => self.energised.iter().find(|(known, _)| *known == number),
            None => self.energised.last(),
        };
        found.map(|(_, conditions)| conditions).ok_or_else(|| {
            let numbers: Vec<String> = self
                .energised
                .iter()
                .map(|(number, _)| number.to_string())
                .collect();
            let text = match step {
                Some(number) => {
                    format!("step {number} gives the set no power, so there is nothing to draw")
                }
                None => "no step of this plan gives the set power, so there is nothing to draw"
                    .to_owned(),
            };
            Trouble::input(text, format!("steps with power: {}", numbers.join(", ")))
        })
    }
}

/// The whole plan; `on_step` gets each step before the whole is done.
pub fn plan_first_power_up(
    file: &SheetFile,
    on_step: &mut dyn FnMut(StepView),
) -> Result<PowerUp, Trouble> {
    let (sheet, notices) = powered_sheet(file)?;
    let model = SetModel::new(&sheet, catalogue()?);
    plan_first_power_up_of(&Predictor::new(&model), notices, on_step)
}

/// The same for a set at hand; `notices_of_sheet` are those of its sheet.
pub(crate) fn plan_first_power_up_of(
    predictor: &Predictor<'_, '_>,
    notices_of_sheet: Vec<NoticeView>,
    on_step: &mut dyn FnMut(StepView),
) -> Result<PowerUp, Trouble> {
    let line_volts = predictor.model.sheet.line_volts;
    let plan = asked_of_receiver::wake(predictor, &mut |step| {
        on_step(StepView::of(step, line_volts))
    })?;
    let mut view = PlanView::of(&plan, line_volts);
    add_notices(&mut view.notices, notices_of_sheet);
    let energised = plan.steps.into_iter().filter(|step| step.energised);
    Ok(PowerUp {
        view,
        energised: energised
            .map(|step| (step.number, step.conditions))
            .collect(),
    })
}

fn add_notices(notices: &mut Vec<NoticeView>, more: Vec<NoticeView>) {
    for notice in more {
        if !notices.iter().any(|known| known.text == notice.text) {
            notices.push(notice);
        }
    }
}
