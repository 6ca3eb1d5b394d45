//! The page of `practice`: how it stands, and what was hidden once it has ended.
//!
//! Nothing here fails.

use benchwork::view::PracticeView;

use super::lists::{dashes, paragraph, title};

/// The page.
pub fn page(view: &PracticeView) -> String {
    let told = view;
    let mut page = title(&told.practice);
    let measurements = match told.measurements {
        0 => "nothing measured yet".to_owned(),
        1 => "1 measurement".to_owned(),
        count => format!("{count} measurements"),
    };
    page.push_str(&paragraph(&match told.state {
        "found" => format!("Found, after {measurements}."),
        "given_up" => format!("Given up, after {measurements}."),
        _ => format!(
            "{} hidden, {measurements}.",
            match told.hidden_faults {
                1 => "One fault is",
                _ => "Two faults are",
            }
        ),
    }));
    if !told.complaint.is_empty() {
        page.push_str(&paragraph(&format!(
            "Its owner says: {}.",
            told.complaint.join("; ")
        )));
    }
    if !told.named_wrongly.is_empty() {
        page.push_str(&paragraph(&format!(
            "Named, and good: {}.",
            told.named_wrongly.join(", ")
        )));
    }
    if told.state == "open" && !told.found.is_empty() {
        page.push_str(&paragraph(&format!(
            "Found already: {}.",
            told.found.join(", ")
        )));
    }
    if told.faults.is_empty() {
        page.push_str(&paragraph(
            "The line is 117 V and the meter 10 megohms unless you say otherwise; it errs as a good meter does, and one \
             reading in fifty is a slip. The file is a restoration: `suspects`, `expect`, `ohms` and `story` work on it.",
        ));
        page.push_str(&dashes([
            "firstraster practice FILE read V9.5",
            "firstraster practice FILE ohms V9.5",
            "firstraster practice FILE signal --fed V13.7 --watched sound",
            "firstraster practice FILE check C45",
            "firstraster practice FILE name C45",
        ]));
    } else {
        page.push_str(&paragraph("It was:"));
        let faults = told.faults.iter();
        let told: Vec<String> = faults
            .map(|fault| format!("{}: {}", fault.part, fault.text))
            .collect();
        page.push_str(&dashes(told.iter().map(String::as_str)));
        page.push_str(&paragraph(&own_way(view)));
    }
    page
}

/// How the search itself fared.
fn own_way(view: &PracticeView) -> String {
    match view.own_measurements {
        None => "The search itself, with volts at one line and parts checked, is not sure of it after thirty measurements.".to_owned(),
        Some(own) => {
            let beside = match (view.state, view.measurements) {
                ("found", yours) if yours < own => ": you were quicker",
                ("found", yours) if yours == own => ", as you did",
                _ => "",
            };
            let count = match own {
                1 => "1 measurement".to_owned(),
                own => format!("{own} measurements"),
            };
            format!("The search itself is nine of ten sure of it after {count}{beside}.")
        }
    }
}
