//! The page of `suspects FILE next`: what to measure, what it takes, what each outcome would mean.
//!
//! Weights and chances of a hundred, efforts in minutes. Nothing here fails.

use benchwork::view::{ConditionsView, NextOfferView, OffersView};

use super::danger_part::stop;
use super::lists::{dashes, heading, indented, paragraph, sentence, table, title};
use super::trouble_page::notices;
use benchwork::hunt_words::{also_at, asked, meaning};

/// Offers told whole, unless all are asked for.
const MOST_TOLD: usize = 3;

/// The page.
pub fn page(view: &OffersView, all: bool) -> String {
    let mut page = view.danger.as_ref().map_or_else(String::new, stop);
    page.push_str(&title("What to measure next"));
    let Some(present) = view.conditions.get(view.present) else {
        return page;
    };
    page.push_str(&paragraph(&format!(
        "As the set stands: {}. The most told for the least effort and danger comes first.",
        present.in_words()
    )));
    page.push('\n');
    for first in &view.first {
        let words = match view.danger {
            Some(_) => first.clone(),
            None => format!("{first} Enter it with `firstraster reading`."),
        };
        page.push_str(&paragraph(&words));
        page.push('\n');
    }
    if view.offers.is_empty() && view.first.is_empty() {
        page.push_str(&paragraph(
            "Nothing that may be measured here tells more. A signal may, or another condition: other line volts, a tube pulled, a part cut loose.",
        ));
        page.push('\n');
    }
    let told = if all { view.offers.len() } else { MOST_TOLD };
    let told = told.min(view.offers.len());
    let (first, rest) = view.offers.split_at(told);
    for (number, offer) in first.iter().enumerate() {
        page.push_str(&heading(&format!(
            "{}. {}",
            number + 1,
            sentence(&asked(offer))
        )));
        page.push_str(&whole(view, offer));
        page.push('\n');
    }
    if !rest.is_empty() {
        page.push_str(&heading("Then"));
        let rows = rest.iter().map(|offer| {
            vec![
                asked(offer) + &elsewhere(view, offer),
                minutes(offer),
                format!("{:.2}", offer.bits),
            ]
        });
        page.push_str(&table(
            &["measure", "minutes", "bits"],
            &[1, 2],
            rows.collect(),
        ));
        page.push('\n');
    }
    if view.not_told > 0 {
        page.push_str(&paragraph(&format!(
            "{} more tell less for more.",
            view.not_told
        )));
        page.push('\n');
    }
    page.push_str(&to_mind(view, first, all));
    if !view.notices.is_empty() {
        page.push_str(&heading("Worth knowing"));
        page.push_str(&notices(&view.notices));
    }
    page
}

/// The conditions, where they are not the present ones.
fn elsewhere(view: &OffersView, offer: &NextOfferView) -> String {
    let other = offer.conditions.filter(|own| *own != view.present);
    other
        .and_then(|own| view.conditions.get(own))
        .map_or_else(String::new, |own| format!(", {}", own.behind()))
}

fn minutes(offer: &NextOfferView) -> String {
    format!("{:.1}", offer.effort_minutes)
}

fn whole(view: &OffersView, offer: &NextOfferView) -> String {
    let mut part = String::new();
    let conditions: Option<&ConditionsView> = offer
        .conditions
        .filter(|own| *own != view.present)
        .and_then(|own| view.conditions.get(own));
    if let Some(own) = conditions {
        part.push_str(&indented(
            &format!("{}.", capitalised(&own.behind())),
            "  ",
            "  ",
        ));
    }
    for act in &offer.acts {
        part.push_str(&indented(act, "  ", "  "));
    }
    part.push_str(&indented(
        &format!(
            "{} minutes with the danger in them; {:.2} bits.",
            minutes(offer),
            offer.bits
        ),
        "  ",
        "  ",
    ));
    if let Some(also) = also_at(offer) {
        part.push_str(&indented(&also, "  ", "  "));
    }
    let lines: Vec<String> = offer
        .meanings
        .iter()
        .map(|own| meaning(offer, own))
        .collect();
    part.push_str(&dashes(lines.iter().map(String::as_str)));
    part
}

/// The cautions of the offers told whole, each once, and the usual ones.
fn to_mind(view: &OffersView, first: &[NextOfferView], all: bool) -> String {
    let mut cautions: Vec<&str> = Vec::new();
    let own = first.iter().flat_map(|offer| &offer.cautions);
    for caution in own.chain(&view.cautions) {
        if !cautions.contains(&caution.as_str()) {
            cautions.push(caution);
        }
    }
    let mut part = heading("Before you touch anything") + &dashes(cautions);
    if !view.dangers.is_empty() {
        part.push('\n');
        if all {
            part.push_str(&heading("Dangers of this set and bench"));
            part.push_str(&dashes(view.dangers.iter().map(String::as_str)));
        } else {
            part.push_str(&paragraph(&format!(
                "This set and bench have {} dangers more, whatever is measured: `--all` lists them.",
                view.dangers.len()
            )));
        }
    }
    part
}

/// With a capital letter.
fn capitalised(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters
        .next()
        .map(|letter| letter.to_uppercase().to_string());
    format!("{}{}", first.unwrap_or_default(), letters.as_str())
}
