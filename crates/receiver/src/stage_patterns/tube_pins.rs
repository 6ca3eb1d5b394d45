//! Where the elements of a tube's section are, by the catalogue's pin map.
//!
//! Pins as the base has them, counted from the key. An element may be on one
//! pin, on several that are joined inside, or on none; a type whose map is not
//! recorded says nothing, and then the restorer is asked.

use parts::{SectionKind, TubeType};

use super::pattern::TubeNeed;

/// A section of a tube as a stage uses it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Unit {
    /// What a person calls it: `1`, `2`, `triode`, `pentode`; empty for the only one.
    pub(super) label: String,
    kind: Option<SectionKind>,
    number: Option<u8>,
}

impl Unit {
    /// The whole tube, its elements by their own names.
    pub(super) fn whole() -> Unit {
        Unit {
            label: String::new(),
            kind: None,
            number: None,
        }
    }
}

/// What the pin map says of an element.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Pins {
    /// On this pin.
    One(String),
    /// On each of these, joined inside the tube.
    Several(Vec<String>),
    /// The tube has it on no pin.
    Absent,
    /// The map is not recorded.
    NotRecorded,
}

/// The sections of a type that a stage can use.
pub(super) fn units(kind: &TubeType, need: TubeNeed) -> Vec<Unit> {
    if need.is_whole_tube() {
        return vec![Unit::whole()];
    }
    let mut units = Vec::new();
    let mut add = |label: String, kind: SectionKind, number: Option<u8>| {
        if !units.iter().any(|unit: &Unit| unit.label == label) {
            units.push(Unit {
                label,
                kind: Some(kind),
                number,
            });
        }
    };
    for section in kind
        .sections
        .iter()
        .filter(|section| need.takes(section.kind))
    {
        let behind_dash = section.name.rsplit('-').next().unwrap_or("");
        match behind_dash.parse::<u8>() {
            Ok(number) => add(number.to_string(), section.kind, Some(number)),
            Err(_) if section.units > 1 => {
                for number in 1..=section.units {
                    add(number.to_string(), section.kind, Some(number));
                }
            }
            Err(_) => add(section.kind.word().to_string(), section.kind, None),
        }
    }
    if units.is_empty() && need == TubeNeed::Diode {
        // The diodes beside a triode have no row of their own.
        let named = |number: u8| {
            kind.pins
                .iter()
                .any(|pin| pin.carries(&format!("diode{number}")))
        };
        for number in (1..=3).filter(|number| named(*number)) {
            units.push(Unit {
                label: number.to_string(),
                kind: Some(SectionKind::Diode),
                number: Some(number),
            });
        }
    }
    if units.is_empty() {
        units.push(Unit::whole());
    }
    units
}

/// Where an element of the section is. `element` is a word of the patterns or of the pin map.
pub(super) fn pins_of(kind: &TubeType, unit: &Unit, element: &str) -> Pins {
    if kind.pins.is_empty() {
        return Pins::NotRecorded;
    }
    // `grid2` of a double triode is the grid of its second half and no screen.
    if unit.kind == Some(SectionKind::Triode) && matches!(element, "screen" | "grid3") {
        return Pins::Absent;
    }
    let heater = kind.heater_pins();
    let heater_end = match element {
        "heater-a" => heater.first(),
        "heater-b" => heater.get(1),
        _ => None,
    };
    if let Some(pin) = heater_end {
        return Pins::One(pin.to_string());
    }
    let mut found: Vec<String> = Vec::new();
    for candidate in candidates(unit, element) {
        let pins = kind.pins_carrying(&candidate);
        if !pins.is_empty() {
            found = pins.iter().map(ToString::to_string).collect();
            break;
        }
    }
    match found.as_slice() {
        [] => Pins::Absent,
        [only] => Pins::One(only.clone()),
        _ => Pins::Several(found),
    }
}

