//! The pages of `power`: a stop before anything else, the step at hand, what is asked, what is left.
//!
//! Units as at the bench. In a step with power the stop signs stand above all that is only
//! interesting: who notices one needs no entry to be told to pull the plug.

use benchwork::power_words::{left_unknown, limits, place};
use benchwork::view::{AskedView, PowerUpView, StepView};

use super::lists::{dashes, heading, indented, paragraph, table, title};
use super::plan_page::PlanPage;
use super::readings_page::Extent;
use super::trouble_page::notices;
use benchwork::figures::{called, figure};

/// The whole page, with the words that may follow: how the power-up stands.
pub fn page(view: &PowerUpView) -> String {
    whole(view) + &next(view)
}

/// The whole page.
pub fn whole(view: &PowerUpView) -> String {
    let mut page = stop(view);
    if let Some(step) = &view.step {
        if view.state == "under_way" {
            page.push_str(&under_way(view, step, true));
        } else {
            let mut plan = PlanPage::new(Extent::Whole);
            page.push_str(&plan.step(step));
            page.push_str(&reasons(view));
        }
    } else {
        page.push_str(&title("The power-up"));
        page.push_str(&reasons(view));
    }
    page.push_str(&left(view));
    page
}

/// What has changed by an entry, with the words that may follow; not the whole step again.
pub fn after_entry(view: &PowerUpView) -> String {
    changed(view) + &next(view)
}

/// What has changed by an entry.
pub fn changed(view: &PowerUpView) -> String {
    let mut page = stop(view);
    for entry in &view.entries {
        if entry.kind != "advised" {
            let text = format!("{}  {}", entry.number, entry.text);
            page.push_str(&indented(&text, "", "    "));
        }
    }
    match (&view.step, view.state) {
        (Some(step), "under_way") => {
            let begins = view
                .entries
                .iter()
                .any(|entry| entry.text.ends_with(": begun"));
            page.push_str(&under_way(view, step, begins));
        }
        (Some(step), _) => {
            page.push('\n');
            page.push_str(&heading(&format!(
                "Next: step {} of {}, {}",
                step.step, view.steps, step.title
            )));
            page.push_str(&reasons(view));
        }
        _ => page.push_str(&reasons(view)),
    }
    page
}

/// The stop, before anything else.
fn stop(view: &PowerUpView) -> String {
    if view.verdict != "stop" {
        return String::new();
    }
    let (head, then) = match view.cuts {
        Some("none") => ("STOP. GO NO FURTHER.", "No power before this is explained."),
        Some("source") => (
            "STOP. SWITCH THE SOURCE OFF.",
            "Only then ask. Discharge through the resistor and prove it with the meter before anything is touched.",
        ),
        _ => (
            "STOP. PULL THE PLUG.",
            "Only then ask. See the plug lie there, discharge through the resistor and prove it with the \
             meter before anything is touched.",
        ),
    };
    let mut page = title(head);
    page.push_str(&dashes(view.reasons.iter().map(String::as_str)));
    for one in &view.evidence {
        if !one.cannot_tell.is_empty() {
            let text = format!("It cannot tell: {}.", one.cannot_tell.join("; "));
            page.push_str(&indented(&text, "  - ", "    "));
        }
    }
    page.push_str(&paragraph(then));
    page.push('\n');
    page
}

fn reasons(view: &PowerUpView) -> String {
    if view.verdict == "stop" {
        return String::new();
    }
    let word = match (view.verdict, view.state) {
        ("wait", _) => "WAIT",
        ("go_on", "under_way") => "GO ON",
        _ => "",
    };
    let mut page = String::new();
    if !word.is_empty() {
        page.push_str(&format!("\n{word}\n"));
    }
    page.push_str(&dashes(view.reasons.iter().map(String::as_str)));
    page
}

