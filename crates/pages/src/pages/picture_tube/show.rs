//! The verdict on a picture tube and the forms of what is found of it.
//!
//! Units as printed. Nothing here fails.

use benchwork::view::{ActView, PictureView};
use maud::{Markup, html};

use crate::bench::Bench;
use crate::entry::{Sent, hidden};
use crate::pages::plain;
use crate::pieces::{self, Unit};

/// The elements between which ohms are read.
const ELEMENTS: &[(&str, &str)] = &[
    ("heater", "Heater"),
    ("cathode", "Cathode"),
    ("grid", "Grid"),
    ("second grid", "Second grid"),
    ("anode", "Anode"),
];

/// The verdict, what it rests on, the emission as a picture, cures and cautions.
pub fn verdict(view: &PictureView) -> Markup {
    html! {
        @if let Some(verdict) = &view.verdict {
            section .verdict data-verdict=(verdict.standing) {
                p .head { (view.tube.as_deref().unwrap_or("")) " " (view.type_name) }
                p { (verdict.text) }
                @if !verdict.reasons.is_empty() { ul { @for reason in &verdict.reasons { li { (reason) } } } }
                @if !verdict.would_change.is_empty() {
                    p { "What would change it:" }
                    ul { @for one in &verdict.would_change { li { (one) } } }
                }
            }
        }
        (plain::cautions(&view.cautions))
        @if let Ok(svg) = pictures::emission::svg(view) {
            (pieces::picture(&svg, "Emission against minutes: what was read, the fit with its band, where it is heading"))
        }
        @for one in &view.emission {
            p {
                @if !one.sitting.is_empty() { b { (one.sitting) ": " } }
                (one.waiting_text)
                @if !one.because.is_empty() { " " (one.because) }
            }
            @for notice in &one.notices { p .hint { (notice) } }
        }
        @if let Ok(svg) = pictures::bench::svg(view) {
            details {
                summary { "Wires of the method without a tester" }
                (pieces::picture(&svg, "How the tube is wired on the bench, by its own base"))
            }
        }
        @if let Ok(svg) = pictures::drive::svg(view) {
            details {
                summary { "Drive and cut-off" }
                (pieces::picture(&svg, "Cathode current against grid volts"))
            }
        }
        @for cure in &view.cures {
            details {
                summary { (cure.text) }
                p { (cure.because) }
                (acts(&cure.acts))
                @if let Some(gained) = &cure.gained { p { "Tried: " (gained) } }
            }
        }
        (pieces::notices(&view.notices))
    }
}

fn acts(acts: &[ActView]) -> Markup {
    html! {
        ol .acts {
            @for act in acts {
                li { (act.text) @for caution in &act.cautions { span .hint { (caution) } } }
            }
        }
    }
}

/// The form of one kind of finding.
pub fn form(bench: &Bench, finding: &str, typed: &Sent) -> Markup {
    let text = |name: &str, label: &str| pieces::text(name, label, typed.text(name), "");
    let number = |name: &str, label: &str, units: &[Unit]| {
        pieces::number(name, label, typed.text(name), units)
    };
    html! {
        form .question method="post" action={ "/picture/" (finding) } data-keep="" {
            (hidden(bench))
            @match finding {
                "heater" => {
                    (number("cold", "Cold ohms of the heater", &[Unit::OHMS]))
                    (text("volts", "Volts while hot, such as 6.3 V"))
                    (text("amperes", "Amperes at those volts, such as 0.6 A"))
                    (pieces::one_of("glow", "Does it glow?", typed.text("glow"), &[("yes", "Yes"), ("no", "No")]))
                },
                "leak" => {
                    (pieces::one_of("plus", "The plus lead is at", typed.text("plus"), ELEMENTS))
                    (pieces::one_of("minus", "The minus lead is at", typed.text("minus"), ELEMENTS))
                    (number("ohms", "Ohms between them", &[Unit::OHMS, Unit::KILOHMS, Unit::MEGOHMS, Unit::OPEN]))
                    (pieces::choice("hot", "The heater was hot", typed.ticked("hot")))
                },
                "emission" => {
                    (number("minutes", "Minutes since the heater was switched on", &[]))
                    (number("value", "Reading of the needle", &[PERCENT, MICROAMPS]))
                    (needle(typed))
                },
                "life" => {
                    (number("seconds", "Seconds after the heater was reduced or cut, 0 just before", &[]))
                    (number("value", "Reading of the needle", &[PERCENT, MICROAMPS]))
                    (text("heater", "Heater volts now, or cut"))
                },
                "cut-off" => {
                    (number("volts", "Volts that the grid stands below the cathode", &[Unit::VOLTS]))
                    (pieces::one_of("reached", "Does the beam go out?", typed.text("reached"), &[("yes", "Yes"), ("no", "No")]))
                    (text("second_grid", "Volts of the second grid to the cathode"))
                },
                "current" => {
                    (number("volts", "Volts of the source", &[]))
                    (number("value", "Cathode current", &[MICROAMPS, Unit::MILLIAMPS]))
                },
                "running" => {
                    (pieces::one_of("picture", "The picture is", typed.text("picture"), &[("bright", "Bright"), ("dim", "Dim"), ("none", "None")]))
                    (number("current", "Cathode current at the brightest", &[MICROAMPS]))
                },
                _ => {
                    (pieces::one_of("cure", "What was tried", typed.text("cure"), &[
                        ("pins", "Base pins cleaned"), ("solder", "Heater and cathode pins re-soldered"),
                        ("rated", "Hours at rated heater"), ("transformer", "Isolating heater transformer"),
                        ("running set", "Judged in the running set")]))
                    (text("gained", "What it gained"))
                },
            }
            (pieces::send("Enter"))
            details .remark {
                summary { "Which tube, read with what" }
                (text("tube", "Tube, such as V17 or spare; the set's own if empty"))
                (text("type", "Its type, where the sheet does not say it"))
                (text("with", "Read with, in your words"))
                (text("note", "Note"))
            }
        }
    }
}

const PERCENT: Unit = Unit {
    key: "%",
    text: "%",
    said: "percent",
};
const MICROAMPS: Unit = Unit {
    key: "µA",
    text: " uA",
    said: "microamperes",
};

fn needle(typed: &Sent) -> Markup {
    html! {
        details .remark {
            summary { "The instrument and the sitting" }
            (pieces::text("sitting", "Name of the sitting", typed.text("sitting"), ""))
            (pieces::text("scale_end", "Last mark of its scale, such as 100 %", typed.text("scale_end"), ""))
            (pieces::text("needle", "Its error, percent of the scale", typed.text("needle"), ""))
            (pieces::text("heater", "Heater volts", typed.text("heater"), ""))
        }
    }
}
