//! Looks at how the heaters are fed: nothing twice, nothing left cold, and
//! ratings that agree within a row.
//!
//! Volts and amperes are the ratings of the catalogue. A tube is heated by a row
//! of `heaters` or by whatever reaches two of its heater pins. Tubes whose pins
//! the catalogue does not know cannot be judged at their pins.

use std::collections::HashMap;

use parts::{PinName, SectionKind, TubeType};

use super::contents::{HeaterArrangement, HeaterRow};
use super::messages::{listed_short, shown};
use super::names::Names;
use super::places::Places;
use super::read_rows::{Link, LinkKind, Rows};
use super::reader::Reader;

/// Ratings in one row that differ by more than this share do not belong together.
const AGREE_WITHIN: f64 = 0.07;

/// Which windings and which pins are at each junction.
struct Feeds<'r> {
    windings: Vec<(usize, usize, &'r Link)>,
    windings_at: HashMap<usize, Vec<usize>>,
    pins_of: HashMap<&'r str, Vec<(PinName, usize)>>,
}

impl<'r> Feeds<'r> {
    fn new(rows: &'r Rows, places: &'r Places) -> Self {
        let mut feeds = Feeds {
            windings: Vec::new(),
            windings_at: HashMap::new(),
            pins_of: HashMap::new(),
        };
        for link in &rows.links {
            let (LinkKind::Winding { .. }, [Some(start), Some(end)]) = (link.kind, &link.ends)
            else {
                continue;
            };
            let (Some(start), Some(end)) = (places.junction_of(start), places.junction_of(end))
            else {
                continue;
            };
            let number = feeds.windings.len();
            feeds.windings.push((start.index(), end.index(), link));
            for junction in [start.index(), end.index()] {
                feeds.windings_at.entry(junction).or_default().push(number);
            }
        }
        for place in places.iter() {
            if let (Some((tube, pin)), Some(id)) = (place.pin(), places.junction_of(place)) {
                feeds
                    .pins_of
                    .entry(tube)
                    .or_default()
                    .push((pin, id.index()));
            }
        }
        feeds
    }

    /// A winding whose two ends are on two of these junctions.
    fn winding_between(&self, junctions: &[usize]) -> Option<&'r Link> {
        let at = |junction: &usize| {
            self.windings_at
                .get(junction)
                .map(Vec::as_slice)
                .unwrap_or(&[])
        };
        let mut by_length: Vec<&usize> = junctions.iter().collect();
        by_length.sort_by_key(|junction| at(junction).len());
        // A winding between two of them is at both, so the longest list need not be walked.
        let searched = by_length.len().saturating_sub(1);
        by_length
            .into_iter()
            .take(searched)
            .flat_map(at)
            .find_map(|number| {
                let (start, end, link) = self.windings.get(*number)?;
                let both = start != end && junctions.contains(start) && junctions.contains(end);
                both.then_some(*link)
            })
    }
}

/// Checks every tube's heater and every row of heaters.
pub(super) fn check_heaters(
    reader: &mut Reader<'_>,
    rows: &Rows,
    names: &Names,
    places: &Places,
    tube_starts: &[usize],
) {
    let feeds = Feeds::new(rows, places);
    for (index, tube) in names.tubes.iter().enumerate() {
        let Some(kind) = &tube.kind else { continue };
        let at = tube_starts.get(index).copied().unwrap_or(0);
        let tube = Checked {
            index,
            reference: &tube.reference,
            kind,
            at,
        };
        check_tube(reader, rows, names, &feeds, places, &tube);
    }
    for row in &rows.heaters {
        check_row(reader, names, &feeds, places, row);
    }
}

/// A tube whose type is known.
struct Checked<'n> {
    index: usize,
    reference: &'n str,
    kind: &'n TubeType,
    at: usize,
}

fn check_tube(
    reader: &mut Reader<'_>,
    rows: &Rows,
    names: &Names,
    feeds: &Feeds<'_>,
    places: &Places,
    tube: &Checked<'_>,
) {
    let Checked {
        index,
        reference,
        kind,
        at,
    } = *tube;
    if kind.heater.is_none() {
        reader.findings.notice(
            at,
            format!(
                "{}: the catalogue does not know the heater of {}",
                shown(reference),
                kind.name
            ),
            format!(
                "its volts and amperes can be given under `[tube.\"{}\"]`",
                kind.name
            ),
        );
    }
    let heater_pins = kind.heater_pins();
    let reached = feeds
        .pins_of
        .get(reference)
        .map(Vec::as_slice)
        .unwrap_or(&[]);
    let on_heater: Vec<(PinName, usize)> = reached
        .iter()
        .copied()
        .filter(|(pin, _)| heater_pins.is_empty() || heater_pins.contains(pin))
        .collect();
    let junctions: Vec<usize> = on_heater.iter().map(|(_, junction)| *junction).collect();
    let winding = feeds.winding_between(&junctions);
    match (names.heated_on_line(index), winding) {
        (Some(line), Some(winding)) => reader.findings.fault(
            at,
            format!(
                "{} is heated twice: by the row of heaters on line {line} and by {} at its pins",
                shown(reference),
                shown(&winding.name)
            ),
            "take the tube out of the row, or the winding off its pins",
        ),
        (Some(line), None) => {
            for (pin, junction) in on_heater.iter().filter(|_| !heater_pins.is_empty()) {
                // A pin that a wire leads to another place stands where that place stands.
                let alone = places
                    .junctions()
                    .get(*junction)
                    .is_some_and(|junction| junction.places.len() == 1);
                if alone {
                    reader.findings.notice(
                        at,
                        format!("`{reference}.{pin}` is a heater pin, and the row of heaters on line {line} feeds {}", shown(reference)),
                        "which end of the row this pin is on is not told: write the place of the row instead of the pin",
                    );
                }
            }
        }
        (None, Some(_)) => {}
        (None, None) if !heater_pins.is_empty() && on_heater.len() > 1 => {}
        (None, None) if rows.incomplete => {}
        (None, None) => {
            let high_voltage = kind
                .sections
                .iter()
                .any(|section| section.kind == SectionKind::HvRectifier);
            let hint = if high_voltage {
                "a high-voltage rectifier is lit by a turn on the sweep transformer: it stays dark until the sweep runs"
            } else if heater_pins.is_empty() {
                "name it in a row of `heaters`; until then it counts as cold"
            } else {
                "name it in a row of `heaters`, or take a winding to its heater pins; until then it counts as cold"
            };
            reader.findings.notice(
                at,
                format!("nothing heats {} ({})", shown(reference), kind.name),
                hint,
            );
        }
    }
}

