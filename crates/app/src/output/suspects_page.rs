//! The page of `suspects`: what explains the readings.
//!
//! Weights are told of a hundred. Readings as at the bench. Nothing here fails.

use benchwork::view::{
    HuntedReadingView, PartFoundView, SilentView, SpeaksView, SuspectView, SuspectsView,
};

use super::danger_part::stop;
use super::lists::{dashes, heading, indented, paragraph, table, title};
use super::noticed_page;
use super::trouble_page::notices;
use benchwork::figures::figure;
use benchwork::hunt_words::{of_hundred, place_of, value_of};

/// Suspects below this weight are listed on request only.
const LISTED: f64 = 0.01;
/// Suspects from this weight on have their case told.
const TOLD: f64 = 0.05;
/// Suspects listed, and cases told, unless all are asked for.
const MOST_LISTED: usize = 10;
const MOST_TOLD: usize = 3;
/// Parts named of a fault that cannot be found, unless all are asked for.
const MOST_NAMED: usize = 6;
/// Faults named that cannot be found, unless all are asked for.
const MOST_FAULTS: usize = 6;

/// The page of the ranking.
pub fn page(view: &SuspectsView, all: bool) -> String {
    let mut page = view.danger.as_ref().map_or_else(String::new, stop);
    page.push_str(&title("What explains the readings"));
    page.push_str(&paragraph(&opening(view)));
    page.push('\n');
    page.push_str(&suspects(view, all));
    page.push_str(&noticed_page::noticed(&view.noticed));
    page.push_str(&readings(view, all));
    page.push_str(&silent(view, all));
    page.push_str(&found(&view.found));
    page.push_str(&goes_by(view));
    if !view.notices.is_empty() {
        page.push_str(&heading("Worth knowing"));
        page.push_str(&notices(&view.notices));
        page.push('\n');
    }
    page.push_str(&heading("Before you touch anything"));
    page.push_str(&dashes(view.cautions.iter().map(String::as_str)));
    page
}

fn opening(view: &SuspectsView) -> String {
    let counting = view
        .readings
        .iter()
        .filter(|own| own.state == "weighed")
        .count();
    let mut read = match (counting, view.conditions.len()) {
        (0, _) => "No reading".to_owned(),
        (_, 1) => format!(
            "{counting} {} in one set of conditions",
            counted(counting, "reading", "readings")
        ),
        (_, several) => format!("{counting} readings in {several} sets of conditions"),
    };
    let noticed = view
        .noticed
        .iter()
        .filter(|own| own.state == "weighed")
        .count();
    if noticed > 0 {
        let things = counted(noticed, "thing", "things");
        read.push_str(&format!(", {noticed} {things} noticed"));
    }
    match view.verdict {
        "nothing_read" => "No reading tells anything of the set as it is now. Enter some: `firstraster reading FILE PLACE VALUE`, the line and the B+ lines first; or what you see and hear: `firstraster suspects FILE noticed`.".to_owned(),
        "healthy" => format!(
            "{read}. A set in which nothing is wrong explains them best ({}).",
            of_hundred(view.healthy)
        ),
        "undecided" => {
            let outside = view
                .readings
                .iter()
                .any(|own| ["low", "high"].contains(&own.verdict));
            let lie = if outside || counting == 0 {
                ""
            } else {
                " All lie where those of healthy sets do."
            };
            format!(
                "{read}.{lie} No part stands out: what is listed is hardly more than how often such parts fail. Read more places."
            )
        }
        "nothing_explains" => format!(
            "{read}. Nothing that is followed here explains them. Read again what is farthest out, hold the sheet against the set there, and look for what is no part of the sheet: a joint, a socket, a switch, a wire. What is listed is only the least bad."
        ),
        _ if counting == 0 => {
            format!("{read}. Of a hundred such sets this many have the fault there:")
        }
        _ => format!("{read}. Of a hundred sets that read so, this many have the fault there:"),
    }
}

