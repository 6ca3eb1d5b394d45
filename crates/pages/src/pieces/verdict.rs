//! A verdict that nobody can miss: words, shape and sound, never colour alone.
//!
//! The stop has the eight corners of a sign and the largest type; the script sounds it. Nothing here fails.

use benchwork::figures::figure;
use benchwork::view::{DangerView, JudgedView};
use maud::{Markup, html};

/// The stop, before anything else: head, why, and what then.
pub fn stop(head: &str, reasons: &[String], then: &str) -> Markup {
    html! {
        section .stop role="alert" data-stop="" {
            svg viewBox="0 0 100 100" aria-hidden="true" focusable="false" {
                polygon points="31,3 69,3 97,31 97,69 69,97 31,97 3,69 3,31" {}
                rect x="22" y="42" width="56" height="16" {}
            }
            p .head { (head) }
            ul { @for reason in reasons { li { (reason) } } }
            p { (then) }
        }
    }
}

/// The stop for a danger that readings show.
pub fn danger(own: &DangerView) -> Markup {
    stop(&own.head, std::slice::from_ref(&own.because), &own.then)
}

/// How a reading stands to its band, what it may have been meant as, and what to read next.
pub fn judged(view: &JudgedView, entry: u64) -> Markup {
    let told =
        |value: Option<f64>| value.map_or_else(String::new, |value| figure(view.what, value));
    let (word, sign) = match view.verdict {
        "inside" => ("Inside", "●"),
        "low" => ("Low", "▼"),
        "high" => ("High", "▲"),
        _ => ("Says nothing here", "?"),
    };
    html! {
        @if let Some(own) = &view.danger { (danger(own)) }
        section .verdict data-verdict=(view.verdict) {
            p .head { span aria-hidden="true" { (sign) } " " (word) }
            @if view.low.is_some() {
                p { "Nine of ten healthy sets: " (told(view.low)) " to " (told(view.high)) }
            } @else if view.verdict != "says_nothing" {
                p { "A healthy set reads open there." }
            }
            @if !view.because.is_empty() { p { (view.because) } }
            @if view.danger.is_none() && matches!(view.verdict, "low" | "high") { p { "Look again before you believe it." } }
            @if let Some(meant) = &view.meant_as {
                p {
                    @match meant.kind {
                        "leads_exchanged" => { "Were the leads exchanged? " (figure(view.what, meant.value)) " would be inside." },
                        "other_pin" => { "Was it " (meant.at) "? " (figure(view.what, meant.value)) " would be inside there." },
                        _ => { "Is it " (figure(view.what, meant.value)) "? That would be inside." },
                    }
                }
                p { a .button href={ "/story/" (entry) } { "Correct the entry" } }
            }
            @if !view.narrows.is_empty() {
                details {
                    summary { "What it narrows" }
                    ul {
                        @for own in &view.narrows {
                            li {
                                b { (own.at) } ": " (figure("dc_volts", own.low)) " to " (figure("dc_volts", own.high))
                                ", before " (figure("dc_volts", own.before_low)) " to " (figure("dc_volts", own.before_high))
                            }
                        }
                    }
                }
            }
            @if let Some(next) = &view.next {
                p { "Next: d.c. volts at " b { (next.at) } " (" (figure("dc_volts", next.low)) " to "
                    (figure("dc_volts", next.high)) "): " (next.because) "." }
            }
        }
    }
}
