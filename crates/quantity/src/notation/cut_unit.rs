//! Cuts the unit behind a number, with what may follow it: `k ohm`, `per volt`, `V d.c.`, `% tolerance`.
//!
//! The number is brought to SI here. A unit with several meanings, a size that cannot be, a comma that is unclear with this unit and
//! a word that is no unit are refused; the last with the nearest right spelling.

use super::item::{Expect, Measure};
use super::number::{self, Number};
use super::reader::{BENCH_WORDS, Cutter, PieceKind, undotted};
use super::spelling::nearest_spelling;
use super::unit_words::{self, Found};
use crate::units::scaled_by;

/// Words after volts or amperes that say what is assumed anyway.
const SILENT_AFTER_VOLTS: &[&str] = &["dc", "w", "wkg", "working", "dcw", "wdc"];

impl Cutter<'_, '_> {
    /// The unit behind `number`, and the piece made of both.
    pub(super) fn cut_unit(&mut self, start: usize, number: &Number, sign: Option<char>) -> usize {
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
            Found::Refused(expected, hint) => {
                self.refuse(start..word_end, expected, hint, Vec::new());
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
        let fault = self
            .text
            .fault(word_start..end, &expected, &hint, Vec::new());
        self.faults.push(fault);
        // The unit behind a number that was not understood ("1OO ohm") is no fault of its own.
        let unit = self.text.skip_spaces(end);
        let unit_end = self.letters_end(unit);
        let word = undotted(&self.text.uniform(unit..unit_end));
        if glued && unit_words::find(&word, 1.0, self.expect) != Found::Nothing {
            end = unit_end;
        }
        self.push(start..end, PieceKind::Refused);
        end
    }

    /// Pushes a number with its unit, unless its comma is unclear with that unit.
    pub(super) fn push_number(
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
                factor,
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
    pub(super) fn letters_end(&self, at: usize) -> usize {
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
    pub(super) fn skip_unit(&self, at: usize) -> usize {
        let word = self.text.skip_spaces(at);
        self.letters_end(word).max(at)
    }
}

/// The readings of a number with several meanings, printed.
pub(super) fn readings(value: f64, meanings: &[(Measure, f64, &str)]) -> Vec<String> {
    meanings
        .iter()
        .map(|(measure, factor, more)| {
            format!("{}{more}", measure.printed(scaled_by(value, *factor)))
        })
        .collect()
}
