//! A value text as characters made uniform, each with its place in the original.
//!
//! Both micro signs become `u`, both ohm signs `Ω`, every dash `-`, every blank a space; nothing else changes, and every
//! character keeps its byte offset. Asking beyond the end gives nothing, so nothing here fails.

use std::ops::Range;

use super::error::{NotationError, shown};

/// The text and its uniform characters.
pub(super) struct Text<'t> {
    original: &'t str,
    characters: Vec<(usize, char)>,
}

impl<'t> Text<'t> {
    pub(super) fn new(original: &'t str) -> Text<'t> {
        let characters = original
            .char_indices()
            .map(|(byte, character)| (byte, uniform(character)))
            .collect();
        Text {
            original,
            characters,
        }
    }

    /// Number of characters.
    pub(super) fn len(&self) -> usize {
        self.characters.len()
    }

    /// The uniform character at an index.
    pub(super) fn char_at(&self, index: usize) -> Option<char> {
        self.characters.get(index).map(|(_, character)| *character)
    }

    /// Whether a letter of a word or unit stands at an index.
    pub(super) fn letter_at(&self, index: usize) -> bool {
        self.char_at(index).is_some_and(is_letter)
    }

    /// Whether a digit stands at an index.
    pub(super) fn digit_at(&self, index: usize) -> bool {
        self.char_at(index)
            .is_some_and(|character| character.is_ascii_digit())
    }

    /// The index of the first character from `index` on that is no space.
    pub(super) fn skip_spaces(&self, mut index: usize) -> usize {
        while self.char_at(index) == Some(' ') {
            index += 1;
        }
        index
    }

    /// Byte span of a range of characters.
    pub(super) fn span(&self, range: Range<usize>) -> Range<usize> {
        self.byte(range.start)..self.byte(range.end.max(range.start))
    }

    /// The original text of a range of characters.
    pub(super) fn original(&self, range: Range<usize>) -> &'t str {
        self.original.get(self.span(range)).unwrap_or("")
    }

    /// The uniform characters of a range.
    pub(super) fn uniform(&self, range: Range<usize>) -> String {
        range.filter_map(|index| self.char_at(index)).collect()
    }

    /// A fault at a range of characters.
    pub(super) fn fault(
        &self,
        range: Range<usize>,
        expected: &str,
        hint: &str,
        readings: Vec<String>,
    ) -> NotationError {
        NotationError {
            span: self.span(range.clone()),
            read: shown(self.original(range)),
            expected: expected.to_string(),
            hint: hint.to_string(),
            readings,
        }
    }

    fn byte(&self, index: usize) -> usize {
        self.characters
            .get(index)
            .map_or(self.original.len(), |(byte, _)| *byte)
    }
}

/// Whether a character can be part of a word or a unit.
pub(super) fn is_letter(character: char) -> bool {
    character.is_alphabetic() || character == '°' || character == '%' || character == '~'
}

fn uniform(character: char) -> char {
    match character {
        '\u{b5}' | '\u{3bc}' => 'u',
        '\u{2126}' => 'Ω',
        '\u{2010}'..='\u{2015}' | '\u{2212}' => '-',
        blank if blank.is_whitespace() => ' ',
        other => other,
    }
}
