//! The staged first power-up of the set on the sheet.
//!
//! Units: as the views say. Steps are handed out one by one as soon as they
//! stand, so that the first can be read while the rest is still worked out.
//! Fails when the sheet has faults or when no settled state was found.

use crate::asked_of_receiver;
use crate::check_sheet::sound_sheet;
use crate::read_sheet_file::SheetFile;
use crate::trouble::Trouble;
use crate::view::{NoticeView, PlanView, StepView};

/// The whole plan; `on_step` gets each step before the whole is done.
pub fn plan_first_power_up(
    file: &SheetFile,
    on_step: &mut dyn FnMut(StepView),
) -> Result<PlanView, Trouble> {
    let (sheet, notices_of_sheet) = sound_sheet(file)?;
    let line_volts = sheet.line_volts;
    let plan =
        asked_of_receiver::wake(&sheet, &mut |step| on_step(StepView::of(step, line_volts)))?;
    let mut view = PlanView::of(&plan, line_volts);
    add_notices(&mut view.notices, notices_of_sheet);
    Ok(view)
}

fn add_notices(notices: &mut Vec<NoticeView>, more: Vec<NoticeView>) {
    for notice in more {
        if !notices.iter().any(|known| known.text == notice.text) {
            notices.push(notice);
        }
    }
}
