//! Looks for what is wrong or odd in the wiring of a sheet.
//!
//! Faults: a source shorted by wires, windings that close a loop with volts
//! left over, a row of heaters joined at both ends. Notices: idle wires, parts
//! with both ends on one place, floating places, places reached by one part
//! only. Volts are rms. A wiring that could not be read whole is not judged for
//! what it lacks.

use std::collections::{HashMap, HashSet, VecDeque};

use super::messages::{listed_short, shown};
use super::names::Names;
use super::place::Place;
use super::places::{Merged, Places, UnionFind};
use super::read_rows::{Link, LinkKind, Rows};
use super::reader::Reader;

/// Volts round a loop of windings below which they count as windings side by side.
const LOOP_VOLTS: f64 = 0.5;
/// The same as a share of the highest volts in the loop.
const LOOP_SHARE: f64 = 0.05;

/// Checks the wiring as it was read.
pub(super) fn check_wiring(
    reader: &mut Reader<'_>,
    rows: &Rows,
    names: &Names,
    places: &Places,
    merged: &Merged,
) {
    let links = &rows.links;
    shorted_line(reader, links, places, merged);
    idle_wires(reader, links, merged);
    let shorted = shorted_links(reader, links, places);
    winding_loops(reader, rows, places, &shorted);
    if !rows.incomplete {
        loose_places(reader, links, names, places);
    }
}

fn shorted_line(reader: &mut Reader<'_>, links: &[Link], places: &Places, merged: &Merged) {
    let Some(link) = merged.joins_the_line.and_then(|number| links.get(number)) else {
        return;
    };
    let wires = places
        .junction_of(&Place::LineA)
        .and_then(|id| places.junction(id))
        .map(|junction| junction.wires.as_slice())
        .unwrap_or(&[]);
    let with = if wires.len() > 1 {
        format!(" (the wires there: {})", listed_short(wires, 6))
    } else {
        String::new()
    };
    reader.findings.fault(
        link.at,
        format!(
            "{} joins `line a` to `line b`: the line is shorted",
            shown(&link.name)
        ),
        format!("look at both ends of the wire{with}"),
    );
}

fn idle_wires(reader: &mut Reader<'_>, links: &[Link], merged: &Merged) {
    for idle in &merged.idle_wires {
        let Some(link) = links.get(idle.link) else {
            continue;
        };
        if idle.one_place {
            reader.findings.notice(
                link.at,
                format!("{}: both ends are on one place", shown(&link.name)),
                "a wire like this changes nothing; is an end misspelled?",
            );
        } else {
            reader.findings.notice(
                link.at,
                format!("{} closes a loop of wires", shown(&link.name)),
                "its ends are joined already; all these places count as one",
            );
        }
    }
}

/// Windings and heater rows joined at both ends are faults, parts are notices. Gives the windings that are faults.
fn shorted_links(reader: &mut Reader<'_>, links: &[Link], places: &Places) -> HashSet<usize> {
    let mut shorted = HashSet::new();
    for (number, link) in links.iter().enumerate() {
        let [Some(from), Some(to)] = &link.ends else {
            continue;
        };
        let (Some(one), Some(other)) = (places.junction_of(from), places.junction_of(to)) else {
            continue;
        };
        if one != other || link.kind == LinkKind::Wire {
            continue;
        }
        let how = if from == to {
            "both ends are on one place".to_string()
        } else {
            let wires = places
                .junction(one)
                .map(|junction| junction.wires.as_slice())
                .unwrap_or(&[]);
            format!(
                "both ends are joined by {} {}",
                if wires.len() == 1 { "wire" } else { "wires" },
                listed_short(wires, 6)
            )
        };
        let name = shown(&link.name);
        match link.kind {
            LinkKind::Wire => {}
            LinkKind::Winding { .. } => {
                shorted.insert(number);
                reader.findings.fault(
                    link.at,
                    format!("{name}: {how}: the winding is shorted"),
                    "look at start and end of the winding, and at the wires between them",
                );
            }
            LinkKind::Heaters => {
                reader.findings.fault(
                    link.at,
                    format!("the row of heaters: {how}, no heater gets any volts"),
                    "look at `from` and `to` of the row",
                );
            }
            LinkKind::Part(_) => {
                reader.findings.notice(
                    link.at,
                    format!("{name}: {how}"),
                    "the part carries nothing; is an end misspelled?",
                );
            }
        }
    }
    shorted
}

