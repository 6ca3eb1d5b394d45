//! Whether a type goes into the socket of another: base, pins, heater.
//!
//! Two heaters are the same within 5 percent of volts and of amperes, the
//! tolerance of a heater rating (common practice). Shields and metal shells are
//! no part of the comparison but are told, since a socket's idle pin may be in
//! use as a tie point. The units of a twin tube may change places. An unknown
//! pin map or heater gives [`Fit::NotKnown`]: nothing is taken for granted.

use crate::like::{Change, Matter};
use crate::pin::{Pin, PinName};
use crate::tube::{Heating, TubeType};

/// Whether a type goes into the socket of another.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Fit {
    /// Same pins, same heater.
    SameSocket,
    /// Same pins; same heater volts, other amperes or no controlled warm-up.
    SameSocketParallelHeaters,
    /// Same pins; same heater amperes, other volts.
    SameSocketSeriesString,
    /// Same pins; heater volts and amperes both differ.
    SameSocketOtherHeater,
    /// Same base, but pins carry other things.
    Rewire,
    /// Another base.
    OtherSocket,
    /// A pin map, base or heater is not known.
    NotKnown,
}

impl Fit {
    /// The word for scripts.
    pub fn word(self) -> &'static str {
        match self {
            Fit::SameSocket => "same_socket",
            Fit::SameSocketParallelHeaters => "same_socket_parallel_heaters_only",
            Fit::SameSocketSeriesString => "same_socket_series_string_only",
            Fit::SameSocketOtherHeater => "same_socket_other_heater",
            Fit::Rewire => "rewire",
            Fit::OtherSocket => "other_socket",
            Fit::NotKnown => "not_known",
        }
    }

    /// The same in words.
    pub fn sentence(self) -> &'static str {
        match self {
            Fit::SameSocket => "goes into the same socket without rewiring",
            Fit::SameSocketParallelHeaters => {
                "same socket without rewiring, but only where heaters are fed in parallel; not in a series string"
            }
            Fit::SameSocketSeriesString => {
                "same socket without rewiring, but only in a series string that is set right for its volts; not on a winding"
            }
            Fit::SameSocketOtherHeater => {
                "same pins, but its heater needs another supply: does not go in as it stands"
            }
            Fit::Rewire => "same base, but the socket has to be rewired",
            Fit::OtherSocket => "needs another socket",
            Fit::NotKnown => "not known whether it goes into the same socket",
        }
    }

    /// Whether base and pins agree.
    pub fn is_same_socket(self) -> bool {
        matches!(
            self,
            Fit::SameSocket
                | Fit::SameSocketParallelHeaters
                | Fit::SameSocketSeriesString
                | Fit::SameSocketOtherHeater
        )
    }

    fn distance(self) -> f64 {
        match self {
            Fit::SameSocket => 0.0,
            Fit::SameSocketParallelHeaters | Fit::SameSocketSeriesString => 0.25,
            Fit::SameSocketOtherHeater => 0.35,
            Fit::Rewire => 0.7,
            Fit::NotKnown => 0.8,
            Fit::OtherSocket => 0.9,
        }
    }
}

/// The fit, what changes, and how far off it is.
pub(super) fn fit(asked: &TubeType, tube: &TubeType) -> (Fit, Vec<Change>, f64) {
    let mut changes = Vec::new();
    let pins = compare_pins(asked, tube, &mut changes);
    let heater = compare_heaters(asked, tube, &mut changes);
    let fit = match (pins, heater) {
        (Pins::OtherBase, _) => Fit::OtherSocket,
        (Pins::Moved, _) => Fit::Rewire,
        (Pins::NotKnown, _) | (Pins::Same, Heaters::NotKnown) => Fit::NotKnown,
        (Pins::Same, Heaters::Same) => Fit::SameSocket,
        (Pins::Same, Heaters::SameVolts) => Fit::SameSocketParallelHeaters,
        (Pins::Same, Heaters::SameAmperes) => Fit::SameSocketSeriesString,
        (Pins::Same, Heaters::Differ) => Fit::SameSocketOtherHeater,
    };
    let heater_step = match heater {
        Heaters::Same => 0.0,
        Heaters::SameVolts | Heaters::SameAmperes => 0.05,
        Heaters::Differ | Heaters::NotKnown => 0.1,
    };
    (fit, changes, fit.distance() + heater_step)
}

