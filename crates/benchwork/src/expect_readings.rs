//! What a meter should show at every place, under given bench conditions.
//!
//! Units: as each reading says. Fails when the sheet has faults, when a tube,
//! part or place asked for is not in it, or when no settled state was found.

use logbook::Conditions;
use receiver::conditions::BenchConditions;
use receiver::expect::Predictor;
use receiver::wiring::SetModel;

use crate::asked_of_receiver::{self, Answer};
use crate::check_conditions::fitting;
use crate::check_sheet::{catalogue, powered_sheet};
use crate::judge_entry::bench_conditions;
use crate::read_sheet_file::SheetFile;
use crate::trouble::Trouble;
use crate::view::{ConditionsView, ExpectationView, NoticeView, ReadingView, UnknownView};
use crate::{FORMAT, PROGRAM_VERSION};

/// What a meter should show.
pub fn expect_readings(
    file: &SheetFile,
    conditions: &BenchConditions,
) -> Result<ExpectationView, Trouble> {
    let (sheet, notices) = powered_sheet(file)?;
    let model = SetModel::new(&sheet, catalogue()?);
    expect_readings_of(&Predictor::new(&model), notices, conditions)
}

/// The same, the set standing as an entry says it, read with this meter (empty for an ideal one).
pub fn expect_under(
    file: &SheetFile,
    said: &Conditions,
    meter: &str,
) -> Result<ExpectationView, Trouble> {
    let conditions = bench_conditions(said, meter)
        .map_err(|error| Trouble::input(error, "say how the set stands, and with which meter"))?;
    expect_readings(file, &conditions)
}

/// The same for a set at hand; `notices` are those of its sheet.
pub(crate) fn expect_readings_of(
    predictor: &Predictor<'_, '_>,
    notices: Vec<NoticeView>,
    conditions: &BenchConditions,
) -> Result<ExpectationView, Trouble> {
    let sheet = predictor.model.sheet;
    let conditions = &fitting(conditions, sheet)?;
    let view = ConditionsView::of(conditions, sheet.line_volts, true);
    let answer = asked_of_receiver::expect(predictor, conditions)
        .map_err(|trouble| under(trouble, &view))?;
    Ok(expectation(view, answer, notices))
}

/// An answer of the receiver as a view, the sheet's own notices last.
pub(crate) fn expectation(
    conditions: ConditionsView,
    answer: Answer,
    notices_of_sheet: Vec<NoticeView>,
) -> ExpectationView {
    let mut notices: Vec<NoticeView> = answer.notices.into_iter().map(NoticeView::from).collect();
    for notice in notices_of_sheet {
        if !notices.iter().any(|known| known.text == notice.text) {
            notices.push(notice);
        }
    }
    ExpectationView {
        format: FORMAT,
        program: PROGRAM_VERSION,
        data: parts::DATA_EDITION,
        conditions,
        readings: answer.readings.iter().map(ReadingView::from).collect(),
        unknown: answer.unknown.iter().map(UnknownView::from).collect(),
        notices,
    }
}

/// Adds the conditions to trouble that arose under them.
pub(crate) fn under(trouble: Trouble, view: &ConditionsView) -> Trouble {
    match trouble {
        Trouble::NotSettled {
            conditions: None,
            error,
        } => Trouble::NotSettled {
            conditions: Some(Box::new(view.clone())),
            error,
        },
        other => other,
    }
}
