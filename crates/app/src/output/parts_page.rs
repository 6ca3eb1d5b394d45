//! What a list of parts changed in a sheet, as a page.
//!
//! Rows of the sheet are shown as they stand there, however long. Nothing here fails.

use benchwork::view::TakenPartsView;

use super::lists::{heading, paragraph, table};
use super::notices;

/// That a list was written.
pub fn written(count: usize, file: &str) -> String {
    let parts = if count == 1 { "part" } else { "parts" };
    format!("{count} {parts} written into {file}.\n")
}

/// What a list changed.
pub fn taken(view: &TakenPartsView) -> String {
    let mut page = String::new();
    if !view.changed.is_empty() {
        page.push_str(&heading("Changed"));
        let shown = |text: &str| {
            if text.is_empty() {
                "-".to_owned()
            } else {
                text.to_owned()
            }
        };
        let rows = view
            .changed
            .iter()
            .map(|one| {
                vec![
                    one.reference.clone(),
                    one.column.to_owned(),
                    shown(&one.was),
                    shown(&one.is),
                    one.line.to_string(),
                ]
            })
            .collect();
        page.push_str(&table(
            &["part", "column", "was", "is", "line of the list"],
            &[4],
            rows,
        ));
        page.push('\n');
    }
    if !view.added.is_empty() {
        page.push_str(&heading("New in the sheet"));
        for added in &view.added {
            page.push_str(&format!("  {}\n", added.row));
        }
        page.push('\n');
    }
    let list = |title: &str, names: &[String]| {
        if names.is_empty() {
            return String::new();
        }
        let mut piece = heading(title);
        piece.push_str(&paragraph(&names.join(", ")));
        piece.push('\n');
        piece
    };
    page.push_str(&list("Taken out of the sheet", &view.removed));
    page.push_str(&list(
        "Not in the list, and kept in the sheet (--remove-missing takes such parts out)",
        &view.kept,
    ));
    page.push_str(&list("Columns passed over", &view.passed_over));
    if !view.notices.is_empty() {
        page.push_str(&heading("To notice in the sheet with this change"));
        page.push_str(&notices(&view.notices));
        page.push('\n');
    }
    let is_same = view.changed.is_empty() && view.added.is_empty() && view.removed.is_empty();
    page.push_str(&if view.written {
        format!("Written into {}.\n", view.sheet)
    } else if is_same {
        format!(
            "The list says what {} says; nothing was written.\n",
            view.sheet
        )
    } else {
        format!("Nothing was written into {}.\n", view.sheet)
    });
    page
}