/// The step under way; with every stop sign, or with a word of them where they stood just before.
fn under_way(view: &PowerUpView, step: &StepView, all_signs: bool) -> String {
    let mut page = title(&format!(
        "Under way: step {} of {}, {}",
        step.step, view.steps, step.title
    ));
    if step.energised {
        let plug = if step.conditions.dc.is_some() {
            "Switch the source off"
        } else {
            "Pull the plug"
        };
        // The first says what the verdict line says here.
        let signs = step.stop_signs.get(1..).unwrap_or(&[]);
        if all_signs {
            page.push_str(&paragraph(&format!(
                "{plug} at once, before any question and without any entry, when you notice:"
            )));
            page.push_str(&dashes(signs.iter().map(String::as_str)));
        } else {
            page.push_str(&paragraph(&format!(
                "Smoke, arcing, a red plate, a smell, anything odd: {} at once, without any entry.",
                plug.to_lowercase()
            )));
        }
    }
    if let Some(timer) = view.timer.filter(|_| step.energised) {
        page.push_str(&paragraph(&format!(
            "{} s since it was begun; {}",
            timer.elapsed_seconds,
            if timer.remaining_seconds > 0.0 {
                format!("read in {:.0} s.", timer.remaining_seconds)
            } else {
                "it is time to read.".to_owned()
            }
        )));
    }
    page.push_str(&reasons(view));
    if !view.asked.is_empty() {
        page.push('\n');
        page.push_str(&asked_table(&view.asked));
    }
    page
}

fn asked_table(asked: &[AskedView]) -> String {
    let rows = asked
        .iter()
        .map(|own| {
            let told = |value: Option<f64>| {
                value.map_or_else(|| "-".to_owned(), |value| figure(own.what, value))
            };
            let read = match (own.read, own.verdict) {
                (Some(value), _) => figure(own.what, value),
                (None, "unread") => String::new(),
                (None, _) => "open".to_owned(),
            };
            vec![
                place(own),
                called(own.what).to_owned(),
                told(own.low),
                told(own.high),
                limits(own),
                read,
                mark(own.verdict).to_owned(),
            ]
        })
        .collect();
    table(
        &["read at", "what", "low", "high", "stop", "read", ""],
        &[2, 3, 5],
        rows,
    )
}

fn mark(verdict: &str) -> &str {
    match verdict {
        "inside" => "inside",
        "low" => "LOW",
        "high" => "HIGH",
        "beyond" => "BEYOND",
        "too_early" => "too early",
        _ => "",
    }
}

/// The next reading as a question; `None` where nothing is left to read.
pub fn question(view: &PowerUpView) -> Option<(AskedView, String)> {
    let unread = |own: &&AskedView| own.verdict == "unread" || own.verdict == "too_early";
    let own = view.asked.iter().find(unread)?;
    let band = match (own.low, own.high) {
        (Some(low), Some(high)) => {
            format!(" ({} to {})", figure(own.what, low), figure(own.what, high))
        }
        _ => match limits(own) {
            limits if limits.is_empty() => String::new(),
            limits => format!(" (stop {limits})"),
        },
    };
    Some((
        own.clone(),
        format!("{}, {}{band}?", place(own), called(own.what)),
    ))
}

fn left(view: &PowerUpView) -> String {
    let mut page = String::new();
    if !view.bent_by.is_empty() {
        page.push('\n');
        page.push_str(&heading("What the plan goes by, beside the sheet"));
        page.push_str(&dashes(view.bent_by.iter().map(String::as_str)));
    }
    if !view.not_used.is_empty() {
        page.push('\n');
        page.push_str(&heading("Entered and not used"));
        page.push_str(&dashes(view.not_used.iter().map(String::as_str)));
    }
    let unknown = left_unknown(view);
    if !unknown.is_empty() {
        page.push('\n');
        page.push_str(&heading("Left unknown by the steps passed"));
        page.push_str(&dashes(unknown.iter().map(String::as_str)));
    }
    if view.passed.is_empty() && !view.notices.is_empty() {
        page.push('\n');
        page.push_str(&heading("Worth knowing"));
        page.push_str(&notices(&view.notices));
    }
    page
}

fn next(view: &PowerUpView) -> String {
    let words = match (view.verdict, view.state) {
        ("stop", _) => {
            "Then: firstraster power FILE begin for the discharge; fit or change for what was mended; correct or undo for a reading that was mistyped."
        }
        (_, "to_begin") => "Then: firstraster power FILE begin (or done, skip --because, leave).",
        (_, "under_way") => {
            "Then: firstraster power FILE read PLACE VALUE; done when it is; stop \"what was noticed\" after the plug is out."
        }
        _ => return String::new(),
    };
    format!("\n{}", paragraph(words))
}
