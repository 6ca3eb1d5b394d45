//! The chassis as a map on another page: where what is spoken of sits, on the photograph that shows most of it.
//!
//! What is spoken of has a ring and its name; all other marks are dots. Nothing is shown where no photograph has a mark
//! of any. Reads stored facts; a file that cannot be read is told by the page around.

use benchwork::find_on_photographs;
use benchwork::view::{MarkView, WhereView};
use maud::{Markup, html};

use crate::bench::Bench;
use crate::later;
use crate::words::in_address;

/// The photograph with these tubes, parts and places; each leads to its address, where it has one.
pub fn on_the_chassis(bench: &Bench, named: &[(String, Option<String>)]) -> Markup {
    let names: Vec<String> = named.iter().map(|(name, _)| name.clone()).collect();
    match find_on_photographs(bench.file(), &names) {
        Ok(Some(view)) => map(&view, named),
        Ok(None) | Err(_) => html! {},
    }
}

/// The place of a map of these names, which comes after the page: what is asked stands without it.
pub fn where_it_is(named: &[String]) -> Markup {
    html! { @if !named.is_empty() { (later::place(&map_question(named), "where that is on the chassis")) } }
}

/// The address of such a map.
pub fn map_question(named: &[String]) -> String {
    let named: Vec<String> = named
        .iter()
        .map(|name| format!("at={}", in_address(name)))
        .collect();
    format!("/later/map?{}", named.join("&"))
}

/// A mark with what is spoken of there.
struct Spot<'a> {
    mark: &'a MarkView,
    names: Vec<&'a str>,
}

/// The marks, each once, with all that is found there.
fn spots(view: &WhereView) -> Vec<Spot<'_>> {
    let mut spots: Vec<Spot<'_>> = Vec::new();
    for found in &view.found {
        for mark in &found.at {
            match spots.iter_mut().find(|own| own.mark.part == mark.part) {
                Some(own) => own.names.push(&found.named),
                None => spots.push(Spot {
                    mark,
                    names: vec![&found.named],
                }),
            }
        }
    }
    spots
}

fn map(view: &WhereView, named: &[(String, Option<String>)]) -> Markup {
    let spots = spots(view);
    let shows = if view.shows.is_empty() {
        &view.name
    } else {
        &view.shows
    };
    let others = view
        .others
        .iter()
        .filter(|mark| !spots.iter().any(|own| own.mark.part == mark.part));
    // Of several at one tube the one that was named first.
    let leads = |own: &Spot<'_>| {
        let first = own.names.first()?;
        let (_, leads) = named.iter().find(|(name, _)| name == first)?;
        leads.clone()
    };
    html! {
        figure .picture {
            div .scroll tabindex="0" role="group" aria-label={ "Photograph: " (shows) } {
                div .chassis {
                    img src={ "/photographs/" (view.photograph) "/upright" } alt=(shows);
                    svg .over width="100%" height="100%" {
                        @for mark in others { (at(mark, &html! { circle .dot r="5" {} })) }
                        @for own in &spots {
                            @let ring = at(own.mark, &html! {
                                circle .hit r="37" {}
                                circle .ring r="19" {}
                                text text-anchor="middle" dy=".35em" { (own.mark.part) }
                            });
                            @match leads(own) {
                                Some(leads) => a href=(leads) aria-label=(words(own)) { (ring) },
                                None => (ring),
                            }
                        }
                    }
                }
            }
            figcaption { "On the chassis: " (spots.iter().map(words).collect::<Vec<_>>().join("; ")) "." }
        }
    }
}

fn at(mark: &MarkView, drawn: &Markup) -> Markup {
    let percent = |fraction: f64| format!("{:.2}%", fraction * 100.0);
    html! {
        svg x=(percent(mark.across)) y=(percent(mark.down)) overflow="visible" width="1" height="1" { (drawn) }
    }
}

fn words(own: &Spot<'_>) -> String {
    let part = &own.mark.part;
    let others: Vec<&str> = own
        .names
        .iter()
        .copied()
        .filter(|name| !name.eq_ignore_ascii_case(part))
        .collect();
    match others.is_empty() {
        true => part.clone(),
        false => format!("{} at {part}", others.join(", ")),
    }
}
