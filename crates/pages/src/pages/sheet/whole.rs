//! The sheet as one text: looked at, checked, taken in.
//!
//! Checking enters nothing. Taking in goes by the version that the page was made from: where another was taken in
//! since, both texts are shown and nothing is written. Fails with every fault of the text, the text still there.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Query, State};
use axum::response::Response;
use axum::routing::get;
use benchwork::view::CheckView;
use benchwork::{PresentSheet, SheetFile, Trouble, check_sheet, present_sheet, take_in_over};
use maud::{Markup, PreEscaped, html};

use super::faults;
use crate::bench::Bench;
use crate::entry::{Sent, entered, hidden, shown};
use crate::frame::{Page, framed};
use crate::pieces;

/// The routes of this page.
pub fn routes() -> Router<Arc<Bench>> {
    Router::new().route("/sheet", get(sheet).post(send))
}

async fn sheet(
    State(bench): State<Arc<Bench>>,
    Query(chosen): Query<Vec<(String, String)>>,
) -> Response {
    let chosen = Sent::of(chosen);
    shown(bench, move |bench| {
        let main = match present_sheet(bench.file()) {
            Ok(present) => as_it_holds(bench, &present, chosen.entry("made")),
            Err(own) => pieces::trouble(&own),
        };
        page(bench, main)
    })
    .await
}

async fn send(State(bench): State<Arc<Bench>>, sent: Sent) -> Response {
    if sent.text("do") != "take" {
        return shown(bench, move |bench| page(bench, checked(bench, &sent))).await;
    }
    let typed = sent.clone();
    entered(
        bench,
        "/sheet".to_owned(),
        move |bench| {
            let text = sent.whole_text("text");
            take_in_over(&sent.entering(bench)?, &text, sent.text("sheet"))
        },
        move |bench, refused| page(bench, refused_again(bench, &refused, &typed)),
    )
    .await
}

fn page(bench: &Bench, main: Markup) -> Markup {
    framed(
        bench,
        Page {
            title: "The sheet",
            at: "/sheet",
            main,
        },
    )
}

fn as_it_holds(bench: &Bench, present: &PresentSheet, made: Option<u64>) -> Markup {
    html! {
        (pieces::made(bench, made))
        p { "The text that holds now. Correct it here, check it, and take it in; earlier versions stay." }
        (row_by_row())
        (form(bench, &present.mark, &present.text, "Your sheet", true))
    }
}

fn row_by_row() -> Markup {
    html! {
        nav aria-label="Parts of the sheet" {
            ul .rows {
                li { a .row href="/sheet/tubes" { b { "Tubes" } span { "row by row" } } }
                li { a .row href="/sheet/windings" { b { "Windings" } span { "row by row" } } }
                li { a .row href="/sheet/parts" { b { "Parts" } span { "row by row" } } }
                li { a .row href="/sheet/list" { b { "Parts for a spreadsheet" } span { "a list out, and back in" } } }
                li { a .row href="/sheet/heaters" { b { "Heaters" } span { "strings and what hangs side by side" } } }
                li { a .row href="/sheet/bench" { b { "Your bench" } span { "lamps, meters, transformers" } } }
                li { a .row href="/sheet/stages" { b { "Stages" } span { "whole stages by their questions" } } }
            }
        }
    }
}

/// The text in its field; `holds` where it is the version that holds now.
fn form(bench: &Bench, mark: &str, text: &str, label: &str, holds: bool) -> Markup {
    html! {
        form method="post" action="/sheet" data-keep="" {
            (hidden(bench))
            input type="hidden" name="sheet" value=(mark);
            label for="sheet-text" { (label) }
            div #sheet-kept hidden {}
            textarea #sheet-text .sheet name="text" spellcheck="false" autocapitalize="off" autocomplete="off"
                wrap="off" rows="24" data-holds[holds] { (PreEscaped("\n")) (text) }
            button .send.second type="submit" name="do" value="check" { "Check it" }
            button .send type="submit" name="do" value="take" { "Take it in" }
            button .send.second type="submit" name="do" value="check-all" { "Check it and show every fault" }
        }
    }
}

fn checked(bench: &Bench, sent: &Sent) -> Markup {
    let text = sent.whole_text("text");
    let view = check_sheet(&SheetFile::in_memory("the sheet", text.as_str()));
    html! {
        @match &view {
            Ok(view) => { (faults::told(view, &text, "sheet-text", sent.text("do") == "check-all")) },
            Err(own) => { (pieces::trouble(own)) },
        }
        @if view.as_ref().is_ok_and(|view: &CheckView| view.ok) {
            p { "Nothing was taken in yet." }
        }
        (form(bench, sent.text("sheet"), &text, "Your text", false))
    }
}

fn refused_again(bench: &Bench, refused: &Trouble, sent: &Sent) -> Markup {
    let text = sent.whole_text("text");
    let present = present_sheet(bench.file()).ok();
    let newer = present.filter(|present| present.mark != sent.text("sheet"));
    html! {
        @match refused {
            Trouble::Sheet { faults: own, notices, .. } => {
                (faults::faults(own, &text, "sheet-text", false))
                (pieces::notices(notices))
            },
            other => { (pieces::trouble(other)) },
        }
        @match newer {
            None => { (form(bench, sent.text("sheet"), &text, "Your text", false)) },
            Some(newer) => { (both(bench, &newer, &text)) },
        }
    }
}

/// Both texts, so that he chooses.
fn both(bench: &Bench, newer: &PresentSheet, typed: &str) -> Markup {
    let differ = differing(typed, &newer.text);
    html! {
        section .both {
            h2 { "Two versions" }
            p { "Yours is below and was not taken in. The other one holds now." }
            @if let Some((first, count)) = differ {
                p { "They differ in " (count) " lines, the first of them line " (first) "." }
                button type="button" hidden data-only-script="" data-line=(first) data-column="1" data-in="sheet-text" {
                    "Go to line " (first) " of yours"
                }
            }
            (form(bench, &newer.mark, typed, "Your text", false))
            p .hint { "\"Take it in\" takes yours in behind the other one, which stays among the earlier versions." }
            label for="sheet-other" { "The version that holds now" }
            textarea #sheet-other .sheet readonly rows="24" wrap="off" { (PreEscaped("\n")) (newer.text) }
            p { a .button.wide href="/sheet" { "Keep the version that holds now" } }
        }
    }
}

/// The first line in which two texts differ, and how many do; `None` where they are the same.
fn differing(one: &str, other: &str) -> Option<(usize, usize)> {
    let (one, other): (Vec<&str>, Vec<&str>) = (one.lines().collect(), other.lines().collect());
    let lines = one.len().max(other.len());
    let mut places = (0..lines).filter(|at| one.get(*at) != other.get(*at));
    let first = places.next()?;
    Some((first + 1, places.count() + 1))
}

#[cfg(test)]
mod tests {
    use super::differing;

    #[test]
    fn two_texts_differ_in_lines() {
        for (one, other, wanted) in [
            ("a\nb", "a\nb\n", None),
            ("a\nb", "a\nc", Some((2, 1))),
            ("a", "b\nc", Some((1, 2))),
        ] {
            assert_eq!(differing(one, other), wanted);
        }
    }
}
