//! One item of the check list: what is asked, what to do, what was answered, and the form for an answer.
//!
//! Figures in the unit of the item; a number alone is meant in that unit. Fails for an item that the list has not.

use benchwork::Trouble;
use benchwork::proof_words::{figure, limit, place};
use benchwork::view::{ProofItemView, ProofSlotView, ProofView};
use maud::{Markup, html};

use super::list::STATES;
use crate::bench::Bench;
use crate::entry::{Sent, hidden_in_answer};
use crate::pages::plain::{cautions, folded, rows, table};
use crate::pieces::{Unit, number_of, send, text_of};
use crate::words::{in_address, when};

/// The item with its form; at a point where the item has several.
pub fn item(bench: &Bench, view: &ProofView, key: &str, point: &str) -> Result<Markup, Trouble> {
    let own = view.items.iter().find(|item| item.key == key);
    let own = own.ok_or_else(|| {
        Trouble::input(
            format!("the list of this set has no `{key}`"),
            "choose one on the page of the list",
        )
    })?;
    let state = STATES.iter().find(|state| state.0 == own.state);
    let (_, word, sign) = state.copied().unwrap_or(STATES[1]);
    // Who answered last most often answers again.
    let slots = view.items.iter().flat_map(|item| &item.slots);
    let last = slots
        .filter(|slot| slot.by.is_some())
        .max_by_key(|slot| slot.entry);
    let by = last.and_then(|slot| slot.by.clone()).unwrap_or_default();
    Ok(html! {
        p .word { span aria-hidden="true" { (sign) " " } (word) }
        h2 { (own.title) "." }
        @if let Some(limit) = limit(own) { p { (limit) } }
        @for because in &own.not_yet { p .live { b { "Not yet: " } (because) "." } }
        @for because in &own.because { p { b { (because) } } }
        (cautions(&own.cautions))
        @if !own.after.is_empty() { p { "First: " (own.after.join(", ")) "." } }
        @if !own.acts.is_empty() { h3 { "What to do" } ol .acts { @for act in &own.acts { li { (act) } } } }
        @if own.takes_further_points && point.is_empty() { (points(own)) }
        @else { (form(bench, own, point, &by)) }
        (answered(own))
        (expected(own))
        (folded("Not known, or remarkable", &own.unknown))
        (folded("Computed besides", &own.computed))
        (folded("Open again", &own.reopened.iter().map(|one| {
            format!("since entry {} ({}): what was answered before no longer counts", one.entry, one.work)
        }).collect::<Vec<_>>()))
    })
}

/// The points of an item, one screen each.
fn points(own: &ProofItemView) -> Markup {
    let mut names: Vec<&str> = Vec::new();
    for slot in &own.slots {
        if !names.contains(&slot.point.as_str()) {
            names.push(&slot.point);
        }
    }
    let at = |point: &str| {
        format!(
            "/prove/{}?point={}",
            in_address(&own.key),
            in_address(point)
        )
    };
    let links: Vec<_> = names
        .iter()
        .map(|point| {
            let of_point = own.slots.iter().filter(|slot| slot.point == **point);
            let open = of_point.filter(|slot| slot.state == "open").count();
            let words = match open {
                0 => "answered".to_owned(),
                open => format!("{open} to answer"),
            };
            (at(point), (*point).to_owned(), words)
        })
        .collect();
    html! {
        h3 { "At which point?" }
        (rows(&links))
        details {
            summary { "Another point of this set" }
            form method="get" action={ "/prove/" (in_address(&own.key)) } {
                (text_of("further", "point", "Which metal part that one can touch", "", ""))
                (send("Go to it"))
            }
        }
    }
}

/// What is before the `=` of an answer.
fn way(slot: &ProofSlotView) -> String {
    let minutes = slot.minutes.map(|minutes| format!("{minutes}"));
    let words = [
        slot.plug.map(str::to_owned),
        slot.switch.map(str::to_owned),
        minutes,
    ];
    let words: Vec<String> = words.into_iter().flatten().collect();
    words.join("/")
}

fn units(unit: &str) -> &'static [Unit] {
    match unit {
        "mA" => &[Unit::MILLIAMPS, Unit::VOLTS],
        "A" => &[Unit::AMPERES],
        "V" => &[Unit::VOLTS],
        "kV" => &[Unit::KILOVOLTS],
        "ohm" => &[Unit::MEGOHMS, Unit::KILOHMS, Unit::OHMS, Unit::OPEN],
        _ => &[],
    }
}

fn form(bench: &Bench, own: &ProofItemView, point: &str, by: &str) -> Markup {
    let own_slots = || own.slots.iter().filter(|slot| slot.point == point);
    // A further point is asked as the first one of the list is.
    let first = own.slots.first().map_or("", |slot| slot.point.as_str());
    let asked: Vec<(String, String)> = match own_slots().count() {
        0 => own
            .slots
            .iter()
            .filter(|slot| slot.point == first)
            .map(|slot| (way(slot), said(slot)))
            .collect(),
        _ => own_slots().map(|slot| (way(slot), said(slot))).collect(),
    };
    let fields = Fields {
        key: &own.key,
        point,
        unit: own.unit.unwrap_or_default(),
        is_yes_no: own.asks == "yes_no",
        asked,
    };
    html! {
        section .question {
            h2 { @if point.is_empty() { "Your answer" } @else { "At " (point) } }
            (fields.form(bench, "item", &Sent::default(), by))
        }
    }
}

/// Way of plug and switch, or minutes, in words.
fn said(slot: &ProofSlotView) -> String {
    let whole = place(&ProofSlotView {
        point: String::new(),
        ..slot.clone()
    });
    match whole.as_str() {
        "" => "Reading".to_owned(),
        whole => whole.to_owned(),
    }
}

