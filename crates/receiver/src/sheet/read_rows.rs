//! Reads the rows of windings and parts, and keeps what joins the places.
//!
//! A row with a fault is left out of the sheet but not out of the wiring: its
//! places count when floating places and joined sources are looked for, so one
//! fault does not raise others. References are entered before any place is read.

use std::collections::{HashMap, HashSet};

use toml_edit::Item;

use super::contents::{HeaterRow, SheetPart, SheetWinding};
use super::messages::shown;
use super::names::{Named, Names};
use super::part_kind::{PartKind, PartValue};
use super::place::Place;
use super::read_heaters::read_heaters;
use super::read_load::{with_tubes, without_tubes};
use super::read_value::{read_value, read_winding_rating};
use super::reader::{Cell, Reader};

const WINDING_FORM: &str = "a row like `[\"T1\", \"plates 1\", \"325 V 31 ohm\", \"V14.4\", \"chassis\"]`: transformer, winding, rating, start, end";
const PART_FORM: &str = "a row like `[\"R31\", \"resistor\", \"4.7k 2 W 10%\", \"B+ main\", \"B+ 275\"]`: reference, kind, value, from, to, and the wiper or tap if there is one";

/// What joins two places, as far as it could be read; kept also for rows with faults.
#[derive(Debug, Clone)]
pub(super) struct Link {
    /// Reference, or transformer and winding.
    pub(super) name: String,
    pub(super) at: usize,
    pub(super) kind: LinkKind,
    pub(super) ends: [Option<Place>; 2],
    pub(super) third: Option<Place>,
}

/// What sort of thing joins the places.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum LinkKind {
    Wire,
    Part(Option<PartKind>),
    Winding {
        transformer: usize,
        volts: Option<f64>,
    },
    Heaters,
}

/// Windings, parts and heater rows of a sheet as they were read.
#[derive(Default)]
pub(super) struct Rows {
    pub(super) windings: Vec<SheetWinding>,
    pub(super) parts: Vec<SheetPart>,
    pub(super) heaters: Vec<HeaterRow>,
    pub(super) links: Vec<Link>,
    pub(super) transformers: Vec<String>,
    transformer_numbers: HashMap<String, usize>,
    winding_names: HashSet<(usize, String)>,
    /// Whether some row or place could not be read, so that the wiring is not whole.
    pub(super) incomplete: bool,
}

/// A row of parts whose reference and kind were read, its places not yet.
struct TypedPart {
    at: usize,
    reference: Option<Cell>,
    kind: Option<PartKind>,
    value: Option<Cell>,
    from: Option<Cell>,
    to: Option<Cell>,
    third: Option<Cell>,
    good: bool,
}

/// A row of windings, its places not yet read.
struct TypedWinding {
    at: usize,
    transformer: Option<Cell>,
    name: Option<Cell>,
    rating: Option<Cell>,
    start: Option<Cell>,
    end: Option<Cell>,
}

/// Reads `windings`, `parts` and `heaters`, whichever are there.
pub(super) fn read_rows(
    reader: &mut Reader<'_>,
    windings: Option<(&Item, &Cell)>,
    parts: Option<(&Item, &Cell)>,
    heaters: Option<(&Item, &Cell)>,
    names: &mut Names,
) -> Rows {
    let mut rows = Rows::default();
    let typed_windings = windings
        .map(|(item, key)| type_windings(reader, item, key, &mut rows))
        .unwrap_or_default();
    for typed in &typed_windings {
        if let Some(transformer) = &typed.transformer {
            names.enter(reader, transformer, Named::Transformer);
        }
    }
    let mut typed_parts = parts
        .map(|(item, key)| type_parts(reader, item, key, &mut rows))
        .unwrap_or_default();
    for typed in &mut typed_parts {
        if let Some(reference) = &typed.reference {
            typed.good &= names.enter(reader, reference, Named::Part(typed.kind));
        }
    }
    for typed in typed_windings {
        read_winding(reader, typed, names, &mut rows);
    }
    for typed in typed_parts {
        read_part(reader, typed, names, &mut rows);
    }
    if let Some((item, key)) = heaters {
        read_heaters(reader, item, key, names, &mut rows);
    }
    rows
}

