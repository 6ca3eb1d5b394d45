//! Reads `[state]`: what was replaced, re-formed, cut loose, left as made, measured.
//!
//! References are those of the sheet's rows. A measured value must be of the
//! kind its part has: ohms of a resistor or winding, mfd of a capacitor (or ohms,
//! its leakage), ohms or henries of a coil. A winding is named by transformer and
//! winding: `"T1 primary" = "4.3 ohm"`.

use std::collections::HashMap;

use quantity::{Expect, ItemKind, Unit};
use toml_edit::Item;

use super::contents::{Measured, MeasuredValue, State};
use super::messages::shown;
use super::names::{Named, Names};
use super::part_kind::PartKind;
use super::read_rows::Rows;
use super::reader::{Cell, Reader};
use super::value_slots::{items_of, limits};

const KEYS: &[&str] = &["replaced", "re_formed", "cut_loose", "original", "measured"];

/// Reads `[state]`.
pub(super) fn read_state(
    reader: &mut Reader<'_>,
    item: &Item,
    key: &Cell,
    names: &Names,
    rows: &Rows,
) -> Option<State> {
    let table = reader.table_of(item, key)?;
    let mut state = State::default();
    let mut told: HashMap<String, &'static str> = HashMap::new();
    for entry in reader.entries(table) {
        match entry.key.text.as_str() {
            "replaced" => {
                state.replaced =
                    references(reader, entry.item, &entry.key, "replaced", names, &mut told)
            }
            "re_formed" => {
                state.re_formed = references(
                    reader,
                    entry.item,
                    &entry.key,
                    "re_formed",
                    names,
                    &mut told,
                );
            }
            "cut_loose" => {
                state.cut_loose = references(
                    reader,
                    entry.item,
                    &entry.key,
                    "cut_loose",
                    names,
                    &mut told,
                )
            }
            "original" => {
                state.original =
                    references(reader, entry.item, &entry.key, "original", names, &mut told)
            }
            "measured" => state.measured = measured(reader, entry.item, &entry.key, names, rows),
            _ => reader.unknown_key(&entry.key, "the state", KEYS),
        }
    }
    Some(state)
}

fn references(
    reader: &mut Reader<'_>,
    item: &Item,
    key: &Cell,
    list: &'static str,
    names: &Names,
    told: &mut HashMap<String, &'static str>,
) -> Vec<String> {
    let form = "references between `[` and `]`: `[\"C1A\", \"C1B\"]`";
    let Some(array) = reader.array_of(item, key, form) else {
        return Vec::new();
    };
    let mut found = Vec::new();
    for value in array {
        let at = value.span().map_or(key.at(), |span| span.start);
        let Some(text) = value.as_str() else {
            reader.wrong_shape(at, value.type_name(), "reference", form);
            continue;
        };
        let Some((spelled, stands_for)) = names.find(text) else {
            let near = reader.speller.did_you_mean(text, names.all());
            reader.findings.fault(
                at,
                format!(
                    "{list}: the sheet has no part, tube or transformer {}",
                    shown(text.trim())
                ),
                format!("{near}name it as its own row does"),
            );
            continue;
        };
        if list == "re_formed"
            && !matches!(stands_for, Named::Part(None | Some(PartKind::Electrolytic)))
        {
            reader.findings.fault(
                at,
                format!("re_formed: {} is no electrolytic", shown(spelled)),
                "only electrolytics are re-formed",
            );
            continue;
        }
        match told.get(spelled).copied() {
            Some(other) if other == list => {
                reader.findings.notice(
                    at,
                    format!("{list}: {} is named twice", shown(spelled)),
                    "",
                );
                continue;
            }
            Some(other) if contradict(other, list) => {
                reader.findings.fault(
                    at,
                    format!("{} is named as {other} and as {list}", shown(spelled)),
                    "keep the one that holds now",
                );
                continue;
            }
            _ => {}
        }
        if list != "cut_loose" {
            told.insert(spelled.to_string(), list);
        }
        found.push(spelled.to_string());
    }
    found
}

