//! What a list of parts is asked for with, and what it would change, as the page shows both.
//!
//! Faults with line and column as the spreadsheet letters it. Nothing here fails.

use benchwork::Trouble;
use benchwork::view::{ChangedCellView, FaultView, TakenPartsView};
use maud::{Markup, html};

use super::{AT, Held};
use crate::bench::Bench;
use crate::entry::hidden;
use crate::in_page_words::in_page_words;
use crate::pages::sheet::made_from;
use crate::pieces;

/// How many lines of one kind stand open; the others are folded away.
const OPEN: usize = 50;

/// How many faults are shown at most.
const MOST_FAULTS: usize = 1000;

/// The list out, and back in.
pub fn both_ways(bench: &Bench, parts: usize, made: Option<u64>) -> Markup {
    html! {
        (pieces::made(bench, made))
        h2 { "The list" }
        p { "One line a part, as the sheet has them now: " b { (parts) } @match parts { 1 => " part.", _ => " parts." } }
        ul .rows {
            li { a .row href="/sheet/list/parts.csv" download="" { b { "Take the list" } span { "a comma between the cells" } } }
            li { a .row href="/sheet/list/parts.csv?semicolons=yes" download="" { b { "Take it with semicolons" } span { "as spreadsheets of many countries want it" } } }
        }
        p .hint { "In the spreadsheet, make all columns text before you type, and save as CSV in UTF-8." }
        h2 { "Back into the sheet" }
        (choose(bench, false))
        p { a .button.wide href="/sheet" { "The whole sheet" } }
    }
}

/// The form that asks for a changed list.
fn choose(bench: &Bench, remove: bool) -> Markup {
    html! {
        form method="post" action=(AT) enctype="multipart/form-data" {
            input type="hidden" name="book" value=(bench.book());
            div .field {
                label for="f-file" { "The changed list" }
                input #f-file type="file" name="file" accept=".csv,text/csv,text/plain";
            }
            (pieces::choice("remove", "Take parts out that are not in the list", remove))
            (pieces::send("Show what would change"))
        }
        p .hint { "Nothing is taken in yet." }
    }
}

/// What is wrong, and the form again.
pub fn refused(bench: &Bench, trouble: &Trouble, remove: bool) -> Markup {
    html! {
        (told(trouble))
        h2 { "Another list" }
        (choose(bench, remove))
        p { a .button.wide href=(AT) { "Back to the list" } }
    }
}

/// What was refused when it should be taken in, and what the list would change now.
pub fn not_taken(bench: &Bench, trouble: &Trouble, held: &Held) -> Markup {
    html! {
        (told(trouble))
        p { "Your list is kept below, held against the sheet as it is now." }
        (what_changes(bench, held))
    }
}

fn told(trouble: &Trouble) -> Markup {
    match trouble {
        Trouble::Input { faults } if faults.iter().any(|fault| fault.line.is_some()) => {
            list_faults(faults)
        }
        other => pieces::trouble(other),
    }
}

fn list_faults(faults: &[FaultView]) -> Markup {
    let (open, folded) = faults.split_at(faults.len().min(OPEN));
    let (folded, left) = folded.split_at(folded.len().min(MOST_FAULTS - OPEN));
    let listed = |faults: &[FaultView]| {
        html! {
            ul .faults {
                @for fault in faults {
                    li {
                        (in_page_words(&fault.text))
                        @if !fault.hint.is_empty() { span .hint { (in_page_words(&fault.hint)) } }
                    }
                }
            }
        }
    };
    html! {
        div .trouble role="alert" {
            h2 { @match faults.len() { 1 => "One fault in the list", many => { (many) " faults in the list" } } }
            p { "Nothing was taken in. Correct them in the spreadsheet, and choose the list again." }
            (listed(open))
        }
        @if !folded.is_empty() {
            details { summary { (folded.len()) " more faults" } (listed(folded)) }
        }
        @if !left.is_empty() { p { (left.len()) " faults beyond these are not shown." } }
    }
}

