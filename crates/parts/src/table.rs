//! Reading a table: rows of named columns, every fault kept.
//!
//! Cells are trimmed; an empty cell means unknown and reads as `None`.
//! Numbers are plain decimal numbers in the unit that the heading names, and
//! must lie within the range that the caller states. Fails by noting a fault;
//! the rest is read all the same.

use std::collections::HashSet;

use crate::fault::{ColumnFault, DataFault};
use crate::standing::{Provenance, Standing};

/// Hands on each record of `text` that has as many cells as there are headings, with its line; of the others and of
/// those that are no CSV a fault is noted. `reader` reads that text, its headings taken already.
pub(crate) fn records(
    file: &str,
    text: &str,
    reader: &mut csv::Reader<&[u8]>,
    headings: usize,
    faults: &mut Vec<DataFault>,
    mut take: impl FnMut(u64, &csv::StringRecord, &mut Vec<DataFault>),
) {
    let mut lines = Lines {
        text: text.as_bytes(),
        byte: 0,
        line: 1,
    };
    for record in reader.records() {
        let record = match record {
            Ok(record) => record,
            Err(error) => {
                let line = lines.of(error.position());
                let fault = ColumnFault::new("", error.to_string(), "mend this line");
                faults.push(DataFault::at(file, line, fault));
                continue;
            }
        };
        let line = lines.of(record.position());
        // Rows without anything in them are left behind by spreadsheets.
        if record.len() <= headings && record.iter().all(|cell| cell.trim().is_empty()) {
            continue;
        }
        if record.len() != headings {
            let cells = if record.len() == 1 { "cell" } else { "cells" };
            let fault = ColumnFault::new(
                "",
                format!("{} {cells} read, {headings} expected", record.len()),
                if record.len() > headings {
                    "put a text with a comma in quotation marks"
                } else {
                    "part the cells by commas, one for each column, also where nothing stands in it"
                },
            );
            faults.push(DataFault::at(file, line, fault));
            continue;
        }
        take(line, &record, faults);
    }
}

/// Lines of a text counted up to the records of its reader, whose own count stands before blank lines.
struct Lines<'t> {
    text: &'t [u8],
    /// How far is counted.
    byte: usize,
    /// The line there.
    line: u64,
}

impl Lines<'_> {
    /// The line at which what is at this position begins; 0 where no position is known.
    fn of(&mut self, position: Option<&csv::Position>) -> u64 {
        let Some(begins) = position.and_then(|own| usize::try_from(own.byte()).ok()) else {
            return 0;
        };
        // Records come in the order of the text; ends of blank lines lie before the first cell.
        while let Some(byte) = self.text.get(self.byte)
            && (self.byte < begins || matches!(byte, b'\r' | b'\n'))
        {
            self.line += u64::from(*byte == b'\n');
            self.byte += 1;
        }
        self.line
    }
}

/// The cells of one row under their headings, and the faults found so far.
pub(crate) struct Fields<'a> {
    cells: Vec<(&'a str, &'a str)>,
    /// Faults noted while reading.
    pub(crate) faults: Vec<ColumnFault>,
}

