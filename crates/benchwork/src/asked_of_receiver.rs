//! The questions put to the receiver, with its errors sorted into [`Trouble`].
//!
//! Units: the receiver's own (volts, amperes, watts, ohms, seconds). Each function
//! either has an answer or says who has to act.

use receiver::chart::{ChartError, ChartReport};
use receiver::conditions::BenchConditions;
use receiver::plan::step_builder::PlanError;
use receiver::plan::{PowerUpPlan, Step};
use receiver::reading::{Notice, Reading, Unknown};
use receiver::sheet::Sheet;

use receiver::curves::{self, Curves};
use receiver::expect::{ExpectError, Expectation, Predictor};
use receiver::foresight::Foresight;
use receiver::wiring::SetModel;

use crate::check_sheet::catalogue;
use crate::trouble::Trouble;
use crate::view::ErrorView;

/// Readings with what cannot be told beside them.
#[derive(Debug, Clone, Default)]
pub struct Answer {
    /// What is read where.
    pub readings: Vec<Reading>,
    /// What cannot be told, and why.
    pub unknown: Vec<Unknown>,
    /// What is worth knowing besides.
    pub notices: Vec<Notice>,
}

/// What a meter shows under these conditions.
pub fn expect(
    predictor: &Predictor<'_, '_>,
    conditions: &BenchConditions,
) -> Result<Answer, Trouble> {
    let expectation = predictor.expect(conditions).map_err(sorted)?;
    Ok(answer(expectation))
}

/// The same, with what the set foresees, to be kept beside a restoration.
pub fn expect_and_foresee(
    predictor: &Predictor<'_, '_>,
    conditions: &BenchConditions,
) -> Result<(Answer, Foresight), Trouble> {
    let foreseen = predictor.foresee(conditions).map_err(sorted)?;
    let expectation = foreseen.with(&conditions.known).map_err(sorted)?;
    let foresight = Foresight::of_foreseen(predictor, &foreseen, conditions).map_err(sorted)?;
    Ok((answer(expectation), foresight))
}

/// Cold resistances with the set unplugged.
pub fn cold_ohms(model: &SetModel<'_>, conditions: &BenchConditions) -> Result<Answer, Trouble> {
    let expectation = receiver::ohms::cold_ohms_of(model, conditions).map_err(sorted)?;
    Ok(answer(expectation))
}

/// B+ against line volts, straight on the line and behind these lamps.
pub fn supply_against_line(
    sheet: &Sheet,
    conditions: &BenchConditions,
    lamps: &[f64],
) -> Result<Curves, Trouble> {
    let model = SetModel::new(sheet, catalogue()?);
    curves::supply_against_line(&Predictor::new(&model), conditions, Some(lamps)).map_err(sorted)
}

/// B+ and heaters against seconds from switch-on.
pub fn warm_up_curves(sheet: &Sheet, conditions: &BenchConditions) -> Result<Curves, Trouble> {
    let model = SetModel::new(sheet, catalogue()?);
    curves::warm_up_curves(&Predictor::new(&model), conditions).map_err(sorted)
}

/// The maker's chart beside the prediction.
pub fn lay_chart(
    sheet: &Sheet,
    go_on: &mut dyn FnMut(f64) -> bool,
) -> Result<ChartReport, Trouble> {
    receiver::chart::lay_chart(sheet, catalogue()?, go_on).map_err(|error| match error {
        ChartError::NoChart => Trouble::input(
            error.to_string(),
            "copy the maker's readings into the sheet, such as `volts = [ [\"V9.6\", \"chassis\", 140] ]`",
        ),
        ChartError::Expect(error) => sorted(error),
    })
}

/// The staged first power-up; each step is handed out as soon as it stands.
pub fn wake(
    predictor: &Predictor<'_, '_>,
    on_step: &mut dyn FnMut(&Step),
) -> Result<PowerUpPlan, Trouble> {
    receiver::plan::wake::wake_of(predictor, on_step).map_err(|error| match error {
        PlanError::Refused { .. } | PlanError::Table(_) => Trouble::ours(error.to_string()),
        PlanError::Wiring(error) => sorted(ExpectError::Wiring(error)),
        PlanError::Expect(error) => sorted(error),
        PlanError::NotSettled(error) => sorted(ExpectError::NotSettled(error)),
    })
}

fn answer(expectation: Expectation) -> Answer {
    Answer {
        readings: expectation.readings,
        unknown: expectation.unknown,
        notices: expectation.notices,
    }
}

/// Who has to act on an error of a prediction.
pub(crate) fn sorted(error: ExpectError) -> Trouble {
    match error {
        ExpectError::Wiring(error) => Trouble::input(
            error.to_string(),
            "look at the conditions asked for and at the sheet's line",
        ),
        ExpectError::Conditions { .. } => {
            Trouble::input(error.to_string(), "look at the conditions asked for")
        }
        error @ ExpectError::Apart { .. } => not_settled(error.to_string()),
        ExpectError::NotSettled(evidence) => not_settled(evidence.to_string()),
    }
}

fn not_settled(evidence: String) -> Trouble {
    Trouble::NotSettled {
        conditions: None,
        error: ErrorView {
            text: "no settled state was found, so there are no readings".to_owned(),
            hint: "look for a value on the sheet that cannot be right, such as a supply without a load; \
                   if all values are right, please report the sheet"
                .to_owned(),
            evidence: vec![evidence],
        },
    }
}
