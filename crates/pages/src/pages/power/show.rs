//! The main part of the power-up: stop, step, clock, question, what was read, what else can be done.
//!
//! Units of the readings. Nothing here fails.

use benchwork::Trouble;
use benchwork::figures::{called, figure};
use benchwork::power_words::{left_unknown, limit, limits, place};
use benchwork::view::{AskedView, PowerUpView, StepView};
use maud::{Markup, html};

use crate::bench::Bench;
use crate::entry::{Sent, hidden};
use crate::pages::plain;
use crate::pieces::{self, Unit};
use crate::step_at_hand::StepAtHand;

/// The power-up as it stands.
pub fn power(bench: &Bench, view: &PowerUpView, refused: Option<&Trouble>, typed: &Sent) -> Markup {
    let now = bench.now().map_or(0, |now| now.seconds());
    let at_hand = StepAtHand::of(view, now);
    html! {
        @if view.verdict == "stop" { (the_stop(view)) }
        @if let Some(refused) = refused { (pieces::trouble(refused)) }
        @if let Some(at_hand) = &at_hand {
            script #step-at-hand type="application/json" { (maud::PreEscaped(as_json(at_hand))) }
        }
        div #no-laptop hidden role="alert" {
            p .head { "No laptop." }
            p { "Pull the plug if in doubt." }
        }
        div #phone-verdict role="alert" hidden {}
        @match &view.step {
            None => { p .lead { "All steps are passed." } (said(&view.reasons)) }
            Some(step) if view.state == "under_way" => { (under_way(bench, view, step, typed)) }
            Some(step) => { (to_begin(bench, view, step, typed)) }
        }
        (beside(view))
    }
}

/// JSON inside a script element: nothing in it may end that element.
fn as_json(step: &StepAtHand) -> String {
    serde_json::to_string(step)
        .unwrap_or_default()
        .replace('<', "\\u003c")
}

fn the_stop(view: &PowerUpView) -> Markup {
    let (head, then) = match view.cuts {
        Some("none") => ("Stop. Go no further.", "No power before this is explained."),
        Some("source") => (
            "Stop. Switch the source off.",
            "Only then ask. Discharge through the resistor and prove it with the meter before anything is touched.",
        ),
        _ => (
            "Stop. Pull the plug.",
            "Only then ask. See the plug lie there, discharge through the resistor and prove it with the meter before anything is touched.",
        ),
    };
    let mut reasons = view.reasons.clone();
    for one in view
        .evidence
        .iter()
        .filter(|one| !one.cannot_tell.is_empty())
    {
        reasons.push(format!("It cannot tell: {}.", one.cannot_tell.join("; ")));
    }
    pieces::stop(head, &reasons, then)
}

fn said(reasons: &[String]) -> Markup {
    html! { @if !reasons.is_empty() { ul .reasons { @for reason in reasons { li { (reason) } } } } }
}

fn step_of(view: &PowerUpView, step: &StepView) -> Markup {
    html! {
        p .count { "Step " (step.step) " of " (view.steps) }
        h2 .step { (step.title) }
    }
}

fn to_begin(bench: &Bench, view: &PowerUpView, step: &StepView, typed: &Sent) -> Markup {
    html! {
        (step_of(view, step))
        @if view.verdict != "stop" { (said(&view.reasons)) }
        (plain::cautions(&step.cautions))
        @if !step.acts.is_empty() {
            h3 { "Do this, in this order" }
            ol .acts { @for act in &step.acts { li { (act) } } }
        }
        @if !step.parts.is_empty() {
            p { "Parts to see to: " b { (step.parts.join(", ")) } }
        }
        @if !step.live.is_empty() {
            p .live { b { "Live: " } (step.live.join(", ")) }
        }
        @if !step.stop.is_empty() {
            details {
                summary { "Where the plug is pulled" }
                ul { @for rule in &step.stop { li {
                    b { (rule.at) } " " (called(rule.what)) " "
                    (limit(rule.what, rule.above, rule.below, rule.after_seconds))
                    @if !rule.tells.is_empty() { span .hint { "It tells: " (rule.tells.join("; ")) } }
                } } }
            }
        }
        @if !step.charged.is_empty() {
            details {
                summary { "What stays charged afterwards" }
                ul { @for own in &step.charged { li {
                    b { (own.at) } ": " (figure("dc_volts", own.volts))
                    @match own.seconds_to_10_volts {
                        Some(seconds) => { ", 10 V left after " (benchwork::figures::time(Some(seconds))) },
                        None => { ", never safe by time alone" },
                    }
                } } }
            }
        }
        p .because { (step.because) }
        form method="post" action="/power/begin" data-keep="" {
            (hidden(bench))
            (pieces::send(if step.energised { "The plug goes in now" } else { "Begin" }))
        }
        (other_ends(bench, step, typed, false))
        (pieces::where_it_is(&step.parts))
    }
}

