//! The check list as a part of a page: how it stands, what failed first, then what is open, then the rest.
//!
//! Figures in the unit of the item. Nothing here fails.

use benchwork::view::{ProofItemView, ProofView};
use maud::{Markup, html};

use crate::pages::plain::rows;
use crate::pieces::{notices, picture};
use crate::words::{in_address, when};

/// The states in the order of their weight, with their words and signs.
pub const STATES: [(&str, &str, &str); 4] = [
    ("failed", "Failed", "■"),
    ("open", "Open", "○"),
    ("met", "Met", "●"),
    ("not_of_this_set", "Not of this set", "–"),
];

/// The list.
pub fn list(view: &ProofView) -> Markup {
    let counts = &view.counts;
    html! {
        p .lead { b { (counts.failed) " failed, " (counts.open) " open, " (counts.met) " met." } }
        p {
            @match view.chassis {
                "isolated" => { "By its sheet the chassis is parted from the line by a transformer." },
                "on_the_line" => { b { "By its sheet the chassis is on the line." } },
                _ => { "The sheet does not tell how the chassis stands to the line: taken as on it." },
            }
        }
        p {
            @match &view.signature {
                None => { "Not signed." },
                Some(own) if own.stands => { "Signed by " (own.by) " (entry " (own.entry) ", " (when(&own.at)) "); nothing was entered since." },
                Some(own) => { "Signed by " (own.by) " (entry " (own.entry) ", " (when(&own.at)) "), but more was entered since: "
                    b { "the signature no longer covers the list." } },
            }
        }
        @for (state, head, sign) in STATES {
            @let own: Vec<&ProofItemView> = view.items.iter().filter(|item| item.state == state).collect();
            @if !own.is_empty() {
                h2 { span aria-hidden="true" { (sign) " " } (head) " (" (own.len()) ")" }
                (rows(&own.iter().map(|item| row(item)).collect::<Vec<_>>()))
            }
        }
        @if let Ok(svg) = pictures::proof::leakage(view) { (picture(&svg, "Leakage to ground at every point, four ways, against the limit")) }
        @if let Ok(svg) = pictures::proof::soak(view) { (picture(&svg, "The soak: warmth of the cabinet against minutes, with its limit")) }
        @for own in &view.unknown { p { "Not solved: " (own.what) ", because " (own.because) "." } }
        p { (view.words) }
        (notices(&view.notices))
    }
}

fn row(item: &ProofItemView) -> (String, String, String) {
    let open = item
        .slots
        .iter()
        .filter(|slot| slot.state == "open")
        .count();
    let still = match (item.state, open) {
        ("open", 2..) => format!(" {open} answers are lacking."),
        _ => String::new(),
    };
    (
        format!("/prove/{}", in_address(&item.key)),
        item.key.clone(),
        format!("{}.{still}", item.title),
    )
}
