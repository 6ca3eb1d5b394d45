//! Reads a list of parts as a spreadsheet saved it.
//!
//! Comma, semicolon or tab between the cells, whichever makes known headings of the
//! first line; a byte order mark, a line that names the separator, lines of empty cells and empty
//! cells at the end are passed over. Lines count from 1, cells of a line from 1. Fails, with
//! all faults, for a text in another coding, headings that cannot be, and lines whose
//! cells do not fit them.

use super::column::PartColumn;
use crate::sheet::shown;

/// Lines above which a file is no list of one set's parts; the largest sets have some five hundred.
const MOST_LINES: usize = 2000;

/// A fault of a list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ListFault {
    /// Line of the file; none for a fault of the sheet itself.
    pub line: Option<usize>,
    /// Number of the cell in its line, from 1.
    pub cell: Option<usize>,
    /// The heading above that cell.
    pub heading: String,
    /// What was read and what is wrong with it.
    pub text: String,
    /// What was expected, or what to do.
    pub hint: String,
}

impl ListFault {
    pub(super) fn of_line(line: usize, text: String, hint: &str) -> ListFault {
        ListFault {
            line: Some(line),
            cell: None,
            heading: String::new(),
            text,
            hint: hint.to_string(),
        }
    }

    pub(super) fn of_cell(line: usize, cell: &ListCell, text: String, hint: String) -> ListFault {
        ListFault {
            line: Some(line),
            cell: Some(cell.number),
            heading: cell.column.heading().to_string(),
            text,
            hint,
        }
    }
}

/// A cell as it was read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ListCell {
    /// Its column.
    pub column: PartColumn,
    /// Its number in the line, from 1.
    pub number: usize,
    /// What it says, spaces around it dropped.
    pub text: String,
}

/// A line as it was read.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ListRow {
    /// Line of the file.
    pub line: usize,
    /// The cells under known headings.
    pub cells: Vec<ListCell>,
}

impl ListRow {
    /// The cell of this column, if the list has the column.
    pub fn cell(&self, column: PartColumn) -> Option<&ListCell> {
        self.cells.iter().find(|cell| cell.column == column)
    }
}

/// A list as it was read, not yet held against a sheet.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct TypedList {
    /// The columns it has.
    pub columns: Vec<PartColumn>,
    /// Headings that are no columns of a parts list; their cells are passed over.
    pub passed_over: Vec<String>,
    /// Its lines.
    pub rows: Vec<ListRow>,
}

/// Reads the bytes of a list.
///
/// # Errors
/// Every fault of coding, headings and lines.
pub fn read_list(bytes: &[u8]) -> Result<TypedList, Vec<ListFault>> {
    let text = text_of(bytes).map_err(|fault| vec![fault])?;
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let (told, body, lines_before) = told_separator(text);
    let separator = told.unwrap_or_else(|| likeliest_separator(body));
    let mut records = Vec::new();
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(separator)
        .from_reader(body.as_bytes());
    let mut faults = Vec::new();
    let mut line_walk = LineWalk {
        bytes: body.as_bytes(),
        at: 0,
        line: 1,
    };
    for record in reader.records() {
        match record {
            Ok(record) => {
                let byte = record.position().map_or(0, csv::Position::byte);
                let byte = usize::try_from(byte).unwrap_or(usize::MAX);
                let line = line_walk.line_of(byte) + lines_before;
                let cells: Vec<String> =
                    record.iter().map(|cell| cell.trim().to_string()).collect();
                if cells.iter().any(|cell| !cell.is_empty()) {
                    records.push((line, cells));
                }
            }
            Err(error) => faults.push(ListFault::of_line(
                1,
                format!("the list cannot be read: {error}"),
                "save it again as CSV in UTF-8",
            )),
        }
    }
    if records.len() > MOST_LINES {
        faults.push(ListFault::of_line(
            1,
            format!(
                "the list has {} lines, more than any set has parts",
                records.len()
            ),
            "name the list of one set; it may have 2,000 lines",
        ));
        return Err(faults);
    }
    let mut records = records.into_iter();
    let Some((heading_line, headings)) = records.next() else {
        faults.push(ListFault::of_line(
            1,
            "the list is empty".to_string(),
            "its first line holds the headings: ref, kind, value, from, to, third",
        ));
        return Err(faults);
    };
    let mut list = TypedList::default();
    let columns = columns_of(heading_line, &headings, &mut list, &mut faults);
    if !faults.is_empty() {
        return Err(faults);
    }
    for (line, cells) in records {
        if let Some(row) = row_of(line, cells, &columns, &headings, &mut faults) {
            list.rows.push(row);
        }
    }
    if faults.is_empty() {
        Ok(list)
    } else {
        Err(faults)
    }
}

/// Lines of rising bytes; a line ends with a line feed, a carriage return, or both.
struct LineWalk<'a> {
    bytes: &'a [u8],
    at: usize,
    line: usize,
}

impl LineWalk<'_> {
    /// The line of the first record at or behind this byte; line ends before the record are passed.
    fn line_of(&mut self, byte: usize) -> usize {
        while let Some(own) = self.bytes.get(self.at).copied() {
            let is_end = own == b'\n' || own == b'\r';
            if self.at >= byte && !is_end {
                break;
            }
            let is_first_of_two = own == b'\r' && self.bytes.get(self.at + 1) == Some(&b'\n');
            if is_end && !is_first_of_two {
                self.line += 1;
            }
            self.at += 1;
        }
        self.line
    }
}