fn check_row(
    reader: &mut Reader<'_>,
    names: &Names,
    feeds: &Feeds<'_>,
    places: &Places,
    row: &HeaterRow,
) {
    let at = reader.start_of_line(row.line);
    let kinds: Vec<(&str, &TubeType)> = row
        .tubes
        .iter()
        .filter_map(|tube| names.tube(tube))
        .filter_map(|(_, tube)| {
            tube.kind
                .as_ref()
                .map(|kind| (tube.reference.as_str(), kind))
        })
        .collect();
    let direct: Vec<&str> = kinds
        .iter()
        .filter(|(_, kind)| kind.is_directly_heated() == Some(true))
        .map(|(tube, _)| *tube)
        .collect();
    if !direct.is_empty() && direct.len() < kinds.len() {
        reader.findings.notice(
            at,
            format!("{} in this row of heaters is directly heated", listed_short(&direct, 6)),
            "its filament is its cathode: everything in the row then stands at its B+; it usually has a winding of its own",
        );
    }
    match row.arrangement {
        HeaterArrangement::Series => {
            let rated: Vec<(&str, f64, bool)> = kinds
                .iter()
                .filter_map(|(tube, kind)| {
                    let heater = kind.heater.as_ref()?;
                    Some((*tube, heater.amperes, heater.has_tap))
                })
                .collect();
            let usual = most_common(rated.iter().map(|(_, amperes, _)| *amperes));
            let fits = |amperes: f64| {
                usual.is_none_or(|usual| (amperes / usual - 1.0).abs() <= AGREE_WITHIN)
            };
            let odd: Vec<String> = rated
                .iter()
                .filter(|(_, amperes, has_tap)| {
                    !(fits(*amperes) || (*has_tap && fits(2.0 * amperes)))
                })
                .map(|(tube, amperes, _)| format!("{tube} {}", quantity::Amperes(*amperes)))
                .collect();
            if let (Some(usual), false) = (usual, odd.is_empty()) {
                reader.findings.notice(
                    at,
                    format!(
                        "in this string of {} heaters not all have the same current: {}",
                        quantity::Amperes(usual),
                        listed_short(&odd, 6)
                    ),
                    "such a string has a shunt resistor somewhere, or a tube type is wrong",
                );
            }
        }
        HeaterArrangement::Parallel => {
            let ends = [places.junction_of(&row.from), places.junction_of(&row.to)];
            let ends: Vec<usize> = ends.into_iter().flatten().map(|id| id.index()).collect();
            let feed = feeds
                .winding_between(&ends)
                .and_then(|link| match link.kind {
                    LinkKind::Winding { volts, .. } => volts,
                    _ => None,
                });
            let rated: Vec<(&str, f64, bool)> = kinds
                .iter()
                .filter_map(|(tube, kind)| {
                    kind.heater
                        .as_ref()
                        .map(|heater| (*tube, heater.volts, heater.has_tap))
                })
                .collect();
            let usual = feed.or_else(|| most_common(rated.iter().map(|(_, volts, _)| *volts)));
            let within = if feed.is_some() { 0.2 } else { AGREE_WITHIN };
            let fits = |volts: f64| usual.is_none_or(|usual| (volts / usual - 1.0).abs() <= within);
            let odd: Vec<String> = rated
                .iter()
                .filter(|(_, volts, has_tap)| !(fits(*volts) || (*has_tap && fits(volts / 2.0))))
                .map(|(tube, volts, _)| format!("{tube} {}", quantity::Volts(*volts)))
                .collect();
            if let (Some(usual), false) = (usual, odd.is_empty()) {
                reader.findings.notice(
                    at,
                    format!(
                        "heaters in this row do not fit its {}: {}",
                        quantity::Volts(usual),
                        listed_short(&odd, 6)
                    ),
                    "a tube type is wrong, or the tube belongs to another row",
                );
            }
        }
    }
}

/// The rating that most of a row share.
fn most_common(ratings: impl Iterator<Item = f64>) -> Option<f64> {
    let mut ratings: Vec<f64> = ratings.collect();
    ratings.sort_by(f64::total_cmp);
    let mut best: Option<(usize, f64)> = None;
    let mut from = 0;
    while let Some(&rating) = ratings.get(from) {
        let count = ratings
            .iter()
            .skip(from)
            .take_while(|other| (**other / rating - 1.0).abs() <= AGREE_WITHIN / 2.0)
            .count();
        if best.is_none_or(|(most, _)| count > most) {
            best = Some((count, rating));
        }
        from += count.max(1);
    }
    best.map(|(_, rating)| rating)
}
