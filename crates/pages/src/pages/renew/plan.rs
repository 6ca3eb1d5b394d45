//! The replacement plan as a part of a page, and single parts told whole.
//!
//! Values as one buys them. Nothing here fails.

use benchwork::renewal_words::{VERDICTS, bought, guards, of_one_reason};
use benchwork::view::{RenewalPlanView, RenewalView};
use maud::{Markup, html};

use crate::pages::plain::{cautions, listed, rows, sentence};
use crate::pieces::notices;
use crate::words::in_address;

/// The plan by its verdicts, the most urgent first.
pub fn plan(view: &RenewalPlanView) -> Markup {
    html! {
        (notices(&view.notices))
        @for (verdict, head, meaning) in VERDICTS {
            @let own: Vec<&RenewalView> = view.renewals.iter().filter(|own| own.verdict == verdict).collect();
            @let needs: Vec<String> = view.set_needs.iter().filter(|own| own.verdict == verdict)
                .map(|own| format!("{}: {}", own.what, own.because)).collect();
            @if !own.is_empty() || !needs.is_empty() {
                @if matches!(verdict, "now" | "before_long_use") {
                    h2 { (head) " (" (own.len() + needs.len()) ")" }
                    @if !meaning.is_empty() { p { (meaning) } }
                    @if !needs.is_empty() { ul { @for need in &needs { li { (need) } } } }
                    (rows(&own.iter().map(|own| row(own)).collect::<Vec<_>>()))
                } @else {
                    details {
                        summary { (head) " (" (own.len() + needs.len()) ")" }
                        @if !meaning.is_empty() { p { (meaning) } }
                        @if !needs.is_empty() { ul { @for need in &needs { li { (need) } } } }
                        @for (why, parts) in of_one_reason(&own) {
                            @if !why.is_empty() { p { (sentence(&why)) ":" } }
                            (rows(&own.iter().filter(|own| parts.contains(&own.part.as_str())).map(|own| row(own)).collect::<Vec<_>>()))
                        }
                    }
                }
            }
        }
        @if !view.kept.is_empty() {
            p { "Never replaced, always guarded: " (view.kept.join(", ")) ", the flyback with its yoke, the picture tube." }
        }
        p .hint { "Ratings cover the worst of " (view.cases) " cases at " (format!("{:.0}", view.line_volts))
            " V of line: from switch-on with everything cold, running, and with one tube or plug out." }
        @if !view.unsolved.is_empty() {
            p { "Not solved, so not part of the ratings: " (view.unsolved.join("; ")) "." }
        }
        (cautions(&view.cautions))
    }
}

fn row(own: &RenewalView) -> (String, String, String) {
    let does = match own.does.is_empty() {
        true => &own.kind,
        false => &own.does,
    };
    let buy = own
        .right
        .as_ref()
        .map_or_else(String::new, |right| format!(" → {}", bought(right)));
    (
        format!("/renew/{}", in_address(&own.part)),
        format!("{} {}", own.part, own.marked).trim().to_owned(),
        format!("{does}, {}{}{buy}", own.place, guards(own)),
    )
}

/// Single parts told whole.
pub fn parts(view: &RenewalPlanView) -> Markup {
    html! {
        (notices(&view.notices))
        @for own in &view.renewals { (part(own)) }
        (cautions(&view.cautions))
    }
}

fn part(own: &RenewalView) -> Markup {
    let verdict = VERDICTS.iter().find(|verdict| verdict.0 == own.verdict);
    let does = match own.does.is_empty() {
        true => String::new(),
        false => format!(", {}", own.does),
    };
    html! {
        h2 { (own.part) " " (own.marked) }
        p .lead { b { (verdict.map_or("", |verdict| verdict.1)) "." } }
        p { (sentence(&own.kind)) (does) ", " (own.place) (guards(own)) "." }
        @if !own.because.is_empty() { ul { @for because in &own.because { li { (because) } } } }
        @if !own.test.is_empty() { p { "Test: " (own.test) "." } }
        @if let Some(right) = &own.right {
            h3 { "The part of today" }
            p .lead { (bought(right)) }
            @if !right.why.is_empty() { ul { @for why in &right.why { li { (why) } } } }
            (listed("Fitting it", &right.fitting))
            @if !right.must_not.is_empty() { p .live { (sentence(&right.must_not)) "." } }
            p .hint { "What is made today: " (right.standing) "; the marking of the part in hand counts." }
        }
    }
}
