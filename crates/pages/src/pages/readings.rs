//! Readings: a tube, its base seen from below, a pin, the value; or a place by its name.
//!
//! What a healthy set shows stands beside each pin once it is worked out. How the set stands is taken over from
//! the last reading until it is changed. Units as typed. Fails with the trouble of the entry in words.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Path, Query, State};
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post};
use benchwork::figures::{called, figure};
use benchwork::view::{EntryView, ReadingView};
use benchwork::{
    Conditions, NewReading, PlacesView, Trouble, bench_words, cold_ohms, expect_under,
    read_set_file, record_reading, tell_places, tell_tube,
};
use maud::{Markup, html};

use crate::bench::Bench;
use crate::entry::{Sent, entered, hidden, shown};
use crate::frame::{Page, framed};
use crate::later;
use crate::pieces::{self, Unit, entry_line};
use crate::words::in_address;

/// The routes of these pages.
pub fn routes() -> Router<Arc<Bench>> {
    Router::new()
        .route("/readings", get(tubes).post(enter))
        .route("/readings/at", get(place))
        .route("/readings/{tube}", get(tube))
        .route("/later/base/{tube}", get(base))
        .route("/later/healthy", get(healthy))
        .route("/readings/conditions", post(conditions))
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
        framed(
            bench,
            Page {
                title: "Readings",
                at: "/readings",
                main,
            },
        )
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
        framed(
            bench,
            Page {
                title: &title,
                at: "/readings",
                main,
            },
        )
    })
    .await
}

async fn base(State(bench): State<Arc<Bench>>, Path(tube): Path<String>) -> Response {
    let question = format!("/later/base/{}", in_address(&tube));
    later::answer(&bench, &question, move |bench| drawn(bench, &tube))
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
    let answer = tell_tube(&named.type_name, false, None)?;
    let contacts = answer
        .types
        .first()
        .and_then(|kind| kind.base.as_ref())
        .map_or(&[][..], |base| &base.contacts);
    let expected = expected(bench)?;
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

/// What a healthy set shows, the set standing as it stood at the last reading; ohms with the plug out.
fn expected(bench: &Bench) -> Result<Vec<ReadingView>, Trouble> {
    let file = read_set_file(bench.file())?;
    let stand = Stand::of(bench)?;
    if stand.plug_out {
        return Ok(cold_ohms(&file, None, &stand.pulled)?.readings);
    }
    Ok(expect_under(&file, &stand.conditions()?, &stand.meter)?.readings)
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
        p { a .button href="/readings" { "All tubes" } }
    };
    framed(
        bench,
        Page {
            title: &title,
            at: "/readings",
            main,
        },
    )
}

