//! The look-over: the things to see, area by area, one thing a screen, and what was noted of each.
//!
//! The list is that of `see`. A finding is one of the usual ones or in own words; after it comes the next thing
//! that nobody has looked at. Fails with the trouble of the entry in words; nothing is entered then.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Query, State};
use axum::response::Response;
use axum::routing::get;
use benchwork::view::{SeenOfView, ThingToSeeView, ThingsToSeeView};
use benchwork::{Seen, Trouble, note_seen, tell_seen_of};
use maud::{Markup, html};

use crate::bench::Bench;
use crate::entry::{Sent, entered, hidden, shown};
use crate::frame::{Page, framed};
use crate::pieces::{self, NAMES};
use crate::words::{in_address, when};

/// The name under which a thing in own words is asked for.
const OWN: &str = "own";

/// How many findings of one thing are shown, the last ones.
const NOTED: usize = 20;

/// The routes of this page.
pub fn routes() -> Router<Arc<Bench>> {
    Router::new().route("/look", get(look).post(note))
}

async fn look(
    State(bench): State<Arc<Bench>>,
    Query(chosen): Query<Vec<(String, String)>>,
) -> Response {
    let chosen = Sent::of(chosen);
    shown(bench, move |bench| page(bench, None, &chosen)).await
}

async fn note(State(bench): State<Arc<Bench>>, sent: Sent) -> Response {
    let typed = sent.clone();
    let thing = match sent.text("thing") {
        OWN => sent.owned("what"),
        name => name.to_owned(),
    };
    let next = match (sent.text("then"), sent.text("thing")) {
        ("same", own) => format!("/look?thing={}", in_address(own)),
        _ if sent.text("after").is_empty() => "/look".to_owned(),
        _ => format!("/look?thing={}", in_address(sent.text("after"))),
    };
    entered(
        bench,
        next,
        move |bench| {
            let found = [sent.text("found"), sent.text("words")];
            let found: Vec<&str> = found.into_iter().filter(|own| !own.is_empty()).collect();
            let seen = Seen {
                thing,
                found: found.join("; "),
                part: sent.owned("part"),
                note: sent.owned("note"),
                ..Seen::default()
            };
            note_seen(&sent.entering(bench)?, seen, None)
        },
        move |bench, refused| page(bench, Some(refused), &typed),
    )
    .await
}

fn page(bench: &Bench, refused: Option<Trouble>, typed: &Sent) -> Markup {
    let main = match tell_seen_of(bench.file(), None) {
        Ok(list) => html! {
            @if let Some(refused) = &refused { (pieces::trouble(refused)) }
            (pieces::made(bench, typed.entry("made")))
            @let name = typed.text("thing");
            @match list.things.iter().find(|thing| thing.name == name) {
                Some(thing) => { (one(bench, &list, thing, typed)) },
                None if name == OWN => { (in_own_words(bench, typed)) },
                None => { (all(&list)) },
            }
        },
        Err(own) => pieces::trouble(&own),
    };
    framed(
        bench,
        Page {
            title: "Look-over",
            at: "/look",
            main,
        },
    )
}

/// The next thing behind this one that nobody has looked at, from the beginning again where none follows.
fn next_unseen<'v>(list: &'v ThingsToSeeView, behind: &str) -> Option<&'v ThingToSeeView> {
    let at = list.things.iter().position(|thing| thing.name == behind);
    let (before, after) = list.things.split_at(at.map_or(0, |at| at + 1));
    let mut in_turn = after.iter().chain(before);
    in_turn.find(|thing| thing.seen.is_empty() && thing.name != behind)
}