fn type_windings(
    reader: &mut Reader<'_>,
    item: &Item,
    key: &Cell,
    rows: &mut Rows,
) -> Vec<TypedWinding> {
    let mut typed = Vec::new();
    let written = reader.rows_of(item, key, WINDING_FORM);
    rows.incomplete |= item.as_array().map(toml_edit::Array::len) != Some(written.len());
    for (row, at) in written {
        let cells = reader.cells_of(
            row,
            at,
            &["transformer", "winding", "rating", "start", "end"],
        );
        if cells.len() != 5 {
            rows.incomplete = true;
            let hint = if cells.len() == 6 {
                format!(
                    "expected {WINDING_FORM}; a tapped winding is two rows that meet at the tap"
                )
            } else {
                format!("expected {WINDING_FORM}")
            };
            reader.findings.fault(
                at,
                format!("the row of a winding has {}", cells_text(cells.len())),
                hint,
            );
            continue;
        }
        let mut cells = cells.into_iter();
        let mut next = || cells.next().flatten();
        typed.push(TypedWinding {
            at,
            transformer: reference_of(reader, next(), at, "the winding has no transformer"),
            name: next(),
            rating: next(),
            start: next(),
            end: next(),
        });
    }
    typed
}

fn type_parts(reader: &mut Reader<'_>, item: &Item, key: &Cell, rows: &mut Rows) -> Vec<TypedPart> {
    let mut typed = Vec::new();
    let written = reader.rows_of(item, key, PART_FORM);
    rows.incomplete |= item.as_array().map(toml_edit::Array::len) != Some(written.len());
    for (row, at) in written {
        let cells = reader.cells_of(
            row,
            at,
            &["reference", "kind", "value", "from", "to", "third place"],
        );
        if !(5..=6).contains(&cells.len()) {
            rows.incomplete = true;
            reader.findings.fault(
                at,
                format!("the row of a part has {}", cells_text(cells.len())),
                format!("expected {PART_FORM}"),
            );
            continue;
        }
        let mut cells = cells.into_iter();
        let mut next = || cells.next().flatten();
        let reference = reference_of(reader, next(), at, "the part has no reference");
        let kind_cell = next();
        let (value, from, to, third) = (next(), next(), next(), next());
        let kind = kind_cell.as_ref().and_then(|cell| part_kind(reader, cell));
        let good = reference.is_some() && kind.is_some() && value.is_some();
        typed.push(TypedPart {
            at,
            reference,
            kind,
            value,
            from,
            to,
            third,
            good,
        });
    }
    typed
}

fn cells_text(count: usize) -> String {
    match count {
        0 => "no cells".to_string(),
        1 => "1 cell".to_string(),
        _ => format!("{count} cells"),
    }
}

/// A reference that is fit to be named elsewhere.
fn reference_of(
    reader: &mut Reader<'_>,
    cell: Option<Cell>,
    row_at: usize,
    empty: &str,
) -> Option<Cell> {
    let cell = cell?;
    if cell.is_blank() {
        reader.findings.fault(
            cell.at().max(row_at),
            empty,
            "expected a reference like `R31`",
        );
        return None;
    }
    if let Some(offset) = cell.text.find(|c: char| c == ',' || c.is_control()) {
        let text = format!("{} is no reference", shown(cell.text.trim()));
        reader.fault_inside(&cell, offset, text, "a reference has no comma in it");
        return None;
    }
    Some(cell)
}

fn part_kind(reader: &mut Reader<'_>, cell: &Cell) -> Option<PartKind> {
    if let Some(kind) = PartKind::named(&cell.text) {
        return Some(kind);
    }
    let text = if cell.is_blank() {
        "the part has no kind".to_string()
    } else {
        format!("unknown kind of part {}", shown(cell.text.trim()))
    };
    let meant = other_word(cell.text.trim()).or_else(|| {
        reader
            .speller
            .nearest(&cell.text, PartKind::ALL.iter().map(|kind| kind.name()))
    });
    let near = meant
        .map(|meant| format!("did you mean `{meant}`? "))
        .unwrap_or_default();
    if let Some((_, hint)) = ELSEWHERE
        .iter()
        .find(|(word, _)| word.eq_ignore_ascii_case(cell.text.trim()))
    {
        reader.findings.fault(cell.at(), text, *hint);
        return None;
    }
    let all: Vec<&str> = PartKind::ALL.iter().map(|kind| kind.name()).collect();
    reader.findings.fault(
        cell.at(),
        text,
        format!("{near}kinds are {}", all.join(", ")),
    );
    None
}

