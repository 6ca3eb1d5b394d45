//! Answers to the check list as they are typed: `one/on=0.31V`, `30=1.88A`, `yes`, `open`.
//!
//! Before the `=` stand the way of the plug (`one`, `other`), the switch (`on`, `off`) or minutes of the
//! soak, in any order with a stroke between. Leakage in volts is turned into milliamperes by the measuring
//! network at the line's frequency. All faults are gathered.

use logbook::{PlugWay, ProofFinding};
use quantity::read_amperes;
use receiver::proof::{Asks, LEAKAGE, ProofItem, direct_milliamperes, network_milliamperes};

use crate::picture_tube::typed::{Typed, rounded};

/// One answer, understood.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Answer {
    /// Way of the plug.
    pub plug: Option<PlugWay>,
    /// Switch.
    pub switched_on: Option<bool>,
    /// Minutes.
    pub minutes: Option<f64>,
    /// What was found.
    pub found: ProofFinding,
}

/// Reads one answer; `None` with its faults noted.
pub(super) fn answer(
    text: &str,
    item: &ProofItem,
    hertz: f64,
    typed: &mut Typed,
) -> Option<Answer> {
    let (how, value) = match text.split_once('=') {
        Some((how, value)) => (how, value.trim()),
        None => ("", text.trim()),
    };
    let mut answer = Answer {
        plug: None,
        switched_on: None,
        minutes: None,
        found: ProofFinding::Answer { yes: true },
    };
    let mut is_right = true;
    for word in how
        .split('/')
        .map(str::trim)
        .filter(|word| !word.is_empty())
    {
        match word.to_lowercase().as_str() {
            "one" => answer.plug = Some(PlugWay::One),
            "other" => answer.plug = Some(PlugWay::Other),
            "on" => answer.switched_on = Some(true),
            "off" => answer.switched_on = Some(false),
            _ => {
                answer.minutes = typed.minutes(text, word);
                is_right &= answer.minutes.is_some();
            }
        }
    }
    is_right &= has_its_place(text, item, &answer, typed);
    let found = found(text, value, item, hertz, typed);
    answer.found = found?;
    is_right.then_some(answer)
}

fn has_its_place(text: &str, item: &ProofItem, answer: &Answer, typed: &mut Typed) -> bool {
    let Some(slot) = item.slots.first() else {
        return true;
    };
    let mut lacks = Vec::new();
    if slot.plug_other.is_some() && answer.plug.is_none() {
        lacks.push("the way of the plug (one or other)");
    }
    let asks_switch = item
        .slots
        .iter()
        .any(|own| own.switched_on != slot.switched_on);
    if slot.switched_on.is_some() && asks_switch && answer.switched_on.is_none() {
        lacks.push("the switch (on or off)");
    }
    if slot.minutes.is_some() && answer.minutes.is_none() {
        lacks.push("the minutes of the soak");
    }
    if lacks.is_empty() {
        return true;
    }
    let example = match (slot.plug_other, slot.minutes) {
        (Some(_), _) if asks_switch => "one/on=0.31V",
        (Some(_), _) => "one=0.2V",
        _ => "30=1.88A",
    };
    typed.fault(
        format!("`{text}` does not say {}", lacks.join(" and ")),
        format!("write it before the value, such as {example}"),
    );
    false
}

fn found(
    text: &str,
    value: &str,
    item: &ProofItem,
    hertz: f64,
    typed: &mut Typed,
) -> Option<ProofFinding> {
    let unit = match item.asks {
        Asks::YesNo => {
            return typed
                .yes_or_no(text, value)
                .map(|yes| ProofFinding::Answer { yes });
        }
        Asks::Figure(unit) => unit,
    };
    let in_volts = value.trim_end().ends_with(['V', 'v']);
    let figure = match unit {
        "mA" if in_volts => {
            let volts = typed.volts(text, value, 200.0)?;
            if item.key == LEAKAGE {
                network_milliamperes(volts, hertz)
            } else {
                direct_milliamperes(volts)
            }
        }
        "mA" => {
            let is_bare = !value.contains(char::is_alphabetic);
            let read = read_amperes(value).ok().filter(|_| !is_bare);
            let expected = "leakage with its unit, such as 0.2 mA, or the volts, such as 0.31 V,";
            1e3 * typed.within(text, value, read.map(|own| own.0), (0.0, 1.0), expected)?
        }
        "A" => typed.amperes(text, value, 100.0)?,
        "ohm" => typed.ohms(text, value)?,
        "s" => typed.seconds(text, value)?,
        "V" => typed.volts(text, value, 2000.0)?,
        // A bare number might be volts as well as kilovolts: a thousandth of what stands there would count as safe.
        "kV" if !value.contains(char::is_alphabetic) => {
            let expected = "volts or kilovolts with their unit, such as 11.4 kV,";
            typed.within(text, value, None, (0.0, 40.0), expected)?
        }
        "kV" => 1e-3 * typed.volts(text, value, 40_000.0)?,
        "C" => typed.figure(
            text,
            value.trim_end_matches(['C', 'c']).trim_end_matches('°'),
            (-40.0, 300.0),
            "degrees Celsius, such as 41",
        )?,
        _ => typed.figure(
            text,
            value.trim_end_matches(['K', 'k']),
            (-50.0, 300.0),
            "kelvin over the room, such as 38",
        )?,
    };
    Some(ProofFinding::Figure {
        value: rounded(figure),
        unit: unit.to_owned(),
        typed: value.to_owned(),
    })
}
