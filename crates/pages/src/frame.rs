//! The frame of every page: head, the way back, the line that tells whether the laptop is there, the stop.
//!
//! A page is whole without its script and asks nothing of another host. The main part stands alone, so that the
//! script can take it over from an answer. Nothing here fails.

use maud::{DOCTYPE, Markup, html};

use crate::assets;
use crate::bench::Bench;

/// A page of its own.
pub struct Page<'a> {
    /// Its name, as the top says it.
    pub title: &'a str,
    /// The address that shows it, for what is refreshed.
    pub at: &'a str,
    /// What stands on it.
    pub main: Markup,
}

/// The whole page.
pub fn framed(bench: &Bench, page: Page<'_>) -> Markup {
    let step = bench.step_at_hand();
    let has_power = step.as_ref().is_some_and(|step| step.has_power());
    html! {
        (DOCTYPE)
        html lang="en" {
            (head(page.title, &bench.name()))
            body data-last=(bench.live.last()) data-book=(bench.book()) {
                a .skip href="#main" { "To the page" }
                header .top {
                    nav aria-label="Pages" {
                        @if bench.is_begun() {
                            a .home href="/" { "Where it stands" }
                            a .home href="/all" { "All pages" }
                        } @else {
                            a .home href="/begin" { "How to begin" }
                            a .home href="/devices" { "Devices" }
                        }
                    }
                    p .set { (bench.name()) }
                }
                div #link role="status" aria-live="polite" {}
                @if has_power && page.at != "/power" {
                    a .under-power href="/power" { "The set has power. Back to the step" }
                }
                main #main data-at=(page.at) tabindex="-1" {
                    h1 { (page.title) }
                    (page.main)
                }
                footer .foot {
                    p { "The voltages inside such a set can kill. One hand in the pocket, a second person in the room." }
                }
            }
        }
    }
}

/// A page that stands outside of a restoration: pairing, a refusal.
pub fn bare(title: &str, main: Markup) -> Markup {
    html! {
        (DOCTYPE)
        html lang="en" {
            (head(title, "firstraster"))
            body {
                div #link role="status" aria-live="polite" {}
                main #main { h1 { (title) } (main) }
            }
        }
    }
}

fn head(title: &str, of: &str) -> Markup {
    html! {
        head {
            meta charset="utf-8";
            meta name="viewport" content="width=device-width, initial-scale=1";
            meta name="color-scheme" content="light dark";
            title { (title) " · " (of) }
            link rel="icon" href=(assets::address("bench.svg"));
            link rel="stylesheet" href=(assets::address("bench.css"));
            script defer src=(assets::address("bench.js")) {}
        }
    }
}
