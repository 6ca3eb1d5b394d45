//! What to measure next: each measurement with what it takes and what each outcome would mean, and a form for it.
//!
//! Weights and chances of a hundred, efforts in minutes. A reading is entered under the conditions of its
//! measurement. Fails as the recording does; nothing is entered then.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Query, State};
use axum::response::Response;
use axum::routing::get;
use benchwork::figures::called;
use benchwork::hunt_words::{also_at, asked, gains, of_hundred, outcome};
use benchwork::view::{ConditionsView, NextOfferView, OffersView, RecordedView};
use benchwork::{
    Conditions, NewNotice, NewReading, Trouble, record_notice, record_reading, tell_next,
};
use maud::{Markup, html};

use super::outcome::{loose_end, record as record_part};
use crate::bench::Bench;
use crate::entry::{Sent, entered, hidden_in_answer, shown};
use crate::later;
use crate::pages::kept_answer::keepable;
use crate::pages::plain::{self, cautions, folded, sentence, table};
use crate::pieces::{Unit, danger, made, notices, number_of, on_the_chassis, send, text_of};

const AT: &str = "/next";

/// The routes of this page.
pub fn routes() -> Router<Arc<Bench>> {
    Router::new()
        .route(AT, get(next).post(enter))
        .route("/later/next", get(told))
}

