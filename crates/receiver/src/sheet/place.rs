//! A place: a pin, a named line, the chassis, a blade of the plug.
//!
//! Source: the words of the sheet. Reserved words are read in any case; spaces
//! at the ends are dropped and runs of spaces count as one. A text that names a
//! pin of a tube the sheet has not is refused, with the nearest tube.

use std::fmt;

use parts::PinName;

/// A place of the set, in its one spelling.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Place {
    /// The metal base.
    Chassis,
    /// First blade of the set's plug.
    LineA,
    /// Second blade of the set's plug.
    LineB,
    /// A pin, cap or contact of a tube.
    Pin {
        /// Reference of the tube, as its row spells it.
        tube: String,
        /// Which pin.
        pin: PinName,
    },
    /// Any other name the sheet gives.
    Named(String),
}

impl Place {
    /// The tube and pin, if the place is one.
    pub fn pin(&self) -> Option<(&str, PinName)> {
        match self {
            Place::Pin { tube, pin } => Some((tube, *pin)),
            _ => None,
        }
    }

    /// Whether this is the metal base.
    pub fn is_chassis(&self) -> bool {
        *self == Place::Chassis
    }

    /// Whether this is a blade of the plug.
    pub fn is_line(&self) -> bool {
        matches!(self, Place::LineA | Place::LineB)
    }
}

impl fmt::Display for Place {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Place::Chassis => formatter.write_str("chassis"),
            Place::LineA => formatter.write_str("line a"),
            Place::LineB => formatter.write_str("line b"),
            Place::Pin { tube, pin } => write!(formatter, "{tube}.{pin}"),
            Place::Named(name) => formatter.write_str(name),
        }
    }
}

/// The text of a place, understood as far as that goes without the tubes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum PlaceText<'a> {
    Chassis,
    LineA,
    LineB,
    /// Text before and after the last dot, which may name a tube and a pin.
    Dotted {
        before: &'a str,
        after: &'a str,
    },
    Name,
    Empty,
}

pub(super) fn look_at(text: &str) -> PlaceText<'_> {
    let text = text.trim();
    if text.is_empty() {
        return PlaceText::Empty;
    }
    let mut words = text.split_whitespace();
    let (first, second, third) = (words.next(), words.next(), words.next());
    match (first, second, third) {
        (Some(first), None, _) if first.eq_ignore_ascii_case("chassis") => {
            return PlaceText::Chassis;
        }
        (Some(first), Some(second), None) if first.eq_ignore_ascii_case("line") => {
            if second.eq_ignore_ascii_case("a") {
                return PlaceText::LineA;
            }
            if second.eq_ignore_ascii_case("b") {
                return PlaceText::LineB;
            }
        }
        _ => {}
    }
    match text.rsplit_once('.') {
        Some((before, after)) if !before.contains(char::is_whitespace) && !before.is_empty() => {
            PlaceText::Dotted {
                before,
                after: after.trim(),
            }
        }
        _ => PlaceText::Name,
    }
}

/// Spaces at the ends dropped, runs of spaces made one.
pub(super) fn plain_name(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// What stands after the dot, if it can be a pin. Leading zeros and signs are no pins.
pub(super) fn read_pin(text: &str) -> Option<PinName> {
    if text.starts_with(['0', '+']) {
        None
    } else {
        text.parse().ok()
    }
}

/// Whether a dotted text whose first half is no tube of the sheet can only have been meant as a pin.
pub(super) fn can_only_be_a_pin(before: &str, after: &str) -> bool {
    let pin = read_pin(after);
    let mut letters = before.chars();
    let like_a_tube = matches!(letters.next(), Some('V' | 'v'))
        && letters.next().is_some_and(|c| c.is_ascii_digit());
    match pin {
        Some(PinName::Number(_)) => like_a_tube,
        Some(_) => true,
        None => like_a_tube && after.chars().next().is_some_and(|c| c.is_ascii_digit()),
    }
}
