//! Practice: a hidden fault in an example set; the bench answers readings, signals and checks until the part is named.
//!
//! Units of the readings. Fails for a file that is no practice file, with what to do, and as the answers do.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Query, State};
use axum::response::Response;
use axum::routing::get;
use benchwork::view::{PracticeView, RecordedView};
use benchwork::{
    Conditions, Trouble, give_up, name_part, practice_check, practice_reading, practice_signal,
    tell_practice,
};
use maud::{Markup, html};

use super::plain;
use crate::bench::Bench;
use crate::entry::{Sent, entered, hidden, shown};
use crate::pieces::{made, one_of, send, text_of, trouble};

const AT: &str = "/practice";

/// The routes of this page.
pub fn routes() -> Router<Arc<Bench>> {
    Router::new().route(AT, get(practice).post(enter))
}

async fn practice(
    State(bench): State<Arc<Bench>>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Response {
    let asked = Sent::of(asked);
    shown(bench, move |bench| page(bench, None, &asked)).await
}

fn page(bench: &Bench, refused: Option<&Trouble>, typed: &Sent) -> Markup {
    let main = match tell_practice(bench.file()) {
        Ok(view) => html! {
            (plain::refused(refused))
            (made(bench, typed.entry("made")))
            (standing(&view))
            @if view.state == "open" { (forms(bench, typed)) }
        },
        Err(own) => html! {
            (trouble(&own))
            p { "A practice is a file of its own. At the laptop, end these pages and open those of a file that is not there yet; "
                "they offer to begin it:" }
            p { code { "firstraster bench NEW.restoration" } }
        },
    };
    plain::page(bench, "Practice", AT, main)
}

fn standing(view: &PracticeView) -> Markup {
    let measured = match view.measurements {
        0 => "nothing measured yet".to_owned(),
        1 => "1 measurement".to_owned(),
        count => format!("{count} measurements"),
    };
    html! {
        h2 { (view.practice) }
        p .lead {
            @match view.state {
                "found" => { "Found, after " (measured) "." },
                "given_up" => { "Given up, after " (measured) "." },
                _ => { @if view.hidden_faults == 1 { "One fault is" } @else { "Two faults are" } " hidden, " (measured) "." },
            }
        }
        @if !view.complaint.is_empty() { p { "Its owner says: " (view.complaint.join("; ")) "." } }
        @if !view.named_wrongly.is_empty() { p { "Named, and good: " (view.named_wrongly.join(", ")) "." } }
        @if view.state == "open" && !view.found.is_empty() { p { "Found already: " (view.found.join(", ")) "." } }
        @if !view.faults.is_empty() {
            h3 { "It was" }
            ul { @for fault in &view.faults { li { b { (fault.part) } ": " (fault.text) } } }
            p {
                @match view.own_measurements {
                    None => { "The search itself, with volts at one line and parts checked, is not sure of it after thirty measurements." },
                    Some(own) => { "The search itself is nine of ten sure of it after " (own) @if own == 1 { " measurement." } @else { " measurements." } },
                }
            }
        }
    }
}

fn forms(bench: &Bench, typed: &Sent) -> Markup {
    let kind = typed.text("kind");
    let own = |of: &str, name: &str| match kind == of {
        true => typed.owned(name),
        false => String::new(),
    };
    html! {
        form .question method="post" action=(AT) data-keep="" {
            (hidden(bench)) input type="hidden" name="kind" value="read";
            (text_of("read", "place", "Read at, such as V9.5", &own("read", "place"), ""))
            (one_of("what", "What?", match own("read", "what").as_str() { "ohms" => "ohms", _ => "volts" },
                &[("volts", "volts, the set on"), ("ohms", "ohms, the plug out")]))
            (send("Read it"))
        }
        details open[kind == "signal"] {
            summary { "Try a signal" }
            form method="post" action=(AT) data-keep="" {
                (hidden(bench)) input type="hidden" name="kind" value="signal";
                (text_of("signal", "fed", "Fed in at, such as V13.7; empty for a station", &own("signal", "fed"), ""))
                (text_of("signal", "watched", "Watched for: sound, picture, height, width or a place", &own("signal", "watched"), ""))
                (send("Try it"))
            }
        }
        details open[kind == "check"] {
            summary { "Measure a part by itself" }
            form method="post" action=(AT) data-keep="" {
                (hidden(bench)) input type="hidden" name="kind" value="check";
                (text_of("check", "part", "The part, such as C45", &own("check", "part"), ""))
                (send("Measure it"))
            }
        }
        details open[kind == "name"] {
            summary { "Name the part" }
            form method="post" action=(AT) data-keep="" {
                (hidden(bench)) input type="hidden" name="kind" value="name";
                (text_of("name", "part", "The bad part, such as C45", &own("name", "part"), ""))
                (send("It is this one"))
            }
        }
        details {
            summary { "Give up" }
            form .quiet method="post" action=(AT) data-keep="" {
                (hidden(bench)) input type="hidden" name="kind" value="give_up";
                (send("Show what was hidden"))
            }
        }
        p .hint { "The line is 117 V and the meter 10 megohms; it errs as a good meter does, and one reading in fifty is a slip." }
    }
}

async fn enter(State(bench): State<Arc<Bench>>, sent: Sent) -> Response {
    let typed = sent.clone();
    if ["name", "give_up"].contains(&sent.text("kind")) {
        return entered(
            bench,
            AT.to_owned(),
            move |bench| {
                let entering = sent.entering(bench)?;
                match sent.text("kind") {
                    "name" => name_part(&entering, sent.text("part")),
                    _ => give_up(&entering),
                }?;
                bench
                    .live
                    .entered(benchwork::last_entry(bench.file()).unwrap_or(0));
                Ok(())
            },
            move |bench, refused| page(bench, Some(&refused), &typed),
        )
        .await;
    }
    entered(
        bench,
        AT.to_owned(),
        move |bench| measured(bench, &sent),
        move |bench, refused| page(bench, Some(&refused), &typed),
    )
    .await
}

fn measured(bench: &Bench, sent: &Sent) -> Result<RecordedView, Trouble> {
    let entering = sent.entering(bench)?;
    match sent.text("kind") {
        "signal" => {
            let fed = sent.some("fed");
            practice_signal(&entering, fed.as_deref(), sent.text("watched"))
        }
        "check" => practice_check(&entering, sent.text("part")),
        _ => {
            let conditions = Conditions {
                plug_out: sent.text("what") == "ohms",
                ..Conditions::default()
            };
            practice_reading(&entering, sent.text("place"), "", "", conditions)
        }
    }
}