impl<'a> Fields<'a> {
    /// Takes the cells; a heading that comes twice is a fault.
    pub(crate) fn new(cells: Vec<(&'a str, &'a str)>) -> Fields<'a> {
        let mut faults = Vec::new();
        for (index, (column, _)) in cells.iter().enumerate() {
            if cells.iter().take(index).any(|(other, _)| other == column) {
                faults.push(ColumnFault::new(
                    *column,
                    "this column is given twice",
                    "keep one of the two",
                ));
            }
        }
        Fields { cells, faults }
    }

    /// Notes a fault.
    pub(crate) fn fault(&mut self, column: &str, text: impl Into<String>, hint: impl Into<String>) {
        self.faults.push(ColumnFault::new(column, text, hint));
    }

    /// The cell, trimmed; `None` when empty or absent.
    pub(crate) fn text(&self, column: &str) -> Option<&'a str> {
        self.cells
            .iter()
            .find(|(heading, _)| *heading == column)
            .map(|(_, cell)| cell.trim())
            .filter(|cell| !cell.is_empty())
    }

    /// The cell as an owned text; empty when unknown.
    pub(crate) fn owned(&self, column: &str) -> String {
        self.text(column).unwrap_or_default().to_string()
    }

    /// A cell that must not be empty.
    pub(crate) fn required(&mut self, column: &str) -> String {
        match self.text(column) {
            Some(text) => text.to_string(),
            None => {
                self.fault(column, "empty, but needed", "fill in this column");
                String::new()
            }
        }
    }

    /// A number within `low..=high`; `None` when empty or at fault.
    pub(crate) fn number(&mut self, column: &str, low: f64, high: f64) -> Option<f64> {
        let text = self.text(column)?;
        match text.parse::<f64>() {
            Ok(value) if value.is_finite() && value >= low && value <= high => Some(value),
            Ok(_) => {
                self.fault(
                    column,
                    format!("\"{text}\" read, a number from {low} to {high} expected"),
                    "check the figure and its unit against the heading",
                );
                None
            }
            Err(_) => {
                let with_point = text.replace(',', ".");
                let hint = match with_point.parse::<f64>() {
                    Ok(_) => format!("write a point in it: {with_point}"),
                    Err(_) => "write the number alone; its unit is in the heading".to_owned(),
                };
                self.fault(
                    column,
                    format!("\"{text}\" read, a plain number expected"),
                    hint,
                );
                None
            }
        }
    }

    /// A number that must be there.
    pub(crate) fn required_number(&mut self, column: &str, low: f64, high: f64) -> f64 {
        if self.text(column).is_none() {
            self.fault(
                column,
                "empty, but a number is needed",
                "fill in this column",
            );
        }
        self.number(column, low, high).unwrap_or(low)
    }

    /// A whole number within the range; `None` when empty or at fault.
    pub(crate) fn whole(&mut self, column: &str, low: u32, high: u32) -> Option<u32> {
        let value = self.number(column, f64::from(low), f64::from(high))?;
        if value.fract() != 0.0 {
            self.fault(
                column,
                format!("{value} read, a whole number expected"),
                "write a count",
            );
            return None;
        }
        Some(value as u32)
    }

    /// One of several words; `None` when empty or at fault.
    pub(crate) fn choice<T: Copy>(&mut self, column: &str, words: &[(&str, T)]) -> Option<T> {
        let text = self.text(column)?;
        let found = words
            .iter()
            .find(|(word, _)| word.eq_ignore_ascii_case(text));
        if found.is_none() {
            let known: Vec<&str> = words.iter().map(|(word, _)| *word).collect();
            self.fault(
                column,
                format!("\"{text}\" read, one of {} expected", known.join(", ")),
                match nearest(text, known.iter().copied(), 1).first() {
                    Some(word) => format!("nearest: \"{word}\""),
                    None => "write one of these words".to_owned(),
                },
            );
        }
        found.map(|(_, value)| *value)
    }

    /// Items parted by semicolons.
    pub(crate) fn list(&self, column: &str) -> Vec<String> {
        self.text(column)
            .unwrap_or_default()
            .split(';')
            .map(str::trim)
            .filter(|item| !item.is_empty())
            .map(str::to_string)
            .collect()
    }

    /// Source, standing, what was read and what is doubtful. The named columns
    /// must be headings of the row.
    pub(crate) fn provenance(&mut self) -> Provenance {
        let source = self.required("source");
        let standing = match self.choice("standing", &Standing::WORDS) {
            Some(standing) => standing,
            None => {
                if self.text("standing").is_none() {
                    self.fault(
                        "standing",
                        "empty, but needed",
                        "say how the figure is known",
                    );
                }
                Standing::Memory
            }
        };
        let read_fields = self.list("read_fields");
        let doubt_fields = self.list("doubt_fields");
        for (column, named) in [
            ("read_fields", &read_fields),
            ("doubt_fields", &doubt_fields),
        ] {
            for field in named {
                if !self.cells.iter().any(|(heading, _)| heading == field) {
                    let known: Vec<&str> = self.cells.iter().map(|(heading, _)| *heading).collect();
                    let hint = nearest_hint(field, &known);
                    self.fault(
                        column,
                        format!("\"{field}\" is no column of this table"),
                        hint,
                    );
                }
            }
        }
        Provenance {
            source,
            standing,
            read_fields,
            doubt_fields,
            notes: self.owned("notes"),
        }
    }
}

/// A hint that names the nearest of the known words.
pub(crate) fn nearest_hint(text: &str, known: &[&str]) -> String {
    match nearest(text, known.iter().copied(), 1).first() {
        Some(word) => format!("nearest: \"{word}\""),
        None => format!("known: {}", known.join(", ")),
    }
}

/// Up to `count` of the words that look most like `text`, nearest first.
pub(crate) fn nearest<'a>(
    text: &str,
    words: impl Iterator<Item = &'a str>,
    count: usize,
) -> Vec<&'a str> {
    let asked = text.to_lowercase();
    let mut scored: Vec<(f64, &str)> = words
        .map(|word| (strsim::jaro_winkler(&asked, &word.to_lowercase()), word))
        .filter(|(score, _)| *score > 0.75)
        .collect();
    scored.sort_by(|one, other| other.0.total_cmp(&one.0).then(one.1.cmp(other.1)));
    scored.dedup_by(|one, other| one.1 == other.1);
    scored
        .into_iter()
        .take(count)
        .map(|(_, word)| word)
        .collect()
}

/// The sign that parts the cells: a heading line without a comma but with semicolons is what some spreadsheets save.
pub(crate) fn delimiter_of(text: &str) -> u8 {
    let heading = text.lines().next().unwrap_or_default();
    if heading.contains(';') && !heading.contains(',') {
        b';'
    } else {
        b','
    }
}

