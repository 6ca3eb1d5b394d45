//! Reads the tubes of a sheet and the descriptions of types the catalogue lacks.
//!
//! Types come from the catalogue or from `[tube."..."]` tables with the
//! catalogue's columns. An unknown type is a fault with the nearest types; a
//! type taken from the sheet is used with a notice.

use std::collections::HashMap;

use parts::{TUBE_COLUMNS, TubeType};
use toml_edit::Item;

use super::contents::SheetTube;
use super::messages::{listed, shown};
use super::names::{KnownTube, Named, Names};
use super::reader::{Cell, Reader};

const FORM: &str = "a row like `[\"V9\", \"6AU6\", \"sync amplifier\"]`: reference, type, job";

/// No type number is longer.
const LONGEST_TYPE: usize = 24;

/// Types described in the sheet itself.
#[derive(Default)]
pub(super) struct Described {
    by_name: HashMap<String, DescribedType>,
}

struct DescribedType {
    at: usize,
    name: String,
    /// `None` if the description holds faults.
    kind: Option<TubeType>,
    used: bool,
}

fn folded(type_name: &str) -> String {
    type_name
        .chars()
        .filter(|c| !c.is_whitespace() && *c != '-')
        .flat_map(char::to_uppercase)
        .collect()
}

/// Reads `[tube."6XX6"]` tables.
pub(super) fn read_descriptions(reader: &mut Reader<'_>, item: &Item, key: &Cell) -> Described {
    let mut described = Described::default();
    let Some(tables) = reader.table_of(item, key) else {
        return described;
    };
    for entry in reader.entries(tables) {
        let Some(table) = reader.table_of(entry.item, &entry.key) else {
            continue;
        };
        let name = entry.key.text.trim().to_string();
        let mut columns: Vec<(String, String)> = Vec::new();
        let mut cells: HashMap<String, (Cell, Option<Cell>)> = HashMap::new();
        let mut all_read = true;
        for column in reader.entries(table) {
            let Some(cell) = column
                .item
                .as_value()
                .and_then(|value| reader.cell(value, column.key.at()))
            else {
                reader.wrong_shape(
                    column.key.at(),
                    column.item.type_name(),
                    &column.key.text,
                    "a text or a number, as in the catalogue",
                );
                all_read = false;
                continue;
            };
            columns.push((column.key.text.clone(), cell.text.clone()));
            cells.insert(column.key.text.clone(), (column.key, Some(cell)));
        }
        let pairs: Vec<(&str, &str)> = columns
            .iter()
            .map(|(column, text)| (column.as_str(), text.as_str()))
            .collect();
        let kind = match TubeType::from_columns(&name, &pairs) {
            Ok(kind) => all_read.then_some(kind),
            Err(faults) => {
                for fault in faults {
                    let at = match cells.get(&fault.column) {
                        Some((_, Some(cell))) if TUBE_COLUMNS.contains(&fault.column.as_str()) => {
                            cell.at()
                        }
                        Some((key, _)) => key.at(),
                        None => entry.key.at(),
                    };
                    reader.findings.fault(
                        at,
                        format!(
                            "column {} of {}: {}",
                            shown(&fault.column),
                            shown(&name),
                            fault.text
                        ),
                        fault.hint,
                    );
                }
                None
            }
        };
        if reader.catalogue.tube(&name).is_some() {
            reader.findings.notice(
                entry.key.at(),
                format!(
                    "{} is in the catalogue too; the sheet's own description is used",
                    shown(&name)
                ),
                "leave the description out if the catalogue's is right",
            );
        }
        described.by_name.insert(
            folded(&name),
            DescribedType {
                at: entry.key.at(),
                name,
                kind,
                used: false,
            },
        );
    }
    described
}

impl Described {
    /// Notices on what was described: used, or not needed.
    pub(super) fn finish(self, reader: &mut Reader<'_>) {
        let mut all: Vec<DescribedType> = self.by_name.into_values().collect();
        all.sort_by_key(|described| described.at);
        for described in all {
            let name = shown(&described.name);
            if !described.used {
                reader.findings.notice(
                    described.at,
                    format!("no tube of the sheet is a {name}"),
                    "the description is not used",
                );
            } else if described.kind.is_some() {
                reader.findings.notice(
                    described.at,
                    format!("{name} is used as the sheet describes it"),
                    "its figures are yours: no source stands behind them here",
                );
            }
        }
    }
}