/// A part as the maker fitted it is not replaced; a new one is not re-formed as found. Both may be cut loose.
fn contradict(one: &str, other: &str) -> bool {
    [one, other].contains(&"replaced") && [one, other].contains(&"original")
}

fn measured(
    reader: &mut Reader<'_>,
    item: &Item,
    key: &Cell,
    names: &Names,
    rows: &Rows,
) -> Vec<Measured> {
    let Some(table) = reader.table_of(item, key) else {
        return Vec::new();
    };
    let mut all = Vec::new();
    for entry in reader.entries(table) {
        let Some((reference, winding, kind)) = measured_thing(reader, &entry.key, names, rows)
        else {
            continue;
        };
        let cell = entry
            .item
            .as_value()
            .and_then(|value| reader.cell(value, entry.key.at()));
        let Some(cell) = cell else {
            let at = entry.item.span().map_or(entry.key.at(), |span| span.start);
            reader.wrong_shape(
                at,
                entry.item.type_name(),
                &entry.key.text,
                "the measured value, `\"5.3k\"`",
            );
            continue;
        };
        if let Some(value) = measured_value(reader, &cell, &reference, kind) {
            all.push(Measured {
                reference,
                winding,
                value,
                line: reader.line(entry.key.at()),
            });
        }
    }
    all
}

/// What can be measured of a part.
#[derive(Clone, Copy, PartialEq)]
enum Measurable {
    Ohms,
    FaradsOrLeakage(Expect),
    HenriesOrOhms,
    /// Its kind was not understood; that fault stands already.
    Unclear,
}

fn measured_thing(
    reader: &mut Reader<'_>,
    key: &Cell,
    names: &Names,
    rows: &Rows,
) -> Option<(String, Option<String>, Measurable)> {
    let text = key.text.trim();
    if let Some((spelled, stands_for)) = names.find(text) {
        let spelled = spelled.to_string();
        let kind = match stands_for {
            Named::Tube(_) => {
                reader.findings.fault(
                    key.at(),
                    format!("measured: {} is a tube", shown(&spelled)),
                    "measured values belong to parts and windings",
                );
                return None;
            }
            Named::Transformer => {
                reader.findings.fault(
                    key.at(),
                    format!("measured: which winding of {} is not told", shown(&spelled)),
                    format!("write `\"{spelled} primary\" = \"4.3 ohm\"`, with the winding's name"),
                );
                return None;
            }
            Named::Part(None) => Measurable::Unclear,
            Named::Part(Some(kind)) => match measurable(kind) {
                Some(measurable) => measurable,
                None => {
                    let text = format!("measured: {} has no value to measure", kind.with_article());
                    reader.findings.fault(key.at(), text, "leave it out");
                    return None;
                }
            },
        };
        return Some((spelled, None, kind));
    }
    if let Some((transformer, winding)) = split_winding(text, names) {
        let is_it = |row: &&super::contents::SheetWinding| {
            row.transformer == transformer && row.name.eq_ignore_ascii_case(&winding)
        };
        if let Some(row) = rows.windings.iter().find(is_it) {
            return Some((transformer, Some(row.name.clone()), Measurable::Ohms));
        }
        if rows.incomplete {
            return None;
        }
        let windings = rows
            .windings
            .iter()
            .filter(|row| row.transformer == transformer)
            .map(|row| row.name.as_str());
        let near = reader
            .speller
            .nearest(&winding, windings)
            .map(|near| format!("did you mean `{transformer} {near}`? "));
        reader.findings.fault(
            key.at(),
            format!(
                "measured: {} has no winding {}",
                shown(&transformer),
                shown(&winding)
            ),
            format!("{}name it as its own row does", near.unwrap_or_default()),
        );
        return None;
    }
    let near = reader.speller.did_you_mean(text, names.all());
    reader.findings.fault(
        key.at(),
        format!("measured: the sheet has no part {}", shown(text)),
        format!("{near}name it as its own row does"),
    );
    None
}

