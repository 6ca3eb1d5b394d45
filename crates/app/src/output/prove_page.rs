//! The check list at the end, as a page: how it stands, each item with its answers, who measured what.
//!
//! Units as printed. A failed item stands in capitals and comes first in the summary. Nothing here fails.

use benchwork::proof_words::{figure, limit, place};
use benchwork::view::{ProofItemView, ProofRecordedView, ProofSlotView, ProofView};

use super::lists::{dashes, heading, indented, paragraph, table, title};
use super::notices;

/// The page of the list; one item alone is shown with all that belongs to it.
pub fn page(view: &ProofView, with_acts: bool) -> String {
    let mut page = title(&format!("{}: proof before it is handed over", view.set));
    page.push_str(&paragraph(match view.chassis {
        "isolated" => "By its sheet the chassis is parted from the line by a transformer.",
        "on_the_line" => "By its sheet THE CHASSIS IS ON THE LINE.",
        _ => "The sheet does not tell how the chassis stands to the line: taken as on it.",
    }));
    if !with_acts {
        page.push_str(&summary(view));
    }
    for item in &view.items {
        page.push_str(&item_part(item, with_acts));
    }
    for one in &view.unknown {
        page.push_str(&indented(
            &format!("Not solved: {}, because {}.", one.what, one.because),
            "\n",
            "  ",
        ));
    }
    page.push('\n');
    page.push_str(&signature(view));
    page.push_str(&paragraph(view.words));
    if !with_acts {
        page.push_str(&paragraph(
            "`firstraster prove FILE --item KEY` tells what to do for one item, with its cautions.",
        ));
    }
    page.push_str(&notices(&view.notices));
    page
}

/// The page after an entry.
pub fn recorded(view: &ProofRecordedView) -> String {
    let mut page = String::new();
    for entry in &view.entries {
        page.push_str(&indented(
            &format!("Entry {}: {}", entry.number, entry.text),
            "",
            "  ",
        ));
    }
    let named = view
        .entries
        .last()
        .and_then(|entry| entry.says.get("item"))
        .and_then(|item| item.as_str());
    let item = view
        .proof
        .items
        .iter()
        .find(|item| Some(item.key.as_str()) == named);
    if let Some(item) = item {
        page.push_str(&item_part(item, false));
        page.push('\n');
    }
    page.push_str(&summary(&view.proof));
    page.push_str(&signature(&view.proof));
    page.push_str(&notices(&view.notices));
    page
}

fn summary(view: &ProofView) -> String {
    let keys = |state: &str| -> String {
        let own: Vec<&str> = view
            .items
            .iter()
            .filter(|item| item.state == state)
            .map(|item| item.key.as_str())
            .collect();
        own.join(", ")
    };
    let counts = &view.counts;
    let mut page = String::new();
    if counts.failed > 0 {
        page.push_str(&paragraph(&format!(
            "FAILED, {}: {}.",
            counts.failed,
            keys("failed")
        )));
    }
    if counts.open > 0 {
        page.push_str(&paragraph(&format!(
            "Open, {}: {}.",
            counts.open,
            keys("open")
        )));
    }
    page.push_str(&paragraph(&format!(
        "Met, {}{}{}.",
        counts.met,
        if counts.met > 0 { ": " } else { "" },
        keys("met")
    )));
    if counts.not_of_this_set > 0 {
        page.push_str(&paragraph(&format!(
            "Not of this set, {}: {}.",
            counts.not_of_this_set,
            keys("not_of_this_set")
        )));
    }
    page
}

fn signature(view: &ProofView) -> String {
    match &view.signature {
        None => paragraph("Not signed."),
        Some(own) if own.stands => paragraph(&format!(
            "Signed by {} (entry {}, {}); nothing was entered since.",
            own.by, own.entry, own.at
        )),
        Some(own) => paragraph(&format!(
            "Signed by {} (entry {}, {}), but more was entered since: THE SIGNATURE NO LONGER COVERS THE LIST.",
            own.by, own.entry, own.at
        )),
    }
}

