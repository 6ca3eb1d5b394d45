//! The faults of a sheet in their places: the line's text with a mark under the column, and the way there.
//!
//! Lines and columns from 1, columns in characters. Nothing here fails.

use benchwork::view::{CheckView, FaultView};
use maud::{Markup, html};

use crate::pieces;

/// How many faults are shown in full unless all are asked for.
pub const SHOWN: usize = 50;

/// How many characters of a line are shown on each side of its mark.
const AROUND: usize = 60;

/// What a check of this text tells. `id` is the field that holds the text.
pub fn told(view: &CheckView, text: &str, id: &str, all: bool) -> Markup {
    html! {
        section .checked {
            @if view.ok {
                p .word { "No fault." }
                ul { @for said in &view.says { li { (said) } } }
            } @else {
                (faults(&view.faults, text, id, all))
            }
            (pieces::notices(&view.notices))
        }
    }
}

/// The faults alone.
pub fn faults(faults: &[FaultView], text: &str, id: &str, all: bool) -> Markup {
    let lines: Vec<&str> = text.lines().collect();
    let shown = if all { faults.len() } else { SHOWN };
    let left = faults.len().saturating_sub(shown);
    html! {
        div .trouble role="alert" {
            h2 {
                @match faults.len() { 1 => "One fault in the sheet", many => { (many) " faults in the sheet" } }
            }
            p { "Nothing was taken in. The text below is as you typed it." }
            @if left > 0 { p { "The first " (shown) " follow; " b { (left) " more" } " can be shown." } }
        }
        ol .sheet-faults {
            @for fault in faults.iter().take(shown) {
                li {
                    p {
                        @if let Some(line) = fault.line { b { "Line " (line) } @if let Some(column) = fault.column { ", character " (column) } ": " }
                        (fault.text)
                    }
                    @if !fault.hint.is_empty() { p .hint { (fault.hint) } }
                    @if let (Some(line), Some(column)) = (fault.line, fault.column) {
                        @if let Some(own) = line.checked_sub(1).and_then(|line| lines.get(line)) {
                            (in_its_line(own, column))
                        }
                        button type="button" hidden data-only-script="" data-line=(line) data-column=(column) data-in=(id) {
                            "Go to line " (line)
                        }
                    }
                }
            }
        }
        @if left > 0 {
            p { (left) " more faults are not shown." }
        }
    }
}

/// The line with a mark under the column.
fn in_its_line(line: &str, column: usize) -> Markup {
    let (piece, under) = piece(line, column);
    html! {
        pre .line tabindex="0" role="group" aria-label="The line with the place of the fault marked" { (piece) "\n" (under) }
    }
}

/// The piece of a line round a column, and the line with the mark under it.
fn piece(line: &str, column: usize) -> (String, String) {
    let letters: Vec<char> = line.chars().collect();
    let at = column.saturating_sub(1).min(letters.len());
    let from = at.saturating_sub(AROUND);
    let to = (at + AROUND).min(letters.len());
    let before = if from > 0 { "…" } else { "" };
    let after = if to < letters.len() { "…" } else { "" };
    let own: String = letters.iter().take(to).skip(from).collect();
    let gap = letters.iter().take(at).skip(from);
    let gap: String = gap
        .map(|own| if *own == '\t' { '\t' } else { ' ' })
        .collect();
    let under = format!("{}{gap}▲ here", " ".repeat(before.chars().count()));
    (format!("{before}{own}{after}"), under)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_mark_stands_under_its_character() {
        // By hand: the mark has as many characters before it as the fault has in its line.
        for (line, column, own, under) in [
            ("tubes = 3", 9, "tubes = 3", "        ▲ here"),
            ("\tµ = x", 6, "\tµ = x", "\t    ▲ here"),
            ("ab", 9, "ab", "  ▲ here"),
            ("", 1, "", "▲ here"),
        ] {
            assert_eq!(piece(line, column), (own.to_owned(), under.to_owned()));
        }
        let long = "x".repeat(10_000);
        let (own, under) = piece(&long, 5_000);
        assert_eq!(own.chars().count(), 2 * AROUND + 2);
        assert_eq!(under, format!("{}▲ here", " ".repeat(AROUND + 1)));
    }
}
