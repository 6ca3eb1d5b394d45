//! The references of a sheet, and places read with the tubes at hand.
//!
//! References are told apart without regard to case, so `c1a` is `C1A`. A pin is
//! checked against the base of its tube: a pin the base has not is a fault that
//! lists the pins, a pin with nothing on it a notice. Where the catalogue does
//! not know what is on the pins, any pin of the base is taken.

use std::collections::hash_map::Entry;
use std::collections::{HashMap, HashSet};

use parts::{PinKnowledge, PinName, TubeType};

use super::messages::shown;
use super::part_kind::PartKind;
use super::place::{self, Place, PlaceText};
use super::reader::{Cell, Reader};

/// What a reference stands for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Named {
    /// A tube, by its number in the list.
    Tube(usize),
    /// A part; its kind if that could be read.
    Part(Option<PartKind>),
    /// A transformer.
    Transformer,
}

/// A tube row as far as it could be read.
#[derive(Debug, Clone)]
pub(super) struct KnownTube {
    pub(super) reference: String,
    /// `None` if the type was not understood; that fault stands already.
    pub(super) kind: Option<TubeType>,
}

struct KnownReference {
    spelled: String,
    line: usize,
    stands_for: Named,
}

/// All references of a sheet.
#[derive(Default)]
pub(super) struct Names {
    by_lower: HashMap<String, KnownReference>,
    in_order: Vec<String>,
    pub(super) tubes: Vec<KnownTube>,
    told_pins: HashSet<(usize, PinName)>,
    told_names: HashSet<String>,
    heated: HashMap<usize, usize>,
}

fn folded(reference: &str) -> String {
    reference.trim().to_ascii_lowercase()
}

impl Names {
    /// Enters a reference; one that is taken already is a fault, unless both are rows of one transformer.
    pub(super) fn enter(
        &mut self,
        reader: &mut Reader<'_>,
        cell: &Cell,
        stands_for: Named,
    ) -> bool {
        let line = reader.line(cell.at());
        let spelled = cell.text.trim().to_string();
        if let Some(first) = self.by_lower.get(&folded(&spelled)) {
            if stands_for == Named::Transformer && first.stands_for == Named::Transformer {
                return true;
            }
            let whose = match first.stands_for {
                Named::Tube(_) => "a tube",
                Named::Part(_) => "a part",
                Named::Transformer => "a transformer",
            };
            reader.findings.fault(
                cell.at(),
                format!(
                    "{} is there twice: {whose} on line {} has this reference already",
                    shown(&spelled),
                    first.line
                ),
                "give each its own reference; the sections of one can are C1A, C1B",
            );
            return false;
        }
        self.in_order.push(spelled.clone());
        self.by_lower.insert(
            folded(&spelled),
            KnownReference {
                spelled,
                line,
                stands_for,
            },
        );
        true
    }

    /// What a reference stands for and how its row spells it.
    pub(super) fn find(&self, reference: &str) -> Option<(&str, Named)> {
        self.by_lower
            .get(&folded(reference))
            .map(|known| (known.spelled.as_str(), known.stands_for))
    }

    /// All references, in the order of the sheet.
    pub(super) fn all(&self) -> impl Iterator<Item = &str> {
        self.in_order.iter().map(String::as_str)
    }

    /// The tube of this reference.
    pub(super) fn tube(&self, reference: &str) -> Option<(usize, &KnownTube)> {
        match self.find(reference) {
            Some((_, Named::Tube(index))) => self.tubes.get(index).map(|tube| (index, tube)),
            _ => None,
        }
    }

    /// Enters the line on which a tube is heated; the earlier line if it is heated already.
    pub(super) fn enter_heated(&mut self, tube: usize, line: usize) -> Option<usize> {
        match self.heated.entry(tube) {
            Entry::Occupied(first) => Some(*first.get()),
            Entry::Vacant(free) => {
                free.insert(line);
                None
            }
        }
    }

    /// The line of the row of heaters that names this tube.
    pub(super) fn heated_on_line(&self, tube: usize) -> Option<usize> {
        self.heated.get(&tube).copied()
    }

    /// A place of the sheet, or a fault at its cell.
    pub(super) fn read_place(&mut self, reader: &mut Reader<'_>, cell: &Cell) -> Option<Place> {
        match place::look_at(&cell.text) {
            PlaceText::Chassis => Some(Place::Chassis),
            PlaceText::LineA => Some(Place::LineA),
            PlaceText::LineB => Some(Place::LineB),
            PlaceText::Empty => {
                reader.findings.fault(
                    cell.at(),
                    "the place is empty",
                    "expected a pin like `V5.6`, `chassis`, `line a`, `line b` or a name",
                );
                None
            }
            PlaceText::Dotted { before, after } => self.read_dotted(reader, cell, before, after),
            PlaceText::Name => {
                self.tell_of_odd_name(reader, cell);
                Some(Place::Named(place::plain_name(&cell.text)))
            }
        }
    }