/// What is no row of `parts`, and where it belongs.
const ELSEWHERE: &[(&str, &str)] = &[
    (
        "transformer",
        "a transformer is one row of `windings` for each of its windings",
    ),
    (
        "autotransformer",
        "an autotransformer is rows of `windings` that meet at its tap",
    ),
    ("winding", "windings stand in `windings`"),
    ("tube", "tubes stand in `tubes`"),
    ("valve", "tubes stand in `tubes`"),
    ("heater", "heaters stand in `heaters`"),
];

/// Words a restorer may use instead of the sheet's.
fn other_word(word: &str) -> Option<&'static str> {
    const OTHERS: &[(&str, &str)] = &[
        ("potentiometer", "control"),
        ("pot", "control"),
        ("rheostat", "control"),
        ("varistor", "vdr"),
        ("voltage-dependent resistor", "vdr"),
        ("ntc", "thermistor"),
        ("globar", "thermistor"),
        ("capacitor", "paper"),
        ("condenser", "paper"),
        ("cap", "paper"),
        ("filter", "electrolytic"),
        ("molded-paper", "moulded-paper"),
        ("molded paper", "moulded-paper"),
        ("polyester", "film"),
        ("mylar", "film"),
        ("polypropylene", "film"),
        ("disc", "ceramic"),
        ("disk", "ceramic"),
        ("inductor", "coil"),
        ("reactor", "choke"),
        ("field", "choke"),
        ("speaker-field", "choke"),
        ("focus", "focus-coil"),
        ("deflection-coil", "yoke"),
        ("rectifier", "selenium"),
        ("diode", "silicon"),
        ("germanium", "crystal"),
        ("germanium diode", "crystal"),
        ("detector", "crystal"),
        ("phase diode", "crystal"),
        ("neon lamp", "neon"),
        ("glow lamp", "neon"),
        ("interlock", "plug"),
        ("connector", "plug"),
        ("jumper", "wire"),
        ("lead", "wire"),
        ("bulb", "lamp"),
        ("breaker", "fuse"),
    ];
    OTHERS
        .iter()
        .find(|(other, _)| other.eq_ignore_ascii_case(word))
        .map(|(_, kind)| *kind)
}

fn read_winding(reader: &mut Reader<'_>, typed: TypedWinding, names: &mut Names, rows: &mut Rows) {
    let start = typed
        .start
        .as_ref()
        .and_then(|cell| names.read_place(reader, cell));
    let end = typed
        .end
        .as_ref()
        .and_then(|cell| names.read_place(reader, cell));
    let rating = typed
        .rating
        .as_ref()
        .and_then(|cell| read_winding_rating(reader, cell));
    let (Some(transformer_cell), Some(name_cell)) = (typed.transformer, typed.name) else {
        rows.incomplete = true;
        return;
    };
    let written = transformer_cell.text.trim();
    let transformer = match names.find(written) {
        Some((spelled, Named::Transformer)) => spelled.to_string(),
        _ => written.to_string(),
    };
    let name = super::place::plain_name(&name_cell.text);
    if name.is_empty() {
        reader.findings.fault(
            name_cell.at(),
            "the winding has no name",
            "expected a name like `primary` or `plates 1`",
        );
        rows.incomplete = true;
        return;
    }
    let next = rows.transformers.len();
    let index = *rows
        .transformer_numbers
        .entry(transformer.clone())
        .or_insert(next);
    if index == next {
        rows.transformers.push(transformer.clone());
    }
    if !rows
        .winding_names
        .insert((index, name.to_ascii_lowercase()))
    {
        let text = format!("{} has two windings {}", shown(&transformer), shown(&name));
        reader.findings.fault(
            typed.at,
            text,
            "give each its own name, `plates 1` and `plates 2`",
        );
        rows.incomplete = true;
    }
    rows.links.push(Link {
        name: format!("{transformer} {name}"),
        at: typed.at,
        kind: LinkKind::Winding {
            transformer: index,
            volts: rating.and_then(|rating| rating.volts),
        },
        ends: [start.clone(), end.clone()],
        third: None,
    });
    let (Some(rating), Some(start), Some(end)) = (rating, start, end) else {
        rows.incomplete = true;
        return;
    };
    rows.windings.push(SheetWinding {
        transformer,
        name,
        volts: rating.volts,
        ohms: rating.ohms,
        rated_amperes: rating.rated_amperes,
        idle_amperes: rating.idle_amperes,
        idle_watts: rating.idle_watts,
        start,
        end,
        line: reader.line(typed.at),
    });
}

