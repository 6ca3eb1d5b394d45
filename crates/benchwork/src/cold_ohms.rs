//! Cold resistance from each place to the chassis or another place, plug out.
//!
//! Units: ohms. Fails when the sheet has faults or when the place or a pulled
//! tube is not in it.

use receiver::conditions::BenchConditions;
use receiver::wiring::SetModel;

use crate::asked_of_receiver;
use crate::check_conditions::fitting;
use crate::check_sheet::{catalogue, sound_sheet};
use crate::expect_readings::{expectation, under};
use crate::read_sheet_file::SheetFile;
use crate::trouble::Trouble;
use crate::view::{ConditionsView, ExpectationView, NoticeView};

/// What an ohmmeter should show with the set unplugged.
pub fn cold_ohms(
    file: &SheetFile,
    to: Option<&str>,
    pulled: &[String],
) -> Result<ExpectationView, Trouble> {
    let (sheet, notices) = sound_sheet(file)?;
    cold_ohms_of(&SetModel::new(&sheet, catalogue()?), notices, to, pulled)
}

/// The same for a set at hand; `notices` are those of its sheet.
pub(crate) fn cold_ohms_of(
    model: &SetModel<'_>,
    notices: Vec<NoticeView>,
    to: Option<&str>,
    pulled: &[String],
) -> Result<ExpectationView, Trouble> {
    let sheet = model.sheet;
    let conditions = BenchConditions {
        pulled: pulled.to_vec(),
        to: to.map(ToOwned::to_owned),
        bands: true,
        ..BenchConditions::default()
    };
    let conditions = fitting(&conditions, sheet)?;
    let view = ConditionsView::of(&conditions, sheet.line_volts, false);
    let answer = asked_of_receiver::cold_ohms(model, &conditions)
        .map_err(|trouble| under(trouble, &view))?;
    Ok(expectation(view, answer, notices))
}