fn item_part(item: &ProofItemView, with_acts: bool) -> String {
    let state = match item.state {
        "failed" => "FAILED",
        "met" => "met",
        "not_of_this_set" => "not of this set",
        _ => "open",
    };
    let mut page = format!("\n{}", heading(&format!("{} [{state}]", item.key)));
    page.push_str(&indented(&format!("{}.", item.title), "  ", "  "));
    if let Some(limit) = limit(item) {
        page.push_str(&indented(&limit, "  ", "  "));
    }
    let done: Vec<&ProofSlotView> = item
        .slots
        .iter()
        .filter(|slot| slot.entry.is_some())
        .collect();
    if !done.is_empty() {
        page.push_str(&answers(item, &done));
    }
    let open: Vec<String> = item
        .slots
        .iter()
        .filter(|slot| slot.state == "open")
        .map(place)
        .filter(|place| !place.is_empty())
        .collect();
    if !open.is_empty() && item.state != "not_of_this_set" {
        page.push_str(&indented(
            &format!("Not done: {}.", short_list(&open)),
            "  ",
            "  ",
        ));
    }
    for because in &item.because {
        page.push_str(&indented(because, "  ! ", "    "));
    }
    for one in &item.reopened {
        page.push_str(&indented(
            &format!(
                "open again since entry {} ({}): what was answered before no longer counts",
                one.entry, one.work
            ),
            "  ! ",
            "    ",
        ));
    }
    for own in item.unknown.iter().chain(&item.computed) {
        page.push_str(&indented(own, "  - ", "    "));
    }
    for because in &item.not_yet {
        page.push_str(&indented(&format!("NOT YET: {because}."), "  ", "  "));
    }
    if with_acts {
        page.push_str(&with_all(item));
    }
    page
}

fn with_all(item: &ProofItemView) -> String {
    let mut page = String::new();
    if !item.after.is_empty() {
        page.push_str(&indented(
            &format!("First: {}.", item.after.join(", ")),
            "  ",
            "  ",
        ));
    }
    if !item.acts.is_empty() {
        page.push_str("\nWhat to do\n");
        page.push_str(&dashes(item.acts.iter().map(String::as_str)));
    }
    let expected: Vec<Vec<String>> = item
        .slots
        .iter()
        .filter_map(|slot| {
            let [low, middle, high] = slot.expected?;
            let own = |value: f64| figure(value, item.unit);
            Some(vec![place(slot), own(low), own(middle), own(high)])
        })
        .collect();
    if !expected.is_empty() {
        page.push_str("\nA healthy set gives, by calculation\n");
        page.push_str(&table(
            &["at", "low", "expected", "high"],
            &[1, 2, 3],
            expected,
        ));
    }
    if !item.cautions.is_empty() {
        page.push_str("\nMind\n");
        page.push_str(&dashes(item.cautions.iter().map(String::as_str)));
    }
    page
}

fn answers(item: &ProofItemView, done: &[&ProofSlotView]) -> String {
    let rows = done
        .iter()
        .map(|slot| {
            let read = match (slot.value, slot.answer) {
                (Some(value), _) => figure(value, item.unit),
                (None, Some(yes)) => if yes { "yes" } else { "NO" }.to_owned(),
                (None, None) if slot.is_open_path => "open".to_owned(),
                (None, None) => "not of this set".to_owned(),
            };
            let state = match slot.state {
                "failed" => "FAILED",
                _ => "",
            };
            vec![
                place(slot),
                read,
                state.to_owned(),
                slot.by.clone().unwrap_or_default(),
                slot.at
                    .as_deref()
                    .and_then(|at| at.get(..16))
                    .unwrap_or_default()
                    .replace('T', " "),
                slot.entry
                    .map(|entry| entry.to_string())
                    .unwrap_or_default(),
            ]
        })
        .collect();
    table(&["at", "read", "", "by", "when", "entry"], &[1, 5], rows)
}

fn short_list(places: &[String]) -> String {
    const SHOWN: usize = 6;
    if places.len() <= SHOWN {
        return places.join("; ");
    }
    format!(
        "{}; and {} more",
        places[..SHOWN].join("; "),
        places.len() - SHOWN
    )
}
