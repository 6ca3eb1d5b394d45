//! Reads a file with a table of the restorer's own.
//!
//! CSV in UTF-8 with a heading line. Fails for a file that cannot be read and for a table with
//! faults, all of them at once, each with its line and column.

use std::path::Path;

use parts::DataFault;

use crate::read_sheet_file::read_sheet_file;
use crate::trouble::Trouble;
use crate::view::FaultView;

/// Reads the table at `path` by `read`, which gets the file's name and its text.
pub(crate) fn read_own_file<T>(
    path: &Path,
    read: impl Fn(&str, &str) -> Result<T, Vec<DataFault>>,
) -> Result<T, Trouble> {
    let file = read_sheet_file(path)?;
    let text = String::from_utf8(file.bytes).map_err(|_| Trouble::File {
        name: file.name.clone(),
        text: "this is no text in UTF-8".to_string(),
        hint: "save the table as CSV in UTF-8".to_string(),
    })?;
    read(&file.name, &text).map_err(|faults| Trouble::Input {
        faults: faults
            .into_iter()
            .map(|fault| {
                let place = match (fault.line, fault.column.as_str()) {
                    (line, "") => format!("{} line {line}", fault.file),
                    (line, column) => format!("{} line {line}, column {column}", fault.file),
                };
                FaultView {
                    line: usize::try_from(fault.line).ok(),
                    column: None,
                    text: format!("{place}: {}", fault.text),
                    hint: fault.hint,
                }
            })
            .collect(),
    })
}