fn all(list: &ThingsToSeeView) -> Markup {
    let looked = list.things.iter().filter(|thing| !thing.seen.is_empty());
    let mut areas: Vec<&str> = Vec::new();
    for thing in &list.things {
        if !areas.contains(&thing.area.as_str()) {
            areas.push(&thing.area);
        }
    }
    html! {
        p .lead { "Plug out, every capacitor proved empty with the meter. Then look, and touch as little as you can." }
        section #things data-live="" {
            p { b { (looked.count()) " of " (list.things.len()) } " looked at." }
            @if let Some(next) = next_unseen(list, "") {
                p { a .button.wide href={ "/look?thing=" (in_address(&next.name)) } { "Next: " (next.thing) } }
            }
            @for area in areas {
                h2 { (capital(area)) }
                ul .rows {
                    @for thing in list.things.iter().filter(|thing| thing.area == area) {
                        li { a .row href={ "/look?thing=" (in_address(&thing.name)) } {
                            b { (thing.thing) }
                            @match thing.seen.last() {
                                Some(seen) => { span { "✓ " (finding(seen)) @if thing.seen.len() > 1 { ", and " (thing.seen.len() - 1) " more" } } },
                                None => { span { "○ not looked at" } },
                            }
                        } }
                    }
                }
            }
            h2 { "In your own words" }
            @if !list.own.is_empty() {
                ul .rows {
                    @for seen in &list.own {
                        li { a .row href={ "/story/" (seen.number) } { b { (seen.thing) } span { "✓ " (finding(seen)) } } }
                    }
                }
            }
            p { a .button.wide href={ "/look?thing=" (OWN) } { "Note anything else" } }
        }
    }
}

fn one(bench: &Bench, list: &ThingsToSeeView, thing: &ThingToSeeView, typed: &Sent) -> Markup {
    let place = list.things.iter().position(|own| own.name == thing.name);
    let next = next_unseen(list, &thing.name);
    let choices: Vec<(&str, &str)> = thing
        .findings
        .iter()
        .map(|own| (own.as_str(), own.as_str()))
        .collect();
    html! {
        p .count { (capital(&thing.area)) ", " (place.map_or(1, |at| at + 1)) " of " (list.things.len()) }
        h2 .step { (capital(&thing.thing)) }
        @if !thing.look.is_empty() { p .lead { "Look: " (thing.look) } }
        @if !thing.caution.is_empty() { ul .cautions { li { (thing.caution) } } }
        @if !thing.seen.is_empty() { (noted(&thing.seen)) }
        form method="post" action="/look" data-keep="" {
            (hidden(bench))
            input type="hidden" name="thing" value=(thing.name);
            input type="hidden" name="after" value=(next.map_or("", |next| &next.name));
            (pieces::one_of("found", "What do you find?", typed.text("found"), &choices))
            (pieces::text("words", "Or in your own words", typed.text("words"), ""))
            (pieces::text("part", "Which part, if it is one", typed.text("part"), NAMES))
            (pieces::remark(typed.text("note")))
            (pieces::names(bench))
            button .send type="submit" name="then" value="next" { "Note it" }
            button .send.second type="submit" name="then" value="same" { "Note it, and another one of these" }
        }
        (beside(&thing.thing, next))
    }
}

fn in_own_words(bench: &Bench, typed: &Sent) -> Markup {
    html! {
        form method="post" action="/look" data-keep="" {
            (hidden(bench))
            input type="hidden" name="thing" value=(OWN);
            (pieces::text("what", "What did you look at?", typed.text("what"), ""))
            (pieces::text("words", "What did you find?", typed.text("words"), ""))
            (pieces::text("part", "Which part, if it is one", typed.text("part"), NAMES))
            (pieces::remark(typed.text("note")))
            (pieces::names(bench))
            (pieces::send("Note it"))
        }
        (beside("", None))
    }
}

/// What else can be done from here.
fn beside(shows: &str, next: Option<&ThingToSeeView>) -> Markup {
    html! {
        ul .rows {
            li { a .row href={ "/photographs?shows=" (in_address(shows)) "#take" } { b { "Add a photograph" } } }
            @if let Some(next) = next {
                li { a .row href={ "/look?thing=" (in_address(&next.name)) } { b { "Pass over" } span { "next: " (next.thing) } } }
            }
            li { a .row href="/look" { b { "The whole list" } } }
        }
    }
}

fn noted(seen: &[SeenOfView]) -> Markup {
    html! {
        section #noted data-live="" {
            h3 { "Noted so far" }
            ul .rows {
                @for own in seen.iter().rev().take(NOTED) {
                    li { a .row href={ "/story/" (own.number) } { b { (finding(own)) } span { (when(&own.at)) } } }
                }
            }
            @if seen.len() > NOTED { p .hint { "The last " (NOTED) " of " (seen.len()) "; the story has all." } }
        }
    }
}

fn finding(seen: &SeenOfView) -> String {
    match seen.part.as_str() {
        "" => seen.found.clone(),
        part => format!("{part}: {}", seen.found),
    }
}

/// With a large first letter.
fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}
