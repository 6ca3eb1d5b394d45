//! The page of `check`: faults with their lines, or what the sheet holds.

use benchwork::SheetFile;
use benchwork::view::CheckView;

use super::lists::{dashes, heading};
use super::trouble_page::{count_of, faults_with_lines, notices};

/// The whole page.
pub fn page(report: &CheckView, file: &SheetFile) -> String {
    let mut page = faults_with_lines(file, &report.faults);
    if report.ok {
        page.push_str(&heading(&format!("{} can be used", file.name)));
        page.push_str(&dashes(report.says.iter().map(String::as_str)));
    } else {
        page.push_str(&heading(&format!(
            "{} cannot be used: {}",
            file.name,
            count_of(report.faults.len())
        )));
    }
    if !report.notices.is_empty() {
        page.push_str(&heading("Worth knowing"));
        page.push_str(&notices(&report.notices));
    }
    page
}
