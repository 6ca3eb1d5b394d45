//! The tables of the present sheet in the fields of a form: rows of heaters, and `[bench]`, what the restorer has.
//!
//! Fields hold what the sheet says without its quotes, the elements of a list with commas between. A field that says
//! what it said before changes nothing. Fails for a text that is no sheet, for a field that no value can be made of,
//! and as taking in a sheet does.

use receiver::sheet_edit::{
    KeyChange, KeyValue, NewRow, RowGroup, SheetTable, TableKey, change_keys, insert_rows, keys_of,
    quoted,
};

use crate::change_sheet::{checked_change, edit_trouble};
use crate::present_sheet::{PresentSheet, SheetRow, byte_of, take_in_changed};
use crate::read_sheet_file::SheetFile;
use crate::restoration::Entering;
use crate::trouble::Trouble;
use crate::view::{FaultView, RecordedView};

/// How the tubes of a row of heaters hang on their feed, as the sheet says it.
pub const HEATER_WAYS: [&str; 2] = ["parallel", "series"];

/// How a key of `[bench]` is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Written {
    Number,
    Numbers,
    Text,
    Texts,
    Choice,
}

/// The keys of `[bench]`, in the order of the manual.
const BENCH: [(&str, Written); 6] = [
    ("lamps", Written::Numbers),
    ("line_volts", Written::Number),
    ("isolation_va", Written::Number),
    ("variable_transformer", Written::Choice),
    ("meters", Written::Texts),
    ("dc_source", Written::Text),
];

