//! What stands around the answers in the demo: the story and what to do next.

use benchwork::view::RecordedView;
use benchwork::{Demo, EXAMPLE_NAME};

use super::lists::{numbered, paragraph, title};
use super::story_page;

/// What comes first.
pub fn opening(demo: &Demo) -> String {
    let mut page = title("From a set sheet to a first power-up");
    page.push_str(&paragraph(
        "A set has come out of an attic: a 12-inch television of 1950 that nobody has plugged in for sixty \
         years. It is invented, but its circuit is one of its time. Its restorer has copied the tube line-up, \
         every part and the maker's chart into a sheet, a plain text file, as he found them:",
    ));
    page.push('\n');
    let rows = demo
        .sheet
        .lines()
        .filter(|line| line.trim_start().starts_with("[\""));
    for row in rows.clone().take(6) {
        page.push_str(&format!("    {}\n", row.trim()));
    }
    let rest = rows.count().saturating_sub(6);
    page.push_str(&format!(
        "    ... and {rest} more rows in {EXAMPLE_NAME}\n\n"
    ));
    page
}

/// A command on the example's sheet.
pub fn on_the_sheet(command: &str) -> String {
    format!("{command} {EXAMPLE_NAME}")
}

/// The heading of one part of the story.
pub fn heading(number: usize, command: &str, tells: &str) -> String {
    let rule = "#".repeat(72);
    format!("\n{rule}\n# {number}. {command}\n#    {tells}\n{rule}\n\n")
}

/// Readings entered into the demo's restoration.
pub fn readings(readings: &[RecordedView]) -> String {
    let mut page = paragraph(
        "A restoration is kept in one file: every version of the sheet, every reading, test, part and \
         photograph, in their order. A reading is set against its band when it is entered.",
    );
    for made in readings {
        page.push('\n');
        page.push_str(&story_page::recorded(made));
    }
    page
}

/// What to do next.
pub fn closing(demo: &Demo) -> String {
    let mut page = String::from("\n");
    page.push_str(&title("What to do next"));
    page.push_str(&numbered(demo.next.iter().map(String::as_str)));
    page
}
