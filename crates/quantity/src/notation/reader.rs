//! Cuts a value text into numbers with their units, words and signs.
//!
//! First half of the reading: [`pieces`] looks at characters, [`super::meaning`] then looks at neighbouring pieces. Each fault is
//! noted and the reading goes on behind it, so that all faults of a text come at once.

use std::ops::Range;

use super::error::NotationError;
use super::item::{Expect, Measure};
use super::number::{self, Number};
use super::spelling::nearest_spelling;
use super::text::Text;
use super::unit_words::{self, Found};
use crate::units::scaled_by;

/// A piece of the text with its range of characters.
#[derive(Clone, Debug)]
pub(super) struct Piece {
    pub range: Range<usize>,
    pub what: PieceKind,
}

/// What a piece is.
#[derive(Clone, Debug)]
pub(super) enum PieceKind {
    /// A number, its sign, and its unit if it has one.
    Number {
        value: f64,
        sign: Option<char>,
        measure: Option<Measure>,
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
const BENCH_WORDS: &[&str] = &[
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

/// Words after volts or amperes that say what is assumed anyway.
const SILENT_AFTER_VOLTS: &[&str] = &["dc", "w", "wkg", "working", "dcw", "wdc"];

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

struct Cutter<'r, 't> {
    text: &'r Text<'t>,
    expect: Expect,
    faults: &'r mut Vec<NotationError>,
    pieces: Vec<Piece>,
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

    fn push(&mut self, range: Range<usize>, what: PieceKind) {
        self.pieces.push(Piece { range, what });
    }

    fn refuse(&mut self, range: Range<usize>, expected: &str, hint: &str, readings: Vec<String>) {
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

    /// Cuts a number whose digits begin at `digits`; the piece begins at `start`, where its sign may stand.
    fn cut_number(&mut self, start: usize, digits: usize, sign: Option<char>) -> usize {
        let text = self.text;
        if let Some(end) = self.cut_type_name(digits) {
            return end;
        }
        let number = match number::read(text, digits) {
            Ok(number) => number,
            Err((fault, end)) => {
                self.faults.push(fault);
                let end = self.skip_unit(end);
                self.push(start..end, PieceKind::Refused);
                return end;
            }
        };
        let number = match self.mixed_fraction(&number, start) {
            Ok(number) => number,
            Err(end) => return end,
        };
        if number.plain
            && let Some(end) = self.cut_decimal_letter(start, digits..number.end, sign)
        {
            return end;
        }
        self.cut_unit(start, &number, sign)
    }

    /// `1-1/2`, and `1 1/2` where only watts are expected; elsewhere the latter is two readings, or two numbers.
    fn mixed_fraction(&mut self, number: &Number, start: usize) -> Result<Number, usize> {
        let text = self.text;
        let spaced = text.skip_spaces(number.end);
        let joined = text.char_at(number.end) == Some('-');
        let from = if joined { number.end + 1 } else { spaced };
        if !number.plain || (!joined && spaced == number.end) {
            return Ok(number.clone());
        }
        let Some((fraction, end)) = number::fraction_at(text, from) else {
            return Ok(number.clone());
        };
        let whole = Number {
            value: number.value + fraction,
            decimal_comma_value: None,
            plain: false,
            end,
        };
        if joined || (self.expect == Expect::Power && number.value < 10.0) {
            return Ok(whole);
        }
        if number.value >= 10.0 {
            return Ok(number.clone());
        }
        let end = self.skip_unit(end);
        self.refuse(
            start..end,
            "one number, or a unit behind each",
            "write 1.5 W or 1-1/2 W for one and a half, or give the first number its unit",
            vec![
                format!("{}", whole.value),
                format!("{} and {fraction}", number.value),
            ],
        );
        Err(end)
    }

    /// A tube or diode type that begins with digits (`5U4-G`, `12LP4-A`, `1N4007`), kept as a word.
    fn cut_type_name(&mut self, at: usize) -> Option<usize> {
        let text = self.text;
        let mut end = at;
        while text
            .char_at(end)
            .is_some_and(|character| character.is_ascii_alphanumeric() || character == '-')
        {
            end += 1;
        }
        while end > at && text.char_at(end - 1) == Some('-') {
            end -= 1;
        }
        if text.letter_at(end) {
            return None;
        }
        let name = text.uniform(at..end);
        let (heater, letters) = type_name(&name)?;
        let expected = self.expect.measure();
        let decimal_letter = match letters.as_str() {
            "K" | "R" | "M" | "E" => true,
            "N" | "P" | "U" => matches!(expected, Some(Measure::Farads | Measure::Henries)),
            _ => false,
        };
        let bare_letter = name
            .chars()
            .filter(|character| !character.is_ascii_digit())
            .count()
            == 1;
        if decimal_letter && bare_letter {
            if self.expect != Expect::Anything
                || ![1, 2, 3, 5, 6, 7, 12, 25, 35, 50].contains(&heater)
            {
                return None;
            }
            let readings = vec![
                format!("the type {name}"),
                name.replacen(letters.as_str(), ".", 1) + &letters.to_lowercase(),
            ];
            self.refuse(
                at..end,
                "a value or a type, one of them",
                "write a value with a decimal point (6.7k)",
                readings,
            );
            return Some(end);
        }
        self.push(at..end, PieceKind::Word(name));
        Some(end)
    }

    /// A number with a letter for its decimal point: `4k7`, `4R7`, `4n7`.
    fn cut_decimal_letter(
        &mut self,
        start: usize,
        whole: Range<usize>,
        sign: Option<char>,
    ) -> Option<usize> {
        let text = self.text;
        let point = whole.end;
        let letter = text.char_at(point)?;
        let in_farads_or_henries = matches!(
            self.expect.measure(),
            Some(Measure::Farads | Measure::Henries)
        );
        let is_point = match letter {
            'k' | 'K' | 'r' | 'R' | 'M' | 'm' | 'n' | 'p' | 'u' => true,
            'N' | 'P' | 'U' => in_farads_or_henries,
            _ => false,
        };
        if !is_point || !text.digit_at(point + 1) {
            return None;
        }
        let mut end = point + 1;
        while text.digit_at(end) {
            end += 1;
        }
        let decimals = text.uniform(point + 1..end);
        let value: f64 = format!("{}.{decimals}", text.uniform(whole))
            .parse()
            .unwrap_or(f64::INFINITY);
        // The letter M between digits is modern only, so it is million here.
        let found = match letter {
            'M' if !in_farads_or_henries => Found::One(Measure::Ohms, 1e6, None),
            letter => unit_words::find(&letter.to_string(), value, self.expect),
        };
        let glued_end = self.letters_end(end);
        let apart = text.skip_spaces(end);
        let apart_end = self.letters_end(apart);
        let apart_unit = undotted(&text.uniform(apart..apart_end));
        // "4k7 ohm" is one value; in "22k10 W" the last digits may belong to the unit behind them.
        let unit_follows = glued_end == end
            && !text.digit_at(apart_end)
            && matches!(
                unit_words::find(&apart_unit, 1.0, self.expect),
                Found::One(..)
            );
        let unit_end = if unit_follows { apart_end } else { glued_end };
        let unit = if unit_follows {
            apart_unit
        } else {
            text.uniform(end..glued_end)
        }
        .to_lowercase();
        let fits = |measure| match measure {
            Measure::Ohms => ["", "ohm", "ohms", "ω"].contains(&unit.as_str()),
            Measure::Farads => ["", "f", "fd"].contains(&unit.as_str()),
            Measure::Henries => ["", "h", "hy"].contains(&unit.as_str()),
            _ => unit.is_empty(),
        };
        match found {
            Found::One(measure, factor, _) if fits(measure) && decimals.len() <= 3 => {
                self.push(
                    start..unit_end,
                    PieceKind::Number {
                        value: scaled_by(value, factor),
                        sign,
                        measure: Some(measure),
                    },
                );
            }
            Found::Several(meanings) if unit.is_empty() => {
                let readings = readings(value, &meanings);
                self.refuse(
                    start..unit_end,
                    "one unit",
                    "write the decimal point and the unit in full",
                    readings,
                );
            }
            _ => self.refuse(
                start..unit_end,
                "a letter for the decimal point (4k7), or values set apart",
                "put a space between two values (22k 10 W)",
                Vec::new(),
            ),
        }
        Some(unit_end)
    }

    /// The unit behind `number`, and the piece made of both.
    fn cut_unit(&mut self, start: usize, number: &Number, sign: Option<char>) -> usize {
        let text = self.text;
        let glued = text.letter_at(number.end);
        let hyphened = text.char_at(number.end) == Some('-') && text.letter_at(number.end + 1);
        let word_start = if hyphened {
            number.end + 1
        } else {
            text.skip_spaces(number.end)
        };
        let word_end = self.unit_end(word_start, number.value);
        let word = undotted(&text.uniform(word_start..word_end));
        // A word apart that runs on in digits is a name, not a unit ("10 V5"); "to" leads to the end of a range.
        let is_name = !glued && !hyphened && text.digit_at(word_end);
        let leads_on =
            word.eq_ignore_ascii_case("to") && number::begins_at(text, text.skip_spaces(word_end));
        if word.is_empty() || is_name || leads_on {
            self.push_number(start, number, sign, None, number.end);
            return number.end;
        }
        if word.eq_ignore_ascii_case("per") {
            let cent = text.skip_spaces(word_end);
            let cent_end = self.letters_end(cent);
            if text.uniform(cent..cent_end).eq_ignore_ascii_case("cent") {
                self.push_number(start, number, sign, Some((Measure::Percent, 1.0)), cent_end);
                return cent_end;
            }
        }
        match unit_words::find(&word, number.value, self.expect) {
            Found::One(measure, factor, with) => {
                let (measure, factor, end) = self.longer_unit(measure, factor, word_end);
                self.push_number(start, number, sign, Some((measure, factor)), end);
                if let Some(with) = with {
                    self.push(word_start..end, PieceKind::Word(with.to_string()));
                }
                end
            }
            Found::Several(meanings) => {
                let behind = text.skip_spaces(word_end);
                let behind_end = self.letters_end(behind);
                let behind_word = undotted(&text.uniform(behind..behind_end));
                if word == "M" && behind_word == "Ω" {
                    self.push_number(start, number, sign, Some((Measure::Ohms, 1e6)), behind_end);
                    return behind_end;
                }
                let end = if unit_words::is_plain_ohm(&behind_word) {
                    behind_end
                } else {
                    word_end
                };
                if number.value == 0.0
                    && let Some((measure, ..)) = meanings.first()
                {
                    self.push_number(start, number, sign, Some((*measure, 1.0)), end);
                    return end;
                }
                let hint = match meanings.first() {
                    Some((Measure::Ohms, ..)) => "write k for thousand or meg for million",
                    Some((Measure::Farads, ..)) => "write mfd or mmf (pF)",
                    _ => "write the unit in full",
                };
                self.refuse(
                    start..end,
                    "one unit",
                    hint,
                    readings(number.value, &meanings),
                );
                end
            }
            Found::Refused(hint) => {
                self.refuse(start..word_end, "a size that can exist", hint, Vec::new());
                word_end
            }
            Found::Nothing => {
                self.unknown_unit(start, number, sign, word_start, word_end, glued || hyphened)
            }
        }
    }

    fn unknown_unit(
        &mut self,
        start: usize,
        number: &Number,
        sign: Option<char>,
        word_start: usize,
        word_end: usize,
        glued: bool,
    ) -> usize {
        let word = undotted(&self.text.uniform(word_start..word_end));
        let known = BENCH_WORDS.contains(&word.to_lowercase().as_str());
        let near = nearest_spelling(&word, unit_words::spellings(self.expect.measure()));
        if !glued && (known || (near.is_none() && self.expect == Expect::Anything)) {
            self.push_number(start, number, sign, None, number.end);
            return number.end;
        }
        let expected = match self.expect.measure() {
            Some(measure) => format!("{}, or another unit of the bench", measure.name()),
            None => "a unit of the bench (ohm, k, meg, mfd, mmf, H, V, mA, W, %)".to_string(),
        };
        let hint = match near {
            Some(near) => format!("write {near}"),
            None => "write the unit, or leave this word out".to_string(),
        };
        // The rest of the word (digits, signs) belongs to the fault.
        let mut end = word_end;
        while glued
            && self
                .text
                .char_at(end)
                .is_some_and(|character| character.is_alphanumeric())
        {
            end += 1;
        }
        self.faults.push(
            self.text
                .fault(word_start..end, &expected, &hint, Vec::new()),
        );
        self.push(start..end, PieceKind::Refused);
        end
    }

    /// Pushes a number with its unit, unless its comma is unclear with that unit.
    fn push_number(
        &mut self,
        start: usize,
        number: &Number,
        sign: Option<char>,
        unit: Option<(Measure, f64)>,
        end: usize,
    ) {
        let (measure, factor) =
            unit.map_or((None, 1.0), |(measure, factor)| (Some(measure), factor));
        if let (Some(decimal), Some(measure)) = (number.decimal_comma_value, measure) {
            let in_thousands = match measure {
                Measure::Ohms | Measure::Volts | Measure::Hertz | Measure::OhmsPerVolt => {
                    factor == 1.0
                }
                Measure::Farads => factor == 1e-6 || factor == 1e-12,
                _ => false,
            };
            if !in_thousands {
                let readings = vec![
                    measure.printed(scaled_by(number.value, factor)),
                    measure.printed(scaled_by(decimal, factor)),
                ];
                self.refuse(
                    start..end,
                    "a decimal point, or no comma",
                    "write a point for decimals, nothing for thousands",
                    readings,
                );
                return;
            }
        }
        let value = scaled_by(number.value, factor);
        if !value.is_finite() || (value == 0.0 && number.value != 0.0) {
            self.refuse(
                start..end,
                "a number of a size that can exist",
                "look at the exponent",
                Vec::new(),
            );
            return;
        }
        self.push(
            start..end,
            PieceKind::Number {
                value,
                sign,
                measure,
            },
        );
    }

    /// Takes in what may follow a unit: `k ohm`, `per volt`, `V d.c.`, `W.V.`, `tolerance`.
    fn longer_unit(
        &self,
        mut measure: Measure,
        factor: f64,
        mut end: usize,
    ) -> (Measure, f64, usize) {
        let text = self.text;
        loop {
            let mut behind = text.skip_spaces(end);
            let slash = text.char_at(behind) == Some('/');
            if slash {
                behind = text.skip_spaces(behind + 1);
            }
            let behind_end = self.letters_end(behind);
            let word = undotted(&text.uniform(behind..behind_end)).to_lowercase();
            if word.is_empty() || text.digit_at(behind_end) {
                return (measure, factor, end);
            }
            let is_volt = matches!(word.as_str(), "v" | "volt" | "volts");
            match measure {
                Measure::Ohms if slash && is_volt => {
                    (measure, end) = (Measure::OhmsPerVolt, behind_end)
                }
                _ if slash => return (measure, factor, end),
                Measure::Ohms if factor > 1.0 && unit_words::is_plain_ohm(&word) => {
                    end = behind_end
                }
                Measure::Ohms if word == "per" => {
                    let volt = text.skip_spaces(behind_end);
                    let volt_end = self.letters_end(volt);
                    if !matches!(
                        undotted(&text.uniform(volt..volt_end))
                            .to_lowercase()
                            .as_str(),
                        "v" | "volt"
                    ) {
                        return (measure, factor, end);
                    }
                    (measure, end) = (Measure::OhmsPerVolt, volt_end);
                }
                Measure::Volts | Measure::Amperes
                    if SILENT_AFTER_VOLTS.contains(&word.as_str()) =>
                {
                    end = behind_end
                }
                Measure::Percent if word == "tolerance" || word == "tol" => end = behind_end,
                _ => return (measure, factor, end),
            }
        }
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
        let numbers_around = matches!(
            self.pieces.last(),
            Some(Piece {
                what: PieceKind::Number { .. },
                ..
            })
        ) && number::begins_at(text, text.skip_spaces(end));
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

    /// End of the unit word at `at`: letters, dots between them, and a slash or hyphen where that makes a known unit.
    fn unit_end(&self, at: usize, value: f64) -> usize {
        let text = self.text;
        let end = self.letters_end(at);
        if end > at && matches!(text.char_at(end), Some('/' | '-')) && text.letter_at(end + 1) {
            let longer = self.letters_end(end + 1);
            let word = undotted(&text.uniform(at..longer));
            if unit_words::find(&word, value, self.expect) != Found::Nothing {
                return longer;
            }
        }
        end
    }

    /// End of a run of letters with dots between or behind them.
    fn letters_end(&self, at: usize) -> usize {
        let text = self.text;
        let mut end = at;
        while text.letter_at(end)
            || (end > at && text.char_at(end) == Some('.') && !text.digit_at(end + 1))
        {
            // A percent sign or a tilde stands alone ("10%W" is no unit).
            if end > at && matches!(text.char_at(end), Some('%' | '~')) {
                break;
            }
            end += 1;
            if matches!(text.char_at(end - 1), Some('%' | '~')) {
                break;
            }
        }
        end
    }

    /// Behind a refused number: the end of what is most likely its unit.
    fn skip_unit(&self, at: usize) -> usize {
        let word = self.text.skip_spaces(at);
        self.letters_end(word).max(at)
    }
}

/// The readings of a number with several meanings, printed.
fn readings(value: f64, meanings: &[(Measure, f64, &str)]) -> Vec<String> {
    meanings
        .iter()
        .map(|(measure, factor, more)| {
            format!("{}{more}", measure.printed(scaled_by(value, *factor)))
        })
        .collect()
}

fn undotted(word: &str) -> String {
    word.replace('.', "")
}

/// The heater digits and the letters of a type name of the form digits, capitals, digits, and possibly capitals and suffixes.
fn type_name(name: &str) -> Option<(u32, String)> {
    let digits = |text: &str| text.bytes().take_while(u8::is_ascii_digit).count();
    let capitals = |text: &str| text.bytes().take_while(u8::is_ascii_uppercase).count();
    let (base, suffix) = name.split_once('-').unwrap_or((name, ""));
    let heater = digits(base);
    let rest = base.get(heater..)?;
    let letters = capitals(rest);
    let behind = rest.get(letters..)?;
    let number = digits(behind);
    let tail = behind.get(number..)?;
    let shape =
        (1..=2).contains(&heater) && (1..=3).contains(&letters) && (1..=5).contains(&number);
    let tail_fits = tail.len() <= 3 && capitals(tail) == tail.len();
    let suffix_fits = suffix.split('-').all(|part| {
        part.len() <= 3
            && part
                .bytes()
                .all(|byte| byte.is_ascii_uppercase() || byte.is_ascii_digit())
    });
    if !(shape && tail_fits && suffix_fits) {
        return None;
    }
    Some((
        base.get(..heater)?.parse().ok()?,
        rest.get(..letters)?.to_string(),
    ))
}
