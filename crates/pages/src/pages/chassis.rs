//! The chassis as a map: a photograph on which every tube has its mark, and a mark leads to the tube's readings.
//!
//! A tube is placed by tapping the photograph or with the arrow keys, and without a script by two figures: percent
//! of its width from the left edge and of its height from the upper edge. Fails with the trouble of the entry in
//! words, what was typed still in its fields; nothing is entered then.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Query, State};
use axum::response::Response;
use axum::routing::{get, post};
use benchwork::view::{ChassisPhotographView, ChassisView, MarkView};
use benchwork::{Placed, Trouble, place_on_photograph, take_off_photograph, tell_chassis};
use maud::{Markup, html};

use crate::bench::Bench;
use crate::entry::{Sent, entered, hidden, shown};
use crate::frame::{Page, framed};
use crate::later;
use crate::pieces;
use crate::words::in_address;

/// Names that a map is asked for at most.
const MOST_NAMED: usize = 12;

/// The routes of this page.
pub fn routes() -> Router<Arc<Bench>> {
    Router::new()
        .route("/chassis", get(chassis).post(place))
        .route("/chassis/off", post(take_off))
        .route("/later/map", get(map_of))
}

async fn chassis(
    State(bench): State<Arc<Bench>>,
    Query(chosen): Query<Vec<(String, String)>>,
) -> Response {
    let chosen = Sent::of(chosen);
    shown(bench, move |bench| page(bench, None, &chosen)).await
}

/// Where the places and parts named are, for a page that speaks of them.
async fn map_of(
    State(bench): State<Arc<Bench>>,
    Query(asked): Query<Vec<(String, String)>>,
) -> Markup {
    let asked = asked.into_iter().filter(|(name, _)| name == "at");
    let named: Vec<String> = asked.map(|(_, at)| at).take(MOST_NAMED).collect();
    let question = pieces::map_question(&named);
    later::answer(&bench, &question, move |bench, _| {
        let named: Vec<_> = named.into_iter().map(|name| (name, None)).collect();
        Ok(pieces::on_the_chassis(bench, &named))
    })
    .await
}

async fn place(State(bench): State<Arc<Bench>>, sent: Sent) -> Response {
    let typed = sent.clone();
    let next = format!(
        "/chassis?photo={}&place=yes",
        in_address(sent.text("photo"))
    );
    entered(
        bench,
        next,
        move |bench| {
            let placed = Placed {
                part: sent.owned("part"),
                photograph: sent.owned("photo"),
                across: fraction(&sent, "across", "Percent from the left")?,
                down: fraction(&sent, "down", "Percent from the top")?,
            };
            place_on_photograph(&sent.entering(bench)?, placed)
        },
        move |bench, refused| page(bench, Some(refused), &typed),
    )
    .await
}

async fn take_off(State(bench): State<Arc<Bench>>, sent: Sent) -> Response {
    let typed = sent.clone();
    let next = format!(
        "/chassis?photo={}&place=yes",
        in_address(sent.text("photo"))
    );
    entered(
        bench,
        next,
        move |bench| {
            take_off_photograph(
                &sent.entering(bench)?,
                sent.text("part"),
                sent.text("photo"),
            )
        },
        move |bench, refused| page(bench, Some(refused), &typed),
    )
    .await
}

fn fraction(sent: &Sent, name: &str, called: &str) -> Result<f64, Trouble> {
    let percent = sent.number(name, called)?;
    match percent.filter(|percent| (0.0..=100.0).contains(percent)) {
        Some(percent) => Ok(percent / 100.0),
        None => Err(Trouble::input(
            format!("{called}: `{}` read, 0 to 100 expected", sent.text(name)),
            "tap the place on the photograph, or type how far it is from that edge",
        )),
    }
}

fn page(bench: &Bench, refused: Option<Trouble>, chosen: &Sent) -> Markup {
    let main = match tell_chassis(bench.file()) {
        Ok(view) => html! {
            @if let Some(refused) = &refused { (pieces::trouble(refused)) }
            (pieces::made(bench, chosen.entry("made")))
            (main(bench, &view, chosen))
            (pieces::notices(&view.notices))
        },
        Err(own) => pieces::trouble(&own),
    };
    framed(
        bench,
        Page {
            title: "Chassis",
            at: "/chassis",
            main,
        },
    )
}

