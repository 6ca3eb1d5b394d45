//! Reads `[chart]`, the maker's own readings, and `[bench]`, what the restorer has.
//!
//! Chart readings are volts d.c. or cold ohms between two places; without a
//! second place the other lead was on the chassis. The maker's words about his
//! meter are kept as they are, and understood as far as that goes. Lamps are
//! watts at 120 V.

use quantity::{Expect, ItemKind, Unit};
use toml_edit::{Item, Value};

use super::contents::{Bench, BenchMeter, Chart, ChartReading, DcSource};
use super::messages::shown;
use super::names::Names;
use super::place::Place;
use super::reader::{Cell, Reader};
use super::value_slots::{items_of, limits, notation_fault};
use crate::conditions::Meter;

const CHART_KEYS: &[&str] = &["line_volts", "meter", "conditions", "volts", "ohms"];
const BENCH_KEYS: &[&str] = &[
    "line_volts",
    "lamps",
    "isolation_va",
    "variable_transformer",
    "meters",
    "dc_source",
];
/// Lowest and highest line volts that a sheet may name, rms.
const LINE_VOLTS: std::ops::RangeInclusive<f64> = 50.0..=300.0;

/// Line volts within reason, or a fault.
pub(super) fn line_volts(reader: &mut Reader<'_>, item: &Item, key: &Cell) -> Option<f64> {
    let (volts, at) =
        reader.number_of(item, key, "the line volts as a number, `line_volts = 117`")?;
    if LINE_VOLTS.contains(&volts) {
        return Some(volts);
    }
    reader.findings.fault(
        at,
        format!("{volts} V is no line of such a set"),
        "expected volts rms from 50 to 300, as 117 or 220",
    );
    None
}

/// Reads `[chart]`.
pub(super) fn read_chart(
    reader: &mut Reader<'_>,
    item: &Item,
    key: &Cell,
    names: &mut Names,
) -> Option<Chart> {
    let table = reader.table_of(item, key)?;
    let mut chart = Chart {
        line_volts: None,
        meter: None,
        meter_text: String::new(),
        conditions: String::new(),
        volts: Vec::new(),
        ohms: Vec::new(),
    };
    for entry in reader.entries(table) {
        match entry.key.text.as_str() {
            "line_volts" => chart.line_volts = line_volts(reader, entry.item, &entry.key),
            "meter" => {
                if let Some(cell) = reader.text_of(
                    entry.item,
                    &entry.key,
                    "the maker's words about his meter, as a text",
                ) {
                    chart.meter = read_meter(&cell.text);
                    chart.meter_text = cell.text.trim().to_string();
                    if chart.meter.is_none() && !cell.is_blank() {
                        reader.findings.notice(
                            cell.at(),
                            format!("the chart's meter {} is not understood", shown(&cell.text)),
                            "written as `20k per volt, 500 V range` or `10M` its load on the set is reckoned with",
                        );
                    }
                }
            }
            "conditions" => {
                if let Some(cell) =
                    reader.text_of(entry.item, &entry.key, "the conditions as a text")
                {
                    chart.conditions = cell.text.trim().to_string();
                }
            }
            "volts" => {
                chart.volts = chart_rows(reader, entry.item, &entry.key, names, Expect::Voltage)
            }
            "ohms" => {
                chart.ohms = chart_rows(reader, entry.item, &entry.key, names, Expect::Resistance)
            }
            _ => reader.unknown_key(&entry.key, "the chart", CHART_KEYS),
        }
    }
    Some(chart)
}

fn chart_rows(
    reader: &mut Reader<'_>,
    item: &Item,
    key: &Cell,
    names: &mut Names,
    expect: Expect,
) -> Vec<ChartReading> {
    let form = if expect == Expect::Voltage {
        "a row like `[\"V14.8\", \"chassis\", 352]`: where, to where, volts"
    } else {
        "a row like `[\"V9.6\", \"chassis\", \"90k\"]`: where, to where, ohms"
    };
    let mut readings = Vec::new();
    for (row, at) in reader.rows_of(item, key, form) {
        let cells = reader.cells_of(row, at, &["place", "place", "reading"]);
        if !(2..=3).contains(&cells.len()) {
            reader.findings.fault(
                at,
                format!("the row of the chart has {} cells", cells.len()),
                format!("expected {form}"),
            );
            continue;
        }
        let to_chassis = cells.len() == 2;
        let mut cells = cells.into_iter();
        let mut next = || cells.next().flatten();
        let place = next().and_then(|cell| names.read_place(reader, &cell));
        let to = if to_chassis {
            Some(Place::Chassis)
        } else {
            next().and_then(|cell| names.read_place(reader, &cell))
        };
        let value = next().and_then(|cell| chart_value(reader, &cell, expect, form));
        if let (Some(place), Some(to), Some(value)) = (place, to, value) {
            readings.push(ChartReading {
                at: place,
                to,
                value,
                line: reader.line(at),
            });
        }
    }
    readings
}

