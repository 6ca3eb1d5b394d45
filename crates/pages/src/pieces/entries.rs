//! One entry of the story in a line.
//!
//! Nothing here fails.

use benchwork::view::EntryView;
use maud::{Markup, html};

use crate::words::when;

/// Its number, when, and its words.
pub fn entry_line(entry: &EntryView) -> Markup {
    html! {
        span .number-of { (entry.number) }
        span .words {
            (entry.text)
            time datetime=(entry.at) { (when(&entry.at)) }
        }
    }
}
