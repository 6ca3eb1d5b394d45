//! The pages of `renew`: the plan by its verdicts, and single parts told whole.
//!
//! Values as one buys them. Nothing here fails.

use benchwork::renewal_words::{VERDICTS, bought, guards, of_one_reason};
use benchwork::view::{RenewalPlanView, RenewalView};

use super::lists::{dashes, heading, indented, paragraph, sentence, title};
use super::trouble_page::notices;

/// The plan; every part told whole if wanted.
pub fn page(view: &RenewalPlanView, all: bool) -> String {
    let mut page = title(&format!("{}: what to replace, and with what", view.set));
    page.push_str(&paragraph(&format!(
        "Ratings cover the worst of {} cases at {:.0} V of line: from switch-on with everything cold, running, and with one tube or plug out.",
        view.cases, view.line_volts
    )));
    page.push('\n');
    for (verdict, head, meaning) in VERDICTS {
        let own: Vec<&RenewalView> = view
            .renewals
            .iter()
            .filter(|own| own.verdict == verdict)
            .collect();
        let needs = view.set_needs.iter().filter(|own| own.verdict == verdict);
        let needs: Vec<String> = needs
            .map(|own| format!("{}: {}", own.what, own.because))
            .collect();
        if own.is_empty() && needs.is_empty() {
            continue;
        }
        page.push_str(&heading(&format!("{head} ({})", own.len() + needs.len())));
        if !meaning.is_empty() {
            page.push_str(&paragraph(meaning));
        }
        page.push_str(&dashes(needs.iter().map(String::as_str)));
        let brief = !all && matches!(verdict, "test_first" | "leave" | "done");
        if brief {
            page.push_str(&by_reason(&own));
        } else {
            for own in own {
                page.push_str(&one(own, all));
            }
        }
        page.push('\n');
    }
    if !view.kept.is_empty() {
        page.push_str(&paragraph(&format!(
            "Never replaced, always guarded: {}, the flyback with its yoke, the picture tube.",
            view.kept.join(", ")
        )));
    }
    if !view.unsolved.is_empty() {
        page.push_str(&paragraph(&format!(
            "Not solved, so not part of the ratings: {}.",
            view.unsolved.join("; ")
        )));
    }
    page.push_str(&dashes(view.cautions.iter().map(String::as_str)));
    if !view.notices.is_empty() {
        page.push_str(&heading("Worth knowing"));
        page.push_str(&notices(&view.notices));
    }
    page.push_str(&paragraph(
        "One part whole: `firstraster renew FILE part C40`. What to buy: `firstraster order FILE`.",
    ));
    page
}

/// Parts of one reason together.
fn by_reason(own: &[&RenewalView]) -> String {
    let lines: Vec<String> = of_one_reason(own)
        .into_iter()
        .map(|(why, parts)| format!("{}: {why}", parts.join(", ")))
        .collect();
    dashes(lines.iter().map(String::as_str))
}

/// One part in a few lines.
fn one(own: &RenewalView, whole: bool) -> String {
    let guards = guards(own);
    let does = if own.does.is_empty() {
        &own.kind
    } else {
        &own.does
    };
    let marked = match own.marked.is_empty() {
        true => String::new(),
        false => format!(" {}", own.marked),
    };
    let mut page = indented(
        &format!("{}{marked}, {does}, {}{guards}", own.part, own.place),
        "  ",
        "      ",
    );
    if let Some(right) = &own.right {
        page.push_str(&indented(
            &format!("-> {}", bought(right)),
            "      ",
            "         ",
        ));
    }
    if whole {
        page.push_str(&reasons(own));
    }
    page
}

fn reasons(own: &RenewalView) -> String {
    let right = own.right.iter();
    let why = right.flat_map(|own| own.why.iter().chain(&own.fitting));
    let all: Vec<&str> = own.because.iter().chain(why).map(String::as_str).collect();
    all.iter()
        .map(|text| indented(text, "      - ", "        "))
        .collect()
}

/// Single parts told whole.
pub fn parts(view: &RenewalPlanView) -> String {
    let mut page = String::new();
    for own in &view.renewals {
        page.push_str(&title(&format!("{} {}", own.part, own.marked)));
        let head = VERDICTS
            .iter()
            .find(|(verdict, ..)| *verdict == own.verdict);
        let verdict = head.map_or("", |(_, head, _)| head);
        let does = match own.does.is_empty() {
            true => String::new(),
            false => format!(", {}", own.does),
        };
        page.push_str(&paragraph(&format!(
            "{verdict}. {}{does}, {}.",
            sentence(&own.kind),
            own.place
        )));
        page.push_str(&dashes(own.because.iter().map(String::as_str)));
        if !own.test.is_empty() {
            page.push_str(&paragraph(&format!("Test: {}.", own.test)));
        }
        if let Some(right) = &own.right {
            page.push('\n');
            page.push_str(&heading("The part of today"));
            page.push_str(&paragraph(&bought(right)));
            page.push_str(&dashes(right.why.iter().map(String::as_str)));
            if !right.fitting.is_empty() {
                page.push_str(&heading("Fitting it"));
                page.push_str(&dashes(right.fitting.iter().map(String::as_str)));
            }
            if !right.must_not.is_empty() {
                page.push_str(&paragraph(&format!("{}.", sentence(&right.must_not))));
            }
            page.push_str(&paragraph(&format!(
                "What is made today: {}; the marking of the part in hand counts.",
                right.standing
            )));
        }
        page.push('\n');
    }
    page.push_str(&dashes(view.cautions.iter().map(String::as_str)));
    page
}
