//! Whether the chassis is on the line: what every first step depends on.
//!
//! Source: the wiring of the sheet. A path for direct current from a blade of
//! the plug to the chassis, through anything but a capacitor or from winding to
//! winding, puts it on the line. Without such a path it is off the line only if
//! a transformer's primary is on the line. Otherwise the sheet does not tell,
//! and not telling counts as danger.

use std::collections::{HashMap, VecDeque};

use parts::{PinName, TubeType};

use super::contents::Sheet;
use super::part_kind::PartKind;
use super::place::Place;
use super::places::Places;
use super::read_rows::{Link, LinkKind};

/// Where the chassis stands to the line.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ChassisStanding {
    /// On the line.
    OnTheLine {
        /// The blade it is reached from.
        blade: Place,
        /// References of what lies between, from the blade on; empty if the blade itself is called chassis by wires.
        through: Vec<String>,
    },
    /// Parted from the line by a transformer.
    Isolated {
        /// Capacitors between line and chassis: they leak, and they pass a little current when whole.
        line_capacitors: Vec<String>,
    },
    /// The sheet does not tell yet.
    NotTold,
}

impl Sheet {
    /// Whether the chassis is on the line, as far as the sheet tells.
    pub fn chassis_standing(&self) -> ChassisStanding {
        let links = self.links();
        let (places, _) = Places::of_links(&links, []);
        let kinds: HashMap<&str, &TubeType> = self
            .tubes
            .iter()
            .map(|tube| (tube.reference.as_str(), &tube.kind))
            .collect();
        standing(&links, &places, &|tube| kinds.get(tube).copied())
    }

    /// Windings fed from the line through nothing but wires, switches, fuses and other parts that pass direct current. A winding of
    /// less than half the line volts is none, whatever joins it to a chassis on the line.
    pub fn primaries(&self) -> Vec<&super::contents::SheetWinding> {
        let links = self.links();
        let (places, _) = Places::of_links(&links, []);
        let on_line = on_the_line(&links, &places);
        let on = |place: &Place| {
            places
                .junction_of(place)
                .is_some_and(|id| on_line.get(id.index()).copied().unwrap_or(false))
        };
        self.windings
            .iter()
            .filter(|winding| on(&winding.start) && on(&winding.end))
            .filter(|winding| {
                winding
                    .volts
                    .is_none_or(|volts| volts > self.line_volts / 2.0)
            })
            .collect()
    }
}

fn is_capacitor(kind: LinkKind) -> bool {
    use PartKind::{Ceramic, Electrolytic, Film, Mica, MouldedPaper, Paper, Trimmer};
    matches!(
        kind,
        LinkKind::Part(Some(
            Electrolytic | Paper | MouldedPaper | Film | Mica | Ceramic | Trimmer
        ))
    )
}

/// Junctions reached from the blades through parts that feed a primary.
pub(super) fn on_the_line(links: &[Link], places: &Places) -> Vec<bool> {
    use PartKind::{Ballast, Choke, Coil, Fuse, Lamp, Plug, Resistor, Switch, Thermistor};
    let feeds = |link: &Link| match link.kind {
        LinkKind::Part(Some(kind)) => matches!(
            kind,
            Ballast | Coil | Choke | Fuse | Lamp | Plug | Resistor | Switch | Thermistor
        ),
        _ => false,
    };
    let graph = Graph::new(links, places, feeds, None);
    let mut reached = vec![false; places.junctions().len()];
    for blade in [Place::LineA, Place::LineB] {
        let Some(start) = places.junction_of(&blade) else {
            continue;
        };
        for (junction, _) in graph.walk(start.index()) {
            if let Some(slot) = reached.get_mut(junction) {
                *slot = true;
            }
        }
    }
    reached
}

/// Finds the type of a tube by its reference.
pub(super) type KindOf<'k> = dyn Fn(&str) -> Option<&'k TubeType> + 'k;

pub(super) fn standing<'k>(
    links: &[Link],
    places: &Places,
    kind_of: &KindOf<'k>,
) -> ChassisStanding {
    let Some(chassis) = places.junction_of(&Place::Chassis) else {
        return ChassisStanding::NotTold;
    };
    let graph = Graph::new(
        links,
        places,
        |link| !is_capacitor(link.kind),
        Some(kind_of),
    );
    if let Some((blade, through)) = graph.way_from_line(places, chassis.index()) {
        return ChassisStanding::OnTheLine { blade, through };
    }
    let on_line = on_the_line(links, places);
    let on = |end: &Option<Place>| {
        end.as_ref()
            .and_then(|place| places.junction_of(place))
            .is_some_and(|id| on_line.get(id.index()).copied().unwrap_or(false))
    };
    let has_primary = links
        .iter()
        .any(|link| matches!(link.kind, LinkKind::Winding { .. }) && link.ends.iter().all(on));
    let graph = Graph::new(links, places, |_| true, Some(kind_of));
    match (graph.way_from_line(places, chassis.index()), has_primary) {
        (None, true) => ChassisStanding::Isolated {
            line_capacitors: Vec::new(),
        },
        (Some(_), true) => {
            let across = |link: &&Link| {
                is_capacitor(link.kind) && link.ends.iter().any(on) && !link.ends.iter().all(on)
            };
            let line_capacitors = links
                .iter()
                .filter(across)
                .map(|link| link.name.clone())
                .collect();
            ChassisStanding::Isolated { line_capacitors }
        }
        (Some((blade, through)), false) => ChassisStanding::OnTheLine { blade, through },
        (None, false) => ChassisStanding::NotTold,
    }
}