async fn healthy(
    State(bench): State<Arc<Bench>>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Response {
    let asked = Sent::of(asked);
    let (place, what) = (asked.owned("place"), asked.owned("what"));
    let question = format!("/later/healthy?place={}&what={what}", in_address(&place));
    later::answer(&bench, &question, move |bench| {
        let readings = if what == "ohms" {
            let file = read_set_file(bench.file())?;
            cold_ohms(&file, None, &Stand::of(bench)?.pulled)?.readings
        } else {
            expected(bench)?
        };
        let own = readings.iter().find(|own| own.at.eq_ignore_ascii_case(&place) && own.what == what);
        Ok(match own {
            Some(own) => html! {
                p .healthy { "Healthy: " b { (figure(own.what, own.low)) " to " (figure(own.what, own.high)) }
                    ", most likely " (figure(own.what, own.expected)) }
            },
            None => html! { p { "What a healthy set shows there is not predicted." } },
        })
    })
    .await
    .into_response()
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
            let stand = Stand::of(bench)?;
            let what = sent.owned("what");
            let says_kind = !sent.text("value").chars().any(char::is_alphabetic)
                || what == "ripple_volts_peak_to_peak";
            let new = NewReading {
                place: sent.owned("place"),
                value: with_unit(sent.text("value"), &what),
                to: sent.owned("to"),
                what: (says_kind && !what.is_empty()).then_some(what),
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

/// A bare number takes the unit of what was asked.
fn with_unit(typed: &str, what: &str) -> String {
    let is_bare = !typed.is_empty()
        && typed
            .chars()
            .all(|letter| letter.is_ascii_digit() || ".,+-−".contains(letter));
    match Unit::of(what).first().filter(|_| is_bare) {
        Some(unit) => format!("{typed}{}", unit.text),
        None => typed.to_owned(),
    }
}

/// How the set stands while it is read.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Stand {
    line: String,
    lamp: String,
    pulled: Vec<String>,
    plug_out: bool,
    meter: String,
}

impl Stand {
    /// As it was said on the page, or as it stood at the last reading.
    fn of(bench: &Bench) -> Result<Stand, Trouble> {
        if let Some(said) = bench.stand() {
            return Ok(said);
        }
        let story = bench.story()?;
        let last = story
            .entries
            .iter()
            .rev()
            .find(|entry| entry.kind == "measured");
        let Some(last) = last else {
            return Ok(Stand::default());
        };
        let text = |key: &str| {
            last.says
                .get(key)
                .map_or_else(String::new, |value| match value {
                    serde_json::Value::String(text) => text.clone(),
                    serde_json::Value::Array(list) => list
                        .iter()
                        .map(ToString::to_string)
                        .collect::<Vec<_>>()
                        .join("+"),
                    serde_json::Value::Null => String::new(),
                    other => other.to_string(),
                })
        };
        let list = |key: &str| match last.says.get(key) {
            Some(serde_json::Value::Array(list)) => list
                .iter()
                .filter_map(|own| own.as_str().map(str::to_owned))
                .collect(),
            Some(serde_json::Value::String(text)) => vec![text.clone()],
            _ => Vec::new(),
        };
        Ok(Stand {
            line: text("line_volts"),
            lamp: text("lamp_watts"),
            pulled: list("pulled"),
            plug_out: last
                .says
                .get("plug_out")
                .is_some_and(|own| own == true || own == "yes"),
            meter: text("meter"),
        })
    }

    /// Checked, as an entry takes it.
    fn conditions(&self) -> Result<Conditions, Trouble> {
        let hint = "change it under \"How the set stands\"";
        let line = match self.line.as_str() {
            "" => None,
            text => {
                Some(bench_words::line_volts(text).map_err(|error| Trouble::input(error, hint))?)
            }
        };
        let lamps = match self.lamp.as_str() {
            "" => Vec::new(),
            text => bench_words::lamp_watts(text).map_err(|error| Trouble::input(error, hint))?,
        };
        Ok(Conditions {
            plug_out: self.plug_out,
            line_volts: line.filter(|_| !self.plug_out),
            lamp_watts: if self.plug_out { Vec::new() } else { lamps },
            pulled: self.pulled.clone(),
            ..Conditions::default()
        })
    }

    fn in_words(&self) -> String {
        let mut words = Vec::new();
        if self.plug_out {
            words.push("plug out".to_owned());
        } else {
            words.push(match self.line.as_str() {
                "" => "line not said".to_owned(),
                line => format!("line {line} V"),
            });
            words.push(match self.lamp.as_str() {
                "" => "no lamp".to_owned(),
                lamp => format!("lamp {lamp} W"),
            });
        }
        if !self.pulled.is_empty() {
            words.push(format!("without {}", self.pulled.join(", ")));
        }
        words.push(match self.meter.as_str() {
            "" => "meter not said".to_owned(),
            meter => format!("meter {meter}"),
        });
        words.join(", ")
    }
}

fn as_before(bench: &Bench, back: &str) -> Markup {
    let stand = match Stand::of(bench) {
        Ok(stand) => stand,
        Err(own) => return pieces::trouble(&own),
    };
    html! {
        details .stand {
            summary { "How the set stands: " (stand.in_words()) }
            form .quiet method="post" action="/readings/conditions" {
                input type="hidden" name="back" value=(back);
                (pieces::choice("plug_out", "The plug is out", stand.plug_out))
                (pieces::text("line", "Line volts, as read", &stand.line, ""))
                (pieces::text("lamp", "Lamp in series, watts", &stand.lamp, ""))
                (pieces::text("pulled", "Tubes out of their sockets", &stand.pulled.join(", "), ""))
                (pieces::text("meter", "Meter, such as 10M or 20k/V 500 V", &stand.meter, ""))
                (pieces::send("So it stands"))
            }
        }
    }
}

async fn conditions(State(bench): State<Arc<Bench>>, sent: Sent) -> Response {
    let stand = Stand {
        line: sent.owned("line"),
        lamp: sent.owned("lamp"),
        pulled: sent.list("pulled"),
        plug_out: sent.ticked("plug_out"),
        meter: sent.owned("meter"),
    };
    let to = match sent.text("back") {
        back if back.starts_with("/readings") => back.to_owned(),
        _ => "/readings".to_owned(),
    };
    entered(
        bench,
        to,
        move |bench| {
            stand.conditions()?;
            if !stand.meter.is_empty() {
                let wrong = |error| Trouble::input(error, "such as 10M, or 20k/V 500 V");
                bench_words::meter(&stand.meter).map_err(wrong)?;
            }
            bench.stands(stand);
            Ok(())
        },
        move |bench, refused| {
            let main = html! { (pieces::trouble(&refused)) (as_before(bench, "/readings")) };
            framed(
                bench,
                Page {
                    title: "Readings",
                    at: "/readings",
                    main,
                },
            )
        },
    )
    .await
}