fn under_way(bench: &Bench, view: &PowerUpView, step: &StepView, typed: &Sent) -> Markup {
    let question = asked_next(view, typed);
    html! {
        (step_of(view, step))
        @if step.energised { (clock(view)) }
        @if view.verdict != "stop" {
            p .word { (match view.verdict { "wait" => "Wait", _ => "Go on" }) }
            (said(&view.reasons))
        }
        @if !step.energised && !step.acts.is_empty() {
            details open[question.is_none()] {
                summary { "What to do" }
                ol .acts { @for act in &step.acts { li { (act) } } }
            }
        }
        @if let Some(own) = question { (ask(bench, own, typed)) }
        @if step.energised { (signs(bench, step)) }
        @if !view.asked.is_empty() { (readings(view)) }
        (ending(bench, view, typed))
        (other_ends(bench, step, typed, true))
        @if let Some(own) = question { (pieces::where_it_is(std::slice::from_ref(&own.at))) }
    }
}

fn clock(view: &PowerUpView) -> Markup {
    html! {
        @if let Some(timer) = view.timer {
            p #clock .clock role="timer" data-wait=(timer.wait_seconds) {
                span .elapsed { (timer.elapsed_seconds) " s" }
                span .then {
                    @if timer.remaining_seconds > 0.0 { "read in " (format!("{:.0}", timer.remaining_seconds)) " s" }
                    @else { "time to read" }
                }
            }
        }
    }
}

/// The reading that is asked: the one that was chosen or refused, or the next unread.
fn asked_next<'v>(view: &'v PowerUpView, typed: &Sent) -> Option<&'v AskedView> {
    let chosen = |own: &&AskedView| {
        own.at == typed.text("place")
            && own.to.as_deref().unwrap_or("") == typed.text("to")
            && own.what == typed.text("what")
    };
    let unread = |own: &&AskedView| own.verdict == "unread" || own.verdict == "too_early";
    view.asked
        .iter()
        .find(chosen)
        .or_else(|| view.asked.iter().find(unread))
}

fn ask(bench: &Bench, own: &AskedView, typed: &Sent) -> Markup {
    html! {
        form .question method="post" action="/power/read" data-keep="" data-judge="" {
            (hidden(bench))
            input type="hidden" name="place" value=(own.at);
            input type="hidden" name="to" value=(own.to.as_deref().unwrap_or(""));
            input type="hidden" name="what" value=(own.what);
            input type="hidden" name="seconds" value="";
            p .healthy {
                @if let (Some(low), Some(high)) = (own.low, own.high) {
                    "Healthy: " b { (figure(own.what, low)) " to " (figure(own.what, high)) }
                }
                @if !own.limits.is_empty() { " " span .limit { "Stop " (limits(own)) } }
                @if let Some(lead) = own.lead { " Lead at the place: " (lead) }
            }
            (pieces::number("value", &format!("{}, {}", place(own), called(own.what)), typed.text("value"), Unit::of(own.what)))
            (pieces::send("Enter"))
        }
    }
}