/// What a form of an item asks for.
struct Fields<'a> {
    key: &'a str,
    point: &'a str,
    unit: &'a str,
    is_yes_no: bool,
    /// What stands before the `=`, and its words.
    asked: Vec<(String, String)>,
}

/// The form of a refused entry, made of what was sent.
pub fn form_again(bench: &Bench, key: &str, typed: &Sent) -> Markup {
    let asked = ways(typed);
    Fields {
        key,
        point: typed.text("point"),
        unit: typed.text("unit"),
        is_yes_no: typed.text("asks") == "yes_no",
        asked,
    }
    .form(bench, "again", typed, typed.text("by"))
}

/// The ways that a form asked for, with their words.
fn ways(typed: &Sent) -> Vec<(String, String)> {
    let own = typed.text("ways").split('\n');
    own.filter_map(|line| line.trim_end_matches('\r').split_once('='))
        .map(|(way, words)| (way.to_owned(), words.to_owned()))
        .collect()
}

impl Fields<'_> {
    fn form(&self, bench: &Bench, name: &str, typed: &Sent, by: &str) -> Markup {
        let kept: Vec<String> = self
            .asked
            .iter()
            .map(|(way, words)| format!("{way}={words}"))
            .collect();
        let unit = match self.unit {
            "" | "ohm" => String::new(),
            "C" => ", degrees Celsius".to_owned(),
            "K" => ", kelvin over the room".to_owned(),
            "s" => ", seconds".to_owned(),
            unit => format!(", {unit}"),
        };
        html! {
            form method="post" action={ "/prove/" (in_address(self.key)) } data-keep="" {
                (hidden_in_answer(bench))
                input type="hidden" name="asks" value=(if self.is_yes_no { "yes_no" } else { "figure" });
                input type="hidden" name="unit" value=(self.unit);
                input type="hidden" name="ways" value=(kept.join("\n"));
                @if !self.point.is_empty() { input type="hidden" name="point" value=(self.point); }
                @if !self.is_yes_no {
                    @for (way, words) in &self.asked {
                        @let field = format!("a-{way}");
                        (number_of(name, &field, &format!("{}{unit}", crate::pages::plain::sentence(words)), typed.text(&field), units(self.unit)))
                    }
                    (text_of(name, "line", "Line volts at the set, if it was on", typed.text("line"), ""))
                }
                (text_of(name, "by", "Who measured or looked", by, ""))
                (text_of(name, "with", "With what", typed.text("with"), ""))
                @if self.is_yes_no {
                    div .tabs role="group" aria-label="The answer" {
                        button .button type="submit" name="answer" value="yes" { "Yes, it is so" }
                        button .button type="submit" name="answer" value="no" { "No" }
                    }
                } @else {
                    button .send type="submit" name="answer" value="figure" { "Enter" }
                }
                details open[!typed.text("why").is_empty()] {
                    summary { "Not of this set" }
                    (text_of(name, "why", "Why this set has it not", typed.text("why"), ""))
                    button .button type="submit" name="answer" value="not" { "Enter: not of this set" }
                }
            }
        }
    }
}

/// The answers as the check list reads them; fields that were left empty are none.
pub fn answers(sent: &Sent) -> Vec<String> {
    match sent.text("answer") {
        "not" => return Vec::new(),
        answer @ ("yes" | "no") => return vec![answer.to_owned()],
        _ => {}
    }
    let units = units(sent.text("unit"));
    let read = ways(sent).into_iter().filter_map(|(way, _)| {
        let typed = sent.some(&format!("a-{way}"))?;
        let value = Unit::completed(&typed, units);
        Some(match way.as_str() {
            "" => value,
            way => format!("{way}={value}"),
        })
    });
    read.collect()
}

fn answered(own: &ProofItemView) -> Markup {
    let done: Vec<Vec<String>> = own
        .slots
        .iter()
        .filter(|slot| slot.entry.is_some())
        .map(|slot| {
            let read = match (slot.value, slot.answer) {
                (Some(value), _) => figure(value, own.unit),
                (None, Some(yes)) => if yes { "yes" } else { "no" }.to_owned(),
                (None, None) if slot.is_open_path => "open".to_owned(),
                (None, None) => "not of this set".to_owned(),
            };
            let state = STATES.iter().find(|state| state.0 == slot.state);
            vec![
                match place(slot) {
                    place if place.is_empty() => own.key.clone(),
                    place => place,
                },
                read,
                state.map_or("", |state| state.1).to_owned(),
                slot.by.clone().unwrap_or_default(),
                slot.at.as_deref().map(when).unwrap_or_default(),
                slot.entry
                    .map(|entry| entry.to_string())
                    .unwrap_or_default(),
            ]
        })
        .collect();
    html! {
        @if !done.is_empty() {
            h3 { "Answered" }
            (table("What was answered", &["at", "read", "", "by", "when", "entry"], &[1, 5], &done))
        }
    }
}

fn expected(own: &ProofItemView) -> Markup {
    let told: Vec<Vec<String>> = own
        .slots
        .iter()
        .filter_map(|slot| {
            let [low, middle, high] = slot.expected?;
            let value = |value: f64| figure(value, own.unit);
            let at = match place(slot) {
                place if place.is_empty() => own.key.clone(),
                place => place,
            };
            Some(vec![at, value(low), value(middle), value(high)])
        })
        .collect();
    html! {
        @if !told.is_empty() {
            details {
                summary { "What a healthy set gives, by calculation" }
                (table("What a healthy set gives", &["at", "low", "expected", "high"], &[1, 2, 3], &told))
            }
        }
    }
}