enum Pins {
    Same,
    Moved,
    OtherBase,
    NotKnown,
}

fn compare_pins(asked: &TubeType, tube: &TubeType, changes: &mut Vec<Change>) -> Pins {
    if asked.base.is_empty() || tube.base.is_empty() {
        changes.push(Change::words(Matter::Pins, "base", "a base is not known"));
        return Pins::NotKnown;
    }
    if asked.base != tube.base {
        let text = format!("base {} instead of {}", tube.base, asked.base);
        changes.push(Change::words(Matter::Pins, "base", text));
        return Pins::OtherBase;
    }
    for (own, name) in [(asked, &asked.name), (tube, &tube.name)] {
        if own.pins.is_empty() {
            let text = format!("the pins of {name} are not recorded");
            changes.push(Change::words(Matter::Pins, "pins", text));
            return Pins::NotKnown;
        }
    }
    for own in [asked, tube] {
        if own.provenance.is_doubtful("pins") {
            let text = format!("the pins of {} are recorded as doubtful", own.name);
            changes.push(Change::words(Matter::Pins, "doubtful", text));
        }
    }
    let straight = moved(asked, tube, false);
    let swapped = moved(asked, tube, true);
    let moved = if swapped.len() < straight.len() {
        swapped
    } else {
        straight
    };
    let other_contacts = if moved.is_empty() {
        other_contacts(asked, tube)
    } else {
        Vec::new()
    };
    let is_same = moved.is_empty();
    changes.extend(moved);
    changes.extend(other_contacts);
    if is_same { Pins::Same } else { Pins::Moved }
}

/// The contacts that carry something else. `swap` exchanges the units of the
/// other tube.
fn moved(asked: &TubeType, tube: &TubeType, swap: bool) -> Vec<Change> {
    contacts(asked, tube)
        .into_iter()
        .filter_map(|name| {
            let own = active(asked.pin(name), false);
            let other = active(tube.pin(name), swap);
            let only_doubles = asked.pin(name).is_none()
                && !other.is_empty()
                && other
                    .iter()
                    .all(|element| has_other_contact(tube, name, element, swap));
            if own == other || only_doubles || is_filament_end(&own, &other) {
                return None;
            }
            let text = format!(
                "contact {name}: {} instead of {}",
                in_words(&other),
                in_words(&own)
            );
            Some(Change::words(Matter::Pins, "pins", text))
        })
        .collect()
}

/// A filament and a heater take the same two contacts of a rectifier's socket.
fn is_filament_end(own: &[String], other: &[String]) -> bool {
    let is_end = |elements: &[String]| {
        elements == ["filament"] || elements == ["heater"] || elements == ["cathode", "heater"]
    };
    (own == ["filament"] || other == ["filament"]) && is_end(own) && is_end(other)
}

/// What differs on contacts without anything having moved.
fn other_contacts(asked: &TubeType, tube: &TubeType) -> Vec<Change> {
    let mut changes = Vec::new();
    for name in contacts(asked, tube) {
        let (Some(other), own) = (tube.pin(name), asked.pin(name)) else {
            continue;
        };
        let other_active = active(Some(other), false);
        let own_active = active(own, false);
        if own.is_none() && !matches!(name, PinName::Coating | PinName::Anode) {
            let text = format!(
                "contact {name} carries {}: see that the set does not use it as a tie point",
                in_words(&other.elements)
            );
            changes.push(Change::words(Matter::Pins, "other_contact", text));
        } else if own_active == ["filament"] && other_active == ["cathode", "heater"] {
            let text = format!(
                "contact {name} is the cathode with one end of the heater: B+ must be taken from there, not from the other end"
            );
            changes.push(Change::words(Matter::Pins, "other_contact", text));
        }
    }
    changes
}

/// Contacts of either tube that are compared; a picture tube's high-voltage
/// contact and coating belong to its make.
fn contacts(asked: &TubeType, tube: &TubeType) -> Vec<PinName> {
    let mut names: Vec<PinName> = asked
        .pins
        .iter()
        .chain(&tube.pins)
        .map(|pin| pin.number)
        .filter(|name| !matches!(name, PinName::Anode | PinName::Coating))
        .collect();
    names.sort_unstable();
    names.dedup();
    names
}

