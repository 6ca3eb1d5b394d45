//! The plain form: lines of `key: text`, which a person can read and a program can take back.
//!
//! A text of several lines stands below its key, each line behind `  | `. A backslash is
//! written twice; other control characters, and blanks at the ends of a line, are written
//! `\u{9}` by their number. Empty texts are left out; an entry of a list has a line of its
//! own. No text is lost or altered on the way out and back. Faults carry their line.

/// A fault in a field of a fact.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FieldFault {
    /// Line of the text, from 1; 0 where there is no text.
    pub line: usize,
    /// The key; empty where a whole entry is meant.
    pub key: String,
    /// What was read and expected.
    pub text: String,
    /// What to do.
    pub hint: String,
}

impl FieldFault {
    /// A fault without a line.
    pub fn new(key: &str, text: impl Into<String>, hint: impl Into<String>) -> FieldFault {
        FieldFault {
            line: 0,
            key: key.to_owned(),
            text: text.into(),
            hint: hint.into(),
        }
    }
}

/// Keys with their texts, in order; a key may come again.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Fields {
    pairs: Vec<(String, String, usize)>,
}

impl Fields {
    /// Keys and texts in order.
    pub fn pairs(&self) -> impl Iterator<Item = (&str, &str)> {
        self.pairs
            .iter()
            .map(|(key, text, _)| (key.as_str(), text.as_str()))
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.pairs.is_empty()
    }

    /// Adds a text, unless it is empty.
    pub fn text(&mut self, key: &str, text: &str) {
        if !text.is_empty() {
            self.pairs.push((key.to_owned(), text.to_owned(), 0));
        }
    }

    /// Adds a figure, unless it is unknown.
    pub fn number(&mut self, key: &str, value: Option<f64>) {
        if let Some(value) = value {
            self.text(key, &number_text(value));
        }
    }

    /// Adds each entry of a list.
    pub fn list(&mut self, key: &str, entries: &[String]) {
        for entry in entries {
            self.text(key, entry);
        }
    }

    /// Adds `yes`, or nothing.
    pub fn yes(&mut self, key: &str, is: bool) {
        self.text(key, if is { "yes" } else { "" });
    }

    /// Adds all of other fields, their keys behind a prefix.
    pub fn prefixed(&mut self, prefix: &str, fields: &Fields) {
        for (key, text) in fields.pairs() {
            self.text(&format!("{prefix}{key}"), text);
        }
    }

    /// Puts a text in the place of what the key says; an empty one takes the key out.
    pub fn replace(&mut self, key: &str, text: &str) {
        let place = self.pairs.iter().position(|(own, _, _)| own == key);
        self.pairs.retain(|(own, _, _)| own != key);
        if !text.is_empty() {
            let place = place.unwrap_or(self.pairs.len()).min(self.pairs.len());
            self.pairs
                .insert(place, (key.to_owned(), text.to_owned(), 0));
        }
    }

    /// The plain form, a line or more for each pair.
    pub fn to_plain(&self) -> String {
        let mut plain = String::new();
        for (key, text) in self.pairs() {
            if text.contains('\n') {
                plain.push_str(&format!("{key}:\n"));
                for line in text.split('\n') {
                    let gap = if line.is_empty() { "" } else { " " };
                    plain.push_str(&format!("  |{gap}{}\n", escaped(line)));
                }
            } else {
                plain.push_str(&format!("{key}: {}\n", escaped(text)));
            }
        }
        plain
    }

    /// Reads the plain form, whose first line has this number; all faults at once.
    pub fn from_plain(plain: &str, first_line: usize) -> Result<Fields, Vec<FieldFault>> {
        let mut fields = Fields::default();
        let mut faults = Vec::new();
        let mut open: Option<usize> = None;
        for (index, line) in plain.lines_of().enumerate() {
            let number = first_line + index;
            let mut fault = |text: String, hint: &str| {
                let fault = FieldFault::new("", text, hint);
                faults.push(FieldFault {
                    line: number,
                    ..fault
                });
            };
            if let Some(rest) = line.strip_prefix("  |") {
                let piece = unescaped(rest.strip_prefix(' ').unwrap_or(rest));
                match (open.and_then(|place| fields.pairs.get_mut(place)), piece) {
                    (Some(pair), Some(piece)) => {
                        if pair.2 == 0 {
                            pair.2 = number;
                        } else {
                            pair.1.push('\n');
                        }
                        pair.1.push_str(&piece);
                    }
                    (None, _) => fault(
                        "a further line of a text without its key".to_owned(),
                        "put `key:` above it",
                    ),
                    (_, None) => fault(
                        format!("`{}` has a backslash that means nothing", shown(line)),
                        "write two for one",
                    ),
                }
                continue;
            }
            let Some((key, rest)) = line.split_once(':').filter(|(key, _)| is_key(key)) else {
                fault(
                    format!("`{}` read, `key: text` expected", shown(line)),
                    "put a further line of a text behind `  | `",
                );
                continue;
            };
            open = None;
            match (rest, rest.strip_prefix(' ').and_then(unescaped)) {
                ("", _) => {
                    open = Some(fields.pairs.len());
                    fields.pairs.push((key.to_owned(), String::new(), 0));
                }
                (_, Some(text)) if !text.is_empty() => {
                    fields.pairs.push((key.to_owned(), text, number));
                }
                _ => fault(
                    format!("`{}` read, a text behind `{key}: ` expected", shown(line)),
                    "leave the line out if there is nothing to say; write two backslashes for one",
                ),
            }
        }
        if let Some((key, ..)) = fields.pairs.iter().find(|(_, text, _)| text.is_empty()) {
            faults.push(FieldFault {
                line: first_line,
                ..FieldFault::new(key, "a key without a text", "leave it out")
            });
        }
        if faults.is_empty() {
            Ok(fields)
        } else {
            Err(faults)
        }
    }
}

