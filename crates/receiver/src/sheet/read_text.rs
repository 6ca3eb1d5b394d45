//! Reads the text of a sheet: its TOML, its tables in their order, then the checks.
//!
//! Bytes that are no text, and text that is no TOML, give one fault with its
//! place; all other faults come together. A byte order mark and either kind of
//! line end are in order.

use parts::Catalogue;
use toml_edit::{Document, Item};

use super::check_heaters::check_heaters;
use super::check_lacks::{Told, check_lacks};
use super::check_wiring::check_wiring;
use super::contents::{Sheet, State};
use super::heater_halves;
use super::messages::{Fault, LineWalk, Notice, shown};
use super::names::Names;
use super::places::Places;
use super::read_bench::{line_volts, read_bench, read_chart};
use super::read_rows::read_rows;
use super::read_state::read_state;
use super::read_tubes::{Described, read_descriptions, read_tubes};
use super::reader::{Cell, Reader};

/// The edition of the form that is read here.
const EDITION: i64 = 1;
const KEYS: &[&str] = &[
    "sheet",
    "name",
    "made",
    "line_volts",
    "line_hertz",
    "tubes",
    "windings",
    "parts",
    "heaters",
    "chart",
    "bench",
    "state",
    "tube",
];

/// What came of reading a sheet.
#[derive(Debug, Clone)]
pub struct SheetReading {
    /// The sheet, if there is no fault.
    pub sheet: Option<Sheet>,
    /// All faults, in the order of the text.
    pub faults: Vec<Fault>,
    /// What is odd or lacking, in the order of the text, then what concerns the whole.
    pub notices: Vec<Notice>,
}

impl SheetReading {
    fn one_fault(text: &str, at: usize, what: String, hint: String) -> Self {
        let (line, column) = LineWalk::new(text).line_and_column(at);
        SheetReading {
            sheet: None,
            faults: vec![Fault {
                line,
                column,
                text: what,
                hint,
            }],
            notices: Vec::new(),
        }
    }
}

/// Reads a sheet from the bytes of a file, which may be anything.
pub fn read_sheet_bytes(bytes: &[u8], catalogue: &Catalogue) -> SheetReading {
    let utf16 = bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]);
    match std::str::from_utf8(bytes) {
        Ok(text) => read_sheet(text, catalogue),
        Err(error) => {
            let good = bytes
                .get(..error.valid_up_to())
                .and_then(|good| std::str::from_utf8(good).ok())
                .unwrap_or("");
            let odd = bytes.get(error.valid_up_to()).copied().unwrap_or(0);
            let (text, hint) = if utf16 {
                (
                    "the file is text in UTF-16".to_string(),
                    "save it as UTF-8, which every editor offers".to_string(),
                )
            } else if bytes.contains(&0) {
                (
                    "this is no text file".to_string(),
                    "name the sheet itself, a text file".to_string(),
                )
            } else {
                (format!("the byte {odd:#04x} is no UTF-8"), "save the file as UTF-8; in other codings `Ω` and `µ` look like this: `ohm` and `u` do as well".to_string())
            };
            SheetReading::one_fault(good, good.len(), text, hint)
        }
    }
}

/// Reads a sheet from its text.
pub fn read_sheet(text: &str, catalogue: &Catalogue) -> SheetReading {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    match Document::parse(text) {
        Ok(document) => read_document(text, &document, catalogue),
        Err(error) => {
            let span = error.span().unwrap_or(0..0);
            let (what, hint) = toml_fault(text, &span, error.message());
            SheetReading::one_fault(text, span.start, what, hint)
        }
    }
}

/// Reads any bytes as a sheet and asks the result everything that can be asked; for tests with random input.
pub fn read_anything(bytes: &[u8]) {
    let Ok(catalogue) = parts::catalogue() else {
        return;
    };
    let reading = read_sheet_bytes(bytes, catalogue);
    let mut shown = String::new();
    for fault in &reading.faults {
        shown.push_str(&fault.to_string());
    }
    for notice in &reading.notices {
        shown.push_str(&notice.to_string());
    }
    if let Some(sheet) = reading.sheet {
        let places = sheet.places();
        for place in places.iter() {
            let found = places.find(&place.to_string());
            shown.push_str(
                &found
                    .map(|place| place.to_string())
                    .unwrap_or_else(|unknown| unknown.to_string()),
            );
        }
        shown.push_str(&format!(
            "{:?} {}",
            sheet.chassis_standing(),
            sheet.primaries().len()
        ));
    }
}

