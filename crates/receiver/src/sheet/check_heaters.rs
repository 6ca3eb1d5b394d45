//! Looks at how the heaters are fed: nothing twice, nothing left cold, and
//! ratings that agree within a row.
//!
//! Volts and amperes are the ratings of the catalogue. A tube is heated by a row
//! of `heaters` or by whatever reaches two of its heater pins. Tubes whose pins
//! the catalogue does not know cannot be judged at their pins.

use parts::{SectionKind, TubeType};

use super::contents::{HeaterArrangement, HeaterRow};
use super::messages::{listed_short, shown};
use super::names::Names;
use super::place::Place;
use super::places::Places;
use super::read_rows::{LinkKind, Rows};
use super::reader::Reader;

/// Ratings in one row that differ by more than this share do not belong together.
const AGREE_WITHIN: f64 = 0.07;

/// Checks every tube's heater and every row of heaters.
pub(super) fn check_heaters(
    reader: &mut Reader<'_>,
    rows: &Rows,
    names: &Names,
    places: &Places,
    tube_lines: &[usize],
) {
    for (index, tube) in names.tubes.iter().enumerate() {
        let Some(kind) = &tube.kind else { continue };
        let at = tube_lines.get(index).copied().unwrap_or(0);
        check_tube(reader, rows, names, places, index, kind, at);
    }
    for row in &rows.heaters {
        check_row(reader, rows, names, places, row);
    }
}

fn check_tube(
    reader: &mut Reader<'_>,
    rows: &Rows,
    names: &Names,
    places: &Places,
    index: usize,
    kind: &TubeType,
    at: usize,
) {
    let Some(reference) = names.tubes.get(index).map(|tube| tube.reference.as_str()) else {
        return;
    };
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
    let mut on_heater = [false; 2];
    let mut touched: Vec<(String, String)> = Vec::new();
    let mut winding: Option<String> = None;
    let pins: Vec<Place> = kind
        .heater_pins()
        .into_iter()
        .map(|pin| Place::Pin {
            tube: reference.to_string(),
            pin,
        })
        .collect();
    let pins_known = !pins.is_empty();
    for pin in &pins {
        let Some(junction) = places.junction_of(pin) else {
            continue;
        };
        match on_heater {
            [false, _] => on_heater[0] = true,
            _ => on_heater[1] = true,
        }
        let alone = places
            .junction(junction)
            .is_some_and(|junction| junction.places.iter().all(|place| pins.contains(place)));
        if alone {
            touched.push((pin.to_string(), String::new()));
        }
    }
    let of_tube = |place: &Place| {
        if pins_known {
            pins.contains(place)
        } else {
            place.pin().is_some_and(|(tube, _)| tube == reference)
        }
    };
    for link in rows
        .links
        .iter()
        .filter(|link| matches!(link.kind, LinkKind::Winding { .. }))
    {
        let both = link.ends.iter().flatten().all(|end| {
            of_tube(end)
                || places
                    .junction_of(end)
                    .and_then(|id| places.junction(id))
                    .is_some_and(|junction| junction.places.iter().any(of_tube))
        });
        if both && link.ends.iter().all(Option::is_some) {
            winding = Some(link.name.clone());
        }
    }
    match (names.heated_on_line(index), winding) {
        (Some(line), Some(winding)) => {
            reader.findings.fault(
                at,
                format!("{} is heated twice: by the row of heaters on line {line} and by {} at its pins", shown(reference), shown(&winding)),
                "take the tube out of the row, or the winding off its pins",
            );
        }
        (Some(line), None) => {
            for (pin, _) in touched {
                reader.findings.notice(
                    at,
                    format!("{} is a heater pin, and the row of heaters on line {line} feeds {}", shown(&pin), shown(reference)),
                    "which end of the row this pin is on is not told: write the place of the row instead of the pin",
                );
            }
        }
        (None, Some(_)) => {}
        (None, None) if on_heater == [true, true] => {}
        (None, None) if rows.incomplete => {}
        (None, None) => {
            let high_voltage = kind
                .sections
                .iter()
                .any(|section| section.kind == SectionKind::HvRectifier);
            let hint = if high_voltage {
                "a high-voltage rectifier is lit by a turn on the sweep transformer: it stays dark until the sweep runs"
            } else if pins_known {
                "name it in a row of `heaters`, or take a winding to its heater pins; until then it counts as cold"
            } else {
                "name it in a row of `heaters`; until then it counts as cold"
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
    rows: &Rows,
    names: &Names,
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
            let rated: Vec<(&str, f64)> = kinds
                .iter()
                .filter_map(|(tube, kind)| {
                    kind.heater.as_ref().map(|heater| (*tube, heater.amperes))
                })
                .collect();
            let usual = most_common(rated.iter().map(|(_, amperes)| *amperes));
            let odd: Vec<String> = rated
                .iter()
                .filter(|(_, amperes)| {
                    usual.is_some_and(|usual| (amperes / usual - 1.0).abs() > AGREE_WITHIN)
                })
                .map(|(tube, amperes)| format!("{tube} {}", quantity::Amperes(*amperes)))
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
            let feed = rows.windings.iter().find(|winding| {
                let ends = [
                    (&winding.start, &row.from, &winding.end, &row.to),
                    (&winding.start, &row.to, &winding.end, &row.from),
                ];
                ends.iter().any(|(start, one, end, other)| {
                    places.joined(start, one) && places.joined(end, other)
                })
            });
            let rated: Vec<(&str, f64, bool)> = kinds
                .iter()
                .filter_map(|(tube, kind)| {
                    kind.heater
                        .as_ref()
                        .map(|heater| (*tube, heater.volts, heater.has_tap))
                })
                .collect();
            let usual = feed
                .and_then(|winding| winding.volts)
                .or_else(|| most_common(rated.iter().map(|(_, volts, _)| *volts)));
            let within = if feed.is_some() { 0.2 } else { AGREE_WITHIN };
            let fits = |volts: f64| usual.is_none_or(|usual| (volts / usual - 1.0).abs() <= within);
            let odd: Vec<String> = rated
                .iter()
                .filter(|(_, volts, has_tap)| !fits(*volts) && !(*has_tap && fits(volts / 2.0)))
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
