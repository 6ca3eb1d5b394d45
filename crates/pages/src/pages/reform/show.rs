//! A forming as a part of a page: verdict, question, bench, what to do, leakage against minutes.
//!
//! Units as printed. Nothing here fails.

use benchwork::view::{FormingView, FormingsView};
use maud::{Markup, html};
use quantity::{Unit as Of, bench as bench_figure};

use crate::bench::Bench;
use crate::entry::{Sent, hidden};
use crate::pages::plain::{cautions, rows, table};
use crate::pieces::{Unit, number_of, one_of, picture, send, stop, text_of};
use crate::words::{in_address, when};

/// Units of a leakage: milliamperes, or volts across the resistor.
pub const LEAK: &[Unit] = &[Unit::MILLIAMPS, Unit::VOLTS];

/// The electrolytics of a set.
pub fn list(view: &FormingsView) -> Markup {
    let links: Vec<_> = view
        .electrolytics
        .iter()
        .map(|one| {
            let marked = match one.volts {
                Some(volts) => format!("{}, {volts} V", farads(one.microfarads)),
                None => format!("{}, volts not told", farads(one.microfarads)),
            };
            let state = match one.state {
                "replaced" => "replaced",
                "re_formed" => "re-formed",
                _ => "as found",
            };
            let stands = match (one.ended, one.verdict) {
                (Some(end), _) => end,
                (None, Some(verdict)) => spoken(verdict),
                (None, None) => "cannot be formed: its marked volts are not known",
            };
            (
                format!("/reform/{}", in_address(&one.part)),
                format!("{}: {stands}", one.part),
                format!("{marked}, {state}"),
            )
        })
        .collect();
    html! {
        p { "An old can is formed outside the set, through a resistor that bears a dead short." }
        @if links.is_empty() { p { "The sheet has none." } }
        (rows(&links))
    }
}

fn spoken(verdict: &str) -> &'static str {
    match verdict {
        "not_begun" => "not begun",
        "go_on" => "go on",
        "next_volts" => "next volts",
        "accepted" => "readings meet the limit",
        "stop" => "stop",
        "replace" => "replace",
        _ => "not known",
    }
}

/// One forming.
pub fn forming(bench: &Bench, at: &str, view: &FormingView, typed: &Sent) -> Markup {
    html! {
        p { (farads(view.microfarads)) ", " (view.marked_volts) " V" }
        (verdict(view))
        (cautions(&view.cautions))
        @if view.ended.is_none() { (question(bench, at, view, typed)) }
        section .signs {
            h2 { "Take the volts off at once" }
            ul { @for sign in &view.stop_signs { li { (sign) } } }
        }
        h2 { "What to do" }
        ol .acts { @for act in &view.acts { li { (act) } } }
        (the_bench(view))
        (leakage(view))
        h2 { "Volts off" }
        (ends(bench, at, typed))
    }
}

fn verdict(view: &FormingView) -> Markup {
    let because: Vec<String> = view.because.clone();
    if let Some(own) = &view.ended {
        let word = match own.end {
            "accepted" => "Accepted: it counts as re-formed",
            "replace" => "Replace it",
            _ => "Stopped; it may be taken up again",
        };
        return html! {
            p .word { (word) }
            p { "Entry " (own.entry) ", " (when(&own.at)) @if !own.because.is_empty() { ": " (own.because) } }
        };
    }
    let then = "Discharge it and prove it with the meter before a hand comes near.";
    match view.verdict {
        "stop" => stop("Stop. Volts off now.", &because, then),
        "replace" => stop("Replace it. Volts off.", &because, then),
        "accepted" => html! {
            p .word { "Accepted by its readings" }
            p { (because.join("; ")) ". Take the volts off, discharge it, prove it with the meter, then enter the end." }
        },
        "next_volts" => html! {
            p .word { @if let Some(volts) = view.next_volts { "Next volts: " (format!("{volts:.0}")) " V" } @else { "Go on" } }
            p { (because.join("; ")) "." }
        },
        "not_begun" => html! { p .word { "Not begun" } p { "Nothing was read yet." } },
        _ => html! { p .word { "Go on" } p { (because.join("; ")) "." } },
    }
}

/// The hidden fields of a bench that is not the sheet's.
fn own_bench(typed: &Sent) -> Markup {
    html! {
        @for name in ["marked", "source", "to", "discharge"] {
            @if let Some(text) = typed.some(name) { input type="hidden" name=(name) value=(text); }
        }
    }
}

