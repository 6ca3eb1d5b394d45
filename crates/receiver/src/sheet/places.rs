//! The places of a sheet and the junctions that its wires make of them.
//!
//! Wires, and only wires, make several places one junction; a closed switch or
//! plug stays a part. Places come in the order in which the sheet first mentions
//! them, junctions in the order of their first place. A place that the sheet
//! does not know is an [`UnknownPlace`] with the nearest spelling.

use std::collections::HashMap;

use super::contents::Sheet;
use super::messages::shown;
use super::part_kind::PartValue;
use super::place::{self, Place, PlaceText};
use super::read_rows::{Link, LinkKind};
use super::spelling::Speller;

/// Number of a junction, from 0, in the order of the sheet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct JunctionId(pub(super) usize);

impl JunctionId {
    /// The number, to index a list that has one entry for each junction.
    pub fn index(self) -> usize {
        self.0
    }
}

/// Places that are one by wires.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Junction {
    /// All its names, in the order of the sheet.
    pub places: Vec<Place>,
    /// References of the wires that join them.
    pub wires: Vec<String>,
}

impl Junction {
    /// The name to call it by: chassis, a blade of the plug, a named place, else its first pin.
    pub fn label(&self) -> &Place {
        let rank = |place: &Place| match place {
            Place::Chassis => 0,
            Place::LineA | Place::LineB => 1,
            Place::Named(_) => 2,
            Place::Pin { .. } => 3,
        };
        // A junction is made from a place, so there is one; the chassis is a harmless answer otherwise.
        self.places
            .iter()
            .min_by_key(|place| rank(place))
            .unwrap_or(&Place::Chassis)
    }
}

/// All places of a sheet and the junctions they belong to.
#[derive(Debug, Clone, Default)]
pub struct Places {
    places: Vec<Place>,
    number_of: HashMap<Place, usize>,
    junction_of: Vec<usize>,
    junctions: Vec<Junction>,
}

/// A place that was asked for and that the sheet does not have.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{} is no place of this sheet{}", shown(.read), .nearest.as_ref().map(|near| format!("; did you mean `{near}`?")).unwrap_or_default())]
pub struct UnknownPlace {
    /// What was asked for.
    pub read: String,
    /// The nearest place of the sheet, if one is near.
    pub nearest: Option<String>,
}

/// A wire that changes nothing: its ends are joined already.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct IdleWire {
    /// Number of its link.
    pub(super) link: usize,
    /// Both ends on one and the same place.
    pub(super) one_place: bool,
}

/// What was found while wires were merged.
#[derive(Debug, Default)]
pub(super) struct Merged {
    pub(super) idle_wires: Vec<IdleWire>,
    /// The wire that joins the two blades of the plug.
    pub(super) joins_the_line: Option<usize>,
}

impl Places {
    /// Every place, in the order of first mention.
    pub fn iter(&self) -> impl Iterator<Item = &Place> {
        self.places.iter()
    }

    /// How many places there are.
    pub fn len(&self) -> usize {
        self.places.len()
    }

    /// Whether the sheet mentions no place.
    pub fn is_empty(&self) -> bool {
        self.places.is_empty()
    }

    /// The junction a place belongs to; `None` if the sheet does not mention the place.
    pub fn junction_of(&self, place: &Place) -> Option<JunctionId> {
        let number = self.number_of.get(place)?;
        self.junction_of.get(*number).copied().map(JunctionId)
    }

    /// The junctions, in the order of their first place.
    pub fn junctions(&self) -> &[Junction] {
        &self.junctions
    }

    /// One junction; `None` if the number is not of this sheet.
    pub fn junction(&self, id: JunctionId) -> Option<&Junction> {
        self.junctions.get(id.0)
    }

    /// Whether wires make the two places one.
    pub fn joined(&self, one: &Place, other: &Place) -> bool {
        match (self.junction_of(one), self.junction_of(other)) {
            (Some(one), Some(other)) => one == other,
            _ => one == other,
        }
    }