fn main(bench: &Bench, view: &ChassisView, chosen: &Sent) -> Markup {
    let asked = chosen.text("photo");
    let own = view.photographs.iter().find(|own| own.photograph == asked);
    let marked = || {
        view.photographs
            .iter()
            .rev()
            .find(|own| !own.marks.is_empty())
    };
    let is_list = chosen.ticked("all");
    match own.or_else(|| marked().filter(|_| !is_list)) {
        None => photographs(view),
        Some(own) => match (chosen.text("part"), chosen.ticked("place")) {
            ("", false) => map(view, own, chosen.ticked("large")),
            ("", true) => which_tube(view, own),
            (part, _) => where_is(bench, own, part, chosen),
        },
    }
}

fn photographs(view: &ChassisView) -> Markup {
    html! {
        @if view.photographs.is_empty() {
            p { "A map needs a photograph of the chassis from above, with all tubes in view." }
            p { a .button.wide href="/photographs?shows=chassis%20from%20above" { "Take one" } }
        } @else {
            h2 { "Which photograph shows the chassis?" }
            ul .photographs {
                @for own in view.photographs.iter().rev() {
                    li { a .row href={ "/chassis?photo=" (own.photograph) } {
                        img src={ "/photographs/" (own.photograph) "/upright" } alt="" loading="lazy";
                        b { (name(own)) }
                        span { (own.marks.len()) " marked" }
                    } }
                }
            }
        }
    }
}

fn name(own: &ChassisPhotographView) -> &str {
    match own.shows.as_str() {
        "" => &own.name,
        shows => shows,
    }
}

fn called(mark: &MarkView) -> String {
    match &mark.type_number {
        Some(kind) => format!("{}, {kind}", mark.part),
        None => mark.part.clone(),
    }
}

/// Where the readings of a part are.
fn readings(part: &str) -> String {
    format!("/readings/{}", in_address(part))
}

fn map(view: &ChassisView, own: &ChassisPhotographView, large: bool) -> Markup {
    let photo = &own.photograph;
    html! {
        p .lead { "Tap a tube: its readings follow." }
        (drawn(own, large, &html! {
            @for mark in &own.marks {
                a href=(readings(&mark.part)) aria-label=(called(mark)) { (circle(mark)) }
            }
        }, None))
        @if !view.not_placed.is_empty() {
            p { "Marked on no photograph: " (view.not_placed.iter().map(|own| own.part.as_str()).collect::<Vec<_>>().join(", ")) }
        }
        p { a .button.wide href={ "/chassis?photo=" (photo) "&place=yes" } { "Place tubes" } }
        p { a .button.wide href={ "/chassis?photo=" (photo) (if large { "" } else { "&large=yes" }) } {
            @if large { "As wide as the page" } @else { "Twice as large" }
        } }
        @if !own.marks.is_empty() {
            details {
                summary { "The same as a list" }
                ul .rows {
                    @for mark in &own.marks { li { a .row href=(readings(&mark.part)) { b { (mark.part) } @if let Some(kind) = &mark.type_number { span { (kind) } } } } }
                }
            }
        }
        p { a .button.wide href="/chassis?all=yes" { "Another photograph" } }
    }
}

/// The photograph with what is drawn over it. `label` where it takes a place by taps and keys.
fn drawn(own: &ChassisPhotographView, large: bool, over: &Markup, label: Option<&str>) -> Markup {
    html! {
        div .scroll tabindex="0" role="group" aria-label={ "Photograph: " (name(own)) } {
            div .chassis.large[large] data-chassis=[label] {
                img src={ "/photographs/" (own.photograph) "/upright" } alt=(name(own));
                svg .over width="100%" height="100%" { (over) }
            }
        }
    }
}

fn percent(fraction: f64) -> String {
    format!("{:.2}%", fraction * 100.0)
}

