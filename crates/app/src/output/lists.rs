//! Headings, paragraphs, lists and tables in the program's own plain look.
//!
//! Widths in columns of the terminal, at most the page's. Tables have one rule
//! under their heads and no other lines; figures stand to the right.

use anstyle::{Effects, Style};
use comfy_table::{Cell, CellAlignment, ContentArrangement, LineStyle, Table, TableStyle};
use textwrap::Options;

use super::PAGE_WIDTH;

pub use benchwork::figures::sentence;

const HEAVY: Style = Style::new().effects(Effects::BOLD);

/// A heading of the page: heavy, with a rule of its own length.
pub fn title(text: &str) -> String {
    let rule = "=".repeat(text.chars().count().min(PAGE_WIDTH));
    format!("{HEAVY}{text}{HEAVY:#}\n{rule}\n")
}

/// A heading inside a page.
pub fn heading(text: &str) -> String {
    format!("{HEAVY}{text}{HEAVY:#}\n")
}

/// A paragraph, broken at the page's width.
pub fn paragraph(text: &str) -> String {
    indented(text, "", "")
}

/// A paragraph whose first line and further lines are set in.
pub fn indented(text: &str, first: &str, further: &str) -> String {
    let options = Options::new(PAGE_WIDTH)
        .initial_indent(first)
        .subsequent_indent(further)
        .break_words(true);
    let mut lines = textwrap::fill(text, options);
    lines.push('\n');
    lines
}

/// A list, a dash before each entry.
pub fn dashes<'a>(entries: impl IntoIterator<Item = &'a str>) -> String {
    entries
        .into_iter()
        .map(|entry| indented(entry, "  - ", "    "))
        .collect()
}

/// A list, numbered from 1.
pub fn numbered<'a>(entries: impl IntoIterator<Item = &'a str>) -> String {
    let line =
        |(index, entry): (usize, &str)| indented(entry, &format!("{:>4}. ", index + 1), "      ");
    entries.into_iter().enumerate().map(line).collect()
}

/// A table with heads; the columns named in `to_the_right` hold figures.
pub fn table(heads: &[&str], to_the_right: &[usize], rows: Vec<Vec<String>>) -> String {
    let align = |index: usize| {
        if to_the_right.contains(&index) {
            CellAlignment::Right
        } else {
            CellAlignment::Left
        }
    };
    let cells = |row: Vec<String>| -> Vec<Cell> {
        row.into_iter()
            .enumerate()
            .map(|(index, text)| Cell::new(text).set_alignment(align(index)))
            .collect()
    };
    let mut table = Table::new();
    table.load_style(TableStyle::new().header_separator(LineStyle::none().fill('-').junction('-')));
    table.set_content_arrangement(ContentArrangement::Dynamic);
    table.set_width(PAGE_WIDTH as u16);
    table.set_header(cells(heads.iter().map(|head| (*head).to_owned()).collect()));
    for row in rows {
        table.add_row(cells(row));
    }
    let mut text: String = table.trim_fmt();
    text.push('\n');
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_is_wider_than_the_page() {
        let long = "a word and another ".repeat(20);
        let rows = vec![vec![long.clone(), "345 V".to_owned(), long.clone()]];
        let pages = [
            paragraph(&long),
            dashes([long.as_str()]),
            numbered([long.as_str()]),
            table(&["at", "v", "why"], &[1], rows),
        ];
        for page in pages {
            for line in page.lines() {
                assert!(line.chars().count() <= PAGE_WIDTH, "{line}");
            }
        }
    }

    #[test]
    fn figures_stand_to_the_right() {
        let rows = vec![
            vec!["B+".to_owned(), "5 V".to_owned()],
            vec!["B+".to_owned(), "345 V".to_owned()],
        ];
        let page = table(&["at", "expected"], &[1], rows);
        let ends: Vec<usize> = page.lines().skip(2).map(str::len).collect();
        assert!(ends.windows(2).all(|pair| pair[0] == pair[1]), "{page}");
    }
}
