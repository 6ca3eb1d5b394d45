//! What was noticed beside the meter, for the pages of `suspects`; and the list of what can be noticed.
//!
//! How many times likelier as a plain number. Nothing here fails.

use benchwork::hunt_words::times;
use benchwork::view::{NoticedSpeaksView, NoticedView, SymptomsView};

use super::lists::{dashes, heading, indented, paragraph, table, title};

/// The list of symptoms.
pub fn list(view: &SymptomsView) -> String {
    let mut page = title("What picture, sound, nose and hand can tell");
    page.push_str(&paragraph(
        "Enter what the set shows: `firstraster suspects FILE noticed \"bright horizontal line\"`; some of its words will do. What it does not show, where you looked for it, with `--not`. Behind each stand the sections that cause it most often.",
    ));
    page.push('\n');
    for own in &view.symptoms {
        page.push_str(&indented(
            &format!("{}: {}", own.symptom, own.what),
            "  ",
            "    ",
        ));
        let sections: Vec<String> = own
            .sections
            .iter()
            .take(3)
            .map(|row| format!("{} {:.0}", row.section, 100.0 * row.weight))
            .collect();
        page.push_str(&indented(&sections.join(", "), "      ", "      "));
        if !own.caution.is_empty() {
            page.push_str(&indented(
                &format!("Mind: {}.", own.caution),
                "      ",
                "      ",
            ));
        }
    }
    page
}

/// What was noticed, with whether it counts.
pub fn noticed(list: &[NoticedView]) -> String {
    if list.is_empty() {
        return String::new();
    }
    let lines: Vec<String> = list
        .iter()
        .map(|own| {
            let rest = match (own.state, own.since) {
                ("former", Some(since)) => format!(
                    "; of the set as it was before: {} since (entry {since})",
                    own.because
                ),
                ("not_weighed", _) => format!("; not weighed: {}", own.because),
                _ => String::new(),
            };
            format!("{} (entry {}){rest}", own.text, own.entry)
        })
        .collect();
    heading("Noticed") + &dashes(lines.iter().map(String::as_str)) + "\n"
}

/// Readings that speak, with what was noticed that speaks as well.
pub fn speaking(readings: String, noticed: &[NoticedSpeaksView]) -> String {
    let mut all: Vec<String> = Vec::new();
    if !readings.is_empty() {
        all.push(readings);
    }
    all.extend(noticed.iter().map(|own| own.text.clone()));
    all.join("; ")
}

/// Everything noticed beside one fault.
pub fn beside(list: &[NoticedSpeaksView]) -> String {
    if list.is_empty() {
        return String::new();
    }
    let rows = list
        .iter()
        .map(|own| vec![own.text.clone(), times(own.times), own.entry.to_string()])
        .collect();
    heading("Noticed, and how likely it is with this fault")
        + &table(&["noticed", "than in a healthy set", "entry"], &[2], rows)
        + "\n"
}
