//! A new row of a sheet and how it is written.
//!
//! Columns count from 0; positions are in characters from the row's bracket. Any
//! text can be quoted, so writing cannot fail.

use super::outline::SheetList;

/// A row to be written into a sheet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum NewRow {
    /// A row of tubes, windings or parts: its cells in the order of the sheet's columns.
    Cells {
        /// The list it belongs to.
        list: SheetList,
        /// The cells, unquoted.
        cells: Vec<String>,
    },
    /// A row of heaters.
    Heaters {
        /// Where the feed comes in.
        from: String,
        /// Where it goes out.
        to: String,
        /// One after the other instead of side by side.
        in_series: bool,
        /// References of the tubes, in the order of the chain.
        tubes: Vec<String>,
    },
}

impl NewRow {
    /// A row of parts; an empty third place is left away.
    pub fn part(cells: [&str; 6]) -> NewRow {
        let mut cells: Vec<String> = cells.iter().map(|cell| (*cell).to_string()).collect();
        if cells.last().is_some_and(String::is_empty) {
            cells.pop();
        }
        NewRow::Cells {
            list: SheetList::Parts,
            cells,
        }
    }

    /// The list it belongs to.
    pub fn list(&self) -> SheetList {
        match self {
            NewRow::Cells { list, .. } => *list,
            NewRow::Heaters { .. } => SheetList::Heaters,
        }
    }

    /// Its cells; none for a row of heaters.
    pub fn cells(&self) -> &[String] {
        match self {
            NewRow::Cells { cells, .. } => cells,
            NewRow::Heaters { .. } => &[],
        }
    }

    /// The row as the sheet has it, without the comma behind it. `columns` says at which character each cell starts, where that
    /// is wanted.
    pub fn written(&self, columns: &[Option<usize>]) -> String {
        match self {
            NewRow::Cells { cells, .. } => {
                let mut row = String::from("[");
                let mut length = 1;
                for (index, cell) in cells.iter().enumerate() {
                    if index > 0 {
                        row.push_str(", ");
                        length += 2;
                        let wanted = columns.get(index).copied().flatten().unwrap_or(0);
                        while length < wanted {
                            row.push(' ');
                            length += 1;
                        }
                    }
                    let cell = quoted(cell);
                    length += cell.chars().count();
                    row.push_str(&cell);
                }
                row.push(']');
                row
            }
            NewRow::Heaters {
                from,
                to,
                in_series,
                tubes,
            } => {
                let tubes: Vec<String> = tubes.iter().map(|tube| quoted(tube)).collect();
                format!(
                    "{{ from = {}, to = {}, {} = [{}] }}",
                    quoted(from),
                    quoted(to),
                    if *in_series { "series" } else { "parallel" },
                    tubes.join(", ")
                )
            }
        }
    }
}

/// A text between straight quotes, with what TOML needs escaped.
pub fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for character in text.chars() {
        match character {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' => out.push_str("\\n"),
            '\r' => out.push_str("\\r"),
            '\t' => out.push_str("\\t"),
            other if other.is_control() => out.push_str(&format!("\\u{:04X}", other as u32)),
            other => out.push(other),
        }
    }
    out.push('"');
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_row_keeps_to_its_columns_and_gives_way_where_a_cell_is_too_long() {
        // Written by hand after the rows of the example sheet.
        let check = |cells: [&str; 6], columns: &[Option<usize>], wanted: &str| {
            assert_eq!(NewRow::part(cells).written(columns), wanted);
        };
        let columns = [Some(1), Some(9), Some(25), Some(48), None];
        check(
            ["R1", "resistor", "22k 1 W", "V9.5", "B+", ""],
            &columns,
            r#"["R1",   "resistor",     "22k 1 W",             "V9.5", "B+"]"#,
        );
        check(
            ["R1234567", "resistor", "22k", "a", "b", "c"],
            &columns,
            r#"["R1234567", "resistor", "22k",                 "a", "b", "c"]"#,
        );
        check(
            ["R1", "resistor", "22k", "a", "b", ""],
            &[],
            r#"["R1", "resistor", "22k", "a", "b"]"#,
        );
    }

    #[test]
    fn any_text_is_quoted_so_that_it_reads_back() {
        // What TOML 1.0 asks for in a basic string: quote, backslash and controls escaped.
        for (text, wanted) in [
            ("B+ 275", r#""B+ 275""#),
            ("a \"b\"", r#""a \"b\"""#),
            ("a\\b", r#""a\\b""#),
            ("a\u{7f}\n", r#""a\u007F\n""#),
        ] {
            assert_eq!(quoted(text), wanted);
        }
    }
}