fn suspects(view: &SuspectsView, all: bool) -> String {
    if view.verdict == "nothing_read" {
        return String::new();
    }
    let listed: Vec<&SuspectView> = view
        .suspects
        .iter()
        .enumerate()
        .filter(|(place, own)| all || *place < MOST_LISTED && own.weight >= LISTED)
        .map(|(_, own)| own)
        .collect();
    let mut part = String::new();
    let mut rows: Vec<Vec<String>> = listed
        .iter()
        .map(|own| {
            vec![
                own.part.clone(),
                own.kind.clone(),
                own.ways
                    .first()
                    .map_or_else(String::new, |way| way.text.clone()),
                of_hundred(own.weight),
            ]
        })
        .collect();
    let row = |name: &str, weight: f64| {
        vec![
            String::new(),
            String::new(),
            name.to_owned(),
            of_hundred(weight),
        ]
    };
    // What two faults share counts for both, so the others are told by what is left.
    let of_two: f64 = view.pairs.iter().map(|own| own.weight).sum();
    let rest: f64 = view.suspects.iter().map(|own| own.weight).sum::<f64>()
        - listed.iter().map(|own| own.weight).sum::<f64>();
    if rest > 0.005 && of_two < LISTED {
        rows.push(row("all other parts together", rest));
    }
    rows.push(row("nothing is wrong", view.healthy));
    rows.push(row("a fault of a kind not listed here", view.not_listed));
    part.push_str(&table(&["part", "is", "most likely", "of 100"], &[3], rows));
    part.push('\n');
    let pairs: Vec<String> = view
        .pairs
        .iter()
        .take(if all { view.pairs.len() } else { MOST_TOLD })
        .filter(|own| own.weight >= LISTED)
        .map(|own| {
            let [one, other] = &own.parts;
            let [first, second] = &own.texts;
            format!(
                "{one} ({first}) with {other} ({second}): {}",
                of_hundred(own.weight)
            )
        })
        .collect();
    if !pairs.is_empty() {
        part.push_str(&heading("Two faults at once, of 100"));
        part.push_str(&dashes(pairs.iter().map(String::as_str)));
        part.push('\n');
    }
    let stands_out = view.verdict != "undecided";
    let told = listed
        .iter()
        .filter(|own| stands_out && own.weight >= TOLD)
        .take(MOST_TOLD);
    for own in told {
        part.push_str(&heading(&own.part));
        part.push_str(&told_case(view, own));
        part.push('\n');
    }
    if let Some(first) = view.suspects.first().filter(|own| own.weight >= LISTED) {
        part.push_str(&indented(
            &format!(
                "More of one part: `firstraster suspects FILE explain {}`.",
                first.part
            ),
            "",
            "  ",
        ));
        part.push('\n');
    }
    part
}

fn told_case(view: &SuspectsView, own: &SuspectView) -> String {
    let mut lines = Vec::new();
    let others: Vec<String> = own
        .ways
        .iter()
        .skip(1)
        .filter(|way| way.weight >= 0.2 * own.weight)
        .map(|way| format!("{} ({})", way.text, of_hundred(way.weight)))
        .collect();
    if !others.is_empty() {
        lines.push(format!("or {}", others.join(", or ")));
    }
    let told = |entry: u64| {
        let reading = view.readings.iter().find(|one| one.entry == entry)?;
        // In several conditions the entry tells which reading is meant.
        Some(match view.conditions.len() {
            1 => read_in_words(reading),
            _ => format!("{} in entry {entry}", read_in_words(reading)),
        })
    };
    let said = |list: &[SpeaksView]| -> String {
        let told = list.iter().filter_map(|own| told(own.entry));
        told.collect::<Vec<String>>().join("; ")
    };
    let also = noticed_page::speaking;
    let speaks_for = also(said(&own.speaks_for), &own.noticed_for);
    let against = also(said(&own.speaks_against), &own.noticed_against);
    if !speaks_for.is_empty() {
        lines.push(format!("for it: {speaks_for}"));
    }
    if !against.is_empty() {
        lines.push(format!("against it: {against}"));
    }
    let unexplained: Vec<String> = own
        .unexplained
        .iter()
        .filter_map(|entry| told(*entry))
        .collect();
    lines.push(if unexplained.is_empty() {
        "left unexplained: nothing".to_owned()
    } else {
        format!(
            "left unexplained, a slip or something else: {}",
            unexplained.join("; ")
        )
    });
    dashes(lines.iter().map(String::as_str))
}

/// A reading with what healthy sets read: `V15.5 2.1 V (healthy -21 V to -16 V)`.
fn read_in_words(own: &HuntedReadingView) -> String {
    let band = match (own.low, own.high) {
        (Some(low), Some(high)) => {
            format!(
                " (healthy {} to {})",
                figure(own.what, low),
                figure(own.what, high)
            )
        }
        _ => String::new(),
    };
    format!("{} {}{band}", place_of(own), value_of(own))
}

