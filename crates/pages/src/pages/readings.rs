//! Readings: a tube, its base seen from below, a pin, the value; or a place by its name.
//!
//! What a healthy set shows stands beside each pin once it is worked out. How the set stands is taken over from
//! the last reading until it is changed. Units as typed. Fails with the trouble of the entry in words.

mod stand;

use std::sync::Arc;

use axum::Router;
use axum::extract::{Path, Query, State};
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use benchwork::figures::{called, figure};
use benchwork::view::{EntryView, ReadingView};
use benchwork::{
    NewReading, PlacesView, Trouble, cold_ohms, expect_under, read_set_file, record_reading,
    tell_places, tell_tube,
};
use maud::{Markup, html};

use crate::bench::Bench;
use crate::entry::{Sent, entered, hidden, shown};
use crate::later;
use crate::pages::plain;
use crate::pieces::{self, Unit, entry_line};
use crate::words::in_address;
pub use stand::Stand;
use stand::as_before;

/// The routes of these pages.
pub fn routes() -> Router<Arc<Bench>> {
    Router::new()
        .route("/readings", get(tubes).post(enter))
        .route("/readings/at", get(place))
        .route("/readings/{tube}", get(tube))
        .route("/later/base/{tube}", get(base))
        .route("/later/healthy", get(healthy))
        .route("/readings/conditions", post(stand::conditions))
}

async fn tubes(
    State(bench): State<Arc<Bench>>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Response {
    let asked = Sent::of(asked);
    shown(bench, move |bench| {
        let main = match places(bench) {
            Ok(places) => all(bench, &places, &asked),
            Err(own) => pieces::trouble(&own),
        };
        plain::page(bench, "Readings", "/readings", main)
    })
    .await
}

fn places(bench: &Bench) -> Result<PlacesView, Trouble> {
    tell_places(&read_set_file(bench.file())?)
}

fn all(bench: &Bench, places: &PlacesView, asked: &Sent) -> Markup {
    html! {
        (pieces::made(bench, asked.entry("made")))
        form method="get" action="/readings/at" {
            (pieces::text("place", "Place, tube pin or part", "", "places"))
            (names(places))
            (pieces::send("Read there"))
        }
        h2 { "Tap a tube" }
        ul .rows {
            @for tube in &places.tubes {
                li { a .row href={ "/readings/" (in_address(&tube.reference)) } {
                    b { (tube.reference) " " (tube.type_name) }
                    @if !tube.job.is_empty() { span { (tube.job) } }
                } }
            }
        }
        (last_readings(bench))
    }
}

/// The names that the field of a place knows.
fn names(places: &PlacesView) -> Markup {
    html! {
        datalist #places {
            @for place in &places.places { option value=(place) {} }
            @for tube in &places.tubes { option value=(tube.reference) {} }
            @for part in &places.parts { option value=(part) {} }
            option value="line" {}
            option value="lamp" {}
        }
    }
}

fn readings_of(bench: &Bench) -> Result<Vec<EntryView>, Trouble> {
    let story = bench.story()?;
    let own = story
        .entries
        .iter()
        .rev()
        .filter(|entry| entry.kind == "measured");
    Ok(own.take(12).cloned().collect())
}

fn last_readings(bench: &Bench) -> Markup {
    match readings_of(bench) {
        Err(own) => pieces::trouble(&own),
        Ok(readings) => html! {
            section #last-readings data-live="" {
                @if !readings.is_empty() {
                    h2 { "Last readings" }
                    ul .rows {
                        @for entry in &readings {
                            li { a .row.entry href={ "/story/" (entry.number) } { (entry_line(entry)) } }
                        }
                    }
                }
            }
        },
    }
}