/// Splits at line feeds alone; what ends with one has no empty line after it.
trait LinesOf {
    fn lines_of(&self) -> impl Iterator<Item = &str>;
}

impl LinesOf for str {
    fn lines_of(&self) -> impl Iterator<Item = &str> {
        let body = self.strip_suffix('\n').unwrap_or(self);
        body.split('\n').filter(|_| !self.is_empty())
    }
}

/// Takes fields apart; what nobody asked for is a fault at the end.
pub struct Reader<'a> {
    fields: &'a Fields,
    taken: Vec<bool>,
    faults: Vec<FieldFault>,
}

impl<'a> Reader<'a> {
    /// Begins with nothing taken.
    pub fn new(fields: &'a Fields) -> Reader<'a> {
        Reader {
            taken: vec![false; fields.pairs.len()],
            fields,
            faults: Vec::new(),
        }
    }

    /// The text of a key; empty if it is absent. A second line of it is left for [`Reader::end`].
    pub fn text(&mut self, key: &str) -> String {
        self.first(key).map(|(text, _)| text).unwrap_or_default()
    }

    /// A text that must be there.
    pub fn required(&mut self, key: &str) -> String {
        let text = self.text(key);
        if text.is_empty() {
            self.fault(key, 0, "is not said, but needed", "say it");
        }
        text
    }

    /// A figure; `None` if absent.
    pub fn number(&mut self, key: &str) -> Option<f64> {
        let (text, line) = self.first(key)?;
        let value = number_of(&text);
        if value.is_none() {
            let text = format!("`{}` read, a number expected", shown(&text));
            self.fault(
                key,
                line,
                &text,
                "write a plain number, such as 117 or 0.05",
            );
        }
        value
    }

    /// A figure that must be there.
    pub fn required_number(&mut self, key: &str) -> f64 {
        if !self.has(key) {
            self.fault(key, 0, "is not said, but needed", "say it");
        }
        self.number(key).unwrap_or_default()
    }

    /// Every entry of a list.
    pub fn list(&mut self, key: &str) -> Vec<String> {
        std::iter::from_fn(|| self.first(key).map(|(text, _)| text)).collect()
    }

    /// Every figure of a list.
    pub fn numbers(&mut self, key: &str) -> Vec<f64> {
        let mut numbers = Vec::new();
        while self.has(key) {
            numbers.extend(self.number(key));
        }
        numbers
    }

    /// `yes`, or nothing.
    pub fn yes(&mut self, key: &str) -> bool {
        let Some((text, line)) = self.first(key) else {
            return false;
        };
        if text != "yes" {
            let text = format!("`{}` read, yes expected", shown(&text));
            self.fault(key, line, &text, "write yes, or leave the line out");
        }
        true
    }

    /// Fields whose keys begin with a prefix, without it.
    pub fn prefixed(&mut self, prefix: &str) -> Fields {
        let mut inner = Fields::default();
        for (place, (key, text, line)) in self.fields.pairs.iter().enumerate() {
            if let Some(key) = key.strip_prefix(prefix) {
                inner.pairs.push((key.to_owned(), text.clone(), *line));
                self.taken[place] = true;
            }
        }
        inner
    }

    /// Whether the key is there and not taken yet.
    pub fn has(&self, key: &str) -> bool {
        self.place(key).is_some()
    }

    /// Notes a fault at the line of a key, if it has one.
    pub fn fault(&mut self, key: &str, line: usize, text: &str, hint: &str) {
        self.faults.push(FieldFault {
            line,
            ..FieldFault::new(key, text, hint)
        });
    }

    /// Notes faults found elsewhere.
    pub fn more_faults(&mut self, faults: Vec<FieldFault>) {
        self.faults.extend(faults);
    }

    /// Everything that is wrong, what nobody asked for included.
    pub fn end(mut self) -> Vec<FieldFault> {
        for (place, (key, _, line)) in self.fields.pairs.iter().enumerate() {
            if !self.taken[place] {
                let known = self.fields.pairs.iter().zip(&self.taken);
                let is_twice = known.clone().any(|((own, ..), taken)| *taken && own == key);
                let text = if is_twice {
                    "is said twice"
                } else {
                    "belongs to no fact of this kind"
                };
                self.faults.push(FieldFault {
                    line: *line,
                    ..FieldFault::new(key, text, "take it out")
                });
            }
        }
        self.faults
    }

    fn place(&self, key: &str) -> Option<usize> {
        let pairs = self.fields.pairs.iter().zip(&self.taken);
        pairs
            .enumerate()
            .find(|(_, ((own, ..), taken))| own == key && !**taken)
            .map(|(place, _)| place)
    }

    fn first(&mut self, key: &str) -> Option<(String, usize)> {
        let place = self.place(key)?;
        self.taken[place] = true;
        let (_, text, line) = &self.fields.pairs[place];
        Some((text.clone(), *line))
    }
}

/// A figure that must be there and finite.
pub(crate) fn needed(reader: &mut Reader<'_>, key: &str) -> f64 {
    let value = reader.required_number(key);
    refuse_open(reader, key, value);
    value
}

/// A finite figure; `None` if absent.
pub(crate) fn finite(reader: &mut Reader<'_>, key: &str) -> Option<f64> {
    let value = reader.number(key)?;
    refuse_open(reader, key, value);
    Some(value)
}

fn refuse_open(reader: &mut Reader<'_>, key: &str, value: f64) {
    if value.is_infinite() {
        reader.fault(key, 0, "`open` read, a number expected", "write the number");
    }
}

/// A figure as it is written; the shortest text that reads back to the same figure.
pub fn number_text(value: f64) -> String {
    if value == f64::INFINITY {
        "open".to_owned()
    } else {
        format!("{value}")
    }
}

fn number_of(text: &str) -> Option<f64> {
    if text == "open" {
        return Some(f64::INFINITY);
    }
    let plain = text
        .bytes()
        .all(|byte| byte.is_ascii_digit() || b"+-.eE".contains(&byte));
    text.parse()
        .ok()
        .filter(|value: &f64| plain && value.is_finite())
}

fn is_key(text: &str) -> bool {
    let mut bytes = text.bytes();
    bytes.next().is_some_and(|byte| byte.is_ascii_lowercase())
        && bytes.all(|byte| byte.is_ascii_lowercase() || byte == b'_' || byte == b'.')
}

fn escaped(line: &str) -> String {
    let last = line.chars().count().saturating_sub(1);
    let mut text = String::with_capacity(line.len());
    for (place, character) in line.chars().enumerate() {
        let at_end = place == 0 || place == last;
        match character {
            '\\' => text.push_str("\\\\"),
            other if other.is_control() || (at_end && other.is_whitespace()) => {
                text.push_str(&format!("\\u{{{:x}}}", u32::from(other)));
            }
            other => text.push(other),
        }
    }
    text
}

fn unescaped(line: &str) -> Option<String> {
    let mut text = String::with_capacity(line.len());
    let mut rest = line;
    while let Some(place) = rest.find('\\') {
        let (before, after) = rest.split_at(place);
        text.push_str(before);
        if let Some(further) = after.strip_prefix("\\\\") {
            text.push('\\');
            rest = further;
        } else {
            let (code, further) = after.strip_prefix("\\u{")?.split_once('}')?;
            text.push(char::from_u32(u32::from_str_radix(code, 16).ok()?)?);
            rest = further;
        }
    }
    text.push_str(rest);
    Some(text)
}

fn shown(text: &str) -> String {
    text.chars().take(60).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(texts: &[&str]) {
        let mut fields = Fields::default();
        for text in texts {
            fields.text("note", text);
        }
        let plain = fields.to_plain();
        let read =
            Fields::from_plain(&plain, 1).unwrap_or_else(|faults| panic!("{faults:?}\n{plain}"));
        let back: Vec<&str> = read.pairs().map(|(_, text)| text).collect();
        assert_eq!(back, texts, "{plain}");
        assert_eq!(read.to_plain(), plain);
    }

    #[test]
    fn awkward_texts_come_back() {
        check(&[
            "a",
            " a ",
            "a\\b",
            "\\u{20}",
            "a\r\nb",
            "\n",
            "a\n\n b\n",
            "| a",
            "  | a",
        ]);
        check(&[
            "key: text",
            ":",
            "\u{85}x\u{2028}",
            "\t",
            "\0",
            "π 12 \"x\"",
            "fact: 3\nfact: 4",
        ]);
        check(&["a: b\r", "\u{a0}", "open", "\n\n"]);
    }

    #[test]
    fn faults_name_their_lines() {
        let faults =
            Fields::from_plain("a: b\n  | c\nno key\nd: \\x\ne:\n", 7).expect_err("faults");
        let lines: Vec<usize> = faults.iter().map(|fault| fault.line).collect();
        assert_eq!(lines, [8, 9, 10, 7]);
    }

    #[test]
    fn figures_keep_every_digit() {
        for value in [0.1 + 0.2, 1e300, -0.0, 5e-324, 117.0, f64::INFINITY] {
            let back = number_of(&number_text(value)).map(f64::to_bits);
            assert_eq!(back, Some(value.to_bits()), "{value}");
        }
        for text in ["nan", "inf", "", "0x1", "1e999", "infinity", "1 2"] {
            assert_eq!(number_of(text), None, "{text}");
        }
    }
}
