//! Sheets of labels for bags of parts, with lines to cut along.
//!
//! Millimetres and points of 1/72 inch. A label is 70 by 37 mm: three in a row and eight rows on
//! A4, seven on US letter, where the free edge is shared out. Printed at full size (no fitting to
//! the page). A name that is too long for its line is cut short with an ellipsis. Fails where the
//! file would break the rules of the PDF that is kept.

use crate::document::{Document, Sheet, Text, points};
use crate::error::PaperError;
use crate::letters::Letters;
use crate::pdf::{Paged, Writer};
use crate::strips::{Ink, Meaning, Part, Tree, What};

/// Width and height of a label, millimetres.
pub const LABEL_MILLIMETRES: (f32, f32) = (70.0, 37.0);

/// What stands on one label.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Label {
    /// The large words: which part.
    pub name: String,
    /// Beside them, at the right end of the line.
    pub beside: String,
    /// Lines below: a quiet name, and what holds.
    pub lines: Vec<(String, String)>,
}

/// How many labels stand beside and below each other on a sheet.
pub fn labels_on(sheet: Sheet) -> (usize, usize) {
    let (width, height) = sheet.millimetres();
    let (wide, high) = LABEL_MILLIMETRES;
    ((width / wide) as usize, (height / high) as usize)
}

/// Labels as a PDF; only title, language, maker, time and sheet of the document count.
pub fn labels_to_pdf(document: &Document, labels: &[Label]) -> Result<Paged, PaperError> {
    let letters = Letters::new()?;
    let (across, down) = labels_on(document.sheet);
    let mut tree = Tree::default();
    let mut sheets: Vec<Vec<Part>> = Vec::new();
    for page in labels.chunks(across * down) {
        let mut parts = cut_lines(document.sheet, page.len());
        for (place, label) in page.iter().enumerate() {
            let corner = corner(document.sheet, place);
            lay(label, corner, &letters, &mut tree, &mut parts);
        }
        sheets.push(parts);
    }
    let mut writer = Writer::new(document, tree)?;
    for parts in &sheets {
        writer.sheet(document.sheet.points(), parts, &letters)?;
    }
    writer.finish(document, &letters)
}

/// Upper left corner of the label at this place, points.
fn corner(sheet: Sheet, place: usize) -> (f32, f32) {
    let (across, down) = labels_on(sheet);
    let (width, height) = sheet.millimetres();
    let (wide, high) = LABEL_MILLIMETRES;
    let left = (width - wide * across as f32) / 2.0;
    let top = (height - high * down as f32) / 2.0;
    let (column, row) = (place % across, place / across);
    (
        points(left + wide * column as f32),
        points(top + high * row as f32),
    )
}

/// Thin lines between and around the labels of a sheet.
fn cut_lines(sheet: Sheet, count: usize) -> Vec<Part> {
    let (across, _) = labels_on(sheet);
    let rows = count.div_ceil(across);
    let (wide, high) = (points(LABEL_MILLIMETRES.0), points(LABEL_MILLIMETRES.1));
    let (left, top) = corner(sheet, 0);
    let field = |x: f32, y: f32, width: f32, height: f32| Part {
        x,
        y,
        what: What::Field(width, height, Ink::Hair),
        node: None,
    };
    let mut parts = Vec::new();
    for row in 0..=rows {
        let y = top + high * row as f32;
        parts.push(field(left, y - 0.15, wide * across as f32, 0.3));
    }
    for column in 0..=across {
        let x = left + wide * column as f32;
        parts.push(field(x - 0.15, top, 0.3, high * rows as f32));
    }
    parts
}

fn lay(
    label: &Label,
    (x, y): (f32, f32),
    letters: &Letters,
    tree: &mut Tree,
    parts: &mut Vec<Part>,
) {
    let inside = points(5.0);
    let width = points(LABEL_MILLIMETRES.0) - 2.0 * inside;
    let node = tree.add(Meaning::Paragraph, None);
    let mut words = |text: &Text, size: f32, x: f32, y: f32, width: f32, at_right: bool| -> f32 {
        let line = letters.line(text, size, width);
        let own = line.width;
        let x = if at_right { x + width - own } else { x };
        parts.push(Part {
            x,
            y,
            what: What::Words(line, Ink::Dark),
            node: Some(node),
        });
        own
    };
    let head = y + inside + 9.0;
    let name = words(
        &Text::strong(label.name.as_str()),
        17.0,
        x + inside,
        head,
        width * 0.55,
        false,
    );
    let rest = width - name - 8.0;
    if !label.beside.is_empty() {
        words(
            &Text::plain(label.beside.as_str()),
            8.4,
            x + inside + width - rest,
            head,
            rest,
            true,
        );
    }
    for (number, (quiet, text)) in label.lines.iter().enumerate() {
        let own = Text::default()
            .and_quiet(format!("{quiet} "))
            .and(text.as_str());
        let y = head + 15.5 + 12.0 * number as f32;
        words(&own, 9.2, x + inside, y, width, false);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lay::millimetres;

    #[test]
    fn twenty_four_stand_on_a4_and_twenty_one_on_letter() {
        assert_eq!(labels_on(Sheet::A4), (3, 8));
        assert_eq!(labels_on(Sheet::Letter), (3, 7));
        for sheet in [Sheet::A4, Sheet::Letter] {
            let (across, down) = labels_on(sheet);
            let (width, height) = sheet.millimetres();
            let (x, y) = corner(sheet, across * down - 1);
            let (right, foot) = (
                millimetres(x) + LABEL_MILLIMETRES.0,
                millimetres(y) + LABEL_MILLIMETRES.1,
            );
            assert!(right <= width + 0.01 && foot <= height + 0.01);
            // As much stays free at the right as at the left.
            let left = millimetres(corner(sheet, 0).0);
            assert!((width - right - left).abs() < 0.01);
        }
    }
}
