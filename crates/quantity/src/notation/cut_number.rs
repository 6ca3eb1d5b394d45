//! Cuts a number and what is written into it: mixed fractions, a letter for the decimal point, types that begin with digits.
//!
//! Values leave here in SI. A name like `5U4-G` or `1N4007` is a type, kept as a word; what could be a value as well (`6K7`) is
//! refused with both readings where nothing particular is expected. The letter `M` between digits is modern only: million.

use std::ops::Range;

use super::cut_unit::readings;
use super::item::{Expect, Measure};
use super::number::{self, Number};
use super::reader::{Cutter, PieceKind, undotted};
use super::unit_words::{self, Found};
use crate::units::scaled_by;

impl Cutter<'_, '_> {
    /// Cuts a number whose digits begin at `digits`; the piece begins at `start`, where its sign may stand.
    pub(super) fn cut_number(&mut self, start: usize, digits: usize, sign: Option<char>) -> usize {
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
        if let Some(end) = self.cut_spaced_thousands(start, &number) {
            return end;
        }
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

    /// `22 000`: refused, because a space stands between values everywhere else.
    fn cut_spaced_thousands(&mut self, start: usize, number: &Number) -> Option<usize> {
        let text = self.text;
        let group = number.end + 1..number.end + 4;
        let is_group = number.plain
            && (1.0..1000.0).contains(&number.value)
            && text.uniform(number.end..group.end) == " 000"
            && !text.digit_at(group.end);
        if !is_group {
            return None;
        }
        let end = self.skip_unit(group.end);
        self.refuse(
            start..end,
            "thousands with a comma (22,000) or with k and meg",
            "leave the space out, or write k",
            Vec::new(),
        );
        Some(end)
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
        // "470K1/2W": the figure behind the letter begins a fraction.
        let begins_fraction = text.char_at(end) == Some('/');
        let fits = |measure| match measure {
            Measure::Ohms => ["", "ohm", "ohms", "ω"].contains(&unit.as_str()),
            Measure::Farads => ["", "f", "fd"].contains(&unit.as_str()),
            Measure::Henries => ["", "h", "hy"].contains(&unit.as_str()),
            _ => unit.is_empty(),
        };
        match found {
            Found::One(measure, factor, _)
                if fits(measure) && decimals.len() <= 3 && !begins_fraction =>
            {
                self.push(
                    start..unit_end,
                    PieceKind::Number {
                        value: scaled_by(value, factor),
                        sign,
                        measure: Some(measure),
                        factor,
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