fn circle(mark: &MarkView) -> Markup {
    html! {
        svg x=(percent(mark.across)) y=(percent(mark.down)) overflow="visible" width="1" height="1" {
            circle .hit r="37" {}
            circle .ring r="19" {}
            text text-anchor="middle" dy=".35em" { (mark.part) }
        }
    }
}

fn which_tube(view: &ChassisView, own: &ChassisPhotographView) -> Markup {
    let address = |part: &str| {
        format!(
            "/chassis?photo={}&part={}",
            own.photograph,
            in_address(part)
        )
    };
    html! {
        h2 { "Which tube do you place?" }
        @if !view.not_placed.is_empty() {
            ul .tubes {
                @for tube in &view.not_placed {
                    li { a .button href=(address(&tube.part)) { b { (tube.part) } " " (tube.type_number) } }
                }
            }
        }
        @if !own.marks.is_empty() {
            h3 { "Placed on this photograph; to move or take off" }
            ul .tubes {
                @for mark in &own.marks {
                    li { a .button href=(address(&mark.part)) { b { "✓ " (mark.part) } @if let Some(kind) = &mark.type_number { " " (kind) } } }
                }
            }
        }
        form method="get" action="/chassis" {
            input type="hidden" name="photo" value=(own.photograph);
            (pieces::text("part", "Or another part", "", ""))
            (pieces::send("Place it"))
        }
        p { a .button.wide href={ "/chassis?photo=" (own.photograph) } { "Back to the map" } }
    }
}

/// A figure of percent as a field has it.
fn figure(fraction: f64) -> String {
    format!("{:.1}", fraction * 100.0)
}

fn where_is(bench: &Bench, own: &ChassisPhotographView, part: &str, typed: &Sent) -> Markup {
    let mark = own
        .marks
        .iter()
        .find(|mark| mark.part.eq_ignore_ascii_case(part));
    let (across, down) = mark.map_or((0.5, 0.5), |mark| (mark.across, mark.down));
    let typed_or = |name: &str, own: f64| typed.some(name).unwrap_or_else(|| figure(own));
    let label = format!("Where is {part}?");
    html! {
        h2 { (label) }
        p #about-cross { "Tap its place on the photograph. The arrow keys and the buttons move the cross a little." }
        (drawn(own, typed.ticked("large"), &html! {
            @for mark in own.marks.iter().filter(|mark| !mark.part.eq_ignore_ascii_case(part)) { (circle(mark)) }
            svg .cross x=(percent(across)) y=(percent(down)) overflow="visible" width="1" height="1" {
                path .under d="M-34 0H34M0 -34V34" {}
                path d="M-34 0H34M0 -34V34" {}
                circle r="19" {}
            }
        }, Some(&label)))
        form .place method="post" action="/chassis" data-keep="" {
            (hidden(bench))
            input type="hidden" name="photo" value=(own.photograph);
            input type="hidden" name="part" value=(part);
            div .nudges data-only-script="" hidden role="group" aria-label="Move the cross" {
                @for (sign, words, right, lower) in [("←", "to the left", "-1", "0"), ("↑", "up", "0", "-1"), ("↓", "down", "0", "1"), ("→", "to the right", "1", "0")] {
                    button type="button" aria-label=(words) data-right=(right) data-lower=(lower) { (sign) }
                }
            }
            (pieces::send("It is there"))
            div .two {
                (pieces::text("across", "Percent from the left", &typed_or("across", across), ""))
                (pieces::text("down", "Percent from the top", &typed_or("down", down), ""))
            }
        }
        @if mark.is_some() {
            details .other {
                summary { "Take its mark off" }
                form method="post" action="/chassis/off" data-keep="" {
                    (hidden(bench))
                    input type="hidden" name="photo" value=(own.photograph);
                    input type="hidden" name="part" value=(part);
                    (pieces::send("Take it off"))
                }
            }
        }
        p { a .button.wide href={ "/chassis?photo=" (own.photograph) "&place=yes" } { "Another tube" } }
    }
}
