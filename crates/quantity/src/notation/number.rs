//! Reads the digits of a number: `4700`, `.05`, `22,000`, `1/2`, `½`, `1-1/2`, `1e-11`.
//!
//! No unit is read here. Works on characters that [`super::text`] has made uniform. Commas:
//! groups of three digits are thousands (`22,000`; the other reading, 22.000, is kept for units where it is likelier);
//! a comma after a lone 0 or before a last single digit is a decimal comma (`0,05`, `4,7`); any other comma is refused with
//! both readings. Fails on two decimal points, on fractions that no rating is written in, and on numbers beyond `f64`.

use super::error::NotationError;
use super::text::Text;

/// A number as it stands in the text, its sign apart.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Number {
    /// The value, not negative.
    pub value: f64,
    /// What the value is if the comma of thousands was meant as a decimal comma.
    pub decimal_comma_value: Option<f64>,
    /// Made of digits alone.
    pub plain: bool,
    /// Index of the character behind it.
    pub end: usize,
}

/// Denominators that ratings are written in (`1/2 W`, `1/16 A`).
const DENOMINATORS: [u32; 11] = [2, 3, 4, 5, 6, 8, 10, 16, 20, 32, 64];

const FRACTION_SIGNS: [(char, f64); 15] = [
    ('½', 1.0 / 2.0),
    ('⅓', 1.0 / 3.0),
    ('⅔', 2.0 / 3.0),
    ('¼', 1.0 / 4.0),
    ('¾', 3.0 / 4.0),
    ('⅕', 1.0 / 5.0),
    ('⅖', 2.0 / 5.0),
    ('⅗', 3.0 / 5.0),
    ('⅘', 4.0 / 5.0),
    ('⅙', 1.0 / 6.0),
    ('⅚', 5.0 / 6.0),
    ('⅛', 1.0 / 8.0),
    ('⅜', 3.0 / 8.0),
    ('⅝', 5.0 / 8.0),
    ('⅞', 7.0 / 8.0),
];

/// Whether a number can begin at `at`.
pub(super) fn begins_at(text: &Text, at: usize) -> bool {
    let first = text.char_at(at);
    is_digit(first)
        || fraction_sign(first).is_some()
        || (first == Some('.') && is_digit(text.char_at(at + 1)))
}

/// The number that begins at `at`; on a fault also where to go on.
pub(super) fn read(text: &Text, at: usize) -> Result<Number, (NotationError, usize)> {
    if let Some(value) = fraction_sign(text.char_at(at)) {
        return Ok(Number {
            value,
            decimal_comma_value: None,
            plain: false,
            end: at + 1,
        });
    }
    let mut end = at;
    while let Some(character) = text.char_at(end) {
        let belongs = match character {
            ',' => is_digit(text.char_at(end + 1)),
            // A second point belongs to the number too, so that it can be refused.
            '.' => {
                is_digit(text.char_at(end + 1))
                    || (end > at && !text.letter_at(end + 1) && text.char_at(end + 1) != Some('.'))
            }
            _ => character.is_ascii_digit(),
        };
        if !belongs {
            break;
        }
        end += 1;
    }
    let mantissa_end = end;
    let digits: String = (at..mantissa_end)
        .filter_map(|index| text.char_at(index))
        .collect();
    let plain = digits.bytes().all(|byte| byte.is_ascii_digit());
    let fault = |end: usize, expected: &str, hint: &str, readings: Vec<String>| {
        Err((text.fault(at..end, expected, hint, readings), end))
    };

    if plain && let Some(fraction) = fraction_after(text, &digits, end) {
        return match fraction {
            Ok((value, end)) => Ok(Number {
                value,
                decimal_comma_value: None,
                plain: false,
                end,
            }),
            Err(end) => fault(
                end,
                "a fraction such as 1/2 or 3/4",
                "if two values are meant, give each its unit (20 mfd 450 V)",
                Vec::new(),
            ),
        };
    }
    if digits.matches('.').count() > 1 {
        return fault(
            end,
            "one decimal point",
            "write thousands with a comma (22,000) or with k and meg",
            Vec::new(),
        );
    }
    if let Some(exponent_end) = exponent_after(text, end) {
        end = exponent_end;
    }
    let exponent: String = (mantissa_end..end)
        .filter_map(|index| text.char_at(index))
        .collect();
    let (mantissa, decimal) = match commas(&digits) {
        Commas::None => (digits.clone(), None),
        Commas::Thousands { whole, decimal } => (whole, decimal),
        Commas::Decimal(text) => (text, None),
        Commas::Unclear(readings) => {
            return fault(
                end,
                "thousands in groups of three (22,000) or a decimal point",
                "write a point for decimals, a space between two values",
                readings,
            );
        }
    };
    let parsed: f64 = format!("{mantissa}{exponent}")
        .parse()
        .unwrap_or(f64::INFINITY);
    let vanished = parsed == 0.0 && mantissa.bytes().any(|byte| (b'1'..=b'9').contains(&byte));
    if !parsed.is_finite() || vanished {
        return fault(
            end,
            "a number of a size that can exist",
            "look at the exponent",
            Vec::new(),
        );
    }
    let decimal_comma_value =
        decimal.and_then(|decimal| format!("{decimal}{exponent}").parse().ok());
    let mut number = Number {
        value: parsed,
        decimal_comma_value,
        plain: plain && exponent.is_empty(),
        end,
    };
    if number.plain
        && let Some(fraction) = fraction_sign(text.char_at(end))
    {
        number = Number {
            value: parsed + fraction,
            decimal_comma_value: None,
            plain: false,
            end: end + 1,
        };
    }
    Ok(number)
}

