//! One entry of the story in a line, and what was said when it was made.
//!
//! Nothing here fails.

use benchwork::view::EntryView;
use maud::{Markup, html};

use crate::bench::Bench;
use crate::pieces::{judged, notices};
use crate::words::when;

/// What was said with the entry that the page before made: its words, the verdict on a reading, what is to be
/// heeded. Nothing where no entry is named, or where the bench was opened anew since.
pub fn made(bench: &Bench, number: Option<u64>) -> Markup {
    let view = number.and_then(|number| bench.said_with(number));
    html! {
        @if let Some(view) = view {
            section .made role="status" {
                p { b { "Entered." } " " (view.entry.text) }
                (notices(&view.notices))
            }
            @if let Some(own) = &view.judged { (judged(own, view.entry.number)) }
        }
    }
}

/// Its number, when, and its words.
pub fn entry_line(entry: &EntryView) -> Markup {
    html! {
        span .number-of { (entry.number) }
        span .words {
            (short(&entry.text))
            time datetime=(entry.at) { (when(&entry.at)) }
        }
    }
}

/// Letters of an entry in a list; the whole text stands on its own page.
const LETTERS: usize = 160;

fn short(text: &str) -> std::borrow::Cow<'_, str> {
    match text.char_indices().nth(LETTERS) {
        None => text.into(),
        Some((end, _)) => {
            let cut = text[..end].rfind(' ').unwrap_or(end);
            format!("{}…", &text[..cut]).into()
        }
    }
}