async fn next(
    State(bench): State<Arc<Bench>>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Response {
    let asked = Sent::of(asked);
    shown(bench, move |bench| page(bench, None, &asked)).await
}

fn page(bench: &Bench, refused: Option<&Trouble>, typed: &Sent) -> Markup {
    let is_far = typed.ticked("elsewhere");
    let question = match is_far {
        true => "/later/next?elsewhere=yes",
        false => "/later/next",
    };
    let main = html! {
        (plain::refused(refused))
        @if refused.is_some() {
            section .question {
                h2 { (typed.text("words")) }
                (form(bench, "again", &Ask::sent(typed), typed))
            }
        }
        (made(bench, typed.entry("made")))
        (later::place(question, "what to measure next"))
        @if !is_far {
            p { a .button href="/next?elsewhere=yes" { "Look at other conditions too: a lower line, a lamp, a tube pulled" } }
        }
        p { a .button href="/suspects" { "All suspects" } }
    };
    plain::page(bench, "What to measure next", AT, main)
}

async fn told(
    State(bench): State<Arc<Bench>>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Markup {
    let is_far = Sent::of(asked).ticked("elsewhere");
    let question = match is_far {
        true => "/later/next?elsewhere=yes",
        false => "/later/next",
    };
    later::answer(&bench, question, move |bench, work| {
        let answer = offers(
            bench,
            &tell_next(
                bench.file(),
                bench.tables().efforts.as_deref(),
                is_far,
                work,
            )?,
        );
        Ok(keepable(bench, question, "what to measure next", &answer))
    })
    .await
}

fn offers(bench: &Bench, view: &OffersView) -> Markup {
    let none = Sent::default();
    html! {
        @if let Some(own) = &view.danger { (danger(own)) }
        @if let Some(present) = view.conditions.get(view.present) {
            p { "As the set stands: " (present.in_words()) "." }
        }
        @if !view.first.is_empty() {
            section .verdict { p .head { "First" } @for own in &view.first { p { (own) } } }
        }
        @if view.offers.is_empty() && view.first.is_empty() {
            p { "Nothing that may be measured here tells more. A signal may, or another condition: other line volts, a tube pulled, a part cut loose." }
        }
        @for (number, own) in view.offers.iter().enumerate() {
            @let ask = Ask::of(view, own);
            @let name = format!("m{number}");
            @if number == 0 {
                section .question {
                    h2 { (sentence(&asked(own))) }
                    (on_the_chassis(bench, &[(own.at.clone(), None)]))
                    (one(view, own))
                    (form(bench, &name, &ask, &none))
                }
                @if view.offers.len() > 1 { h2 { "Or, behind it" } }
            } @else {
                details {
                    summary { (sentence(&asked(own))) ", " (minutes(own)) " min" }
                    (one(view, own))
                    (form(bench, &name, &ask, &none))
                }
            }
        }
        @if view.not_told > 0 { p { (view.not_told) " more tell less for more." } }
        h2 { "Before you touch anything" }
        (cautions(&view.cautions))
        (folded("Dangers of this set and bench", &view.dangers))
        (notices(&view.notices))
    }
}

fn minutes(own: &NextOfferView) -> String {
    format!("{:.1}", own.effort_minutes)
}

fn one(view: &OffersView, own: &NextOfferView) -> Markup {
    let elsewhere = own.conditions.filter(|at| *at != view.present);
    let elsewhere = elsewhere.and_then(|at| view.conditions.get(at));
    let meanings: Vec<Vec<String>> = own
        .meanings
        .iter()
        .map(|one| vec![outcome(own, one), of_hundred(one.chance), gains(one)])
        .collect();
    html! {
        @if let Some(own) = elsewhere { p { b { (sentence(&own.behind())) "." } } }
        (cautions(&own.cautions))
        @if !own.acts.is_empty() { ol .acts { @for act in &own.acts { li { (act) } } } }
        @if let Some(also) = also_at(own) { p .hint { (also) } }
        (table("What each outcome would mean", &["if it is", "of 100", "then, of 100"], &[1], &meanings))
        p .hint { (minutes(own)) " minutes with the danger in them; it tells " (format!("{:.2}", own.bits)) " bits." }
    }
}

/// What a form asks for.
struct Ask {
    kind: String,
    at: String,
    what: String,
    words: String,
    to: String,
    conditions: Vec<(&'static str, String)>,
}

/// The fields that tell under which conditions a reading was taken.
const UNDER: [&str; 8] = [
    "plug_out", "line", "lamps", "pulled", "open", "without", "seconds", "dc",
];

impl Ask {
    fn of(view: &OffersView, own: &NextOfferView) -> Ask {
        let under = own.conditions.and_then(|at| view.conditions.get(at));
        Ask {
            kind: own.kind.to_owned(),
            at: own.at.clone(),
            what: own.what.unwrap_or_default().to_owned(),
            words: sentence(&asked(own)),
            to: under.and_then(|own| own.to.clone()).unwrap_or_default(),
            conditions: under.map_or_else(Vec::new, fields_of),
        }
    }

    fn sent(typed: &Sent) -> Ask {
        let kept = UNDER.iter().map(|name| (*name, typed.owned(name)));
        Ask {
            kind: typed.owned("kind"),
            at: typed.owned("at"),
            what: typed.owned("what"),
            words: typed.owned("words"),
            to: typed.owned("to"),
            conditions: kept.filter(|(_, text)| !text.is_empty()).collect(),
        }
    }
}

/// Conditions as fields of a form; a line that was taken from the sheet stays unsaid.
fn fields_of(own: &ConditionsView) -> Vec<(&'static str, String)> {
    let numbers = |list: &[f64]| {
        let list: Vec<String> = list.iter().map(f64::to_string).collect();
        list.join("+")
    };
    let line = own
        .line_volts
        .filter(|_| own.line_give_or_take_percent == 0.0);
    let is_out = own.line_volts.is_none();
    let fields = [
        ("plug_out", if is_out { "yes" } else { "" }.to_owned()),
        (
            "line",
            line.map_or_else(String::new, |volts| volts.to_string()),
        ),
        ("lamps", numbers(&own.lamps_watts)),
        ("pulled", own.pulled.join(",")),
        ("open", own.open.join(",")),
        ("without", own.fitted_without.join(",")),
        (
            "seconds",
            own.seconds.map_or_else(String::new, |own| own.to_string()),
        ),
        ("dc", own.dc.clone().unwrap_or_default()),
    ];
    let said = fields.into_iter().filter(|(_, text)| !text.is_empty());
    said.collect()
}

fn form(bench: &Bench, name: &str, ask: &Ask, typed: &Sent) -> Markup {
    if ask.kind == "loose_end" {
        return html! {
            (loose_end_here(bench, name, ask, typed))
        };
    }
    html! {
        form method="post" action=(AT) data-keep="" {
            (kept(bench, ask))
            @match ask.kind.as_str() {
                "read" => {
                    @let units = Unit::of(&ask.what);
                    (number_of(name, "value", &format!("{}, {}", ask.at, called(&ask.what)), typed.text("value"), units))
                    @if ask.conditions.iter().all(|(name, _)| *name != "plug_out") {
                        (text_of(name, "line", "Line volts as read, if you read them", line_of(ask), ""))
                    }
                    (text_of(name, "meter", "The meter, if not that of the last reading, such as 10M", typed.text("meter"), ""))
                    (send("Enter the reading"))
                },
                "capacitor_exchange" | "tube_exchange" | "capacitor_bridge" => {
                    (came("What became of the fault?", &[("gone", "The fault is gone"), ("the same", "It is the same")]))
                },
                "signal" => {
                    (came("How did the signal come?", &[("right", "It comes as it should"), ("weak", "Weak"), ("distorted", "Distorted"), ("lost", "Nothing comes")]))
                },
                "glow" => {
                    (came("How does the heater glow?", &[("dark", "Dark"), ("dim", "Dim"), ("as usual", "As usual"), ("too bright", "Too bright")]))
                },
                _ => {
                    (text_of(name, "found", "If it is bad: what was found, such as leaky, 200k at 300 volts", typed.text("found"), ""))
                    (came("What was found?", &[("good", "It is good"), ("bad", "It is bad")]))
                },
            }
        }
    }
}

fn line_of(ask: &Ask) -> &str {
    let own = ask.conditions.iter().find(|(name, _)| *name == "line");
    own.map_or("", |(_, text)| text)
}

/// What may have come of it: one button each, which sends the form.
fn came(asked: &str, answers: &[(&str, &str)]) -> Markup {
    html! {
        div .tabs role="group" aria-label=(asked) {
            @for (value, words) in answers {
                button .button type="submit" name="came" value=(value) { (words) }
            }
        }
    }
}

fn kept(bench: &Bench, ask: &Ask) -> Markup {
    html! {
        (hidden_in_answer(bench))
        input type="hidden" name="kind" value=(ask.kind);
        input type="hidden" name="at" value=(ask.at);
        input type="hidden" name="what" value=(ask.what);
        input type="hidden" name="words" value=(ask.words);
        @if !ask.to.is_empty() { input type="hidden" name="to" value=(ask.to); }
        @for (name, text) in &ask.conditions {
            @if *name != "line" || ask.kind != "read" { input type="hidden" name=(name) value=(text); }
        }
    }
}

/// The form of a loose end goes to the page of its part, where such volts are entered as well.
fn loose_end_here(bench: &Bench, name: &str, ask: &Ask, typed: &Sent) -> Markup {
    let to = format!("/suspects/{}", crate::words::in_address(&ask.at));
    loose_end(bench, &to, name, typed, true)
}

async fn enter(State(bench): State<Arc<Bench>>, sent: Sent) -> Response {
    let typed = sent.clone();
    entered(
        bench,
        AT.to_owned(),
        move |bench| record(bench, &sent),
        move |bench, refused| page(bench, Some(&refused), &typed),
    )
    .await
}

fn record(bench: &Bench, sent: &Sent) -> Result<RecordedView, Trouble> {
    let (kind, came) = (sent.text("kind"), sent.text("came"));
    let at = sent.text("at");
    match kind {
        "read" => {
            let units = Unit::of(sent.text("what"));
            let new = NewReading {
                place: at.to_owned(),
                value: Unit::completed(sent.text("value"), units),
                to: sent.owned("to"),
                what: sent.some("what"),
                meter: sent.owned("meter"),
                conditions: conditions(sent)?,
                note: sent.owned("note"),
            };
            record_reading(&sent.entering(bench)?, new)
        }
        "signal" => {
            let (from, end) = at.split_once(" to ").unwrap_or((at, ""));
            let new = NewNotice::Signal {
                from: (from != "a station").then(|| from.to_owned()),
                end: end.to_owned(),
                came: Some(came.to_owned()),
                volts: None,
            };
            record_notice(&sent.entering(bench)?, new, sent.owned("note"))
        }
        "glow" => {
            let new = NewNotice::Glow {
                tube: at.to_owned(),
                how: came.to_owned(),
            };
            record_notice(&sent.entering(bench)?, new, sent.owned("note"))
        }
        "capacitor_bridge" => record_part(
            bench,
            at,
            &sent.with(&[("came", "bridged"), ("then", came)]),
        ),
        "capacitor_exchange" | "tube_exchange" => record_part(
            bench,
            at,
            &sent.with(&[("came", "exchanged"), ("then", came)]),
        ),
        _ => {
            let by = match kind {
                "ohms_in_place" | "ohms_out_of_holder" => "ohms",
                other => other.strip_prefix("part_").unwrap_or("tester"),
            };
            let (came, found) = match came {
                "good" => ("cleared", ""),
                _ => ("condemned", sent.text("found")),
            };
            record_part(
                bench,
                at,
                &sent.with(&[("came", came), ("found", found), ("by", by)]),
            )
        }
    }
}

/// How the set stood, from the fields of a measurement.
fn conditions(sent: &Sent) -> Result<Conditions, Trouble> {
    let lamps = sent.list("lamps");
    // Names of switches and plugs may have blanks in them.
    let names = |field: &str| -> Vec<String> {
        let own = sent.text(field).split(',').map(str::trim);
        own.filter(|name| !name.is_empty())
            .map(str::to_owned)
            .collect()
    };
    Ok(Conditions {
        plug_out: sent.ticked("plug_out") || sent.ticked("dc"),
        line_volts: sent.number("line", "Line volts")?,
        dial_volts: None,
        lamp_watts: lamps.iter().filter_map(|own| own.parse().ok()).collect(),
        pulled: names("pulled"),
        open: names("open"),
        fitted_without: names("without"),
        seconds: sent.number("seconds", "Seconds")?,
        dc: sent.owned("dc"),
    })
}
