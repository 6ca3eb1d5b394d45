//! What was handed on, and the labels, as short pages for the terminal.
//!
//! Nothing here fails.

use benchwork::LabelsView;
use benchwork::view::HandingOnView;

use super::lists::{dashes, heading, indented, paragraph, table, title};
use super::notices;
use super::story_page::counted;

/// What was written.
#[derive(Debug, Default)]
pub struct Written {
    /// A line for each file or folder.
    pub files: Vec<String>,
    /// Photographs that cannot be shown.
    pub lacking: usize,
    /// Signs that the letters of the PDF lack.
    pub missing: Vec<char>,
}

/// The page.
pub fn page(view: &HandingOnView, written: &Written) -> String {
    let mut page = title(&view.restoration);
    if written.files.is_empty() {
        page.push_str(&paragraph(
            "Nothing was written: name a file with --pdf or --html, or a folder with --folder.",
        ));
    }
    for file in &written.files {
        page.push_str(&indented(file, "", "  "));
    }
    if written.lacking > 0 {
        page.push_str(&paragraph(&format!(
            "Photographs that cannot be shown: {}; their places say why.",
            written.lacking
        )));
    }
    if !written.missing.is_empty() {
        let signs: String = written.missing.iter().collect();
        page.push_str(&paragraph(&format!(
            "The letters of the PDF lack {signs}; an empty box stands there. The page of HTML has them."
        )));
    }
    page.push('\n');
    let counts = [
        counted(view.story.len(), "entry that stands", "entries that stand"),
        counted(view.cover.photographs, "photograph", "photographs"),
        counted(view.replaced.len(), "replaced part", "replaced parts"),
        counted(view.watch.len(), "point to watch", "points to watch"),
    ];
    page.push_str(&paragraph(&format!("{}.", counts.join(", "))));
    page.push_str(&paragraph(&view.safety.text));
    if !view.not_written_down.is_empty() {
        page.push('\n');
        page.push_str(&heading("Not written down"));
        page.push_str(&dashes(view.not_written_down.iter().map(String::as_str)));
    }
    page.push_str(&notices(&view.notices));
    page
}

/// The labels.
pub fn labels_page(view: &LabelsView, written: Option<&(String, usize, usize)>) -> String {
    let mut page = title(&format!("{}: labels", view.restoration));
    if let Some((path, pages, on_a_sheet)) = written {
        page.push_str(&indented(
            &format!(
                "{path}: {} labels of 70 by 37 mm on {pages} {}, {on_a_sheet} to a sheet. Print at full size, without fitting to the page.",
                view.labels.len(),
                if *pages == 1 { "sheet" } else { "sheets" }
            ),
            "",
            "  ",
        ));
    }
    let said = |text: &str| match text {
        "" => "not written down".to_owned(),
        text => text.to_owned(),
    };
    let rows = view.labels.iter().map(|own| {
        vec![
            own.part.clone(),
            said(&own.place),
            said(&own.old),
            said(&own.new),
            said(&own.day),
        ]
    });
    let columns = ["part", "where", "was", "is now", "fitted"];
    page.push('\n');
    page.push_str(&table(&columns, &[], rows.collect()));
    page
}
