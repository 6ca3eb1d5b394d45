//! Pins of a tube and what is joined to each.
//!
//! Written `2:heater 4:plate2 8:heater+cathode cap:plate`. A number is the
//! pin's place on the base; `cap` is a top cap; a picture tube's high-voltage
//! contact (`cap` or metal `lip`) is its `anode`; `coating` its outer coating.
//! A pin not written carries nothing that is recorded. Fails with one fault
//! for each entry that cannot be read.

use std::fmt;
use std::str::FromStr;

/// The name of a contact of a tube, as written after the dot in `V5.6`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PinName {
    /// A pin of the base, counted from 1.
    Number(u8),
    /// The top cap of a receiving tube.
    Cap,
    /// The high-voltage contact of a picture tube.
    Anode,
    /// The outer coating of a picture tube.
    Coating,
}

impl fmt::Display for PinName {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            PinName::Number(number) => write!(out, "{number}"),
            PinName::Cap => out.write_str("cap"),
            PinName::Anode => out.write_str("anode"),
            PinName::Coating => out.write_str("coating"),
        }
    }
}

impl FromStr for PinName {
    type Err = PinNameError;

    fn from_str(text: &str) -> Result<PinName, PinNameError> {
        let word = text.trim();
        match word.to_lowercase().as_str() {
            "cap" => Ok(PinName::Cap),
            "anode" | "lip" => Ok(PinName::Anode),
            "coating" => Ok(PinName::Coating),
            other => match other.parse::<u8>() {
                Ok(number) if (1..=20).contains(&number) => Ok(PinName::Number(number)),
                _ => Err(PinNameError {
                    read: word.to_string(),
                }),
            },
        }
    }
}

/// A text that names no contact of a tube.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("\"{read}\" read, a pin number from 1 to 20 or cap, anode, coating expected")]
pub struct PinNameError {
    /// The text read.
    pub read: String,
}

/// A contact with the elements joined to it inside the tube.
#[derive(Clone, Debug, PartialEq)]
pub struct Pin {
    /// Which contact.
    pub number: PinName,
    /// Its elements, such as `plate1`, `heater`, `filament`, `cathode`,
    /// `triode-grid1`; several where they are joined inside.
    pub elements: Vec<String>,
}

impl Pin {
    /// Whether the element sits on this contact.
    pub fn carries(&self, element: &str) -> bool {
        self.elements.iter().any(|own| own == element)
    }
}

/// The elements that a pin map may name, without unit number or section.
pub const ELEMENTS: [&str; 16] = [
    "heater",
    "heater-tap",
    "filament",
    "cathode",
    "plate",
    "grid",
    "diode",
    "shield",
    "shell",
    "anode",
    "focus",
    "deflection",
    "outer-coating",
    "triode",
    "pentode",
    "internal",
];

/// Reads a pin map; all faults at once, each as text and hint.
pub(crate) fn read_pins(
    text: &str,
    is_picture_tube: bool,
) -> Result<Vec<Pin>, Vec<(String, String)>> {
    let mut pins: Vec<Pin> = Vec::new();
    let mut faults = Vec::new();
    for entry in text.split_whitespace() {
        let Some((name, elements)) = entry.split_once(':') else {
            faults.push((
                format!("\"{entry}\" read, pin:element expected"),
                "write for example 2:heater or 8:heater+cathode".to_string(),
            ));
            continue;
        };
        let number = match name.parse::<PinName>() {
            Ok(PinName::Cap) if is_picture_tube => PinName::Anode,
            Ok(number) => number,
            Err(error) => {
                faults.push((error.to_string(), format!("mend \"{entry}\"")));
                continue;
            }
        };
        if pins.iter().any(|pin| pin.number == number) {
            faults.push((
                format!("pin {number} is written twice"),
                "join the elements with + on one pin".to_string(),
            ));
            continue;
        }
        let elements: Vec<String> = elements.split('+').map(|e| e.trim().to_string()).collect();
        for element in &elements {
            if !is_known_element(element) {
                faults.push((
                    format!("\"{element}\" on pin {number} is no known element"),
                    crate::table::nearest_hint(element, &ELEMENTS),
                ));
            }
        }
        pins.push(Pin { number, elements });
    }
    if faults.is_empty() {
        Ok(pins)
    } else {
        Err(faults)
    }
}

/// Whether the word names an element: a known one, with an optional section
/// in front (`pentode-grid1`) and an optional number behind.
fn is_known_element(word: &str) -> bool {
    let inner = ["triode-", "pentode-", "diode-", "heptode-", "beam-"]
        .iter()
        .find_map(|section| word.strip_prefix(section))
        .unwrap_or(word);
    let bare = inner.trim_end_matches(|c: char| c.is_ascii_digit());
    ELEMENTS.contains(&bare) && bare != "triode" && bare != "pentode"
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(text: &str, picture: bool, expected: &str) {
        let shown = match read_pins(text, picture) {
            Ok(pins) => pins
                .iter()
                .map(|pin| format!("{}={}", pin.number, pin.elements.join("&")))
                .collect::<Vec<_>>()
                .join(" "),
            Err(faults) => format!("{} faults", faults.len()),
        };
        assert_eq!(shown, expected, "{text}");
    }

    #[test]
    fn pin_maps_are_read_as_written() {
        check(
            "2:heater 8:heater+cathode",
            false,
            "2=heater 8=heater&cathode",
        );
        check("cap:plate", false, "cap=plate");
        check(
            "cap:anode coating:outer-coating",
            true,
            "anode=anode coating=outer-coating",
        );
        check("lip:anode", true, "anode=anode");
        check("6:pentode-grid2", false, "6=pentode-grid2");
        check("", false, "");
    }

    #[test]
    fn every_bad_entry_is_a_fault() {
        check("2heater x:plate 3:plait 4:plate 4:grid1", false, "4 faults");
        check("0:plate 21:plate 3:triode", false, "3 faults");
    }
}
