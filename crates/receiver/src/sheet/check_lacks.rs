//! Says what a sheet does not tell, and what it costs.
//!
//! Notices only: a sheet is useful long before it is complete. Nothing that is
//! missing is put in here.

use std::collections::{HashMap, HashSet};

use super::chassis::{ChassisStanding, KindOf, on_the_line, standing};
use super::contents::{Chart, SheetPart, SheetWinding};
use super::messages::{listed, listed_short, shown};
use super::part_kind::{CapacitorStyle, CoilKind, PartValue};
use super::place::Place;
use super::places::Places;
use super::read_rows::Rows;
use super::reader::Reader;

/// What of the sheet there is besides its rows.
pub(super) struct Told<'c> {
    pub(super) kind_of: &'c KindOf<'c>,
    pub(super) tubes: usize,
    pub(super) chart: Option<&'c Chart>,
    pub(super) bench: bool,
    pub(super) state: bool,
}

/// Checks a sheet whose rows were all read for what it lacks.
pub(super) fn check_lacks(reader: &mut Reader<'_>, rows: &Rows, places: &Places, told: &Told<'_>) {
    if told.tubes == 0 {
        reader.findings.notice_on_sheet(
            "the sheet has no tubes",
            "with the tubes alone it tells heater watts, likely line watts and which lamp to use",
        );
    }
    if rows.windings.is_empty() && rows.parts.is_empty() {
        reader.findings.notice_on_sheet(
            "the power supply is not on the sheet",
            "with windings, rectifiers and filter parts the first power-up can be planned",
        );
    } else {
        windings(reader, rows, places);
        values(reader, &rows.parts);
        chassis(reader, rows, places, told.kind_of);
    }
    match told.chart {
        None => reader.findings.notice_on_sheet(
            "the sheet has no `[chart]`",
            "the maker's own readings would be compared with what is computed",
        ),
        Some(chart) => chart_places(reader, chart, rows),
    }
    if !told.bench {
        reader.findings.notice_on_sheet(
            "the sheet has no `[bench]`",
            "with your lamps, meters, isolation and variable transformer the plan uses what you have; without it it names what to get",
        );
    }
    if !told.state {
        reader.findings.notice_on_sheet(
            "the sheet has no `[state]`",
            "every part counts as found and untested; what is replaced, re-formed or measured makes the bands narrower and the plan shorter",
        );
    }
}

fn windings(reader: &mut Reader<'_>, rows: &Rows, places: &Places) {
    let on_line = on_the_line(&rows.links, places);
    let on = |place: &Place| {
        places
            .junction_of(place)
            .is_some_and(|id| on_line.get(id.index()).copied().unwrap_or(false))
    };
    let mut by_transformer: HashMap<&str, Vec<&SheetWinding>> = HashMap::new();
    for winding in &rows.windings {
        by_transformer
            .entry(&winding.transformer)
            .or_default()
            .push(winding);
    }
    for transformer in &rows.transformers {
        let all = by_transformer
            .get(transformer.as_str())
            .map(Vec::as_slice)
            .unwrap_or(&[]);
        let own = || all.iter().copied();
        let Some(line) = own().next().map(|winding| winding.line) else {
            continue;
        };
        let at = reader.start_of_line(line);
        let without = |lacks: fn(&SheetWinding) -> bool| -> Vec<String> {
            own()
                .filter(|winding| lacks(winding))
                .map(|winding| winding.name.clone())
                .collect()
        };
        let no_volts = without(|winding| winding.volts.is_none());
        if !no_volts.is_empty() {
            reader.findings.notice(
                at,
                format!("{transformer}: the volts of {} are not told", listed_short(&no_volts, 6)),
                "nothing fed by such a winding can be computed; the maker's papers give them, or they are measured with every tube out",
            );
        }
        let no_ohms = without(|winding| winding.ohms.is_none());
        if !no_ohms.is_empty() {
            reader.findings.notice(
                at,
                format!("{transformer}: the ohms of {} are not told", listed_short(&no_ohms, 6)),
                "they are estimated, which makes every band behind them wider and hides shorted turns from the ohmmeter; measure them cold",
            );
        }
        let primaries: Vec<&SheetWinding> = own()
            .filter(|winding| on(&winding.start) && on(&winding.end))
            .collect();
        let idle_told =
            own().any(|winding| winding.idle_amperes.is_some() && winding.idle_watts.is_some());
        if let (Some(primary), false) = (primaries.first(), idle_told) {
            let at = reader.start_of_line(primary.line);
            reader.findings.notice(
                at,
                format!("{transformer}: what it draws unloaded is not told"),
                "a usual figure is assumed, so few shorted turns cannot be told from core loss; measured once with every tube out, it follows the rating as `idle 0.25 A 9 W`",
            );
        }
    }
}