/// The elements of a contact that do work, sorted; units exchanged with `swap`.
fn active(pin: Option<&Pin>, swap: bool) -> Vec<String> {
    let mut elements: Vec<String> = pin
        .iter()
        .flat_map(|pin| &pin.elements)
        .filter(|element| !matches!(element.as_str(), "shield" | "shell" | "internal"))
        .map(|element| {
            if swap {
                exchanged(element)
            } else {
                element.clone()
            }
        })
        .collect();
    elements.sort_unstable();
    elements
}

/// The same element of the other unit: `plate1` for `plate2`.
fn exchanged(element: &str) -> String {
    match (element.strip_suffix('1'), element.strip_suffix('2')) {
        (Some(bare), _) => format!("{bare}2"),
        (_, Some(bare)) => format!("{bare}1"),
        _ => element.to_string(),
    }
}

/// Whether the element has a contact apart from `name`.
fn has_other_contact(tube: &TubeType, name: PinName, element: &str, swap: bool) -> bool {
    let wanted = if swap {
        exchanged(element)
    } else {
        element.to_string()
    };
    tube.pins_carrying(&wanted)
        .iter()
        .any(|place| *place != name)
}

fn in_words(elements: &[String]) -> String {
    if elements.is_empty() {
        "nothing recorded".to_string()
    } else {
        elements.join(" + ")
    }
}

#[derive(Clone, Copy)]
enum Heaters {
    Same,
    SameVolts,
    SameAmperes,
    Differ,
    NotKnown,
}

fn compare_heaters(asked: &TubeType, tube: &TubeType, changes: &mut Vec<Change>) -> Heaters {
    let (Some(own), Some(other)) = (&asked.heater, &tube.heater) else {
        changes.push(Change::words(
            Matter::Heater,
            "heater_v",
            "a heater rating is not known",
        ));
        return Heaters::NotKnown;
    };
    let near = |one: f64, two: f64| (two / one - 1.0).abs() <= 0.05;
    let (volts, amperes) = (
        near(own.volts, other.volts),
        near(own.amperes, other.amperes),
    );
    if !volts {
        let text = format!(
            "heater {} V instead of {} V: a series string gives the rest of its tubes {:.1} V {}",
            other.volts,
            own.volts,
            (other.volts - own.volts).abs(),
            if other.volts > own.volts {
                "less"
            } else {
                "more"
            },
        );
        changes.push(Change::figures(
            Matter::Heater,
            "heater_v",
            own.volts,
            other.volts,
            text,
        ));
    }
    if !amperes {
        let difference = other.amperes - own.amperes;
        let text = format!(
            "heater {} A instead of {} A: {}",
            other.amperes,
            own.amperes,
            if difference > 0.0 {
                let more = format!("{difference:.3}");
                let more = more.trim_end_matches('0').trim_end_matches('.');
                format!("the winding must bear {more} A more; in a series string it is starved")
            } else {
                "in a series string it is overrun and burns out".to_string()
            }
        );
        changes.push(Change::figures(
            Matter::Heater,
            "heater_a",
            own.amperes,
            other.amperes,
            text,
        ));
    }
    if let (Some(own), Some(other)) = (own.heating, other.heating)
        && own != other
    {
        let text = match other {
            Heating::Direct => {
                "directly heated: B+ is there within seconds, before the other tubes draw current"
            }
            Heating::Indirect => "indirectly heated: B+ comes up slowly, with the other tubes",
        };
        changes.push(Change::words(Matter::Heater, "heating", text));
    }
    let loses_control = own.controlled_warm_up && !other.controlled_warm_up;
    if loses_control {
        changes.push(Change::words(
            Matter::Heater,
            "warmup_s",
            "no controlled warm-up: in a series string it may flare at switch-on",
        ));
    } else if other.controlled_warm_up && !own.controlled_warm_up {
        changes.push(Change::words(
            Matter::Heater,
            "warmup_s",
            "controlled warm-up (made for series strings; no harm elsewhere)",
        ));
    }
    match (volts, amperes) {
        (true, true) if loses_control => Heaters::SameVolts,
        (true, true) => Heaters::Same,
        (true, false) => Heaters::SameVolts,
        (false, true) => Heaters::SameAmperes,
        (false, false) => Heaters::Differ,
    }
}