fn chart_value(reader: &mut Reader<'_>, cell: &Cell, expect: Expect, form: &str) -> Option<f64> {
    if expect == Expect::Resistance
        && ["inf", "infinite", "infinity", "open"]
            .iter()
            .any(|word| cell.text.trim().eq_ignore_ascii_case(word))
    {
        return Some(f64::INFINITY);
    }
    let items = items_of(reader, cell, expect)?;
    match (expect, items.as_slice()) {
        (Expect::Voltage, [only]) => {
            if let ItemKind::Volts(volts) = only.what
                && volts.abs() <= limits(Unit::Volts).1
            {
                return Some(volts);
            }
        }
        (_, [only]) => {
            if let ItemKind::Ohms(ohms) = only.what
                && (0.0..=limits(Unit::Ohms).1).contains(&ohms)
            {
                return Some(ohms);
            }
        }
        _ => {}
    }
    reader.findings.fault(
        cell.at(),
        format!("{} is no reading of the chart", shown(&cell.text)),
        format!("expected {form}"),
    );
    None
}

/// Reads `[bench]`.
pub(super) fn read_bench(reader: &mut Reader<'_>, item: &Item, key: &Cell) -> Option<Bench> {
    let table = reader.table_of(item, key)?;
    let mut bench = Bench::default();
    for entry in reader.entries(table) {
        match entry.key.text.as_str() {
            "line_volts" => bench.line_volts = line_volts(reader, entry.item, &entry.key),
            "lamps" => bench.lamps = lamps(reader, entry.item, &entry.key),
            "isolation_va" => {
                bench.isolation_volt_amperes = volt_amperes(reader, entry.item, &entry.key)
            }
            "variable_transformer" => {
                bench.variable_transformer = reader.bool_of(entry.item, &entry.key)
            }
            "meters" => bench.meters = meters(reader, entry.item, &entry.key),
            "dc_source" => {
                if let Some(cell) = reader.text_of(
                    entry.item,
                    &entry.key,
                    "the d.c. source as a text, `\"0-450 V 20 mA\"`",
                ) {
                    bench.dc_source = dc_source(reader, &cell);
                }
            }
            _ => reader.unknown_key(&entry.key, "the bench", BENCH_KEYS),
        }
    }
    Some(bench)
}

fn lamps(reader: &mut Reader<'_>, item: &Item, key: &Cell) -> Vec<f64> {
    let form = "the watts of each lamp between `[` and `]`: `lamps = [40, 60, 100]`";
    let Some(array) = reader.array_of(item, key, form) else {
        return Vec::new();
    };
    let mut lamps = Vec::new();
    for value in array {
        let at = value.span().map_or(key.at(), |span| span.start);
        let Some(cell) = reader.cell(value, at) else {
            reader.wrong_shape(at, value.type_name(), "lamp", form);
            continue;
        };
        match quantity::read_watts(&cell.text) {
            Ok(watts) if (1.0..=2000.0).contains(&watts.0) => lamps.push(watts.0),
            Ok(_) => reader.findings.fault(
                at,
                format!("{} is no lamp", shown(&cell.text)),
                "expected watts from 1 to 2000, of a lamp for 120 V",
            ),
            Err(error) => notation_fault(reader, &cell, &error),
        }
    }
    lamps
}

fn volt_amperes(reader: &mut Reader<'_>, item: &Item, key: &Cell) -> Option<f64> {
    let value = item.as_value();
    let cell = value.and_then(|value| reader.cell(value, key.at()));
    let Some(cell) = cell else {
        let at = item.span().map_or(key.at(), |span| span.start);
        reader.wrong_shape(
            at,
            item.type_name(),
            &key.text,
            "the volt-amperes on its plate, `isolation_va = 250`",
        );
        return None;
    };
    match quantity::read_volt_amperes(&cell.text) {
        Ok(volt_amperes) if volt_amperes.0 > 0.0 => Some(volt_amperes.0),
        Ok(_) => {
            reader.findings.fault(
                cell.at(),
                format!("{} is no isolation transformer", shown(&cell.text)),
                "expected its volt-amperes; leave the line out if there is none",
            );
            None
        }
        Err(error) => {
            notation_fault(reader, &cell, &error);
            None
        }
    }
}

