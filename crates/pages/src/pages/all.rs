//! Every page in the order in which the job needs them.
//!
//! Nothing here fails.

use std::sync::Arc;

use axum::Router;
use axum::extract::State;
use axum::routing::get;
use maud::{Markup, html};

use crate::bench::Bench;
use crate::frame::{Page, framed};

/// A page as the list names it: address, name, what it is for.
type Named = (&'static str, &'static str, &'static str);

/// The pages under their heads. A page that is added stands here as well.
const PAGES: &[(&str, &[Named])] = &[
    (
        "The set",
        &[
            ("/", "Where it stands", "what was done, and what comes next"),
            ("/look", "Look-over", "what to look at, and what was found"),
            ("/photographs", "Photographs", "taken here, kept whole"),
            ("/chassis", "Chassis", "every tube on a photograph"),
            ("/sheet", "The sheet", "its text, its faults, its rows"),
            (
                "/sheet/list",
                "Parts for a spreadsheet",
                "a list out, and back in",
            ),
        ],
    ),
    (
        "At the bench",
        &[
            ("/fit", "A part was replaced", "what is there now"),
            (
                "/change",
                "Something else was changed",
                "a wire, a socket, a setting",
            ),
            ("/test", "On the tester", "what it said of a tube or a part"),
            ("/decide", "A decision", "and its reason"),
        ],
    ),
    (
        "The picture tube",
        &[(
            "/picture",
            "Picture tube",
            "its verdict, and what is found of it",
        )],
    ),
    (
        "With power",
        &[
            (
                "/power",
                "Power-up",
                "step by step, every reading judged at once",
            ),
            (
                "/readings",
                "Readings",
                "tap a tube's base, or name a place",
            ),
        ],
    ),
    (
        "What a meter should show",
        &[
            ("/wake", "The plan", "the first power-up, read beforehand"),
            ("/expect", "Readings", "under conditions of the bench"),
            ("/ohms", "Cold resistances", "the plug out"),
            ("/chart", "The maker's chart", "beside the sheet"),
            ("/tube", "A tube", "base, ratings, near types"),
        ],
    ),
    (
        "Which part",
        &[
            ("/suspects", "Suspects", "which part explains the readings"),
            (
                "/suspects/as-read",
                "Reading by reading",
                "how the weights came about",
            ),
            ("/next", "Next measurement", "what each outcome would mean"),
            (
                "/suspects/noticed",
                "Noticed",
                "what picture, sound, nose and hand tell",
            ),
        ],
    ),
    (
        "Parts of today",
        &[
            ("/renew", "Replacement", "what to replace, and with what"),
            ("/order", "What to buy", "ticked off as it goes in"),
            ("/silicon", "Silicon for selenium", "resistor, diode, line"),
            ("/reform", "Re-forming", "an electrolytic outside the set"),
            (
                "/worth",
                "Is it worth the work?",
                "and which test comes first",
            ),
        ],
    ),
    (
        "At the end",
        &[
            (
                "/prove",
                "Safety proof",
                "the check list before the set is handed over",
            ),
            ("/sign", "Sign the list", "who stands for it"),
            ("/report", "The report", "what is handed on, and labels"),
            ("/keep", "Keeping", "a copy, and readable files"),
            ("/devices", "Devices", "let a phone in, take its leave back"),
            ("/practice", "Practice", "a hidden fault to look for"),
        ],
    ),
    (
        "For keeps",
        &[(
            "/story",
            "Story",
            "every entry; tell one anew, or take it back",
        )],
    ),
];

/// The route of this page.
pub fn routes() -> Router<Arc<Bench>> {
    Router::new().route("/all", get(all))
}

async fn all(State(bench): State<Arc<Bench>>) -> Markup {
    let main = html! {
        @for (head, pages) in PAGES {
            h2 { (head) }
            ul .rows {
                @for (at, name, words) in *pages {
                    li { a .row href=(at) { b { (name) } span { (words) } } }
                }
            }
        }
    };
    framed(
        &bench,
        Page {
            title: "All pages",
            at: "/all",
            main,
        },
    )
}
