//! What picture, sound, nose and hand tell: the list of symptoms as large choices, signals, glow, a tube out, warmth.
//!
//! Fails for words that the list or the sheet has not; nothing is entered then.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Query, State};
use axum::response::Response;
use axum::routing::get;
use benchwork::view::{RecordedView, SymptomsView};
use benchwork::{NewNotice, Trouble, record_notice, tell_symptoms};
use maud::{Markup, html};

use crate::bench::Bench;
use crate::entry::{Sent, entered, hidden, shown};
use crate::pages::plain;
use crate::pieces::{made, one_of, send, text_of, trouble};

const AT: &str = "/suspects/noticed";
/// Where something is watched for.
const ENDS: [(&str, &str); 4] = [
    ("sound", "in the sound"),
    ("picture", "in the picture"),
    ("height", "in the height"),
    ("width", "in the width"),
];

/// The routes of this page.
pub fn routes() -> Router<Arc<Bench>> {
    Router::new().route(AT, get(noticed).post(enter))
}

async fn noticed(
    State(bench): State<Arc<Bench>>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Response {
    let asked = Sent::of(asked);
    shown(bench, move |bench| page(bench, None, &asked)).await
}

fn page(bench: &Bench, refused: Option<&Trouble>, typed: &Sent) -> Markup {
    let main = html! {
        (plain::refused(refused))
        (made(bench, typed.entry("made")))
        @match tell_symptoms() {
            Ok(view) => { (symptoms(bench, &view, typed)) (others(bench, typed, refused.is_some())) },
            Err(own) => { (trouble(&own)) },
        }
        p { a .button href="/suspects" { "All suspects" } }
    };
    plain::page(bench, "Noticed", AT, main)
}

fn symptoms(bench: &Bench, view: &SymptomsView, typed: &Sent) -> Markup {
    let chosen = typed.text("symptom");
    html! {
        form method="post" action=(AT) data-keep="" {
            (hidden(bench))
            input type="hidden" name="kind" value="symptom";
            fieldset .choices {
                legend { "What does the set show?" }
                @for own in &view.symptoms {
                    label .choice {
                        input type="radio" name="symptom" value=(own.symptom) checked[own.symptom == chosen];
                        span { b { (own.symptom) } " " (own.what) @if !own.caution.is_empty() { span .hint { "Mind: " (own.caution) } } }
                    }
                }
            }
            (one_of("shown", "Is it there?", match typed.text("shown") { "" => "yes", own => own },
                &[("yes", "The set shows it"), ("no", "I looked for it, and the set does not show it")]))
            (send("Enter"))
        }
    }
}

fn others(bench: &Bench, typed: &Sent, is_refused: bool) -> Markup {
    let open = |kind: &str| is_refused && typed.text("kind") == kind;
    let own = |kind: &str, name: &str| match open(kind) {
        true => typed.owned(name),
        false => String::new(),
    };
    let begin =
        |kind: &str| html! { (hidden(bench)) input type="hidden" name="kind" value=(kind); };
    html! {
        details open[open("signal")] {
            summary { "A signal came, or did not" }
            form method="post" action=(AT) data-keep="" {
                (begin("signal"))
                (text_of("signal", "from", "Fed in at, such as V5.1; empty for a station at the antenna", &own("signal", "from"), ""))
                (text_of("signal", "end", "Watched for: sound, picture, height, width or a place", &own("signal", "end"), ""))
                (one_of("came", "How did it come?", &own("signal", "came"),
                    &[("right", "right"), ("weak", "weak"), ("distorted", "distorted"), ("lost", "not at all")]))
                (text_of("signal", "volts", "Peak-to-peak volts at the place, if read", &own("signal", "volts"), ""))
                (text_of("signal", "maker", "The maker's figure for the place", &own("signal", "maker"), ""))
                (send("Enter the signal"))
            }
        }
        details open[open("glow")] {
            summary { "A heater glows, or does not" }
            form method="post" action=(AT) data-keep="" {
                (begin("glow"))
                (text_of("glow", "tube", "The tube, such as V9", &own("glow", "tube"), ""))
                (one_of("how", "How does it glow?", &own("glow", "how"),
                    &[("dark", "dark"), ("dim", "dim"), ("as usual", "as usual"), ("too bright", "too bright")]))
                (send("Enter the glow"))
            }
        }
        details open[open("pulled")] {
            summary { "Hum or buzz with a tube out" }
            form method="post" action=(AT) data-keep="" {
                (begin("pulled"))
                (text_of("pulled", "tube", "The tube that was out, such as V13", &own("pulled", "tube"), ""))
                (one_of("end", "Where is it noticed?", &own("pulled", "end"), &ENDS))
                (one_of("then", "With the tube out it is", &own("pulled", "then"), &[("gone", "gone"), ("the same", "the same")]))
                (send("Enter the trial"))
            }
        }
        details open[open("warms")] {
            summary { "Warmth changes the complaint" }
            form method="post" action=(AT) data-keep="" {
                (begin("warms"))
                (one_of("how", "As the set warms up, the complaint", &own("warms", "how"), &[("comes", "comes"), ("goes", "goes")]))
                (send("Enter"))
            }
        }
    }
}

async fn enter(State(bench): State<Arc<Bench>>, sent: Sent) -> Response {
    let typed = sent.clone();
    entered(
        bench,
        "/suspects".to_owned(),
        move |bench| record(bench, &sent),
        move |bench, refused| page(bench, Some(&refused), &typed),
    )
    .await
}

fn record(bench: &Bench, sent: &Sent) -> Result<RecordedView, Trouble> {
    let new = match sent.text("kind") {
        "signal" => NewNotice::Signal {
            from: sent.some("from"),
            end: sent.owned("end"),
            came: sent.some("came"),
            volts: sent.some("volts").zip(sent.some("maker")),
        },
        "glow" => NewNotice::Glow {
            tube: sent.owned("tube"),
            how: sent.owned("how"),
        },
        "pulled" => NewNotice::Pulled {
            tube: sent.owned("tube"),
            end: sent.owned("end"),
            then: sent.owned("then"),
        },
        "warms" => NewNotice::Warms(sent.owned("how")),
        _ => NewNotice::Symptom {
            name: sent.owned("symptom"),
            shown: sent.text("shown") != "no",
        },
    };
    record_notice(&sent.entering(bench)?, new, sent.owned("note"))
}
