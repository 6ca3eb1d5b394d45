//! What pages share: the frame around a main part, lists and tables of words.
//!
//! Nothing here fails.

use benchwork::Trouble;
pub use benchwork::figures::sentence;
use maud::{Markup, html};

use crate::bench::Bench;
use crate::frame::{Page, framed};
use crate::in_page_words::in_page_words;
use crate::pieces::trouble;

/// A page of this title and address.
pub fn page(bench: &Bench, title: &str, at: &str, main: Markup) -> Markup {
    framed(bench, Page { title, at, main })
}

/// What was refused, on top of a page.
pub fn refused(own: Option<&Trouble>) -> Markup {
    html! { @if let Some(own) = own { (trouble(own)) } }
}

/// A list of sentences under a head; nothing where there are none.
pub fn listed(head: &str, lines: &[String]) -> Markup {
    html! {
        @if !lines.is_empty() {
            h3 { (head) }
            ul { @for line in lines { li { (in_page_words(line)) } } }
        }
    }
}

/// The same, folded away until it is wanted.
pub fn folded(head: &str, lines: &[String]) -> Markup {
    html! {
        @if !lines.is_empty() {
            details {
                summary { (head) " (" (lines.len()) ")" }
                ul { @for line in lines { li { (in_page_words(line)) } } }
            }
        }
    }
}

/// Cautions that stand open; those behind them are folded away, so that the question stays in sight.
const CAUTIONS_OPEN: usize = 4;

/// Cautions, in their own frame.
pub fn cautions(lines: &[String]) -> Markup {
    let (first, rest) = lines.split_at(lines.len().min(CAUTIONS_OPEN));
    html! {
        @if !first.is_empty() {
            ul .cautions { @for line in first { li { (in_page_words(line)) } } }
        }
        (folded("More cautions", rest))
    }
}

/// A table of words; the first cell of a row is its head, columns named in `figures` stand to the right.
pub fn table(words: &str, heads: &[&str], figures: &[usize], rows: &[Vec<String>]) -> Markup {
    let of = |column: usize| figures.contains(&column).then_some("figure");
    html! {
        div .scroll tabindex="0" role="group" aria-label=(words) {
            table {
                thead { tr { @for (column, head) in heads.iter().enumerate() { (head_cell(head, of(column))) } } }
                tbody {
                    @for row in rows {
                        tr {
                            @for (column, cell) in row.iter().enumerate() {
                                @if column == 0 { th scope="row" { (cell) } }
                                @else { td class=[of(column)] { (cell) } }
                            }
                        }
                    }
                }
            }
        }
    }
}

/// The head of a column; one without words is none.
fn head_cell(head: &str, class: Option<&str>) -> Markup {
    html! {
        @if head.is_empty() { td {} }
        @else { th scope="col" class=[class] { (head) } }
    }
}

/// Links that act, one below the other: address, name, words.
pub fn rows(links: &[(String, String, String)]) -> Markup {
    html! {
        ul .rows {
            @for (at, name, words) in links {
                li { a .row href=(at) { b { (name) } @if !words.is_empty() { span { (words) } } } }
            }
        }
    }
}