/// What a field of `[bench]` says: its key and its text.
pub type BenchField = (&'static str, String);

/// The fields of `[bench]`; empty where the sheet says nothing.
pub fn bench_fields(sheet: &PresentSheet) -> Result<Vec<BenchField>, Trouble> {
    let keys = keys_of(&sheet.text, SheetTable::Bench)
        .map_err(|error| edit_trouble(&sheet.file(), error))?;
    let says = |key: &str| keys.iter().find(|own| own.key == key).map(said);
    Ok(BENCH
        .iter()
        .map(|(key, _)| (*key, says(key).unwrap_or_default()))
        .collect())
}

/// Changes `[bench]` to what was typed and takes the sheet in anew. What is new to notice comes back with the entry.
pub fn change_bench(
    entering: &Entering<'_>,
    made_from: &str,
    typed: impl Fn(&str) -> String,
) -> Result<RecordedView, Trouble> {
    take_in_changed(entering, made_from, |sheet| {
        let mut changes = Vec::new();
        for ((key, was), (_, written)) in bench_fields(sheet)?.into_iter().zip(BENCH) {
            let text = typed(key);
            let text = text.trim();
            if text != was {
                changes.push(KeyChange {
                    key: key.to_owned(),
                    value: value_of(written, text),
                });
            }
        }
        let text = change_keys(&sheet.text, SheetTable::Bench, &changes);
        let text = text.map_err(|error| edit_trouble(&sheet.file(), error))?;
        let notices = checked_change(&sheet.file(), &sheet.text, &text)?;
        Ok((text, notices))
    })
}

/// Which field of `[bench]` each fault of a refused change is about; `None` for one that is elsewhere.
pub fn bench_of_faults(trouble: &Trouble) -> Vec<(Option<&'static str>, FaultView)> {
    let (file, faults) = match trouble {
        Trouble::Sheet { file, faults, .. } => (Some(file), faults),
        Trouble::Input { faults } => (None, faults),
        _ => return Vec::new(),
    };
    let text = file.map(SheetFile::text).unwrap_or_default();
    let keys = keys_of(&text, SheetTable::Bench).unwrap_or_default();
    let place = |fault: &FaultView| {
        let byte = byte_of(&text, fault.line?, fault.column?)?;
        let own = keys.iter().find(|own| own.span.contains(&byte))?;
        let known = BENCH.iter().find(|(key, _)| *key == own.key)?;
        Some(known.0)
    };
    faults.iter().map(|own| (place(own), own.clone())).collect()
}

/// Rows of heaters with their cells: from, to, how the tubes hang on it, the tubes.
pub(crate) fn heater_rows(
    sheet: &PresentSheet,
    lines: impl Iterator<Item = usize>,
) -> Result<Vec<SheetRow>, Trouble> {
    let mut rows = Vec::new();
    for (row, line) in lines.enumerate() {
        let keys = keys_of(&sheet.text, SheetTable::Heaters(row))
            .map_err(|error| edit_trouble(&sheet.file(), error))?;
        let says = |key: &str| keys.iter().find(|own| own.key == key).map(said);
        let way = HEATER_WAYS
            .iter()
            .find(|way| keys.iter().any(|own| own.key == **way));
        let cells = vec![
            says("from").unwrap_or_default(),
            says("to").unwrap_or_default(),
            way.map_or_else(String::new, |way| (*way).to_owned()),
            way.and_then(|way| says(way)).unwrap_or_default(),
        ];
        rows.push(SheetRow {
            row,
            line,
            cells,
            state: Default::default(),
        });
    }
    Ok(rows)
}

/// The text with a row of heaters changed to these cells, or put in where `was` is none.
pub(crate) fn with_heaters(
    sheet: &PresentSheet,
    was: Option<&SheetRow>,
    cells: &[String],
) -> Result<String, Trouble> {
    let cell = |column: usize| cells.get(column).map_or("", |own| own.trim());
    let way = HEATER_WAYS.iter().find(|way| **way == cell(2));
    let way = way.ok_or_else(|| {
        Trouble::input(
            "how the tubes hang on their feed was not said",
            "choose side by side, or one after the other",
        )
    })?;
    let tubes = parted(cell(3), true);
    let edited = match was {
        None => {
            let row = NewRow::Heaters {
                from: cell(0).to_owned(),
                to: cell(1).to_owned(),
                in_series: *way == "series",
                tubes: tubes.clone(),
            };
            let group = RowGroup {
                heading: String::new(),
                rows: vec![row],
            };
            insert_rows(&sheet.text, &group).map(|done| done.text)
        }
        Some(was) => {
            let old = |column: usize| was.cells.get(column).map_or("", String::as_str);
            let mut changes = Vec::new();
            let mut change = |key: &str, value: KeyValue| {
                changes.push(KeyChange {
                    key: key.to_owned(),
                    value,
                });
            };
            for (column, key) in [(0, "from"), (1, "to")] {
                if cell(column) != old(column).trim() {
                    change(key, KeyValue::One(quoted(cell(column))));
                }
            }
            let is_other_way = *way != old(2);
            if is_other_way || tubes != parted(old(3), true) {
                if is_other_way && !old(2).is_empty() {
                    change(old(2), KeyValue::None);
                }
                change(
                    way,
                    KeyValue::List(tubes.iter().map(|own| quoted(own)).collect()),
                );
            }
            change_keys(&sheet.text, SheetTable::Heaters(was.row), &changes)
        }
    };
    edited.map_err(|error| edit_trouble(&sheet.file(), error))
}

/// The column of a row of heaters in which this byte of the text stands.
pub(crate) fn heater_column(text: &str, row: usize, byte: usize) -> Option<usize> {
    let keys = keys_of(text, SheetTable::Heaters(row)).ok()?;
    let own = keys.iter().find(|own| own.span.contains(&byte))?;
    match own.key.as_str() {
        "from" => Some(0),
        "to" => Some(1),
        way if HEATER_WAYS.contains(&way) => Some(3),
        _ => None,
    }
}

fn said(key: &TableKey) -> String {
    key.says.join(", ")
}

/// What a text says between its commas, and between its blanks where no element has one.
fn parted(text: &str, by_blanks: bool) -> Vec<String> {
    text.split(|letter: char| letter == ',' || (by_blanks && letter.is_whitespace()))
        .map(str::trim)
        .filter(|own| !own.is_empty())
        .map(str::to_owned)
        .collect()
}

/// A typed text as the key writes it; what is no number is left to the check, which names it in its place.
fn value_of(written: Written, typed: &str) -> KeyValue {
    let number = |own: &str| {
        let value: Option<f64> = own.parse().ok();
        match value.filter(|value| value.is_finite()) {
            Some(value) => value.to_string(),
            None => quoted(own),
        }
    };
    if typed.is_empty() {
        return KeyValue::None;
    }
    match written {
        Written::Number => KeyValue::One(number(typed)),
        Written::Numbers => {
            KeyValue::List(parted(typed, false).iter().map(|own| number(own)).collect())
        }
        Written::Text => KeyValue::One(quoted(typed)),
        Written::Texts => {
            KeyValue::List(parted(typed, false).iter().map(|own| quoted(own)).collect())
        }
        Written::Choice => KeyValue::One(match typed {
            "true" | "false" => typed.to_owned(),
            other => quoted(other),
        }),
    }
}
