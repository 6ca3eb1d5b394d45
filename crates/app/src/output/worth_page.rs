//! The page of `worth`: the three parts, cost and evenings, and the test to make first.
//!
//! Money as the restorer counts it. Nothing here fails.

use benchwork::view::{SpreadView, WorthView};

use super::lists::{dashes, heading, paragraph, sentence, table, title};
use super::trouble_page::notices;

/// The page; every figure that was used if wanted.
pub fn page(view: &WorthView, all: bool) -> String {
    let mut page = title(&format!("{}: is it worth the work?", view.set));
    page.push_str(&paragraph(match view.advice {
        "go_on" => "By these figures: yes.",
        _ => "By these figures: no, unless it is worth more to you.",
    }));
    page.push_str(&dashes(view.because.iter().map(String::as_str)));
    page.push('\n');
    page.push_str(&heading("The three that cannot be bought again"));
    let rows = view
        .three
        .iter()
        .map(|own| {
            let chance = match (own.good, own.low, own.high) {
                (Some(good), Some(low), Some(high)) => format!(
                    "{:.0} ({:.0} to {:.0})",
                    100.0 * good,
                    100.0 * low,
                    100.0 * high
                ),
                _ => "none".to_owned(),
            };
            vec![
                own.called.to_owned(),
                own.parts.join(" "),
                chance,
                own.because.join("; "),
            ]
        })
        .collect();
    page.push_str(&table(
        &["", "on the sheet", "good, of 100", "because"],
        &[],
        rows,
    ));
    page.push('\n');
    if !view.missing.is_empty() {
        page.push_str(&paragraph(&format!(
            "Missing: {}.",
            view.missing.join("; ")
        )));
        page.push('\n');
    }
    page.push_str(&heading("What it takes"));
    let row = |name: &str, own: SpreadView| {
        vec![
            name.to_owned(),
            format!("{:.0}", own.expected),
            format!("{:.0} to {:.0}", own.low, own.high),
        ]
    };
    page.push_str(&table(
        &["", "expected", "eight of ten"],
        &[1],
        vec![
            row("parts and tubes, money", view.parts_money),
            row(
                "another of the three where needed, money",
                view.irreplaceable_money,
            ),
            row("evenings", view.evenings),
        ],
    ));
    page.push('\n');
    if !view.next_tests.is_empty() {
        page.push_str(&heading("Tests, the one to make first on top"));
        for own in &view.next_tests {
            let then = |word: &str| match word {
                "go_on" => "go on",
                _ => "stop",
            };
            let follows = match own.changes {
                true => format!(
                    "passed: {}; failed: {}",
                    then(own.if_passed),
                    then(own.if_failed)
                ),
                false => format!("either way: {}", then(own.if_passed)),
            };
            page.push_str(&dashes([format!(
                "{}, {:.0} minutes: {}. Passes in {:.0} of 100; good then {:.0} of 100, after failing {:.0}. {}.",
                sentence(&own.test),
                own.minutes,
                own.how,
                100.0 * own.passes,
                100.0 * own.good_if_passed,
                100.0 * own.good_if_failed,
                sentence(&follows)
            )
            .as_str()]));
        }
        page.push('\n');
    }
    if all {
        page.push_str(&heading("The figures"));
        let rows = view
            .figures
            .iter()
            .map(|own| {
                vec![
                    own.name.clone(),
                    format!("{} / {} / {}", own.low, own.typical, own.high),
                    own.unit.clone(),
                    own.standing.clone(),
                ]
            })
            .collect();
        page.push_str(&table(
            &["name", "low / usual / high", "unit", "standing"],
            &[],
            rows,
        ));
        page.push('\n');
    }
    page.push_str(&paragraph(
        "Chances are judgement, nobody has counted. Tests with the set unplugged and discharged; the picture tube's anode charges itself up again.",
    ));
    if !view.notices.is_empty() {
        page.push_str(&heading("Worth knowing"));
        page.push_str(&notices(&view.notices));
    }
    page
}
