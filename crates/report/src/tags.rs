//! Labels for the bags of old parts, on sheets to print and cut.
//!
//! Labels of 70 by 37 mm. Fails where they cannot be laid out.

use benchwork::{LabelView, LabelsView, Trouble};
use paper::{Document, Label, Paged, Sheet, labels_on, labels_to_pdf};

use crate::moment;

/// The labels as PDF, made at this time, and how many go on one sheet.
pub fn labels(view: &LabelsView, at: &str, sheet: Sheet) -> Result<(Paged, usize), Trouble> {
    let title = format!("{}: labels for parts", view.restoration);
    let document = Document {
        made_by: format!("firstraster {}", view.program),
        about: "Labels of 70 by 37 mm to cut out, for the bags of old parts".to_owned(),
        sheet,
        ..Document::new(title, "en", moment(at))
    };
    let labels: Vec<Label> = view.labels.iter().map(label).collect();
    let paged =
        labels_to_pdf(&document, &labels).map_err(|error| Trouble::ours(error.to_string()))?;
    let (across, down) = labels_on(sheet);
    Ok((paged, across * down))
}

fn label(own: &LabelView) -> Label {
    let said = |text: &str| match text {
        "" => "not written down".to_owned(),
        text => text.to_owned(),
    };
    Label {
        name: own.part.clone(),
        beside: own.set.clone(),
        lines: vec![
            ("where".to_owned(), said(&own.place)),
            ("was".to_owned(), said(&own.old)),
            ("is now".to_owned(), said(&own.new)),
            ("fitted".to_owned(), said(&own.day)),
        ],
    }
}
