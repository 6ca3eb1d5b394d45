//! Whether what is entered of a part can be said of such a part: a heater's glow of a tube, a tester's percent of a
//! tube, a way of checking of what it tells of, a pin of the base it is on.
//!
//! Source: the sheet's own rows and the catalogue's types; which way tells of which kind of part is common practice.
//! A name that the sheet has not is left alone: a restorer enters more than he has transcribed. Fails with what was
//! read, what was expected and what to do; nothing is written then.

use logbook::{TestResult, Tested};
use parts::{Pin, PinName, TubeType};
use receiver::sheet::{PartValue, Sheet, SheetPart};

use crate::hunt::CheckedBy;
use crate::trouble::Trouble;

/// Highest percent of a scale: testers end at 120 or 150 percent of a good tube (common practice), and some tubes
/// lie beyond.
const MOST_PERCENT: f64 = 200.0;
/// Highest micromhos of any receiving tube, ten times over.
const MOST_MICROMHOS: f64 = 200_000.0;

/// A pin of a tube of the sheet: one that its base has.
pub(crate) fn pin_of_its_base(sheet: &Sheet, place: &str) -> Result<(), Trouble> {
    let Some((tube, pin)) = place.trim().rsplit_once('.') else {
        return Ok(());
    };
    let Some(own) = sheet.tube(tube) else {
        return Ok(());
    };
    let all_digits = !pin.is_empty() && pin.chars().all(|letter| letter.is_ascii_digit());
    let (Some(count), true) = (own.kind.pin_count, all_digits) else {
        return Ok(());
    };
    if pin
        .parse::<u8>()
        .is_ok_and(|pin| (1..=count).contains(&pin))
    {
        return Ok(());
    }
    let (name, base) = (&own.kind.name, &own.kind.base);
    let base = match base.is_empty() {
        true => String::new(),
        false => format!(" ({base})"),
    };
    Err(Trouble::input(
        format!(
            "{} has no pin {pin}: it is a {name}, whose base{base} has {count} pins",
            own.reference
        ),
        "count the pins again, from below and clockwise; where another tube is in the set, mend its type on the sheet first",
    ))
}

/// What has a heater or filament to look at: tubes and lamps.
pub(crate) fn has_a_heater(sheet: &Sheet, name: &str) -> Result<(), Trouble> {
    match sheet.part(name) {
        Some(own) if sheet.tube(name).is_none() && !matches!(own.value, PartValue::Lamp(_)) => {
            Err(Trouble::input(
                format!("{}: {} glows as no heater does", own.reference, a_kind(own)),
                "name the tube or lamp that was looked at; a part that glows goes with `firstraster see`, and the plug is pulled first",
            ))
        }
        _ => Ok(()),
    }
}

/// What is pulled from a socket: tubes.
pub(crate) fn is_a_tube(sheet: &Sheet, name: &str) -> Result<(), Trouble> {
    match sheet.part(name) {
        Some(own) if sheet.tube(name).is_none() => Err(Trouble::input(
            format!("{}: {} is no tube", own.reference, a_kind(own)),
            "name the tube that was pulled",
        )),
        _ => Ok(()),
    }
}

/// A tester's result and the part it is told of.
pub(crate) fn result_suits(sheet: Option<&Sheet>, tested: &Tested) -> Result<(), Trouble> {
    match tested.result {
        TestResult::Percent(percent) if !(0.0..=MOST_PERCENT).contains(&percent) => {
            return Err(Trouble::input(
                format!(
                    "{percent} percent were read; percent of a scale are 0 to {MOST_PERCENT:.0}"
                ),
                "read the scale again; micromhos go with --micromhos",
            ));
        }
        TestResult::Micromhos(micromhos) if !(0.0..=MOST_MICROMHOS).contains(&micromhos) => {
            return Err(Trouble::input(
                format!(
                    "{micromhos} micromhos were read; micromhos of a tube are 0 to {MOST_MICROMHOS:.0}"
                ),
                "read the scale again",
            ));
        }
        _ => {}
    }
    let Some(sheet) = sheet else { return Ok(()) };
    let name = tested.part.trim();
    match (sheet.tube(name), sheet.part(name)) {
        (Some(own), _) => section_of(&own.reference, &own.kind, &tested.section),
        (None, Some(own)) => {
            let scale = match tested.result {
                TestResult::Percent(_) => "percent of a tester's scale",
                TestResult::Micromhos(_) => "micromhos",
                TestResult::Verdict(_) => return Ok(()),
            };
            Err(Trouble::input(
                format!(
                    "{}: {scale} tell of a tube, and {} is none",
                    own.reference,
                    a_kind(own)
                ),
                "name the tube; what was found of another part goes with --verdict, or with `firstraster suspects FILE condemned`",
            ))
        }
        (None, None) => Ok(()),
    }
}

