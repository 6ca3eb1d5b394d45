//! The page of `suspects FILE what-if PART`: which readings would leave their band, largest first.
//!
//! Readings as at the bench. Nothing here fails.

use benchwork::view::{WhatIfRowView, WhatIfView};

use super::lists::{heading, indented, paragraph, table, title};
use benchwork::figures::{called, figure};

/// Rows shown unless all are asked for.
const MOST_ROWS: usize = 24;

/// The page.
pub fn page(view: &WhatIfView, all: bool) -> String {
    let mut page = title(&format!("If {} were bad: {}", view.part, view.fault));
    let spread = if view.half_way.is_empty() {
        String::new()
    } else {
        format!(
            " Half way along its severities it is \"{}\"; readings move most with \"{}\".",
            view.half_way, view.at_worst
        )
    };
    page.push_str(&paragraph(&format!(
        "Of {2} readings {0}, {1} would leave what nine of ten healthy sets read.{spread}",
        view.conditions.behind(),
        view.rows.len(),
        view.rows.len() + view.stay
    )));
    page.push('\n');
    if view.rows.is_empty() {
        page.push_str(&paragraph(view.none_leaves()));
        page.push('\n');
    } else {
        let shown = if all { view.rows.len() } else { MOST_ROWS };
        let is_spread = !view.half_way.is_empty();
        let rows = view.rows.iter().take(shown);
        let rows = rows.map(|own| row(own, is_spread)).collect();
        page.push_str(&heading("What would change, largest first"));
        let heads: &[&str] = if is_spread {
            &["at", "healthy", "half way", "at worst"]
        } else {
            &["at", "healthy", "with it"]
        };
        page.push_str(&table(heads, &[1, 2, 3], rows));
        if view.rows.len() > shown {
            page.push_str(&paragraph(&format!(
                "and {} more; `--all` lists them, `--picture FILE.svg` draws them in the order of the chassis",
                view.rows.len() - shown
            )));
        }
        page.push('\n');
    }
    if !view.other_faults.is_empty() {
        page.push_str(&indented(
            &format!(
                "It may also be: {}. Ask with `firstraster suspects FILE what-if {} \"{}\"`.",
                view.other_faults.join(", "),
                view.part,
                view.other_faults.first().map_or("", String::as_str)
            ),
            "",
            "  ",
        ));
    }
    page
}

fn row(own: &WhatIfRowView, is_spread: bool) -> Vec<String> {
    let told = |value: f64| figure(own.what, value);
    let mut at = own.at.clone();
    if own.what != "dc_volts" {
        at.push_str(&format!(", {}", called(own.what)));
    }
    if !own.also.is_empty() {
        at.push_str(&format!(" ({})", own.also.join(", ")));
    }
    let mut cells = vec![at, format!("{} to {}", told(own.low), told(own.high))];
    if is_spread {
        cells.push(own.half_way.map_or_else(String::new, told));
    }
    cells.push(told(own.at_worst));
    cells
}
