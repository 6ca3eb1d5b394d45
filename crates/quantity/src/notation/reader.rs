//! Cuts a value text into numbers with their units, words and signs.
//!
//! First half of the reading: [`pieces`] looks at characters, [`super::meaning`] then looks at neighbouring pieces. Each fault is
//! noted and the reading goes on behind it, so that all faults of a text come at once. Numbers are cut in [`super::cut_number`], the
//! units behind them in [`super::cut_unit`].

use std::ops::Range;

use super::error::NotationError;
use super::item::{Expect, Measure};
use super::number;
use super::text::Text;
use super::unit_words::{self, Found};

/// A piece of the text with its range of characters.
#[derive(Clone, Debug)]
pub(super) struct Piece {
    pub range: Range<usize>,
    pub what: PieceKind,
}

/// What a piece is.
#[derive(Clone, Debug)]
pub(super) enum PieceKind {
    /// A number (in SI if it has a unit), its sign, and what it measures.
    Number {
        value: f64,
        sign: Option<char>,
        measure: Option<Measure>,
        /// What the unit multiplied the number by; 1 without a unit.
        factor: f64,
    },
    /// A word, as [`super::ItemKind::Word`] gives it.
    Word(String),
    /// `at` or `@`.
    At,
    /// A dash or the word `to` between two numbers.
    To,
    /// `±` or one of its spellings.
    PlusMinus,
    /// Something already refused; keeps its neighbours apart.
    Refused,
}

/// Words that are written in lower case without dots wherever they are met.
pub(super) const BENCH_WORDS: &[&str] = &[
    "ac",
    "at",
    "carbon",
    "closed",
    "cold",
    "ct",
    "dc",
    "each",
    "hot",
    "idle",
    "in",
    "line",
    "max",
    "min",
    "off",
    "on",
    "open",
    "parallel",
    "peak",
    "peak-to-peak",
    "per",
    "range",
    "rms",
    "series",
    "slow",
    "steady",
    "surge",
    "tapped",
    "type",
    "unloaded",
    "wire-wound",
    "wirewound",
    "working",
];

/// Cuts `text`; faults are added to `faults`.
pub(super) fn pieces(text: &Text, expect: Expect, faults: &mut Vec<NotationError>) -> Vec<Piece> {
    let mut cutter = Cutter {
        text,
        expect,
        faults,
        pieces: Vec::new(),
    };
    let mut at = 0;
    while at < text.len() {
        let next = cutter.cut_at(at);
        // Every step moves on, whatever stands there.
        at = next.max(at + 1);
    }
    cutter.pieces
}

/// Where the cutting stands.
pub(super) struct Cutter<'r, 't> {
    pub text: &'r Text<'t>,
    pub expect: Expect,
    pub faults: &'r mut Vec<NotationError>,
    pub pieces: Vec<Piece>,
}

impl Cutter<'_, '_> {
    /// Cuts one piece at `at`; gives the index behind it.
    fn cut_at(&mut self, at: usize) -> usize {
        let text = self.text;
        let Some(character) = text.char_at(at) else {
            return at + 1;
        };
        if character == ' ' || character == ';' || character == ',' {
            return at + 1;
        }
        if let Some(end) = self.plus_minus_end(at) {
            self.push(at..end, PieceKind::PlusMinus);
            return end;
        }
        if number::begins_at(text, at) {
            return self.cut_number(at, at, None);
        }
        match character {
            '@' => self.push(at..at + 1, PieceKind::At),
            '+' | '-' => {
                let digits = text.skip_spaces(at + 1);
                if !number::begins_at(text, digits) {
                    return self.refuse_characters(at);
                }
                let behind_value = at > 0 && (text.digit_at(at - 1) || text.letter_at(at - 1));
                let set_apart = digits > at + 1 && !self.pieces.is_empty();
                if character == '-' && (behind_value || set_apart) {
                    self.push(at..at + 1, PieceKind::To);
                    return at + 1;
                }
                return self.cut_number(at, digits, Some(character));
            }
            // "0.05 mfd/600 V": a slash after a unit separates; "+50/-10 %" as well.
            '/' if at > 0
                && !self.pieces.is_empty()
                && (number::begins_at(text, at + 1) || text.char_at(at + 1) == Some('-')) => {}
            _ if text.letter_at(at) => return self.cut_word(at),
            _ => return self.refuse_characters(at),
        }
        at + 1
    }

