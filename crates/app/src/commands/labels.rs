//! `firstraster labels FILE [PART ...]`: labels for the bags of old parts.
//!
//! With `--pdf` as sheets to print and cut. Status 1 where nothing was replaced, for a part that was
//! not, and where the file cannot be written.

use benchwork::{LabelView, Trouble, tell_labels, write_made};
use paper::{Document, Label, Sheet, labels_on, labels_to_pdf};

use crate::cli_hand_on::LabelsArguments;
use crate::clock::time;
use crate::commands::DONE;
use crate::output::hand_on_page::labels_page;
use crate::output::report::moment;
use crate::output::{Screen, Stop};

/// Runs the command.
pub fn run(arguments: &LabelsArguments, screen: &mut Screen) -> Result<u8, Stop> {
    let view = tell_labels(&arguments.file, &arguments.parts)?;
    let mut written = None;
    if let Some(path) = &arguments.pdf {
        let at = time(arguments.at.clone())?;
        let title = format!("{}: labels for parts", view.restoration);
        let sheet: Sheet = arguments.paper.into();
        let document = Document {
            made_by: format!("firstraster {}", view.program),
            about: "Labels of 70 by 37 mm to cut out, for the bags of old parts".to_owned(),
            sheet,
            ..Document::new(title, "en", moment(at.as_str()))
        };
        let labels: Vec<Label> = view.labels.iter().map(label).collect();
        let paged =
            labels_to_pdf(&document, &labels).map_err(|error| Trouble::ours(error.to_string()))?;
        write_made(path, &paged.bytes)?;
        let (across, down) = labels_on(sheet);
        written = Some((path.display().to_string(), paged.pages, across * down));
    }
    if screen.json {
        screen.answer(&view)?;
    } else {
        screen.say(&labels_page(&view, written.as_ref()))?;
    }
    Ok(DONE)
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