    /// The place a person means by this text: in its own spelling, else in any case; pins by the tube's reference.
    pub fn find(&self, text: &str) -> Result<&Place, UnknownPlace> {
        let plain = place::plain_name(text);
        let as_pin = |before: &str, after: &str| {
            let tube = before.to_string();
            place::read_pin(after).map(|pin| Place::Pin { tube, pin })
        };
        let exact = match place::look_at(text) {
            PlaceText::Chassis => vec![Place::Chassis],
            PlaceText::LineA => vec![Place::LineA],
            PlaceText::LineB => vec![Place::LineB],
            PlaceText::Empty => Vec::new(),
            PlaceText::Name => vec![Place::Named(plain.clone())],
            PlaceText::Dotted { before, after } => {
                let mut both: Vec<Place> = as_pin(before, after).into_iter().collect();
                both.push(Place::Named(plain.clone()));
                both
            }
        };
        let known = |place: &Place| {
            self.number_of
                .get(place)
                .and_then(|number| self.places.get(*number))
        };
        if let Some(known) = exact.iter().find_map(known) {
            return Ok(known);
        }
        // A picture tube's cap is its anode.
        let lower = plain.to_ascii_lowercase();
        let anode = lower
            .strip_suffix(".cap")
            .map(|tube| format!("{tube}.anode"));
        let meant = |place: &&Place| {
            let spelled = place.to_string();
            spelled.eq_ignore_ascii_case(&plain)
                || anode
                    .as_ref()
                    .is_some_and(|anode| spelled.eq_ignore_ascii_case(anode))
        };
        if let Some(known) = self.places.iter().find(meant) {
            return Ok(known);
        }
        let spelled: Vec<String> = self.places.iter().map(Place::to_string).collect();
        let nearest = Speller::new()
            .nearest(&plain, spelled.iter().map(String::as_str))
            .map(str::to_string);
        Err(UnknownPlace {
            read: plain,
            nearest,
        })
    }

    /// Merges places along wires. Further places are those mentioned without a link, as the chart does.
    pub(super) fn of_links<'l>(
        links: &'l [Link],
        further: impl IntoIterator<Item = &'l Place>,
    ) -> (Places, Merged) {
        let mut places = Places::default();
        for link in links {
            for place in link
                .ends
                .iter()
                .chain(std::iter::once(&link.third))
                .flatten()
            {
                places.enter(place);
            }
        }
        for place in further {
            places.enter(place);
        }
        let mut union = UnionFind::new(places.places.len());
        let mut merged = Merged::default();
        let blades =
            [Place::LineA, Place::LineB].map(|blade| places.number_of.get(&blade).copied());
        let mut wires: Vec<(usize, usize)> = Vec::new();
        for (number, link) in links.iter().enumerate() {
            let (LinkKind::Wire, [Some(from), Some(to)]) = (link.kind, &link.ends) else {
                continue;
            };
            let (Some(&from), Some(&to)) = (places.number_of.get(from), places.number_of.get(to))
            else {
                continue;
            };
            wires.push((number, from));
            if !union.join(from, to) {
                merged.idle_wires.push(IdleWire {
                    link: number,
                    one_place: from == to,
                });
            } else if let ([Some(a), Some(b)], None) = (blades, merged.joins_the_line)
                && union.root(a) == union.root(b)
            {
                merged.joins_the_line = Some(number);
            }
        }
        let mut junction_of_root: HashMap<usize, usize> = HashMap::new();
        for number in 0..places.places.len() {
            let root = union.root(number);
            let next = places.junctions.len();
            let junction = *junction_of_root.entry(root).or_insert(next);
            if junction == next {
                places.junctions.push(Junction {
                    places: Vec::new(),
                    wires: Vec::new(),
                });
            }
            places.junction_of.push(junction);
            if let (Some(junction), Some(place)) = (
                places.junctions.get_mut(junction),
                places.places.get(number),
            ) {
                junction.places.push(place.clone());
            }
        }
        for (link, place) in wires {
            let junction = places
                .junction_of
                .get(place)
                .and_then(|junction| places.junctions.get_mut(*junction));
            if let (Some(junction), Some(link)) = (junction, links.get(link)) {
                junction.wires.push(link.name.clone());
            }
        }
        (places, merged)
    }

    fn enter(&mut self, place: &Place) {
        if !self.number_of.contains_key(place) {
            self.number_of.insert(place.clone(), self.places.len());
            self.places.push(place.clone());
        }
    }
}