/// Windings of one transformer that close a loop must cancel out.
fn winding_loops(reader: &mut Reader<'_>, rows: &Rows, places: &Places, shorted: &HashSet<usize>) {
    type Step<'l> = (usize, usize, f64, &'l Link);
    let mut by_transformer: Vec<Vec<Step<'_>>> = vec![Vec::new(); rows.transformers.len()];
    for (number, link) in rows.links.iter().enumerate() {
        let (
            LinkKind::Winding {
                transformer,
                volts: Some(volts),
            },
            [Some(start), Some(end)],
        ) = (link.kind, &link.ends)
        else {
            continue;
        };
        let (Some(start), Some(end)) = (places.junction_of(start), places.junction_of(end)) else {
            continue;
        };
        if let (false, Some(windings)) = (
            shorted.contains(&number),
            by_transformer.get_mut(transformer),
        ) {
            windings.push((start.index(), end.index(), volts, link));
        }
    }
    for windings in by_transformer {
        let mut neighbours: HashMap<usize, Vec<(usize, f64)>> = HashMap::new();
        for (start, end, volts, _) in &windings {
            neighbours.entry(*end).or_default().push((*start, *volts));
            neighbours.entry(*start).or_default().push((*end, -volts));
        }
        let mut potential: HashMap<usize, f64> = HashMap::new();
        for (first, ..) in &windings {
            if potential.contains_key(first) {
                continue;
            }
            potential.insert(*first, 0.0);
            let mut queue = VecDeque::from([*first]);
            while let Some(here) = queue.pop_front() {
                let base = potential.get(&here).copied().unwrap_or(0.0);
                for (there, volts) in neighbours.get(&here).into_iter().flatten() {
                    if !potential.contains_key(there) {
                        potential.insert(*there, base + volts);
                        queue.push_back(*there);
                    }
                }
            }
        }
        for (start, end, volts, link) in &windings {
            let (Some(at_start), Some(at_end)) = (potential.get(start), potential.get(end)) else {
                continue;
            };
            let left = (at_start - at_end - volts).abs();
            if left > LOOP_VOLTS && left > LOOP_SHARE * volts {
                reader.findings.fault(
                    link.at,
                    format!("{} closes a loop of windings with {:.1} V left over: a short circuit", shown(&link.name), left),
                    "windings side by side must have equal volts and starts joined to starts; look at start and end of each",
                );
            }
        }
    }
}

