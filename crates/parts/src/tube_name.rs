//! Type numbers as people write them.
//!
//! Case, spaces and dashes do not count: `5u4 g` is `5U4-G`. A suffix that the
//! catalogue lacks (`6AU6-WA`) may be answered by the same number with another
//! suffix; such an answer is never exact and says what may differ. No fault:
//! a text that is no type number is simply not found.

use crate::read_tube::tube_key;

/// A type number taken apart: what makes the type, and its suffix.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct NameParts {
    /// Without the suffix, such as `6SN7` or `12LP4`.
    pub(crate) root: String,
    /// The suffix, such as `GTB`; empty when there is none.
    pub(crate) suffix: String,
}

/// Suffixes of American types, from plain to late. `W` and its kin are
/// ruggedised; `G`, `GT` tell the bulb; `A` to `C` later editions.
const SUFFIXES: [&str; 17] = [
    "", "G", "GT", "GA", "GTA", "GTG", "A", "GB", "GTB", "B", "GC", "GTC", "C", "W", "WA", "WB",
    "GTW",
];

/// Takes a type number apart; `None` unless it reads digits, letters, a digit
/// and one of the known suffixes.
pub(crate) fn take_apart(name: &str) -> Option<NameParts> {
    let key = tube_key(name);
    if !key.is_ascii() {
        return None;
    }
    let letters_from = key.find(|c: char| !c.is_ascii_digit())?;
    if letters_from == 0 {
        return None;
    }
    let digits_from = letters_from
        + key
            .get(letters_from..)?
            .find(|c: char| c.is_ascii_digit())?;
    let tail = key.get(digits_from..)?;
    let digits = tail
        .find(|c: char| !c.is_ascii_digit())
        .unwrap_or(tail.len());
    let (root, suffix) = key.split_at_checked(digits_from + digits)?;
    SUFFIXES.contains(&suffix).then(|| NameParts {
        root: root.to_string(),
        suffix: suffix.to_string(),
    })
}

/// The place of a suffix in the order from plain to late.
pub(crate) fn suffix_rank(suffix: &str) -> usize {
    SUFFIXES
        .iter()
        .position(|known| *known == suffix)
        .unwrap_or(SUFFIXES.len())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn check(name: &str, expected: &str) {
        let shown = match take_apart(name) {
            Some(parts) => format!("{} + {}", parts.root, parts.suffix),
            None => "none".to_string(),
        };
        assert_eq!(shown, expected, "{name}");
    }

    #[test]
    fn type_numbers_come_apart() {
        check("5U4G", "5U4 + G");
        check("6sn7 gtb", "6SN7 + GTB");
        check("12LP4-A", "12LP4 + A");
        check("17AVP4-A", "17AVP4 + A");
        check("6AU6", "6AU6 + ");
        check("6DR7", "6DR7 + ");
        check("ECC82", "none");
        check("6AU6XYZ", "none");
        check("", "none");
        check("1852", "none");
        check("6é7", "none");
    }
}
