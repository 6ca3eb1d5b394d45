//! The maker's chart laid beside the prediction of the sheet.
//!
//! Volts and ohms. Fails when the sheet has faults or no chart, or when no settled state was
//! found.

use crate::asked_of_receiver;
use crate::check_sheet::powered_sheet;
use crate::read_sheet_file::SheetFile;
use crate::trouble::Trouble;
use crate::view::ChartView;

/// Lays the chart. `go_on` hears the share of the work that is done, from 0 to 1; on `false`
/// the search for slips ends and what was found so far is told.
pub fn lay_chart(
    file: &SheetFile,
    go_on: &mut dyn FnMut(f64) -> bool,
) -> Result<ChartView, Trouble> {
    let (sheet, notices) = powered_sheet(file)?;
    let report = asked_of_receiver::lay_chart(&sheet, go_on)?;
    Ok(ChartView::of(&report, notices))
}
