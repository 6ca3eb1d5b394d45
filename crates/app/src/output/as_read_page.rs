//! The page of `suspects as-read`: the weights after each reading that counts.
//!
//! Weights are told of a hundred, readings as at the bench. Nothing here fails.

use benchwork::hunt_words::{of_hundred, place_of, value_of};
use benchwork::view::{AfterReadingView, AsReadView};

use super::lists::{heading, paragraph, table, title};
use super::trouble_page::notices;

/// Parts that fit a page beside the reading.
const MOST: usize = 4;

/// The page.
pub fn page(view: &AsReadView) -> String {
    let mut page = title("The suspects, reading by reading");
    if view.steps.iter().all(|step| step.count == 0) {
        page.push_str(&paragraph(
            "No reading counts yet. Enter readings, the line and the B+ lines first.",
        ));
        page.push_str(&notices(&view.notices));
        return page;
    }
    let words = match view.not_told {
        0 => "Of a hundred sets that read so, how many have the fault there: without a reading, then after each one. What was noticed counts from the beginning.".to_owned(),
        not_told => format!("Of a hundred sets that read so, how many have the fault there, after each of the last readings; {not_told} stand before them. What was noticed counts from the beginning."),
    };
    page.push_str(&paragraph(&words));
    page.push('\n');
    let parts = &view.parts[..view.parts.len().min(MOST)];
    let mut heads = vec!["reading"];
    heads.extend(parts.iter().map(String::as_str));
    heads.push("nothing");
    heads.push("not listed");
    let rows = view.steps.iter().map(|step| row(step, parts.len()));
    let figures: Vec<usize> = (1..heads.len()).collect();
    page.push_str(&table(&heads, &figures, rows.collect()));
    if !view.notices.is_empty() {
        page.push_str(&heading("Worth knowing"));
        page.push_str(&notices(&view.notices));
    }
    page
}

fn row(step: &AfterReadingView, parts: usize) -> Vec<String> {
    let read = match &step.reading {
        None if step.count == 0 => "none yet".to_owned(),
        None => format!("{} readings", step.count),
        Some(own) => format!("{} {}", place_of(own), value_of(own)),
    };
    let mut row = vec![read];
    row.extend(step.weights.iter().take(parts).copied().map(of_hundred));
    row.push(of_hundred(step.healthy));
    row.push(of_hundred(step.not_listed));
    row
}
