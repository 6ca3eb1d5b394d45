//! Reads the rows of `heaters`: where their feed is and which tubes hang on it.
//!
//! A tube is named in one row only; a part in a string is no entry of the row.
//! Each fault is told at its cell, and the row still counts in the wiring.

use toml_edit::{Item, TableLike, Value};

use super::contents::{HeaterArrangement, HeaterRow};
use super::messages::shown;
use super::names::{Named, Names};
use super::read_rows::{Link, LinkKind, Rows};
use super::reader::{Cell, Reader};

const HEATER_FORM: &str = "a row like `{ from = \"heater\", to = \"chassis\", parallel = [\"V9\", \"V20\"] }`, or with `series`";

/// Reads `heaters`, rows in one list or tables of their own.
pub(super) fn read_heaters(
    reader: &mut Reader<'_>,
    item: &Item,
    key: &Cell,
    names: &mut Names,
    rows: &mut Rows,
) {
    if let Some(tables) = item.as_array_of_tables() {
        for table in tables {
            let at = table.span().map_or(key.at(), |span| span.start);
            read_heater_row(reader, table, at, names, rows);
        }
        return;
    }
    let Some(array) = reader.array_of(item, key, "rows between `[` and `]`") else {
        rows.incomplete = true;
        return;
    };
    for value in array {
        let at = value.span().map_or(key.at(), |span| span.start);
        match value.as_inline_table() {
            Some(table) => read_heater_row(reader, table, at, names, rows),
            None => {
                rows.incomplete = true;
                let read = value.type_name();
                reader.wrong_shape(at, read, "row of heaters", HEATER_FORM);
            }
        }
    }
}

fn read_heater_row(
    reader: &mut Reader<'_>,
    table: &dyn TableLike,
    at: usize,
    names: &mut Names,
    rows: &mut Rows,
) {
    let (mut from, mut to) = (None, None);
    let mut groups: Vec<(HeaterArrangement, Cell, Vec<String>)> = Vec::new();
    let mut good = true;
    for entry in reader.entries(table) {
        match entry.key.text.as_str() {
            end @ ("from" | "to") => {
                let place = reader
                    .text_of(entry.item, &entry.key, "a place")
                    .and_then(|cell| names.read_place(reader, &cell));
                good &= place.is_some();
                *(if end == "from" { &mut from } else { &mut to }) = Some(place);
            }
            word @ ("parallel" | "series") => {
                let arrangement = if word == "series" {
                    HeaterArrangement::Series
                } else {
                    HeaterArrangement::Parallel
                };
                let Some(array) = reader.array_of(
                    entry.item,
                    &entry.key,
                    "references of tubes between `[` and `]`",
                ) else {
                    good = false;
                    continue;
                };
                let mut tubes = Vec::with_capacity(array.len());
                for value in array {
                    match heated_tube(reader, value, entry.key.at(), names) {
                        Some(tube) => tubes.push(tube),
                        None => good = false,
                    }
                }
                if array.is_empty() {
                    good = false;
                    reader.findings.fault(
                        entry.key.at(),
                        "the row of heaters names no tube",
                        format!("expected {HEATER_FORM}"),
                    );
                }
                groups.push((arrangement, entry.key.clone(), tubes));
            }
            _ => {
                good = false;
                reader.unknown_key(
                    &entry.key,
                    "a row of heaters",
                    &["from", "to", "parallel", "series"],
                );
            }
        }
    }
    for (end, word) in [(&from, "from"), (&to, "to")] {
        if end.is_none() {
            good = false;
            reader.findings.fault(
                at,
                format!("the row of heaters has no `{word}`"),
                format!("expected {HEATER_FORM}"),
            );
        }
    }
    let mut groups = groups.into_iter();
    let group = groups.next();
    if group.is_none() {
        reader.findings.fault(
            at,
            "the row of heaters has neither `parallel` nor `series`",
            format!("expected {HEATER_FORM}"),
        );
    }
    for (_, key, _) in groups {
        good = false;
        reader.findings.fault(
            key.at(),
            "the row of heaters is parallel and series at once",
            "write two rows with a place between them",
        );
    }
    let (from, to) = (from.flatten(), to.flatten());
    rows.links.push(Link {
        name: "heaters".to_string(),
        at,
        kind: LinkKind::Heaters,
        ends: [from.clone(), to.clone()],
        third: None,
    });
    match (group, from, to) {
        (Some((arrangement, _, tubes)), Some(from), Some(to)) if good => {
            rows.heaters.push(HeaterRow {
                from,
                to,
                arrangement,
                tubes,
                line: reader.line(at),
            });
        }
        _ => rows.incomplete = true,
    }
}

/// The tube that an entry of a row of heaters names.
fn heated_tube(
    reader: &mut Reader<'_>,
    value: &Value,
    fallback_at: usize,
    names: &mut Names,
) -> Option<String> {
    let at = value.span().map_or(fallback_at, |span| span.start);
    let Some(text) = value.as_str() else {
        let expected =
            "the reference of a tube, `\"V9\"`; a string inside a parallel row is a row of its own";
        reader.wrong_shape(at, value.type_name(), "heater", expected);
        return None;
    };
    match names.find(text) {
        Some((_, Named::Tube(index))) => {
            let line = reader.line(at);
            if let Some(first) = names.enter_heated(index, line) {
                reader.findings.fault(
                    at,
                    format!(
                        "{} is heated twice: line {first} heats it already",
                        shown(text.trim())
                    ),
                    "a heater has one feed; name the tube in one row only",
                );
                return None;
            }
            names.tubes.get(index).map(|tube| tube.reference.clone())
        }
        Some((spelled, _)) => {
            let hint = "a resistor in a string is an ordinary part: write two rows of heaters with the part between their places";
            let text = format!("{} is no tube", shown(spelled));
            reader.findings.fault(at, text, hint);
            None
        }
        None => {
            let near = reader
                .speller
                .did_you_mean(text, names.tubes.iter().map(|tube| tube.reference.as_str()));
            reader.findings.fault(
                at,
                format!("the sheet has no tube {}", shown(text.trim())),
                format!("{near}enter the tube in `tubes`"),
            );
            None
        }
    }
}