/// A fault of the TOML in plain words.
fn toml_fault(text: &str, span: &std::ops::Range<usize>, message: &str) -> (String, String) {
    let at = text.get(span.start..).unwrap_or("");
    let read: String = at.lines().next().unwrap_or("").chars().take(24).collect();
    let what = if read.trim().is_empty() {
        format!("the sheet breaks off here: {message}")
    } else {
        format!("{} is not in order here: {message}", shown(&read))
    };
    let line_so_far = text
        .get(..span.start)
        .and_then(|before| before.rsplit('\n').next())
        .unwrap_or("");
    let whole_line = format!("{line_so_far}{read}");
    let hint = if text.contains('\0') {
        "this is no text file: name the sheet itself"
    } else if whole_line.contains(['“', '”', '„', '‘', '’']) {
        "texts stand between straight quotes \", not typographic ones"
    } else if message.contains("duplicate") {
        "each key stands once; put the rows of both into one list"
    } else if message.contains("string") || message.contains("quote") {
        "every text needs its closing quote on the same line"
    } else if message.contains("array") || message.contains("`]`") || message.contains("`,`") {
        "rows and cells are parted by commas, and every `[` has its `]`"
    } else if message.contains("key") || message.contains("`=`") {
        "a line is `name = value`, a `[table]`, or a comment after `#`"
    } else {
        "look at quotes, commas and brackets on this line and the one before"
    };
    (what, hint.to_string())
}

fn read_document(text: &str, document: &Document<&str>, catalogue: &Catalogue) -> SheetReading {
    let mut reader = Reader::new(text, catalogue);
    let entries = reader.entries(document.as_table());
    let find = |name: &str| -> Option<(&Item, &Cell)> {
        entries
            .iter()
            .find(|entry| entry.key.text == name)
            .map(|entry| (entry.item, &entry.key))
    };

    for entry in &entries {
        if !KEYS.contains(&entry.key.text.as_str()) {
            reader.unknown_key(&entry.key, "the sheet", KEYS);
        }
    }
    edition(&mut reader, find("sheet"));
    let name = name_of(&mut reader, find("name"));
    let made = find("made").and_then(|(item, key)| year(&mut reader, item, key));
    let line_volts = match find("line_volts") {
        Some((item, key)) => line_volts(&mut reader, item, key),
        None => {
            reader.findings.fault(
                0,
                "`line_volts` is missing",
                "expected the line at which the maker's figures hold: `line_volts = 117`",
            );
            None
        }
    };
    let line_hertz = match find("line_hertz") {
        Some((item, key)) => hertz(&mut reader, item, key),
        None => {
            reader.findings.fault(
                0,
                "`line_hertz` is missing",
                "expected the frequency of the line: `line_hertz = 60`",
            );
            None
        }
    };

    let mut names = Names::default();
    let mut described = match find("tube") {
        Some((item, key)) => read_descriptions(&mut reader, item, key),
        None => Described::default(),
    };
    let (mut tubes, tube_starts) = match find("tubes") {
        Some((item, key)) => read_tubes(&mut reader, item, key, &mut described, &mut names),
        None => Default::default(),
    };
    described.finish(&mut reader);
    let rows = read_rows(
        &mut reader,
        find("windings"),
        find("parts"),
        find("heaters"),
        &mut names,
    );
    let chart =
        find("chart").and_then(|(item, key)| read_chart(&mut reader, item, key, &mut names));
    let bench = find("bench").and_then(|(item, key)| read_bench(&mut reader, item, key));
    let state_given = find("state").is_some();
    let state =
        find("state").and_then(|(item, key)| read_state(&mut reader, item, key, &names, &rows));

    let (places, merged) = Places::of_links(&rows.links, []);
    check_wiring(&mut reader, &rows, &names, &places, &merged);
    check_heaters(&mut reader, &rows, &names, &places, &tube_starts);
    if !rows.incomplete {
        let told = Told {
            kind_of: &|tube| names.tube(tube).and_then(|(_, tube)| tube.kind.as_ref()),
            tubes: names.tubes.len(),
            chart: chart.as_ref(),
            bench: bench.is_some(),
            state: state_given,
        };
        check_lacks(&mut reader, &rows, &places, &told);
    }

    heater_halves::as_fed(&mut tubes, &rows.heaters, &rows.windings, &places);
    let sound = !reader.findings.any_fault();
    let (faults, notices) = reader.findings.finish(text);
    let sheet = match (line_volts, line_hertz, sound) {
        (Some(line_volts), Some(line_hertz), true) => Some(Sheet {
            name,
            made,
            line_volts,
            line_hertz,
            tubes,
            windings: rows.windings,
            parts: rows.parts,
            heaters: rows.heaters,
            chart,
            bench,
            state: state.unwrap_or_else(State::default),
            state_given,
        }),
        _ => None,
    };
    SheetReading {
        sheet,
        faults,
        notices,
    }
}