fn text_of(bytes: &[u8]) -> Result<&str, ListFault> {
    if bytes.starts_with(&[0xff, 0xfe]) || bytes.starts_with(&[0xfe, 0xff]) {
        return Err(ListFault::of_line(
            1,
            "the list is text in UTF-16".to_string(),
            "save it as CSV in UTF-8",
        ));
    }
    if bytes.starts_with(b"PK\x03\x04") || bytes.contains(&0) {
        return Err(ListFault::of_line(
            1,
            "this is no text file, perhaps the spreadsheet itself".to_string(),
            "save the spreadsheet as CSV in UTF-8, and name that file",
        ));
    }
    std::str::from_utf8(bytes).map_err(|error| {
        let good = bytes.get(..error.valid_up_to()).unwrap_or(&[]);
        let line = 1 + good.iter().filter(|byte| **byte == b'\n').count();
        let odd = bytes.get(error.valid_up_to()).copied().unwrap_or(0);
        ListFault::of_line(
            line,
            format!("the byte {odd:#04x} is no UTF-8"),
            "save the list as CSV in UTF-8; in other codings `Ω` and `µ` look like this: `ohm` and `u` do as well",
        )
    })
}

/// A first line such as `sep=;`, which spreadsheets write and read (common practice): the separator, the rest, and how many lines went before it.
fn told_separator(text: &str) -> (Option<u8>, &str, usize) {
    let (first, rest) = text.split_once('\n').unwrap_or((text, ""));
    let told = first.trim_end_matches('\r').to_ascii_lowercase();
    match told.strip_prefix("sep=").map(str::as_bytes) {
        Some([separator]) if b",;\t".contains(separator) => (Some(*separator), rest, 1),
        _ => (None, text, 0),
    }
}

/// The separator that makes the most known headings of the first line.
fn likeliest_separator(text: &str) -> u8 {
    let known = |separator: u8| {
        let mut reader = csv::ReaderBuilder::new()
            .has_headers(false)
            .flexible(true)
            .delimiter(separator)
            .from_reader(text.as_bytes());
        let first = reader.records().next();
        first.and_then(Result::ok).map_or(0, |record| {
            record
                .iter()
                .filter(|heading| PartColumn::named(heading).is_some())
                .count()
        })
    };
    let mut best = (known(b','), b',');
    for separator in [b';', b'\t'] {
        let count = known(separator);
        if count > best.0 {
            best = (count, separator);
        }
    }
    best.1
}

/// The column of each cell; what is at fault with the headings.
fn columns_of(
    line: usize,
    headings: &[String],
    list: &mut TypedList,
    faults: &mut Vec<ListFault>,
) -> Vec<Option<PartColumn>> {
    let mut columns = Vec::new();
    for (at, heading) in headings.iter().enumerate() {
        let column = PartColumn::named(heading);
        let mut fault = |text: String, hint: String| {
            faults.push(ListFault {
                line: Some(line),
                cell: Some(at + 1),
                heading: heading.clone(),
                text,
                hint,
            });
        };
        match column {
            Some(column) if list.columns.contains(&column) => fault(
                format!("the heading {} is there twice", shown(column.heading())),
                "keep one of the two columns".to_string(),
            ),
            Some(column) => list.columns.push(column),
            None => match PartColumn::nearest(heading) {
                Some(near)
                    if !headings
                        .iter()
                        .any(|other| PartColumn::named(other) == Some(near)) =>
                {
                    fault(
                        format!("the heading {} is not known", shown(heading)),
                        format!(
                            "did you mean `{}`? a column of your own needs another name",
                            near.heading()
                        ),
                    );
                }
                _ if heading.is_empty() => {}
                _ => list.passed_over.push(heading.clone()),
            },
        }
        columns.push(column);
    }
    if !list.columns.contains(&PartColumn::Reference) && faults.is_empty() {
        faults.push(ListFault::of_line(
            line,
            "no heading `ref` is on the first line".to_string(),
            "the first line holds the headings: ref, kind, value, from, to, third, parted by commas, semicolons or tabs",
        ));
    }
    columns
}

fn row_of(
    line: usize,
    cells: Vec<String>,
    columns: &[Option<PartColumn>],
    headings: &[String],
    faults: &mut Vec<ListFault>,
) -> Option<ListRow> {
    // Cells that a line lacks at its end say nothing.
    let told = cells.iter().rposition(|cell| !cell.is_empty())? + 1;
    if told > columns.len() {
        faults.push(ListFault::of_line(
            line,
            format!("{told} cells stand under {} headings", headings.len()),
            "a cell with a comma or semicolon in it stands between quotes; look for a quote that is not closed as well",
        ));
        return None;
    }
    let known = cells.into_iter().zip(columns).enumerate();
    Some(ListRow {
        line,
        cells: known
            .filter_map(|(at, (text, column))| {
                Some(ListCell {
                    column: (*column)?,
                    number: at + 1,
                    text,
                })
            })
            .collect(),
    })
}