impl Sheet {
    /// All places of the sheet and the junctions its wires make of them. Worked out anew at each call.
    pub fn places(&self) -> Places {
        let chart = self
            .chart
            .iter()
            .flat_map(|chart| chart.volts.iter().chain(&chart.ohms));
        let further: Vec<&Place> = chart
            .flat_map(|reading| [&reading.at, &reading.to])
            .collect();
        Places::of_links(&self.links(), further).0
    }

    /// The reference nearest to a text that is none: of a tube, part or transformer.
    pub fn nearest_reference(&self, text: &str) -> Option<&str> {
        let tubes = self.tubes.iter().map(|tube| tube.reference.as_str());
        let parts = self.parts.iter().map(|part| part.reference.as_str());
        Speller::new().nearest(text, tubes.chain(parts).chain(self.transformers()))
    }

    /// What joins the places, in the order of the text.
    pub(super) fn links(&self) -> Vec<Link> {
        let transformers: HashMap<&str, usize> = self
            .transformers()
            .into_iter()
            .enumerate()
            .map(|(number, name)| (name, number))
            .collect();
        let windings = self.windings.iter().map(|winding| Link {
            name: format!("{} {}", winding.transformer, winding.name),
            at: winding.line,
            kind: LinkKind::Winding {
                transformer: transformers
                    .get(winding.transformer.as_str())
                    .copied()
                    .unwrap_or(0),
                volts: winding.volts,
            },
            ends: [Some(winding.start.clone()), Some(winding.end.clone())],
            third: None,
        });
        let parts = self.parts.iter().map(|part| Link {
            name: part.reference.clone(),
            at: part.line,
            kind: match part.value {
                PartValue::Wire => LinkKind::Wire,
                _ => LinkKind::Part(Some(part.value.kind())),
            },
            ends: [Some(part.from.clone()), Some(part.to.clone())],
            third: part.third.clone(),
        });
        let heaters = self.heaters.iter().map(|row| Link {
            name: "heaters".to_string(),
            at: row.line,
            kind: LinkKind::Heaters,
            ends: [Some(row.from.clone()), Some(row.to.clone())],
            third: None,
        });
        let mut links: Vec<Link> = windings.chain(parts).chain(heaters).collect();
        links.sort_by_key(|link| link.at);
        links
    }
}

/// Sets that are joined two by two.
#[derive(Debug)]
pub(super) struct UnionFind {
    parent: Vec<usize>,
}

impl UnionFind {
    pub(super) fn new(count: usize) -> Self {
        UnionFind {
            parent: (0..count).collect(),
        }
    }

    /// The member that stands for the set.
    pub(super) fn root(&mut self, mut member: usize) -> usize {
        while let Some(&up) = self.parent.get(member) {
            if up == member {
                break;
            }
            // Halves the path on the way, which keeps all later walks short.
            let higher = self.parent.get(up).copied().unwrap_or(up);
            if let Some(slot) = self.parent.get_mut(member) {
                *slot = higher;
            }
            member = higher;
        }
        member
    }

    /// Joins two sets; false if they were one already. The lower root stays.
    pub(super) fn join(&mut self, one: usize, other: usize) -> bool {
        let (one, other) = (self.root(one), self.root(other));
        if one == other {
            return false;
        }
        let (low, high) = (one.min(other), one.max(other));
        if let Some(slot) = self.parent.get_mut(high) {
            *slot = low;
        }
        true
    }
}
