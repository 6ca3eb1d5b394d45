//! Faults in a table or in a tube described by columns.
//!
//! A fault names the place, what was read, what was expected and what to do.
//! All faults of an input are collected; none stops the reading of the rest.

use thiserror::Error;

/// A fault in one column of a row, place of the row not yet known.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[error("{column}: {text}")]
pub struct ColumnFault {
    /// The heading of the column.
    pub column: String,
    /// What was read and what was expected.
    pub text: String,
    /// What to do about it.
    pub hint: String,
}

impl ColumnFault {
    /// A fault of the column, with what was read and expected and what to do.
    pub fn new(
        column: impl Into<String>,
        text: impl Into<String>,
        hint: impl Into<String>,
    ) -> ColumnFault {
        ColumnFault {
            column: column.into(),
            text: text.into(),
            hint: hint.into(),
        }
    }
}

/// A fault in a table of `data/`: file, line (from 1), column heading.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
#[error("{file} line {line}, column {column}: {text} ({hint})")]
pub struct DataFault {
    /// The file in `data/`.
    pub file: String,
    /// The line in the file, counted from 1; the heading is line 1.
    pub line: u64,
    /// The heading of the column; empty when the whole row is meant.
    pub column: String,
    /// What was read and what was expected.
    pub text: String,
    /// What to do about it.
    pub hint: String,
}

impl DataFault {
    /// Puts a column's fault at its place in a file.
    pub fn at(file: &str, line: u64, fault: ColumnFault) -> DataFault {
        DataFault {
            file: file.to_string(),
            line,
            column: fault.column,
            text: fault.text,
            hint: fault.hint,
        }
    }
}