fn readings(view: &SuspectsView, all: bool) -> String {
    let mut part = String::new();
    for (number, conditions) in view.conditions.iter().enumerate() {
        let own: Vec<&HuntedReadingView> = view
            .readings
            .iter()
            .filter(|one| one.conditions == Some(number))
            .collect();
        let outside = own.iter().filter(|one| one.verdict != "inside").count();
        let shown: Vec<&&HuntedReadingView> = own
            .iter()
            .filter(|one| all || one.verdict != "inside")
            .collect();
        if own.is_empty() {
            continue;
        }
        part.push_str(&heading(&format!("Read {}", conditions.behind())));
        let inside = own.len() - outside;
        if !all && inside > 0 {
            part.push_str(&paragraph(&format!(
                "{inside} of {} lie inside what nine of ten healthy sets read{}",
                own.len(),
                if shown.is_empty() {
                    "."
                } else {
                    "; these do not:"
                }
            )));
        }
        if !shown.is_empty() {
            let rows = shown.into_iter().map(|one| reading_row(one)).collect();
            part.push_str(&table(
                &["at", "read", "low", "expected", "high", "", "entry"],
                &[1, 2, 3, 4, 6],
                rows,
            ));
        }
        part.push('\n');
    }
    part.push_str(&set_aside(
        view,
        "former",
        "Of the set as it was before",
        |own| {
            format!(
                "entry {}: {} {}; {} since (entry {})",
                own.entry,
                place_of(own),
                value_of(own),
                own.because,
                own.since.unwrap_or_default()
            )
        },
    ));
    part.push_str(&set_aside(view, "not_weighed", "Not weighed", |own| {
        format!(
            "entry {}: {} {}: {}",
            own.entry,
            place_of(own),
            value_of(own),
            own.because
        )
    }));
    part
}

fn reading_row(own: &HuntedReadingView) -> Vec<String> {
    let told = |value: Option<f64>| value.map_or_else(String::new, |value| figure(own.what, value));
    vec![
        place_of(own),
        value_of(own),
        told(own.low),
        told(own.expected),
        told(own.high),
        match own.verdict {
            "inside" => String::new(),
            other => other.to_uppercase(),
        },
        own.entry.to_string(),
    ]
}

fn set_aside(
    view: &SuspectsView,
    state: &str,
    head: &str,
    line: impl Fn(&HuntedReadingView) -> String,
) -> String {
    let lines: Vec<String> = view
        .readings
        .iter()
        .filter(|own| own.state == state)
        .map(line)
        .collect();
    if lines.is_empty() {
        return String::new();
    }
    heading(head) + &dashes(lines.iter().map(String::as_str)) + "\n"
}

fn silent(view: &SuspectsView, all: bool) -> String {
    if view.verdict == "nothing_read" {
        return String::new();
    }
    let mut lines: Vec<String> = Vec::new();
    let mut by_count: Vec<&SilentView> = view.silent.iter().collect();
    by_count.sort_by_key(|own| std::cmp::Reverse(own.parts.len()));
    let kept = if all { by_count.len() } else { MOST_FAULTS };
    let (named, rest) = by_count.split_at(kept.min(by_count.len()));
    for own in named {
        let most = if all { own.parts.len() } else { MOST_NAMED };
        let mut names = own
            .parts
            .iter()
            .take(most)
            .cloned()
            .collect::<Vec<String>>()
            .join(", ");
        if own.parts.len() > most {
            names.push_str(&format!(" and {} more", own.parts.len() - most));
        }
        lines.push(format!("{}: {names}", own.fault));
    }
    if !rest.is_empty() {
        lines.push(format!("{} other faults (`--all` lists them)", rest.len()));
    }
    if view.unsolved > 0 {
        lines.push(format!(
            "{} faults could not be solved under these conditions",
            view.unsolved
        ));
    }
    if !view.not_followed.is_empty() {
        lines.push(if all {
            let names: Vec<String> = view
                .not_followed
                .iter()
                .map(|own| format!("{} ({})", own.fault, own.kind))
                .collect();
            format!("not followed yet: {}", names.join(", "))
        } else {
            format!(
                "{} faults of joints, sockets, switches, coils in signal paths and the like, which nothing follows yet",
                view.not_followed.len()
            )
        });
    }
    if lines.is_empty() {
        return String::new();
    }
    heading("What such readings cannot find") + &dashes(lines.iter().map(String::as_str)) + "\n"
}

pub(super) fn found(list: &[PartFoundView]) -> String {
    if list.is_empty() {
        return String::new();
    }
    let lines: Vec<String> = list
        .iter()
        .map(|own| {
            format!(
                "{} {}: {} (entry {})",
                own.part, own.verdict, own.words, own.entry
            )
        })
        .collect();
    heading("Found of parts by themselves") + &dashes(lines.iter().map(String::as_str)) + "\n"
}

fn goes_by(view: &SuspectsView) -> String {
    let mut part = String::new();
    if !view.bent_by.is_empty() {
        part.push_str(&heading("The set as it is now"));
        part.push_str(&dashes(view.bent_by.iter().map(String::as_str)));
        part.push('\n');
    }
    if !view.not_used.is_empty() {
        part.push_str(&heading("Could not be used"));
        part.push_str(&dashes(view.not_used.iter().map(String::as_str)));
        part.push('\n');
    }
    part
}

fn counted<'a>(count: usize, one: &'a str, several: &'a str) -> &'a str {
    if count == 1 { one } else { several }
}