/// `T1 primary`: the transformer and the name of the winding.
fn split_winding(text: &str, names: &Names) -> Option<(String, String)> {
    text.match_indices(char::is_whitespace)
        .find_map(|(space, _)| {
            let (first, rest) = text.split_at(space);
            match names.find(first) {
                Some((spelled, Named::Transformer)) => {
                    Some((spelled.to_string(), super::place::plain_name(rest)))
                }
                _ => None,
            }
        })
}

fn measurable(kind: PartKind) -> Option<Measurable> {
    match kind {
        PartKind::Resistor
        | PartKind::Control
        | PartKind::Thermistor
        | PartKind::Ballast
        | PartKind::Fuse
        | PartKind::Lamp => Some(Measurable::Ohms),
        PartKind::Electrolytic => Some(Measurable::FaradsOrLeakage(Expect::Electrolytic)),
        PartKind::Paper | PartKind::MouldedPaper | PartKind::Film => {
            Some(Measurable::FaradsOrLeakage(Expect::PaperCapacitance))
        }
        PartKind::Mica | PartKind::Ceramic | PartKind::Trimmer => {
            Some(Measurable::FaradsOrLeakage(Expect::SmallCapacitance))
        }
        PartKind::Choke | PartKind::Coil | PartKind::FocusCoil | PartKind::Yoke => {
            Some(Measurable::HenriesOrOhms)
        }
        PartKind::Switch | PartKind::Plug => Some(Measurable::Ohms),
        PartKind::Selenium
        | PartKind::Silicon
        | PartKind::Crystal
        | PartKind::Neon
        | PartKind::Vdr
        | PartKind::Wire
        | PartKind::Load => None,
    }
}

fn measured_value(
    reader: &mut Reader<'_>,
    cell: &Cell,
    reference: &str,
    kind: Measurable,
) -> Option<MeasuredValue> {
    let (expect, form) = match kind {
        Measurable::Ohms => (Expect::Resistance, "ohms: `5.3k`"),
        Measurable::FaradsOrLeakage(expect) => (
            expect,
            "its capacitance, `0.047 mfd`, or the ohms of its leakage, `2 meg`",
        ),
        Measurable::HenriesOrOhms => (
            Expect::Anything,
            "its ohms, `88 ohm`, or its inductance, `3.2 H`",
        ),
        Measurable::Unclear => return None,
    };
    let items = items_of(reader, cell, expect)?;
    let value = match items.as_slice() {
        [only] => match (kind, &only.what) {
            (_, ItemKind::Ohms(ohms)) => Some(MeasuredValue::Ohms(*ohms)),
            (Measurable::FaradsOrLeakage(_), ItemKind::Farads(farads)) => {
                Some(MeasuredValue::Farads(*farads))
            }
            (Measurable::HenriesOrOhms, ItemKind::Henries(henries)) => {
                Some(MeasuredValue::Henries(*henries))
            }
            _ => None,
        },
        _ => None,
    };
    let possible = |value: &MeasuredValue| {
        let (number, unit) = match *value {
            MeasuredValue::Ohms(ohms) => (ohms, Unit::Ohms),
            MeasuredValue::Farads(farads) => (farads, Unit::Farads),
            MeasuredValue::Henries(henries) => (henries, Unit::Henries),
        };
        let (lowest, highest) = limits(unit);
        (lowest..=highest).contains(&number)
    };
    let value = value.filter(possible);
    if value.is_none() {
        reader.findings.fault(
            cell.at(),
            format!(
                "{} is no measured value of {}",
                shown(&cell.text),
                shown(reference)
            ),
            format!("expected {form}"),
        );
    }
    value
}