/// The section of a tube that was tested: by its name, or its number where the sections are alike.
fn section_of(reference: &str, kind: &TubeType, section: &str) -> Result<(), Trouble> {
    let section = section.trim();
    if section.is_empty() || kind.sections.is_empty() {
        return Ok(());
    }
    let mut known: Vec<String> = Vec::new();
    for own in &kind.sections {
        match own.units {
            0 | 1 => known.push(own.name.clone()),
            units => known.extend((1..=units).map(|unit| unit.to_string())),
        }
    }
    let is_meant = |own: &String| {
        own.eq_ignore_ascii_case(section)
            || own
                .to_lowercase()
                .ends_with(&format!("-{}", section.to_lowercase()))
    };
    let by_name = kind
        .sections
        .iter()
        .any(|own| own.name.eq_ignore_ascii_case(section));
    if by_name || known.iter().any(is_meant) {
        return Ok(());
    }
    let text = format!(
        "{reference} has no section {section}: it is a {}",
        kind.name
    );
    Err(match &known[..] {
        [_] => Trouble::input(
            format!("{text}, which has one only"),
            "leave the section out",
        ),
        _ => Trouble::input(text, format!("its sections are {}", known.join(", "))),
    })
}

/// A way of checking and what it is said of: that a part is good, or what is wrong with it.
pub(crate) fn check_suits(
    sheet: &Sheet,
    part: &str,
    by: CheckedBy,
    is_cleared: bool,
) -> Result<(), Trouble> {
    let name = part.trim();
    if let Some(own) = sheet.tube(name) {
        let suits = match by {
            CheckedBy::Exchange | CheckedBy::Tester => true,
            // An ohmmeter finds an open heater, and clears nothing else.
            CheckedBy::Ohms => !is_cleared,
            CheckedBy::Leakage | CheckedBy::Capacitance => false,
        };
        if suits {
            return Ok(());
        }
        let does = match by {
            CheckedBy::Ohms => "an ohmmeter finds an open heater and clears nothing else",
            CheckedBy::Leakage => "leakage at working volts is measured of capacitors",
            _ => "capacitance is measured of capacitors",
        };
        return Err(Trouble::input(
            format!("{} is a tube ({}): {does}", own.reference, own.kind.name),
            "a tube is checked by `tester`, or by `exchange` for a good one",
        ));
    }
    let Some(own) = sheet.part(name) else {
        return Ok(());
    };
    let leaks = matches!(
        own.value,
        PartValue::Capacitor { .. }
            | PartValue::Selenium { .. }
            | PartValue::Silicon { .. }
            | PartValue::Crystal { .. }
    );
    let is_capacitor = matches!(own.value, PartValue::Capacitor { .. });
    let (suits, does) = match by {
        CheckedBy::Ohms | CheckedBy::Exchange => (true, ""),
        CheckedBy::Leakage => (
            leaks,
            "leakage at working volts tells of capacitors and dry rectifiers",
        ),
        CheckedBy::Capacitance => (is_capacitor, "capacitance is measured of capacitors"),
        CheckedBy::Tester => (false, "a tube tester tells of tubes"),
    };
    if suits {
        return Ok(());
    }
    let ways = match (is_capacitor, leaks) {
        (true, _) => "`leakage`, `capacitance`, `ohms` or `exchange`",
        (false, true) => "`ohms`, `leakage` or `exchange`",
        _ => "`ohms` or `exchange`",
    };
    Err(Trouble::input(
        format!("{}: {does}, and {} is none", own.reference, a_kind(own)),
        format!("such a part is checked by {ways}"),
    ))
}

/// What a new tube has otherwise than the one of the sheet: base, heater, or what is on its pins; empty where nothing.
pub(crate) fn differs_from(old: &TubeType, new: &TubeType) -> Vec<String> {
    let mut found = Vec::new();
    let both = |one: &str, other: &str| !one.is_empty() && !other.is_empty() && one != other;
    if both(&old.base, &new.base) {
        found.push(format!("its base is {}, not {}", new.base, old.base));
    } else {
        let otherwise: Vec<String> = old
            .pins
            .iter()
            .filter(|pin| {
                let other = new.pins.iter().find(|other| other.number == pin.number);
                other.is_some_and(|other| that_work(other) != that_work(pin))
            })
            .map(|pin| match pin.number {
                PinName::Number(number) => format!("pin {number}"),
                other => other.to_string(),
            })
            .collect();
        if !otherwise.is_empty() {
            found.push(format!("something else is on {}", otherwise.join(", ")));
        }
    }
    let volts = |kind: &TubeType| {
        kind.heater
            .as_ref()
            .map(|own| own.volts)
            .or(kind.heater_volts)
    };
    if let (Some(was), Some(is)) = (volts(old), volts(new))
        && !alike(was, is)
    {
        found.push(format!("its heater is for {is} V, not {was} V"));
    }
    if let (Some(was), Some(is)) = (&old.heater, &new.heater)
        && !alike(was.amperes, is.amperes)
    {
        found.push(format!(
            "its heater draws {} A, not {} A",
            is.amperes, was.amperes
        ));
    }
    found
}

/// The elements on a pin that matter for the wiring: a shield or third grid is joined inside or out.
fn that_work(pin: &Pin) -> Vec<&str> {
    let own = pin.elements.iter().map(String::as_str);
    let mut own: Vec<&str> = own
        .filter(|own| !own.ends_with("shield") && !own.ends_with("grid3"))
        .collect();
    own.sort_unstable();
    own
}

/// Within a twentieth, as ratings of one heater are written.
fn alike(one: f64, other: f64) -> bool {
    (one - other).abs() <= 0.05 * one.abs().max(other.abs())
}

fn a_kind(part: &SheetPart) -> String {
    let kind = part.value.kind().name();
    let article = match kind.starts_with(['a', 'e', 'i', 'o', 'u']) {
        true => "an",
        false => "a",
    };
    format!("{article} {kind}")
}