/// The names under which a pin map may have the element, the surest first.
fn candidates(unit: &Unit, element: &str) -> Vec<String> {
    let plain: Vec<&str> = match element {
        "grid" => vec!["grid1", "grid"],
        "screen" => vec!["grid2"],
        "cathode" => vec!["cathode", "filament"],
        "anode" => vec!["anode", "anode2"],
        "coating" => vec!["outer-coating"],
        other => vec![other],
    };
    let mut names = Vec::new();
    if let Some(number) = unit.number {
        match element {
            "grid" => names.push(format!("grid{number}")),
            "plate" | "cathode" => names.push(format!("{element}{number}")),
            _ => {}
        }
        if element == "plate" {
            names.push(format!("diode{number}"));
        }
    }
    if let Some(kind) = unit.kind {
        for name in &plain {
            names.push(format!("{}-{name}", kind.word()));
            if let Some(number) = unit.number {
                names.push(format!("{}{number}-{name}", kind.word()));
            }
        }
        if kind == SectionKind::Diode && element == "plate" {
            names.push("diode".to_string());
        }
    }
    // The grid of the other half is no grid of this one.
    if !(unit.number.is_some() && element == "grid") {
        names.extend(plain.iter().map(|name| (*name).to_string()));
    }
    // Two diodes in one tube: their plates may be called diodes, their cathode may be common.
    if unit.kind.is_none() && unit.number.is_none() {
        if let Some(number) = element
            .strip_prefix("plate")
            .filter(|rest| !rest.is_empty())
        {
            names.push(format!("diode{number}"));
        }
        if element.starts_with("cathode") && element.len() > "cathode".len() {
            names.push("cathode".to_string());
            names.push("filament".to_string());
        }
    }
    names
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(name: &str, need: TubeNeed, unit: &str, element: &str, wanted: &str) {
        let catalogue = parts::catalogue().expect("the tables are sound");
        let kind = catalogue.tube(name).expect("in the catalogue");
        let units = units(kind, need);
        let unit = units
            .iter()
            .find(|own| own.label == unit || unit.is_empty())
            .unwrap_or_else(|| panic!("{name}: {units:?}"));
        let found = match pins_of(kind, unit, element) {
            Pins::One(pin) => pin,
            Pins::Several(pins) => pins.join(" "),
            Pins::Absent => "none".to_string(),
            Pins::NotRecorded => "?".to_string(),
        };
        assert_eq!(found, wanted, "{name} {element}");
    }

    #[test]
    fn elements_are_found_where_the_bases_have_them() {
        // Pins by the makers' base drawings as data/tubes.csv has them.
        check("6SN7-GT", TubeNeed::Triode, "1", "grid", "4");
        check("6SN7-GT", TubeNeed::Triode, "2", "grid", "1");
        check("6SN7-GT", TubeNeed::Triode, "2", "plate", "2");
        check("6J6", TubeNeed::Triode, "2", "cathode", "7");
        check("6U8-A", TubeNeed::Pentode, "", "screen", "3");
        check("6U8-A", TubeNeed::Amplifier, "triode", "grid", "9");
        check("6AU6", TubeNeed::Pentode, "", "grid3", "2");
        check("6SN7-GT", TubeNeed::Amplifier, "1", "screen", "none");
        check("12BH7-A", TubeNeed::Output, "2", "screen", "none");
        check("6U8-A", TubeNeed::Amplifier, "triode", "screen", "none");
        check("6AG5", TubeNeed::Pentode, "", "cathode", "2 7");
        check("6AG7", TubeNeed::Pentode, "", "grid3", "none");
        check("6AL5", TubeNeed::TwinDiode, "", "cathode2", "5");
        check("6AL5", TubeNeed::Diode, "2", "plate", "2");
        check("6AV6", TubeNeed::TwinDiode, "", "plate1", "6");
        check("6AV6", TubeNeed::TwinDiode, "", "cathode2", "2");
        check("6AV6", TubeNeed::Diode, "2", "plate", "5");
        check("5U4-G", TubeNeed::Rectifier, "", "plate1", "6");
        check("6BG6-G", TubeNeed::Output, "", "plate", "cap");
        check("12LP4-A", TubeNeed::Picture, "", "anode", "anode");
    }
}