fn question(bench: &Bench, at: &str, view: &FormingView, typed: &Sent) -> Markup {
    let last = view.readings.last();
    let volts = match (typed.some("source_volts"), view.next_volts, last) {
        (Some(typed), ..) => typed,
        (None, Some(next), _) => format!("{next:.0}"),
        (None, None, Some(last)) => format!("{:.0}", last.source_volts),
        _ => view
            .source_volts
            .first()
            .map_or_else(String::new, |first| format!("{first:.0}")),
    };
    html! {
        form .question method="post" action=(at) data-keep="" {
            (hidden(bench)) (own_bench(typed))
            input type="hidden" name="came" value="leak";
            p .healthy { "Limit: " b { (milliamperes(view.limit_milliamperes)) } @if let Some(last) = last { ". Last: " (milliamperes(last.milliamperes)) " after " (figure(last.minutes)) " min" } }
            (number_of("leak", "leak", "Leakage, or volts across the resistor", typed.text("leak"), LEAK))
            (number_of("leak", "minutes", "Minutes since these volts were put on", typed.text("minutes"), &[]))
            (number_of("leak", "source_volts", "Volts of the source", &volts, &[Unit::VOLTS]))
            details open[typed.some("across").is_some() || typed.some("resistor").is_some() || typed.some("case").is_some() || typed.some("looks").is_some()] {
                summary { "Volts across it, resistor, warmth, looks" }
                (text_of("leak", "across", "Volts across the section itself", typed.text("across"), ""))
                (text_of("leak", "resistor", "The resistor in series, if another one", typed.text("resistor"), ""))
                (text_of("leak", "case", "Warmth of the case, degrees Celsius", typed.text("case"), ""))
                (one_of("looks", "The can is", typed.text("looks"), &[("sound", "sound"), ("warm", "warm"), ("hot", "hot"), ("bulging", "bulging"), ("leaking", "leaking")]))
                (text_of("leak", "with", "Read with", typed.text("with"), ""))
            }
            (send("Enter the reading"))
        }
    }
}

fn ends(bench: &Bench, at: &str, typed: &Sent) -> Markup {
    let came = typed.text("came");
    let own = |name: &str, of: &str| match came == of {
        true => typed.owned(name),
        false => String::new(),
    };
    html! {
        details open[came == "discharged"] {
            summary { "It is discharged" }
            form method="post" action=(at) data-keep="" {
                (hidden(bench)) (own_bench(typed))
                input type="hidden" name="came" value="discharged";
                (number_of("off", "left", "Volts that the meter still shows", &own("left", "discharged"), &[Unit::VOLTS]))
                (text_of("off", "seconds", "Seconds that it took", &own("seconds", "discharged"), ""))
                (text_of("off", "through", "Through which resistor, such as 4.7k", &own("through", "discharged"), ""))
                (send("Enter: discharged"))
            }
        }
        details open[came == "ended"] {
            summary { "It ends here" }
            form method="post" action=(at) data-keep="" {
                (hidden(bench)) (own_bench(typed))
                input type="hidden" name="came" value="ended";
                (one_of("end", "How does it end?", &own("end", "ended"),
                    &[("accepted", "accepted: it counts as re-formed"), ("stopped", "stopped, may be taken up again"), ("replace", "it is replaced")]))
                (text_of("end", "because", "Why", &own("because", "ended"), ""))
                (send("Enter the end"))
            }
        }
    }
}

/// The form for another bench than that of the sheet.
pub fn other_bench(at: &str, typed: &Sent) -> Markup {
    html! {
        details {
            summary { "Another source, other volts" }
            form .quiet method="get" action=(at) {
                (text_of("bench", "source", "The source, such as 0-450 V 20 mA", typed.text("source"), ""))
                (text_of("bench", "to", "Volts to form to, if not the marked ones", typed.text("to"), ""))
                (text_of("bench", "discharge", "The discharge resistor, if not 4.7k", typed.text("discharge"), ""))
                (text_of("bench", "marked", "What is marked on it, where the sheet has it not, such as 40 mfd 450 V", typed.text("marked"), ""))
                (send("Show it so"))
            }
        }
    }
}