/// What of a tube a pin leads to: a heater is insulated from the rest.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
enum Inside {
    Heater,
    Electrodes,
}

/// Where a pin leads inside its tube; nowhere if the catalogue has nothing on it. A tube whose pins are not known is one.
fn inside(kind: Option<&TubeType>, pin: PinName) -> Option<Inside> {
    let Some(kind) = kind.filter(|kind| !kind.pins.is_empty()) else {
        return Some(Inside::Electrodes);
    };
    let heater_alone = |element: &String| element == "heater" || element == "heater-tap";
    kind.pin(pin).map(|pin| {
        if pin.elements.iter().all(heater_alone) {
            Inside::Heater
        } else {
            Inside::Electrodes
        }
    })
}

/// Junctions and what joins them.
struct Graph<'l> {
    neighbours: Vec<Vec<(usize, &'l str)>>,
}

impl<'l> Graph<'l> {
    fn new(
        links: &'l [Link],
        places: &'l Places,
        pass: impl Fn(&Link) -> bool,
        kind_of: Option<&KindOf<'_>>,
    ) -> Self {
        let mut graph = Graph {
            neighbours: vec![Vec::new(); places.junctions().len()],
        };
        for link in links
            .iter()
            .filter(|link| link.kind != LinkKind::Wire && pass(link))
        {
            let ends: Vec<usize> = link
                .ends
                .iter()
                .chain(std::iter::once(&link.third))
                .flatten()
                .filter_map(|place| places.junction_of(place))
                .map(|id| id.index())
                .collect();
            for pair in ends.windows(2) {
                if let [one, other] = pair {
                    graph.join(*one, *other, &link.name);
                }
            }
        }
        if let Some(kind_of) = kind_of {
            let mut first_pin: HashMap<(&'l str, Inside), usize> = HashMap::new();
            for place in places.iter() {
                let (Some((tube, pin)), Some(id)) = (place.pin(), places.junction_of(place)) else {
                    continue;
                };
                let Some(inside) = inside(kind_of(tube), pin) else {
                    continue;
                };
                match first_pin.get(&(tube, inside)) {
                    Some(first) => graph.join(*first, id.index(), tube),
                    None => {
                        first_pin.insert((tube, inside), id.index());
                    }
                }
            }
        }
        graph
    }

    fn join(&mut self, one: usize, other: usize, name: &'l str) {
        for (here, there) in [(one, other), (other, one)] {
            if let Some(neighbours) = self.neighbours.get_mut(here) {
                neighbours.push((there, name));
            }
        }
    }

    /// Every junction that can be reached, nearest first, with where each was reached from and through what.
    fn walk(&self, start: usize) -> Vec<(usize, Option<(usize, &'l str)>)> {
        let mut came: Vec<Option<Option<(usize, &'l str)>>> = vec![None; self.neighbours.len()];
        let mut order = Vec::new();
        let mut queue = VecDeque::from([start]);
        if let Some(slot) = came.get_mut(start) {
            *slot = Some(None);
        }
        while let Some(here) = queue.pop_front() {
            order.push((here, came.get(here).copied().flatten().flatten()));
            for (there, name) in self.neighbours.get(here).into_iter().flatten() {
                if let Some(slot @ None) = came.get_mut(*there) {
                    *slot = Some(Some((here, name)));
                    queue.push_back(*there);
                }
            }
        }
        order
    }

    /// The shortest way from a blade to this junction.
    fn way_from_line(&self, places: &Places, target: usize) -> Option<(Place, Vec<String>)> {
        let mut best: Option<(Place, Vec<String>)> = None;
        for blade in [Place::LineA, Place::LineB] {
            let Some(start) = places.junction_of(&blade) else {
                continue;
            };
            let came: HashMap<usize, Option<(usize, &str)>> =
                self.walk(start.index()).into_iter().collect();
            if !came.contains_key(&target) {
                continue;
            }
            let mut through = Vec::new();
            let mut here = target;
            while let Some(Some((before, name))) = came.get(&here) {
                through.push((*name).to_string());
                here = *before;
            }
            through.reverse();
            if best
                .as_ref()
                .is_none_or(|(_, shortest)| through.len() < shortest.len())
            {
                best = Some((blade, through));
            }
        }
        best
    }
}