/// Reads `tubes`; enters each reference. Gives the tubes, and the first byte of each row that entered one.
pub(super) fn read_tubes(
    reader: &mut Reader<'_>,
    item: &Item,
    key: &Cell,
    described: &mut Described,
    names: &mut Names,
) -> (Vec<SheetTube>, Vec<usize>) {
    let mut tubes = Vec::new();
    let mut starts = Vec::new();
    let mut looked_up = LookedUp::default();
    for (row, row_at) in reader.rows_of(item, key, FORM) {
        let cells = reader.cells_of(row, row_at, &["reference", "type", "job"]);
        if !(2..=3).contains(&cells.len()) {
            reader.findings.fault(
                row_at,
                format!("the row of a tube has {} cells", cells.len()),
                format!("expected {FORM}; the job may be left out"),
            );
            if cells.len() < 2 {
                continue;
            }
        }
        let mut cells = cells.into_iter();
        let reference = cells.next().flatten();
        let type_cell = cells.next().flatten();
        let job = cells
            .next()
            .flatten()
            .map(|cell| cell.text.trim().to_string())
            .unwrap_or_default();
        let kind = type_cell
            .as_ref()
            .and_then(|cell| tube_type(reader, cell, described, &mut looked_up));
        let kind = kind.map(|kind| match damper_by_job(&kind, &job) {
            Some(damper) => {
                let at = type_cell.as_ref().map_or(row_at, Cell::at);
                reader.findings.notice(
                    at,
                    format!("a {} whose job is the damper: its plates count as one, and it lifts the boosted line", kind.name),
                    "say `rectifier` in its job where it feeds a supply",
                );
                damper
            }
            None => kind,
        });
        let Some(reference) = reference else { continue };
        if !good_reference(reader, &reference) {
            continue;
        }
        if !names.enter(reader, &reference, Named::Tube(names.tubes.len())) {
            continue;
        }
        let spelled = reference.text.trim().to_string();
        starts.push(reference.at());
        names.tubes.push(KnownTube {
            reference: spelled.clone(),
            kind: kind.clone(),
        });
        if let Some(kind) = kind {
            tubes.push(SheetTube {
                reference: spelled,
                kind,
                job,
                line: reader.line(row_at),
            });
        }
    }
    (tubes, starts)
}

/// A rectifier's type that works as the damper, as it did before there were dampers.
fn damper_by_job(kind: &TubeType, job: &str) -> Option<TubeType> {
    let job = job.to_lowercase();
    let is_damper = job.contains("damper") && !job.contains("rectifier");
    is_damper.then(|| kind.as_damper()).flatten()
}

fn good_reference(reader: &mut Reader<'_>, cell: &Cell) -> bool {
    if cell.is_blank() {
        reader.findings.fault(
            cell.at(),
            "the tube has no reference",
            "expected a reference like `V9`",
        );
        return false;
    }
    let text = cell.text.trim();
    if let Some(offset) =
        text.find(|c: char| c.is_whitespace() || c.is_control() || matches!(c, '.' | ','))
    {
        let start = cell.text.len() - cell.text.trim_start().len();
        reader.fault_inside(
            cell,
            start + offset,
            format!("{} is no reference of a tube", shown(text)),
            "a tube's reference has no dot, comma or space, so that `V9.1` can be a pin of it",
        );
        return false;
    }
    true
}

/// Unknown types for which the catalogue is searched for the nearest.
const MOST_SEARCHES: usize = 100;

/// Types looked up already, by their folded names: each is sought and told of once.
#[derive(Default)]
struct LookedUp {
    found: HashMap<String, Option<TubeType>>,
    searches: usize,
}

fn tube_type(
    reader: &mut Reader<'_>,
    cell: &Cell,
    described: &mut Described,
    looked_up: &mut LookedUp,
) -> Option<TubeType> {
    let name = cell.text.trim();
    let key = folded(name);
    if let Some(own) = described.by_name.get_mut(&key) {
        own.used = true;
        return own.kind.clone();
    }
    if name.is_empty() {
        reader.findings.fault(
            cell.at(),
            "the tube has no type",
            "expected the type printed on the glass, `6AU6`",
        );
        return None;
    }
    match looked_up.found.get(&key) {
        Some(Some(found)) => return Some(found.clone()),
        Some(None) => {}
        None => {
            let found = if name.chars().count() > LONGEST_TYPE {
                None
            } else {
                reader.catalogue.tube_match(name)
            };
            if let Some(note) = found.as_ref().and_then(|found| found.note.clone()) {
                reader
                    .findings
                    .notice(cell.at(), note, "the type printed on the glass counts");
            }
            let found = found.map(|found| found.tube.clone());
            looked_up.found.insert(key, found.clone());
            if found.is_some() {
                return found;
            }
        }
    }
    let mut nearest: Vec<String> = Vec::new();
    if name.chars().count() <= LONGEST_TYPE && looked_up.searches < MOST_SEARCHES {
        looked_up.searches += 1;
        nearest.extend(
            reader
                .catalogue
                .nearest_tubes(name)
                .into_iter()
                .take(3)
                .map(|near| format!("`{near}`")),
        );
    }
    let near = if nearest.is_empty() {
        String::new()
    } else {
        format!("nearest: {}; ", listed(&nearest, "or"))
    };
    reader.findings.fault(
        cell.at(),
        format!("the catalogue has no tube type {}", shown(name)),
        format!(
            "{near}or describe it in the sheet under `[tube.\"{}\"]` with the catalogue's columns",
            short(name)
        ),
    );
    None
}

fn short(name: &str) -> String {
    name.chars()
        .filter(|c| !c.is_control() && *c != '"')
        .take(LONGEST_TYPE)
        .collect()
}
