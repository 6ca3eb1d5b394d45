//! A table of the restorer's own, beside one of `data/`.
//!
//! CSV with a heading line, UTF-8; only the key column is needed, others may follow in any order. A
//! heading line without a comma but with semicolons makes the semicolon part the cells, as some
//! spreadsheets save it. Empty lines are passed over. All faults come at once, each with its line and
//! column; a table without a row is a fault.

use crate::fault::{ColumnFault, DataFault};
use crate::table::{delimiter_of, records};

/// What is asked of a table.
pub(crate) struct OwnTable<'a> {
    /// Its name for messages.
    pub file: &'a str,
    /// The heading that must be there.
    pub key: &'a str,
    /// The headings in an example.
    pub headings: &'a str,
    /// What to do where no row is there.
    pub row: &'a str,
}

/// Reads the rows; `take` gets the line and the trimmed cells under their headings.
pub(crate) fn read_own_table(
    asked: &OwnTable<'_>,
    text: &str,
    faults: &mut Vec<DataFault>,
    mut take: impl FnMut(u64, &[(&str, &str)]) -> Result<(), Vec<ColumnFault>>,
) {
    let file = asked.file;
    let text = text.trim_start_matches('\u{feff}');
    let mut reader = csv::ReaderBuilder::new()
        .flexible(true)
        .delimiter(delimiter_of(text))
        .from_reader(text.as_bytes());
    let headings: Vec<String> = match reader.headers() {
        Ok(record) => record.iter().map(|cell| cell.trim().to_string()).collect(),
        Err(error) => {
            let fault = ColumnFault::new("", error.to_string(), "save the table as UTF-8 CSV");
            faults.push(DataFault::at(file, 1, fault));
            return;
        }
    };
    if !headings.iter().any(|heading| heading == asked.key) {
        let fault = ColumnFault::new(
            asked.key,
            "this heading is missing",
            format!("the first line names the columns: {}", asked.headings),
        );
        faults.push(DataFault::at(file, 1, fault));
        return;
    }
    let before = faults.len();
    let mut rows = 0;
    let count = headings.len();
    let each = |line: u64, record: &csv::StringRecord, faults: &mut Vec<DataFault>| {
        let cells: Vec<(&str, &str)> = headings
            .iter()
            .map(String::as_str)
            .zip(record.iter().map(str::trim))
            .collect();
        rows += 1;
        if let Err(found) = take(line, &cells) {
            faults.extend(found.into_iter().map(|f| DataFault::at(file, line, f)));
        }
    };
    records(file, text, &mut reader, count, faults, each);
    if rows == 0 && faults.len() == before {
        let fault = ColumnFault::new("", "no row below the headings", asked.row);
        faults.push(DataFault::at(file, 2, fault));
    }
}
