//! The restorer's own prices: what one piece of something costs.
//!
//! A table in CSV with the headings `for`, `price`, `notes`. `for` is a kind of `data/todays_parts.csv`, a part of the
//! set such as `C40`, or a thing in words, such as `line cord`; whether the set has it is judged where the set is known.
//! Prices are plain numbers from 0 to a million in the restorer's own money. The program has none of its own. Every
//! fault of the table comes at once, with line and column.

use crate::fault::DataFault;
use crate::table::{read_table, unique};

/// One price.
#[derive(Clone, Debug, PartialEq)]
pub struct Price {
    /// What it is for.
    pub of: String,
    /// Price of one piece.
    pub price: f64,
    /// What else there is to say; may be empty.
    pub notes: String,
    /// Line of the table.
    pub line: u64,
}

const HEADINGS: [&str; 3] = ["for", "price", "notes"];

/// Reads a table of prices: its sound rows, and every fault with line and column.
pub fn read_prices(file: &str, text: &str) -> (Vec<Price>, Vec<DataFault>) {
    let mut faults = Vec::new();
    let mut rows = read_table(file, text, &HEADINGS, &mut faults, |fields| {
        Some(Price {
            of: fields.required("for"),
            price: fields.required_number("price", 0.0, 1e6),
            notes: fields.owned("notes"),
            line: 0,
        })
    });
    for (line, row) in &mut rows {
        row.line = *line;
    }
    let rows = unique(file, rows, "for", |row| row.of.to_lowercase(), &mut faults);
    (rows, faults)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn prices_are_read_and_nonsense_is_told_all_at_once() {
        let (rows, faults) = read_prices(
            "own.csv",
            "for,price,notes\nC40,0.8,\nline cord,9,two metres\n",
        );
        assert_eq!((rows.len(), faults), (2, Vec::new()));
        let (_, faults) = read_prices(
            "own.csv",
            "for,price,notes\nC40,cheap,\n,3,\nc41,-2,\nC41,1e9,\n",
        );
        for (line, column) in [(2, "price"), (3, "for"), (4, "price"), (5, "price")] {
            assert!(
                faults
                    .iter()
                    .any(|own| own.line == line && own.column == column),
                "{line} {column}: {faults:?}"
            );
        }
    }
    /// Lines counted by hand: blank ones, a note that runs over two lines, a row with a cell too few.
    #[test]
    fn the_line_of_a_price_is_that_of_the_file() {
        let text =
            "for,price,notes\n\nC40,0.8,\n\n\nline cord,9,\"two metres,\nof rubber\"\nC41,1,\n";
        let (rows, faults) = read_prices("own.csv", text);
        assert_eq!(faults, []);
        let lines: Vec<(&str, u64)> = rows.iter().map(|own| (&own.of[..], own.line)).collect();
        assert_eq!(lines, [("C40", 3), ("line cord", 6), ("C41", 8)]);
        let text = "for,price,notes\r\n\r\n# mine\r\n\r\nC40,cheap,\r\n";
        let (_, faults) = read_prices("own.csv", text);
        let lines: Vec<u64> = faults.iter().map(|own| own.line).collect();
        assert_eq!(lines, [3, 5], "{faults:?}");
    }

    /// A row at fault does not hide what is to be said of the others.
    #[test]
    fn sound_rows_are_handed_on_beside_the_faults() {
        let (rows, faults) = read_prices("own.csv", "for,price,notes\nC999,1,\nC40,cheap,\n");
        assert_eq!((rows.len(), faults.len()), (1, 1));
        assert_eq!((&rows[0].of[..], rows[0].line), ("C999", 2));
    }
}
