//! The page of one suspect: how it may have failed, and every reading and sign beside the likeliest way.
//!
//! Weights are told of a hundred. Readings as at the bench. Nothing here fails.

use benchwork::view::{BesideView, ExplainView};

use super::lists::{heading, paragraph, table, title};
use super::noticed_page;
use super::suspects_page::found;
use benchwork::figures::figure;
use benchwork::hunt_words::{of_hundred, place_of, value_of};

/// The page of one part.
pub fn page(view: &ExplainView) -> String {
    let mut page = title(&format!("{}, {}", view.part, view.kind));
    page.push_str(&paragraph(&match view.place {
        Some(place) => format!(
            "Weight {}, place {place} among the suspects.",
            of_hundred(view.weight)
        ),
        None if view.ways.is_empty() => {
            "No fault of it is followed: it is cut loose, or its kind is not calculated yet."
                .to_owned()
        }
        None => "Nothing read or noticed tells anything of it.".to_owned(),
    }));
    page.push('\n');
    if !view.ways.is_empty() {
        let rows = view
            .ways
            .iter()
            .map(|way| {
                vec![
                    way.text.clone(),
                    match way.state {
                        "weighed" => of_hundred(way.weight),
                        "silent" => "cannot be found so".to_owned(),
                        _ => "could not be solved".to_owned(),
                    },
                    of_hundred(way.chance),
                    way.standing.clone(),
                ]
            })
            .collect();
        page.push_str(&heading("How it may have failed"));
        page.push_str(&table(
            &[
                "fault, as it explains best",
                "of 100",
                "before, of 100",
                "known by",
            ],
            &[1, 2],
            rows,
        ));
        page.push('\n');
    }
    for (number, conditions) in view.conditions.iter().enumerate() {
        let own: Vec<&BesideView> = view
            .readings
            .iter()
            .filter(|one| one.reading.conditions == Some(number))
            .collect();
        if own.is_empty() {
            continue;
        }
        page.push_str(&heading(&format!(
            "Beside \"{}\", {}",
            view.beside,
            conditions.behind()
        )));
        page.push_str(&table(
            &["at", "healthy", "with it", "read", "speaks"],
            &[1, 2, 3],
            own.into_iter().map(beside_row).collect(),
        ));
        page.push('\n');
    }
    if let Some(heat) = view.told_of_heat() {
        page.push_str(&paragraph(&heat));
        page.push('\n');
    }
    page.push_str(&noticed_page::beside(&view.noticed));
    page.push_str(&found(&view.found));
    page
}

fn beside_row(own: &BesideView) -> Vec<String> {
    let reading = &own.reading;
    let told =
        |value: Option<f64>| value.map_or_else(String::new, |value| figure(reading.what, value));
    vec![
        place_of(reading),
        format!("{} to {}", told(reading.low), told(reading.high)),
        told(own.with_fault),
        value_of(reading),
        match own.speaks {
            "neither" => String::new(),
            other => other.to_owned(),
        },
    ]
}
