//! The story as plain text: what a folder's `story.txt` holds.
//!
//! The first line names the form, the second the restoration. Then each entry, after an empty
//! line: `fact: NUMBER`, `at: TIME`, `kind: KIND`, and the fields of its kind, a line each (see
//! [`Fields`] for texts of several lines). What is written reads back to the
//! same entries, and those are written to the same bytes. Faults carry their lines.

use crate::fact::Fact;
use crate::fields::{FieldFault, Fields, Reader};
use crate::stamp::Stamp;
use crate::story::{Brief, Entry, Standing, naming_fault, stand_anew};

/// The first line.
const FORM: &str = "restoration, plain form 1";

/// A story read from plain text.
#[derive(Debug, Clone, PartialEq)]
pub struct PlainStory {
    /// Name of the restoration.
    pub name: String,
    /// Its entries.
    pub entries: Vec<Entry>,
}

impl PlainStory {
    /// The text.
    pub fn to_text(&self) -> String {
        let mut head = Fields::default();
        head.text("name", &self.name);
        let mut text = format!("{FORM}\n{}", head.to_plain());
        for entry in &self.entries {
            let mut fields = Fields::default();
            fields.text("fact", &entry.number.to_string());
            fields.text("at", entry.at.as_str());
            fields.text("kind", entry.fact.kind());
            text.push('\n');
            text.push_str(&fields.to_plain());
            text.push_str(&entry.fact.to_fields().to_plain());
        }
        text
    }

    /// Reads the text; all faults at once.
    pub fn read(text: &str) -> Result<PlainStory, Vec<FieldFault>> {
        let mut faults = Vec::new();
        let mut pieces = pieces(text);
        let name = match pieces.next() {
            Some((line, head)) => head_name(line, &head, &mut faults),
            None => head_name(1, "", &mut faults),
        };
        let mut entries: Vec<Entry> = Vec::new();
        let mut earlier: Vec<Brief> = Vec::new();
        for (index, (line, piece)) in pieces.enumerate() {
            match entry(line, &piece, index as u64 + 1) {
                Ok(entry) => {
                    // Where an entry is missing, what names one cannot be judged.
                    if entry.fact.names().is_some() && faults.is_empty() {
                        faults.extend(names_fault(line, &earlier, &entry.fact));
                    }
                    earlier.push(Brief::of(&entry.fact));
                    entries.push(entry);
                }
                Err(more) => faults.extend(more),
            }
        }
        stand_anew(&mut entries);
        if faults.is_empty() {
            Ok(PlainStory { name, entries })
        } else {
            Err(faults)
        }
    }
}

/// Pieces of the text between empty lines, each with the number of its first line.
fn pieces(text: &str) -> impl Iterator<Item = (usize, String)> {
    let mut found: Vec<(usize, String)> = Vec::new();
    let mut is_open = false;
    for (index, line) in text.split('\n').enumerate() {
        // A text file that passed through another system may end its lines with a return too.
        let line = line.strip_suffix('\r').unwrap_or(line);
        if line.is_empty() {
            is_open = false;
            continue;
        }
        match found.last_mut() {
            Some((_, piece)) if is_open => piece.push_str(line),
            _ => found.push((index + 1, line.to_owned())),
        }
        if let Some((_, piece)) = found.last_mut() {
            piece.push('\n');
        }
        is_open = true;
    }
    found.into_iter()
}

fn head_name(line: usize, head: &str, faults: &mut Vec<FieldFault>) -> String {
    let fault = |line, text: &str, hint: &str| FieldFault {
        line,
        ..FieldFault::new("", text, hint)
    };
    let (form, rest) = head.split_once('\n').unwrap_or((head, ""));
    if form.trim_start_matches('\u{feff}') != FORM {
        faults.push(fault(
            line,
            &format!("the first line is not `{FORM}`"),
            "name a folder that `firstraster export` made",
        ));
        return String::new();
    }
    let fields = match Fields::from_plain(rest, line + 1) {
        Ok(fields) => fields,
        Err(more) => {
            faults.extend(more);
            return String::new();
        }
    };
    let mut reader = Reader::new(&fields);
    let name = reader.required("name");
    faults.extend(
        reader
            .end()
            .into_iter()
            .map(|fault| at_line(fault, line + 1)),
    );
    name
}

fn entry(line: usize, piece: &str, number: u64) -> Result<Entry, Vec<FieldFault>> {
    let mut fields = Fields::from_plain(piece, line)?;
    let mut faults = Vec::new();
    let mut take = |key: &str| {
        let text = fields.pairs().find(|(own, _)| *own == key);
        let text = text.map(|(_, text)| text.to_owned()).unwrap_or_default();
        fields.replace(key, "");
        text
    };
    let (told, at, kind) = (take("fact"), take("at"), take("kind"));
    if told != number.to_string() {
        let text = format!("`fact: {told}` read, `fact: {number}` expected");
        faults.push(FieldFault {
            line,
            ..FieldFault::new("fact", text, "number the facts from 1 without gaps")
        });
    }
    let at = Stamp::read(&at).map_err(|text| FieldFault {
        line,
        ..FieldFault::new("at", text, "write day, hour and offset in this form")
    });
    let fact = Fact::from_fields(&kind, &fields);
    match (at, fact) {
        (Ok(at), Ok(fact)) if faults.is_empty() => Ok(Entry {
            number,
            at,
            fact,
            standing: Standing::Stands,
        }),
        (at, fact) => {
            faults.extend(at.err());
            let more = fact.err().unwrap_or_default();
            faults.extend(more.into_iter().map(|fault| at_line(fault, line)));
            Err(faults)
        }
    }
}

/// A fault that belongs to no line of its own gets the first one of its entry.
fn at_line(fault: FieldFault, line: usize) -> FieldFault {
    FieldFault {
        line: if fault.line == 0 { line } else { fault.line },
        ..fault
    }
}

fn names_fault(line: usize, earlier: &[Brief], fact: &Fact) -> Option<FieldFault> {
    let number = fact.names()?;
    let text = if number > earlier.len() as u64 {
        "names no earlier fact".to_owned()
    } else {
        naming_fault(earlier, fact).map(|because| format!("names a fact that {because}"))?
    };
    Some(FieldFault {
        line,
        ..FieldFault::new("names", text, "name an earlier fact that stands")
    })
}
