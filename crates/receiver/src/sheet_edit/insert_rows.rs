//! New rows at the end of their lists.
//!
//! The comma that a last row may lack is put in, a list that is not there is
//! begun behind the other keys; nothing else of the text changes. The new text is
//! read again before it is given, so a change that would spoil the sheet's form
//! never leaves here.

use super::alignment::columns_for;
use super::outline::{EditError, OutlineList, SheetList, SheetOutline, end_of_line};
use super::row_text::NewRow;
use super::table_rows::{behind_last, table_lines};

/// Rows that belong together, with the comment that stands above them.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct RowGroup {
    /// The comment, without its `#`; none if empty.
    pub heading: String,
    /// The rows, of any lists.
    pub rows: Vec<NewRow>,
}

/// What came of putting rows in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Inserted {
    /// The new text of the sheet.
    pub text: String,
    /// The lines put in, each with its list, in the order of the sheet.
    pub lines: Vec<(SheetList, String)>,
}

/// A piece of text put in at a byte.
struct Insertion {
    at: usize,
    text: String,
}

/// The text with the rows put in.
///
/// # Errors
/// [`EditError::Sheet`] for a text that is no TOML or a list of another shape.
pub fn insert_rows(text: &str, group: &RowGroup) -> Result<Inserted, EditError> {
    let outline = SheetOutline::of(text)?;
    let line_end = line_end_of(text);
    let mut insertions: Vec<Insertion> = Vec::new();
    let mut lines: Vec<(SheetList, String)> = Vec::new();
    for list in SheetList::ALL {
        let rows: Vec<&NewRow> = group.rows.iter().filter(|row| row.list() == list).collect();
        if rows.is_empty() {
            continue;
        }
        let heading = comment(&group.heading);
        if let Some(known) = outline.list(list).filter(|known| known.has_tables) {
            let tables: Vec<Vec<String>> = rows.iter().map(|row| table_lines(row)).collect();
            if let Some((at, text)) = behind_last(text, known, heading.as_ref(), &tables) {
                insertions.push(Insertion { at, text });
            }
            let own = heading.into_iter().chain(tables.into_iter().flatten());
            lines.extend(own.map(|line| (list, line)));
            continue;
        }
        let columns = columns_for(text, outline.rows(list), &rows);
        let rows = rows.iter().map(|row| format!("{},", row.written(&columns)));
        let own: Vec<String> = heading.into_iter().chain(rows).collect();
        match outline.list(list) {
            Some(known) => into_list(text, known, &own, line_end, &mut insertions),
            None => insertions.push(Insertion {
                at: outline.end_of_keys,
                text: new_list(text, outline.end_of_keys, list, &own, line_end),
            }),
        }
        lines.extend(own.into_iter().map(|line| (list, line)));
    }
    // Stable: what belongs to one byte stays in the order in which it was put down.
    insertions.sort_by_key(|insertion| insertion.at);
    let mut out = String::with_capacity(text.len() + 1024);
    let mut from = 0;
    for insertion in &insertions {
        out.push_str(text.get(from..insertion.at).unwrap_or(""));
        out.push_str(&insertion.text);
        from = insertion.at;
    }
    out.push_str(text.get(from..).unwrap_or(""));
    let read_again = SheetOutline::of(&out).map_err(|_| EditError::WouldNotRead)?;
    for list in SheetList::ALL {
        let added = group.rows.iter().filter(|row| row.list() == list).count();
        if read_again.rows(list).len() != outline.rows(list).len() + added {
            return Err(EditError::WouldNotRead);
        }
    }
    Ok(Inserted { text: out, lines })
}

/// The line end that the text uses.
pub(super) fn line_end_of(text: &str) -> &'static str {
    match text.find('\n') {
        Some(at) if text.as_bytes().get(at.wrapping_sub(1)) == Some(&b'\r') => "\r\n",
        _ => "\n",
    }
}

fn into_list(
    text: &str,
    list: &OutlineList,
    own: &[String],
    line_end: &str,
    insertions: &mut Vec<Insertion>,
) {
    let close = list.span.end.saturating_sub(1);
    let mut lines = String::new();
    let indent = indent_of(text, list);
    // What begins with a comment is set apart from the rows before it.
    if !list.rows.is_empty() && own.first().is_some_and(|line| line.starts_with('#')) {
        lines.push_str(line_end);
    }
    for line in own {
        lines.push_str(&format!("{indent}{line}{line_end}"));
    }
    if let Some(last) = list.rows.last()
        && !has_comma(text.get(last.span.end..close).unwrap_or(""))
    {
        insertions.push(Insertion {
            at: last.span.end,
            text: ",".to_string(),
        });
    }
    let start_of_line = text
        .get(..close)
        .and_then(|before| before.rfind('\n'))
        .map_or(0, |end| end + 1);
    let alone = text
        .get(start_of_line..close)
        .is_some_and(|before| before.trim().is_empty());
    if alone && start_of_line > list.span.start {
        insertions.push(Insertion {
            at: start_of_line,
            text: lines,
        });
    } else {
        insertions.push(Insertion {
            at: close,
            text: format!("{line_end}{lines}"),
        });
    }
}

fn new_list(text: &str, at: usize, list: SheetList, own: &[String], line_end: &str) -> String {
    let mut out = String::new();
    let before = text.get(..at).unwrap_or("");
    if !before.is_empty() && !before.ends_with('\n') {
        out.push_str(line_end);
    }
    if !before.is_empty() {
        out.push_str(line_end);
    }
    out.push_str(&format!("{} = [{line_end}", list.key()));
    for line in own {
        out.push_str(&format!("  {line}{line_end}"));
    }
    out.push_str(&format!("]{line_end}"));
    out
}

/// The heading as a comment of one line; none if it says nothing.
fn comment(heading: &str) -> Option<String> {
    let plain: String = heading
        .chars()
        .map(|character| {
            if character.is_control() {
                ' '
            } else {
                character
            }
        })
        .collect();
    let plain = plain.trim();
    (!plain.is_empty()).then(|| format!("# {plain}"))
}

/// What stands before the last row that begins a line; two spaces if there is none.
fn indent_of(text: &str, list: &OutlineList) -> String {
    for row in list.rows.iter().rev() {
        let before = text.get(..row.span.start).unwrap_or("");
        let start = before.rfind('\n').map_or(0, |end| end + 1);
        let indent = before.get(start..).unwrap_or("");
        if indent
            .chars()
            .all(|character| character == ' ' || character == '\t')
        {
            return indent.to_string();
        }
    }
    "  ".to_string()
}

/// Whether a comma stands in a piece of text outside its comments.
fn has_comma(gap: &str) -> bool {
    let mut at = 0;
    while at < gap.len() {
        let rest = gap.get(at..).unwrap_or("");
        match rest.chars().next() {
            Some(',') => return true,
            Some('#') => at = end_of_line(gap, at),
            Some(other) => at += other.len_utf8(),
            None => return false,
        }
    }
    false
}