    fn read_dotted(
        &mut self,
        reader: &mut Reader<'_>,
        cell: &Cell,
        before: &str,
        after: &str,
    ) -> Option<Place> {
        let Some((index, tube)) = self.tube(before) else {
            if !place::can_only_be_a_pin(before, after) {
                return Some(Place::Named(place::plain_name(&cell.text)));
            }
            let tubes = self.tubes.iter().map(|tube| tube.reference.as_str());
            let nearest = reader
                .speller
                .nearest(before, tubes)
                .map(|nearest| format!("did you mean `{nearest}.{after}`? "));
            let text = match self.find(before) {
                Some((spelled, _)) => {
                    format!("{}: {} is no tube", shown(cell.text.trim()), shown(spelled))
                }
                None => format!(
                    "{}: the sheet has no tube {}",
                    shown(cell.text.trim()),
                    shown(before)
                ),
            };
            let hint = format!(
                "{}a pin is written as the tube's reference, a dot, the pin; enter the tube in `tubes`",
                nearest.unwrap_or_default()
            );
            reader.findings.fault(cell.at(), text, hint);
            return None;
        };
        let reference = tube.reference.clone();
        let Some(pin) = place::read_pin(after) else {
            let pins = tube
                .kind
                .as_ref()
                .map(|kind| format!("{}{}", base_of(kind), pins_of(kind)))
                .unwrap_or_default();
            reader.findings.fault(
                cell.at(),
                format!("{}: {} is no pin", shown(cell.text.trim()), shown(after)),
                format!("expected a pin number, `cap`, `anode` or `coating`{pins}"),
            );
            return None;
        };
        let pin = self.check_pin(reader, cell, index, pin)?;
        Some(Place::Pin {
            tube: reference,
            pin,
        })
    }

    /// The pin, if the tube has it. A picture tube's cap is its anode.
    fn check_pin(
        &mut self,
        reader: &mut Reader<'_>,
        cell: &Cell,
        index: usize,
        pin: PinName,
    ) -> Option<PinName> {
        let Some(kind) = self.tubes.get(index).and_then(|tube| tube.kind.as_ref()) else {
            // The tube's type is a fault of its own; its pins cannot be judged.
            return Some(pin);
        };
        let place_text = shown(cell.text.trim());
        match kind.pin_knowledge(pin) {
            PinKnowledge::Recorded(found) => Some(found.number),
            PinKnowledge::NotRecorded => {
                if !kind.pins.is_empty() && self.told_pins.insert((index, pin)) {
                    let (text, hint) = match pin {
                        PinName::Number(number) => (
                            format!(
                                "{place_text}: the catalogue has nothing on pin {number} of {}",
                                kind.name
                            ),
                            format!("as a tie point this is in order{}", pins_of(kind)),
                        ),
                        _ => (
                            format!(
                                "{place_text}: the catalogue does not say that {} has this contact",
                                kind.name
                            ),
                            "look at the tube".to_string(),
                        ),
                    };
                    reader.findings.notice(cell.at(), text, hint);
                }
                Some(pin)
            }
            PinKnowledge::Absent { because, hint } => {
                let hint = format!("{hint}{}{}", base_of(kind), pins_of(kind));
                reader
                    .findings
                    .fault(cell.at(), format!("{place_text}: {because}"), hint);
                None
            }
        }
    }

    /// Names that look like something else: told once each.
    fn tell_of_odd_name(&mut self, reader: &mut Reader<'_>, cell: &Cell) {
        let name = place::plain_name(&cell.text);
        if self.told_names.contains(&name) {
            return;
        }
        let lower = name.to_ascii_lowercase();
        let hint = if ["ground", "gnd", "earth", "chassis ground", "mass", "frame"]
            .contains(&lower.as_str())
        {
            Some("the metal base is written `chassis`".to_string())
        } else if [
            "line", "line 1", "line 2", "line l", "line n", "mains", "line-a", "line-b", "linea",
            "lineb",
        ]
        .contains(&lower.as_str())
        {
            Some("the blades of the plug are written `line a` and `line b`".to_string())
        } else if let Some(meant) = self.meant_pin(&name) {
            Some(format!("a pin is written `{meant}`"))
        } else {
            reader
                .speller
                .nearest(&name, ["chassis"])
                .map(|nearest| format!("did you mean `{nearest}`?"))
        };
        if let Some(hint) = hint {
            reader.findings.notice(
                cell.at(),
                format!("{} is taken as the name of a place", shown(&name)),
                hint,
            );
        }
        self.told_names.insert(name);
    }

    /// `V5 pin 6`, `V5-6`, `V5:6`: the pin that was probably meant.
    fn meant_pin(&self, name: &str) -> Option<String> {
        let end = name.find([' ', '-', ':', ',', '/', '#'])?;
        let (before, rest) = name.split_at(end);
        let (_, tube) = self.tube(before)?;
        let rest = rest.trim_start_matches([' ', '-', ':', ',', '/', '#']);
        let rest = rest.strip_prefix("pin").unwrap_or(rest).trim_start();
        place::read_pin(rest).map(|pin| format!("{}.{}", tube.reference, pin))
    }
}

/// "; its pins are 1 to 8", as far as known.
fn base_of(kind: &TubeType) -> String {
    kind.pin_count
        .map(|count| format!("; its pins are 1 to {count}"))
        .unwrap_or_default()
}

/// "; on 5U4-G: 2 filament, 4 plate2, …", as far as known.
pub(super) fn pins_of(kind: &TubeType) -> String {
    if kind.pins.is_empty() {
        return String::new();
    }
    let pins: Vec<String> = kind
        .pins
        .iter()
        .map(|pin| format!("{} {}", pin.number, pin.elements.join("+")))
        .collect();
    format!("; on {}: {}", kind.name, pins.join(", "))
}