fn read_part(reader: &mut Reader<'_>, typed: TypedPart, names: &mut Names, rows: &mut Rows) {
    let from = typed
        .from
        .as_ref()
        .and_then(|cell| names.read_place(reader, cell));
    let to = typed
        .to
        .as_ref()
        .and_then(|cell| names.read_place(reader, cell));
    // An empty third cell says that there is none.
    let third_cell = typed.third.filter(|cell| !cell.is_blank());
    let third = third_cell
        .as_ref()
        .and_then(|cell| names.read_place(reader, cell));
    let mut good = typed.good && third.is_some() == third_cell.is_some();
    if let (Some(kind), Some(cell)) = (typed.kind, &third_cell)
        && !kind.may_have_third_place()
    {
        good = false;
        reader.findings.fault(
            cell.at(),
            format!("{} has no third place", kind.with_article()),
            if kind == PartKind::Crystal {
                "a twin diode is two rows, one for each half, that meet at their common place"
            } else {
                "a third place is the wiper of a control or the tap of a resistor or coil"
            },
        );
    }
    let value = match (typed.kind, &typed.value) {
        (Some(PartKind::Load), Some(cell)) => {
            let (bare, tubes) = without_tubes(cell);
            read_value(reader, PartKind::Load, &bare)
                .and_then(|value| with_tubes(reader, names, cell, &tubes, value))
        }
        (Some(kind), Some(cell)) => read_value(reader, kind, cell),
        _ => None,
    };
    let name = typed
        .reference
        .as_ref()
        .map(|cell| cell.text.trim().to_string())
        .unwrap_or_default();
    rows.links.push(Link {
        name: name.clone(),
        at: typed.reference.as_ref().map_or(typed.at, Cell::at),
        kind: if typed.kind == Some(PartKind::Wire) {
            LinkKind::Wire
        } else {
            LinkKind::Part(typed.kind)
        },
        ends: [from.clone(), to.clone()],
        third: third.clone(),
    });
    let (true, Some(value), Some(from), Some(to)) = (good, value, from, to) else {
        rows.incomplete = true;
        return;
    };
    notice_share(reader, &value, third.is_some(), &name, typed.value.as_ref());
    rows.parts.push(SheetPart {
        reference: name,
        value,
        from,
        to,
        third,
        line: reader.line(typed.at),
    });
}

/// A wiper without its share, a share without its wiper.
fn notice_share(
    reader: &mut Reader<'_>,
    value: &PartValue,
    has_third: bool,
    name: &str,
    cell: Option<&Cell>,
) {
    let share = match value {
        PartValue::Control { at, .. }
        | PartValue::Resistor { at, .. }
        | PartValue::Coil { at, .. } => *at,
        _ => return,
    };
    let at = cell.map_or(0, Cell::at);
    let is_control = matches!(value, PartValue::Control { .. });
    match (has_third, share) {
        (true, None) => {
            let (what, hint) = if is_control {
                (
                    "wiper",
                    "measure from `from` to the wiper and write the share, `at 0.4`; until then what hangs on the wiper cannot be told",
                )
            } else {
                (
                    "tap",
                    "measure from `from` to the tap and write the share, `at 0.4`; until then what hangs on the tap cannot be told",
                )
            };
            reader.findings.notice(
                at,
                format!("{name}: where its {what} stands is not told"),
                hint,
            );
        }
        (false, Some(_)) => {
            let what = if is_control { "wiper" } else { "tap" };
            reader.findings.notice(
                at,
                format!("{name}: the share is told but no place for the {what}"),
                format!("a sixth cell names the place of the {what}; without it the part counts from end to end"),
            );
        }
        _ => {}
    }
}