/// What is noticed pulls the plug; one tap writes it down afterwards.
fn signs(bench: &Bench, step: &StepView) -> Markup {
    let plug = match step.conditions.dc {
        Some(_) => "Switch the source off",
        None => "Pull the plug",
    };
    html! {
        section .signs {
            h3 { (plug) " at once when you notice" }
            form method="post" action="/power/stop" data-keep="" {
                (hidden(bench))
                ul {
                    @for sign in &step.stop_signs {
                        li { button .sign type="submit" name="noticed" value=(sign) { (sign) } }
                    }
                    li { button .sign type="submit" name="noticed" value="something odd" { "Something odd" } }
                }
                p .hint { "First the plug, then the tap: it writes down why." }
            }
        }
    }
}

fn mark(verdict: &str) -> (&'static str, &'static str) {
    match verdict {
        "inside" => ("●", "inside"),
        "low" => ("▼", "low"),
        "high" => ("▲", "high"),
        "beyond" => ("■", "beyond the limit"),
        "too_early" => ("…", "too early"),
        _ => ("○", "not read"),
    }
}

fn readings(view: &PowerUpView) -> Markup {
    html! {
        details .readings {
            summary { "Readings of this step" }
            ul .rows {
                @for own in &view.asked {
                    @let (sign, word) = mark(own.verdict);
                    li {
                        a .row href={ "/power?" (address_of(own)) } {
                            b { span aria-hidden="true" { (sign) } " " (place(own)) }
                            span {
                                (called(own.what)) ": "
                                @match (own.read, own.verdict) {
                                    (Some(value), _) => { (figure(own.what, value)) ", " },
                                    (None, "unread") => {},
                                    (None, _) => { "open, " },
                                }
                                (word)
                            }
                        }
                    }
                }
            }
        }
    }
}

/// The fields that choose a reading, as an address has them.
fn address_of(own: &AskedView) -> String {
    in_fields(&own.at, own.to.as_deref().unwrap_or(""), own.what)
}

/// The same of fields that came with an address.
pub fn address(typed: &Sent) -> String {
    in_fields(typed.text("place"), typed.text("to"), typed.text("what"))
}

fn in_fields(place: &str, to: &str, what: &str) -> String {
    let fields = [("place", place), ("to", to), ("what", what)];
    let fields = fields.map(|(name, text)| format!("{name}={}", crate::words::in_address(text)));
    fields.join("&")
}

fn ending(bench: &Bench, view: &PowerUpView, typed: &Sent) -> Markup {
    html! {
        form .ending method="post" action="/power/done" data-keep="" {
            (hidden(bench))
            @if !view.would_leave_unknown.is_empty() {
                p { "Ending it now leaves unknown:" }
                ul { @for own in &view.would_leave_unknown { li { (own) } } }
                (pieces::text("because", "Why it is ended all the same", typed.text("because"), ""))
            }
            (pieces::send("The step is done"))
        }
    }
}

fn other_ends(bench: &Bench, step: &StepView, typed: &Sent, is_under_way: bool) -> Markup {
    html! {
        details .other {
            summary { "Pass over, or leave the bench" }
            form method="post" action="/power/skip" data-keep="" {
                (hidden(bench))
                (pieces::text("because", "Why the step is passed over", typed.text("because"), ""))
                (pieces::send("Pass the step over"))
            }
            form method="post" action="/power/leave" data-keep="" {
                (hidden(bench))
                (pieces::text("because", "Why the bench is left", "", ""))
                (pieces::send("The plug is out, I leave the bench"))
            }
            @if !step.energised || !is_under_way {
                form method="post" action="/power/stop" data-keep="" {
                    (hidden(bench))
                    (pieces::text("noticed", "What was noticed", "", ""))
                    (pieces::send("Write down a stop"))
                }
            }
        }
    }
}

/// What else is known: what bent the plan, what stays unknown.
fn beside(view: &PowerUpView) -> Markup {
    let unknown = left_unknown(view);
    let folded = [
        ("What the plan goes by, beside the sheet", &view.bent_by),
        ("Entered and not used", &view.not_used),
        ("Left unknown by the steps passed", &unknown),
    ];
    html! {
        @for (head, own) in folded {
            @if !own.is_empty() {
                details { summary { (head) } ul { @for one in own { li { (one) } } } }
            }
        }
        (pieces::notices(&view.notices))
    }
}