/// Floating places, and places that one part alone reaches.
fn loose_places(reader: &mut Reader<'_>, links: &[Link], names: &Names, places: &Places) {
    let junctions = places.junctions();
    let mut joined = UnionFind::new(junctions.len());
    let mut reached_by: Vec<Vec<usize>> = vec![Vec::new(); junctions.len()];
    for (number, link) in links.iter().enumerate() {
        let ends = link
            .ends
            .iter()
            .chain(std::iter::once(&link.third))
            .flatten();
        let ids: Vec<usize> = ends
            .filter_map(|place| places.junction_of(place))
            .map(|id| id.index())
            .collect();
        for pair in ids.windows(2) {
            if let [one, other] = pair {
                joined.join(*one, *other);
            }
        }
        if link.kind == LinkKind::Wire {
            continue;
        }
        for id in ids {
            if let Some(reached) = reached_by.get_mut(id)
                && reached.last() != Some(&number)
            {
                reached.push(number);
            }
        }
    }
    // The byte at which each junction is first met.
    let mut first_met: Vec<Option<usize>> = vec![None; junctions.len()];
    for link in links {
        for place in link
            .ends
            .iter()
            .chain(std::iter::once(&link.third))
            .flatten()
        {
            let slot = places
                .junction_of(place)
                .and_then(|id| first_met.get_mut(id.index()));
            if let Some(slot @ None) = slot {
                *slot = Some(link.at);
            }
        }
    }
    let mut tube_at: HashMap<&str, usize> = HashMap::new();
    let mut tubes_on: Vec<usize> = vec![0; junctions.len()];
    for (number, junction) in junctions.iter().enumerate() {
        for (tube, pin) in junction.places.iter().filter_map(Place::pin) {
            let kind = names.tube(tube).and_then(|(_, tube)| tube.kind.as_ref());
            let is_tie_point =
                kind.is_some_and(|kind| !kind.pins.is_empty() && kind.pin(pin).is_none());
            if is_tie_point {
                continue;
            }
            if let Some(count) = tubes_on.get_mut(number) {
                *count += 1;
            }
            match tube_at.get(tube) {
                Some(first) => {
                    joined.join(*first, number);
                }
                None => {
                    tube_at.insert(tube, number);
                }
            }
        }
    }
    let held: HashSet<usize> = [Place::Chassis, Place::LineA, Place::LineB]
        .iter()
        .filter_map(|place| places.junction_of(place))
        .map(|id| joined.root(id.index()))
        .collect();
    let mut floating: Vec<(usize, Vec<String>)> = Vec::new();
    let mut floating_of_root: HashMap<usize, usize> = HashMap::new();
    let named: Vec<&str> = junctions
        .iter()
        .flat_map(|junction| &junction.places)
        .filter_map(|place| {
            if let Place::Named(name) = place {
                Some(name.as_str())
            } else {
                None
            }
        })
        .collect();
    for (number, junction) in junctions.iter().enumerate() {
        let root = joined.root(number);
        if !held.contains(&root) {
            let next = floating.len();
            let group = *floating_of_root.entry(root).or_insert(next);
            if group == next {
                floating.push((number, Vec::new()));
            }
            if let Some((_, names)) = floating.get_mut(group) {
                names.extend(
                    junction
                        .places
                        .iter()
                        .map(|place| shown(&place.to_string())),
                );
            }
            continue;
        }
        let is_root = junction
            .places
            .iter()
            .any(|place| place.is_chassis() || place.is_line());
        let reached = reached_by.get(number).map(Vec::as_slice).unwrap_or(&[]);
        let tubes = tubes_on.get(number).copied().unwrap_or(0);
        if is_root || reached.len() + tubes > 1 {
            continue;
        }
        let label = junction.label().to_string();
        let link = reached.first().and_then(|number| links.get(*number));
        let first_mention = link
            .map(|link| link.at)
            .or_else(|| first_met.get(number).copied().flatten());
        let Some(at) = first_mention else { continue };
        let text = match (link, tubes) {
            (Some(link), _) => {
                format!("{} is reached by {} only", shown(&label), reader_name(link))
            }
            (None, _) => format!("{} is reached by wires only", shown(&label)),
        };
        let near = reader
            .speller
            .did_you_mean(&label, named.iter().copied().filter(|name| *name != label));
        reader.findings.notice(
            at,
            text,
            format!("{near}nothing flows at a place that one part alone reaches"),
        );
    }
    for (junction, names) in floating {
        let at = first_met.get(junction).copied().flatten();
        let Some(at) = at else { continue };
        let (verb, count) = if names.len() == 1 {
            ("floats", "it")
        } else {
            ("float", "them")
        };
        reader.findings.notice(
            at,
            format!(
                "{} {verb}: no path leads to the chassis or the line",
                listed_short(&names, 6)
            ),
            format!("until a part joins {count} to the rest, no volts can be told there"),
        );
    }
}

fn reader_name(link: &Link) -> String {
    if link.kind == LinkKind::Heaters {
        "a row of heaters".to_string()
    } else {
        shown(&link.name)
    }
}