fn edition(reader: &mut Reader<'_>, found: Option<(&Item, &Cell)>) {
    let hint = "the first line of a sheet is `sheet = 1`, the edition of this form";
    match found {
        None => {
            let empty = reader.text.trim().is_empty();
            reader.findings.fault(
                0,
                if empty {
                    "the sheet is empty"
                } else {
                    "`sheet = 1` is missing"
                },
                hint,
            );
        }
        Some((item, key)) => {
            let at = item.span().map_or(key.at(), |span| span.start);
            match item.as_integer() {
                Some(EDITION) => {}
                Some(other) => reader.findings.fault(
                    at,
                    format!("edition {other} of the sheet is not known"),
                    "this program reads edition 1: `sheet = 1`",
                ),
                None => reader.wrong_shape(
                    at,
                    item.type_name(),
                    "sheet",
                    "the edition of the form: `sheet = 1`",
                ),
            }
        }
    }
}

fn name_of(reader: &mut Reader<'_>, found: Option<(&Item, &Cell)>) -> String {
    let name = match found {
        Some((item, key)) => reader
            .text_of(item, key, "the name of the set as a text")
            .map(|cell| cell.text.trim().to_string()),
        None => Some(String::new()),
    };
    if name.as_deref() == Some("") {
        reader.findings.notice_on_sheet(
            "the set has no name",
            "write `name = \"...\"` so that plans can be told apart",
        );
    }
    name.unwrap_or_default()
}

fn year(reader: &mut Reader<'_>, item: &Item, key: &Cell) -> Option<u16> {
    let at = item.span().map_or(key.at(), |span| span.start);
    let Some(year) = item.as_integer() else {
        reader.wrong_shape(
            at,
            item.type_name(),
            "made",
            "the year as a number: `made = 1950`",
        );
        return None;
    };
    match u16::try_from(year) {
        Ok(year) if (1925..=2100).contains(&year) => {
            if !(1946..=1965).contains(&year) {
                reader.findings.notice(
                    at,
                    format!("{year} lies outside 1946 to 1965"),
                    "the figures used here are those of sets of that time",
                );
            }
            Some(year)
        }
        _ => {
            reader.findings.fault(
                at,
                format!("{year} is no year of make"),
                "expected the year: `made = 1950`",
            );
            None
        }
    }
}

fn hertz(reader: &mut Reader<'_>, item: &Item, key: &Cell) -> Option<f64> {
    let (hertz, at) = reader.number_of(
        item,
        key,
        "the frequency of the line as a number, `line_hertz = 60`",
    )?;
    if (15.0..=100.0).contains(&hertz) {
        return Some(hertz);
    }
    reader.findings.fault(
        at,
        format!("{hertz} Hz is no line of such a set"),
        "expected 60, 50 or 25; a set for direct current cannot be reckoned here",
    );
    None
}
