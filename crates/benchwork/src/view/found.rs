//! What was found of a picture tube, in a sentence.
//!
//! Units as they were kept. Making the words cannot fail.

use logbook::{Needle, OfPictureTube, TubeFinding};
use quantity::{Unit, bench};

/// One finding in a sentence or two.
pub(super) fn found_in_words(one: &OfPictureTube) -> String {
    let mut text = one.part.clone();
    if !one.type_number.is_empty() {
        text.push_str(&format!(" ({})", one.type_number));
    }
    text.push_str(&format!(", {}", finding(&one.found)));
    for (before, said) in [("; with ", &one.instrument), ("; ", &one.note)] {
        if !said.is_empty() {
            text.push_str(&format!("{before}{said}"));
        }
    }
    text
}

fn finding(found: &TubeFinding) -> String {
    let about = found.about();
    let mut said = Vec::new();
    match found {
        TubeFinding::Heater {
            cold_ohms,
            volts,
            amperes,
            glows,
        } => {
            said.extend(cold_ohms.map(|ohms| format!("{} cold", ohms_in_words(ohms))));
            said.extend(volts.map(|volts| format!("{volts} V")));
            said.extend(amperes.map(|amperes| format!("{amperes} A")));
            said.extend(glows.map(|glows| if glows { "glows" } else { "no glow" }.to_owned()));
        }
        TubeFinding::Leak {
            plus,
            minus,
            ohms,
            hot,
        } => {
            said.push(format!("plus at {plus}, minus at {minus}"));
            said.push(ohms_in_words(*ohms));
            said.push(if *hot { "heater hot" } else { "cold" }.to_owned());
        }
        TubeFinding::CutOff {
            grid_volts,
            reached,
            second_grid_volts,
        } => {
            said.extend(grid_volts.map(|volts| format!("grid {volts} V below the cathode")));
            said.extend(reached.map(|is| if is { "reached" } else { "not reached" }.to_owned()));
            said.extend(second_grid_volts.map(|volts| format!("second grid at {volts} V")));
        }
        TubeFinding::Emission { minutes, needle } => {
            said.push(format!("after {minutes} min {}", needle_in_words(needle)));
        }
        TubeFinding::LifeTest { seconds, needle } => {
            said.push(format!("after {seconds} s {}", needle_in_words(needle)));
        }
        TubeFinding::BenchCurrent {
            second_grid_volts,
            microamperes,
            microamperes_later,
        } => {
            said.push(format!("second grid at {second_grid_volts} V"));
            said.push(format!("{microamperes} uA at once"));
            said.extend(microamperes_later.map(|later| format!("{later} uA ten seconds later")));
        }
        TubeFinding::RunningSet {
            picture,
            cathode_microamperes,
        } => {
            if !picture.is_empty() {
                said.push(format!("picture {picture}"));
            }
            said.extend(
                cathode_microamperes.map(|current| format!("cathode current {current} uA")),
            );
        }
    }
    format!("{about}: {}", said.join(", "))
}

fn needle_in_words(needle: &Needle) -> String {
    let mut text = format!("{} {} of {}", needle.shown, needle.unit, needle.scale_end);
    if let Some(volts) = needle.heater_volts {
        text.push_str(&format!(", heater at {volts} V"));
    }
    if !needle.sitting.is_empty() {
        text.push_str(&format!(", sitting {}", needle.sitting));
    }
    text
}

fn ohms_in_words(ohms: f64) -> String {
    if ohms.is_infinite() {
        "open".to_owned()
    } else {
        bench(ohms, Unit::Ohms)
    }
}
