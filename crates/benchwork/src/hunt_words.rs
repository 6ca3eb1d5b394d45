//! Words of the hunt for the bad part, for pages and commands: places, values, weights, measurements, outcomes.
//!
//! Weights and chances of a hundred, values in the unit of their kind as at the bench. Nothing here fails.

use crate::figures::{called, figure};
use crate::view::{HuntedReadingView, MeaningView, NextOfferView};

/// Times from which a number is told without its decimals.
const WHOLE: f64 = 10.0;
/// Times beyond which they are told by words.
const MOST: f64 = 1000.0;

/// Places that tell the same, told at most.
const MOST_ALSO: usize = 4;

/// The place of a reading, with its other lead and its kind where they are not the usual ones.
pub fn place_of(own: &HuntedReadingView) -> String {
    let mut place = if own.to == "chassis" {
        own.at.clone()
    } else {
        format!("{} to {}", own.at, own.to)
    };
    if own.what != "dc_volts" {
        place.push_str(&format!(", {}", called(own.what)));
    }
    place
}

/// The value of a reading; `open` for an open place.
pub fn value_of(own: &HuntedReadingView) -> String {
    own.value
        .map_or_else(|| "open".to_owned(), |value| figure(own.what, value))
}

/// A weight of a hundred: `83`, `below 1`.
pub fn of_hundred(weight: f64) -> String {
    let hundreds = 100.0 * weight;
    if hundreds < 1.0 {
        "below 1".to_owned()
    } else if hundreds > 99.0 {
        "over 99".to_owned()
    } else {
        format!("{hundreds:.0}")
    }
}

/// How many times likelier than in a healthy set.
pub fn times(times: f64) -> String {
    let told = |own: f64| {
        if own >= MOST {
            "over 1000".to_owned()
        } else if own >= WHOLE {
            format!("{own:.0}")
        } else {
            format!("{own:.1}")
        }
    };
    if (0.95..=1.05).contains(&times) {
        "as likely".to_owned()
    } else if times > 1.0 {
        format!("{} times likelier", told(times))
    } else {
        format!("{} times less likely", told(1.0 / times))
    }
}

/// What is measured, in a few words.
pub fn asked(offer: &NextOfferView) -> String {
    let at = &offer.at;
    match offer.kind {
        "read" if offer.what == Some("line_watts") => "watts from the line".to_owned(),
        "read" => format!("{} at {at}", called(offer.what.unwrap_or_default())),
        "part_ohms" => format!("ohms of {at}, one end free"),
        "ohms_in_place" => format!("ohms across {at} where it sits"),
        "ohms_out_of_holder" => format!("ohms of {at}, out of its holder"),
        "part_leakage" => format!("leakage of {at} at its working volts, one end free"),
        "part_capacitance" => format!("capacitance of {at}, one end free"),
        "loose_end" => format!("volts at the loose end of {at}"),
        "capacitor_bridge" => format!("a good capacitor across {at} for a trial"),
        "capacitor_exchange" => format!("a good capacitor in the place of {at}"),
        "tube_exchange" => format!("another tube in the socket of {at}"),
        "signal" => format!("a signal from {at}"),
        "tube_tester" => format!("{at} on a tube tester"),
        "glow" => format!("a look at how the heater of {at} glows"),
        other => format!("{other} of {at}"),
    }
}

/// Places that tell the same, in a sentence; `None` where there are none.
pub fn also_at(offer: &NextOfferView) -> Option<String> {
    let (first, rest) = offer.also.split_at(offer.also.len().min(MOST_ALSO));
    let more = match rest.len() {
        0 => String::new(),
        own => format!(" and {own} more"),
    };
    (!first.is_empty()).then(|| format!("It tells nearly the same at {}{more}.", first.join(", ")))
}

/// Whether a good one is tried, in its place or across it.
pub fn is_trial(kind: &str) -> bool {
    ["capacitor_exchange", "capacitor_bridge", "tube_exchange"].contains(&kind)
}

/// One outcome by itself: `below 62.6 V`, `all is well with it`.
pub fn outcome(offer: &NextOfferView, own: &MeaningView) -> String {
    let what = offer.what.unwrap_or_default();
    let span = |from: Option<f64>, to: Option<f64>| match (from, to) {
        (None, Some(to)) => format!(", below {}", figure(what, to)),
        (Some(from), None) => format!(", above {}", figure(what, from)),
        (Some(from), Some(to)) => format!(", {} to {}", figure(what, from), figure(what, to)),
        (None, None) => String::new(),
    };
    match (own.outcome, own.from, own.to) {
        ("good", from, to) if offer.kind == "loose_end" => {
            format!("sound or open{}", span(from, to))
        }
        ("bad", from, to) if offer.kind == "loose_end" => {
            format!("it leaks{}", span(from, to))
        }
        ("otherwise", from, to) if offer.kind == "loose_end" => {
            format!(
                "it leaks, but not as the readings ask for{}",
                span(from, to)
            )
        }
        (_, None, Some(to)) => format!("below {}", figure(what, to)),
        (_, Some(from), None) => format!("above {}", figure(what, from)),
        (_, Some(from), Some(to)) => format!("{} to {}", figure(what, from), figure(what, to)),
        ("otherwise", ..) if offer.kind == "signal" => "weak or bent".to_owned(),
        ("good", ..) if offer.kind == "signal" => "it comes as it should".to_owned(),
        ("bad", ..) if offer.kind == "signal" => "nothing comes".to_owned(),
        ("otherwise", ..) => "bad, but not as the readings ask for".to_owned(),
        ("good", ..) if is_trial(offer.kind) => "nothing changes".to_owned(),
        ("bad", ..) if is_trial(offer.kind) => "all is well with it".to_owned(),
        (other, ..) => other.to_owned(),
    }
}

/// Who would gain by an outcome: `C50 from 47 to 92`.
pub fn gains(own: &MeaningView) -> String {
    let gains: Vec<String> = own
        .gains
        .iter()
        .map(|gain| (gain, of_hundred(gain.now), of_hundred(gain.then)))
        .filter(|(_, now, then)| now != then)
        .map(|(gain, now, then)| format!("{} from {now} to {then}", gain.who))
        .collect();
    if gains.is_empty() {
        "tells nothing".to_owned()
    } else {
        gains.join(", ")
    }
}

/// One outcome: `below 62.6 V (35 of 100): C50 47 to 92`.
pub fn meaning(offer: &NextOfferView, own: &MeaningView) -> String {
    format!(
        "{} ({} of 100): {}",
        outcome(offer, own),
        of_hundred(own.chance),
        gains(own)
    )
}