/// What the list would change, and the form that takes it in.
pub fn what_changes(bench: &Bench, held: &Held) -> Markup {
    let view = &held.taken.view;
    let changes = held.taken.changes_anything();
    html! {
        h2 { "What " (view.list) " would change" }
        @if !changes { p { "The list says what the sheet says; there is nothing to take in." } }
        (counted(view))
        (cells(&view.changed))
        (in_lines("New in the sheet", view.added.iter().map(|own| own.row.trim_end_matches(',').to_owned()).collect()))
        (named("Taken out of the sheet", &view.removed))
        (named("Not in the list, and kept in the sheet", &view.kept))
        (named("Columns of your own, passed over", &view.passed_over))
        @if !view.notices.is_empty() {
            h3 { "To notice in the sheet with this change" }
            (pieces::notices(&view.notices))
        }
        @if changes {
            form method="post" action=(AT) enctype="multipart/form-data" data-keep="" {
                (hidden(bench))
                (made_from(&held.sheet))
                (own_list(held, held.remove_missing))
                button .send type="submit" name="do" value="take" { "Take it into the sheet" }
            }
        }
        @if !view.kept.is_empty() || !view.removed.is_empty() {
            form method="post" action=(AT) enctype="multipart/form-data" {
                input type="hidden" name="book" value=(bench.book());
                (own_list(held, !held.remove_missing))
                button .send.second type="submit" name="do" value="show" {
                    @if held.remove_missing { "Show it with no part taken out" } @else { "Show it with these parts taken out" }
                }
            }
        }
        p { a .button.wide href=(AT) { "Another list" } }
    }
}

/// The list itself, so that the form has all that it needs.
fn own_list(held: &Held, remove: bool) -> Markup {
    html! {
        input type="hidden" name="called" value=(held.list.name);
        input type="hidden" name="list" value=(held.list.text());
        @if remove { input type="hidden" name="remove" value="yes"; }
    }
}

fn counted(view: &TakenPartsView) -> Markup {
    let said = [
        (view.changed.len(), "cell changes", "cells change"),
        (view.added.len(), "part is new", "parts are new"),
        (view.removed.len(), "part goes", "parts go"),
    ];
    let said = said.iter().filter(|(count, _, _)| *count > 0);
    let said: Vec<String> = said
        .map(|(count, one, many)| format!("{count} {}", if *count == 1 { one } else { many }))
        .collect();
    html! { @if !said.is_empty() { p .count { (said.join(", ")) "." } } }
}

fn cells(changed: &[ChangedCellView]) -> Markup {
    let (open, folded) = changed.split_at(changed.len().min(OPEN));
    let shown =
        |text: &str| html! { @if text.is_empty() { i { "nothing" } } @else { b { (text) } } };
    let listed = |cells: &[ChangedCellView]| {
        html! {
            ul .changes {
                @for cell in cells {
                    li {
                        span .of { (cell.reference) ", " (cell.column) }
                        span { "was " (shown(&cell.was)) }
                        span { "becomes " (shown(&cell.is)) }
                        span .hint { "line " (cell.line) }
                    }
                }
            }
        }
    };
    html! {
        @if !open.is_empty() { h3 { "Changed, with the line of the list" } (listed(open)) }
        @if !folded.is_empty() { details { summary { (folded.len()) " more cells" } (listed(folded)) } }
    }
}

/// Rows of the sheet, each on a line of its own.
fn in_lines(head: &str, lines: Vec<String>) -> Markup {
    let (open, folded) = lines.split_at(lines.len().min(OPEN));
    let listed =
        |lines: &[String]| html! { ul .changes { @for line in lines { li { code { (line) } } } } };
    html! {
        @if !open.is_empty() { h3 { (head) } (listed(open)) }
        @if !folded.is_empty() { details { summary { (folded.len()) " more" } (listed(folded)) } }
    }
}

fn named(head: &str, names: &[String]) -> Markup {
    html! { @if !names.is_empty() { h3 { (head) } p { (names.join(", ")) } } }
}