async fn tube(
    State(bench): State<Arc<Bench>>,
    Path(tube): Path<String>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Response {
    let asked = Sent::of(asked);
    shown(bench, move |bench| {
        let title = format!("Readings at {tube}");
        let question = format!("/later/base/{}", in_address(&tube));
        let main = html! {
            (pieces::made(bench, asked.entry("made")))
            p { "The base as seen from below. Tap a pin." }
            (later::place(&question, &format!("what a healthy set shows at {tube}")))
            (as_before(bench, &format!("/readings/{}", in_address(&tube))))
            p { a .button href="/readings" { "All tubes" } }
        };
        plain::page(bench, &title, "/readings", main)
    })
    .await
}

async fn base(State(bench): State<Arc<Bench>>, Path(tube): Path<String>) -> Response {
    let question = format!("/later/base/{}", in_address(&tube));
    let stands = stands(&bench).await;
    later::answer_in(&bench, &question, &stands, move |bench, _| {
        drawn(bench, &tube)
    })
    .await
    .into_response()
}

fn drawn(bench: &Bench, reference: &str) -> Result<Markup, Trouble> {
    let places = places(bench)?;
    let named = places
        .tubes
        .iter()
        .find(|tube| tube.reference.eq_ignore_ascii_case(reference));
    let Some(named) = named else {
        return Err(Trouble::input(
            format!("the sheet has no tube `{reference}`"),
            "put it into the sheet, or read at a place by its name",
        ));
    };
    let answer = tell_tube(&named.type_name, false, bench.tables().types.as_deref())?;
    let contacts = answer
        .types
        .first()
        .and_then(|kind| kind.base.as_ref())
        .map_or(&[][..], |base| &base.contacts);
    let expected = expected(bench, &Stand::of(bench)?)?;
    let at = |contact: &str| format!("{}.{contact}", named.reference);
    let told = |contact: &str| {
        let at = at(contact);
        let kinds = ["dc_volts", "ohms"];
        expected
            .iter()
            .find(|own| own.at == at && kinds.contains(&own.what))
    };
    let pins: Vec<pictures::pins::Pin> = contacts
        .iter()
        .map(|contact| pictures::pins::Pin {
            name: contact.contact.clone(),
            degrees: contact.degrees,
            carries: contact.elements.join(" + "),
            shows: told(&contact.contact).map(|own| figure(own.what, own.expected)),
            link: format!("/readings/at?place={}", in_address(&at(&contact.contact))),
        })
        .collect();
    let base = answer.types.first().and_then(|kind| kind.base.as_ref());
    Ok(html! {
        @if let Some(base) = base {
            figure .picture.pins {
                (maud::PreEscaped(pictures::pins::svg(&named.reference, &named.type_name, base.mark, &pins)))
                figcaption { (named.reference) " " (named.type_name) ", " (base.name) ", seen from below. In each pin: what a healthy set shows to chassis." }
            }
        } @else {
            p { "The base of " (named.type_name) " is not recorded: choose a pin by its name." }
        }
        h2 { "Pins in words" }
        ul .rows {
            @for pin in &pins {
                li { a .row href=(pin.link) {
                    b { (named.reference) "." (pin.name) }
                    span {
                        @if pin.carries.is_empty() { "nothing recorded" } @else { (pin.carries) }
                        @if let Some(own) = told(&pin.name) {
                            ": " (figure(own.what, own.low)) " to " (figure(own.what, own.high))
                        }
                    }
                } }
            }
        }
    })
}

/// What a healthy set shows while it stands so; ohms with the plug out.
fn expected(bench: &Bench, stand: &Stand) -> Result<Arc<[ReadingView]>, Trouble> {
    let file = read_set_file(bench.file())?;
    let rests_on = format!("{}\n{}", stand.in_words(), file.rests_on());
    bench.later.healthy(&rests_on, || {
        if stand.plug_out {
            return Ok(cold_ohms(&file, None, &stand.pulled)?.readings);
        }
        Ok(expect_under(&file, &stand.conditions()?, &stand.meter)?.readings)
    })
}

async fn place(
    State(bench): State<Arc<Bench>>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Response {
    let asked = Sent::of(asked);
    shown(bench, move |bench| page(bench, None, &asked)).await
}

fn page(bench: &Bench, refused: Option<Trouble>, typed: &Sent) -> Markup {
    let place = typed.text("place");
    let title = format!("Reading at {place}");
    let what = match typed.text("what") {
        "" => "dc_volts",
        what => what,
    };
    let main = html! {
        @if let Some(refused) = &refused { (pieces::trouble(refused)) }
        nav .tabs aria-label="What is read" {
            @for other in ["dc_volts", "ohms", "ac_volts_rms", "ripple_volts_peak_to_peak"] {
                @let address = format!("/readings/at?place={}&what={other}", in_address(place));
                a .button href=(address) aria-current=[(other == what).then_some("true")] { (called(other)) }
            }
        }
        (later::place(&format!("/later/healthy?place={}&what={what}", in_address(place)), "what a healthy set shows there"))
        form .question method="post" action="/readings" data-keep="" {
            (hidden(bench))
            input type="hidden" name="place" value=(place);
            input type="hidden" name="what" value=(what);
            (pieces::number("value", &format!("{place}, {}", called(what)), typed.text("value"), Unit::of(what)))
            (pieces::send("Enter"))
            (pieces::text("to", "Other lead, if not on the chassis", typed.text("to"), ""))
            (pieces::remark(typed.text("note")))
        }
        (as_before(bench, &format!("/readings/at?place={}&what={what}", in_address(place))))
        (pieces::where_it_is(&[place.to_owned()]))
        p { a .button href="/readings" { "All tubes" } }
    };
    plain::page(bench, &title, "/readings", main)
}

async fn healthy(
    State(bench): State<Arc<Bench>>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Response {
    let asked = Sent::of(asked);
    let (place, what) = (asked.owned("place"), asked.owned("what"));
    let question = format!("/later/healthy?place={}&what={what}", in_address(&place));
    let stands = stands(&bench).await;
    let answer = later::answer_in(&bench, &question, &stands, move |bench, _| {
        let stand = Stand::of(bench)?;
        if stand.plug_out && what != "ohms" {
            return Ok(
                html! { p { "The set stands with the plug out: no volts. Say below how it stands." } },
            );
        }
        let stand = if what == "ohms" {
            stand.unplugged()
        } else {
            stand
        };
        let readings = expected(bench, &stand)?;
        let own = readings
            .iter()
            .find(|own| own.at.eq_ignore_ascii_case(&place) && own.what == what);
        Ok(match own {
            Some(own) => html! {
                p .healthy { "Healthy: " b { (figure(own.what, own.low)) " to " (figure(own.what, own.high)) }
                    ", most likely " (figure(own.what, own.expected)) }
            },
            None => html! { p { "What a healthy set shows there is not predicted." } },
        })
    });
    answer.await.into_response()
}

/// How the set stands, in words, on a thread of its own; what it rests on is told with the answer.
async fn stands(bench: &Arc<Bench>) -> String {
    let bench = Arc::clone(bench);
    let words = move || Stand::of(&bench).map_or_else(|_| String::new(), |stand| stand.in_words());
    tokio::task::spawn_blocking(words).await.unwrap_or_default()
}

async fn enter(State(bench): State<Arc<Bench>>, sent: Sent) -> Response {
    let typed = sent.clone();
    let place = sent.owned("place");
    let back = match place.split_once('.') {
        Some((tube, _)) => format!("/readings/{}", in_address(tube)),
        None => "/readings".to_owned(),
    };
    entered(
        bench,
        back,
        move |bench| {
            let what = sent.text("what");
            let stand = Stand::of(bench)?;
            // Ohms are read with the plug out, however the set stood before.
            let stand = if what == "ohms" {
                stand.unplugged()
            } else {
                stand
            };
            let value = Unit::completed(sent.text("value"), Unit::of(what));
            let new = NewReading {
                place: sent.owned("place"),
                what: kind(&value, what),
                value,
                to: sent.owned("to"),
                meter: stand.meter.clone(),
                conditions: stand.conditions()?,
                note: sent.owned("note"),
            };
            record_reading(&sent.entering(bench)?, new)
        },
        move |bench, refused| page(bench, Some(refused), &typed),
    )
    .await
}

/// The kind of a reading: that of the question, unless the value says one itself. Plain volts say none.
fn kind(value: &str, asked: &str) -> Option<String> {
    let unit = value.trim_start_matches(|letter: char| !letter.is_alphabetic());
    let is_plain = ["", "V", "v", "mV", "kV", "volts"].contains(&unit.trim());
    (is_plain && !asked.is_empty()).then(|| asked.to_owned())
}

#[cfg(test)]
mod tests {
    use super::kind;

    #[test]
    fn a_value_that_says_its_kind_is_taken_at_its_word() {
        for (value, asked, wanted) in [
            ("117 V a.c.", "dc_volts", None),
            ("6.3 V", "ac_volts_rms", Some("ac_volts_rms")),
            ("-1.2 V", "dc_volts", Some("dc_volts")),
            (
                "0.4 V",
                "ripple_volts_peak_to_peak",
                Some("ripple_volts_peak_to_peak"),
            ),
            ("4.7k", "ohms", None),
            ("95 mA", "dc_volts", None),
            ("5", "", None),
        ] {
            assert_eq!(kind(value, asked).as_deref(), wanted, "{value}");
        }
    }
}
