//! What was found of a re-formed electrolytic and for the proof at the end, in a sentence.
//!
//! Units as they were kept. Making the words cannot fail.

use logbook::{FormingEnd, FormingFinding, OfProof, OfReForming, PlugWay, ProofFinding};
use quantity::{Unit, bench};

/// One finding of a re-forming in a sentence or two.
pub(super) fn forming_in_words(one: &OfReForming) -> String {
    let mut text = one.part.clone();
    if !one.marked.is_empty() {
        text.push_str(&format!(" ({})", one.marked));
    }
    let mut said = Vec::new();
    match &one.found {
        FormingFinding::Reading {
            minutes,
            source_volts,
            section_volts,
            milliamperes,
            series_ohms,
            case_celsius,
            looks,
            typed: _,
        } => {
            said.push(format!(
                "leakage {} after {minutes} min at {source_volts} V",
                bench(milliamperes * 1e-3, Unit::Amperes)
            ));
            said.extend(section_volts.map(|volts| format!("{volts} V across it")));
            said.extend(series_ohms.map(|ohms| format!("through {}", bench(ohms, Unit::Ohms))));
            said.extend(case_celsius.map(|celsius| format!("case at {celsius} C")));
            if !looks.is_empty() {
                said.push(format!("can {looks}"));
            }
        }
        FormingFinding::Discharged {
            through_ohms,
            seconds,
            volts_left,
        } => {
            said.push("discharged".to_owned());
            said.extend(through_ohms.map(|ohms| format!("through {}", bench(ohms, Unit::Ohms))));
            said.extend(seconds.map(|seconds| format!("in {seconds} s")));
            said.push(format!("the meter then showed {volts_left} V"));
        }
        FormingFinding::Ended { end, because } => {
            said.push(
                match end {
                    FormingEnd::Accepted => "re-forming accepted",
                    FormingEnd::Stopped => "re-forming stopped",
                    FormingEnd::Replace => "re-forming given up: replace it",
                }
                .to_owned(),
            );
            if !because.is_empty() {
                said.push(format!("because {because}"));
            }
        }
    }
    text.push_str(&format!(
        ", re-forming outside the set: {}",
        said.join(", ")
    ));
    with_rest(text, &one.instrument, &one.note)
}

/// One answer of the proof at the end in a sentence or two.
pub(super) fn proof_in_words(one: &OfProof) -> String {
    if let ProofFinding::Signed { up_to } = one.found {
        let text = format!("check list signed by {}, up to entry {up_to}", one.by);
        return with_rest(text, &one.instrument, &one.note);
    }
    let mut text = format!("check list, {}", one.item);
    let mut how = Vec::new();
    if !one.at.is_empty() {
        how.push(format!("at {}", one.at));
    }
    how.extend(one.plug.map(|way| {
        match way {
            PlugWay::One => "plug one way",
            PlugWay::Other => "plug the other way",
        }
        .to_owned()
    }));
    how.extend(
        one.switched_on
            .map(|on| if on { "switched on" } else { "switched off" }.to_owned()),
    );
    how.extend(
        one.minutes
            .map(|minutes| format!("{minutes} min after switch-on")),
    );
    how.extend(one.line_volts.map(|volts| format!("line {volts} V")));
    if !how.is_empty() {
        text.push_str(&format!(" {}", how.join(", ")));
    }
    text.push_str(": ");
    match &one.found {
        ProofFinding::Figure { value, unit, typed } => {
            text.push_str(&figure_in_words(*value, unit));
            let bare = typed.replace(' ', "");
            if !typed.is_empty() && bare != figure_in_words(*value, unit).replace(' ', "") {
                text.push_str(&format!(" (read: {typed})"));
            }
        }
        ProofFinding::Answer { yes } => text.push_str(if *yes { "yes" } else { "no" }),
        ProofFinding::NotOfThisSet { because } => {
            text.push_str(&format!("not of this set, because {because}"));
        }
        ProofFinding::Signed { .. } => {}
    }
    text.push_str(&format!("; by {}", one.by));
    with_rest(text, &one.instrument, &one.note)
}

fn with_rest(mut text: String, instrument: &str, note: &str) -> String {
    for (before, said) in [("; with ", instrument), ("; ", note)] {
        if !said.is_empty() {
            text.push_str(&format!("{before}{said}"));
        }
    }
    text
}

/// A figure with its unit as it is read.
pub(crate) fn figure_in_words(value: f64, unit: &str) -> String {
    match unit {
        _ if value.is_infinite() => "open".to_owned(),
        "ohm" => bench(value, Unit::Ohms),
        _ => format!("{} {unit}", super::six_figures(value)),
    }
}