    pub(super) fn push(&mut self, range: Range<usize>, what: PieceKind) {
        self.pieces.push(Piece { range, what });
    }

    pub(super) fn refuse(
        &mut self,
        range: Range<usize>,
        expected: &str,
        hint: &str,
        readings: Vec<String>,
    ) {
        self.faults
            .push(self.text.fault(range.clone(), expected, hint, readings));
        self.push(range, PieceKind::Refused);
    }

    fn plus_minus_end(&self, at: usize) -> Option<usize> {
        ["±", "+/-", "+-", "-/+"]
            .iter()
            .find(|sign| {
                sign.chars()
                    .enumerate()
                    .all(|(offset, wanted)| self.text.char_at(at + offset) == Some(wanted))
            })
            .map(|sign| at + sign.chars().count())
    }

    /// Refuses the run of characters at `at` that can begin nothing.
    fn refuse_characters(&mut self, at: usize) -> usize {
        let mut end = at + 1;
        while self.text.char_at(end).is_some_and(|character| {
            let sign_of_number = "+-/".contains(character) && number::begins_at(self.text, end + 1);
            !character.is_alphanumeric()
                && !" ,;@±%°~".contains(character)
                && !sign_of_number
                && !number::begins_at(self.text, end)
        }) {
            end += 1;
        }
        self.refuse(
            at..end,
            "a number with its unit, or a word",
            "leave this out",
            Vec::new(),
        );
        end
    }

    /// Cuts a word that stands by itself.
    fn cut_word(&mut self, at: usize) -> usize {
        let text = self.text;
        let mut end = at;
        while let Some(character) = text.char_at(end) {
            let joins = match character {
                '-' | '.' | '/' => text.letter_at(end + 1) || text.digit_at(end + 1),
                '+' => end - at <= 2 && !text.digit_at(end + 1),
                '\'' => true,
                other => other.is_ascii_digit() || super::text::is_letter(other),
            };
            if !joins {
                break;
            }
            end += 1;
        }
        if text.char_at(end) == Some('.') {
            end += 1;
        }
        let typed = text.original(at..end).trim_end_matches('.');
        let plain = undotted(&text.uniform(at..end)).to_lowercase();
        let behind = text.skip_spaces(end);
        let signed = matches!(text.char_at(behind), Some('+' | '-'));
        let numbers_around = matches!(
            self.pieces.last(),
            Some(Piece {
                what: PieceKind::Number { .. },
                ..
            })
        ) && number::begins_at(text, behind + usize::from(signed));
        if plain == "at" {
            self.push(at..end, PieceKind::At);
        } else if plain == "to" && numbers_around {
            self.push(at..end, PieceKind::To);
        } else if let Some(reading) = self.leading_decimal_letter(typed) {
            self.refuse(
                at..end,
                "a value or a name, one of them",
                "write 0.47 ohm, not R47",
                reading,
            );
        } else if BENCH_WORDS.contains(&plain.as_str()) {
            self.push(at..end, PieceKind::Word(plain));
        } else if self.is_lost_unit(&undotted(&text.uniform(at..end))) {
            self.refuse(
                at..end,
                "a number before the unit",
                "write the number, or leave the unit out",
                Vec::new(),
            );
        } else {
            self.push(at..end, PieceKind::Word(typed.to_string()));
        }
        end
    }

    /// A unit that no number stands before. Where nothing particular is expected a lone letter may be a name (`line a`).
    fn is_lost_unit(&self, word: &str) -> bool {
        let long_enough = self.expect != Expect::Anything || word.chars().count() > 1;
        long_enough && unit_words::find(word, 1.0, self.expect) != Found::Nothing
    }

    /// `R47` where a resistance is expected: 0.47 ohm on modern parts, the name of a part on the chassis.
    fn leading_decimal_letter(&self, word: &str) -> Option<Vec<String>> {
        let digits = word.strip_prefix(['R', 'r'])?;
        let all_digits = !digits.is_empty()
            && digits.len() <= 3
            && digits.bytes().all(|byte| byte.is_ascii_digit());
        (all_digits && self.expect == Expect::Resistance)
            .then(|| vec![format!("0.{digits} ohm"), format!("the part {word}")])
    }
}

pub(super) fn undotted(word: &str) -> String {
    word.replace('.', "")
}