/// Reads a table and gives each row to `take`, which returns the row's value
/// or `None`. Headings must be exactly `headings`. Faults go to `faults`.
pub(crate) fn read_table<T>(
    file: &str,
    text: &str,
    headings: &[&str],
    faults: &mut Vec<DataFault>,
    mut take: impl FnMut(&mut Fields<'_>) -> Option<T>,
) -> Vec<(u64, T)> {
    let text = text.trim_start_matches('\u{feff}');
    let mut reader = csv::ReaderBuilder::new()
        .flexible(true)
        .delimiter(delimiter_of(text))
        .from_reader(text.as_bytes());
    let found: Vec<String> = match reader.headers() {
        Ok(record) => record.iter().map(|cell| cell.trim().to_string()).collect(),
        Err(error) => {
            let fault = ColumnFault::new("", error.to_string(), "save the table as UTF-8 CSV");
            faults.push(DataFault::at(file, 1, fault));
            return Vec::new();
        }
    };
    let first_line = format!("the first line names the columns: {}", headings.join(","));
    // A table that has none of the columns is another one, or none: its rows tell nothing more.
    if !headings
        .iter()
        .any(|heading| found.iter().any(|own| own == heading))
    {
        let told = match found.iter().all(String::is_empty) {
            true => "the table is empty".to_owned(),
            false => "none of the headings of this table is there".to_owned(),
        };
        faults.push(DataFault::at(
            file,
            1,
            ColumnFault::new("", told, first_line),
        ));
        return Vec::new();
    }
    for heading in headings {
        if !found.iter().any(|column| column == heading) {
            let fault = ColumnFault::new(*heading, "this heading is missing", &first_line);
            faults.push(DataFault::at(file, 1, fault));
        }
    }
    for column in &found {
        if !headings.contains(&column.as_str()) {
            let fault = ColumnFault::new(
                column,
                "this heading is not known",
                nearest_hint(column, headings),
            );
            faults.push(DataFault::at(file, 1, fault));
        }
    }
    let mut rows = Vec::new();
    records(
        file,
        text,
        &mut reader,
        found.len(),
        faults,
        |line, record, faults| {
            let cells = found
                .iter()
                .map(String::as_str)
                .zip(record.iter())
                .collect();
            let mut fields = Fields::new(cells);
            let value = take(&mut fields);
            let sound = fields.faults.is_empty();
            faults.extend(
                fields
                    .faults
                    .drain(..)
                    .map(|fault| DataFault::at(file, line, fault)),
            );
            if let (true, Some(value)) = (sound, value) {
                rows.push((line, value));
            }
        },
    );
    rows
}

/// The rows without their lines; a key that comes twice, case not counting, is
/// a fault at its second line.
pub(crate) fn unique<T>(
    file: &str,
    rows: Vec<(u64, T)>,
    column: &str,
    key: impl Fn(&T) -> String,
    faults: &mut Vec<DataFault>,
) -> Vec<T> {
    let mut seen = HashSet::new();
    for (line, row) in &rows {
        let name = key(row);
        if !seen.insert(name.to_lowercase()) {
            let fault = ColumnFault::new(column, format!("\"{name}\" comes twice"), "keep one row");
            faults.push(DataFault::at(file, *line, fault));
        }
    }
    rows.into_iter().map(|(_, row)| row).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn faults_of(text: &str) -> Vec<DataFault> {
        let mut faults = Vec::new();
        read_table("t.csv", text, &["name", "volts"], &mut faults, |fields| {
            fields.required("name");
            fields.number("volts", 0.0, 100.0)
        });
        faults
    }

    #[test]
    fn all_faults_come_at_once_with_line_and_column() {
        let faults = faults_of("name,volts\na,5\n,x\nb,500\nc\n");
        let places: Vec<(u64, &str)> = faults.iter().map(|f| (f.line, f.column.as_str())).collect();
        assert_eq!(places, [(3, "name"), (3, "volts"), (4, "volts"), (5, "")]);
    }

    #[test]
    fn a_wrong_heading_is_named_with_its_nearest() {
        let faults = faults_of("name,vols\n");
        assert_eq!(faults.len(), 2);
        assert!(faults[1].hint.contains("volts"), "{}", faults[1]);
    }

    #[test]
    fn a_sound_table_has_no_fault() {
        assert!(faults_of("name,volts\na,\nb,100\n").is_empty());
        // As spreadsheets save it: with a mark of its encoding, semicolons, and rows without anything in them.
        assert!(faults_of("\u{feff}name;volts\r\na;\r\n;\r\n  \r\nb;100\r\n").is_empty());
    }

    #[test]
    fn a_table_that_is_empty_or_another_one_is_told_once() {
        for (text, wanted) in [
            ("", "empty"),
            ("\n\n", "empty"),
            ("for,price\nC60,2\n,\n", "none of the headings"),
        ] {
            let faults = faults_of(text);
            assert_eq!(faults.len(), 1, "{text:?}: {faults:?}");
            assert!(faults[0].text.contains(wanted), "{}", faults[0]);
            assert!(faults[0].hint.contains("name,volts"), "{}", faults[0]);
        }
    }

    #[test]
    fn a_comma_for_the_point_is_told_with_the_point() {
        let faults = faults_of("name;volts\na;1,5\n");
        assert_eq!(faults.len(), 1, "{faults:?}");
        assert!(faults[0].hint.contains("1.5"), "{}", faults[0]);
    }
}