fn values(reader: &mut Reader<'_>, parts: &[SheetPart]) {
    let mut tell = |lacks: &dyn Fn(&PartValue) -> bool, text: &str, hint: &str| {
        let found: Vec<&SheetPart> = parts.iter().filter(|part| lacks(&part.value)).collect();
        if let Some(first) = found.first() {
            let names: Vec<&str> = found.iter().map(|part| part.reference.as_str()).collect();
            let at = reader.start_of_line(first.line);
            reader
                .findings
                .notice(at, format!("{}: {text}", listed_short(&names, 8)), hint);
        }
    };
    tell(
        &|value| {
            matches!(
                value,
                PartValue::Capacitor {
                    style: CapacitorStyle::Electrolytic,
                    volts: None,
                    ..
                }
            )
        },
        "the marked volts are not told",
        "whether a step spares them cannot be told either; read them off the can",
    );
    tell(
        &|value| matches!(value, PartValue::Coil { ohms: None, .. }),
        "the ohms are not told",
        "volts behind such a coil cannot be told; measure it cold",
    );
    tell(
        &|value| {
            matches!(
                value,
                PartValue::Coil {
                    kind: CoilKind::Choke,
                    henries: None,
                    ..
                }
            )
        },
        "the henries are not told",
        "ripple behind such a choke cannot be told",
    );
    tell(
        &|value| matches!(value, PartValue::Thermistor { cold_ohms, hot_ohms, amperes, .. } if cold_ohms.is_none() || hot_ohms.is_none() || amperes.is_none()),
        "cold ohms, hot ohms and their current are not all told",
        "the warm-up of the string can be told only roughly",
    );
    tell(
        &|value| {
            matches!(
                value,
                PartValue::Silicon {
                    inverse_volts: None,
                    ..
                }
            )
        },
        "the peak inverse volts are not told",
        "whether the rectifier stands the line cannot be told; write `1 A 1000 V` or its type",
    );
    tell(
        &|value| {
            matches!(
                value,
                PartValue::Crystal {
                    forward_amperes: None,
                    ..
                }
            )
        },
        "no forward current is told or known for the type",
        "a usual diode of its kind is taken, with wide bands; write its type or a figure of its sheet, `5 mA at 1 V`",
    );
    tell(
        &|value| {
            matches!(
                value,
                PartValue::Neon {
                    strike_volts: None,
                    ..
                } | PartValue::Neon {
                    burning_volts: None,
                    ..
                }
            )
        },
        "striking and burning volts are not both told",
        "whether the lamp burns and what it holds cannot be told; write its type or `65 V strike 55 V burning`",
    );
    tell(
        &|value| matches!(value, PartValue::Vdr { amperes: None, .. }),
        "its current at its volts is not told",
        "what it draws cannot be told; a point of its sheet is `1 mA at 100 V beta 0.2`",
    );
    tell(
        &|value| {
            matches!(
                value,
                PartValue::Vdr {
                    amperes: Some(_),
                    beta: None,
                    ..
                }
            )
        },
        "the exponent is not told",
        "what it draws at other volts can be told only roughly; write `beta 0.2`, or whatever its sheet says",
    );
}

fn chassis(reader: &mut Reader<'_>, rows: &Rows, places: &Places, kind_of: &KindOf<'_>) {
    match standing(&rows.links, places, kind_of) {
        ChassisStanding::OnTheLine { blade, through } => {
            let way = if through.is_empty() { "by wires alone".to_string() } else { format!("through {}", listed(&shorten(&through), "and")) };
            reader.findings.notice_on_sheet(
                format!("the chassis is on the line: it is reached from `{blade}` {way}"),
                "no work on it without an isolation transformer; the chassis can kill, plug turned or not",
            );
        }
        ChassisStanding::NotTold => reader.findings.notice_on_sheet(
            "whether the chassis is on the line is not told",
            "it counts as on the line; a set without a transformer has a `wire` or part from `line b` to `chassis`, one with a transformer its primary from `line a` to `line b`",
        ),
        ChassisStanding::Isolated { line_capacitors } if !line_capacitors.is_empty() => reader.findings.notice_on_sheet(
            format!("{} between line and chassis", listed(&shorten(&line_capacitors), "and")),
            "leaky, they put the chassis on the line: renew them by parts made for that place before any power",
        ),
        ChassisStanding::Isolated { .. } => {}
    }
}

/// A long way by its ends.
fn shorten(through: &[String]) -> Vec<String> {
    if through.len() <= 6 {
        return through.to_vec();
    }
    let head = through.iter().take(3);
    let tail = through.iter().skip(through.len() - 2);
    head.cloned()
        .chain(std::iter::once("…".to_string()))
        .chain(tail.cloned())
        .collect()
}

/// Places of the chart that no part reaches.
fn chart_places(reader: &mut Reader<'_>, chart: &Chart, rows: &Rows) {
    let reached: HashSet<&Place> = rows
        .links
        .iter()
        .flat_map(|link| {
            link.ends
                .iter()
                .chain(std::iter::once(&link.third))
                .flatten()
        })
        .collect();
    let mut told = HashSet::new();
    // Pins of one tube are told together.
    let mut of_tubes: Vec<(&str, Vec<String>, usize)> = Vec::new();
    for reading in chart.volts.iter().chain(&chart.ohms) {
        for place in [&reading.at, &reading.to] {
            if reached.contains(place) || place.is_chassis() || !told.insert(place) {
                continue;
            }
            match place {
                Place::Pin { tube, .. } => {
                    match of_tubes.iter_mut().find(|(own, ..)| own == tube) {
                        Some((_, places, _)) => places.push(place.to_string()),
                        None => of_tubes.push((tube, vec![place.to_string()], reading.line)),
                    }
                }
                Place::Named(name) => {
                    let named = reached.iter().filter_map(|place| match place {
                        Place::Named(name) => Some(name.as_str()),
                        _ => None,
                    });
                    let mut named: Vec<&str> = named.collect();
                    named.sort_unstable();
                    let near = reader.speller.did_you_mean(name, named);
                    unreached(reader, &shown(name), reading.line, &near);
                }
                _ => unreached(reader, &shown(&place.to_string()), reading.line, ""),
            }
        }
    }
    for (_, places, line) in of_tubes {
        let places: Vec<String> = places.iter().map(|place| shown(place)).collect();
        unreached(reader, &places.join(", "), line, "");
    }
}

fn unreached(reader: &mut Reader<'_>, places: &str, line: usize, near: &str) {
    let at = reader.start_of_line(line);
    reader.findings.notice(
        at,
        format!("no part of the sheet reaches {places}, where the chart has a reading"),
        format!("{near}the reading waits until the parts there are transcribed"),
    );
}
