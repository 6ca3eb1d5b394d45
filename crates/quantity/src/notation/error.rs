//! What is wrong in a value text, and where.
//!
//! Spans are byte offsets into the text that was given; they always lie on character boundaries. `Display` is one line.

use std::ops::Range;

/// One fault of a value text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotationError {
    /// Where it stands in the text, in bytes.
    pub span: Range<usize>,
    /// What was read there (shortened when long, control characters made visible).
    pub read: String,
    /// What would have been right there.
    pub expected: String,
    /// What to do, or the nearest right spelling.
    pub hint: String,
    /// The readings between which the text does not decide; empty when it has none.
    pub readings: Vec<String>,
}

impl NotationError {
    /// The 1-based column, in characters, at which the fault begins in `text` (the text that was read).
    pub fn column_in(&self, text: &str) -> usize {
        text.char_indices()
            .take_while(|(byte, _)| *byte < self.span.start)
            .count()
            + 1
    }
}

impl std::fmt::Display for NotationError {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(formatter, "\"{}\": ", self.read)?;
        if self.readings.is_empty() {
            write!(formatter, "expected {}", self.expected)?;
        } else {
            write!(
                formatter,
                "can be read as {}",
                self.readings.join(" or as ")
            )?;
        }
        if self.hint.is_empty() {
            Ok(())
        } else {
            write!(formatter, "; {}", self.hint)
        }
    }
}

impl std::error::Error for NotationError {}

/// `text` fit for a message: control characters visible, at most 40 characters.
pub(super) fn shown(text: &str) -> String {
    let mut shown = String::new();
    for (count, character) in text.chars().enumerate() {
        if count == 40 {
            shown.push('…');
            break;
        }
        if character.is_control() {
            shown.extend(character.escape_default());
        } else {
            shown.push(character);
        }
    }
    shown
}