/// The fraction of plain digits that stands at `at` (after a whole number), its value and end.
pub(super) fn fraction_at(text: &Text, at: usize) -> Option<(f64, usize)> {
    let mut end = at;
    while is_digit(text.char_at(end)) {
        end += 1;
    }
    let numerator: String = (at..end).filter_map(|index| text.char_at(index)).collect();
    if numerator.is_empty() {
        None
    } else {
        fraction_after(text, &numerator, end)?.ok()
    }
}

/// A slash and digits after `numerator`, which ends at `at`: value and end, or on a fault the end.
fn fraction_after(text: &Text, numerator: &str, at: usize) -> Option<Result<(f64, usize), usize>> {
    if text.char_at(at) != Some('/') || !is_digit(text.char_at(at + 1)) {
        return None;
    }
    let mut end = at + 1;
    while is_digit(text.char_at(end))
        || (text.char_at(end) == Some('.') && is_digit(text.char_at(end + 1)))
    {
        end += 1;
    }
    let denominator: String = (at + 1..end)
        .filter_map(|index| text.char_at(index))
        .collect();
    let value = match (numerator.parse::<u32>(), denominator.parse::<u32>()) {
        (Ok(top), Ok(bottom)) if top > 0 && top < bottom && DENOMINATORS.contains(&bottom) => {
            Ok((f64::from(top) / f64::from(bottom), end))
        }
        _ => Err(end),
    };
    Some(value)
}

/// Where an exponent (`e-11`) that stands at `at` ends.
fn exponent_after(text: &Text, at: usize) -> Option<usize> {
    if !matches!(text.char_at(at), Some('e' | 'E')) {
        return None;
    }
    let mut end = at + 1;
    if matches!(text.char_at(end), Some('+' | '-')) {
        end += 1;
    }
    let first = end;
    while is_digit(text.char_at(end)) {
        end += 1;
    }
    (end > first).then_some(end)
}

enum Commas {
    None,
    Thousands {
        whole: String,
        decimal: Option<String>,
    },
    Decimal(String),
    Unclear(Vec<String>),
}

fn commas(digits: &str) -> Commas {
    let Some((first, rest)) = digits.split_once(',') else {
        return Commas::None;
    };
    let (whole_rest, _) = rest.split_once('.').unwrap_or((rest, ""));
    let groups: Vec<&str> = whole_rest.split(',').collect();
    let in_threes = groups.iter().all(|group| group.len() == 3);
    let leads = (1..=3).contains(&first.len()) && !first.starts_with('0');
    let single = groups.len() == 1 && !digits.contains('.');
    let with_point = digits.replacen(',', ".", 1);
    if in_threes && leads {
        return Commas::Thousands {
            whole: digits.replace(',', ""),
            decimal: single.then_some(with_point),
        };
    }
    if single && (first == "0" || rest.len() == 1) {
        return Commas::Decimal(with_point);
    }
    let listed = digits.split(',').collect::<Vec<_>>().join(" and ");
    // With several commas, or a point as well, only the list is left, and one reading is no choice.
    let readings = if single {
        vec![with_point, listed]
    } else {
        Vec::new()
    };
    Commas::Unclear(readings)
}

fn is_digit(character: Option<char>) -> bool {
    character.is_some_and(|character| character.is_ascii_digit())
}

fn fraction_sign(character: Option<char>) -> Option<f64> {
    let character = character?;
    FRACTION_SIGNS
        .iter()
        .find(|(sign, _)| *sign == character)
        .map(|(_, value)| *value)
}