fn the_bench(view: &FormingView) -> Markup {
    let series = &view.series;
    let steps: Vec<String> = view
        .source_volts
        .iter()
        .map(|volts| format!("{volts:.0}"))
        .collect();
    let pieces = match series.pieces {
        1 => "one piece".to_owned(),
        count => format!("{count} pieces of {}", ohms(series.piece_ohms)),
    };
    html! {
        h2 { "The bench" }
        ul {
            li { "Source to " (format!("{:.0}", view.top_volts)) " V"
                @if !view.source_is_named { " (no source is named on the sheet's bench; this is what one has to give)" }
                ", in steps of " (steps.join(", ")) " V." }
            li { "Resistor " b { (ohms(series.ohms)) } ": " (pieces) ", " (series.piece_watts) " W " (series.piece_volts)
                " V each. It keeps " (figure(series.milliamperes_at_a_short)) " mA at a dead short and " (figure(series.most_watts_in_can))
                " W in the can whatever it leaks; at a short it takes " (figure(series.watts_at_a_short))
                " W. Ratings of resistors are from memory: look at yours." }
            li { "It charges with a time constant of " (bench_figure(view.charging_seconds, Of::Seconds)) "." }
            li { "Emptied through " (ohms(view.discharge_ohms)) ": " (figure(view.discharge_joules)) " J, down to 10 V in "
                (bench_figure(view.discharge_seconds_to_ten_volts, Of::Seconds)) "." }
            @if !view.other_sections.is_empty() {
                li { (view.other_sections.join(", ")) " in the same can share its negative end; each is formed by itself." }
            }
        }
    }
}

fn leakage(view: &FormingView) -> Markup {
    let read: Vec<Vec<String>> = view
        .readings
        .iter()
        .map(|one| {
            let across = one.section_volts.map(|volts| format!("{volts} V"));
            let case = one.case_celsius.map(|celsius| format!("{celsius} C"));
            vec![
                one.entry.to_string(),
                format!("{:.0} V", one.source_volts),
                figure(one.minutes),
                milliamperes(one.milliamperes),
                across.unwrap_or_default(),
                case.unwrap_or_default(),
                match one.is_at_present_volts {
                    true => String::new(),
                    false => "before".to_owned(),
                },
            ]
        })
        .collect();
    let end = |end: Option<f64>| match end {
        None => "beyond a day".to_owned(),
        Some(minutes) if minutes < 90.0 => format!("{} minutes", figure(minutes)),
        Some(minutes) => format!("{} hours", figure(minutes / 60.0)),
    };
    html! {
        h2 { "Leakage against minutes" }
        (picture(&pictures::forming::svg(view), "Leakage against minutes, with the limit"))
        p { "Accepted at " b { (milliamperes(view.limit_milliamperes)) } " or less at full volts after some minutes; old cans are held to "
            (milliamperes(view.limit_of_old_cans_milliamperes)) ", new parts to " (milliamperes(view.limit_of_new_parts_milliamperes)) ". "
            (view.limit_words) }
        @if read.is_empty() {
            p { "An estimate at the highest volts, nine of ten cans that come back at all between quick and slow: leakage falling as a power of time (a law from memory), its figures judgement. Your own readings count, not this." }
        } @else {
            (table("What was read", &["entry", "source", "minutes", "leakage", "across it", "case", ""], &[1, 2, 3, 4, 5], &read))
            @match &view.forecast {
                None => { p { "Where it is heading is told from three readings at the same volts on." } },
                Some(ahead) => {
                    @let [early, middle, late] = ahead.meets_at_minutes;
                    p { "Its readings continued meet " (milliamperes(view.goal_milliamperes)) " after " (end(middle)) " (nine of ten: "
                        (end(early)) " to " (end(late)) "); " (format!("{:.0}", 100.0 * ahead.meets_within_a_day))
                        " in a hundred of the laws that fit them do within a day." }
                },
            }
        }
    }
}

fn farads(microfarads: f64) -> String {
    bench_figure(microfarads * 1e-6, Of::Farads)
}

fn ohms(value: f64) -> String {
    bench_figure(value, Of::Ohms)
}

fn milliamperes(value: f64) -> String {
    bench_figure(value * 1e-3, Of::Amperes)
}

fn figure(value: f64) -> String {
    let text = format!("{value:.2e}");
    text.parse::<f64>().map_or(text, |value| value.to_string())
}