fn meters(reader: &mut Reader<'_>, item: &Item, key: &Cell) -> Vec<BenchMeter> {
    let form = "the meters as texts between `[` and `]`: `meters = [\"10M\", \"20k/V\"]`";
    let Some(array) = reader.array_of(item, key, form) else {
        return Vec::new();
    };
    let mut meters = Vec::new();
    for value in array {
        let at = value.span().map_or(key.at(), |span| span.start);
        let Value::String(text) = value else {
            reader.wrong_shape(at, value.type_name(), "meter", form);
            continue;
        };
        match read_meter(text.value()) {
            Some(meter) => meters.push(BenchMeter { text: text.value().trim().to_string(), meter }),
            None => reader.findings.fault(
                at,
                format!("{} is no meter", shown(text.value())),
                "expected its input resistance, `10M`, or its ohms per volt, `20k/V`, with the range if one is used, `20k/V 500 V`",
            ),
        }
    }
    meters
}

/// `1000/V` as old meter cases have it, with the ohms that it leaves unsaid.
fn with_ohms_named(text: &str) -> String {
    let mut named = String::with_capacity(text.len() + 4);
    let mut before = ' ';
    for letter in text.chars() {
        if letter == '/' && before.is_ascii_digit() {
            named.push_str(" ohm");
        }
        if !letter.is_whitespace() {
            before = letter;
        }
        named.push(letter);
    }
    named
}

/// A meter as its owner knows it: `10M`, `20k/V`, `20k per volt, 500 V range`. `None` if the text tells no meter.
pub fn read_meter(text: &str) -> Option<Meter> {
    let items = quantity::read_items(&with_ohms_named(text), Expect::MeterResistance).ok()?;
    let (mut ohms, mut per_volt, mut range) = (Vec::new(), Vec::new(), Vec::new());
    for item in items {
        match item.what {
            ItemKind::Ohms(number) => ohms.push(number),
            ItemKind::OhmsPerVolt(number) => per_volt.push(number),
            ItemKind::Volts(number) => range.push(number),
            ItemKind::Word(ref word)
                if ["range", "input", "meter", "vtvm", "dc", "on", "scale"]
                    .iter()
                    .any(|known| word.eq_ignore_ascii_case(known)) => {}
            _ => return None,
        }
    }
    if ohms
        .iter()
        .chain(&per_volt)
        .chain(&range)
        .any(|number| !(number.is_finite() && *number > 0.0))
    {
        return None;
    }
    match (ohms.as_slice(), per_volt.as_slice(), range.as_slice()) {
        ([ohms], [], [] | [_]) => Some(Meter::InputOhms(*ohms)),
        ([], [ohms_per_volt], []) => Some(Meter::OhmsPerVolt {
            ohms_per_volt: *ohms_per_volt,
            range_volts: None,
        }),
        ([], [ohms_per_volt], [range]) => Some(Meter::OhmsPerVolt {
            ohms_per_volt: *ohms_per_volt,
            range_volts: Some(*range),
        }),
        _ => None,
    }
}

fn dc_source(reader: &mut Reader<'_>, cell: &Cell) -> Option<DcSource> {
    let items = items_of(reader, cell, Expect::Anything)?;
    let (mut volts, mut amperes) = (None, None);
    let mut odd = None;
    for item in &items {
        match item.what {
            ItemKind::VoltsRange { low, high }
                if volts.is_none() && high <= limits(Unit::Volts).1 =>
            {
                volts = Some((low, high))
            }
            ItemKind::Volts(only)
                if volts.is_none() && only > 0.0 && only <= limits(Unit::Volts).1 =>
            {
                volts = Some((only, only));
            }
            ItemKind::Amperes(current) if amperes.is_none() && current > 0.0 => {
                amperes = Some(current)
            }
            _ => odd = odd.or(Some(item.span.start)),
        }
    }
    let form = "expected the volts it gives and its highest current: `0-450 V 20 mA`";
    if let Some(offset) = odd {
        reader.fault_inside(
            cell,
            offset,
            format!("{} is no d.c. source", shown(&cell.text)),
            form,
        );
        return None;
    }
    match volts {
        Some((low, high)) if high > 0.0 => Some(DcSource {
            low_volts: low.max(0.0),
            high_volts: high,
            amperes,
        }),
        _ => {
            reader.findings.fault(
                cell.at(),
                format!(
                    "{}: the volts of the d.c. source are missing",
                    shown(&cell.text)
                ),
                form,
            );
            None
        }
    }
}
